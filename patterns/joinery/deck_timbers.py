"""Where the deck's timbers stand: their faces, and what they lie between."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from patterns.boat import Boat
from patterns.design.deck_models import BeamSpec, CarlingSpec, KingPlankSpec, beside_frame
from patterns.errors import PatternsError
from patterns.flat.polylines import parallel
from patterns.hull.cuts import Trace, cut_along
from patterns.hull.planes import FloatArray, Plane, station_plane
from patterns.hull.sections import Section, cut_hull
from patterns.hull.spaces import Beyond, flipped

__all__ = [
    "Beam",
    "Carling",
    "aft_of",
    "beam_called",
    "carling_called",
    "carling_specs",
    "deck_along",
    "fore_and_aft_plane",
    "on_deck",
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


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Carling:
    """A carling or king plank where it stands.

    Attributes:
        faces: the inboard face (a king plank's port one) and the other one.
        tops: the deck's underside on the two faces, from forward aft.
        least: the lower of the two at each place along, (n, 2).
        under: its underside, square to its faces, (n, 2), from forward aft.
        beams: all it crosses, from forward aft; the first and the last are those it ends at.
    """

    spec: CarlingSpec | KingPlankSpec
    faces: tuple[Plane, Plane]
    tops: tuple[Trace, Trace]
    least: FloatArray
    under: FloatArray
    beams: tuple[Beam, ...]

    @property
    def slab(self) -> tuple[Beyond, Beyond]:
        """The space between its two faces; their normals point inboard."""
        return flipped(aft_of(self.faces[0])), aft_of(self.faces[1])


def aft_of(plane: Plane) -> Beyond:
    """The half of space on the side of a plane's normal."""
    return Beyond(at=plane.origin, normal=plane.normal)


def outboard_of(plane: Plane) -> Beyond:
    """The half of space outboard of a plane that runs fore and aft; its normal points inboard."""
    return flipped(aft_of(plane))


def _beam_faces(boat: Boat, spec: BeamSpec) -> tuple[Plane, Plane, float]:
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
    moulded, other, sense = _beam_faces(boat, spec)
    return Beam(
        spec=spec,
        faces=(moulded, other),
        sense=sense,
        sections=(cut_hull(boat.hull, moulded), cut_hull(boat.hull, other)),
    )


def fore_and_aft_plane(fore: FloatArray, after: FloatArray) -> Plane:
    """The upright plane through two points, (3,); u runs aft along it from the first, v is the height.

    Its normal points inboard.
    """
    run = np.array([after[0] - fore[0], after[1] - fore[1], 0.0])
    return Plane(
        origin=np.array([fore[0], fore[1], 0.0]), u=run / np.linalg.norm(run), v=np.array([0.0, 0.0, 1.0])
    )


def on_deck(beam: Beam, face: Plane, half_breadth: float) -> FloatArray:
    """Where the deck's underside has a half-breadth on one of a beam's faces, (3,), mm.

    Raises:
        PatternsError: the deck is not so wide there.
    """
    trace = beam.sections[0 if face is beam.faces[0] else 1].deck
    if half_breadth >= trace.uv[-1, 0]:
        raise PatternsError(
            f"its half-breadth of {half_breadth:g} mm is past the side at {beam.spec.name} "
            f"({trace.uv[-1, 0]:.0f} mm)"
        )
    return face.space(
        np.array([half_breadth, float(np.interp(half_breadth, trace.uv[:, 0], trace.uv[:, 1]))])
    )


def deck_along(boat: Boat, plane: Plane, low: float, high: float) -> Trace:
    """The deck's underside on a plane that runs fore and aft, from forward aft, past the two distances aft.

    Raises:
        PatternsError: the plane passes clear of the deck there.
    """
    count = int((high - low + 2.0 * RUN_ON) / APART) + 2
    p = np.linspace(low - RUN_ON, high + RUN_ON, count)
    p = p[(p > boat.hull.deck.start) & (p < boat.hull.deck.end + RUN_ON)]
    trace = cut_along(boat.hull.deck, plane, inset=boat.hull.deck_inset, p=p, r_range=(0.0, 1.3))
    reach = [float(plane.flat(np.array([x, plane.origin[1], 0.0]))[0]) for x in (low, high)]
    if trace is None or trace.uv[0, 0] > reach[0] or trace.uv[-1, 0] < reach[1]:
        raise PatternsError("the deck does not reach over it from end to end")
    return trace


def _ported(trace: Trace) -> Trace:
    """The same trace on the port side."""
    return Trace(uv=trace.uv, normal=trace.normal * np.array([1.0, -1.0, 1.0]), r=trace.r)


def _underside(least: FloatArray, moulded: float, *, straight: bool, low: float, high: float) -> FloatArray:
    """A carling's underside below its lower top edge, (n, 2); straight, it is parallel to the chord."""
    if not straight:
        return parallel(least, -moulded)
    ends = np.interp([low, high], *least.T)
    slope = (ends[1] - ends[0]) / (high - low)
    inside = least[(least[:, 0] >= low) & (least[:, 0] <= high)]
    inside = np.vstack([[low, ends[0]], inside, [high, ends[1]]])
    start = float((inside[:, 1] - slope * inside[:, 0]).min()) - moulded * float(np.hypot(1.0, slope))
    u = least[[0, -1], 0]
    return np.stack([u, start + slope * u], axis=-1)


def carling_specs(boat: Boat) -> list[CarlingSpec | KingPlankSpec]:
    """Carlings and king planks of the design: all that lies fore and aft on the beams."""
    return [*boat.design.all(CarlingSpec), *boat.design.all(KingPlankSpec)]


@lru_cache(maxsize=128)
def carling_called(boat: Boat, name: str) -> Carling:
    """A carling or king plank by its name.

    Raises:
        PatternsError: a beam of its cannot be placed, or the deck does not reach over it.
    """
    spec = next(spec for spec in carling_specs(boat) if spec.name == name)
    fore, after = (beam_called(boat, beam) for beam in spec.between)
    if isinstance(spec, CarlingSpec):
        ends = (
            on_deck(fore, fore.after, spec.half_breadth[0]),
            on_deck(after, after.fore, spec.half_breadth[1]),
        )
        side = 1.0
    else:
        half = 0.5 * spec.sided
        ends = on_deck(fore, fore.after, half), on_deck(after, after.fore, half)
        side = -1.0
    if ends[1][0] <= ends[0][0]:
        raise PatternsError(
            f"{after.spec.name} does not lie aft of {fore.spec.name}; name its beams from forward aft"
        )
    plane = fore_and_aft_plane(*ends)
    outer = plane.moved(-spec.sided)
    low, high = ends[0][0] - fore.spec.sided, ends[1][0] + after.spec.sided
    if side > 0:
        faces = plane, outer
        tops = deck_along(boat, plane, low, high), deck_along(boat, outer, low, high)
    else:  # the deck is known to starboard; the port face mirrors it
        faces = plane.moved(spec.sided), plane
        top = deck_along(boat, plane, low, high)
        tops = _ported(top), top
    u = tops[0].uv[:, 0]
    least = np.stack([u, np.minimum(tops[0].uv[:, 1], np.interp(u, *tops[1].uv.T))], axis=-1)
    straight = isinstance(spec, CarlingSpec) and spec.underside == "straight"
    under = _underside(
        least, spec.moulded, straight=straight, low=low - plane.origin[0], high=high - plane.origin[0]
    )
    return Carling(
        spec=spec,
        faces=faces,
        tops=tops,
        least=least,
        under=under,
        beams=(fore, *_between(boat, fore, after, 0.5 * (ends[0][1] + ends[1][1])), after),
    )


def _between(boat: Boat, fore: Beam, after: Beam, half_breadth: float) -> list[Beam]:
    """The whole beams under the deck that stand between two others, from forward aft."""

    def aft(beam: Beam) -> float:
        return float(beam.faces[0].space(np.array([0.0, beam.sections[0].deck.uv[0, 1]]))[0])

    found = []
    for spec in boat.design.all(BeamSpec):
        if spec.from_carling or spec.top is not None or spec.name in (fore.spec.name, after.spec.name):
            continue
        try:
            beam = beam_called(boat, spec.name)
        except PatternsError:  # told at the beam itself
            continue
        if aft(fore) < aft(beam) < aft(after) and half_breadth < beam.sections[0].deck.uv[-1, 0]:
            found.append(beam)
    return sorted(found, key=aft)
