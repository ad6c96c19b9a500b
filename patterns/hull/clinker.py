"""Clinker planks: where the lower edge of each lies on the plank below it, and how the two fit at the lap.

The outside of each plank is straight in planes square to x, from its own lower edge to its upper one.  Its inside
face rests with its lower corner on the outside of the plank below, the lap's width from that one's upper edge,
measured square to the edge; its lower edge is square through its wood.  Towards a stem the planks are let into each
other (gains), so that the step between them falls from a plank's thickness to nothing at the hood ends.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from patterns.errors import PatternsError
from patterns.hull.laid_edge import LaidEdge, Spread, laid_through
from patterns.hull.planes import FloatArray, cross
from patterns.hull.surfaces import Curve, Ruled, unit

__all__ = ["Laps", "PlankLands", "Planked", "lands_at", "lap_share", "lower_edge", "upper_edge"]

PLACES = 241  # along an edge, closer together towards a stem
RUN_ON = 450.0  # mm by which an edge is laid on past a transom
ROUNDS = 5  # of laying the lower edge by the plank's own normals
CLEAR = 3.0  # times the lap; where a plank is narrower, near a stem, its ruling does not give its upper edge
SEEK = 400  # places forward at which an edge's end on the profile line is looked for


@dataclass(frozen=True, slots=True, kw_only=True)
class Laps:
    """How clinker planks lap.

    Attributes:
        width: of the lap, square to the plank's edge, mm.
        upper: the lines are the upper outside edges of the planks below them; else the lower inside edges of
            those above.
        gains: the lengths over which the planks are let into each other at the bow and at the stern, mm; 0: none.
    """

    width: float
    upper: bool = True
    gains: tuple[float, float] = (0.0, 0.0)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Planked:
    """What of a plank and its boat is needed to lap the next one on it.

    Attributes:
        patches: from aft forward; ``main``: which of them lies between its two edges.
        garboard: its lower edge is the profile line all along.
        profile: keel and stem rabbet in one.
        planking: its thickness, mm.
        stems: whether a stem stands at the bow, and at the stern.
    """

    patches: Sequence[Ruled]
    main: int
    garboard: bool
    profile: Curve
    planking: float
    stems: tuple[bool, bool]

    def rulings(self, x: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        """The lower and upper ends of the rulings in planes square to x, (n, 3), and the normals amid them."""
        low, high, normal = (np.zeros((len(x), 3)) for _ in range(3))
        main = self.patches[self.main]
        fore, aft = self.patches[self.main + 1 :], self.patches[: self.main]
        on_profile = self.profile.t_at_x(x)
        first, last = (float(main.lower(np.array([p]))[0][0, 0]) for p in (main.start, main.end))
        ahead = (x < first) if fore else np.zeros(len(x), dtype=bool)
        abaft = (x > last) if aft else np.zeros(len(x), dtype=bool)
        for patch, here, by_profile in (
            (main, ~(ahead | abaft), self.garboard),
            *((patch, ahead, True) for patch in fore),
            *((patch, abaft, True) for patch in aft),
        ):
            if not here.any():
                continue
            p = on_profile[here] if by_profile else x[here]
            low[here], high[here] = patch.lower(p)[0], patch.upper(p)[0]
            _, by_p, by_r = patch.shape(p, np.full(len(p), 0.5))
            normal[here] = patch.outward(by_p, by_r)
        return low, high, normal

    def width(self, x: FloatArray, edge: Curve) -> tuple[FloatArray, FloatArray]:
        """Along the rulings: their lengths, and how far it is for each mm square to an edge, (n,)."""
        low, high, _ = self.rulings(x)
        across = high - low
        along = unit(edge.at(edge.t_at_x(x), 1))
        square = np.linalg.norm(cross(unit(across), along), axis=1)
        return np.linalg.norm(across, axis=1), 1.0 / np.maximum(square, 1e-6)

    def landing(self, x: FloatArray, edge: Curve, width: float) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Where a plank above rests with its lower corner, (n, 3), the way up the ruling, and the normals there."""
        low, high, _ = self.rulings(x)
        length, far = self.width(x, edge)
        up = unit(high - low)
        share = 1.0 - width * far / np.maximum(length, 1e-9)
        return low + share[:, None] * (high - low), up, self.normals(x, share)

    def normals(self, x: FloatArray, share: FloatArray) -> FloatArray:
        """The outward normals of the plank at parts of its rulings, (n, 3)."""
        h = 0.5
        (low_a, high_a, _), (low_b, high_b, _) = self.rulings(x - h), self.rulings(x + h)
        low, high, amid = self.rulings(x)
        by_x = (low_b - low_a) + share[:, None] * ((high_b - high_a) - (low_b - low_a))
        normal = unit(cross(high - low, by_x))
        # Next to a stem the places before and behind may lie on two pieces of the plank.
        wrong = np.sum(normal * amid, axis=1) < 0.9
        return np.where(wrong[:, None], amid, normal)


