"""The boat's surfaces, made from its fair lines: strakes, deck, and the plane of the transom."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from patterns.hull.clinker import Laps, lower_edge, upper_edge
from patterns.hull.curved import curved_face, hollow, leaning
from patterns.hull.cuts import Trace, cut_across
from patterns.hull.girth import Girth
from patterns.hull.planes import FloatArray, Plane, station_plane
from patterns.hull.sheets import sheet_patches
from patterns.hull.strakes import STERN, Strake, past_end
from patterns.hull.surfaces import Curve, DeckSurface, Patch, Ruled, abreast, by_itself, crown_radius

__all__ = [
    "STERN",
    "TURNED",
    "DeckShape",
    "FairCurves",
    "Hull",
    "Strake",
    "StrakeGiven",
    "TransomShape",
    "build_hull",
    "foot_on_profile",
    "plank_between",
]

NEAR_END = 3.0  # mm; an end of a line that fairing moved off the transom's plane by less still marks it
TURNED = np.array([-1.0, 1.0, 1.0])  # a point seen with the boat turned round


class StrakeGiven(Protocol):
    """What the design says of a strake."""

    @property
    def name(self) -> str: ...
    @property
    def between(self) -> tuple[str, str]: ...
    @property
    def planking(self) -> float: ...
    @property
    def sections(self) -> str: ...


@dataclass(frozen=True, slots=True, kw_only=True)
class Hull:
    """The hull between its lines.

    Attributes:
        profile: keel and stem rabbet in one; its parameter rises from the stem's head to the stern.
        lines: the other lines by name, from the centreline up.
        keel: the name of the profile line, as the strakes call it.
        strakes: from the keel up.
        deck: the deck's surface through the sheer line.
        deck_inset: from that surface down to the deck's underside, mm.
        transom: the face on which the lines end at the stern, a plane or curved; where they end on a sternpost the
            upright plane through its aftmost place.
        bow_face: the face on which they end at the bow, seen with the boat turned round (x changes its sign); None
            where a stem stands there.
        stems: whether a stem stands at the bow, and at the stern; where none does a transom stands.
        widest: the distance aft of the greatest breadth, mm.
    """

    profile: Curve
    lines: Mapping[str, Curve]
    keel: str
    strakes: tuple[Strake, ...]
    deck: DeckSurface
    deck_inset: float
    transom: Plane
    widest: float
    bow_face: Plane | None = None
    stems: tuple[bool, bool] = (True, False)

    @property
    def bow_transom(self) -> Plane | None:
        """The plane that touches the bow transom's face on the centreline, its normal aft; None at a stem."""
        face = self.bow_face
        if face is None:
            return None
        return Plane(origin=face.origin * TURNED, u=face.u, v=face.v * TURNED)

    def deck_underside(self, plane: Plane, *, reach: float = 1.2) -> Trace | None:
        """The trace of the deck's underside on a plane athwartships, from the centreline out past the sheer."""
        r = np.linspace(0.0, reach, 97)
        out = (
            0.0 if self.stems[0] else past_end(self.deck, plane, fore=True),
            0.0 if self.stems[1] else past_end(self.deck, plane, fore=False),
        )
        return cut_across(self.deck, plane, inset=self.deck_inset, r=r, run_out=out)

    def pierced(self, curve: Curve, plane: Plane) -> tuple[FloatArray, FloatArray] | None:
        """Where a line pierces a plane athwartships, (3,), mm, and its unit direction there, aft, (3,).

        None where it does not reach the plane.
        """
        t = np.linspace(curve.start, curve.end, 400)
        over = plane.height_over(curve.at(t))
        crosses = np.nonzero((over[:-1] <= 0.0) != (over[1:] <= 0.0))[0]
        if len(crosses) == 0:
            nearest = int(np.abs(over).argmin())
            # The ends of the lines lie on the transom's plane, give or take the fairing.
            place = t[nearest]
            return self._at(curve, place) if abs(over[nearest]) < NEAR_END else None
        i = int(crosses[0])
        place = t[i] + (t[i + 1] - t[i]) * over[i] / (over[i] - over[i + 1])
        for _ in range(4):
            here = curve.at(np.array(place))
            slope = float(curve.at(np.array(place), 1) @ plane.facing(here))
            place = place - float(plane.height_over(here)) / slope
        return self._at(curve, place)

    @staticmethod
    def _at(curve: Curve, t: float) -> tuple[FloatArray, FloatArray]:
        along = curve.at(np.array(t), 1)
        return curve.at(np.array(t)), along / np.linalg.norm(along)


