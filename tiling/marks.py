"""What joins a page to its neighbours: match marks, trim lines, and the words beside them.

A page is trimmed at its right side and at its top along the middle of the overlap, and laid over its neighbour.
Words stand where they are cut off or hidden, so that none is left on the taped pattern.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from tiling.drawing import XY, Disc, Stroke
from tiling.fonts import text_width
from tiling.ink import FIRM, Ink
from tiling.layout import Layout, Seam, Tile
from tiling.paper import MARK_RADIUS, Box

__all__ = ["DISC", "Joint", "draw_joints", "joints_of", "match_mark"]

DISC = 1.0  # radius, mm
RING = 2.0  # mm; kept white around the disc, so that it is measured alone
TRIM = Stroke(width=0.18, dash=(8.0, 2.0))
WORDS = 3.5  # height of a capital, mm
PAD = 2.0  # mm between words and a match mark


@dataclass(frozen=True, slots=True, kw_only=True)
class Joint:
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


def joints_of(layout: Layout) -> list[list[Joint]]:
    """The joints of every tile, in the order of ``layout.tiles``."""
    found: list[list[Joint]] = [[] for _ in layout.tiles]
    trimmed: set[tuple[int, bool]] = set()
    for seam in layout.seams:
        over, under = layout.tiles[seam.over], layout.tiles[seam.under]
        found[seam.over].append(_joint(layout, over, seam, _OVER, under.name, 1.0))
        found[seam.under].append(_joint(layout, under, seam, _UNDER, over.name, -1.0))
        trimmed.add((seam.over, seam.side == "right"))
    for index, tile in enumerate(layout.tiles):
        found[index] += _bare_trims(layout, tile, trimmed, index)
    return found


_OVER = ("trim to this line, lay over {}", "trim, lay over {}", "to {}")
_UNDER = ("{} lies over, up to this line", "{} lies over", "to {}")


def _joint(
    layout: Layout, tile: Tile, seam: Seam, words: tuple[str, ...], neighbour: str, outward: float
) -> Joint:
    place = layout.to_page(tile)
    start, end = (place.at(point) for point in seam.line)
    return Joint(
        upright=seam.side == "right",
        start=start,
        end=end,
        marks=tuple(place.at(mark) for mark in seam.marks),
        words=tuple(said.format(neighbour) for said in words),
        outward=outward,
    )


def _bare_trims(layout: Layout, tile: Tile, trimmed: set[tuple[int, bool]], index: int) -> Iterable[Joint]:
    """Sides that are trimmed though no page joins there: only a page across the corner lies beyond."""
    x0, y0, x1, y1 = tile.window
    right, top = layout.trim_lines(tile)
    place = layout.to_page(tile)
    if right is not None and (index, True) not in trimmed:
        yield Joint(
            upright=True, start=place.at((right, y0)), end=place.at((right, y1)), marks=(),
            words=("trim to this line", "trim"), outward=1.0,
        )  # fmt: skip
    if top is not None and (index, False) not in trimmed:
        yield Joint(
            upright=False, start=place.at((x0, top)), end=place.at((x1, top)), marks=(),
            words=("trim to this line", "trim"), outward=1.0,
        )  # fmt: skip


def match_mark(ink: Ink, at: XY) -> None:
    """A disc to be measured, white around it, and four short arms to be sighted by eye and by window light."""
    ink.stamp("Mark", _mark, at)


def _mark(ink: Ink) -> None:
    ink.blank(Disc(centre=(0.0, 0.0), radius=RING))
    ink.disc(Disc(centre=(0.0, 0.0), radius=DISC))
    ink.lines([((RING * c, RING * s), (MARK_RADIUS * c, MARK_RADIUS * s)) for c, s in _WAYS], FIRM)


_WAYS = ((1, 0), (0, 1), (-1, 0), (0, -1))


def draw_joints(ink: Ink, joints: Sequence[Joint], *, overlap: float, clear: Callable[[Box], bool]) -> None:
    """Trim lines with their words, then the match marks upon them.

    Args:
        clear: whether nothing is drawn in a box, page coordinates.
    """
    for joint in joints:
        ink.lines(_between(joint), TRIM)
        _say(ink, joint, overlap, clear)
    for joint in joints:
        for mark in joint.marks:
            match_mark(ink, mark)


def _between(joint: Joint) -> list[tuple[XY, XY]]:
    """The stretches of the trim line between its marks, whose arms go on in it."""
    axis = 1 if joint.upright else 0
    other = joint.start[1 - axis]
    stops = [joint.start[axis]]
    for mark in joint.marks:
        stops += [mark[axis] - MARK_RADIUS, mark[axis] + MARK_RADIUS]
    stops.append(joint.end[axis])
    pairs = [(a, b) for a, b in zip(stops[::2], stops[1::2], strict=True) if b > a]
    return [((other, a), (other, b)) if joint.upright else ((a, other), (b, other)) for a, b in pairs]


def _say(ink: Ink, joint: Joint, overlap: float, clear: Callable[[Box], bool]) -> None:
    """The words of a joint between its marks, in the half of the overlap that goes, off the ink if possible."""
    axis = 1 if joint.upright else 0
    ends = [mark[axis] for mark in joint.marks] or [joint.start[axis], joint.end[axis]]
    room = ends[-1] - ends[0] - 2.0 * (MARK_RADIUS + PAD)
    middle = 0.5 * (ends[0] + ends[-1])
    across = joint.start[1 - axis] + joint.outward * 0.25 * overlap
    text, at = _free_place(joint, middle, room, across, clear)
    if joint.upright:
        ink.words(text, (across + 0.5 * WORDS, at), WORDS, turn=0.5 * math.pi, align="middle")
    else:
        ink.words(text, (at, across - 0.5 * WORDS), WORDS, align="middle")


def _free_place(
    joint: Joint, middle: float, room: float, across: float, clear: Callable[[Box], bool]
) -> tuple[str, float]:
    """The longest words that find a clear place along the line, and its middle; else the longest that fit."""
    fitting = [words for words in joint.words if text_width(words, WORDS) <= room] or [joint.words[-1]]
    for text in fitting:
        half = 0.5 * text_width(text, WORDS)
        play = max(0.5 * room - half, 0.0)
        for share in (0.0, 0.5, -0.5, 1.0, -1.0, 0.25, -0.25, 0.75, -0.75):
            at = middle + share * play
            low, high = across - 0.6 * WORDS, across + 0.6 * WORDS
            box = (low, at - half, high, at + half) if joint.upright else (at - half, low, at + half, high)
            if clear(box):
                return text, at
    return fitting[0], middle