def lap_share(patch: Ruled, p: FloatArray, width: float) -> FloatArray:
    """The places across a plank, by its rulings p (n,), at which the lap over its upper edge begins, (n,)."""
    (low, _), (high, by_p) = patch.lower(p), patch.upper(p)
    across = high - low
    length = np.maximum(np.linalg.norm(across, axis=1), 1e-9)
    square = np.linalg.norm(cross(across / length[:, None], unit(by_p)), axis=1)
    return np.asarray(1.0 - width / np.maximum(square, 1e-6) / length)


def lower_edge(below: Planked, edge: Curve, upper: Curve, planking: float, laps: Laps) -> LaidEdge:
    """The lower outside edge of a plank that laps over another one.

    Args:
        edge: the upper edge of the plank below.
        upper: a line on the plank itself, at or near its upper edge.
        planking: the plank's own thickness, mm.
    Raises:
        PatternsError: the plank below is narrower than the lap all along.
    """
    start, end = _ends(below, edge, laps.width)
    spread = Spread(fore=start if below.stems[0] else None, aft=end if below.stems[1] else None)
    x = _places(spread, start, end, below.stems)
    landing, up, _ = below.landing(x, edge, laps.width)
    step = _steps(landing, planking, laps, (start, end))
    top, points = upper.at(upper.t_at_x(x)), landing
    for _ in range(ROUNDS):
        normal = _plank_normals(x, points, top)
        points = landing + step[:, None] * _in_plane(normal, up, np.gradient(points, x, axis=0))
    return laid_through(points, spread, ends=(start, end))


def upper_edge(plank: Planked, line: Curve, laps: Laps) -> LaidEdge:
    """The upper outside edge of a plank on which the one above rests with its lower corner at a given line.

    Args:
        plank: as it is ended at that line.
    """
    first, last = (float(line.at(np.array(t))[0]) for t in (line.start, line.end))
    ends = [first, last]
    spread = Spread(fore=first if plank.stems[0] else None, aft=last if plank.stems[1] else None)
    x = _places(spread, first, last, plank.stems)
    low, high, _ = plank.rulings(x)
    length, far = plank.width(x, line)
    points = high + (laps.width * far)[:, None] * unit(high - low)
    clear = length > CLEAR * laps.width
    tips = []
    for k, (t, way) in enumerate(((line.start, -1.0), (line.end, 1.0))):
        if not plank.stems[k]:
            continue
        tip = _along_profile(plank.profile, line.at(np.array(t)), way * laps.width)
        if way * (tip[0] - ends[k]) > AT_TIP:  # it leans out of the boat above the line
            tips.append(tip)
            ends[k] = float(tip[0])
    points = np.vstack([*(tip[None] for tip in tips), points[clear]])
    points = points[np.argsort(points[:, 0])]
    # The root of the distance is taken from the edge's own ends.
    own = Spread(fore=ends[0] if plank.stems[0] else None, aft=ends[1] if plank.stems[1] else None)
    return laid_through(points, own, ends=(ends[0], ends[1]))


AT_TIP = 0.5  # mm; an edge that ends nearer to its line's end, seen along the boat, is ended there


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PlankLands:
    """How a plank fits on the one below at places along the lap; arrays (n,), mm and radians.

    Attributes:
        at: where the upper plank's lower inside corner rests, (n, 3).
        edge: the upper outside edge of the lower plank there, (n, 3).
        bevel: what is planed off the lower plank's outside, as an angle; below 0 the lap gapes at its upper edge.
        let_in: how far the two planks are let into each other, both together.
        left: how thick the lower plank's upper edge remains, where each plank gives one half of what is let in.
    """

    at: FloatArray
    edge: FloatArray
    bevel: FloatArray
    let_in: FloatArray
    left: FloatArray


def lands_at(
    below: Planked, above: Planked, edges: tuple[Curve, Curve], laps: Laps, x: FloatArray
) -> PlankLands:
    """The lands of a plank at distances aft, (n,).

    Args:
        edges: the upper edge of the plank below, and the lower edge of the one above.
    """
    edge = edges[0]
    landing, up, normal = below.landing(x, edge, laps.width)
    over = above.normals(x, np.zeros(len(x)))
    along = unit(edge.at(edge.t_at_x(x), 1))
    square = unit(cross(cross(along, up), along))
    bevel = np.arctan2(np.sum(over * square, axis=1), np.sum(over * normal, axis=1))
    let_in = above.planking - _steps_at(below, edges, above.planking, laps, x)
    return PlankLands(
        at=landing,
        edge=edge.at(edge.t_at_x(x)),
        bevel=bevel,
        let_in=let_in,
        left=below.planking - 0.5 * let_in - laps.width * np.tan(np.maximum(bevel, 0.0)),
    )


