"""The lands of clinker planks: where each lap lies, and how the lower plank is planed for the upper one."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from patterns.boat import Boat
from patterns.design.mould_models import MouldSpec
from patterns.hull.clinker import Laps, lands_at, lap_share
from patterns.hull.hull import Hull, Strake
from patterns.hull.planes import FloatArray, cross
from patterns.hull.surfaces import Curve, moved, unit
from patterns.joinery.strake_pieces import FlatPiece

__all__ = ["PlankLand", "bench_places", "land_lines", "lands_at_mould", "lands_of", "neighbours"]


@dataclass(frozen=True, slots=True, kw_only=True)
class PlankLand:
    """A land at one place, mm and radians.

    Attributes:
        where: the mould, frame or station.
        below, above: the strakes' names.
        aft: the place's distance aft.
        width: of the lap.
        bevel: what is planed off the lower plank's outside; below 0 the lap gapes at its upper edge.
        planed: how much that is at its upper edge, let in or not.
        let_in: how far the planks are let into each other, both together.
        left: how thick the lower plank's upper edge remains, where each plank gives one half of what is let in.
        at: the upper outside edge of the lower plank, in the boat.
    """

    where: str
    below: str
    above: str
    aft: float
    width: float
    bevel: float
    planed: float
    let_in: float
    left: float
    at: tuple[float, float, float]


def neighbours(hull: Hull, strake: Strake) -> tuple[Strake | None, Strake | None]:
    """The strakes below and above one."""
    below = next((other for other in hull.strakes if other.upper == strake.lower), None)
    above = next((other for other in hull.strakes if other.lower == strake.upper), None)
    return below, above


def lands_of(boat: Boat, below: Strake) -> list[PlankLand]:
    """The lands on a plank's upper edge, at every mould and frame, or at the stations where there are none."""
    return _lands(boat, below, bench_places(boat))


def _lands(boat: Boat, below: Strake, named: Sequence[tuple[str, float]]) -> list[PlankLand]:
    """The lands on a plank's upper edge at places, by their names and distances aft."""
    _, above = neighbours(boat.hull, below)
    edges = _lap_edges(below, above)
    if below.laps is None or above is None or edges is None:
        return []
    edge = edges[0]
    first, last = (float(edge.at(np.array(t))[0]) for t in (edge.start, edge.end))
    places = [(name, x) for name, x in named if first < x < last]
    x = np.array([x for _, x in places])
    if not len(x):
        return []
    profile = boat.hull.profile
    lands = lands_at(below.planked(profile), above.planked(profile), edges, below.laps, x)
    width = below.laps.width
    return [
        PlankLand(
            where=name,
            below=below.name,
            above=above.name,
            aft=at,
            width=width,
            bevel=float(lands.bevel[i]),
            planed=width * float(np.tan(max(lands.bevel[i], 0.0))),
            let_in=float(lands.let_in[i]),
            left=float(lands.left[i]),
            at=(float(lands.edge[i, 0]), float(lands.edge[i, 1]), float(lands.edge[i, 2])),
        )
        for i, (name, at) in enumerate(places)
        if lands.at[i, 0] > first + width
    ]


def lands_at_mould(boat: Boat, name: str) -> list[PlankLand]:
    """The lands of every plank at one mould, from the keel up."""
    here = [place for place in bench_places(boat) if place[0] == f"mould {name}"]
    return [land for strake in boat.hull.strakes for land in _lands(boat, strake, here)]


def _lap_edges(below: Strake | None, above: Strake | None) -> tuple[Curve, Curve] | None:
    """The upper edge of a clinker plank and the lower edge of the one above; None where they are none."""
    if below is None or above is None or below.edges is None or above.edges is None:
        return None
    return None if above.edges[0] is None else (below.edges[1], above.edges[0])


def bench_places(boat: Boat) -> list[tuple[str, float]]:
    """Where lands are read, from forward aft."""
    found = [(f"mould {spec.name}", boat.distance(spec.at)) for spec in boat.design.all(MouldSpec)]
    found += [
        (f"frame {spec.name}", boat.distance(spec.at))
        for spec in boat.design.frames
        if not spec.rake and not spec.cant
    ]
    if not found:
        stations = zip(boat.offsets.stations, boat.offsets.station_x, strict=True)
        found = [(f"station {name}", float(x)) for name, x in stations]
    return sorted(found, key=lambda place: place[1])


def land_lines(hull: Hull, strake: Strake, pieces: list[FlatPiece]) -> Iterator[tuple[str, FloatArray]]:
    """By strake beside it, where its lap lies on a clinker plank laid flat, (n, 2).

    Of the one above it is where that one's lower edge comes on this plank's outside; of the one below where that
    one's upper edge ends on this plank's inside.
    """
    below, above = neighbours(hull, strake)
    for other, low in ((above, False), (below, True)):
        laps = strake.laps if other is above else None if below is None else below.laps
        if other is None or laps is None:
            continue
        runs = []
        for piece in pieces:
            if low and piece.on_profile:
                continue
            share = _share(hull, strake, piece, laps, below if low else None)
            points = moved(piece.patch, piece.p, share, strake.inset)[0]
            kept = (share >= 0.0) & (share <= 1.0)
            runs.append(piece.flat.lay(points)[kept])
        line = np.vstack(runs)
        if len(line) > 1:
            yield other.name, line


def _share(hull: Hull, strake: Strake, piece: FlatPiece, laps: Laps, below: Strake | None) -> FloatArray:
    """The places across a plank, by its rulings, (n,), the lap's width from its upper edge.

    Args:
        below: the plank that it lies on: then from its lower edge, over the lower plank's land as it is planed.
    """
    edges = _lap_edges(below, strake)
    if below is None or edges is None:
        return lap_share(piece.patch, piece.p, laps.width)
    (low, low_by_p), (high, _) = piece.patch.lower(piece.p), piece.patch.upper(piece.p)
    across = high - low
    length = np.maximum(np.linalg.norm(across, axis=1), 1e-9)
    along = unit(low_by_p)
    square = np.maximum(np.linalg.norm(cross(across / length[:, None], along), axis=1), 1e-6)
    lands = lands_at(below.planked(hull.profile), strake.planked(hull.profile), edges, laps, low[:, 0])
    return np.asarray(laps.width / np.cos(lands.bevel) / square / length)
