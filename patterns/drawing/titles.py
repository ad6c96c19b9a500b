"""What a drawing says of its piece: the name in its wood, and the block of words for the bench."""

from __future__ import annotations

import textwrap

import numpy as np

from patterns.drawing.strokes import NAME, NOTES, WORDS
from patterns.flat.roomiest import roomiest
from patterns.flat.shapes import area_of
from patterns.pattern import Kind, Pattern
from patterns.text.bevels import bevel_rule
from tiling.drawing import XY, Note
from tiling.paper.scale import Scale

__all__ = ["title_of"]

LETTER = 5.5  # mm of a line for each letter of a name, with room to spare on both sides
BROAD = 100.0  # mm; room for a name where no outline is closed
USE = (
    "stock on this face, read square to the edge; roll it straight from one to the next.",
    "Standing: saw square to the saw line, then plane to this face's line. Under: tilt the saw on the saw line.",
)
BLOCK = 34  # characters in a line of the words for the bench


def title_of(pattern: Pattern, boat: str, scale: Scale, *, half: str) -> list[Note]:
    """What the piece is, and the words for the bench.

    Args:
        half: the side that is drawn, where the other is to be had by flipping; else empty.
    """
    target, room = _in_the_wood(pattern)
    flip = f"Half: flip about the centreline at the two pricked points. This half: {half}." if half else ""
    at_scale = "" if scale.full else f", {scale.name}"  # the name is in no layer
    small = () if scale.full else (f"{scale.warning}. Lengths in words are the boat's.",)
    use = (f"Bevels: {bevel_rule()}, {USE[0]}", USE[1]) if _sawn_bevels(pattern) else ()
    lines = [
        boat,
        *small,
        f"Quantity: {pattern.quantity}",
        *(f"{fact}." for fact in pattern.facts[:3]),
        f"Shows the {pattern.face}.",
        flip,
        *use,
    ]
    # Where there is no room for all, these name the piece; the rest stands beside the map of its pages.
    few = [f"{pattern.name}:", *lines[1 : 3 + len(small)], f"Shows the {pattern.face}.", flip]
    name = f"{pattern.name.upper()}{at_scale}"
    in_doubt = "\nIN DOUBT" if any(fact.kind == "in-doubt" for fact in pattern.known) else ""
    wrapped = textwrap.wrap(name, max(int(room / LETTER), 1), break_long_words=False)
    return [
        Note(
            text=f"{name}{in_doubt}",
            short="\n".join(wrapped) + in_doubt,
            target=target,
            height=NAME,
            reach=250.0,
            rank=0,
        ),
        Note(
            text=_block(lines),
            short=_block(few),
            rest=" ".join(use),
            target=target,
            height=WORDS,
            reach=250.0,
            rank=2,
            layer=NOTES,
        ),
    ]


def _sawn_bevels(pattern: Pattern) -> bool:
    return any(not reading.land for reading in pattern.readings)


def _in_the_wood(pattern: Pattern) -> tuple[XY, float]:
    """Where the wood is broadest, as words there can belong to no other piece, and how broad it is there, mm."""
    lines = tuple(pattern.of_kind(Kind.SAW))
    closed = [area_of(line.points) for line in lines if line.closed]
    wood = max(closed, key=lambda area: area.area, default=None)
    if wood is None or wood.is_empty:
        x, y = np.vstack([line.points for line in lines]).mean(axis=0).tolist()
        return (x, y), BROAD
    x, y, radius = roomiest(wood)
    return (x, y), 2.0 * radius


def _block(lines: list[str]) -> str:
    return "\n".join(part for line in lines if line for part in textwrap.wrap(line, BLOCK))
