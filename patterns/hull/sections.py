"""The hull cut by one face of a piece: inside of planking, deck's underside, corners and bevels."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from patterns.errors import PatternsError
from patterns.flat.polylines import lengths, meet
from patterns.hull.cuts import Trace
from patterns.hull.hull import Hull
from patterns.hull.planes import FloatArray, Plane, cross

__all__ = ["Corner", "OffHullError", "Section", "cut_hull", "sheer_corner"]

FLUSH = 0.02  # sine of the angle between two surfaces; below it their corner is too flat to have a direction
FLAT = 5.0  # steps between two insides at a chine; a corner farther from it is one of surfaces nearly in one plane
TAPER = 2.0  # the same: how far to both sides of the chine the step is tapered where they have no corner
FARTHEST = 75.0  # mm; surfaces are run on past a chine by little more
STEP = 25.0  # mm; a greater gap between two insides is no step between planks but a fault of the lines


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Corner:
    """Where two surfaces meet in the plane.

    Attributes:
        name: the line that lies there (the sheer: where the side meets the deck's underside).
        at: shape (2,), the plane's own coordinates.
        below, above: outward unit normals (3,) of the surfaces before and after it, going up.
        line: the line's own unit direction there, aft, (3,).
    """

    name: str
    at: FloatArray
    below: FloatArray
    above: FloatArray
    line: FloatArray

    @property
    def run(self) -> FloatArray:
        """Unit vector (3,) along the corner, pointing aft: both surfaces contain it.

        Where they lie nearly in one plane that says nothing, and the line's own direction is taken.
        """
        along = cross(self.above, self.below)
        length = float(np.linalg.norm(along))
        if length < FLUSH:
            return self.line
        aft: FloatArray = along * (np.copysign(1.0, along[0]) / length)
        return aft


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Section:
    """One plane's cut through the hull on the starboard side, from the centreline up.

    Attributes:
        plane: the face.
        traces: the inside of planking, by strake from the keel up, each ended at its corners.
        long_traces: the same before they were ended; they run past their corners.
        corners: chines between them, then the sheer.
        deck: the deck's underside from the centreline out to the side.
        marks: where the faired lines themselves pierce the plane, by name; shape (2,).
    """

    plane: Plane
    traces: Mapping[str, Trace]
    long_traces: Mapping[str, Trace]
    corners: tuple[Corner, ...]
    deck: Trace
    marks: Mapping[str, FloatArray]

    @property
    def apex(self) -> FloatArray:
        """Where the inside of planking, carried on, meets the centreline: (2,)."""
        first: FloatArray = next(iter(self.traces.values())).uv[0]
        return first

    @property
    def edge(self) -> FloatArray:
        """The inside of planking from the centreline up to the deck, (n, 2)."""
        parts = [trace.uv for trace in self.traces.values()]
        edge = np.vstack(parts)
        clean: FloatArray = edge[np.append(True, np.hypot(*np.diff(edge, axis=0).T) > 1e-9)]
        return clean

    def outline(self) -> FloatArray:
        """Half of the section: planking, deck, and closed along the centreline; (n, 2)."""
        return np.vstack([self.edge, self.deck.uv[::-1][1:]])

    def corner(self, name: str) -> Corner | None:
        """The corner at a line, None where this plane has none (forward of the line's end)."""
        return next((corner for corner in self.corners if corner.name == name), None)


def _corner_between(
    lower: Trace, upper: Trace, near: FloatArray, name: str, line: FloatArray, *, chine: bool = True
) -> tuple[float, float, Corner]:
    """Where two insides end at each other.

    Close to the bow a chine runs out: the strakes lie nearly in one plane there, and their insides, of two
    thicknesses, meet far from it or never, by a hair of the lines.  The planks themselves end at the chine, in a
    small step.  So the farther off the insides meet, the more of the way they are joined by a straight taper across
    the chine instead: a little change of the lines changes the wood but little.

    Args:
        chine: the two end at one line of the hull.
    """
    place = meet(lower.uv, upper.uv, near=near)
    if chine or place is None:
        home = _index_at(lower.r, 1.0), _index_at(upper.r, 0.0)
        gap = float(np.hypot(*(lower.place(home[0])[0] - upper.place(home[1])[0])))
        if place is None and gap > STEP:
            raise PatternsError(f"the planking's inside surfaces do not meet at the {name}")
        place = home if place is None and not chine else _ended((lower, upper), home, place, gap)
    at, below = lower.place(place[0])
    _, above = upper.place(place[1])
    return place[0], place[1], Corner(name=name, at=at, below=below, above=above, line=line)


def _corner_at_lap(lower: Trace, upper: Trace, name: str, line: FloatArray) -> tuple[float, float, Corner]:
    """Where the insides of two clinker planks end at each other: at the lower plank's upper edge, in a step.

    That edge is square through the plank.  Where the planks are let into each other so far that the upper one's
    inside lies within the lower one's, the two end where they meet.
    """
    home = _index_at(lower.r, 1.0)
    at, normal = lower.place(home)
    way = lower.place(min(home + 0.5, len(lower) - 1.0))[0] - lower.place(max(home - 0.5, 0.0))[0]
    out = np.array([way[1], -way[0]]) / np.hypot(*way)
    # Heights of the upper plank's inside along the lower one's run and out from it, seen from its edge.
    along, off = (upper.uv - at) @ way / np.hypot(*way), (upper.uv - at) @ out
    if np.sum(np.diff(upper.uv, axis=0) @ way > 0.0) * 2 < len(upper):
        raise PatternsError(f"the planks turn back at the {name}")
    over = float(np.interp(0.0, along, np.arange(len(along))))
    if float(np.interp(over, np.arange(len(off)), off)) < 0.0:
        met = meet(lower.uv, upper.uv, near=at)
        if met is not None and met[0] <= home:
            home, over = met
            at, normal = lower.place(home)
    return home, over, Corner(name=name, at=at, below=normal, above=upper.place(over)[1], line=line)


def _index_at(r: FloatArray, edge: float) -> float:
    """The broken index of a strake's edge on its trace."""
    near = int(np.abs(r - edge).argmin())
    around = np.arange(max(near - 1, 0), min(near + 2, len(r)))
    if not (np.diff(r[around]) > 0.0).all():
        return float(near)
    return float(np.interp(edge, r[around], around))


def _ended(
    traces: tuple[Trace, Trace],
    home: tuple[float, float],
    meeting: tuple[float, float] | None,
    gap: float,
) -> tuple[float, float]:
    """The broken indices at which the lower trace ends and the upper one begins.

    Args:
        home: the indices of their edges at the chine.
        meeting: those at which they meet, if they do.
        gap: the step between the two at the chine, mm.
    """
    runs = [lengths(trace.uv) for trace in traces]
    starts = [float(np.interp(h, np.arange(len(run)), run)) for h, run in zip(home, runs, strict=True)]
    tapers = np.array([-TAPER, TAPER]) * gap
    ends = tapers
    if meeting is not None:
        met = [float(np.interp(m, np.arange(len(run)), run)) for m, run in zip(meeting, runs, strict=True)]
        away = np.subtract(met, starts)
        far, near = float(np.abs(away).mean()), FLAT * gap
        if far <= near or near >= FARTHEST:
            return meeting
        share = min((far - near) / (FARTHEST - near), 1.0)
        # Both are drawn in by one factor, so that neither is left standing past the place where they cross.
        ends = (1.0 - share) * near / far * away + share * tapers
    first, last = (
        float(np.interp(start + end, run, np.arange(len(run))))
        for start, end, run in zip(starts, ends, runs, strict=True)
    )
    return first, last


def _at_centreline(trace: Trace, centre: float) -> float:
    """The broken index at which a trace meets the centreline's u, carried on straight if it stops short of it."""
    u = trace.uv[:, 0] - centre
    inside = np.nonzero(u > 0.0)[0]
    if len(inside) == 0:
        raise PatternsError("a strake lies wholly across the centreline")
    i = max(int(inside[0]) - 1, 0)
    return float(i - u[i] / (u[i + 1] - u[i]))


class OffHullError(PatternsError):
    """A plane athwartships does not cut what it should.

    Attributes:
        aft: where it is on the centreline at height 0, mm.
        clear_of: what it passes clear of.
    """

    def __init__(self, aft: float, clear_of: str) -> None:
        self.aft, self.clear_of = aft, clear_of
        super().__init__(f"the plane at {aft:.0f} mm aft passes clear of {clear_of}")

    def turned(self) -> OffHullError:
        """The same with the boat turned end for end."""
        return OffHullError(-self.aft, self.clear_of)


def sheer_corner(hull: Hull, plane: Plane, *, deeper: float = 0.0) -> FloatArray:
    """Where the deck's underside meets the side's inside, or a face ``deeper`` mm within it: (3,), mm.

    Raises:
        PatternsError: the plane passes clear of the side or the deck.
    """
    side, deck = hull.strakes[-1], hull.deck_underside(plane)
    trace = side.across(plane, inset=side.inset + deeper)
    if trace is None or deck is None or min(len(trace), len(deck)) < 4:
        raise OffHullError(float(plane.origin[0]), "side or deck")
    near = trace.uv[int(np.abs(trace.r - 1.0).argmin())]
    return plane.space(_corner_between(trace, deck, near, side.upper, plane.normal, chine=False)[2].at)


def cut_hull(hull: Hull, plane: Plane, *, deeper: float = 0.0) -> Section:
    """Cut the hull by a plane athwartships (upright, raked or canted).

    Args:
        deeper: mm by which the surfaces are moved inward beyond the inside of planking (e.g. the inner
            faces of timbers that lie on it).
    Raises:
        PatternsError: the plane passes clear of the hull or the surfaces do not meet.
    """
    found: dict[str, tuple[str, Trace]] = {}
    for strake in hull.strakes:
        trace = strake.across(plane, inset=strake.inset + deeper)
        if trace is not None and len(trace) > 3 and trace.r.max() > 0.9:
            found[strake.name] = (strake.upper, trace)
    deck = hull.deck_underside(plane)
    if not found or deck is None or len(deck) < 4:
        raise OffHullError(float(plane.origin[0]), "the hull")
    long_traces = {name: trace for name, (_, trace) in found.items()}
    pierced = {
        name: place
        for name, curve in ((hull.keel, hull.profile), *hull.lines.items())
        if (place := hull.pierced(curve, plane)) is not None
    }

    def direction(name: str) -> FloatArray:
        return pierced[name][1] if name in pierced else plane.normal

    names = list(found)
    lapped = {strake.name for strake in hull.strakes if strake.laps is not None}
    first = {names[0]: _at_centreline(long_traces[names[0]], plane.centre)}
    last: dict[str, float] = {}
    corners = []
    for lower, upper in pairwise(names):
        line, below = found[lower]
        if lower in lapped:
            last[lower], first[upper], corner = _corner_at_lap(below, found[upper][1], line, direction(line))
            corners.append(corner)
            continue
        near = below.uv[int(np.abs(below.r - 1.0).argmin())]
        last[lower], first[upper], corner = _corner_between(
            below, found[upper][1], near, line, direction(line)
        )
        corners.append(corner)
    line, side = found[names[-1]]
    near = side.uv[int(np.abs(side.r - 1.0).argmin())]
    last[names[-1]], on_deck, corner = _corner_between(side, deck, near, line, direction(line), chine=False)
    corners.append(corner)
    return Section(
        plane=plane,
        traces={name: long_traces[name].between(first[name], last[name]) for name in names},
        long_traces=long_traces,
        corners=tuple(corners),
        deck=deck.between(0.0, on_deck),
        marks={name: plane.flat(point) for name, (point, _) in pierced.items()},
    )
