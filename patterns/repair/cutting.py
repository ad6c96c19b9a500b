"""A piece cut out of the old frame's shape: where its edge begins and ends, its wood on both faces."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any, Literal

import numpy as np
from shapely.geometry import LineString, Point, Polygon
from shapely.ops import split

from patterns.errors import PatternsError
from patterns.flat import overlays
from patterns.flat.polylines import crossings
from patterns.flat.shapes import band, largest
from patterns.hull.planes import FloatArray
from patterns.joinery.joints import Joint
from patterns.repair.outline import Edge, EdgeStretch
from patterns.repair.section import MeasuredSection, carried_on
from patterns.wood.labels import Free, Trim
from patterns.wood.region import Region, labelled

__all__ = [
    "Cut",
    "CutKind",
    "cut_at",
    "end_cut",
    "joint_at",
    "joint_cut",
    "mitre",
    "share_of",
    "trimmed",
    "wood_of",
]

CutKind = Literal["plumb", "level", "square"]
OFF = 600.0  # mm past a cut up to which wood is cut off by it
ACROSS = 600.0  # mm to both sides of the edge within which a cut is looked for
STEEP = 0.25  # sine; an end is not cut along a line that lies nearer than this to the edge itself
MITRE = 2.0  # mouldings by which a strip is carried on to meet the next one in a clean corner
AT_CORNER = 1e-3  # mm; a cut that is nearer to a corner than this lies at it
SAME = 1e-6  # mm; mouldings that differ by less are one


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Cut:
    """A straight cut across the edge, square to the faces.

    Attributes:
        at: a point of it on the measured face's edge, (2,).
        along: its unit direction, (2,).
        away: unit vector square to it, (2,), towards what is cut off.
        name: what it is, for the pattern.
    """

    at: FloatArray
    along: FloatArray
    away: FloatArray
    name: str = ""

    def line(self) -> FloatArray:
        """The cut as a line across the edge, (2, 2)."""
        return np.array([self.at - ACROSS * self.along, self.at + ACROSS * self.along])

    def beyond(self, reach: float) -> Polygon:
        """What is cut off, so far as it can belong to this end."""
        side = reach * self.along
        far = self.at + OFF * self.away
        return Polygon([self.at - side, self.at + side, far + side, far - side])


def _cut(at: FloatArray, along: FloatArray, away: FloatArray, name: str) -> Cut:
    square = np.array([-along[1], along[0]])
    return Cut(at=at, along=along, away=square * np.copysign(1.0, square @ away), name=name)


def end_cut(edge: Edge, kind: CutKind, *, upper: bool) -> Cut:
    """The cut at the heel or the head.

    Raises:
        PatternsError: the edge itself runs that way there.
    """
    stretch = edge.stretches[-1 if upper else 0]
    i = -1 if upper else 0
    out, at = stretch.out[i], stretch.points[i]
    run = np.array([-out[1], out[0]])  # towards the head
    along = {"plumb": np.array([0.0, 1.0]), "level": np.array([1.0, 0.0]), "square": out}[kind]
    if abs(float(along[0] * run[1] - along[1] * run[0])) < STEEP:
        end = "head" if upper else "heel"
        raise PatternsError(f'its edge runs {kind} at the {end}; write another cut in {end}, e.g. "square"')
    return _cut(at, along, run if upper else -run, edge.corners[i])


def _place(edge: Edge, run: float, *, upper: bool) -> tuple[FloatArray, FloatArray]:
    """Point (2,) and outward normal (2,) at a length along the edge; at a corner, of the stretch that is kept."""
    starts = edge.corner_runs
    kept = run - AT_CORNER if upper else run + AT_CORNER
    k = int(np.clip(np.searchsorted(starts, kept, side="right") - 1, 0, len(edge.stretches) - 1))
    stretch = edge.stretches[k]
    at = [np.interp(run - starts[k], stretch.run, stretch.points[:, c]) for c in (0, 1)]
    out = np.array([np.interp(run - starts[k], stretch.run, stretch.out[:, c]) for c in (0, 1)])
    return np.array(at), out / np.hypot(*out)


def cut_at(edge: Edge, run: float, *, upper: bool, name: str = "") -> Cut:
    """A cut square to the edge at a length along it."""
    at, out = _place(edge, run, upper=upper)
    way = np.array([-out[1], out[0]])
    return _cut(at, out, way if upper else -way, name)


def joint_at(faces: Sequence[Edge], corner: int, moulded: Callable[[str], float]) -> Joint:
    """The joint at a corner (counted from the heel) of the first face, a mitre to the inner corner of the wood.

    The inner edge is one for both faces: the deeper of the two.
    """
    edge = faces[0]
    before, after = edge.stretches[corner - 1], edge.stretches[corner]
    ways = np.array([before.out[-1], after.out[0]])
    corners = np.array([face.stretches[corner].points[0] for face in faces])
    depths = np.array([moulded(before.name), moulded(after.name)])
    inner = np.linalg.lstsq(ways, (corners @ ways.T).min(axis=0) - depths, rcond=None)[0]
    runs = np.stack([-ways[:, 1], ways[:, 0]], axis=-1)
    return Joint(
        name=edge.corners[corner],
        below=before.name,
        above=after.name,
        inner=inner,
        corner=corners[0],
        along=(runs[0], -runs[1]),
        inside=2.0 * inner - corners[0],
    )


def mitre(joint: Joint) -> FloatArray:
    """The unit direction of its cut, outward from the inner corner, (2,)."""
    return joint.cut("mitre", None, half=0)


def joint_cut(joint: Joint, *, upper: bool) -> Cut:
    """The cut of a joint at the upper or the lower end of a piece."""
    along = mitre(joint)
    run = np.array([-along[1], along[0]])
    return _cut(joint.corner, along, run if upper else -run, joint.name)


def _crossing(edge: Edge, cut: Cut) -> tuple[int, float]:
    """Where a cut crosses an edge: the stretch and the broken index in it."""
    found: list[tuple[float, int, float]] = []
    for k, stretch in enumerate(edge.stretches):
        for place, along in crossings(stretch.points, cut.line()):
            away = abs(along - 0.5) * 2.0 * ACROSS
            found.append((away, k, place))
    if not found:
        raise PatternsError(f"its end at the {cut.name or 'cut'} misses the edge; look at the points there")
    _, k, place = min(found)
    return k, place


def trimmed(edge: Edge, lower: Cut, upper: Cut) -> Edge:
    """The part of an edge between two cuts; it is carried on straight where it stops short of them.

    Raises:
        PatternsError: a cut misses it, or nothing is left.
    """
    edge = carried_on(edge)
    (first, start), (last, end) = _crossing(edge, lower), _crossing(edge, upper)
    if (first, start) >= (last, end):
        raise PatternsError("its ends lie the wrong way round; look at its points")
    stretches = []
    for k in range(first, last + 1):
        stretch = edge.stretches[k]
        low = start if k == first else 0.0
        high = end if k == last else float(len(stretch.points) - 1)
        if high - low > 1e-9:
            stretches.append(_part(stretch, low, high))
    inner = edge.corners[first + 1 : last + 1]
    return Edge(stretches=tuple(stretches), corners=(lower.name, *inner[: len(stretches) - 1], upper.name))


def _part(stretch: EdgeStretch, low: float, high: float) -> EdgeStretch:
    index = np.arange(len(stretch.points), dtype=float)
    at = np.concatenate([[low], index[(index > low + 1e-9) & (index < high - 1e-9)], [high]])

    def of(values: FloatArray) -> FloatArray:
        return np.asarray(np.interp(at, index, values))

    out = np.stack([of(stretch.out[:, k]) for k in (0, 1)], axis=-1)
    return replace(
        stretch,
        points=np.stack([of(stretch.points[:, k]) for k in (0, 1)], axis=-1),
        out=out / np.linalg.norm(out, axis=-1, keepdims=True),
        slope=of(stretch.slope),
        hollow=of(stretch.hollow),
    )


def _strip(edge: Edge, moulded: Callable[[str], float]) -> Any:
    """The strip along both sides of an edge that the mouldings take up inward."""
    depths = [moulded(stretch.name) for stretch in edge.stretches]
    if max(depths) - min(depths) < SAME:
        return LineString(edge.points).buffer(
            depths[0], cap_style="flat", join_style="mitre", mitre_limit=8.0
        )
    most = max(depths)
    strips = [
        # A step in the edge has no inner corner of its own.
        band(stretch.points, depth, outward=most, on=MITRE * most)
        if stretch.run[-1] > MITRE * most
        else LineString(stretch.points).buffer(depth, cap_style="flat")
        for stretch, depth in zip(edge.stretches, depths, strict=True)
    ]
    return overlays.union(*strips)


def _inside(strip: Any, section: MeasuredSection) -> Region:
    """The parts of an area to the left of a section's edge, which runs through it."""
    string = LineString(carried_on(section.long).points)
    kept = []
    for part in split(largest(strip), string).geoms:
        spot = part.representative_point()
        along = string.project(spot)
        near = np.asarray(string.interpolate(along).coords[0])
        before, after = (
            np.asarray(string.interpolate(np.clip(along + step, 0.0, string.length)).coords[0])
            for step in (-0.5, 0.5)
        )
        run, gap = after - before, np.asarray(spot.coords[0]) - near
        if run[0] * gap[1] - run[1] * gap[0] > 0.0:
            kept.append(part)
    return labelled(overlays.union(*kept), [section.lines], otherwise=Free())


