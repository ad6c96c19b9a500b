"""The strips of a page, left and below its window: rulers, what the page is, its mark, how to print it."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from tiling.drawing import XY
from tiling.pages.rulers import BREADTH, TAIL, UP, Ruler, ruler_reach
from tiling.paper import STRIP_LEFT, Box, Page
from tiling.pdf.shapes import Ink
from tiling.text.lines import elided
from tiling.text.typeface import text_width

__all__ = ["WORDS", "Strips", "lay_strips"]

WORDS = 3.5  # height of a capital, mm
UPRIGHT_WORDS = 2.5  # the same where three lines run up the left strip
UPRIGHT_PITCH = 2.9  # mm from base line to base line there
LEAST_TITLE = 15.0  # mm; a title that is cut shorter than this is left out
LARGE = (10.0, 7.0)  # heights for a page's row and column, the first that fits
TAG_MOST = 30.0  # mm across the page's row and column
NARROW = 170.0  # mm; on a narrower page the ruler needs the room
GAP = 2.5  # mm
LEAST = 155.0  # mm; the upright ruler is not shortened below this to make room for words
OTHERS = 0.62  # of the second line that other words may take where a name is to stand there
WIDEST = "QQQQQ"  # no mark is broader
WIDEST_CODE = " – record DDDDDD"  # no code is broader
WIDE = 190.0  # mm; a line that long holds the words on printing besides the page's name
FOOT = 1.15  # mm below the lower base line: the foot of a g
PITCH = 4.5  # mm from base line to base line in the bottom strip
BANNER_WORDS = (7.0, 5.0)  # heights of a capital for what a page says that is not full size


@dataclass(frozen=True, slots=True, kw_only=True)
class Strips:
    """Where everything in the strips stands; the same on all pages of a file, page coordinates.

    Attributes:
        drawn_for: the printer's correction in words; empty where there is none.
        tag: breadth of the corner that holds the page's row and column, mm.
        tag_height: of its capitals, mm.
        across, upright: the two rulers.
        owned: pages belong to somebody, whose name begins the second line of words.
        patterns: pages of patterns, which carry marks of their own, stand in the same file.
        beside: the words on printing run up above the upright ruler.  Elsewhere they end the first line of words
            or, where the page is too narrow for that, the second one.
        foot: where the words that run up the page begin, all three lines of them; 0: two are below the ruler.
    """

    page: Page
    mark: str
    drawn_for: str
    tag: float
    tag_height: float
    across: Ruler
    upright: Ruler
    beside: bool
    foot: float = 0.0
    owned: bool = False
    patterns: bool = True

    @property
    def _shared(self) -> bool:
        """The words on printing end the first line, which holds more words before them."""
        return not self.beside and self._room >= WIDE

    @property
    def _words(self) -> float:
        """Height of a capital of the lines of words, mm."""
        return UPRIGHT_WORDS if self.foot else WORDS

    @property
    def _left(self) -> float:
        return self.page.margin + self.tag + GAP

    @property
    def _right(self) -> float:
        return self.page.width - self.page.margin

    @property
    def _room(self) -> float:
        """Length of a line of words, mm."""
        return self.page.height - self.page.margin - self.foot if self.foot else self._right - self._left

    def _line(self, ink: Ink, words: str, line: int, *, ends: bool = False) -> None:
        """Words on the first (0), second (1) or third (2) line, from its beginning or up to its end."""
        at, turn = self._place(line, self._room if ends else 0.0)
        ink.words(words, at, self._words, turn=turn, align="right" if ends else "left")

    def _place(self, line: int, along: float) -> tuple[XY, float]:
        """A place on a line of words, and how the line is turned."""
        m = self.page.margin
        if self.foot:
            return (m + 1.04 * self._words + line * UPRIGHT_PITCH, self.foot + along), 0.5 * math.pi
        return (self._left + along, m + self.page.banner + FOOT + (1 - line) * PITCH), 0.0

    @property
    def name_box(self) -> Box:
        """Where the page's names are: the lines of words, and its row and column beside them; page coordinates."""
        m = self.page.margin
        if self.foot:
            return m, self.foot, m + STRIP_LEFT, self.page.height - m
        return m, m, self._right, self._place(0, 0.0)[0][1] + WORDS

    def draw_fixed(self, ink: Ink) -> None:
        """What is the same on every page: rulers and how to print."""
        self.across.draw(ink)
        self.upright.draw(ink)
        if self.page.banner:
            self._draw_banner(ink)
        if self.foot and not self.owned:
            self._line(ink, self._last_line(), 2)
        elif self.beside and not self.foot:
            top = self.page.height - self.page.margin
            x = self.page.margin + 1.08 * WORDS  # an l is higher than a capital
            first, second = _how(self.page)
            ink.words(first, (x, top), WORDS, turn=0.5 * math.pi, align="right")
            ink.words(second, (x + PITCH, top), WORDS, turn=0.5 * math.pi, align="right")
        elif self._shared:
            self._line(ink, _how_short(self.page), 0, ends=True)

    def _draw_banner(self, ink: Ink) -> None:
        """That the page is not full size, as large as the strip allows."""
        said, wide = self.page.scale.warning, self._right - self.page.margin
        fitting = [height for height in BANNER_WORDS if text_width(said, height) <= wide]
        height = fitting[0] if fitting else BANNER_WORDS[-1] * wide / text_width(said, BANNER_WORDS[-1])
        ink.words(said, (self.page.margin, self.page.margin), height)

    def draw_mark(self, ink: Ink, mark: str = "") -> None:
        """The second line of words: the mark, and what the page was drawn for.

        Args:
            mark: of the page's pattern; empty on a page that belongs to none and carries the job's.
        """
        if self.foot and self.owned:  # the name has the line before that to itself
            self._line(ink, self._last_line(f"Mark {mark or self.mark}. " if mark or self.mark else ""), 2)
            return
        said = self._second_line(mark or self.mark, own=bool(mark))
        if said:
            self._line(ink, said, 1, ends=self.owned)

    def _last_line(self, before: str = "") -> str:
        """The words on printing where they have a line up the page."""
        if self.drawn_for:
            how = f"{self.drawn_for}."
        else:
            how = " ".join(_how(self.page))
            if before or text_width(how, self._words) > self._room:
                how = _how_short(self.page)
        return elided(f"{before}{how}", self._room, self._words)

    def _second_line(self, mark: str, *, own: bool) -> str:
        """The words of the second line besides the owner's name, which stands before them."""
        room, high = self._room, self._words
        elsewhere = self.beside or self._shared  # where the words on printing stand
        tail = " only" if own else ""
        only = f"Mark {mark}{tail}. " if mark else ""
        how = "" if elsewhere else "Print at 100 %. " if only else f"{_how_short(self.page)} "
        drawn_for = f"{self.drawn_for}." if self.drawn_for and not self.foot else ""
        if self.owned:  # short, and the mark whole
            only = only if elsewhere else f"Mark {mark}, 100 %. " if mark else "100 %. "
            left = OTHERS * room - text_width(only, high)
            return f"{only}{elided(drawn_for, max(left, 0.0), high)}".strip()
        if drawn_for or not elsewhere:
            return elided(f"{only}{how}{drawn_for}".strip(), room, high)
        if mark and not (own or self.patterns):
            return elided(f"Mark {mark}.", room, high)
        said = f"Mark {mark}: {OTHER_MARKS[0] if own else FIRST_PAGES[0]}"
        if text_width(said, high) > room:
            said = f"Mark {mark}: {OTHER_MARKS[1] if own else FIRST_PAGES[1]}"
        return elided(said, room, high) if mark else ""

    def draw_owner(self, ink: Ink, name: str, which: str) -> None:
        """Whose page this is: a name, elided where it is long, and which of how many sets it belongs to."""
        high = self._words
        beside = "" if self.foot else self._second_line(WIDEST if self.mark else "", own=True)
        room = self._room - text_width(beside, high) - GAP
        rest = f" – {which}" if which else ""
        shown = elided(name, room - text_width(rest, high), high)
        self._line(ink, f"{shown}{rest}" if shown else which, 1)

    def draw_named(
        self, ink: Ink, *, tag: str, title: str, name: str, number: int, total: int, coded: bool = False
    ) -> None:
        """What is this page's own: its row and column large, the boat, its name and number.

        Args:
            coded: the short code of the file's record stands after them.
        """
        m = self.page.margin
        base = m + self.page.banner
        height = self.tag_height
        while height > WORDS and text_width(tag, height) > self.tag:
            height = max(lower for lower in (*LARGE, 5.0, WORDS) if lower < height)
        ink.words(tag, (m, base + 0.5 * (self.page.strip_bottom - height)), height)
        room, high = self._room, self._words
        if self._shared:
            room -= text_width(_how_short(self.page), high) + 2.0 * GAP
        if coded:
            room -= text_width(WIDEST_CODE, high)
        ending = f"page {number} of {total}"
        rest = room - text_width(f" –  – {ending}", high)
        wide = text_width(name, high)
        if text_width(title, high) + wide > rest:
            left = max(rest - wide, 0.2 * rest)
            # The page with the code has the title large at its head: there a part of it is of no use.
            title = elided(title, left, high) if left >= LEAST_TITLE and not coded else ""
            name = elided(name, rest - text_width(title, high), high)
        line = " – ".join(part for part in (title, name, ending) if part)
        self._line(ink, line, 0)
        if coded:
            at, turn = self._place(0, text_width(f"{line} – ", high))
            ink.record_code(at, high, turn=turn)


