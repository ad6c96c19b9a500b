"""The fit-up strip: a narrow template along the planking, to be tried in the boat before good wood is cut."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import partial

import numpy as np

from patterns.drawing.of_piece import pattern_of
from patterns.joinery.flat_pieces import xy
from patterns.joinery.wood import Wanted
from patterns.pattern import Pattern
from patterns.repair.cutting import end_cut, trimmed, wood_of
from patterns.repair.drawn import distance
from patterns.repair.keep_clear import kept_clear
from patterns.repair.notches import notched, notches_of, own_notches, timber_meetings
from patterns.repair.old_cuts import old_cuts
from patterns.repair.outline import Edge
from patterns.repair.places import SIDES, Side
from patterns.repair.repair import Repair
from patterns.repair.section import section_at
from patterns.repair.shapes import hand_of, placed_on
from patterns.repair.words import FAR_FACE, WORDS
from patterns.wood.facts import Fact
from patterns.wood.features import Note
from patterns.wood.piece import Face, Piece, Role, Stock

__all__ = ["strip_piece", "strips"]

CARD = 3.0  # mm; card or thin plywood
TICK = 12.0  # mm
LEFT = 30.0  # mm of card that are left over a notch


def strips(repair: Repair) -> Iterator[Wanted]:
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
    return (pattern_of(repair, strip_piece(repair, side, name, depth), WORDS),)


def strip_piece(repair: Repair, side: Side, name: str, depth: float) -> Piece:
    """The strip of one side on the face at a depth behind the measured one, mm."""
    whole = repair.edges_of[side].at_depth(depth)
    cuts = end_cut(whole, "square", upper=False), end_cut(whole, "square", upper=True)
    notches = tuple(notches_of(repair, whole, side))
    section = section_at(trimmed(whole, *cuts), depth, repair.behind)
    edge = section.edge
    old = list(old_cuts(repair, side, whole)) if depth == 0.0 else []
    breadth = max([
        repair.spec.strip, *(notch.spec.off + LEFT for notch in notches), *(cut.moulded for cut in old)
    ])  # fmt: skip
    (wood,) = wood_of([section], lambda _: breadth, cuts)
    notches = own_notches(wood, notches)
    wood = notched(wood, name, 0, timber_meetings(name, [notches]))
    face = Face(region=wood, sources={})
    lines = (
        *(line for cut in old for line in cut.lines),
        *kept_clear(repair, whole, wood, side),
    )
    notes = (*_ticks(repair, side, edge), *(notch.note() for notch in notches))
    ends = edge.points[[0, -1]]
    return Piece(
        name=name,
        member="fit-up strip",
        stock=Stock(wood="card or thin plywood", thickness=CARD),
        hand=hand_of(repair, side, both=True),
        placement=placed_on(side, section.plane, repair.behind),
        faces=(replace(face, notes=notes, scribed=lines), face),
        distances=(distance(xy(ends[0]), xy(ends[1]), edge.corners[0], edge.corners[-1]),)
        if np.hypot(*(ends[1] - ends[0])) > 1.0
        else (),
        facts=(
            Fact("strip-no-part"),
            *(cut.fact for cut in old),
            Fact("strip-off-by"),
            Fact("strip-shored"),
        ),
        moulded="measured" if depth == 0.0 else FAR_FACE,
        role=Role.TRIAL,
    )


def _ticks(repair: Repair, side: Side, edge: Edge) -> Iterator[Note]:
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
        point = {"point": fixed.measured.name, "corner": fixed.measured.corner}
        yield Note(
            fact=Fact("measured-point", point),
            at=(at[0], at[1]),
            towards=(-out[0], -out[1]),
            length=TICK,
        )
