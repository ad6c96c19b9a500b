"""The faces of panels: areas bounded by planking, deck, other pieces and the design's own lines, in any plane."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely

from patterns.boat import Boat
from patterns.design.panel_models import OpeningSpec, PanelSpec
from patterns.errors import PatternsError
from patterns.flat import overlays
from patterns.hull.cuts import Trace
from patterns.hull.planes import FloatArray, Plane, cross
from patterns.hull.sections import Section
from patterns.hull.spaces import cut_of, flipped
from patterns.joinery.deck_timbers import aft_of
from patterns.joinery.deck_work import below
from patterns.joinery.fore_and_aft import deck_along, fore_and_aft_plane
from patterns.joinery.framed import framed
from patterns.joinery.hosts import Host, host_called, on_deck
from patterns.wood.labels import Against, Centre, Deck, Free, Label, Level, Opening, Planking, Trim
from patterns.wood.meeting import Seat
from patterns.wood.region import Region

__all__ = [
    "PanelFace",
    "end_meets",
    "ends_of",
    "faces_along",
    "opened",
    "panel_plane",
    "seats_of",
    "within_keys",
]

FAR = 20_000.0  # mm; past every boat
PAST = 60.0  # mm by which a notch for a frame runs out through the planking
WIDE_R = (-0.5, 1.5)  # of a strake's breadth: so far it is carried on past its edges
MEETS = 5.0  # mm; an end that lies on less of a piece does not land on it
ARC = 32  # chords in a quarter of a circle


Sections = tuple[Section, Section]
Woods = tuple[Region, Region]
OnAFace = tuple[Plane, FloatArray]
"""A face of a piece across the boat, and the corners of a notch on it, (n, 3)."""
Crossed = dict[str, tuple[OnAFace, OnAFace]]
"""By the piece across the boat, the corners of the notches for it on both of its faces."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PanelFace:
    """One face of a panel that runs along the boat.

    Attributes:
        region: its wood, frames cut out.
        sources: what its bevelled edges are cut of.
        crossed: the frames and gussets that it is cut round.
    """

    region: Region
    sources: dict[Label, Trace]
    crossed: Crossed


def ends_of(boat: Boat, spec: PanelSpec) -> tuple[Host, Host]:
    """The pieces that a panel along the boat is cut to.

    Raises:
        PatternsError: one cannot be placed.
    """
    assert spec.between is not None
    return host_called(boat, spec.between[0]), host_called(boat, spec.between[1])


def panel_plane(boat: Boat, spec: PanelSpec) -> tuple[Plane, float]:
    """The moulded face of a panel along the boat, and which way its wood runs along the normal.

    Raises:
        PatternsError: its pieces do not stand one aft of the other.
    """
    fore, after = ends_of(boat, spec)
    ends = fore.after, after.fore
    if spec.lies == "level":
        assert spec.height is not None
        starts = [float(end.space(np.array([0.0, end.up_at_height(spec.height)]))[0]) for end in ends]
        plane = Plane(
            origin=np.array([0.0, 0.0, spec.height]), u=np.array([0.0, 1.0, 0.0]), v=np.array([1.0, 0.0, 0.0])
        )
        sense = 1.0
    else:
        assert spec.half_breadth is not None
        low = spec.bottom if spec.bottom is not None else 0.0
        points = [
            end.space(np.array([out, end.up_at_height(low)]))
            for end, out in zip(ends, spec.half_breadth, strict=True)
        ]
        starts = [float(point[0]) for point in points]
        plane, sense = fore_and_aft_plane(points[0], points[1]), -1.0
    if starts[1] <= starts[0]:
        raise PatternsError(f"{after.name} does not lie aft of {fore.name}; name its pieces from forward aft")
    return plane, sense


def faces_along(boat: Boat, spec: PanelSpec) -> tuple[tuple[Plane, Plane], float, list[PanelFace]]:
    """The two faces of a level panel, or of one that runs fore and aft, and its sense.

    Raises:
        PatternsError: the planking does not bound it there.
    """
    moulded, sense = panel_plane(boat, spec)
    planes = moulded, moulded.moved(sense * spec.sided)
    return planes, sense, [_along(boat, spec, plane) for plane in planes]


def _along(boat: Boat, spec: PanelSpec, plane: Plane) -> PanelFace:
    sources: dict[Label, Trace] = {}
    parts = list(_between(boat, spec, plane))
    outside: list[Region] = []
    if spec.lies == "level":
        if spec.outer is None:
            outside += _planking(boat, plane, sources, level=True)
        else:
            parts.append(Region.of(shapely.box(-FAR, -FAR, spec.outer, FAR), Free()))
        inner, label = (spec.inner, Free()) if spec.inner is not None else (0.0, Centre())
        parts.append(Region.of(shapely.box(inner, -FAR, FAR, FAR), label))
    else:
        parts += _upright(boat, spec, plane, sources)
        outside += _planking(boat, plane, sources, level=False) if spec.bottom is None else []
    region = parts[0].both(*parts[1:])
    region = region.minus(*outside) if outside else region
    crossed: Crossed = {}
    cuts: list[Region] = []
    for name, sections, woods in _in_the_way(boat, spec):
        found = _through(sections, woods, plane, level=spec.lies == "level")
        if found is not None and overlays.intersection(found[0], region.area).area > 1.0:
            cuts.append(Region.of(found[0], Against(name)))
            crossed[name] = found[1]
    region = region.minus(*cuts) if cuts else region
    sources |= _end_sources(region, ends_of(boat, spec))
    return PanelFace(region=region, sources=sources, crossed=crossed)