def _steps_at(
    below: Planked, edges: tuple[Curve, Curve], planking: float, laps: Laps, x: FloatArray
) -> FloatArray:
    """The step from the outside of a plank to that of the one above at distances aft, (n,), mm."""
    edge, lower = edges
    start, end = (float(lower.at(np.array(t))[0]) for t in (lower.start, lower.end))
    spread = Spread(fore=start if below.stems[0] else None, aft=end if below.stems[1] else None)
    grid = _places(spread, start, end, below.stems)
    landing, _, _ = below.landing(grid, edge, laps.width)
    return np.interp(x, grid, _steps(landing, planking, laps, (start, end)))


def _steps(landing: FloatArray, planking: float, laps: Laps, ends: tuple[float, float]) -> FloatArray:
    """The step at places along the lap: the upper plank's thickness, and evenly less in the gains."""
    run = np.append(0.0, np.cumsum(np.linalg.norm(np.diff(landing, axis=0), axis=1)))
    first, last = (float(np.interp(end, landing[:, 0], run)) for end in ends)
    share = np.ones(len(run))
    for gain, away in zip(laps.gains, (run - first, last - run), strict=True):
        if gain > 0.0:
            part = np.clip(away / gain, 0.0, 1.0)
            share = np.minimum(share, part * part * (3.0 - 2.0 * part))
    return planking * share


def _places(spread: Spread, start: float, end: float, stems: tuple[bool, bool]) -> FloatArray:
    """Distances aft along an edge, laid on past a transom."""
    first, last = start - (0.0 if stems[0] else RUN_ON), end + (0.0 if stems[1] else RUN_ON)
    t = spread.t(np.array([first, last]))
    x = spread.x(np.linspace(t[0], t[1], PLACES))
    x[[0, -1]] = first, last
    return x


def _ends(below: Planked, edge: Curve, width: float) -> tuple[float, float]:
    """The distances aft between which a plank lies on the one below.

    At a stem that is where the lower plank is as wide as the lap.
    """
    first, last = (float(edge.at(np.array(t))[0]) for t in (edge.start, edge.end))
    found = []
    for here, there, stem in ((first, last, below.stems[0]), (last, first, below.stems[1])):
        if not stem:
            found.append(here)
            continue
        x = here + np.linspace(0.0, 1.0, SEEK) ** 2 * (there - here)
        length, far = below.width(x, edge)
        wide = np.nonzero(length >= width * far)[0]
        if not len(wide):
            raise PatternsError(f"the lap of {width:g} mm is wider than a plank; reduce lap under [clinker]")
        i = int(wide[0])
        low, high = (x[i - 1], x[i]) if i else (x[0], x[0])
        for _ in range(40):
            middle = 0.5 * (low + high)
            length, far = below.width(np.array([middle]), edge)
            low, high = (low, middle) if length[0] >= width * far[0] else (middle, high)
        found.append(float(high))
    return found[0], found[1]


def _plank_normals(x: FloatArray, low: FloatArray, high: FloatArray) -> FloatArray:
    """The outward normals, (n, 3), along the lower edge of a plank whose rulings lie in planes square to x."""
    across = high - low
    short = np.linalg.norm(across, axis=1) < 1e-6
    normal = unit(cross(across, np.gradient(low, x, axis=0)))
    if short.any():  # at its very tip it has none of its own
        normal[short] = normal[~short][0 if short[0] else -1]
    return np.asarray(normal)


def _in_plane(normal: FloatArray, up: FloatArray, along: FloatArray) -> FloatArray:
    """For each mm of step the way in a plane square to x from a corner on the inside to that on the outside.

    The edge is square through the plank: it runs along the normal, out of that plane, so it is followed to where
    it comes from in the plank.
    """
    flat = normal * np.array([0.0, 1.0, 1.0])
    size = np.sum(flat * flat, axis=1, keepdims=True)
    way = unit(along)
    square = unit(cross(normal, way))
    square = square * np.sign(np.sum(square * up, axis=1, keepdims=True))
    drift = normal[:, :1] * square[:, :1] / np.sum(square * up, axis=1, keepdims=True)
    return np.asarray((flat + drift * up) / size)


def _along_profile(profile: Curve, point: FloatArray, far: float) -> FloatArray:
    """The place on the profile line so far from the one nearest to a point, mm; towards the bow's head below 0."""
    t = np.linspace(profile.start, profile.end, 4001)
    on = profile.at(t)
    run = np.append(0.0, np.cumsum(np.linalg.norm(np.diff(on, axis=0), axis=1)))
    at = run[int(np.linalg.norm(on - point, axis=1).argmin())] + far
    return np.asarray(profile.at(np.array(np.interp(at, run, t))))
