"""A rib bent to the planking: its length, how sharply it bends, its twist, and the former to bend it on.

Wood that is bent springs back.  The former is bent more: along the rib's middle line every bend is greater by the
overbend that the user gives, and lengths stay as they are.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from shapely.geometry import LineString

from patterns.design.repair_models import PieceSpec
from patterns.drawing.of_piece import pattern_of
from patterns.errors import PatternsError
from patterns.flat.polylines import lengths, normals_left
from patterns.flat.shapes import largest
from patterns.hull.planes import FloatArray
from patterns.joinery.flat_pieces import xy
from patterns.pattern import Pattern
from patterns.repair.drawn import distance
from patterns.repair.outline import Edge
from patterns.repair.places import SIDES, Side
from patterns.repair.repair import Repair
from patterns.repair.section import section_at
from patterns.repair.shapes import hand_of, placed_on
from patterns.repair.words import WORDS
from patterns.wood.facts import Fact
from patterns.wood.features import Note
from patterns.wood.labels import Free
from patterns.wood.piece import Face, Piece, Role, Stock
from patterns.wood.region import Region

__all__ = ["BentRib", "bent_rib", "former_piece", "rib_patterns"]

EVERY = 100.0  # mm along the rib from one reading of its radius to the next
WINDOW = 100.0  # mm of it over which a bend is taken together
FLAT = 5000.0  # mm; a greater radius is no bend
BROAD = 70.0  # mm of the former behind its face
RUN_ON = 50.0  # mm by which the former runs on straight past both ends, for clamps
TICK = 10.0  # mm


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BentRib:
    """A rib along its middle line.

    Attributes:
        length: mm.
        runs: (n,), places along it, mm.
        radii: (n,), there, mm; inf where it is straight, nan at the ends, where no bend is known.
        twists: (n,), by how much its outer face has turned since the heel, radians; nan where no bevel is known.
        face: (m, 2), the former's face on which its inner side lies, mm; `at` has its index at each place.
    """

    length: float
    runs: FloatArray
    radii: FloatArray
    twists: FloatArray
    face: FloatArray
    at: tuple[int, ...]


def bent_rib(edge: Edge, thick: float, overbend: float) -> BentRib:
    """The rib whose outer side lies on an edge.

    Args:
        thick: of the rib, square to the planking, mm.
        overbend: part by which every bend of the former is greater.
    Raises:
        PatternsError: the edge has a corner, or the former would bend more sharply than the rib is thick.
    """
    if len(edge.stretches) > 1:
        raise PatternsError(f"a rib cannot bend at a corner, and there is one at the {edge.corners[1]}")
    (stretch,) = edge.stretches
    middle = stretch.points - 0.5 * thick * stretch.out
    run = lengths(middle)
    step = np.diff(middle, axis=0)
    heading = np.unwrap(np.arctan2(step[:, 1], step[:, 0]))
    centre = float(np.interp(0.5 * run[-1], 0.5 * (run[1:] + run[:-1]), heading))
    more = centre + (1.0 + overbend) * (heading - centre)
    far = np.diff(run)
    bent = middle[0] + np.concatenate([
        np.zeros((1, 2)), np.cumsum(far[:, None] * np.stack([np.cos(more), np.sin(more)], axis=-1), axis=0)
    ])  # fmt: skip
    face = bent + 0.5 * thick * normals_left(bent)
    if float(np.min(np.sum(np.diff(face, axis=0) * np.diff(bent, axis=0), axis=1))) <= 0.0:
        raise PatternsError("its former would bend more sharply than the rib is thick; look at the points")
    places = np.append(np.arange(0.0, run[-1] - 0.5 * EVERY, EVERY), run[-1])
    slopes = np.interp(places, run, stretch.slope)
    return BentRib(
        length=float(run[-1]),
        runs=places,
        radii=np.array([np.nan, *(_radius(run, heading, float(at)) for at in places[1:-1]), np.nan]),
        twists=np.arctan(slopes) - np.arctan(slopes[0]),
        face=face,
        at=tuple(int(np.abs(run - at).argmin()) for at in places),
    )


def _radius(run: FloatArray, heading: FloatArray, at: float) -> float:
    """The radius of the middle line about a place."""
    low, high = max(at - 0.5 * WINDOW, 0.0), min(at + 0.5 * WINDOW, float(run[-1]))
    turn = abs(float(np.diff(np.interp([low, high], 0.5 * (run[1:] + run[:-1]), heading))[0]))
    inner = min(high, 0.5 * (run[-1] + run[-2])) - max(low, 0.5 * (run[0] + run[1]))
    return float(inner / turn) if turn * FLAT > inner else np.inf


def rib_patterns(repair: Repair, spec: PieceSpec) -> tuple[Pattern, ...]:
    """The former of every side's rib."""
    made = [side for side in SIDES if side in repair.edges_of and spec.side in (side, "both")]
    if repair.symmetrical and len(made) == 2:
        made = ["starboard"]
    return tuple(pattern_of(repair, former_piece(repair, spec, side), WORDS) for side in made)