def _between(boat: Boat, spec: PanelSpec, plane: Plane) -> Iterator[Region]:
    fore, after = ends_of(boat, spec)
    yield Region.of(cut_of(plane, (aft_of(fore.after),)), Trim("fore", fore.whole))
    yield Region.of(cut_of(plane, (flipped(aft_of(after.fore)),)), Trim("after", after.whole))


def _planking(boat: Boat, plane: Plane, sources: dict[Label, Trace], *, level: bool) -> list[Region]:
    """What lies outside of each strake that the plane cuts.

    Raises:
        PatternsError: it cuts none.
    """
    found = []
    for strake in boat.hull.strakes:
        trace = strake.along(plane, inset=strake.inset, r_range=WIDE_R)
        if trace is None:
            continue
        order = np.argsort(trace.uv[:, 1 if level else 0])
        trace = Trace(uv=trace.uv[order], normal=trace.normal[order], r=trace.r[order])
        sources[Planking(strake.name)] = trace
        found.append(Region.of(_outside(trace, level=level), Planking(strake.name)))
    if not found:
        raise PatternsError("the planking does not reach its plane; give it bounds of its own")
    return found


def _outside(trace: Trace, *, level: bool) -> Any:
    """The area outboard of a strake's line that runs aft, or below it.

    Past an end at which the line rises over the strake's upper edge, all that is lower is outside too; past one at
    which it leaves the lower edge, and past the ends of a level line, another strake bounds the hull.
    """
    run, out = (trace.uv[:, 1], trace.uv[:, 0]) if level else (trace.uv[:, 0], -trace.uv[:, 1])
    points = np.stack([run, out], axis=-1)
    if not level and trace.r[0] > 0.5:
        points = np.vstack([[-FAR, out[0]], points])
    if not level and trace.r[-1] > 0.5:
        points = np.vstack([points, [FAR, out[-1]]])
    points = np.vstack([points, [points[-1, 0], FAR], [points[0, 0], FAR]])
    area: Any = shapely.make_valid(shapely.Polygon(points[:, ::-1] if level else points * [1.0, -1.0]))
    return area


def _upright(boat: Boat, spec: PanelSpec, plane: Plane, sources: dict[Label, Trace]) -> Iterator[Region]:
    """What bounds a panel fore and aft above and below."""
    if spec.bottom is not None:
        yield Region.of(shapely.box(-FAR, spec.bottom, FAR, FAR), Level())
    upper = _upper(boat, spec)
    if upper is not None:
        yield Region.of(shapely.box(-FAR, -FAR, FAR, upper[0]), upper[1])
        return
    fore, after = ends_of(boat, spec)
    assert spec.half_breadth is not None
    low, high = (
        float(on_deck(boat, host.name, face, out)[0])
        for host, face, out in zip((fore, after), (fore.after, after.fore), spec.half_breadth, strict=True)
    )
    deck = deck_along(boat, plane, low, high)
    sources[Deck()] = deck
    yield Region.of(below(deck.uv), Deck())


def _upper(boat: Boat, spec: PanelSpec) -> tuple[float, Label] | None:
    """The height of its upper edge, and what that lies on; None where it is the deck's underside."""
    if spec.under is not None:
        over = next(panel for panel in boat.design.all(PanelSpec) if panel.name == spec.under)
        assert over.height is not None
        return over.height - over.sided, Against(over.name)
    return None if spec.top is None else (spec.top, Level())


def within_keys(boat: Boat, spec: PanelSpec, plane: Plane) -> list[Region]:
    """What the keys of a panel athwartships leave of its planes, the same on both, by its moulded face."""
    bounds = []
    if spec.bottom is not None:
        bounds.append(Region.of(shapely.box(-FAR, plane.up_at_height(spec.bottom), FAR, FAR), Level()))
    upper = _upper(boat, spec)
    if upper is not None:
        bounds.append(Region.of(shapely.box(-FAR, -FAR, FAR, plane.up_at_height(upper[0])), upper[1]))
    if spec.inner is not None:
        bounds.append(Region.of(shapely.box(spec.inner, -FAR, FAR, FAR), Free()))
    if spec.outer is not None:
        bounds.append(Region.of(shapely.box(-FAR, -FAR, spec.outer, FAR), Free()))
    return bounds


def opened(
    spec: PanelSpec, openings: Sequence[OpeningSpec], plane: Plane, start: float = 0.0
) -> list[Region]:
    """The openings of a panel that stands upright, on its moulded face.

    Args:
        start: the u from which their middles are measured, mm.
    """
    found = []
    for each in openings:
        low, high = (
            far if height is None else plane.up_at_height(height)
            for height, far in ((each.bottom, -FAR), (each.top, FAR))
        )
        half, r = 0.5 * each.breadth, each.corner_radius
        middle = start + each.middle
        box = shapely.box(middle - half + r, low + r, middle + half - r, high - r)
        area = shapely.buffer(box, r, quad_segs=ARC) if r else box
        found.append(Region.of(area, Opening(each.name)))
    return found