def wood_of(
    sections: Sequence[MeasuredSection],
    moulded: Callable[[str], float],
    cuts: Sequence[Cut],
    *,
    less: Sequence[Region] = (),
) -> tuple[Region, ...]:
    """The wood on each face: inward from its edge, the moulding being the least depth on all faces.

    Args:
        sections: one for each face, their edges trimmed at the cuts; the inner edge is one for all, square to them.
        moulded: the moulding of a stretch, mm, by its name.
        less: more that is cut off every face.
    Raises:
        PatternsError: it falls in parts.
    """
    strip = overlays.union(*[_strip(section.long, moulded) for section in sections])
    deepest = max(moulded(stretch.name) for section in sections for stretch in section.edge.stretches)
    off = [Region.of(cut.beyond(4.0 * deepest + 50.0), Trim(cut.name)) for cut in cuts]
    return tuple(
        _one(_inside(strip, section).minus(*off, *less), section.long.points) for section in sections
    )


def share_of(wood: Region, edge: Edge) -> Region:
    """The part of a piece's wood that lies on a part of its edge, its joints cut."""
    return _one(wood, edge.points)


def _one(wood: Region, edge: FloatArray) -> Region:
    """The one part that lies on the edge (n, 2)."""
    middle = Point(edge[len(edge) // 2])
    parts = wood.parts(least=1.0)
    if not parts:
        raise PatternsError("no wood is left of it; look at its points")
    return min(parts, key=lambda part: (round(float(part.area.distance(middle)), 3), -float(part.area.area)))
