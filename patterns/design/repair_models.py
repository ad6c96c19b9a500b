"""What a repair's design file says: what the old frame was measured from, and what is to be made of it."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, StrictBool

from patterns.design.part import Part
from patterns.design.quantities import (
    FileName,
    Laminations,
    Length,
    Lengths,
    Names,
    NotNegative,
    Planking,
    Position,
    ScarfRatio,
    Wood,
    Words,
    shown,
    trouble,
)
from patterns.measure import Notation

__all__ = [
    "WAYS",
    "EdgeSpec",
    "NailSpec",
    "NeighbourSpec",
    "PieceSpec",
    "PointName",
    "RepairSpec",
    "StraightEdgeSpec",
    "Way",
]

Way = Literal["outboard", "inboard", "up", "down"]
WAYS: tuple[Way, ...] = ("outboard", "inboard", "up", "down")
Side = Literal["port", "starboard"]


def _point(value: Any) -> Any:
    """A point's name may be written as a number."""
    return str(value) if isinstance(value, int) and not isinstance(value, bool) else value


PointName = Annotated[Words, BeforeValidator(_point)]


def _two_nails(value: Any) -> Any:
    if not isinstance(value, list | tuple) or len(value) != 2:
        raise trouble(
            f"{shown(value)} is not two nails", 'write both names, as ["A", "B"]', code="invalid-value"
        )
    return tuple(value)


def _percent(value: Any) -> float:
    """A part of a hundred as a part of one: ``15 %``, or 15."""
    text = str(value).replace("%", "").strip()
    if isinstance(value, bool) or not text.replace(".", "", 1).isdigit() or not 0.0 <= float(text) <= 60.0:
        raise trouble(
            f"{shown(value)} is not a valid part", 'write a part of a hundred up to 60, e.g. "15 %"',
            code="invalid-value",
        )  # fmt: skip
    return float(text) / 100.0


TwoNails = Annotated[tuple[Words, Words], BeforeValidator(_two_nails)]


class RepairSpec(Part):
    """One frame measured in the boat, to be made again; it takes the place of a table of offsets."""

    frame: Words = Field(description="The frame's name or number, as it is called on board.")
    points: FileName = Field(description="The file of the measured points in this folder, saved as CSV.")
    notation: Notation = Field(
        description="How that file writes its lengths: feet-inches-eighths (1-0-4), feet-inches, inches, feet, mm, "
        "cm or m."
    )
    looking: Literal["forward", "aft"] = Field(
        description="Which way you looked at the face that you measured: forward at its after face, aft at its "
        "forward face."
    )
    measured: Literal["inside of planking", "frame's edge", "outside of planking"] = Field(
        description="What the points lie on, in the plane of that face. From the outside the planking is taken "
        "off, square to it; from the inside, or on the frame's edge, nothing is."
    )
    planking: Planking | None = Field(
        default=None, description="The planking's thickness; needed where its outside was measured."
    )
    sided: Wood = Field(description="The old frame's siding: its thickness fore and aft.")
    moulded: Wood = Field(description="The old frame's moulding: its depth in from the planking.")
    stock: Words = Field(description="The new wood, as named on the patterns.")
    laminations: Laminations = Field(default=1, description="How many laminations make up the new siding.")
    sides: Literal["each", "mean", "port", "starboard"] = Field(
        default="each",
        description="Which shape each side gets: its own (each), the mean of both, or one side's for both.",
    )
    centreline: Literal["known", "not known"] = Field(
        default="known",
        description="Whether the places below are measured from the boat's own centreline; if not, nothing is "
        "mirrored or compared across it.",
    )
    strip: Wood = Field(
        default=50.0,
        description="The breadth of the fit-up strip, a narrow template along the planking to try in the boat.",
    )


class NailSpec(Part):
    """A nail that distances were measured from; it need not be a nail, only a sharp place."""

    name: Words = Field(description="Its name, as the points' file has it.")
    side: Side | None = Field(default=None, description="Its side; needed unless it is on the centreline.")
    out: NotNegative | None = Field(default=None, description="How far out from the centreline it is.")
    up: Position | None = Field(default=None, description="Its height above base.")
    nails: TwoNails | None = Field(
        default=None, description='Instead of out and up: two nails named above it, as ["A", "B"].'
    )
    distances: Lengths = Field(default=(), description="Its distances from those two.")
    lies: Way | None = Field(default=None, description="On which side of the line through those two it lies.")


