"""One test page: long rulers, a square and the outline of a bank card, and what a wrong reading means."""

from __future__ import annotations

import os
from dataclasses import replace
from pathlib import Path

from tiling.drawing import Disc
from tiling.pages.first_pages import add_readings
from tiling.pages.rulers import BAND, DISC
from tiling.pages.strip_file import StripFile
from tiling.pages.strips import lay_strips
from tiling.pages.text_flow import Flow
from tiling.paper import Page
from tiling.paper.printers import Correction
from tiling.pdf.pdf_file import Entry
from tiling.pdf.shapes import FIRM, THIN, Ink

__all__ = ["CARD", "ruler_lengths", "ruler_sheet", "write_ruler_page"]

CARD = (85.60, 53.98)  # mm; a card of format ID-1, ISO/IEC 7810 (bank cards and the like), from memory
SQUARE = 100.0  # mm between the discs at its corners
INSET = 4.0  # mm from the window's edge to the square
TITLE = "ruler page"


def ruler_sheet(page: Page) -> Page:
    """The page of that paper; of a roll as much as it is wide, its width counting as the short side."""
    if not page.paper.roll:
        return page
    return replace(page, paper=replace(page.paper, height=page.paper.width))


def ruler_lengths(page: Page) -> tuple[float, float]:
    """The distances between the discs of the test page's two rulers, along the paper's short and long side, mm."""
    strips = lay_strips(page, mark="", tags=("1",), long=True)
    across, up = strips.across.check, strips.upright.check
    return (up, across) if page.landscape else (across, up)


def write_ruler_page(
    page: Page, path: str | os.PathLike[str], *, correction: Correction | None = None
) -> None:
    """Write the test page for that paper to a file; a small paper may need a second page for the table.

    Args:
        correction: of the printer that will print it.
    Raises:
        TilingError: the correction does not suit the page.
    """
    page = replace(page, names_below=True)
    title = f"Ruler page, {page.paper.name}"
    with Path(path).open("wb") as stream:
        file = StripFile(
            stream, page, title=title, subject="Print at 100 %, actual size.", name=page.paper.name, recorded=title,
            tags=("1",), correction=correction, long=True,
        )  # fmt: skip
        flow = Flow(file.pdf, page)
        flow.begin(TITLE)
        across, up = file.strips.across.check, file.strips.upright.check
        _square_and_steps(flow, page, across, up)
        add_readings(flow, page, across)
        file.keep_fixed()
        pages = flow.pages()
        for number, made in enumerate(pages, start=1):
            content = file.complete(
                made.content, name=made.name, tag=str(number), number=number, total=len(pages)
            )
            file.pdf.add_page(content, label=made.name)
        file.finish(
            [Entry(title=made.name, page=index) for index, made in enumerate(pages)],
            pages=[(number, made.name, 0) for number, made in enumerate(pages, start=1)],
            total=len(pages),
        )


def _square_and_steps(flow: Flow, page: Page, across: float, up: float) -> None:
    side = min(SQUARE, 10.0 * ((flow.x1 - flow.x0 - 60.0) // 10.0))
    left, top = flow.x0 + INSET, flow.y - INSET
    _square(flow.ink, left, top - side, side)
    if side >= CARD[0] + 8.0:
        _card(flow.ink, left + 0.5 * (side - CARD[0]), top - side + 8.0)
    outer = flow.x0
    flow.x0 = left + side + 6.0
    flow.steps(
        [
            f"Print this page on {page.paper.name}, at Actual size or 100 %.",
            f"Measure both rulers from disc to disc with a steel rule: {across:g} mm across and {up:g} mm up, each "
            f"accepted {BAND:g} mm more or less.",
            f"The square is {side:g} mm from disc to disc; its diagonals are equal, {side * 2.0**0.5:.1f} mm."
            + (" A bank card fits the outline in it." if side >= CARD[0] + 8.0 else ""),
            "A wrong reading: see the table. A reading off by less than 1 %, not fitted, is the printer's: "
            "scrieve ruler --printer keeps it, and pages drawn for that printer come out true.",
        ]
    )
    flow.x0 = outer
    flow.y = min(flow.y, top - side - INSET)


def _square(ink: Ink, x: float, y: float, side: float) -> None:
    gap = 2.0 * DISC
    corners = [(x, y), (x + side, y), (x + side, y + side), (x, y + side)]
    runs = []
    for (ax, ay), (bx, by) in zip(corners, corners[1:] + corners[:1], strict=True):
        ux, uy = (bx - ax) / side, (by - ay) / side
        runs.append(((ax + gap * ux, ay + gap * uy), (bx - gap * ux, by - gap * uy)))
    ink.lines(runs, THIN)
    for corner in corners:
        ink.disc(Disc(centre=corner, radius=DISC))


def _card(ink: Ink, x: float, y: float) -> None:
    ink.box(x, y, x + CARD[0], y + CARD[1], FIRM)
    middle = x + 0.5 * CARD[0]
    ink.words("a bank card lies on", (middle, y + 30.0), 3.5, align="middle")
    ink.words("this outline", (middle, y + 24.0), 3.5, align="middle")
    ink.words(f"{CARD[0]:.1f} × {CARD[1]:.1f} mm", (middle, y + 16.0), 3.5, align="middle")
