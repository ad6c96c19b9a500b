"""The bevels of a piece as they are read at the bench: at which places of which edges, and what lies there."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

import numpy as np

from patterns.flat.polylines import lengths, normals_left
from patterns.hull.planes import FloatArray
from patterns.joinery.flat_pieces import xy
from patterns.pattern import Reading
from patterns.text.bevels import gauge_angle, reading_places
from patterns.text.wood_facts import Lengths, Template, said
from patterns.wood.features import LandBevel, Scribed
from patterns.wood.labels import Against, Centre, Label, Landing, Nose, Planking, Trim
from patterns.wood.piece import EdgeRun, Piece

__all__ = ["edge_name", "land_readings", "readings_of"]

ON_EDGE = 1.0  # mm; a joint whose end lies as near to an edge crosses it there


def edge_name(label: Label) -> str:
    """What an edge of the hull is called."""
    if isinstance(label, Landing):
        return str(label.on)
    return label.strake if isinstance(label, Planking) else "deck"


def readings_of(edges: Sequence[EdgeRun], piece: Piece) -> tuple[Reading, ...]:
    """The bevels along the edges of one face; an edge that is square from end to end is said to be so once."""
    square = _square_edges(edges)
    read: list[Reading] = []
    for edge in edges:
        name = edge_name(edge.label) if _on_hull(edge) else ""
        if name not in square:
            read += _readings(edge, piece.stock.thickness, piece.faces[0].joints)
        elif edge is square[name]:
            read.append(_square_all_along(edge, name))
    return tuple(read)


def _square_edges(edges: Sequence[EdgeRun]) -> dict[str, EdgeRun]:
    """The edges that are square from end to end, by name; of one that notches part its longest stretch."""
    stretches: dict[str, list[EdgeRun]] = {}
    for edge in edges:
        if _on_hull(edge):
            stretches.setdefault(edge_name(edge.label), []).append(edge)
    return {
        name: max(own, key=lambda edge: float(lengths(edge.run.uv)[-1]))
        for name, own in stretches.items()
        if all(_square(edge.bevel) for edge in own)
    }


def _on_hull(edge: EdgeRun) -> bool:
    """Whether it runs along planking, deck or what it lands on, and not across an end."""
    return not isinstance(edge.label, Against | Trim | Centre | Nose)


def _square(bevel: FloatArray) -> bool:
    return all(gauge_angle(float(each)).kind == "square" for each in bevel)


def _outward(edge: EdgeRun) -> FloatArray:
    """The way out of the wood at each point of an edge, (n, 2)."""
    return (-1.0 if edge.left else 1.0) * normals_left(edge.run.uv)


def _square_all_along(edge: EdgeRun, name: str) -> Reading:
    middle = len(edge.run.uv) // 2
    reading = _edge_reading(edge, middle, name)
    return replace(reading, bevel=0.5 * np.pi, all_along=True)


def _edge_reading(edge: EdgeRun, place: int, name: str) -> Reading:
    return Reading(
        at=xy(edge.run.uv[place]),
        bevel=float(edge.bevel[place]),
        towards=xy(_outward(edge)[place]),
        edge=name,
    )


def _readings(edge: EdgeRun, thickness: float, joints: Sequence[Scribed]) -> list[Reading]:
    """The readings of one stretch of edge: one of an end, of others as many as rolling between them asks for."""
    label = edge.label
    if isinstance(label, Against):
        return [_end_reading(edge, label.piece, f"end on the {label.piece}")]
    if isinstance(label, Trim):
        way = -1.0 if label.end == "fore" else 1.0
        where = f"on {label.on}" if label.on else f"{label.end} end"
        return [replace(_end_reading(edge, "end", where), towards=(way, 0.0))]
    if isinstance(label, Centre):
        return [replace(_end_reading(edge, "heel", "heel, on the centreline"), towards=(-1.0, 0.0))]
    if isinstance(label, Nose):
        return [_nose_reading(edge, label)]
    places = reading_places(edge.run.uv, edge.bevel, thickness, also=_joints_on(edge, joints))
    return [_edge_reading(edge, place, edge_name(label)) for place in places]


def _joints_on(edge: EdgeRun, joints: Sequence[Scribed]) -> tuple[float, ...]:
    """Where joints cross an edge, mm along it."""
    uv, run = edge.run.uv, lengths(edge.run.uv)
    found = []
    for joint in joints:
        for end in joint.points[[0, -1]]:
            away = np.hypot(*(uv - end).T)
            near = int(away.argmin())
            if away[near] < ON_EDGE:
                found.append(float(run[near]))
    return tuple(found)


def land_readings(
    lands: Sequence[LandBevel], lengths: Lengths, words: Mapping[str, Template] | None
) -> Iterator[Reading]:
    """The angles of the lands, with what they lie on."""
    for land in lands:
        where = said(land.fact, lengths, words)
        yield Reading(at=land.at, bevel=land.bevel, towards=land.towards, edge="land", where=where, land=True)


def _end_reading(edge: EdgeRun, name: str, where: str) -> Reading:
    """The one reading of a straight end on the outboard side, at its middle."""
    first, last = edge.run.uv[[0, -1]]
    middle, along = 0.5 * (first + last), (last - first) / np.hypot(*(last - first))
    out = np.array([along[1], -along[0]])
    out = out if out[0] > 0.0 else -out
    return Reading(
        at=(float(middle[0]), float(middle[1])),
        bevel=float(edge.bevel[0]),
        towards=(float(out[0]), float(out[1])),
        edge=name,
        where=where,
    )


def _nose_reading(edge: EdgeRun, label: Nose) -> Reading:
    """The one reading of a short end across the centreline, there."""
    at = edge.run.uv[int(np.abs(edge.run.uv[:, 0]).argmin())]
    where = f"nose on the {label.on}"
    return Reading(at=xy(at), bevel=float(edge.bevel[0]), towards=(0.0, -1.0), edge="nose", where=where)
