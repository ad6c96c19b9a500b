"""What joins a page to its neighbours: match marks, trim lines, and the words beside them.

A page is trimmed at its right side and at its top along the middle of the overlap, and laid over its neighbour.
With butt joints its left side and its foot are trimmed too, and what is left of each match mark on one page meets
the other half on the next.  Words stand where they are cut off or hidden; none is left on the taped pattern.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, NamedTuple

from tiling.drawing import XY, Disc, Stroke
from tiling.drawing.affine import Affine
from tiling.layout.page_layout import PageLayout, Seam, Tile
from tiling.pages.obstacles import Clear, Obstacles, Strip
from tiling.paper import MARK_RADIUS
from tiling.pdf.shapes import FIRM, Ink
from tiling.text.typeface import text_width

__all__ = ["DISC", "PageJoint", "draw_joints", "joints_of", "match_mark"]

DISC = 1.0  # radius, mm
RING = 2.0  # mm; kept white around the disc, so that it is measured alone
TRIM = Stroke(width=0.18, dash=(8.0, 2.0))
WORDS = 3.5  # height of a capital, mm
SHARES = (0.0, 0.5, -0.5, 1.0, -1.0, 0.25, -0.25, 0.75, -0.75)  # of half the free way, tried in turn
PAD = 2.0  # mm between words and a match mark
LEAST_TOUCH = 1.0  # mm more than the overlap, which pages share in a corner


@dataclass(frozen=True, slots=True, kw_only=True)
class PageJoint:
    """One side of a page where another page joins it, page coordinates.

    Attributes:
        upright: the line runs up the page.
        start, end: ends of the trim line, the lower or left one first.
        marks: centres of its match marks, in the same order; none where only a corner is shared.
        words: said beside it, the longest form first.
        outward: which way the words stand off the line: +1 to the right or up, -1 to the left or down.
    """

    upright: bool
    start: XY
    end: XY
    marks: tuple[XY, ...]
    words: tuple[str, ...]
    outward: float


def joints_of(layout: PageLayout) -> list[list[PageJoint]]:
    """The joints of every tile, in the order of ``layout.tiles``."""
    sides: dict[tuple[int, _Side], list[tuple[Seam, int]]] = {}
    for seam in layout.seams:
        facing: _Side = "left" if seam.side == "right" else "below"
        sides.setdefault((seam.over, seam.side), []).append((seam, seam.under))
        sides.setdefault((seam.under, facing), []).append((seam, seam.over))
    return [list(_joints(layout, index, sides)) for index in range(len(layout.tiles))]


_Side = Literal["right", "above", "left", "below"]
_OVER = ("trim to this line, lay over {}", "trim, lay over {}", "to {}")
_UNDER = ("{} lies over, up to this line", "{} lies over", "to {}")
_BUTT = ("trim to this line, butt against {}", "trim, butt against {}", "to {}")
_BARE = ("trim to this line", "trim")


def _joints(
    layout: PageLayout, index: int, sides: Mapping[tuple[int, _Side], list[tuple[Seam, int]]]
) -> Iterator[PageJoint]:
    tile = layout.tiles[index]
    place = layout.to_page(tile)
    x0, y0, x1, y1 = tile.window
    right, top = layout.trim_lines(tile)
    half, butt = 0.5 * layout.page.overlap, layout.page.butt
    trimmed: tuple[_Side, ...] = ("right", "above", "left", "below") if butt else ("right", "above")
    lines: tuple[tuple[_Side, float | None, float, float], ...] = (
        ("right", right, y0, y1),
        ("above", top, x0, x1),
        ("left", x0 + half if layout.neighbour(tile, "left") else None, y0, y1),
        ("below", layout.foot_line(tile), x0, x1),
    )
    for side, line, start, end in lines:
        if line is None:
            continue
        seams = sides.get((index, side), [])
        stretches = _stretches(seams, side, start, end, whole=side == "above" or (butt and side == "below"))
        for (low, high), (seam, other) in zip(stretches, seams, strict=True):
            yield _joint(layout, place, side, line, (low, high), seam.marks, layout.tiles[other].name)
        if side in trimmed and not seams:
            # trimmed though no page joins there: only a page across the corner lies beyond
            yield _joint(layout, place, side, line, (start, end), (), "")
        elif not butt and side == "below" and len(seams) != len(layout.touching(tile, "below")):
            yield from _touched(layout, tile, place, line, seams, stretches)


def _stretches(
    seams: Sequence[tuple[Seam, int]], side: _Side, start: float, end: float, *, whole: bool
) -> list[tuple[float, float]]:
    """The stretch of the line that is drawn for each of the seams on that side, which follow one another.

    Where two pages join beside the line, their seams share the overlap: they meet in its middle.  A line to trim
    along (``whole``) runs on from edge to edge of the window.
    """
    axis = 1 if side in ("right", "left") else 0
    ends = [(seam.line[0][axis], seam.line[1][axis]) for seam, _ in seams]
    lows, highs = [low for low, _ in ends], [high for _, high in ends]
    for i in range(1, len(ends)):
        if whole or highs[i - 1] > lows[i]:
            highs[i - 1] = lows[i] = 0.5 * (highs[i - 1] + lows[i])
    if ends and whole:
        lows[0], highs[-1] = start, end
    return list(zip(lows, highs, strict=True))


def _touched(
    layout: PageLayout,
    tile: Tile,
    place: Affine,
    line: float,
    seams: Sequence[tuple[Seam, int]],
    stretches: Sequence[tuple[float, float]],
) -> Iterator[PageJoint]:
    """Short stretches along the foot of a page that the corner of a shifted page covers: no marks, but a line."""
    x0, _, x1, _ = tile.window
    joined = {other for _, other in seams}
    for lower in layout.touching(tile, "below"):
        if layout.index_at(lower.row, lower.column) in joined:
            continue
        low, high = max(x0, lower.window[0]), min(x1, lower.window[2])
        for start, end in stretches:
            if end <= high:
                low = max(low, end)
            if start >= low:
                high = min(high, start)
        if high - low >= layout.page.overlap + LEAST_TOUCH:
            yield _joint(layout, place, "below", line, (low, high), (), lower.name)


def _joint(
    layout: PageLayout,
    place: Affine,
    side: _Side,
    line: float,
    stretch: tuple[float, float],
    marks: tuple[XY, ...],
    neighbour: str,
) -> PageJoint:
    upright = side in ("right", "left")
    over = side in ("right", "above")
    words = _BARE if not neighbour else _BUTT if layout.page.butt else _OVER if over else _UNDER
    start, end = (place.at((line, at) if upright else (at, line)) for at in stretch)
    return PageJoint(
        upright=upright,
        start=start,
        end=end,
        marks=tuple(place.at(mark) for mark in marks),
        words=tuple(said.format(neighbour) for said in words),
        outward=1.0 if over else -1.0,
    )


def match_mark(ink: Ink, at: XY) -> None:
    """A disc to be measured, white around it, and four short arms to be sighted by eye and by window light."""
    ink.stamp("Mark", _mark, at)


def _mark(ink: Ink) -> None:
    ink.blank(Disc(centre=(0.0, 0.0), radius=RING))
    ink.disc(Disc(centre=(0.0, 0.0), radius=DISC))
    ink.lines([((RING * c, RING * s), (MARK_RADIUS * c, MARK_RADIUS * s)) for c, s in _WAYS], FIRM)


_WAYS = ((1, 0), (0, 1), (-1, 0), (0, -1))


def draw_joints(ink: Ink, joints: Sequence[PageJoint], *, overlap: float, taken: Obstacles) -> None:
    """Trim lines with their words, then the match marks upon them.

    Args:
        taken: what is drawn already.
    """
    places = [_JointWords.of(joint, overlap) for joint in joints]
    clear = taken.along([place.strip for place in places])
    for joint, place, free in zip(joints, places, clear, strict=True):
        ink.lines(_between(joint), TRIM)
        place.say(ink, free)
    for joint in joints:
        for mark in joint.marks:
            match_mark(ink, mark)


def _between(joint: PageJoint) -> list[tuple[XY, XY]]:
    """The stretches of the trim line between its marks, whose arms go on in it."""
    axis = 1 if joint.upright else 0
    other = joint.start[1 - axis]
    stops = [joint.start[axis]]
    for mark in joint.marks:
        stops += [mark[axis] - MARK_RADIUS, mark[axis] + MARK_RADIUS]
    stops.append(joint.end[axis])
    pairs = [(a, b) for a, b in zip(stops[::2], stops[1::2], strict=True) if b > a]
    return [((other, a), (other, b)) if joint.upright else ((a, other), (b, other)) for a, b in pairs]


class _JointWords(NamedTuple):
    """Where the words of a joint may stand: between its marks, in the half of the overlap that goes.

    Attributes:
        fitting: the words that have room, the longest first (or the shortest of all), each with its breadth, mm.
        middle, room: of the stretch between the marks.
        across: the middle of the words, across the line.
    """

    upright: bool
    fitting: list[tuple[str, float]]
    middle: float
    room: float
    across: float

    @classmethod
    def of(cls, joint: PageJoint, overlap: float) -> _JointWords:
        axis = 1 if joint.upright else 0
        ends = [mark[axis] for mark in joint.marks] or [joint.start[axis], joint.end[axis]]
        room = ends[-1] - ends[0] - 2.0 * (MARK_RADIUS + PAD)
        sizes = [(words, text_width(words, WORDS)) for words in joint.words]
        return cls(
            upright=joint.upright,
            fitting=[each for each in sizes if each[1] <= room] or sizes[-1:],
            middle=0.5 * (ends[0] + ends[-1]),
            room=room,
            across=joint.start[1 - axis] + joint.outward * 0.25 * overlap,
        )

    @property
    def strip(self) -> Strip:
        """All that the words may take up."""
        reach = 0.5 * max(self.room, self.fitting[0][1]) + PAD + 1.0
        low, high = self.across - 0.6 * WORDS, self.across + 0.6 * WORDS
        start, end = self.middle - reach, self.middle + reach
        return ((low, start, high, end) if self.upright else (start, low, end, high)), self.upright

    def say(self, ink: Ink, clear: Clear) -> None:
        """Draw them, off what is drawn already if possible."""
        text, at = self._place(clear)
        if self.upright:
            ink.words(text, (self.across + 0.5 * WORDS, at), WORDS, turn=0.5 * math.pi, align="middle")
        else:
            ink.words(text, (at, self.across - 0.5 * WORDS), WORDS, align="middle")

    def _place(self, clear: Clear) -> tuple[str, float]:
        """The longest words that find a clear place along the line, and its middle; else the shortest."""
        for text, width in self.fitting:
            half = 0.5 * width
            play = max(0.5 * self.room - half, 0.0)
            for share in SHARES:
                at = self.middle + share * play
                if clear(at - half - PAD, at + half + PAD):
                    return text, at
        return self.fitting[-1][0], self.middle
