"""The framing of a transom divided into rails, stiles and centre post, with their joints and dowels.

All areas are the starboard half, on the framing's own moulded face, which lies against the panel.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any, Literal

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon

from patterns.design.models import TransomEnd
from patterns.errors import PatternsError
from patterns.flat import overlays
from patterns.flat.polylines import parallel
from patterns.flat.shapes import ON_CENTRE, band, both_halves, largest, parts_of
from patterns.hull.planes import FloatArray, Plane
from patterns.joinery.rings import CRUMB, Ring
from patterns.wood.ends import BoatEnd, EndText, HullEnd
from patterns.wood.labels import Against
from patterns.wood.meeting import Joinery, Loss, Meeting, Seat
from patterns.wood.region import Area, Region
from patterns.wood.section import hairless, to_the_centreline

__all__ = ["ARC", "ASKED", "FAR", "TransomPart", "dowelled", "jointed", "lapped"]

FAR = 1e4  # mm; past every boat
ARC = 64  # chords in a quarter of a circle
BESIDE = Against("framing")  # where a piece ends inside of the framing
POST, BOTTOM, TOP, STILE = "centre post", "bottom rail", "top rail", "stile"


ASKED = EndText(BoatEnd.STERN, before='end "', after='"')  # where the design asks for it


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TransomPart:
    """One piece of the layer on the panel's inside.

    Attributes:
        zone: what it is a separate piece of: the name that is in the labels of the edges cut to it.
        wood: its whole extent on its after face and on its fore face.
        whole: it runs across the centreline, and its other half is the mirror of this one.
        laps: its half laps.
        halfway: its extent in the middle of its thickness, where laps end; None where it has none.
        room: what of the plane is its own, past its edges; None where there are no others.
        middle: the line along its middle, (n, 2).
        dowels: places of dowels, (2,).
    """

    name: str
    zone: str
    wood: tuple[Region, Region]
    whole: bool
    laps: tuple[Meeting, ...] = ()
    halfway: Region | None = None
    room: Region | None = None
    middle: FloatArray
    dowels: tuple[FloatArray, ...] = ()

    @property
    def title(self) -> EndText:
        """What it is called among all pieces of the boat."""
        return EndText(HullEnd.TRANSOM, after=f" {self.name}")

    @property
    def faces(self) -> tuple[Any, Any]:
        """The areas of the two faces."""
        return self.wood[0].area, self.wood[1].area

    @property
    def halvings(self) -> list[tuple[str, Area, int]]:
        """Its half laps: the name of the other part, the area that is cut away, and from which face."""
        found = ((lap.cut(self.title)) for lap in self.laps)
        return [(cut.against, *cut.halving) for cut in found if cut is not None and cut.halving is not None]


def _zones(spec: TransomEnd, ring: Ring) -> tuple[dict[str, Any], dict[str, FloatArray]]:
    """The strip of the plane that each piece takes up, on both faces together, and the line along its middle."""
    depth = spec.framing_moulded
    assert depth is not None
    first = ring.sections[0]
    names = list(first.traces)
    if len(names) < 2:
        raise PatternsError(
            "its lines give it no chine at which rail and stile meet; leave framing_joints out"
        )
    called = {names[0]: BOTTOM}
    called |= {name: STILE if len(names) == 2 else f"{STILE}, {name}" for name in names[1:]}
    zones: dict[str, Any] = {}
    middles: dict[str, FloatArray] = {}
    for name, piece in called.items():
        zones[piece] = overlays.union(*[
            band(section.long_traces[name].uv, depth) for section in ring.sections if name in section.long_traces
        ])  # fmt: skip
        middles[piece] = parallel(first.long_traces[name].uv, 0.5 * depth)
    zones[TOP] = overlays.union(*[
        band(section.deck.uv[::-1], depth, outward=400.0) for section in ring.sections
    ])  # fmt: skip
    middles[TOP] = parallel(first.deck.uv, -0.5 * depth)
    if spec.centre_post is not None:
        zones[POST] = _post(zones, 0.5 * spec.centre_post, spec.post_dovetail or 0.0, depth)
        middles[POST] = np.array([[0.0, -FAR], [0.0, FAR]])
    rails = [BOTTOM, TOP]
    order = [*rails, *(piece for piece in zones if piece not in rails)]
    return {piece: zones[piece] for piece in order}, middles


def _post(zones: dict[str, Any], half: float, dovetail: float, depth: float) -> Any:
    """The strip of the centre post; dovetailed, it is narrower where it enters the rails.

    Args:
        half: of its breadth, mm.
        dovetail: by how much it is narrowed on each side at the shoulders, mm.
        depth: of the rails, over which it flares, mm.
    """
    strip: Any = shapely.box(-FAR, -FAR, half, FAR)
    for rail, inward in ((BOTTOM, 1.0), (TOP, -1.0)) if dovetail else ():
        side = overlays.intersection(LineString([[half, -FAR], [half, FAR]]), zones[rail])
        _, low, _, high = side.bounds
        shoulder = high if inward > 0.0 else low
        end = shoulder - inward * depth
        beside = Polygon([
            (half - dovetail, shoulder + inward * depth),
            (half - dovetail, shoulder),
            (half, end),
            (half + depth, end),
            (half + depth, shoulder + inward * depth),
        ])  # fmt: skip
        strip = overlays.difference(strip, overlays.intersection(beside, zones[rail]))
    return strip


def jointed(
    spec: TransomEnd, ring: Ring, taken: Sequence[Region], joints: Literal["butt", "half lap"]
) -> tuple[TransomPart, ...]:
    """The framing's pieces, rails first.

    Args:
        taken: what doubler and cut-outs take out of it.
    """
    zones, middles = _zones(spec, ring)
    found: list[TransomPart] = []
    before: list[Region] = []
    for name, zone in zones.items():
        room = Region.of(zone, BESIDE).minus(*taken)
        if joints == "butt":
            room = room.minus(*before)
            before.append(Region.of(zone, Against(name)))
        found += _split(name, ring.wood, room, middles[name])
    return tuple(found)


def _split(name: str, faces: Sequence[Region], room: Region, middle: FloatArray) -> list[TransomPart]:
    """The separate pieces that lie in a room of the plane on both faces, the largest first."""
    after, fore = (hairless(face.both(room)).parts(least=CRUMB) for face in faces)
    found: list[TransomPart] = []
    for piece in sorted(after, key=lambda part: -float(part.area.area)):
        under = max(fore, key=lambda part: _shared(part, piece), default=None)
        if under is None or _shared(under, piece) < CRUMB:
            continue
        found.append(
            TransomPart(
                name=name if not found else f"{name} {len(found) + 1}",
                zone=name,
                wood=(_up_to_the_centreline(piece), _up_to_the_centreline(under)),
                whole=min(piece.area.bounds[0], under.area.bounds[0]) < ON_CENTRE,
                room=room,
                middle=middle,
            )
        )
    return found


def _up_to_the_centreline(wood: Region) -> Region:
    return to_the_centreline(wood) if wood.area.bounds[0] < ON_CENTRE else wood


def _shared(one: Region, two: Region) -> float:
    return float(overlays.intersection(one.area, two.area).area)


def lapped(parts: Sequence[TransomPart], halfway: Region, plane: Plane) -> tuple[TransomPart, ...]:
    """The pieces with their half laps: of two that overlap the earlier keeps the half against the panel.

    Args:
        halfway, plane: the framing's wood in the middle of its thickness, where the laps meet, and that plane.
    """
    laps: dict[str, list[Meeting]] = {part.name: [] for part in parts}
    for i, first in enumerate(parts):
        for second in parts[i + 1 :]:
            assert first.room is not None
            assert second.room is not None
            wood = overlays.union(*[*first.faces, *second.faces])
            for area in parts_of(overlays.intersection(first.room.area, second.room.area), least=CRUMB):
                if overlays.intersection(area, wood).area < CRUMB:
                    continue
                on = overlays.intersection(area, halfway.area)
                lap = Meeting(
                    kind=Joinery.HALF_LAP,
                    lands=second.title,
                    on=first.title,
                    keys=(ASKED + ", key framing_joints",),
                    seats=(Seat(plane=plane, shape=on),),
                    cuts=(
                        Loss(piece=first.title, against=second.name, halving=(area, 1)),
                        Loss(piece=second.title, against=first.name, halving=(area, 0)),
                    ),
                )
                laps[first.name].append(lap)
                laps[second.name].append(lap)
    return tuple(
        replace(part, laps=tuple(laps[part.name]), halfway=_between(part, halfway)) for part in parts
    )


def _between(part: TransomPart, halfway: Region) -> Region:
    """Of the wood in the middle of the thickness what belongs to a piece: what lies in its room."""
    assert part.room is not None
    pieces = hairless(halfway.both(part.room)).parts(least=CRUMB)
    return max(pieces, key=lambda piece: _shared(piece, part.wood[0]))


def dowelled(spec: TransomEnd, part: TransomPart, panel: Polygon) -> TransomPart:
    """The piece with dowels along its middle, evenly spaced; through a lap those of the piece against the panel go.

    Raises:
        PatternsError: no dowel finds room.
    """
    spacing, edge = spec.dowel_spacing, spec.dowel_edge
    assert spacing is not None
    assert edge is not None
    common: Any = overlays.intersection(overlays.intersection(*part.faces), panel)
    for _, area, face in part.halvings:
        if face == 0:
            common = overlays.difference(common, area)
    line: Any = LineString(part.middle)
    if part.whole:
        common = both_halves(largest(common))
        starboard = overlays.intersection(line, shapely.box(0.0, -FAR, FAR, FAR))
        port = shapely.transform(starboard, lambda points: points * [-1.0, 1.0])
        line = shapely.line_merge(overlays.union(starboard, port))
    # Round an inner corner the chords of the room's edge come nearer to it by this cosine.
    clear = edge / np.cos(0.25 * np.pi / ARC)
    room = shapely.buffer(common, -clear, quad_segs=ARC)
    rows = shapely.get_parts(overlays.intersection(line, room))
    places: list[FloatArray] = []
    for row in (row for row in rows if row.length > 0.0):
        count = max(int(np.ceil(row.length / spacing - 1e-9)), 1) + 1
        for share in np.linspace(0.0, 1.0, count):
            at = np.asarray(row.interpolate(share, normalized=True).coords[0])
            if not part.whole or at[0] > -1e-6:
                places.append(np.where(np.abs(at) < 1e-6, 0.0, at))
    if not places:
        raise PatternsError(
            f"no dowel can be {edge:g} mm from every edge of the {part.name}; make dowel_edge less"
        )
    return replace(part, dowels=tuple(places))
