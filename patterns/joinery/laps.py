"""How the deck's timbers lap and butt each other: meetings made from where beams and carlings lie uncut."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from patterns.boat import Boat
from patterns.design.deck_models import BeamSpec, CarlingSpec, KingPlankSpec
from patterns.errors import PatternsError
from patterns.hull.planes import Plane, cross
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
from patterns.wood.labels import Against, Deck, Free, Level, Trim
from patterns.wood.meeting import CRUMB, Joinery, Loss, Meeting
from patterns.wood.region import Region

__all__ = ["laps_of_beam", "laps_of_carling", "let_in_by"]


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


def _on_beam(carling: Carling, beam: Beam) -> Meeting:
    """How a carling lies in one of its beams, or ends at the beam's face."""
    spec = carling.spec
    at_end = beam is carling.beams[0] or beam is carling.beams[-1]
    if at_end and spec.ends == "butted":
        return _butted(spec, beam, fore=beam is carling.beams[0])
    if isinstance(spec, KingPlankSpec) and spec.let_in is None:
        bed, depth = _full_bed(beam, carling), spec.moulded
    else:
        depth = spec.let_in if spec.let_in is not None else 0.5 * spec.moulded
        bed = _square_bed(beam, carling, depth)
    space: tuple[Beyond, ...] = beam.slab
    if at_end:  # the far side is the piece's own end
        space = (flipped(aft_of(beam.after)),) if beam is carling.beams[0] else (aft_of(beam.fore),)
    return _lap((spec.name, space), (beam.spec.name, carling.slab), bed, depth, keys=_keys(spec))


def _butted(spec: CarlingSpec | KingPlankSpec, beam: Beam, *, fore: bool) -> Meeting:
    """Its end at a beam's face."""
    end = Trim("fore" if fore else "after")
    return Meeting(kind=Joinery.BUTT, lands=spec.name, on=beam.spec.name, keys=_keys(spec), edges=(end,))


def _on_carling(beam: Beam, carling: Carling) -> Meeting:
    """How a half beam lies in its carling, or ends at the carling's face."""
    spec = beam.spec
    if spec.from_end == "butted":
        against = Against(carling.spec.name)
        keys = (f'beam "{spec.name}", key from_end',)
        return Meeting(kind=Joinery.BUTT, lands=spec.name, on=against.piece, keys=keys, edges=(against,))
    depth = spec.let_in if spec.let_in is not None else 0.5 * (spec.moulded or 0.0)
    if depth <= 0.0:
        raise PatternsError("its let_in is missing; give the depth of its notch in the carling")
    return _lap(
        (spec.name, (flipped(outboard_of(carling.faces[1])),)),
        (carling.spec.name, beam.slab),
        _square_bed(beam, carling, depth),
        depth,
        keys=(f'beam "{spec.name}", key from_carling',),
    )


def _lap(
    over: tuple[str, tuple[Beyond, ...]],
    under: tuple[str, tuple[Beyond, ...]],
    bed: Beyond,
    depth: float,
    *,
    keys: tuple[str, ...],
) -> Meeting:
    """Two pieces let into each other: the one over is cut away below the bed, the one under it above.

    Args:
        over, under: the name of each, and the space between the faces of the other as it sees them; open at the
            end of a piece.  So the two notches are one another's counterpart.
        bed: the half of space above the plane in which they touch.
        depth: of the bed below the deck's underside, mm.
    """
    first, second = over[0], under[0]
    return Meeting(
        kind=Joinery.HALF_LAP,
        lands=first,
        on=second,
        keys=keys,
        edges=(Against(first), Against(second)),
        cuts=(
            Loss(piece=first, against=second, space=(*over[1], flipped(bed)), left_to=(Deck, Level)),
            Loss(piece=second, against=first, space=(*under[1], bed), left_to=(Free,)),
        ),
        depth=depth,
    )


def _keys(spec: CarlingSpec | KingPlankSpec) -> tuple[str, ...]:
    """Where the design says between which beams it lies."""
    table = "king_plank" if isinstance(spec, KingPlankSpec) else "carling"
    return (f'{table} "{spec.name}", key between',)


def let_in_by(
    name: str, meetings: Sequence[Meeting], planes: Sequence[Plane], blanks: Sequence[Region]
) -> tuple[Meeting, ...]:
    """The laps of a piece; over one that takes no wood from it none is measured: let in whole, it only lies there.

    Args:
        planes, blanks: of its faces, and their wood before any meeting cut it.
    """

    def taking(meeting: Meeting) -> bool:
        return meeting.cut(name) is not None and any(
            meeting.space_in(name, plane).area.intersection(blank.area).area > CRUMB
            for plane, blank in zip(planes, blanks, strict=True)
        )

    return tuple(
        meeting
        if taking(meeting)
        else replace(meeting, cuts=tuple(cut for cut in meeting.cuts if cut.piece != name))
        for meeting in meetings
    )


def laps_of_carling(boat: Boat, carling: Carling) -> list[Meeting]:
    """The laps of a carling with its beams, and of its half beams with it."""
    laps = [_on_beam(carling, beam) for beam in carling.beams]
    for spec in boat.design.all(BeamSpec):
        if spec.from_carling == carling.spec.name:
            laps.append(_on_carling(beam_called(boat, spec.name), carling))
    return laps


def laps_of_beam(boat: Boat, beam: Beam) -> list[Meeting]:
    """The laps of a beam with the carlings and king planks that cross it or end at it."""
    if beam.spec.from_carling:
        return [_on_carling(beam, carling_called(boat, beam.spec.from_carling))]
    return [
        _on_beam(carling, other)
        for carling in _all_carlings(boat)
        for other in carling.beams
        if other is beam
    ]


def _all_carlings(boat: Boat) -> Sequence[Carling]:
    found = []
    for spec in carling_specs(boat):
        try:
            found.append(carling_called(boat, spec.name))
        except PatternsError:  # told at the carling itself
            continue
    return found