OTHER_MARKS = (
    "pages with another mark do not belong to this pattern.",
    "other marks do not belong here.",
)
FIRST_PAGES = ("of these first pages; every pattern has its own.", "every pattern has its own.")


def _how(page: Page) -> tuple[str, str]:
    """How to print, in two lines."""
    size = f"At 100 % on {page.paper.name}." if page.paper.onto else "Print at 100 %, actual size."
    return size, "Both rulers must read true."


def _how_short(page: Page) -> str:
    """The same in one line."""
    size = f"{page.paper.name}, at 100 %" if page.paper.onto else "Print at 100 %"
    return f"{size}. Rulers must read true."


def lay_strips(
    page: Page,
    *,
    mark: str,
    tags: tuple[str, ...] = (),
    long: bool = False,
    drawn_for: str = "",
    owned: bool = False,
) -> Strips:
    """Find the places for rulers and words on that page.

    Args:
        mark: the job's short mark; pages of a pattern carry their own.
        tags: every row and column name that must stand in the corner.
        drawn_for: the printer's correction in words.
        long: both rulers as long as the page allows, no words beside them.
        owned: every page says whose it is.
    """
    if long:
        page = replace(page, names_below=True)
    height = LARGE[1] if page.names_up else LARGE[0]
    widest = max((text_width(tag, height) for tag in tags), default=0.0)
    if height > LARGE[1] and (widest > TAG_MOST or page.width < NARROW):
        widest, height = widest * LARGE[1] / LARGE[0], LARGE[1]
    tag = min(TAG_MOST, max(widest, 14.0))
    _, y0, _, y1 = page.window
    left = page.margin + tag + GAP
    across = Ruler(
        start=(left + 1.2, y0 - BREADTH + UP),
        length=ruler_reach(page.width - page.margin - left - 1.2),
        long=long,
        scale=page.scale,
    )
    foot = y0 + GAP
    beside = max(text_width(words, WORDS) for words in _how(page)) + GAP
    full = ruler_reach(y1 - foot)
    short = LEAST if page.names_up else ruler_reach(y1 - foot - beside)
    above = short >= LEAST and not long
    upright = Ruler(
        start=(page.margin + UP, foot),
        length=short if above else full,
        upright=True,
        long=long,
        scale=page.scale,
    )
    return Strips(
        page=page, mark=mark, drawn_for=drawn_for, tag=tag, tag_height=height,
        across=across, upright=upright, beside=above,
        foot=foot + short + TAIL + GAP if page.names_up else 0.0, owned=owned, patterns=bool(tags),
    )  # fmt: skip
