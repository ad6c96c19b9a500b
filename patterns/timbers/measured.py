"""What the bench must know of a timber: its length, its marks, its ends, how it twists and how hard it bends."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from patterns.hull.planes import FloatArray, Plane, cross
from patterns.timbers.faying import Unfayed, unfayed_of
from patterns.timbers.run import Run

__all__ = ["Bend", "EndCut", "Passing", "TimberSizes", "measured", "off_square"]

WINDOW = 100.0  # mm to either side of a place, over which its bend is measured
TWIST_OVER = 300.0  # mm along, over which the most twist is measured
STRAIGHT = 1e-8  # 1/mm; a bend flatter than a radius of 100 km is none


@dataclass(frozen=True, slots=True, kw_only=True)
class Bend:
    """The tightest bend of a timber in one way.

    Attributes:
        radius: mm; infinite where it is straight.
        at: the distance from its after end, mm.
    """

    radius: float
    at: float


@dataclass(frozen=True, slots=True, kw_only=True)
class EndCut:
    """How an end is cut.

    Attributes:
        against: what it ends on, in words.
        in_plan, in_profile: radians between the run and the square to the end's plane, seen from above and from the
            side; 0 is a square cut.  Positive: going aft the run goes outboard, or up, through the plane.
        on_back, on_edge: the angles, radians, to which the cut is marked: between the run and the cut on the back
            (a keel: on its top), and on the edge farther from the timber's line (on its side).
        long: how much longer the longest corner is there than the shortest, mm.
    """

    against: str
    in_plan: float
    in_profile: float
    on_back: float
    on_edge: float
    long: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Passing:
    """Where a timber passes a plane across the boat.

    Attributes:
        name: of the station or the frame.
        frame: the plane is the moulded face of a frame.
        at: the distance from the timber's after end along its marking edge, mm.
        bevel: the angle through the wood of its edge at the line, radians; nan where that is square.
    """

    name: str
    at: float
    bevel: float
    frame: bool = False


@dataclass(frozen=True, kw_only=True, eq=False)
class TimberSizes:
    """A timber's measures, taken along its rails between its ends."""

    run: Run

    @cached_property
    def rails(self) -> FloatArray:
        """The places wholly between both ends, square to the run, (m, k, 3)."""
        whole = self._whole
        return self.run.corners if whole is None else self.run.rails[whole]

    @cached_property
    def _whole(self) -> slice | None:
        """Which of the rails' places lie wholly between both ends; None where hardly any do."""
        run = self.run
        within = np.logical_and.reduce([(end.over(run.rails) <= 0.0).all(axis=1) for end in run.ends])
        places = np.nonzero(within)[0]
        return slice(int(places[0]), int(places[-1]) + 1) if len(places) > 2 else None

    @cached_property
    def unfayed(self) -> Unfayed | None:
        """Where its bevelled edge does not lie on its other surface; None where it does all along."""
        if self.run.edge_over is None or self._whole is None:
            return None
        return unfayed_of(self.run.edge_over[self._whole], self._away)

    @cached_property
    def axes(self) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Along the run, forward; across it on its back; and off its back: three of (m, 3)."""
        rails = self.rails
        along = _unit(np.gradient(self._spine, axis=0, edge_order=2))
        across = rails[:, 1] - rails[:, 0] if self.run.mirrored else rails[:, 2] - rails[:, 3]
        across = _unit(across - _dot(across, along)[:, None] * along)
        return along, across, cross(along, across)

    @cached_property
    def _spine(self) -> FloatArray:
        """The line by which its run is told, (m, 3): between its two square edges, a keel's on its top."""
        spine: FloatArray = (self.rails[:, 1:3] if self.run.mirrored else self.rails[:, 2:4]).mean(axis=1)
        return spine

    @cached_property
    def _away(self) -> FloatArray:
        """For each place its distance from the after end along the middle, mm."""
        middle = self._spine
        run = _lengths(middle)
        start = -self.run.ends[0].over(middle[0])
        return run + float(start)

    @property
    def marking(self) -> FloatArray:
        """The edge along which marks are measured, between the two ends, from aft forward, (n, 3).

        A keel's top edge; of a timber on a strake the square edge on it, away from its line.
        """
        corner: FloatArray = self.run.corners[:, 1 if self.run.mirrored else 2]
        return corner

    def passing(self, name: str, plane: Plane, *, frame: bool = False) -> Passing | None:
        """Where the marking edge passes a plane; None where it does not."""
        over = plane.height_over(self.marking)
        crosses = np.nonzero((over[:-1] <= 0.0) != (over[1:] <= 0.0))[0]
        if len(crosses) == 0:
            return None
        i = int(crosses[0])
        run = _lengths(self.marking)
        at = float(run[i] + over[i] / (over[i] - over[i + 1]) * (run[i + 1] - run[i]))
        return Passing(name=name, at=at, bevel=self._bevel_near(plane), frame=frame)

    def _bevel_near(self, plane: Plane) -> float:
        if not (self.run.mirrored and self.run.lies_on[3]):
            return float("nan")
        over = np.abs(plane.height_over(self.rails.mean(axis=1)))
        return float(self.bevels[int(over.argmin())])

    @cached_property
    def bevels(self) -> FloatArray:
        """At each place the angle through the wood between the inner face and the bevelled edge, radians, (m,)."""
        _, _, inner, line = np.moveaxis(self.rails[:, :4], 1, 0)
        face, edge = _unit(inner - line), _unit(self.rails[:, 0] - line)
        found: FloatArray = np.arccos(np.clip(_dot(face, edge), -1.0, 1.0))
        return found

    @cached_property
    def twists(self) -> FloatArray:
        """How far each place has turned about the run since the after end, radians, (m,)."""
        _, across, off = self.axes
        step = np.arctan2(_dot(across[1:], off[:-1]), _dot(across[1:], across[:-1]))
        return np.concatenate([[0.0], np.cumsum(step)])

    @property
    def most_twist(self) -> tuple[float, float]:
        """The most twist, radians in 1 m, over a short length, and its distance from the after end, mm."""
        run, turned = self._away, self.twists
        if run[-1] - run[0] <= TWIST_OVER:
            rate = 1000.0 * (turned[-1] - turned[0]) / (run[-1] - run[0])
            return float(rate), float(0.5 * (run[0] + run[-1]))
        first = run[run <= run[-1] - TWIST_OVER]
        rates = (np.interp(first + TWIST_OVER, run, turned) - np.interp(first, run, turned)) / TWIST_OVER
        worst = int(np.abs(rates).argmax())
        return float(1000.0 * rates[worst]), float(first[worst] + 0.5 * TWIST_OVER)

    @cached_property
    def _curvature(self) -> tuple[FloatArray, FloatArray]:
        """At each place the bend, 1/mm, off the back and across it: two of (m,)."""
        middle, (_, across, off) = self._spine, self.axes
        run = _lengths(middle)
        count = len(middle)
        reach = max(min(round(WINDOW * (count - 1) / float(run[-1])), (count - 1) // 4), 1)
        at = np.clip(np.arange(count), reach, count - 1 - reach)
        a, b, c = middle[at - reach], middle[at], middle[at + reach]
        before, after = _unit(b - a), _unit(c - b)
        turn = after - before
        # The circle through three points: 1/R = 2 sin(angle between the two chords) / the whole chord.
        sine = np.linalg.norm(cross(before, after), axis=1)
        bend = 2.0 * sine / np.linalg.norm(c - a, axis=1)
        way = turn / np.maximum(np.linalg.norm(turn, axis=1, keepdims=True), 1e-15)
        return bend * _dot(way, off), bend * _dot(way, across)

    def bend(self, *, edgewise: bool) -> Bend:
        """The tightest bend off the back, or across it (edge set, which wood hardly takes)."""
        bends = np.abs(self._curvature[1 if edgewise else 0])
        worst = int(bends.argmax())
        radius = 1.0 / bends[worst] if bends[worst] > STRAIGHT else np.inf
        return Bend(radius=float(radius), at=float(self._away[worst]))

    def end_cut(self, which: int) -> EndCut:
        """How its after end (0) or its fore end (1) is cut."""
        run, end = self.run, self.run.ends[which]
        ring = run.corners[0 if which == 0 else -1]
        along = self.axes[0][0 if which == 0 else -1]
        aft = -along
        normal = end.plane.normal * np.copysign(1.0, float(aft @ end.plane.normal))
        if run.mirrored:
            back, edge = ring[1] - ring[0], ring[2] - ring[1]
        else:
            back, edge = ring[2] - ring[3], 0.5 * (ring[2] + ring[3]) - ring[0]
        reach = ring @ along
        return EndCut(
            against=end.against,
            in_plan=off_square(aft[[0, 1]], normal[[0, 1]]),
            in_profile=off_square(aft[[0, 2]], normal[[0, 2]]),
            on_back=_corner(along, back),
            on_edge=_corner(along, edge),
            long=float(np.ptp(reach)),
        )

    @cached_property
    def widest(self) -> tuple[float, float]:
        """The breadth of wood that its section needs, mm, with the edge that stands out, and where that is."""
        _, across, _ = self.axes
        reach = np.einsum("mkj,mj->mk", self.rails - self.rails[:, :1], across)
        breadth = np.ptp(reach, axis=1)
        worst = int(breadth.argmax())
        return float(breadth[worst]), float(self._away[worst])


def measured(run: Run) -> TimberSizes:
    """The measures of a timber."""
    return TimberSizes(run=run)


def off_square(run: FloatArray, square: FloatArray) -> float:
    """The angle, radians, by which a cut is off square in a view, -pi/2 to pi/2; 0 where the view shows none.

    A saw cut is a line, not a way along it: a normal that points to the other side gives the same cut.
    """
    if min(np.hypot(*run), np.hypot(*square)) < 1e-9:
        return 0.0
    turned = np.arctan2(run[1], run[0]) - np.arctan2(square[1], square[0])
    return float((turned + 0.5 * np.pi) % np.pi - 0.5 * np.pi)


def _corner(along: FloatArray, cut: FloatArray) -> float:
    unit = cut / np.linalg.norm(cut)
    return float(np.arccos(np.clip(abs(unit @ along), 0.0, 1.0)))


def _lengths(points: FloatArray) -> FloatArray:
    return np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))])


def _unit(vectors: FloatArray) -> FloatArray:
    unit: FloatArray = vectors / np.linalg.norm(vectors, axis=-1, keepdims=True)
    return unit


def _dot(a: FloatArray, b: FloatArray) -> FloatArray:
    found: FloatArray = np.einsum("ij,ij->i", a, b)
    return found