class StraightEdgeSpec(Part):
    """A straight edge or a plumb line that ordinates were measured from."""

    name: Words = Field(description="Its name, as the points' file has it.")
    side: Side | None = Field(
        default=None,
        description="Where it begins; if left out, there is one on both sides and each point uses its own.",
    )
    out: NotNegative | None = Field(
        default=None, description="How far out from the centreline its beginning is."
    )
    up: Position | None = Field(default=None, description="The height of its beginning above base.")
    runs: Way | None = Field(
        default=None, description="Which way distances along it are counted: a plumb line runs up or down."
    )
    nails: TwoNails | None = Field(
        default=None,
        description="Instead of side, out, up and runs: it runs from the first of two nails to the other.",
    )
    off: Way = Field(description="Which way distances off it are counted, square to it.")


class EdgeSpec(Part):
    """One stretch of the frame's edge between corners, where it is not as the rest."""

    name: Words = Field(description="The stretch, as the points' file calls it.")
    straight: StrictBool = Field(default=False, description="It is straight on purpose.")
    moulded: Wood | None = Field(default=None, description="The frame's moulding there, if it is another.")


class NeighbourSpec(Part):
    """A frame next to the broken one, measured the same way, for the bevels."""

    name: Words = Field(description="The neighbour's name or number.")
    stands: Literal["forward", "aft"] = Field(description="Where it is, from the broken frame.")
    spacing: Length = Field(
        description="From the broken frame's measured face to the plane in which the neighbour was measured."
    )
    points: FileName = Field(description="The file of its points, with the same headings.")


class PieceSpec(Part):
    """One piece to be made; without any the whole frame is made new."""

    kind: Literal["frame", "sister", "floor", "rib"] = Field(
        description="frame takes the old one's place; sister is a section of its own beside it; floor is a floor "
        "timber across the keel, in the old frame's place or against one of its faces; rib is bent to the "
        "planking, steamed or laminated, and its former is made."
    )
    name: Words | Literal[""] = Field(default="", description="What the piece is called on its pattern.")
    side: Literal["port", "starboard", "both"] = Field(
        default="both", description="On which side of the boat it is made."
    )
    from_point: PointName | None = Field(
        default=None, description="The point at the lower end of what is made new; left out, the heel."
    )
    to_point: PointName | None = Field(
        default=None, description="The point at the upper end of what is made new; left out, the head."
    )
    throat: Wood | None = Field(
        default=None,
        description="Of a floor, its depth on the centreline above the heels; its top runs straight from there to "
        "the arms, which end at to_point on both sides, moulded deep.",
    )
    overbend: Annotated[float | None, BeforeValidator(_percent)] = Field(
        default=None,
        description='Of a rib, by how much more its former is bent, since bent wood springs back, e.g. "15 %"; '
        "it differs from wood to wood: bend a trial piece first.",
    )
    lap: NotNegative | None = Field(
        default=None, description="How far a sister runs on past those two points, along the planking."
    )
    lap_ratio: ScarfRatio | None = Field(
        default=None, description='Instead of lap: so many times the siding, e.g. "12:1".'
    )
    scarf: ScarfRatio | None = Field(
        default=None,
        description='The slope of the scarfs to sound wood past those two points, length to depth, e.g. "8:1".',
    )
    scarf_through: Literal["moulding", "siding"] | None = Field(
        default=None,
        description="Whether the scarfs' slope shows on the frame's face (moulding) or on its edge (siding).",
    )
    long_point: Literal["measured face", "other face"] | None = Field(
        default=None,
        description="With scarf_through siding, the face of the new piece that runs out to the scarf's long point; "
        "left out, the other face.",
    )
    against: Literal["measured face", "other face"] | None = Field(
        default=None, description="The face of the old frame that a sister or a floor lies against."
    )
    sided: Wood | None = Field(default=None, description="Its siding, if it is not the old frame's.")
    moulded: Wood | None = Field(default=None, description="Its moulding, if it is not the old frame's.")
    made_in: Literal["one piece", "halves", "futtocks", "two layers"] = Field(
        default="one piece",
        description="Whether its pattern is one, one for each side, one for each futtock, or a double-sawn frame's "
        "two layers of futtocks, each half as thick as the frame.",
    )
    joints: Names = Field(
        default=(),
        description='The points at which its futtocks butt, square to the edge, e.g. ["4", "9"]; left out, '
        "futtocks meet in mitres at the corners. In two layers they are those of the layer on the measured face.",
    )
    joints_behind: Names = Field(
        default=(), description="The points at which the futtocks of the other layer butt, away from those."
    )
    heel: Literal["plumb", "level", "square"] = Field(
        default="plumb", description="How its lower end is cut: plumb, level or square to the edge."
    )
    head: Literal["plumb", "level", "square"] = Field(
        default="square", description="How its upper end is cut."
    )
