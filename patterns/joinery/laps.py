"""The laps that the deck's timbers share, each one a meeting made from where beams and carlings lie uncut."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from patterns.boat import Boat
from patterns.design.deck_models import BeamSpec, KingPlankSpec
from patterns.errors import PatternsError
from patterns.hull.planes import cross
from patterns.hull.spaces import Beyond, flipped
from patterns.joinery.deck_timbers import (
    Beam,
    Carling,
    aft_of,
    beam_called,
    carling_called,
    carling_specs,
    outboard_of,
)
from patterns.wood.meeting import Joinery, Meeting

__all__ = ["laps_of_beam", "laps_of_carling"]


def _bed_height(beam: Beam, carling: Carling) -> float:
    """The least height up the beam's plane, v, of the deck's underside over the place where the two cross."""
    heights = []
    for section in beam.sections:
        points = section.plane.space(section.deck.uv)
        for face in carling.faces:
            over = face.height_over(points)
            if over.max() < 0.0:  # the port face of a king plank: its mirror is as high
                over = face.height_over(points * np.array([1.0, -1.0, 1.0]))
            order = np.argsort(over)
            heights.append(float(np.interp(0.0, over[order], section.deck.uv[order, 1])))
    return min(heights)


def _square_bed(beam: Beam, carling: Carling, depth: float) -> Beyond:
    """A bed square to the beam's faces and level across."""
    height = _bed_height(beam, carling) - depth
    return Beyond(at=beam.faces[0].space(np.array([0.0, height])), normal=beam.faces[0].v)


def _full_bed(beam: Beam, carling: Carling) -> Beyond:
    """The bed that is a plank's own underside between the beam's faces."""
    plane = carling.faces[0]
    points = plane.space(carling.under)
    ends = []
    for face in (beam.fore, beam.after):
        over = face.height_over(points)
        ends.append(np.array([np.interp(0.0, over, points[:, k]) for k in range(3)]))
    run = ends[1] - ends[0]
    up = cross(run, plane.normal)
    up = up if up[2] > 0.0 else -up
    return Beyond(at=ends[0], normal=up / np.linalg.norm(up))


def _lap_on_beam(carling: Carling, beam: Beam) -> Meeting | None:
    """How a carling lies in one of its beams; None where it ends at the beam's face."""
    spec = carling.spec
    at_end = beam is carling.beams[0] or beam is carling.beams[-1]
    if at_end and spec.ends == "butted":
        return None
    if isinstance(spec, KingPlankSpec) and spec.let_in is None:
        bed, depth = _full_bed(beam, carling), spec.moulded
    else:
        depth = spec.let_in if spec.let_in is not None else 0.5 * spec.moulded
        bed = _square_bed(beam, carling, depth)
    space: tuple[Beyond, ...] = beam.slab
    if at_end:  # the far side is the piece's own end
        space = (flipped(aft_of(beam.after)),) if beam is carling.beams[0] else (aft_of(beam.fore),)
    return Meeting(
        kind=Joinery.HALF_LAP,
        over=spec.name,
        under=beam.spec.name,
        across=(space, carling.slab),
        bed=bed,
        depth=depth,
    )


def _lap_on_carling(beam: Beam, carling: Carling) -> Meeting | None:
    """How a half beam lies in its carling; None where it ends at the carling's face."""
    spec = beam.spec
    if spec.from_end == "butted":
        return None
    depth = spec.let_in if spec.let_in is not None else 0.5 * (spec.moulded or 0.0)
    if depth <= 0.0:
        raise PatternsError("its let_in is missing; give the depth of its notch in the carling")
    return Meeting(
        kind=Joinery.HALF_LAP,
        over=spec.name,
        under=carling.spec.name,
        across=((flipped(outboard_of(carling.faces[1])),), beam.slab),
        bed=_square_bed(beam, carling, depth),
        depth=depth,
    )


def laps_of_carling(boat: Boat, carling: Carling) -> list[Meeting]:
    """The laps of a carling with its beams, and of its half beams with it."""
    laps = [_lap_on_beam(carling, beam) for beam in carling.beams]
    for spec in boat.design.all(BeamSpec):
        if spec.from_carling == carling.spec.name:
            laps.append(_lap_on_carling(beam_called(boat, spec.name), carling))
    return [lap for lap in laps if lap is not None]


def laps_of_beam(boat: Boat, beam: Beam) -> list[Meeting]:
    """The laps of a beam with the carlings and king planks that cross it or end at it."""
    if beam.spec.from_carling:
        lap = _lap_on_carling(beam, carling_called(boat, beam.spec.from_carling))
        return [] if lap is None else [lap]
    laps: list[Meeting | None] = []
    for carling in _all_carlings(boat):
        laps += [_lap_on_beam(carling, other) for other in carling.beams if other is beam]
    return [lap for lap in laps if lap is not None]


def _all_carlings(boat: Boat) -> Sequence[Carling]:
    found = []
    for spec in carling_specs(boat):
        try:
            found.append(carling_called(boat, spec.name))
        except PatternsError:  # told at the carling itself
            continue
    return found
