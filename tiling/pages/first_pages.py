"""The first pages: how to print, check, tape and measure; what a wrong ruler means; the list of pieces."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from tiling.pages.cards import add_cards
from tiling.pages.legend_page import add_legends
from tiling.pages.page_queue import FrontPage
from tiling.pages.piece_list import add_list
from tiling.pages.print_shop import add_print_shop
from tiling.pages.ruler_readings import readings
from tiling.pages.rulers import BAND
from tiling.pages.taping_picture import taping_picture
from tiling.pages.taping_steps import caption, taping_steps
from tiling.pages.text_flow import Flow
from tiling.paper import Page, Paper
from tiling.pdf.pdf_file import PdfFile
from tiling.planning.plan import Job, Plan
from tiling.text.lines import plain

__all__ = ["Extra", "Front", "add_how_to", "add_readings", "fill", "front_pages"]

LARGE = 10.0  # height of a capital for what nobody must miss, mm
READINGS = 60.0  # mm; the table's heading and its first row stay together
PICTURE, PICTURE_WIDE = 46.0, 104.0  # mm
LEAST_BESIDE = 70.0  # mm; narrower lines are no pleasure to read


@dataclass(frozen=True, slots=True, kw_only=True)
class Front:
    """All pages before the patterns, in order, and the number of the page of each plan's card."""

    pages: tuple[FrontPage, ...]
    cards: tuple[int, ...]


def front_pages(job: Job, plans: Sequence[Plan], pdf: PdfFile, *, check: float) -> Front:
    """All pages before the patterns, in order.

    Args:
        check: distance between the discs of a ruler on this page, mm.
    """
    count = -1
    while True:  # the list and the cards name page numbers, which depend on how many first pages there are
        flow = Flow(pdf, job.page, blank=count < 0)
        if job.roll is not None:
            add_print_shop(flow, job.roll, plans)
        extras = add_how_to(flow, job, check=check)
        add_list(flow, job, plans, first=count + 1)
        extras = fill(flow, job, extras)
        flow.begin("cards")
        for extra in extras:
            extra.draw(flow, job)
        cards = add_cards(flow, job, plans, first=count + 1)
        pages = flow.pages()
        if len(pages) == count:
            return Front(pages=tuple(pages), cards=cards)
        count = len(pages)


@dataclass(frozen=True, slots=True)
class Extra:
    """Something short that goes where a page has room left."""

    height: float
    draw: Callable[[Flow, Job], None]


def add_how_to(flow: Flow, job: Job, *, check: float) -> list[Extra]:
    """The pages on printing and on taping; returns the short things that found no room there."""
    extras = [Extra(_cautions_height(flow, job), _cautions)]
    if job.first_piece:
        extras.append(Extra(_cheap_height(flow, job.first_piece), _cheap))
    _print_and_check(flow, job, check)
    extras = [*fill(flow, job, extras), Extra(_card_words_height(flow), _card_words)]
    _tape_and_measure(flow, job)
    extras = fill(flow, job, extras)
    if not job.legends:
        return extras
    add_legends(flow, job.legends)
    return fill(flow, job, extras)


def fill(flow: Flow, job: Job, extras: Sequence[Extra]) -> list[Extra]:
    """Draw what fits on the rest of this page; returns what is left over."""
    over = []
    for extra in extras:
        if extra.height <= flow.left:
            extra.draw(flow, job)
        else:
            over.append(extra)
    return over


def _print_and_check(flow: Flow, job: Job, check: float) -> None:
    paper, scale = job.page.paper.name, job.page.scale
    way = "landscape" if job.page.landscape else "portrait"
    flow.begin("print and check")
    if not scale.full:
        flow.heading(f"Scale {scale.name}, not full size", height=LARGE)
        flow.paragraph(
            f"Scale {job.page.scale_words}, for models and lessons. Nothing here is as large as the boat's own "
            "parts. On each ruler the side away from the drawing reads the boat's lengths, the other one "
            "millimetres on paper; words give the boat's lengths, and bevels are the boat's own."
        )
    flow.heading("Print this page alone first and measure it")
    flow.steps(
        [
            f"Load {paper} paper. Print on one side only, {way}.{_fits_all(job.page.paper)}",
            "Choose Actual size, or 100 %, or Custom scale 100. Not Fit, not Shrink, not Fill.",
            "The choice hides in two places: the window in which you press Print, and the printer's own "
            "preferences, where scaling or zoom or borderless can be set a second time. Look in both.",
            "With a steel rule measure both rulers, from the middle of one disc to the middle of the "
            f"other: {check:g} mm, accepted {check - BAND:g} to {check + BAND:g}. Begin at the rule's 100 "
            "mm mark, not at its end.",
            "Is one wrong? Find the reading below, put it right and print this page again. Then print the "
            "rest, and look at the rulers on the first and the last page.",
        ]
    )
    add_readings(flow, job.page, check)


