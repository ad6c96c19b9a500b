"""An area of wood in a plane, with a label on every segment of its edge that survives cutting and joining.

After an overlay a segment takes the label of the operand's segment that lies under its midpoint, within `ON`.
Where more than one operand has a segment there, the last cut wins in a difference, and the first operand in a union
and in an intersection.  So what an edge lies on is never found again from distances to something else.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Protocol, TypeAlias

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import MultiPolygon, Polygon

from patterns.errors import SizeError
from patterns.flat import overlays
from patterns.hull.planes import FloatArray
from patterns.wood.labels import Centre, Free, Label, Rounded

__all__ = ["ON", "Area", "Edged", "Edges", "Region", "Stretch", "labelled", "largest_of"]

ON = 1e-6  # mm; a segment lies on another where its midpoint is this near
ARC = 1e-3  # of a radius: a rounded corner's segment this near to a parent lies on it

Area: TypeAlias = Polygon | MultiPolygon


class Edged(Protocol):
    """Labelled segments that an area was cut with."""

    @property
    def segments(self) -> FloatArray: ...
    @property
    def ends(self) -> Sequence[bytes]: ...
    @property
    def palette(self) -> tuple[Label, ...]: ...
    @property
    def codes(self) -> NDArray[np.intp]: ...


@dataclass(frozen=True, eq=False)
class Edges:
    """Lines that enclose nothing yet, for areas that are cut along them; see `Region`."""

    segments: FloatArray
    palette: tuple[Label, ...]
    codes: NDArray[np.intp]

    @cached_property
    def ends(self) -> Sequence[bytes]:
        """See `Region.ends`."""
        return _ends(self.segments)

    @classmethod
    def of(cls, lines: Sequence[tuple[Label, FloatArray]]) -> Edges:
        """Lines (n, 2), each under its label."""
        palette = tuple(dict.fromkeys(label for label, _ in lines))
        codes = [np.full(len(points) - 1, palette.index(label), dtype=np.intp) for label, points in lines]
        segments = [np.stack([points[:-1], points[1:]], axis=1) for _, points in lines]
        return cls(np.concatenate(segments), palette, np.concatenate(codes))


@dataclass(frozen=True, slots=True, eq=False)
class Stretch:
    """A run of edge under one label.

    Attributes:
        label: what it lies on.
        points: shape (n, 2), mm; the wood lies on the left.
        closed: it is a whole ring, whose last point is joined to the first (which is not repeated).
    """

    label: Label
    points: FloatArray
    closed: bool = False

    @property
    def length(self) -> float:
        """Its length, mm."""
        points = np.vstack([self.points, self.points[:1]]) if self.closed else self.points
        return float(np.hypot(*np.diff(points, axis=0).T).sum())


@dataclass(frozen=True, eq=False)
class Region:
    """An area and what its edges lie on.

    Attributes:
        area: polygon or polygons.
        palette: the labels that occur, each once.
        codes: shape (n,), for each segment its label's place in the palette.  The segments follow the rings of
            `shapely.get_rings` of its polygons, each in its own order.
    """

    area: Area
    palette: tuple[Label, ...]
    codes: NDArray[np.intp]

    @classmethod
    def of(cls, area: Any, label: Label) -> Region:
        """An area with one label all round."""
        area = _polygons(area)
        return cls(area, (label,), np.zeros(len(_segments(area)[0]), dtype=np.intp))

    @classmethod
    def within(cls, points: FloatArray, labels: Sequence[Label]) -> Region:
        """The area within a closed outline (n, 2); ``labels[i]`` is that of the segment from point i to the next.

        Raises:
            ValueError: the outline crosses itself, or the labels are not one for each point.
        """
        area = Polygon(points)
        if not area.is_valid or len(labels) != len(points):
            raise ValueError("an outline crosses itself, or its labels do not fit its points")
        palette = tuple(dict.fromkeys(labels))
        place = {label: i for i, label in enumerate(palette)}
        return cls(area, palette, np.array([place[label] for label in labels], dtype=np.intp))

    @classmethod
    def around(cls, *runs: tuple[FloatArray, Label, Label]) -> Region:
        """The largest part of what a closed outline encloses; it may cross itself.

        Args:
            runs: its parts in order: points (n, 2), what their edge lies on, and what the edge from their last
                point to the next part's first lies on.
        Raises:
            SizeError: it encloses nothing.
        """
        points = np.vstack([run for run, _, _ in runs])
        labels = [label for run, along, on in runs for label in [*[along] * (len(run) - 1), on]]
        apart = (points != np.roll(points, -1, axis=0)).any(axis=1)
        labels = [label for label, kept in zip(labels, apart, strict=True) if kept]
        points = points[apart]
        palette = tuple(dict.fromkeys(labels))
        raw = cls(
            Polygon(points), palette, np.array([palette.index(label) for label in labels], dtype=np.intp)
        )
        return raw if raw.area.is_valid else largest_of(labelled(shapely.make_valid(raw.area), [raw]))

    @property
    def labels(self) -> tuple[Label, ...]:
        """The label of each segment."""
        return tuple(self.palette[code] for code in self.codes)

    @cached_property
    def segments(self) -> FloatArray:
        """The segments of the edge, shape (n, 2, 2), mm, in the order of ``labels``."""
        return _segments(self.area)[0]

    @cached_property
    def ends(self) -> Sequence[bytes]:
        """Both ends of each segment as bytes, the same whichever way it runs."""
        return _ends(self.segments)

    @property
    def is_empty(self) -> bool:
        """No wood is left."""
        return bool(self.area.is_empty)

    def minus(self, *cuts: Region) -> Region:
        """What is left when cuts are taken away, one after another."""
        area = overlays.difference(self.area, *(cut.area for cut in cuts))
        return labelled(area, [*reversed(cuts), self])

    def both(self, *others: Region) -> Region:
        """What it shares with all of the others."""
        area = overlays.intersection(self.area, *(other.area for other in others))
        return labelled(area, [self, *others])

    def joined(self, *others: Region) -> Region:
        """It and the others together."""
        area = overlays.union(self.area, *(other.area for other in others))
        return labelled(area, [self, *others])

    def grown(self, distance: float, *, join_style: str = "round", mitre_limit: float = 5.0) -> Region:
        """The area grown by a distance, mm, or shrunk by a negative one; arcs round its corners are `Rounded`.

        Args:
            mitre_limit: how many times the distance a corner may be off, where corners are mitred.
        """
        area = shapely.buffer(
            self.area, distance, quad_segs=32, join_style=join_style, mitre_limit=mitre_limit
        )
        reach = 1.01 if join_style == "round" else mitre_limit
        return labelled(area, [self], within=reach * abs(distance) + ON, square=join_style == "round")

    def rounded(self, radius: float) -> Region:
        """The area with its outward corners rounded to a radius, mm."""
        if radius <= 0.0:
            return self
        area = shapely.buffer(shapely.buffer(self.area, -radius, quad_segs=32), radius, quad_segs=32)
        return labelled(area, [self], within=ARC * radius, otherwise=Rounded())

    def changed(self, area: Any, *, within: float, otherwise: Label | None = None) -> Region:
        """The area as another step has left it, which has moved no segment by more than ``within`` mm."""
        return labelled(area, [self], within=within, otherwise=otherwise)

    def mapped(self, function: Callable[[FloatArray], FloatArray]) -> Region:
        """Every point (n, 2) put through a function that keeps the rings' order."""
        return Region(shapely.transform(self.area, function), self.palette, self.codes)

    def relabelled(self, where: NDArray[np.bool_], label: Label) -> Region:
        """Another label on some of the segments, shape (n,)."""
        palette = self.palette if label in self.palette else (*self.palette, label)
        return Region(self.area, palette, np.where(where, palette.index(label), self.codes))

    def parts(self, *, least: float = 0.0) -> list[Region]:
        """Its separate polygons that are larger than ``least`` mm2."""
        found, start = [], 0
        for polygon in shapely.get_parts(self.area):
            size = len(_segments(polygon)[0])
            if polygon.area > least:
                found.append(Region(polygon, self.palette, self.codes[start : start + size]))
            start += size
        return found

    def stretches(self, *wanted: Label | type[Label]) -> list[Stretch]:
        """The runs of edge under labels, or under every label of a kind; without any, all of them.

        They come in the order of the rings; neighbours under one label are one run, across a ring's start too.
        """
        found: list[Stretch] = []
        for points, codes in self._rings():
            found += (s for s in _runs(points, codes, self.palette) if not wanted or _is(s.label, wanted))
        return found

    def outlines(self, *left_out: Label | type[Label]) -> list[Stretch]:
        """Its rings whole, whatever their labels; where they run under labels that are left out they are open."""
        out = np.array([_is(label, left_out) for label in self.palette], dtype=bool)[self.codes]
        kept = Region(self.area, (Free(), Centre()), out.astype(np.intp))
        return kept.stretches(Free())

    def lines(self, *wanted: Label | type[Label]) -> Any:
        """The same runs as one geometry, to measure distances from."""
        kept = np.array([_is(label, wanted) for label in self.palette], dtype=bool)[self.codes]
        return shapely.multilinestrings(shapely.linestrings(self.segments[kept]))

    def _rings(self) -> Iterator[tuple[FloatArray, NDArray[np.intp]]]:
        """Each ring turned so that the wood lies on its left: points (n, 2), the last not repeated; codes (n,)."""
        start = 0
        for polygon in shapely.get_parts(self.area):
            for number, ring in enumerate(shapely.get_rings(polygon)):
                points = shapely.get_coordinates(ring)[:-1]
                if len(points) == 0:
                    continue
                codes = self.codes[start : start + len(points)]
                start += len(points)
                if shapely.is_ccw(ring) == (number > 0):
                    points, codes = points[::-1], np.roll(codes[::-1], -1)
                yield points, codes


