"""Where beams stand: their two faces, and the hull cut by these."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Protocol

from patterns.boat import Boat
from patterns.design.deck_models import BeamSpec, beside_frame
from patterns.hull.planes import Plane, station_plane
from patterns.hull.sections import Section, cut_hull
from patterns.hull.spaces import Beyond, flipped

__all__ = [
    "Beam",
    "aft_of",
    "beam_called",
    "faces_across",
    "outboard_of",
]

RUN_ON = 150.0  # mm by which a fore-and-aft cut of the deck runs past the two ends that are asked for
APART = 4.0  # mm between the places at which it is cut


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Beam:
    """A beam where it stands.

    Attributes:
        spec: as designed.
        faces: the moulded face and the other one.
        sense: 1 where the wood runs aft from the moulded face, -1 where forward.
        sections: the hull cut by the two faces.
    """

    spec: BeamSpec
    faces: tuple[Plane, Plane]
    sense: float
    sections: tuple[Section, Section]

    @property
    def fore(self) -> Plane:
        """Its forward face."""
        return self.faces[0] if self.sense > 0 else self.faces[1]

    @property
    def after(self) -> Plane:
        """Its after face."""
        return self.faces[1] if self.sense > 0 else self.faces[0]

    @property
    def slab(self) -> tuple[Beyond, Beyond]:
        """The space between its two faces."""
        return aft_of(self.fore), flipped(aft_of(self.after))


def aft_of(plane: Plane) -> Beyond:
    """The half of space on the side of a plane's normal."""
    return Beyond(at=plane.origin, normal=plane.normal)


def outboard_of(plane: Plane) -> Beyond:
    """The half of space outboard of a plane that runs fore and aft; its normal points inboard."""
    return flipped(aft_of(plane))


class Across(Protocol):
    """A piece across the boat, as the design places it."""

    @property
    def at(self) -> str | None: ...
    @property
    def rake(self) -> float: ...
    @property
    def siding_runs(self) -> str | None: ...
    @property
    def sided(self) -> float: ...


def faces_across(boat: Boat, spec: Across) -> tuple[Plane, Plane, float]:
    """The moulded face and the other one of a piece across the boat, and its sense: 1 aft, -1 forward."""
    assert spec.at is not None
    beside = beside_frame(spec.at)
    if beside is None:
        x = boat.distance(spec.at)
        sense = -1.0 if x < boat.hull.widest else 1.0
        moulded = station_plane(x, rake=spec.rake)
    else:
        side, name = beside
        frame = next(frame for frame in boat.design.frames if frame.name == name)
        first, second, runs = boat.frame_faces(frame)
        fore, after = (first, second) if runs > 0 else (second, first)
        moulded, sense = (after, 1.0) if side == "aft" else (fore, -1.0)
    if spec.siding_runs is not None:
        sense = 1.0 if spec.siding_runs == "aft" else -1.0
    return moulded, moulded.moved(sense * spec.sided), sense


@lru_cache(maxsize=128)
def beam_called(boat: Boat, name: str) -> Beam:
    """A beam by its name.

    Raises:
        PatternsError: it stands clear of the hull.
    """
    spec = next(spec for spec in boat.design.all(BeamSpec) if spec.name == name)
    moulded, other, sense = faces_across(boat, spec)
    return Beam(
        spec=spec,
        faces=(moulded, other),
        sense=sense,
        sections=(cut_hull(boat.hull, moulded), cut_hull(boat.hull, other)),
    )
