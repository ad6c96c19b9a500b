"""The legs that hold a frame at the set-up line while the boat is built upside down, and the piece across them.

They are straight sticks that are taken out again: they get words and a line on the frame, no pattern of their own.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from patterns.boat import Boat
from patterns.design.set_up_models import SetUpSpec
from patterns.errors import PatternsError
from patterns.flat import overlays
from patterns.flat.shapes import area_of, inside_points
from patterns.hull.sections import Section, cut_hull
from patterns.joinery.passages import notches_in
from patterns.joinery.rings import CRUMB, Ring, section_area
from patterns.joinery.wood import looking
from patterns.wood.facts import Fact
from patterns.wood.features import Scribed

__all__ = ["Legs", "legs_of"]

PAST = 10.0  # mm by which a leg's line runs past the wood


@dataclass(frozen=True, slots=True, kw_only=True)
class Legs:
    """The two legs of a frame.

    Attributes:
        lines: where the starboard one's outer edge lies on the frame.
        facts: for the bench.
    """

    lines: tuple[Scribed, ...]
    facts: tuple[Fact, ...]


def legs_of(boat: Boat, ring: Ring, *, sense: float) -> Legs | None:
    """The legs of a frame; None where the design has none.

    They stand plumb, as far out as planking and timbers let them over their whole lap.

    Raises:
        PatternsError: they reach up to no line above the frame, or do not lie on its side.
    """
    spec = next(iter(boat.design.all(SetUpSpec)), None)
    if (
        spec is None
        or spec.leg is None
        or spec.leg_sided is None
        or spec.leg_lap is None
        or spec.leg_face is None
    ):
        return None
    face = 0 if looking(sense)[0] == spec.leg_face else 1
    section = ring.sections[face]
    beyond = section.plane.moved((-sense if face == 0 else sense) * spec.leg_sided)
    top = section.plane.up_at_height(spec.line)
    sheer = float(section.corners[-1].at[1])
    if top <= sheer:
        raise PatternsError("its legs reach up to no set-up line above the sheer; set the line higher")
    foot = sheer - spec.leg_lap
    outer = min(_room(boat, each, foot, sheer) for each in (section, cut_hull(boat.hull, beyond)))
    leg = shapely.box(outer - spec.leg, foot, outer, sheer)
    on = overlays.intersection(ring.faces[face], leg).area
    if on < CRUMB:
        raise PatternsError(
            "its legs, as far out as planking and timbers let them stand, miss its sides; give a lesser leg_lap"
        )
    line = np.array([[outer, foot], [outer, sheer + PAST]])
    lines = tuple(
        Scribed(fact=Fact("leg-edge"), points=part) for part in inside_points(ring.saw.buffer(PAST), [line])
    )
    fact = Fact(
        "legs",
        {
            "stock": spec.leg_stock,
            "wide": spec.leg,
            "sided": spec.leg_sided,
            "long": top - foot,
            "face": spec.leg_face,
            "out": outer,
            "lap": spec.leg_lap,
            "share": on / leg.area,
            "across": spec.cross_piece,
        },
    )
    return Legs(lines=lines, facts=(fact,))


def _room(boat: Boat, section: Section, foot: float, sheer: float) -> float:
    """How far out a plumb stick may reach on a face, between two levels, before it meets planking or a timber."""
    room = section_area(section)
    for notch in notches_in(boat, section):
        room = overlays.difference(room, area_of(notch.corners))
    band = shapely.box(0.0, foot, 1e4, sheer)
    taken = overlays.difference(band, room)
    # The deck comes later: what is over it but inside of the side is free.
    over = area_of(np.vstack([section.deck.uv, [[section.deck.uv[-1, 0], 1e4], [0.0, 1e4]]]))
    taken = overlays.difference(taken, over)
    parts = [part.bounds[0] for part in shapely.get_parts(taken) if part.area > 1.0 and part.bounds[0] > 1.0]
    return float(min(parts, default=band.bounds[2]))