def largest_of(region: Region) -> Region:
    """The largest of a region's polygons.

    Raises:
        SizeError: nothing is left.
    """
    parts = region.parts()
    if not parts:
        raise SizeError("its notches and the faces that bound it leave no wood of it", larger=True)
    return max(parts, key=lambda part: float(part.area.area))


def _is(label: Label, wanted: Sequence[Label | type[Label]]) -> bool:
    return any(isinstance(label, want) if isinstance(want, type) else label == want for want in wanted)


def _runs(points: FloatArray, codes: NDArray[np.intp], palette: tuple[Label, ...]) -> Iterator[Stretch]:
    """The runs of a ring; ``codes[i]`` is that of the segment from point i to the next."""
    starts = np.nonzero(codes != np.roll(codes, 1))[0]
    if len(starts) == 0:
        yield Stretch(palette[codes[0]], points, closed=True)
        return
    count = len(points)
    for first, last in zip(starts, np.append(starts[1:], starts[0] + count), strict=True):
        yield Stretch(palette[codes[first]], points[np.arange(first, last + 1) % count])


def _polygons(area: Any) -> Area:
    """The polygons of whatever an overlay gave; points and lines are no wood."""
    if isinstance(area, Polygon | MultiPolygon):
        return area
    kept = [part for part in shapely.get_parts(area) if isinstance(part, Polygon) and not part.is_empty]
    return kept[0] if len(kept) == 1 else MultiPolygon(kept)


