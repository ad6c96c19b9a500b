"""Lining off: the planks' edges as fair lines over the outside of planking, from hood ends to after ends.

Each line is a batten in the girth measured down from the sheer in planes square to x, over the distance aft: from
its hood end on the stem's rabbet through parts of the girth at the stations from amidships aft.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

import numpy as np

from patterns.boat import Boat
from patterns.design.lining_models import LiningSpec
from patterns.errors import PatternsError
from patterns.flat.polylines import lengths
from patterns.hull.laid_edge import LaidEdge, Spread, laid_through
from patterns.hull.planes import FloatArray, Plane, station_plane

__all__ = ["OutsideSection", "PlankLines", "outside_run", "plank_lines"]

NEAR_END = (-250.0, 150.0)  # mm about the sheer's after end, in which the transom is looked for
LEAST = 0.2  # of the mean width at a station; a plank that is narrower there has lines that cross


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OutsideSection:
    """The outside of planking from the rabbet to the sheer at a distance aft: girths (n,) and places (n, 2), mm."""

    x: float
    run: FloatArray
    uv: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PlankLines:
    """The upper edges of all planks but the uppermost, from the garboard's up.

    Attributes:
        boat: whose they are.
        fore: (n,), the distances aft at which they begin, mm.
        hood: the width of the hood ends above the garboard's, along the rabbet, mm; None at a bow transom.
        down: the girth from the sheer down to each over the distance aft, mm, as the line's second coordinate.
        amidships: the distance aft of the station of greatest girth.
        begins, ends: between which distances aft the sheer runs.
    """

    boat: Boat
    fore: FloatArray
    hood: float | None
    down: tuple[LaidEdge, ...]
    amidships: float
    begins: float
    ends: float

    def girths(self, x: float) -> tuple[float, dict[int, float]]:
        """At a distance aft the girth from rabbet to sheer, and from the rabbet to each line there, by plank."""
        whole = float(outside_run(self.boat, station_plane(x))[0][-1])
        return whole, {
            number: whole - float(line.at(np.array(x))[1])
            for number, (first, line) in enumerate(zip(self.fore, self.down, strict=True), start=1)
            if x >= first
        }

    def widths(self, x: float) -> dict[int, float]:
        """The planks' widths at a distance aft, by number; none of a plank whose hood end lies farther aft."""
        whole, up = self.girths(x)
        return _widths(whole, up, len(self.down) + 1)

    def section(self, x: float) -> OutsideSection:
        """The outside of planking at a distance aft, on which any of the lines can be found."""
        run, uv = outside_run(self.boat, station_plane(x))
        return OutsideSection(x=x, run=run, uv=uv)

    def on(self, section: OutsideSection, number: int) -> FloatArray:
        """Where the upper edge of a plank is in a section, (3,)."""
        girth = section.run[-1] - float(self.down[number - 1].at(np.array(section.x))[1])
        at = np.array([np.interp(girth, section.run, section.uv[:, k]) for k in (0, 1)])
        return station_plane(section.x).space(at)

    def point(self, number: int, x: float) -> FloatArray:
        """Where the upper edge of a plank is at a distance aft, on the outside of planking, (3,)."""
        return self.on(self.section(x), number)

    def after_ends(self) -> dict[int, float]:
        """The planks' widths along the transom's edge, by number."""
        plane = self.boat.hull.transom
        run, uv = outside_run(self.boat, plane)
        sections = [self.section(self.ends + float(x)) for x in np.linspace(*NEAR_END, 9)]
        up = {}
        for number in range(1, len(self.down) + 1):
            points = np.array([self.on(section, number) for section in sections])
            over = plane.height_over(points)
            at = plane.flat(np.array([np.interp(0.0, over, points[:, k]) for k in range(3)]))
            up[number] = _along(run, uv, at)
        return _widths(float(run[-1]), up, len(self.down) + 1)


def _widths(whole: float, up: dict[int, float], count: int) -> dict[int, float]:
    """The planks' widths from the girths up to their upper edges."""
    edges = {0: 0.0, **up, count: whole}
    return {upper: edges[upper] - edges[lower] for lower, upper in pairwise(sorted(edges))}


def _along(run: FloatArray, uv: FloatArray, at: FloatArray) -> float:
    """The girth at the foot of a place on a run."""
    step = np.diff(uv, axis=0)
    size = np.maximum(np.sum(step * step, axis=1), 1e-12)
    part = np.clip(np.sum((at - uv[:-1]) * step, axis=1) / size, 0.0, 1.0)
    near = int(np.hypot(*(uv[:-1] + part[:, None] * step - at).T).argmin())
    return float(run[near] + part[near] * (run[near + 1] - run[near]))