def foot_on_profile(profile: Curve, point: FloatArray) -> float:
    """The profile line's parameter at the place nearest to a point, seen from the side."""
    t = np.linspace(profile.start, profile.end, 801)
    for _ in range(3):
        gap = profile.at(t)[:, [0, 2]] - point[[0, 2]]
        best = int(np.hypot(*gap.T).argmin())
        low, high = t[max(best - 1, 0)], t[min(best + 1, len(t) - 1)]
        t = np.linspace(low, high, 401)
    return float(t[np.hypot(*(profile.at(t)[:, [0, 2]] - point[[0, 2]]).T).argmin()])


def _patches(
    profile: Curve, lower: Curve | None, upper: Curve, *, sheet: bool, stems: tuple[bool, bool]
) -> tuple[tuple[Ruled, ...], int]:
    """The pieces of one strake, from aft forward, and which of them lies between its two lines.

    Args:
        lower: None means the profile line itself.
        stems: whether a stem stands at the bow, and at the stern.
    """
    upper_fore = foot_on_profile(profile, upper.at(np.array(upper.start))) if stems[0] else profile.start
    upper_aft = foot_on_profile(profile, upper.at(np.array(upper.end))) if stems[1] else profile.end
    ends = upper_fore, upper_aft
    lower_fore = (
        foot_on_profile(profile, lower.at(np.array(lower.start))) if lower and stems[0] else upper_fore
    )
    lower_aft = foot_on_profile(profile, lower.at(np.array(lower.end))) if lower and stems[1] else upper_aft
    if sheet:
        joints = lower_fore, lower_aft
        return sheet_patches(profile, lower, upper, on_profile=ends, joints=joints, stems=stems)
    beside = abreast(upper, profile, ends=ends)
    if lower is None:
        return (Patch(lower=by_itself(profile), upper=beside, start=upper_fore, end=upper_aft),), 0
    starts, stops = (
        [float(line.at(np.array(t))[0]) for line, t in ((lower, a), (upper, b))]
        for a, b in ((lower.start, upper.start), (lower.end, upper.end))
    )
    main = Patch(
        lower=abreast(lower),
        upper=abreast(upper),
        start=starts[0] if stems[0] else min(starts),
        end=stops[0] if stems[1] else max(stops),
    )
    pieces: list[Ruled] = [main]
    least = 1e-9 * (profile.end - profile.start)
    if lower_fore - upper_fore >= least:
        pieces.append(Patch(lower=by_itself(profile), upper=beside, start=upper_fore, end=lower_fore))
    if upper_aft - lower_aft >= least:
        pieces.insert(0, Patch(lower=by_itself(profile), upper=beside, start=lower_aft, end=upper_aft))
    return tuple(pieces), pieces.index(main)


def _transom_face(ends: FloatArray, shape: TransomShape) -> Plane:
    """A transom's after face through the lines' ends at it (n, 3); a rake that is not given fits them best."""
    z, behind = ends[:, 2], hollow(ends[:, 1], shape.radius)
    lean = shape.rake if shape.rake is not None else leaning(ends[:, 0], z, behind)
    # A point that has fallen behind the touching plane, square to it, stands that much / cos(rake) forward of it.
    at_zero = float(np.mean(ends[:, 0] - z * np.tan(lean) + behind / np.cos(lean)))
    flat = station_plane(at_zero, rake=lean)
    return flat if shape.radius is None else curved_face(flat, shape.radius)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FairCurves:
    """The lines that a hull is made between.

    Attributes:
        profile: keel and stem rabbet in one, stem's head first.
        lines: the other lines by name, from the centreline up; the last is the sheer.
        keel: what the strakes call the profile line.
        outside: they lie on the outside of planking (else on the inside).
        girth: the surface of a strake that is round.
    """

    profile: Curve
    lines: Mapping[str, Curve]
    keel: str
    outside: bool = True
    girth: Girth | None = None