def _segments(area: Any) -> tuple[FloatArray, NDArray[np.intp]]:
    """All segments of an area's rings, (n, 2, 2), and the number of each one's ring, (n,)."""
    points, ring = shapely.get_coordinates(shapely.get_rings(shapely.get_parts(area)), return_index=True)
    if len(points) == 0:
        return np.zeros((0, 2, 2)), np.zeros(0, dtype=np.intp)
    same = ring[1:] == ring[:-1]
    return np.stack([points[:-1][same], points[1:][same]], axis=1), ring[1:][same]


def labelled(
    area: Any,
    sources: Sequence[Edged],
    *,
    within: float = ON,
    square: bool = False,
    otherwise: Label | None = None,
) -> Region:
    """An area whose segments take their labels from the first source that has a segment under their midpoint.

    Args:
        within: how near that must be, mm; of several segments of one source the nearest counts.
        square: a midpoint whose nearest place on a source is an end of its segment lies on an arc round it.
        otherwise: the label of segments that lie on no source.
    Raises:
        ValueError: a segment lies on no source and ``otherwise`` is None.
    """
    area = _polygons(area)
    segments, _ = _segments(area)
    palette: dict[Label, int] = {}
    codes = np.full(len(segments), -1, dtype=np.intp)
    middles = segments.mean(axis=1)
    ends = [] if square else _ends(segments)
    for source in sources:
        parents = source.segments
        left = _near(middles, codes < 0, parents, within)
        if len(left) == 0:
            continue
        places = np.array(
            [palette.setdefault(label, len(palette)) for label in source.palette], dtype=np.intp
        )
        if not square:  # most segments are a parent's own: those are not looked for
            known = dict(zip(source.ends, places[source.codes].tolist(), strict=True))
            codes[left] = [known.get(ends[i], -1) for i in left]
            left = left[codes[left] < 0]
            if len(left) == 0:
                continue
        tree = shapely.STRtree(shapely.linestrings(parents))
        here, under = tree.query_nearest(
            shapely.points(middles[left]), max_distance=within, all_matches=False
        )
        given = places[source.codes[under]]
        if square:
            arcs = _round_ends(middles[left[here]], parents[under])
            given[arcs] = palette.setdefault(Rounded(), len(palette))
        codes[left[here]] = given
    if (codes < 0).any():
        if otherwise is None:
            raise ValueError("an edge of an area lies on none of the edges that it was cut from")
        codes[codes < 0] = palette.setdefault(otherwise, len(palette))
    found = Region(area, tuple(palette) or (Free(),), codes)
    found.__dict__["segments"] = segments  # they are known: the next cut asks for them
    if not square:
        found.__dict__["ends"] = ends
    return found


