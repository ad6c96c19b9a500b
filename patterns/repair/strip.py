"""The fit-up strip: a narrow template along the planking, to be tried in the boat before good wood is cut."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

import numpy as np

from patterns.flat.shapes import outline_of
from patterns.joinery.wood import Piece
from patterns.pattern import Kind, Line, Mark, Pattern, Span, redrawn
from patterns.repair.cutting import end_cut, trimmed, wood_of
from patterns.repair.notches import notched, notches_of, own_notches
from patterns.repair.outline import Edge
from patterns.repair.places import SIDES, Side
from patterns.repair.repair import Repair
from patterns.repair.shapes import view

__all__ = ["strips"]

CARD = 3.0  # mm; card or thin plywood
TICK = 12.0  # mm
LEFT = 30.0  # mm of card that are left over a notch


def strips(repair: Repair) -> Iterator[Piece]:
    """A strip for every side's edge on the measured face, and for the far face of every whole sister."""
    made = [side for side in SIDES if side in repair.edges_of]
    if repair.symmetrical:
        made = ["starboard"]
    for side in made:
        name = "fit-up strip" if repair.symmetrical else f"fit-up strip {side}"
        yield name, partial(_strip, repair, side, name, 0.0)
    for _, spec in repair.pieces:
        if spec.kind == "sister":
            depth = spec.sided or repair.spec.sided
            depth = -depth if spec.against == "measured face" else repair.spec.sided + depth
            for side in made:
                if spec.side in (side, "both"):
                    name = f"fit-up strip {side}, sister's far face"
                    yield name, partial(_strip, repair, side, name, depth)


def _strip(repair: Repair, side: Side, name: str, depth: float) -> tuple[Pattern, ...]:
    edge = repair.edges_of[side].at_depth(depth)
    cuts = end_cut(edge, "square", upper=False), end_cut(edge, "square", upper=True)
    notches = tuple(notches_of(repair, edge, side))
    edge = trimmed(edge, *cuts)
    broad = max([repair.spec.strip, *(notch.spec.off + LEFT for notch in notches)])
    (area,) = wood_of([edge], lambda _: broad, cuts)
    notches = own_notches(area, notches)
    area = notched(area, notches)
    sense, face, look, sides = view(repair, 1.0)
    which = f"{face} face (measured)" if depth == 0.0 else "far face of the sister"
    both = "both sides, turned over" if repair.symmetrical else f"the {side} side"
    far = np.hypot(*(edge.points[-1] - edge.points[0]))
    pattern = Pattern(
        name=name,
        member="fit-up strip",
        stock="card or thin plywood",
        thickness=CARD,
        laminations=1,
        quantity=f"1, to try on {both}",
        face=f"{which}, {side} side, seen looking {look}",
        sides=sides,
        half=False,
        trial=True,
        lines=(Line(kind=Kind.SAW, points=outline_of(area), closed=True),),
        marks=(*_marks(repair, side, edge), *(notch.mark() for notch in notches)),
        spans=(
            Span(
                name=f"{edge.corners[0]} to {edge.corners[-1]}",
                start=(float(edge.points[0, 0]), float(edge.points[0, 1])),
                end=(float(edge.points[-1, 0]), float(edge.points[-1, 1])),
            ),
        )
        if far > 1.0
        else (),
        facts=(
            "No part of the boat: cut it square, hold it in the plane of that face against the planking",
            "Where it stands off by more than a sheet of card, write how much at the tick and measure there again",
            "Try it with the hull shored to her shape, before the old frame comes out and before good wood is cut",
        ),
        siding=sense,
    )
    mirror = sides[0] != side.upper()
    return (redrawn(pattern, np.diag([-1.0, 1.0])) if mirror else pattern,)


def _marks(repair: Repair, side: Side, edge: Edge) -> Iterator[Mark]:
    """A tick inward at every measured point, by its name."""
    own = repair.measured(side)
    for i, fixed in enumerate(own.points):
        # The strip's edge may be another than the one that was measured: the same share of the same stretch.
        k, share = own.share(i)
        stretch = edge.stretches[k]
        run = share * stretch.run[-1]
        at, out = (
            [float(np.interp(run, stretch.run, values[:, c])) for c in (0, 1)]
            for values in (stretch.points, stretch.out)
        )
        yield Mark(
            name=f"{fixed.measured.name} {fixed.measured.corner}".strip(),
            at=(at[0], at[1]),
            towards=(-out[0], -out[1]),
            length=TICK,
        )