def former_piece(repair: Repair, spec: PieceSpec, side: Side) -> Piece:
    """The former of one side."""
    edge = repair.edges_of[side]
    assert spec.overbend is not None
    thick = spec.moulded or repair.spec.moulded
    rib = bent_rib(edge, thick, spec.overbend)
    plane = section_at(edge, 0.0, repair.behind).plane
    both = repair.symmetrical and spec.side == "both"
    title = spec.name or f"rib {repair.spec.frame}"
    name = f"former for {title}" + ("" if both else f" {side}")
    face = Face(region=_plate(rib.face), sources={}, notes=tuple(_ticks(rib)))
    return Piece(
        name=name,
        member="former",
        stock=Stock(wood="any flat board", thickness=spec.sided or repair.spec.sided),
        hand=hand_of(repair, side, both=spec.side == "both"),
        placement=placed_on(side, plane, repair.behind),
        faces=(face, Face(region=face.region, sources={})),
        distances=(distance(xy(rib.face[0]), xy(rib.face[-1]), "heel", "head"),),
        facts=tuple(_facts(rib, spec, thick)),
        role=Role.TOOL,
    )


def _plate(face: FloatArray) -> Region:
    """The former's wood: behind its face, carried on straight for clamps."""
    first, last = face[0] - face[1], face[-1] - face[-2]
    line = np.vstack([
        face[0] + RUN_ON * first / np.hypot(*first), face, face[-1] + RUN_ON * last / np.hypot(*last)
    ])  # fmt: skip
    wood = LineString(line).buffer(BROAD, single_sided=True, join_style="mitre", mitre_limit=4.0)
    return Region.of(largest(wood), Free())


def _ticks(rib: BentRib) -> Iterator[Note]:
    """How sharply the rib itself bends, from place to place."""
    inward = normals_left(rib.face)
    for run, radius, i in zip(rib.runs, rib.radii, rib.at, strict=True):
        at, way = rib.face[i], inward[i]
        yield Note(
            fact=Fact("rib-radius", {"run": float(run), "radius": float(radius)}),
            at=xy(at),
            towards=xy(way),
            length=TICK,
        )


def _facts(rib: BentRib, spec: PieceSpec, thick: float) -> Iterator[Fact]:
    i = int(np.nan_to_num(rib.radii, nan=np.inf).argmin())
    values = {"length": rib.length, "thick": thick, "radius": float(rib.radii[i]), "run": float(rib.runs[i])}
    yield Fact("rib", values)
    yield Fact("former", {"overbend": spec.overbend})
    if np.isfinite(rib.twists).all():
        yield Fact("rib-twist", {"angle": float(rib.twists[-1])})
    yield Fact("shore")
