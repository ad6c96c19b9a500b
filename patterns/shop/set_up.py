"""The set-up table: where each frame, mould and transom stands, and its corners from the set-up line."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from patterns.boat import Boat
from patterns.design.set_up_models import SetUpSpec
from patterns.hull.planes import FloatArray, Plane
from patterns.hull.sections import Section, cut_hull
from patterns.pattern import Pattern
from patterns.shop.cells import csv_text

__all__ = ["MOULD", "SetUpCorner", "SetUpPiece", "set_up_level", "set_up_table", "stands"]

SAME = 0.01  # mm; two faces that are nearer are one
MOULD = "mould"
TRANSOM = "transom"
NEAR = 25.0  # mm; a piece that ends so near to the sheer runs up to it
HEADS = (
    "piece",
    "moulded_face_aft_mm",
    "wood_stands",
    "sided_mm",
    "rake_deg",
    "cant_deg",
    "place",
    "from_set_up_line_mm",
    "height_mm",
    "half_breadth_mm",
    "aft_mm",
    "to_sheer_of_other_side_mm",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class SetUpCorner:
    """A corner of the inside of planking on the moulded face, starboard side.

    Attributes:
        name: ``centreline``, a chine, or the sheer.
        x, y, z: in the boat, mm.
        across: from here to the sheer's corner on the port side, measured over the face, mm: at the centreline and
            at a chine a diagonal, at the sheer the whole breadth.
    """

    name: str
    x: float
    y: float
    z: float
    across: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SetUpPiece:
    """One piece as it is set up.

    Attributes:
        name: the pattern's.
        member: its kind.
        aft: of its moulded face on the centreline at height 0, mm.
        at_line: the same at the set-up line's height, mm.
        wood: ``forward`` or ``aft`` of that face.
        sided: mm.
        rake, cant: of the face, radians.
        corners: from the centreline up.
        plane: the face.
        siding: 1 where the wood runs along the plane's normal, -1 where against it.
    """

    name: str
    member: str
    aft: float
    at_line: float
    wood: str
    sided: float
    rake: float
    cant: float
    corners: tuple[SetUpCorner, ...]
    plane: Plane
    siding: float


def set_up_level(boat: Boat) -> float | None:
    """The set-up line's height above base, mm; None where the design has none."""
    spec = next(iter(boat.design.all(SetUpSpec)), None)
    return None if spec is None else spec.line


def _base(plane: Plane) -> FloatArray:
    """The point of a plane on the centreline at height 0, from where the edges of a pattern count their u and v."""
    return plane.space(np.array([plane.centre, plane.up_at_height(0.0)]))


def _reaches_the_sheer(boat: Boat, pattern: Pattern, section: Section) -> bool:
    """Whether the piece runs up its topmost strake to the sheer, as frames, moulds and transoms do.

    It has an edge on that strake, and one under the deck or an end at the sheer.  A mould has no edges on the
    planking, because ribbands lie between.
    """
    if pattern.member == MOULD:
        return True
    top = boat.hull.strakes[-1].name
    edges = [edge for edge in pattern.edges if edge.face == "moulded face"]
    beside = [edge for edge in edges if edge.strake == top]
    if beside and any(edge.strake == "deck" for edge in edges):
        return True
    sheer = section.corners[-1].at
    return any(float(np.hypot(*(edge.uv[-1] - sheer))) < NEAR for edge in beside)


def _corners(section: Section) -> tuple[SetUpCorner, ...]:
    """The corners of the inside of planking on a face, from the centreline up."""
    plane = section.plane
    flat = [("centreline", section.apex), *((corner.name, corner.at) for corner in section.corners)]
    points = [(name, plane.space(at)) for name, at in flat]
    sheer = points[-1][1] * [1.0, -1.0, 1.0]
    return tuple(
        SetUpCorner(
            name=name,
            x=float(point[0]),
            y=float(point[1]),
            z=float(point[2]),
            across=float(np.linalg.norm(point - sheer)),
        )
        for name, point in points
    )


def _faces(patterns: Sequence[Pattern]) -> list[tuple[Plane, list[Pattern]]]:
    """The planes athwartships in which pieces have their moulded faces, each with its pieces."""
    found: list[tuple[Plane, list[Pattern]]] = []
    for pattern in patterns:
        plane = pattern.plane
        if plane is None or abs(float(plane.v[2])) < 0.5 or abs(float(plane.u[1])) < 0.5:
            continue
        if not pattern.edges and pattern.member != MOULD:
            continue
        for other, pieces in found:
            apart = float(np.abs(_base(plane) - _base(other)).max())
            turned = float(np.abs(plane.normal - other.normal).max())
            if apart < SAME and turned < SAME / 1000.0 and pieces[0].siding == pattern.siding:
                pieces.append(pattern)
                break
        else:
            found.append((plane, [pattern]))
    return found


def _name(pieces: Sequence[Pattern]) -> str:
    """What is put together: the frame that the pieces are parts of, the framing, or the one piece."""
    first = pieces[0]
    if first.member == TRANSOM:
        return first.name if len(pieces) == 1 else f"{first.part_of} framing"
    return first.part_of or first.name


def stands(boat: Boat, patterns: Sequence[Pattern]) -> tuple[SetUpPiece, ...]:
    """Every frame, mould and transom, whether of one piece or of several, from forward aft."""
    level = set_up_level(boat)
    found: list[SetUpPiece] = []
    for plane, pieces in _faces(patterns):
        strakes = {edge.strake for piece in pieces for edge in piece.edges}
        if boat.hull.strakes[-1].name not in strakes and pieces[0].member != MOULD:
            continue
        section = cut_hull(boat.hull, plane)
        tall = [piece for piece in pieces if _reaches_the_sheer(boat, piece, section)]
        if not tall:
            continue
        base = _base(plane)
        found.append(
            SetUpPiece(
                name=_name(pieces),
                member=pieces[0].member,
                aft=float(base[0]),
                at_line=float(base[0] + (level or 0.0) * np.tan(plane.rake)),
                wood="aft" if tall[0].siding * float(plane.normal[0]) > 0.0 else "forward",
                sided=tall[0].thickness,
                rake=plane.rake,
                cant=plane.cant,
                corners=_corners(section),
                plane=plane,
                siding=tall[0].siding,
            )
        )
    return tuple(sorted(found, key=lambda stand: stand.aft))


def set_up_table(boat: Boat, found: Sequence[SetUpPiece]) -> str:
    """The set-up table as CSV, a row for each corner; without a set-up line its column stays empty."""
    level = set_up_level(boat)
    rows: list[Sequence[object]] = [HEADS]
    for stand in found:
        for corner in stand.corners:
            rows.append((
                stand.name,
                f"{round(stand.aft, 1) + 0.0:.1f}",
                stand.wood,
                f"{stand.sided:g}",
                f"{np.degrees(stand.rake) + 0.0:.2f}",
                f"{np.degrees(stand.cant) + 0.0:.2f}",
                corner.name,
                "" if level is None else f"{abs(level - corner.z):.1f}",
                f"{round(corner.z, 1) + 0.0:.1f}",
                f"{round(corner.y, 1) + 0.0:.1f}",
                f"{round(corner.x, 1) + 0.0:.1f}",
                f"{round(corner.across, 1) + 0.0:.1f}",
            ))  # fmt: skip
    return csv_text(rows)