def outside_run(boat: Boat, plane: Plane) -> tuple[FloatArray, FloatArray]:
    """The outside of planking in a plane from the rabbet to the sheer: girths (n,), and places (n, 2)."""
    hull, [strake] = boat.hull, boat.hull.strakes
    trace = strake.across(plane, inset=strake.inset - strake.planking)
    if trace is None:
        raise PatternsError(f"no planking is {plane.origin[0]:.0f} mm aft that could be lined off")
    uv = trace.uv[(trace.r >= 0.0) & (trace.r <= 1.0)]
    met = hull.pierced(hull.profile, plane)
    if met is None:
        return lengths(uv), uv
    rabbet, run = plane.flat(met[0]), lengths(uv)
    uv = np.vstack([rabbet, uv[run > _along(run, uv, rabbet)]])
    return lengths(uv), uv


@lru_cache(maxsize=4)
def plank_lines(boat: Boat) -> PlankLines | None:
    """The lines by which the design lines her off; None where it does not.

    Raises:
        PatternsError: they do not fit the hull, or cross.
    """
    spec = next(iter(boat.design.all(LiningSpec)), None)
    if spec is None:
        return None
    sheer = boat.hull.lines[boat.hull.strakes[-1].upper]
    first, last = (float(sheer.at(np.array(t))[0]) for t in (sheer.start, sheer.end))
    stations = np.array([float(x) for x in boat.offsets.station_x if first < x < last])
    whole = {float(x): float(outside_run(boat, station_plane(float(x)))[0][-1]) for x in stations}
    amidships = max(whole, key=lambda x: whole[x])
    shares = _shares(spec, whole[amidships])
    whole[last] = float(outside_run(boat, station_plane(last))[0][-1])
    aft = [x for x in sorted(whole) if x >= amidships]
    if boat.hull.stems[0]:
        fore, hood = _hood_ends(boat, spec)
        if fore.max() >= amidships:
            raise PatternsError(
                f"the garboard's hood end at {fore.max():.0f} mm is not forward of the station of greatest girth, "
                f"{amidships:.0f} mm aft; reduce garboard_hood"
            )
    else:
        fore, hood = np.full(len(shares), first), None
        whole[first] = float(outside_run(boat, station_plane(first))[0][-1])
    down = []
    for share, x in zip(shares, fore, strict=True):
        nodes = [(at, (1.0 - share) * whole[at], 0.0) for at in aft]
        start = float(outside_run(boat, station_plane(float(x)))[0][-1])
        nodes.insert(0, (float(x), start if hood is not None else (1.0 - share) * start, 0.0))
        down.append(laid_through(np.array(nodes), Spread(fore=None, aft=None), ends=(float(x), last)))
    lines = PlankLines(
        boat=boat,
        fore=fore,
        hood=hood,
        down=tuple(down),
        amidships=amidships,
        begins=first,
        ends=last,
    )
    _check(lines, stations)
    return lines


def _shares(spec: LiningSpec, girth: float) -> Sequence[float]:
    """The parts of the girth up to each line amidships."""
    if not spec.widths:
        return [number / spec.planks for number in range(1, spec.planks)]
    up = np.cumsum(spec.widths)
    if up[-1] >= girth:
        raise PatternsError(
            f"its widths are {up[-1]:.0f} mm together, and the girth amidships is {girth:.0f} mm: nothing is left "
            "of the uppermost plank; reduce widths"
        )
    return [float(each) for each in up / girth]


def _hood_ends(boat: Boat, spec: LiningSpec) -> tuple[FloatArray, float]:
    """The distances aft of the lines' ends on the rabbet, and how far apart they are along it."""
    profile = boat.hull.profile
    assert spec.garboard_hood is not None
    lowest = float(profile.t_at_x(np.array(boat.distance(spec.garboard_hood))))
    t = np.linspace(profile.start, lowest, 1001)
    run = np.append(0.0, np.cumsum(np.linalg.norm(np.diff(profile.at(t), axis=0), axis=1)))
    count = spec.planks - 1
    apart = float(run[-1]) / count
    ends = profile.at(np.interp(apart * np.arange(count, 0, -1), run, t))
    return np.asarray(ends[:, 0]), apart


def _check(lines: PlankLines, stations: FloatArray) -> None:
    """See that no two lines cross or run close together at a station."""
    for x in stations:
        widths = lines.widths(float(x))
        mean = float(np.mean(list(widths.values())))
        for number, width in widths.items():
            # Where a plank begins it is as narrow as its hood end leaves it.
            begins = number <= len(lines.fore) and x < lines.fore[number - 1] + mean
            if width < LEAST * mean and not begins:
                raise PatternsError(
                    f"plank {number} is {width:.0f} mm wide {x:.0f} mm aft, and the planks there are "
                    f"{mean:.0f} mm wide on average; change garboard_hood, planks or widths"
                )
