"""The pieces of a built frame: futtocks, a bottom piece across, a piece across under the deck."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

import numpy as np
import shapely

from patterns.boat import Boat
from patterns.flat import overlays
from patterns.joinery.built import Built, Futtock, title_of, whole_of
from patterns.joinery.flat_pieces import FLIP, bare_faces, fitted, xy
from patterns.joinery.rings import TOP
from patterns.joinery.wood import sided_fact, stock_of
from patterns.wood.facts import Fact
from patterns.wood.features import XY, Hole, Scribed
from patterns.wood.meeting import Meeting
from patterns.wood.piece import Hand, Piece, Step
from patterns.wood.placement import OnFace

__all__ = ["futtock_pieces"]

FEATHER = math.radians(30.0)  # common practice, no source: a butt's sharper end breaks off


def _steps(built: Built, piece: Futtock) -> tuple[Step, ...]:
    """The middle of a piece with half laps, where its shape changes; empty where it has none."""
    if piece.halves is None:
        return ()
    return (Step(depth=0.5 * built.spec.sided, before=piece.halves[0], after=piece.halves[1]),)


def _joint_facts(built: Built, piece: Futtock) -> Iterator[Fact]:
    spec = built.spec
    for joint in built.joints:
        if piece.name not in (joint.below, joint.above):
            continue
        mate = joint.above if piece.name == joint.below else joint.below
        at = {"joint": joint.name, "mate": mate}
        runs = (piece.name == joint.below) == (spec.through == "lower")
        if built.futtock(mate) is None:
            yield Fact("joint-end", at)
        elif spec.joint == "butt" and runs:
            yield Fact("joint-through", at)
        elif spec.joint == "butt":
            yield Fact("joint-butt", {**at, "turn": joint.turn, "feather": joint.turn < FEATHER})
        elif spec.joint == "half lap":
            yield Fact("joint-lap", {**at, "face": "other" if runs else "moulded", "depth": 0.5 * spec.sided})
        else:
            yield Fact("joint-mitre", at)


def _flips(built: Built, piece: Futtock) -> tuple[float, float]:
    """The v of the flip points of a piece across: its own ends on the centreline, one of them carried on."""
    _, low, _, high = overlays.intersection(piece.saw, shapely.box(-1.0, -1e4, 1e-3, 1e4)).bounds
    if piece.name == TOP:
        return low - FLIP, high
    return min(low, float(built.ring.sections[0].apex[1])), high + FLIP


def _grain(built: Built, piece: Futtock) -> XY:
    """Along the piece: the chord of its planking edge, or athwart."""
    if piece.across:
        return 1.0, 0.0
    edge = built.ring.sections[0].traces[piece.name].uv
    along = edge[-1] - edge[0]
    return xy(along / np.hypot(*along))


def futtock_pieces(
    boat: Boat,
    built: Built,
    *,
    dowels: Mapping[str, Sequence[Hole]],
    scribed: Mapping[str, Sequence[Scribed]],
    more: Mapping[str, Sequence[Fact]],
    facts: Sequence[Fact],
    meetings: Sequence[Meeting],
) -> Iterator[Piece]:
    """Each piece of the frame.

    Args:
        dowels: the holes in each, by its name.
        scribed, more: what else is on each and known of it, by its name.
        facts: that hold for all.
        meetings: between any of the frame's pieces.
    """
    spec, sections, left = built.spec, built.ring.sections, built.ring.depth_left()
    for piece in built.futtocks:
        bare = Piece(
            name=title_of(built.spec, piece.name),
            part_of=whole_of(built.spec),
            member="futtock",
            stock=stock_of(spec),
            hand=Hand.CENTRE if piece.across else Hand.PAIR,
            placement=OnFace(sections[0].plane, built.sense),
            faces=bare_faces(
                sections,
                piece.wood,
                scribed=scribed.get(piece.name, ()),
            ),
            steps=_steps(built, piece),
            flips=_flips(built, piece) if piece.across else (),
            holes=tuple(dowels.get(piece.name, ())),
            facts=(
                sided_fact(spec),
                *_joint_facts(built, piece),
                *facts,
                *more.get(piece.name, ()),
                *(() if piece.across else (Fact("turn-over"),)),
            ),
            grain=_grain(built, piece),
            meetings=tuple(each for each in meetings if title_of(built.spec, piece.name) in each.pair),
        )
        yield fitted(boat, bare, sections, built.ring.passing, limbers=built.limbers, left=left)