def _end_sources(region: Region, ends: tuple[Host, Host]) -> Iterator[tuple[Label, Trace]]:
    """The two ends as edges of the faces that they are cut to, the fore end first."""
    for which, host in zip(("fore", "after"), ends, strict=True):
        label = Trim(which, host.whole)
        runs = region.stretches(label)
        if runs:
            out = -host.after.normal if which == "fore" else host.fore.normal
            on = np.vstack([run.points for run in runs])
            far = on[[int(np.argmin(on @ [1.0, 0.01])), int(np.argmax(on @ [1.0, 0.01]))]]
            if np.ptp(on[:, 1]) > np.ptp(on[:, 0]):
                far = on[[int(np.argmin(on[:, 1])), int(np.argmax(on[:, 1]))]]
            yield label, Trace(uv=far, normal=np.array([out, out]), r=np.array([0.0, 1.0]))


def _in_the_way(boat: Boat, spec: PanelSpec) -> Iterator[tuple[str, Sections, Woods]]:
    """Frames between its ends, and the gussets on those and on the frames at its ends, by what they are called."""
    for frame in boat.design.frames:
        if frame.cant:
            continue
        wood, name = framed(boat, frame), f"frame {frame.name}"
        if name not in (spec.between or ()):
            yield name, wood.ring.sections, wood.ring.wood
        for gusset in wood.gussets:
            yield f"{name} {gusset.at} {gusset.spec.name}, {gusset.side}", gusset.sections, gusset.wood


def _through(
    sections: Sections, woods: Woods, plane: Plane, *, level: bool
) -> tuple[Any, tuple[OnAFace, OnAFace]] | None:
    """The notch for a piece across the boat in a plane along it, and its corners on the piece's two faces."""
    lines = [
        _crossing(plane, section.plane, wood.area, level=level)
        for section, wood in zip(sections, woods, strict=True)
    ]
    if not lines[0] or len(lines[0]) != len(lines[1]):
        return None
    areas = [
        shapely.multipoints(plane.flat(np.vstack(pair))).convex_hull for pair in zip(*lines, strict=True)
    ]
    first, second = (np.vstack(each) for each in lines)
    return overlays.union(*areas), ((sections[0].plane, first), (sections[1].plane, second))


def _crossing(plane: Plane, face: Plane, wood: Any, *, level: bool) -> list[FloatArray]:
    """Where a plane crosses the wood on a frame's face: each stretch as two points, (2, 3), run out of the hull."""
    way = cross(plane.normal, face.normal)
    way = way / np.linalg.norm(way)
    if (way[1] if level else way[2]) < 0.0:
        way = -way
    normals = np.array([plane.normal, face.normal, way])
    at = np.linalg.solve(normals, np.array([plane.normal @ plane.origin, face.normal @ face.origin, 0.0]))
    line = shapely.linestrings(face.flat(np.array([at - FAR * way, at + FAR * way])))
    runs = [
        face.space(shapely.get_coordinates(run))
        for run in shapely.get_parts(overlays.intersection(line, wood))
        if run.length > 1.0
    ]
    ends = sorted((run[np.argsort(run @ way)] for run in runs), key=lambda run: float(run[0] @ way))
    if ends and level:
        ends[-1][1] += PAST * way
    elif ends:
        ends[0][0] -= PAST * way
    return ends


def end_meets(boat: Boat, spec: PanelSpec, face: PanelFace, plane: Plane, which: int) -> bool:
    """Whether an end of a panel lies on its piece itself, and not wholly on gussets of a frame."""
    host = ends_of(boat, spec)[which]
    frame = next((each for each in boat.design.frames if f"frame {each.name}" == host.name), None)
    if frame is None:
        return True
    ring, near = framed(boat, frame).ring, host.near(which)
    number = 0 if abs(float(near.height_over(ring.sections[0].plane.origin))) < 1e-6 else 1
    runs = _crossing(plane, near, ring.wood[number].area, level=spec.lies == "level")
    end = face.region.lines(Trim(("fore", "after")[which], host.whole))
    wood = shapely.multilinestrings([plane.flat(run) for run in runs]) if runs else shapely.MultiLineString()
    return bool(shapely.length(overlays.intersection(end, shapely.buffer(wood, 0.01))) > MEETS)


def seats_of(crossed: Sequence[Crossed], piece: str) -> tuple[Seat, ...]:
    """Where a panel lies on the two faces of a piece that it is cut round."""
    found = []
    for number in (0, 1):
        on = [each[piece][number] for each in crossed if piece in each]
        plane = on[0][0]
        shape = shapely.multipoints(plane.flat(np.vstack([points for _, points in on]))).convex_hull
        if shape.area > 1.0:
            found.append(Seat(plane=plane, shape=shape))
    return tuple(found)