@dataclass(frozen=True, slots=True)
class TransomShape:
    """A transom at one end of the boat.

    Attributes:
        rake: radians, its top leaning out of the boat positive; None takes it from the lines' ends.
        radius: mm, of its curve; None where it is flat.
    """

    rake: float | None = None
    radius: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class DeckShape:
    """How the deck lies.

    Attributes:
        inset: from the sheer's surface down to the deck's underside, mm.
        crown: rise of the common mould at the greatest breadth, mm.
        rise: or the rise as a part of the breadth.
    """

    inset: float = 0.0
    crown: float | None = None
    rise: float = 0.0


def build_hull(
    curves: FairCurves,
    strakes: Sequence[StrakeGiven],
    *,
    bow: TransomShape | None = None,
    stern: TransomShape | None = None,
    deck: DeckShape | None = None,
    laps: Laps | None = None,
) -> Hull:
    """The hull between fair lines.

    Args:
        bow, stern: the transom there; None where a stem stands.
        laps: how the strakes lap, from the keel up; None where they meet at the lines.
    """
    deck = deck or DeckShape()
    stems = (bow is None, stern is None)
    sheer = list(curves.lines.values())[-1]
    along = np.linspace(sheer.start, sheer.end, 801)
    on_sheer = sheer.at(along)
    widest = int(on_sheer[:, 1].argmax())
    half = float(on_sheer[widest, 1])
    both = (curves.profile, *curves.lines.values())
    heads = np.stack([curve.at(np.array(curve.start)) for curve in both])
    ends = np.stack([curve.at(np.array(curve.end)) for curve in both])
    return Hull(
        profile=curves.profile,
        lines=dict(curves.lines),
        keel=curves.keel,
        strakes=tuple(_strake(curves, given, stems) for given in strakes)
        if laps is None
        else tuple(_lapped(curves, strakes, stems, laps)),
        deck=DeckSurface(
            sheer=sheer,
            start=float(on_sheer[0, 0]),
            end=float(on_sheer[-1, 0]),
            radius=crown_radius(2.0 * half, deck.crown) if deck.crown else None,
            rise=deck.rise,
        ),
        deck_inset=deck.inset,
        transom=station_plane(float(ends[:, 0].max())) if stern is None else _transom_face(ends, stern),
        bow_face=None if bow is None else _transom_face(heads * TURNED, bow),
        stems=stems,
        widest=float(on_sheer[widest, 0]),
    )


def _strake(curves: FairCurves, given: StrakeGiven, stems: tuple[bool, bool]) -> Strake:
    """One strake between its two lines."""
    lower, upper = given.between
    patches: tuple[Ruled, ...]
    if given.sections == "round" and curves.girth is not None:
        patches, middle = (curves.girth,), 0
    else:
        patches, middle = _patches(
            curves.profile,
            None if lower == curves.keel else curves.lines[lower],
            curves.lines[upper],
            sheet=given.sections == "developable",
            stems=stems,
        )
    return Strake(
        name=given.name,
        lower=lower,
        upper=upper,
        planking=given.planking,
        inset=given.planking if curves.outside else 0.0,
        patches=patches,
        main=middle,
        stems=stems,
    )


def _lapped(
    curves: FairCurves, strakes: Sequence[StrakeGiven], stems: tuple[bool, bool], laps: Laps
) -> Iterator[Strake]:
    """Clinker strakes, each laid on the one below it."""
    below: Strake | None = None
    for given in strakes:
        line = curves.lines[given.between[1]]
        last = given is strakes[-1]
        lower = None
        if below is not None and below.edges is not None:
            lower = lower_edge(below.planked(curves.profile), below.edges[1], line, given.planking, laps)
        strake = plank_between(curves, given, stems, (lower, line), None if last else laps)
        if not last and not laps.upper:
            upper = upper_edge(strake.planked(curves.profile), line, laps)
            strake = plank_between(curves, given, stems, (lower, upper), laps)
        yield strake
        below = strake


def plank_between(
    curves: FairCurves,
    given: StrakeGiven,
    stems: tuple[bool, bool],
    edges: tuple[Curve | None, Curve],
    laps: Laps | None,
) -> Strake:
    """One plank between its own two edges, straight in planes square to x."""
    patches, middle = _patches(curves.profile, *edges, sheet=False, stems=stems)
    return Strake(
        name=given.name,
        lower=given.between[0],
        upper=given.between[1],
        planking=given.planking,
        inset=given.planking if curves.outside else 0.0,
        patches=patches,
        main=middle,
        stems=stems,
        laps=laps,
        edges=edges,
    )
