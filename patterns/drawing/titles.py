"""What a drawing says of its piece: the name in its wood, and below it a block of fixed lines."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

import numpy as np
import shapely

from patterns.drawing.hole_signs import FLIP_POINT, sign_of
from patterns.drawing.strokes import NAME, NOTES, WORDS
from patterns.flat.roomiest import roomiest
from patterns.flat.shapes import area_of
from patterns.pattern import Kind, Pattern
from patterns.text.bevels import bevel_rule
from patterns.text.title_words import HOLES, TITLE
from patterns.wood.piece import Hand
from tiling.drawing import XY, Note
from tiling.paper.scale import Scale

__all__ = ["home_of", "title_of"]

LETTER = 5.5  # mm of a line for each letter of a name, with room to spare on both sides
BROAD = 100.0  # mm; room for a name where no outline is closed
WIDEST = 92.0  # mm; a line of the block
SIMPLER = 0.2  # mm; as near as an outline need be known for words to lie in it
LEVEL_LONG = 50.0  # mm; a level line as long can be seen to run straight through both halves


def title_of(pattern: Pattern, boat: str, scale: Scale, *, half: str) -> list[Note]:
    """What the piece is.

    Args:
        boat: its name, as a pattern that is cut out has lost the foot of its page.
        half: the side that is drawn, where the other is to be had by flipping; else empty.
    """
    target, room = _in_the_wood(pattern)
    name = pattern.name.upper()
    if not scale.full:
        name = TITLE["name-at-scale"].format(name=name, scale=scale.name)  # the name is in no layer
    in_doubt = "\n" + TITLE["in-doubt"] if any(fact.kind == "in-doubt" for fact in pattern.known) else ""
    wrapped = textwrap.wrap(name, max(int(room / LETTER), 1), break_long_words=False)
    home = home_of(pattern)
    lines = [boat, *_lines(pattern, scale, half)]
    return [
        Note(
            text=f"{name}{in_doubt}",
            short="\n".join(wrapped) + in_doubt,
            target=target,
            height=NAME,
            reach=250.0,
            rank=0,
            home=home,
        ),
        Note(
            text="\n".join(lines),
            target=target,
            height=WORDS,
            reach=250.0,
            rank=1,
            layer=NOTES,
            home=home,
            widest=WIDEST,
        ),
    ]


def _lines(pattern: Pattern, scale: Scale, half: str) -> Iterator[str]:
    """The lines of the block: how many, of what, which side is up, how to make the other hand, the bevels' rule."""
    if not scale.full:
        yield TITLE["not-full-size"].format(warning=scale.warning)
    yield TITLE["quantity"].format(quantity=pattern.quantity)
    yield TITLE["stock"].format(stock=pattern.facts[0])
    which = "shows" if pattern.template else "print-side"
    if pattern.face:
        yield TITLE[which].format(face=pattern.print_side or pattern.face)
    if half:
        flip = "flip-level" if _level(pattern) else "flip"
        yield TITLE[flip].format(half=half, across=pattern.size()[0] / scale.factor)
    elif pattern.hand is Hand.PAIR and not pattern.template and not pattern.trial:
        yield TITLE["other-hand"]
    sizes = dict.fromkeys((sign_of(hole), hole.diameter) for hole in pattern.holes)
    holes = [
        TITLE["hole"].format(sign=HOLES[sign], diameter=wide) for sign, wide in sizes if sign != FLIP_POINT
    ]
    if holes:
        yield TITLE["holes"].format(holes=", ".join(holes))
    if any(not reading.land for reading in pattern.readings):
        yield TITLE["bevels"].format(rule=bevel_rule())


def _level(pattern: Pattern) -> bool:
    """Whether a named line runs level from the drawn half to the other."""
    return any(
        bool(line.name)
        and float(np.ptp(line.points[:, 1])) < 1e-6 < LEVEL_LONG < float(np.ptp(line.points[:, 0]))
        for line in pattern.of_kind(Kind.REFERENCE)
    )


def home_of(pattern: Pattern) -> tuple[XY, ...]:
    """The outline of the wood, for words that belong in it; empty where none is closed."""
    if pattern.template:
        return ()
    outlines = [line.points for line in pattern.of_kind(Kind.SAW) if line.closed or pattern.half]
    largest = max(outlines, key=lambda points: float(area_of(points).area), default=None)
    if largest is None or len(largest) < 3:
        return ()
    few = np.array(shapely.LineString(largest).simplify(SIMPLER).coords)
    return tuple((float(x), float(y)) for x, y in few)


def _in_the_wood(pattern: Pattern) -> tuple[XY, float]:
    """Where the wood is broadest, as words there can belong to no other piece, and how broad it is there, mm."""
    lines = tuple(pattern.of_kind(Kind.SAW))
    closed = [area_of(line.points) for line in lines if line.closed or pattern.half]
    wood = max(closed, key=lambda area: area.area, default=None)
    if wood is None or wood.is_empty:
        x, y = np.vstack([line.points for line in lines]).mean(axis=0).tolist()
        return (x, y), BROAD
    x, y, radius = roomiest(wood)
    return (x, y), 2.0 * radius