def _fits_all(paper: Paper) -> str:
    """What is said of a page that fits within several papers."""
    if not paper.onto:
        return ""
    return " Each page fits within either paper; at 100 % nothing is lost, and the rest of the paper stays blank."


def add_readings(flow: Flow, page: Page, check: float) -> None:
    """The table of what a wrong reading means on that paper."""
    flow.need(READINGS)
    flow.heading("What a wrong reading means")
    causes = readings(page)
    if flow.narrow or check == 100.0:
        short = [(reading.on(check), reading.cause, reading.cure) for reading in causes]
        flow.table((f"{check:g} reads", "cause", "cure"), short, (1.9, 3.2, 3.2))
        return
    rows = [(reading.on(100.0), reading.on(check), reading.cause, reading.cure) for reading in causes]
    flow.table(("100 reads", f"{check:g} reads", "cause", "cure"), rows, (1.62, 1.95, 3.35, 3.25))


def _tape_and_measure(flow: Flow, job: Job) -> None:
    flow.begin("tape and measure")
    flow.heading("How to tape")
    steps = taping_steps(job.page)
    _beside_picture(flow, caption(job.page), steps, butt=job.page.butt)
    flow.heading("How to measure")
    flow.steps(
        [
            "On the taped pattern measure the distances that its card names, from target to target, with a "
            "steel tape from its 100 mm mark. Write each reading into its box. All within their bands: "
            "the pattern is true.",
            "All long or all short by the same share: the paper has swelled or shrunk, or the printer is "
            "off. Let the paper lie in the room for a day, measure the rulers again, print again if they "
            "are wrong.",
            "One only is out: a seam on its way is open or crooked. Take it apart and tape it again.",
        ]
    )
    flow.paragraph(
        "The band is what a good tape may be off (0.3 mm, and 0.2 mm for each metre begun), 0.5 mm for "
        "the eye and 0.2 mm for each seam on the way."
    )


def _beside_picture(flow: Flow, words: str, steps: Sequence[str], *, butt: bool) -> None:
    """The picture of taping with its caption beside it, and as many of the steps as find room there."""
    outer = flow.x0
    wide = flow.x1 - outer
    with flow.block(PICTURE) as box:
        taping_picture(flow.ink, box, butt=butt)
    foot = flow.y
    told = 0
    if wide >= PICTURE_WIDE + LEAST_BESIDE:
        flow.x0, flow.y = outer + PICTURE_WIDE, foot + PICTURE
        flow.paragraph(words)
        while told < len(steps) and flow.y - flow.height_of(steps[told], sign="1.") >= foot:
            flow.steps(steps[told : told + 1], first=told + 1)
            told += 1
        flow.x0, flow.y = outer, min(flow.y, foot)
    else:
        flow.paragraph(words)
    flow.steps(steps[told:], first=told + 1)


def _cautions_height(flow: Flow, job: Job) -> float:
    return flow.height_with_heading(sum(flow.height_of(caution, sign="–") for caution in job.cautions))


def _cautions(flow: Flow, job: Job) -> None:
    if job.cautions:
        flow.heading("Cautions")
        for caution in job.cautions:
            flow.paragraph(caution, sign="–")


def _cheap_words(piece: str) -> str:
    return (
        f"Make {plain(piece)} in card or thin board before anything else. Offer it to the boat, or lay it on the "
        "faired lines. If it is true, go on to the good wood."
    )


def _cheap_height(flow: Flow, piece: str) -> float:
    return flow.height_with_heading(flow.height_of(_cheap_words(piece)))


def _cheap(flow: Flow, job: Job) -> None:
    flow.heading("Make one cheap template first")
    flow.paragraph(_cheap_words(job.first_piece or ""))


CARD_WORDS = (
    "Each piece has a card, in the order of work. The small picture shows all pieces in their places, this one "
    "dark.",
    "The map shows the pages taped: a cell is a page, and one with a small cross is blank and not printed. A piece "
    "on one page has no map.",
    "Letters from P on are targets: small ringed discs on the pages. Measure between them on the taped pattern, "
    "and write each reading into its box.",
)


def _card_words_height(flow: Flow) -> float:
    return flow.height_with_heading(sum(map(flow.height_of, CARD_WORDS)))


def _card_words(flow: Flow, job: Job) -> None:
    flow.heading("How to read the cards")
    for words in CARD_WORDS:
        flow.paragraph(words)
