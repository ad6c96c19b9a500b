"""The pieces of a built frame as patterns: futtocks, a bottom piece across, a piece across under the deck."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import numpy as np
import shapely

from patterns.boat import Boat
from patterns.flat.shapes import area_of, both_halves
from patterns.joinery.built import Built, Futtock
from patterns.joinery.flat_pieces import FLIP, FlatPiece, flat_pattern, xy
from patterns.joinery.rings import TOP
from patterns.joinery.wood import wood_words
from patterns.pattern import XY, Body, Hole, Line, Mark, Pattern

__all__ = ["futtock_patterns", "title_of"]

FEATHER = math.radians(30.0)  # common practice, no source: a butt's sharper end breaks off


def title_of(built: Built, name: str) -> str:
    """What a piece of the frame is called."""
    return f"frame {built.spec.name} {name}"


def _bodies(built: Built, piece: Futtock) -> tuple[Body, ...]:
    """The wood of a piece with half laps, for each half of the thickness; empty where it has none."""
    if piece.between is None:
        return ()

    def area(half: Any) -> Any:
        return both_halves(half) if piece.across else half

    deep = 0.5 * built.sense * built.spec.sided
    plane = built.ring.sections[0].plane
    pairs = (piece.faces[0], piece.between[0]), (piece.between[1], piece.faces[1])
    return tuple(
        Body(
            plane=plane.moved(number * deep),
            depth=deep,
            moulded=area(moulded),
            other=area(other),
            mirrored=not piece.across,
        )
        for number, (moulded, other) in enumerate(pairs)
    )


def _joint_words(built: Built, piece: Futtock) -> Iterator[str]:
    spec = built.spec
    for joint in built.joints:
        if piece.name not in (joint.below, joint.above):
            continue
        mate = joint.above if piece.name == joint.below else joint.below
        if built.futtock(mate) is None:
            yield f"At the {joint.name}: its own end; no {mate} piece is made"
            continue
        runs = (piece.name == joint.below) == (spec.through == "lower")
        match spec.joint:
            case "butt":
                how = "this piece runs through" if runs else f"butts against the {mate} piece"
                if not runs and joint.turn < FEATHER:
                    how += (
                        f"; they meet at {math.degrees(joint.turn):.0f}°, so that this end runs out to a feather "
                        "edge, where a mitre leaves wood"
                    )
            case "half lap":
                cut = "other" if runs else "moulded"
                how = f"half lap, {cut} face cut away {0.5 * spec.sided:g} mm deep"
            case _:
                how = "mitre"
        yield f"At the {joint.name}: {how}"


def _flips(built: Built, piece: Futtock) -> tuple[float, float]:
    """The v of the flip points of a piece across: its own ends on the centreline, one of them carried on."""
    _, low, _, high = piece.saw.intersection(shapely.box(-1.0, -1e4, 1e-3, 1e4)).bounds
    if piece.name == TOP:
        return low - FLIP, high
    return min(low, float(built.ring.sections[0].apex[1])), high + FLIP


def _own_depths(built: Built, piece: Futtock) -> dict[str, float]:
    saw = piece.saw.buffer(0.01)
    mine = {
        notch.timber
        for notches in built.ring.notches
        for notch in notches
        if saw.intersects(area_of(notch.corners))
    }
    return {timber: left for timber, left in built.ring.depth_left().items() if timber in mine}


def _grain(built: Built, piece: Futtock) -> XY:
    """Along the piece: the chord of its planking edge, or athwart."""
    if piece.across:
        return 1.0, 0.0
    edge = built.ring.sections[0].traces[piece.name].uv
    along = edge[-1] - edge[0]
    return xy(along / np.hypot(*along))


def futtock_patterns(
    boat: Boat,
    built: Built,
    *,
    dowels: Mapping[str, Sequence[Hole]],
    marks: Mapping[str, Sequence[Mark]],
    lines: Mapping[str, Sequence[Line]],
    words: Mapping[str, Sequence[str]],
    facts: Sequence[str],
) -> Iterator[Pattern]:
    """A pattern for each piece.

    Args:
        dowels: the holes in each, by its name.
        marks, lines, words: more of them on each, by its name.
        facts: words for the bench that hold for all.
    """
    spec = built.spec
    for piece in built.futtocks:
        yield flat_pattern(
            boat,
            FlatPiece(
                name=title_of(built, piece.name),
                member="futtock",
                stock=spec.stock,
                thickness=spec.sided,
                laminations=spec.laminations,
                sense=built.sense,
                sections=built.ring.sections,
                notches=built.ring.notches,
                wood=piece.wood,
                across=piece.across,
                flips=_flips(built, piece) if piece.across else (0.0, 0.0),
                bodies=_bodies(built, piece),
                dowels=dowels.get(piece.name, ()),
                marks=marks.get(piece.name, ()),
                lines=lines.get(piece.name, ()),
                words=(
                    *wood_words(spec),
                    *_joint_words(built, piece),
                    *facts,
                    *words.get(piece.name, ()),
                ),
                limbers=built.limbers,
                grain=_grain(built, piece),
                depth_left=_own_depths(built, piece),
            ),
        )
