"""Every shape as data: one JSON for tests and for people with other tools; its keys are in `shapes_models`."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from patterns.hull.curved import Curved
from patterns.hull.planes import FloatArray
from patterns.pattern import Kind, Pattern
from patterns.shop.shapes_models import VERSION, ShapesData
from patterns.wood.facts import Fact

__all__ = ["as_printed", "pattern_data", "shapes_json"]

UPRIGHT_ENOUGH = np.radians(60.0)  # a plane that leans more has no useful place at height 0
DECIMALS = 4  # of a millimetre


def _points(points: FloatArray) -> list[list[float]]:
    return [[round(x, DECIMALS), round(y, DECIMALS)] for x, y in points.tolist()]


def _plane(pattern: Pattern) -> dict[str, Any] | None:
    """Where the drawing lies in the boat: a point (x, y) of it is at ``origin_mm + x u + y v``.

    A curved face is given by the plane that touches it on the centreline, and its radius: x is measured round it.
    Planes athwartships are given by their place on the centreline at height 0, their rake and cant as well.
    """
    plane = pattern.plane
    if plane is None:
        return None
    back = np.linalg.inv(pattern.view)  # from the drawing to the plane's own u and v
    u, v = (back[0, k] * plane.u + back[1, k] * plane.v for k in (0, 1))
    axes = {
        "origin_mm": [round(float(c), DECIMALS) for c in plane.origin],
        "u": [round(float(c), 9) for c in u],
        "v": [round(float(c), 9) for c in v],
    }
    athwart = abs(float(plane.u[1])) > 0.5
    if not athwart or abs(plane.rake) >= UPRIGHT_ENOUGH:
        return axes
    x = float(plane.space(np.array([plane.centre, plane.up_at_height(0.0)]))[0])
    square = float(np.cos(plane.rake) * np.cos(plane.cant))
    curve = {"radius_mm": round(abs(plane.radius), DECIMALS)} if isinstance(plane, Curved) else {}
    return {
        "x_mm": round(x, DECIMALS),
        "rake_deg": round(float(np.degrees(plane.rake)), 6),
        "cant_deg": round(float(np.degrees(plane.cant)), 6),
        **curve,
        "other_face_x_mm": round(x + pattern.siding * pattern.thickness / square, DECIMALS),
        **axes,
    }


def _about(fact: Fact) -> dict[str, Any]:
    return {"kind": fact.kind, "names": list(fact.names)}


def pattern_data(pattern: Pattern) -> dict[str, Any]:
    """One pattern as plain data; lengths in mm, angles in degrees."""
    lines: dict[str, list[dict[str, Any]]] = {}
    for line in pattern.lines:
        entry = {"closed": line.closed, "points": _points(line.points)}
        if line.name:
            entry["name"] = line.name
        if line.piece:
            entry["piece"] = line.piece
        lines.setdefault(line.kind.value, []).append(entry)
    return {
        "name": pattern.name,
        "member": pattern.member,
        "stock": pattern.stock,
        "thickness_mm": round(pattern.thickness, DECIMALS),
        "laminations": pattern.laminations,
        "quantity": pattern.quantity,
        "face": pattern.face,
        "half": pattern.half,
        "right_is": pattern.sides[0],
        "up_is": pattern.sides[2],
        "outlines": lines.pop(Kind.SAW.value),
        "lines": lines,
        "holes": [{"purpose": h.purpose, "at": list(h.at), "diameter_mm": h.diameter} for h in pattern.holes],
        "marks": [
            {"name": m.name, "at": list(m.at), "about": _about(m.fact or Fact("", {"name": m.name}))}
            for m in pattern.marks
        ],
        "bevels": [
            {
                "edge": r.edge,
                "where": r.where,
                "at": list(r.at),
                "bevel_deg": round(float(np.degrees(r.bevel)), 4),
            }
            for r in pattern.readings
        ],
        "distances": [
            {
                "name": s.name,
                "from": list(s.start),
                "to": list(s.end),
                "mm": round(float(np.hypot(s.end[0] - s.start[0], s.end[1] - s.start[1])), DECIMALS),
            }
            for s in pattern.spans
        ],
        "facts": list(pattern.facts),
        "known": [_about(fact) for fact in pattern.known],
        "depth_left_mm": {name: round(depth, 2) for name, depth in pattern.depth_left.items()},
        "plane": _plane(pattern),
        "hull_edges": [
            {
                "face": edge.face,
                "strake": edge.strake,
                "points": _points(edge.uv @ pattern.view.T),
                "bevel_deg": [round(b, 4) for b in np.degrees(edge.bevel).tolist()],
            }
            for edge in pattern.edges
        ],
    }


def as_printed(mark: str, first: int, last: int) -> dict[str, Any]:
    """Where a pattern is printed: its mark, and its first and last page in the file of patterns."""
    return {"mark": mark, "pages": [first, last]}


def shapes_json(boat: str, mark: str, shapes: Sequence[Mapping[str, Any]], *, printed_at: str = "") -> str:
    """All patterns of a boat as one JSON text.

    Args:
        shapes: each as :func:`pattern_data` gives it.
        printed_at: the scale of the pages that were made of them, as ``1:4``, where that is not full size; the
            lengths here are the boat's all the same.
    """
    data = {
        "version": VERSION,
        "boat": boat,
        "mark": mark,
        "units": "mm",
        **({"lengths_are": "the boat's", "printed_at": printed_at} if printed_at else {}),
        "patterns": list(shapes),
    }
    model = ShapesData.model_validate(data)
    plain = model.model_dump(mode="json", by_alias=True, exclude_unset=True)
    return json.dumps(plain, ensure_ascii=False, separators=(",", ":"))
