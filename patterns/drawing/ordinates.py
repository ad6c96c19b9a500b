"""A long piece laid off by ordinates: both of its edges, and lines along it, from a straight base line.

A sheet or board has a straight edge, so that is the base line: the piece lies above it and touches it.  Distances
along it are counted from the fore end of the piece.  A batten sprung through the printed, rounded ordinates is a
natural cubic spline where it bends little; ordinates are set closer until it runs within `MOST_OUT` of the true
edge, and where even the closest do not hold it (ends, laps, notches, corners) the edge is printed at full size.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from shapely.geometry import Polygon

from patterns.drawing.base_line import BaseLine, base_line_of
from patterns.fairing.batten import batten
from patterns.flat.shapes import area_of
from patterns.hull.planes import FloatArray
from patterns.measure.ordinates import OrdinateRule
from patterns.pattern import Kind, Pattern

__all__ = ["LONG", "MOST_OUT", "LaidLine", "Ordinates", "Window", "edge_heights", "laid_off"]

LONG = 1500.0  # mm; a shorter piece is printed whole
MOST_OUT = 0.5  # mm; the batten runs nearer than this to the true edge everywhere
STEEP = 0.7  # rise a mm along the base line; a steeper edge is no long sweep, and is printed
MARGIN = 30.0  # mm of fair edge on both sides of what is printed at full size
FINE = 2.0  # mm between the places at which an edge is looked at, besides its own vertices
RAYS = 256  # of these are looked at together
LEAST_STEPS = 3  # steps of ordinates; a shorter sweep is printed with what is beside it
LEAST_SHARE = 0.5  # of both edges that must be laid off, or the piece is printed whole
NARROW = 150.0  # mm; where the piece is no broader a page shows both edges
ALONG = 0.4  # of the piece's length; a line that runs so far along it is laid off as its edges are

Interval = tuple[float, float]
Heights = Callable[[FloatArray], FloatArray]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LaidLine:
    """One line by its ordinates, as printed.

    Attributes:
        name: in words.
        sweeps: its stretches, each with the distances along the base line (n,) and the ordinates (n,), mm.
        out: the greatest distance of a batten through them from the true line, mm.
    """

    name: str
    sweeps: tuple[tuple[FloatArray, FloatArray], ...]
    out: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Window:
    """What is printed at full size, in the base line's coordinates, mm.

    Attributes:
        end: which end of the piece it is; empty between them.
        edge: the edge that it shows where the piece is too broad for both.
    """

    x: Interval
    y: Interval
    end: str = ""
    edge: str = ""

    def where(self, rule: OrdinateRule) -> str:
        """Where it is on the piece, in words."""
        if self.end:
            return self.end
        middle = round(0.5 * sum(self.x) / rule.least) * rule.least
        return f"{self.edge} at {rule.with_unit(middle)}".strip()

    def holds(self, x: float, y: float) -> bool:
        """Whether a place is printed in it."""
        return all(low - 1.0 <= at <= high + 1.0 for at, (low, high) in ((x, self.x), (y, self.y)))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ordinates:
    """A piece by ordinates.

    Attributes:
        base: its base line.
        length, breadth: the box of it along and square to the base line, mm.
        edges: its upper and its lower edge as sawn.
        lines: lines that run along it.
        windows: what is printed besides, from forward aft.
        girth: at which distance, near the middle, its edges are how far apart, mm.
    """

    rule: OrdinateRule
    base: BaseLine
    length: float
    breadth: float
    edges: tuple[LaidLine, LaidLine]
    lines: tuple[LaidLine, ...]
    windows: tuple[Window, ...]
    girth: Interval

    @property
    def out(self) -> float:
        """The greatest distance of a batten from a true edge or line, mm."""
        return max(line.out for line in (*self.edges, *self.lines))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _True:
    """A line as it is: its heights over the base line, from where to where it runs, and where its vertices are."""

    name: str
    heights: Heights
    ends: Interval
    vertices: FloatArray

    @property
    def places(self) -> FloatArray:
        """Where it is looked at, (n,), mm: nothing of it that could be out lies between."""
        start, end = self.ends
        even = np.linspace(start + 1e-3, end - 1e-3, int((end - start) / FINE) + 2)
        own = self.vertices[(self.vertices > start + 1e-3) & (self.vertices < end - 1e-3)]
        return np.unique(np.round(np.concatenate([even, own]), 3))


@lru_cache(maxsize=64)
def laid_off(pattern: Pattern) -> Ordinates | None:
    """A pattern by ordinates; None where it is printed whole: not a long sweep, or as the design asks."""
    rule = pattern.rule
    if rule is None or pattern.half or max(pattern.size()) <= LONG or len(pattern.of_kind(Kind.SAW)) != 1:
        return None
    base = base_line_of(pattern)
    area = area_of(base.own(pattern.of_kind(Kind.SAW)[0].points))
    length, breadth = float(area.bounds[2]), float(area.bounds[3])
    forced = [_across(base.own(line.points)) for line in pattern.of_kind(Kind.JOINT)]
    vertices = np.asarray(area.exterior.coords)[:, 0]
    edges = [
        _laid(
            _True(name=name, heights=edge_heights(area, top=top), ends=(0.0, length), vertices=vertices),
            rule,
            forced,
        )
        for name, top in (("upper edge", True), ("lower edge", False))
    ]
    if sum(_swept(edge) for edge in edges) < LEAST_SHARE * 2.0 * length:
        return None
    girth = _girth(area, edges, rule)
    if girth is None:
        return None
    lines = [_laid(line, rule, ()) for line in _lines_along(pattern, base, length)]
    return Ordinates(
        rule=rule,
        base=base,
        length=length,
        breadth=breadth,
        edges=(edges[0], edges[1]),
        lines=tuple(line for line in lines if line.sweeps),
        windows=tuple(_windows(area, edges)),
        girth=girth,
    )


def _across(points: FloatArray) -> Interval:
    return float(points[:, 0].min()), float(points[:, 0].max())


def edge_heights(area: Polygon, *, top: bool) -> Heights:
    """The heights of an area's upper or lower edge."""
    ring = np.asarray(area.exterior.coords)
    (x0, y0), (x1, y1) = ring[:-1].T, ring[1:].T
    none, outer = (-np.inf, np.max) if top else (np.inf, np.min)

    def heights(x: FloatArray) -> FloatArray:
        found = np.empty(len(x))
        for rays in np.array_split(np.arange(len(x)), len(x) // RAYS + 1):
            with np.errstate(
                divide="ignore", invalid="ignore"
            ):  # upright sides have a top and a foot already
                part = (x[rays, None] - x0) / (x1 - x0)
                y = np.where((part >= 0.0) & (part <= 1.0), y0 + part * (y1 - y0), none)
            found[rays] = outer(y, axis=1)
        return found

    return heights


def _lines_along(pattern: Pattern, base: BaseLine, length: float) -> Iterator[_True]:
    """The named lines that run along a piece, and not across it."""
    for line in pattern.lines:
        if line.kind not in (Kind.REFERENCE, Kind.LANDING) or line.closed or not line.name:
            continue
        points = base.own(line.points)
        points = points if points[-1, 0] > points[0, 0] else points[::-1]
        if points[-1, 0] - points[0, 0] > ALONG * length and (np.diff(points[:, 0]) > 0.0).all():
            yield _True(name=line.name, heights=_through(points), ends=_across(points), vertices=points[:, 0])


def _through(points: FloatArray) -> Heights:
    return lambda x: np.interp(x, *points.T)


def _laid(line: _True, rule: OrdinateRule, forced: Sequence[Interval]) -> LaidLine:
    """A line by ordinates, as far as a batten follows it."""
    start, end = line.ends
    x = line.places
    y = line.heights(x)
    even = np.arange(0, len(x), 2)  # a step of a hair between two vertices is no steep edge
    steep = np.abs(np.diff(y[even])) > STEEP * np.maximum(np.diff(x[even]), FINE)
    bad = [(float(x[even[i]]), float(x[even[i + 1]])) for i in np.flatnonzero(steep)]
    bad += [*forced, (start, start), (end, end)]
    while True:
        found, missed = [], []
        for a, b in _sweeps(bad, rule):
            inside = (x >= a) & (x <= b)
            places, out, failed = _places(rule, line.heights, (a, b), x[inside], y[inside])
            found.append((places, rule.rounded(line.heights(places)), out))
            missed += failed
        if not missed:
            sweeps = tuple((places, printed) for places, printed, _ in found)
            return LaidLine(name=line.name, sweeps=sweeps, out=max((out for _, _, out in found), default=0.0))
        bad += missed


def _sweeps(bad: Sequence[Interval], rule: OrdinateRule) -> Iterator[Interval]:
    """The stretches between what is printed at full size, each from and to an ordinate."""
    reach = None
    for a, b in sorted(bad):
        if reach is not None:
            low = np.ceil((reach + MARGIN) / rule.least - 1e-9) * rule.least
            high = np.floor((a - MARGIN) / rule.least + 1e-9) * rule.least
            if high - low >= LEAST_STEPS * rule.step:
                yield float(low), float(high)
        reach = b if reach is None else max(reach, b)


def _places(
    rule: OrdinateRule, heights: Heights, sweep: Interval, x: FloatArray, y: FloatArray
) -> tuple[FloatArray, float, list[Interval]]:
    """Where a sweep's ordinates are, how far the batten through them is out, and where the closest do not hold it.

    Args:
        x, y: places of the true line in the sweep.
    """
    a, b = sweep
    inner = np.arange(np.floor(a / rule.step) + 1.0, np.ceil(b / rule.step)) * rule.step
    inner = inner[(inner - a > rule.least - 1e-6) & (b - inner > rule.least - 1e-6)]
    places = np.concatenate([[a], inner, [b]])
    while True:
        curve = batten(places, ends="natural").curve(rule.rounded(heights(places)))
        out = np.abs(curve(x) - y)
        off = np.unique(np.clip(np.searchsorted(places, x[out >= MOST_OUT]) - 1, 0, len(places) - 2))
        if not len(off):
            return places, float(out.max()), []
        halves = places[off] + np.round(0.5 * np.diff(places)[off] / rule.least) * rule.least
        new = halves[(halves > places[off] + 1e-6) & (halves < places[off + 1] - 1e-6)]
        if not len(new):
            return places, float(out.max()), [(float(places[i]), float(places[i + 1])) for i in off]
        places = np.union1d(places, new)


def _swept(line: LaidLine) -> float:
    return sum(float(x[-1] - x[0]) for x, _ in line.sweeps)


def _printed(line: LaidLine, length: float) -> Iterator[Interval]:
    """What of an edge is printed: all that is no sweep."""
    reach = 0.0
    for x, _ in line.sweeps:
        yield reach, float(x[0])
        reach = float(x[-1])
    yield reach, length


def _windows(area: Polygon, edges: Sequence[LaidLine]) -> Iterator[Window]:
    """What is printed: both ends, and between them what of each edge is no sweep."""
    length = float(area.bounds[2])
    gaps = [list(_printed(edge, length)) for edge in edges]
    fore, aft = max(gap[0][1] for gap in gaps), min(gap[-1][0] for gap in gaps)
    yield Window(x=(0.0, fore), y=_reach(area, (0.0, fore)), end="fore end")
    inner = [[gap for gap in each if gap[0] > fore and gap[1] < aft] for each in gaps]
    found = []
    for a, b in _joined([gap for each in inner for gap in each]):
        whole = _reach(area, (a, b))
        if whole[1] - whole[0] <= NARROW:
            found.append(Window(x=(a, b), y=whole))
            continue
        for edge, own, top in zip(edges, inner, (True, False), strict=True):
            for x in [gap for gap in own if a <= gap[0] and gap[1] <= b]:
                y = edge_heights(area, top=top)(np.linspace(*x, 50))
                found.append(Window(x=x, y=(float(y.min()), float(y.max())), edge=edge.name))
    yield from found
    yield Window(x=(aft, length), y=_reach(area, (aft, length)), end="after end")


def _joined(intervals: Sequence[Interval]) -> list[Interval]:
    """Intervals in order, those that overlap as one."""
    found: list[Interval] = []
    for a, b in sorted(intervals):
        if found and a <= found[-1][1]:
            found[-1] = found[-1][0], max(found[-1][1], b)
        else:
            found.append((a, b))
    return found


def _reach(area: Polygon, x: Interval) -> Interval:
    """From and to which height a piece reaches between two distances."""
    ring = np.asarray(area.exterior.coords)
    own = ring[(ring[:, 0] >= x[0]) & (ring[:, 0] <= x[1]), 1]
    ends = np.clip(np.array(x), 1e-6, float(area.bounds[2]) - 1e-6)
    y = np.concatenate([own, edge_heights(area, top=True)(ends), edge_heights(area, top=False)(ends)])
    return float(y.min()), float(y.max())


def _girth(area: Polygon, edges: Sequence[LaidLine], rule: OrdinateRule) -> Interval | None:
    """The place next to the middle at which both edges have an ordinate, and how far apart they are there, mm."""
    upper, lower = (np.concatenate([x for x, _ in edge.sweeps] or [np.zeros(0)]) for edge in edges)
    both = np.intersect1d(np.round(upper / rule.least), np.round(lower / rule.least)) * rule.least
    if not len(both):
        return None
    at = float(both[int(np.abs(both - 0.5 * area.bounds[2]).argmin())])
    high, low = (edge_heights(area, top=top)(np.array([at]))[0] for top in (True, False))
    return at, float(high - low)