def _near(
    middles: FloatArray, wanted: NDArray[np.bool_], parents: FloatArray, within: float
) -> NDArray[np.intp]:
    """The numbers of the wanted midpoints that lie in the box round a source's segments."""
    if len(parents) == 0:
        return np.zeros(0, dtype=np.intp)
    low, high = parents.min(axis=(0, 1)) - within, parents.max(axis=(0, 1)) + within
    return np.nonzero(wanted & (middles >= low).all(axis=1) & (middles <= high).all(axis=1))[0]


def _ends(segments: FloatArray) -> list[bytes]:
    """For each segment (n, 2, 2) its two ends as bytes, the same whichever way it runs."""
    (x0, y0), (x1, y1) = segments[:, 0].T, segments[:, 1].T
    turned = (x1 < x0) | ((x1 == x0) & (y1 < y0))
    rows = np.ascontiguousarray(np.where(turned[:, None, None], segments[:, ::-1], segments)).tobytes()
    return [rows[i : i + 32] for i in range(0, len(rows), 32)]


def _round_ends(points: FloatArray, segments: FloatArray) -> NDArray[np.bool_]:
    """Which of the points (n, 2) are nearest to an end of their segment (n, 2, 2), not square to its inside."""
    start, way = segments[:, 0], segments[:, 1] - segments[:, 0]
    size = np.maximum(np.einsum("ij,ij->i", way, way), 1e-18)
    part = np.einsum("ij,ij->i", points - start, way) / size
    slack = ON / np.sqrt(size)
    outside: NDArray[np.bool_] = (part < slack) | (part > 1.0 - slack)
    return outside
