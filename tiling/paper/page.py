"""Papers, and the parts of a printed page: margin, strips for ruler and words, and the window."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from tiling.errors import TilingError
from tiling.paper.lengths import MM_PER_INCH, parse_length
from tiling.paper.scale import FULL_SIZE, Scale

__all__ = [
    "BANNER",
    "MARK_RADIUS",
    "NAMES_BELOW",
    "PAPERS",
    "POINTS_PER_INCH",
    "STRIP_BOTTOM",
    "STRIP_LEFT",
    "TARGET_RADIUS",
    "Box",
    "Page",
    "Paper",
    "parse_paper",
]

Box = tuple[float, float, float, float]
"""Least x, least y, greatest x, greatest y; mm."""

POINTS_PER_INCH = 72.0  # exact

STRIP_LEFT = 9.0  # mm; carries the vertical ruler
STRIP_BOTTOM = 9.0  # mm; carries the horizontal ruler
NAMES_BELOW = 9.0  # mm more at the bottom where two lines of words are below that ruler
TALL = 255.0  # mm between the margins; on such a page these words run up the left strip, above its ruler
BANNER = 9.0  # mm more at the bottom of a page that is not full size, which says so there
MARK_RADIUS = 5.0  # mm; a match mark needs this much room around its centre
TARGET_RADIUS = 4.0  # mm; the printed target at either end of a long distance

LEAST_MARGIN = 10.0  # mm; home printers leave up to 8.5 mm of an edge unprinted
LEAST_OVERLAP = 2.0 * MARK_RADIUS  # mm; a mark stands whole in the overlap
LONGEST = 5080.0  # mm; 14,400 points (ISO 32000-1, annex C; from memory)
LEAST_SEAM = 40.0  # mm; two marks nearer to one another than this do not hold a page straight


@dataclass(frozen=True, slots=True, kw_only=True)
class Paper:
    """One size of paper, held portrait.

    Attributes:
        name: as written by the user and printed on the pages.
        width, height: mm, exact; ``width <= height``.
        onto: the papers that it is printed on, where it is no paper of its own: it fits within each of them.
        roll: cut from a roll; ``width`` is the roll's and ``height`` a page's length, which may be less: in a list
            of papers the greatest that is wanted.
    """

    name: str
    width: float
    height: float
    onto: tuple[Paper, ...] = ()
    roll: bool = False


_SIZED = re.compile(
    r"(?P<wide>[\d.,]+) ?(?P<first>mm|cm|m|in|inch|inches)? ?[x×] ?"
    r"(?P<tall>[\d.,]+) ?(?P<unit>mm|cm|m|in|inch|inches)?"
)


def _inches(name: str, width: float, height: float) -> Paper:
    return Paper(name=name, width=width * MM_PER_INCH, height=height * MM_PER_INCH)


PAPERS: dict[str, Paper] = {
    paper.name.lower(): paper
    for paper in (
        # ISO 216, A series.
        Paper(name="A4", width=210.0, height=297.0),
        Paper(name="A3", width=297.0, height=420.0),
        Paper(name="A5", width=148.0, height=210.0),
        Paper(name="A2", width=420.0, height=594.0),
        Paper(name="A1", width=594.0, height=841.0),
        Paper(name="A0", width=841.0, height=1189.0),
        # ISO 216, B series.
        Paper(name="B5", width=176.0, height=250.0),
        Paper(name="B4", width=250.0, height=353.0),
        Paper(name="B3", width=353.0, height=500.0),
        Paper(name="B2", width=500.0, height=707.0),
        Paper(name="B1", width=707.0, height=1000.0),
        Paper(name="B0", width=1000.0, height=1414.0),
        # ASME Y14.1: size A is letter, size B is tabloid.  Legal is common practice.
        _inches("letter", 8.5, 11.0),
        _inches("legal", 8.5, 14.0),
        _inches("tabloid", 11.0, 17.0),
        _inches("ANSI C", 17.0, 22.0),
        _inches("ANSI D", 22.0, 34.0),
        _inches("ANSI E", 34.0, 44.0),
        # Architectural sizes; common practice, from memory.
        _inches("Arch A", 9.0, 12.0),
        _inches("Arch B", 12.0, 18.0),
        _inches("Arch C", 18.0, 24.0),
        _inches("Arch D", 24.0, 36.0),
        _inches("Arch E1", 30.0, 42.0),
        _inches("Arch E", 36.0, 48.0),
    )
}
"""Every paper by its name in small letters.  A new paper is one row."""


def _within(*names: str) -> Paper:
    """A page that fits within every one of those papers: as wide as the narrowest, as high as the lowest."""
    papers = tuple(PAPERS[name] for name in names)
    return Paper(
        name=" or ".join(paper.name for paper in papers),
        width=min(paper.width for paper in papers),
        height=min(paper.height for paper in papers),
        onto=papers,
    )


_ROLL = re.compile(r"(?P<width>.+?) ?roll(?:,? cut at (?P<most>.+))?")
LEAST_CUT = 300.0  # mm; shorter than that nothing comes out of a roll's printer
WIDEST = 1626.0  # mm; 64 in, the widest rolls of common printers (common practice, no source)


def _roll(text: str, width: str, most: str | None) -> Paper:
    """Paper from a roll, by its width and the greatest length of a page as typed."""
    wide = parse_length(width)
    longest = LONGEST if most is None else parse_length(most)
    if wide > WIDEST:
        raise TilingError(f"paper {text!r} is wider than the {WIDEST:g} mm of the widest rolls")
    if longest > LONGEST:
        raise TilingError(f"paper {text!r}: a page is then longer than the {LONGEST:g} mm that viewers take")
    if longest < LEAST_CUT:
        raise TilingError(
            f"paper {text!r}: a page is then shorter than the {LEAST_CUT:g} mm that a printer can feed"
        )
    name = f"{width} roll" + ("" if most is None else f", cut at {most}")
    return Paper(name=name, width=wide, height=longest, roll=True)


PAPERS["a4 or letter"] = _within("a4", "letter")


def parse_paper(text: str) -> Paper:
    """The paper of that name, or of a size as ``330 x 480 mm``; capitals and spaces do not matter.

    Raises:
        TilingError: no such paper, or a size that no page can have; the message lists the names.
    """
    name = " ".join(text.split()).lower()
    paper = PAPERS.get("a4 or letter" if name in ("letter or a4", "a4/letter", "letter/a4") else name)
    if paper is not None:
        return paper
    rolled = _ROLL.fullmatch(name)
    if rolled is not None:
        return _roll(text, rolled["width"], rolled["most"])
    sized = _SIZED.fullmatch(name)
    if sized is None:
        names = ", ".join(known.name for known in PAPERS.values())
        raise TilingError(
            f"paper {text!r} is not known; write one of: {names}; or a size, as 330 x 480 mm or 13 x 19 in; "
            "or a roll by its width, as 610 mm roll or 24 in roll"
        )
    unit = sized["unit"] or sized["first"] or ""
    sides = sorted(
        parse_length(f"{sized[side]} {own or unit}")
        for side, own in (("wide", sized["first"]), ("tall", sized["unit"]))
    )
    if sides[1] > LONGEST:
        raise TilingError(f"paper {text!r} is longer than the {LONGEST:g} mm that viewers take")
    return Paper(name=f"{sides[0]:g} x {sides[1]:g} mm", width=sides[0], height=sides[1])


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """A page as it lies in the printer and how it joins its neighbours.

    Page coordinates: mm from the lower left corner of the sheet, y up.  Inside the margin a strip
    on the left and a strip at the bottom carry rulers and words; the rest is the window.

    Attributes:
        paper: the sheet.
        landscape: the long side lies across.
        margin: left blank all round, mm; 10 or more.
        overlap: how much of the drawing neighbouring windows share, mm; 10 or more.
        scale: of the drawing on it; a page that is not full size says so.
        butt: pages meet edge to edge: each is trimmed on every side where another joins it.  Otherwise the left one
            is trimmed and laid over the right one, the lower row over the upper.  Half the overlap is trimmed off
            either way.
        metric: lengths are given in millimetres alone, without feet and inches beside them.
        names_below: the words that name a page are below its horizontal ruler, however tall it is.

    Raises:
        TilingError: a margin or an overlap that is too small, or that leaves too small a window.
    """

    paper: Paper
    landscape: bool = False
    margin: float = LEAST_MARGIN
    overlap: float = 12.0
    scale: Scale = FULL_SIZE
    butt: bool = False
    metric: bool = field(default=False, repr=False, compare=False)  # no word of it in the marks of pages
    names_below: bool = False
    _window: Box = field(init=False, repr=False, compare=False)

    @property
    def scale_words(self) -> str:
        """The scale's name, and as draughtsmen of inches say it, but for those who have none."""
        return self.scale.name if self.metric else self.scale.words

    def __post_init__(self) -> None:
        left, low = self.margin + STRIP_LEFT, self.margin + self.strip_bottom + self.banner
        window = left, low, self.width - self.margin, self.height - self.margin
        object.__setattr__(self, "_window", window)
        if self.landscape and self.paper.roll:
            raise TilingError(
                f"paper {self.paper.name}: pages from a roll are as wide as it is; leave out landscape"
            )
        if not self.margin >= LEAST_MARGIN:
            raise TilingError(
                f"margin {self.margin:g} mm is too small: printers leave the edge blank; "
                f"write {LEAST_MARGIN:g} mm or more"
            )
        if not self.overlap >= LEAST_OVERLAP:
            raise TilingError(
                f"overlap {self.overlap:g} mm is too small for a match mark; "
                f"write {LEAST_OVERLAP:g} mm or more"
            )
        need = 2.0 * self.mark_inset + LEAST_SEAM
        x0, y0, x1, y1 = self.window
        least = min(x1 - x0, y1 - y0)
        if not least >= need:
            raise TilingError(
                f"paper {self.paper.name} with margin {self.margin:g} mm and overlap "
                f"{self.overlap:g} mm leaves a window only {max(least, 0.0):g} mm across where {need:g} mm are "
                "needed; make the margin or the overlap smaller, or take a larger paper"
            )

    @property
    def width(self) -> float:
        """Across the page as it is held, mm."""
        return self.paper.height if self.landscape else self.paper.width

    @property
    def height(self) -> float:
        """Up the page as it is held, mm."""
        return self.paper.width if self.landscape else self.paper.height

    @property
    def names_up(self) -> bool:
        """The words that name the page run up its left strip: it is tall enough for them and a ruler."""
        tall = self.height - 2.0 * self.margin - self.banner >= TALL
        return tall and not (self.names_below or self.paper.roll)

    @property
    def strip_bottom(self) -> float:
        """Height of the bottom strip without its banner, mm."""
        return STRIP_BOTTOM if self.names_up else STRIP_BOTTOM + NAMES_BELOW

    @property
    def banner(self) -> float:
        """Height of the lowest part of the bottom strip, which tells a scale that is not full size, mm; or 0."""
        return 0.0 if self.scale.full else BANNER

    @property
    def window(self) -> Box:
        """The part that carries the drawing, in page coordinates."""
        return self._window

    @property
    def step(self) -> tuple[float, float]:
        """How far the windows of neighbours are apart, across and up, mm."""
        x0, y0, x1, y1 = self.window
        return x1 - x0 - self.overlap, y1 - y0 - self.overlap

    @property
    def mark_inset(self) -> float:
        """How far from a window's corner the nearest match mark stands along a seam, mm.

        The corner square of the overlap is shared by four pages; a mark keeps out of it.
        """
        return self.overlap + MARK_RADIUS + 1.0
