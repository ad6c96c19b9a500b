"""What ``shapes.json`` holds: the model that writes it and gives its schema and its description.

All lengths are in mm of the boat herself, at any scale of the pages; all angles are in degrees.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field

__all__ = [
    "VERSION",
    "BevelData",
    "DistanceData",
    "FactData",
    "HoleData",
    "HullEdgeData",
    "LineData",
    "MarkData",
    "PatternData",
    "PlaneData",
    "PrintedData",
    "ShapesData",
    "shapes_schema",
]

VERSION = 1  # of the format: raised when a key changes its meaning or goes, not when one is added

DrawnPoint = Annotated[tuple[float, float], Field(description="a point (x, y) of the drawing, mm")]
Vector = tuple[float, float, float]


class _Data(BaseModel):
    """What all parts share: no other keys, and none changed after it is made."""

    model_config = ConfigDict(extra="forbid", frozen=True)


class LineData(_Data):
    """A line of the drawing."""

    closed: bool = Field(description="the last point is joined to the first")
    points: tuple[DrawnPoint, ...] = Field(description="its vertices in order")
    name: str = Field(default="", description="what the line is called; left out where it has no name")
    piece: str = Field(
        default="",
        description="the other piece that it shows, e.g. of a landing line; left out where it shows none",
    )


class HoleData(_Data):
    """A hole, or a place to be pricked."""

    purpose: str = Field(description="e.g. register hole, dowel, flip point")
    at: DrawnPoint = Field(description="its centre")
    diameter_mm: float = Field(description="0 for a place to be pricked")


class FactData(_Data):
    """What words for the bench say, without their figures, so that two runs can be compared."""

    kind: str = Field(description="the kind of fact, e.g. turn-over; empty for a plain name")
    names: tuple[str, ...] = Field(description="the names in it, and each yes or no, in their order")


class MarkData(_Data):
    """A mark or a word at a place."""

    name: str = Field(description="the words")
    at: DrawnPoint = Field(description="the place")
    about: FactData = Field(description="what the words say, without its figures")


class BevelData(_Data):
    """A bevel at a place on an edge of the face that is shown."""

    edge: str = Field(description="which edge: a strake's name, deck and others")
    where: str = Field(description="what is there, e.g. chine log; may be empty")
    at: DrawnPoint = Field(description="the place")
    bevel_deg: float = Field(
        description="the angle through the wood between the face and the edge: less than 90 is under, "
        "more is standing"
    )


class DistanceData(_Data):
    """A distance that proves the taped pages."""

    name: str = Field(description="what is measured")
    from_: DrawnPoint = Field(alias="from", description="one end")
    to: DrawnPoint = Field(description="the other end")
    mm: float = Field(description="the distance")


class PlaneData(_Data):
    """Where the drawing is in the boat."""

    x_mm: float | None = Field(
        default=None,
        description="of a plane athwartships: its distance aft on the centreline at height 0 (this key and the "
        "other angles are left out of other planes)",
    )
    rake_deg: float | None = Field(
        default=None, description="how far a plane athwartships leans, its top aft positive"
    )
    cant_deg: float | None = Field(
        default=None, description="how far it is turned about the vertical, its outboard end aft positive"
    )
    radius_mm: float | None = Field(
        default=None, description="of a curved face alone: the radius of its cylinder"
    )
    other_face_x_mm: float | None = Field(default=None, description="x_mm of the piece's other face")
    origin_mm: Vector = Field(description="the place in the boat (x, y, z) of the drawing's (0, 0)")
    u: Vector = Field(description="the unit vector in the boat along the drawing's x")
    v: Vector = Field(description="the unit vector in the boat along the drawing's y")


class HullEdgeData(_Data):
    """The edge that a strake or the deck gives to one face of the piece."""

    face: Literal["moulded face", "other face"] = Field(description="which face of the piece")
    strake: str = Field(description="the strake's name, hull for a round bilge, or deck")
    points: tuple[DrawnPoint, ...] = Field(
        description="its vertices, those of the other face too in the coordinates of the face that is shown, "
        "square across"
    )
    bevel_deg: tuple[float, ...] = Field(description="the bevel at each vertex")


class PrintedData(_Data):
    """Where a pattern is printed."""

    mark: str = Field(description="the mark on each of its pages")
    pages: tuple[int, int] = Field(description="its first and last page in the file of patterns")


class PatternData(_Data):
    """One piece of the boat as a true shape."""

    name: str = Field(description="what it is called on pages and in file names")
    member: str = Field(description="the kind of member")
    stock: str = Field(description="what it is made of")
    thickness_mm: float = Field(description="its siding")
    laminations: int = Field(description="how many layers are glued into it")
    quantity: str = Field(description="how many are made, by hand")
    face: str = Field(description="the face that the drawing shows, and how one looks at it")
    half: bool = Field(description="the drawing shows the right half; the other is its mirror about x = 0")
    right_is: str = Field(description="what is to the drawing's right, e.g. STARBOARD; may be empty")
    up_is: str = Field(description="what is at its top, e.g. UP; may be empty")
    outlines: tuple[LineData, ...] = Field(description="the saw lines: the outer of the two faces")
    lines: dict[str, tuple[LineData, ...]] = Field(
        description="the other lines by kind, e.g. this face, other face, reference line, centreline"
    )
    holes: tuple[HoleData, ...] = Field(description="holes, and places to be pricked")
    marks: tuple[MarkData, ...] = Field(description="marks and words on the drawing")
    bevels: tuple[BevelData, ...] = Field(description="the bevels as they are printed")
    distances: tuple[DistanceData, ...] = Field(description="distances that prove the taped pages")
    facts: tuple[str, ...] = Field(description="the words for the bench, a line each")
    known: tuple[FactData, ...] = Field(description="what these words say, in the same order")
    depth_left_mm: dict[str, float] = Field(
        description="the least wood left at the notch of each timber, by timber"
    )
    plane: PlaneData | None = Field(
        description="where the drawing is in the boat; null where no plane of the boat holds it: a strake laid "
        "flat, the ends of a long timber, a strip"
    )
    hull_edges: tuple[HullEdgeData, ...] = Field(
        description="the edges that planking and deck give to both faces"
    )
    printed: PrintedData | None = Field(
        default=None, description="where it is printed; left out of data that was not made for pages"
    )


class ShapesData(_Data):
    """Every pattern of a boat as data."""

    version: Literal[1] = Field(description="of this format")
    boat: str = Field(description="her name")
    mark: str = Field(description="the mark on the first pages")
    units: Literal["mm"] = Field(description="of all lengths")
    lengths_are: Literal["the boat's"] | None = Field(
        default=None,
        description="written where the pages are not full size: the lengths are those of the boat",
    )
    printed_at: str | None = Field(default=None, description="the scale of the pages then, e.g. 1:4")
    patterns: tuple[PatternData, ...] = Field(description="the patterns in the order of their pages")


def shapes_schema() -> dict[str, Any]:
    """The JSON Schema of ``shapes.json``, draft 2020-12."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        **ShapesData.model_json_schema(by_alias=True),
    }
