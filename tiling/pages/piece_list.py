"""The list of the pieces with their pages and marks, in two columns where the page is broad enough."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from tiling.pages.text_flow import HEAD, Flow
from tiling.pdf.shapes import THIN, Ink
from tiling.planning.plan import Job, Plan
from tiling.text.lines import elided, plain

__all__ = ["add_list"]

LETTERS = 2.5  # height of a capital, mm: 9.7 pt
ROW = 5.5  # mm
SHARES = (0.58, 0.23, 0.19)
BETWEEN = 8.0  # mm between two columns
HEADS = ("pattern", "pages", "mark")


def add_list(flow: Flow, job: Job, plans: Sequence[Plan], *, first: int, each: bool = False) -> None:
    """The list of pieces with their pages; ``first`` is the number of the first piece's first page.

    Args:
        each: they are printed in several sets, and a set's pages are counted by themselves.
    """
    flow.begin("list of patterns")
    room = flow.x1 - flow.x0
    scale = job.page.scale
    small = "" if scale.full else f" at {scale.name}, not full size"
    flow.heading(f"{elided(plain(job.title), (0.7 if scale.full else 0.4) * room, HEAD)}: patterns{small}")
    rows = list(_rows(plans, first))
    columns = 1 if flow.narrow else 2
    wide = (room - (columns - 1) * BETWEEN) / columns
    while rows:
        flow.need(3.0 * ROW)
        deep = min(int(flow.left / ROW) - 1, -(-len(rows) // columns))
        with flow.block((deep + 1) * ROW) as (x0, _, _, y1):
            for column in range(columns):
                part = rows[column * deep : (column + 1) * deep]
                if part:
                    _draw(flow.ink, [HEADS, *part], (x0 + column * (wide + BETWEEN), y1), wide)
        rows = rows[columns * deep :]
    flow.space(3.0)
    total = first - 1 + sum(len(plan.layout.tiles) for plan in plans)
    kinds = "cards" if each else "first pages and cards"
    counted = "pages in each set" if each else "pages in all"
    saved = sum(plan.saved for plan in plans)
    fewer = f" The search for fewer pages saved {saved}." if saved else ""
    flow.paragraph(f"{total} {counted}, {first - 1} of them {kinds}.{fewer}")


def _rows(plans: Sequence[Plan], first: int) -> Iterator[tuple[str, str, str]]:
    """Name, pages and mark of each piece."""
    at = first
    for plan in plans:
        count = len(plan.layout.tiles)
        numbers = f"{at}" if count == 1 else f"{at}-{at + count - 1}"  # as a print dialog takes it
        names = [plain(part.name) for part in plan.piece.parts] or [plan.label]
        yield from ((name, numbers, plan.mark) for name in names)
        at += count


def _draw(ink: Ink, rows: Sequence[Sequence[str]], corner: tuple[float, float], wide: float) -> None:
    x0, y = corner
    for row in rows:
        y -= ROW
        x = x0
        for cell, share in zip(row, SHARES, strict=True):
            ink.words(
                elided(cell, share * wide - 1.5, LETTERS), (x + 0.5, y + 0.5 * (ROW - LETTERS)), LETTERS
            )
            x += share * wide
        ink.line((x0, y), (x0 + wide, y), THIN)
