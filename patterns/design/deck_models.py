"""The design file's pieces under the deck: beams, half beams, carlings, king plank, supports, breasthook."""

from __future__ import annotations

import re
from typing import Annotated, Any, Literal, Self, get_args

from pydantic import BeforeValidator, Field, StrictBool, model_validator

from patterns.design.quantities import (
    Along,
    Angle,
    Length,
    Position,
    Wood,
    Words,
    shown,
    trouble,
)
from patterns.design.refs import Ref
from patterns.design.shared_keys import KneeKeys, PrintedKeys, SidedKeys, StockKeys
from patterns.measure import BadLength, parse_length
from patterns.measure.nearest import written

__all__ = [
    "ENDS",
    "BeamAt",
    "BeamSpec",
    "BetweenKeys",
    "BreasthookSpec",
    "CarlingSpec",
    "End",
    "HalfBreadths",
    "KingPlankSpec",
    "SupportSpec",
    "beside_frame",
    "beside_names",
    "frame_said",
]

_BESIDE = re.compile(r"(forward|aft) of frame (.+)")


def beside_frame(at: str) -> tuple[str, str] | None:
    """Which side of which frame a place names (``aft of frame 4``); None where it names another place."""
    found = _BESIDE.fullmatch(at)
    return (found[1], found[2]) if found else None


def beside_names(at: str | None) -> tuple[str, ...]:
    """The frame that a place names, if it names one."""
    beside = beside_frame(at or "")
    return (beside[1],) if beside else ()


def _beam_at(value: Any) -> str:
    """``aft of frame 4``, ``station 3``, or a length that is kept as text."""
    text = " ".join(value.split()) if isinstance(value, str) else ""
    head, _, tail = text.partition(" ")
    if beside_frame(text):
        return text
    if head.lower() == "station" and tail:
        return f"station {tail}"
    try:
        parse_length(text)
    except BadLength as error:
        raise trouble(
            f"{shown(value)} is not a valid place along the boat",
            'write a station, e.g. "station 3", a distance aft, e.g. "1200 mm", or a side of a frame, e.g. '
            '"aft of frame 3"',
            code="invalid-value",
        ) from error
    return text


BeamAt = Annotated[str, BeforeValidator(_beam_at), Along()]


def _half_breadths(value: Any) -> tuple[float, float]:
    """One half-breadth, or the forward and the after one of a carling that runs at an angle."""
    given = value if isinstance(value, list | tuple) else [value, value]
    if len(given) != 2 or not all(isinstance(entry, str) for entry in given):
        raise trouble(
            "must be one half-breadth or two",
            'write "480 mm", or the forward and the after one, e.g. ["480 mm", "450 mm"]',
            code="invalid-value",
        )
    found = []
    for entry in given:
        try:
            found.append(parse_length(entry))
        except BadLength as error:
            raise trouble(error.what, error.want, code=error.code) from error
    if min(found) <= 0.0:
        raise trouble(
            "a half-breadth is not more than 0",
            "it is measured out from the centreline",
            code="invalid-value",
        )
    return found[0], found[1]


def _pair(value: Any) -> Any:
    """One word or length for both ends, or two of them from forward aft."""
    return value if isinstance(value, list | tuple) else [value, value]


End = Literal["half lapped", "butted", "notched", "housed"]
ENDS = get_args(End)


def _ends(value: Any) -> tuple[End, End]:
    given = _pair(value)
    if len(given) != 2 or any(each not in ENDS for each in given):
        wrong = next((each for each in given if each not in ENDS), value)
        raise trouble(
            f"{shown(wrong)} is not a valid choice",
            f"write {written(ENDS)}, or two of these, from forward aft",
            code="invalid-choice",
        )
    return given[0], given[1]


Ends = Annotated[tuple[End, End], BeforeValidator(_ends)]
Depths = Annotated[tuple[Wood, Wood], BeforeValidator(_pair)]


def frame_said(name: str) -> str:
    """The frame that a name in ``between`` means (``frame 4``); empty where it means another piece."""
    head, _, tail = name.partition(" ")
    return tail if head == "frame" else ""


HalfBreadths = Annotated[tuple[float, float], BeforeValidator(_half_breadths)]


class BeamSpec(SidedKeys):
    """A beam across the boat under the deck, a half beam from a carling to the side, or a leaning one."""

    name: Words = Field(description="The beam's whole name, lettered on its pattern.")
    at: Annotated[BeamAt, Ref("frame", reads=beside_names)] = Field(
        description='Where its moulded face is: a station, a distance aft, or "aft of frame 4" or "forward '
        'of frame 4", against that face of the frame.'
    )
    rake: Angle = Field(
        default=0.0, description="Its rake, top aft positive; beside a frame the frame's own."
    )
    siding_runs: Literal["forward", "aft"] | None = Field(
        default=None,
        description="Which way its thickness runs from the moulded face; left out, away from the station of "
        "greatest breadth, or away from the frame that it lies against.",
    )
    moulded: Wood | None = Field(
        default=None,
        description="Its depth under the deck, on the centreline the least of both faces (half beams: the least "
        "along them).",
    )
    bottom: Position | None = Field(
        default=None, description="Instead of moulded: the height above base of its level underside."
    )
    top: Position | None = Field(
        default=None, description="The height of its level top; left out, its top is the deck's underside."
    )
    underside: Literal["straight", "parallel to the crown"] = Field(
        default="straight", description="How its underside runs, where moulded gives its depth."
    )
    from_carling: Annotated[Words | Literal[""], Ref("carling")] = Field(
        default="",
        description="A half beam: the carling that it begins at; the same piece is on each side.",
    )
    from_end: Literal["butted", "half lapped"] = Field(
        default="half lapped", description="How a half beam lands on its carling."
    )
    let_in: Wood | None = Field(
        default=None,
        description="A half beam half lapped: the depth of its notch in the carling, from the deck's underside; "
        "left out, half of its own depth there.",
    )
    ends: Literal["at the clamp", "into the clamp", "over the clamp", "to the planking"] = Field(
        description="Where its ends lie: on the clamp's inner face; housed in that face; over the clamp, which is "
        "cut down for them; or out to the planking, notched round the clamp as a frame."
    )
    end_depth: Wood | None = Field(
        default=None,
        description="How deep the clamp is cut for its ends: into the clamp, square to its inner face; over the "
        "clamp, down from the deck's underside.",
    )
    print: Literal["by the crown mould", "whole"] = Field(
        default="by the crown mould",
        description="By the crown mould, three or more beams of the deck's common crown come as one full-size "
        "mould, and each beam's ends, notches and landings at full size; whole, all of it is printed full size.",
    )


class BetweenKeys(StockKeys, PrintedKeys):
    """A timber fore and aft that lies between two pieces and crosses those in between."""

    between: Annotated[
        tuple[Words, Words], Ref("beam", said=("frame", "panel"), single=("transom", "breasthook"))
    ] = Field(
        description='The two pieces that it begins and ends at, from forward aft, as ["beam 3", "frame 6"]: beams '
        'by name, frames as "frame 6", panels athwartships as "panel bulkhead", "transom", "breasthook".'
    )
    ends: Ends | None = Field(
        default=None,
        description="How its two ends lie, one word for both or two, from forward aft. half lapped: in a notch "
        "right through the piece; butted: at the piece's face, or that of a frame's gusset which covers the end; "
        "notched: at the frame's own face, its gusset there notched for it; housed: end_depth deep in the piece, "
        "from the side that it comes from. Left out: half lapped on a beam, housed in a breasthook, and butted "
        "on a frame, panel or transom.",
    )
    end_depth: Depths | None = Field(
        default=None,
        description="How deep its housed ends lie in the pieces; in a breasthook forward from its throat. One "
        "depth for both ends or two, from forward aft.",
    )

    @model_validator(mode="after")
    def _two_pieces(self) -> Self:
        if self.between[0] == self.between[1]:
            raise trouble(
                f"begins and ends at {self.between[0]}",
                "name two pieces, from forward aft",
                code="invalid-value",
            )
        return self

    def end_kind(self, which: int) -> End:
        """How its fore end (0) or its after end (1) lies."""
        if self.ends is not None:
            return self.ends[which]
        name = self.between[which]
        if name == "breasthook":
            return "housed"
        return (
            "butted" if name == "transom" or name.partition(" ")[0] in ("frame", "panel") else "half lapped"
        )


class CarlingSpec(BetweenKeys):
    """A timber fore and aft under the deck between two pieces; the same piece is on each side."""

    name: Words = Field(description="The carling's whole name, lettered on its pattern.")
    half_breadth: HalfBreadths = Field(
        description="From the centreline out to its inboard face at the two pieces; two of them, forward and aft, "
        "where it runs at an angle."
    )
    sided: Wood = Field(description="Its thickness, outboard from its inboard face.")
    moulded: Wood = Field(description="Its least depth under the deck.")
    underside: Literal["straight", "parallel to the deck"] = Field(
        default="straight", description="How its underside runs."
    )
    let_in: Wood | None = Field(
        default=None,
        description="The depth of its notches in what it crosses or ends in, from the deck's underside; left out, "
        "half of moulded, and the whole of it in gussets and housings.",
    )


class KingPlankSpec(BetweenKeys):
    """The plank on the centreline that is let into the beams; a deck strongback."""

    name: Words = Field(default="king plank", description="Its name, if it is not simply king plank.")
    sided: Wood = Field(description="Its breadth athwartships.")
    moulded: Wood = Field(description="Its least depth under the deck.")
    let_in: Wood | None = Field(
        default=None,
        description="The depth of its notches in the beams, from the deck's underside at its edges; left out, its "
        "whole depth, so that the plank itself is not notched.",
    )


class SupportSpec(BetweenKeys):
    """A piece fore and aft between two pieces: straight and clear of the deck, or with its top under the deck."""

    name: Words = Field(description="Its whole name, lettered on its pattern.")
    half_breadth: HalfBreadths = Field(
        description="From the centreline out to its inboard face at the two pieces; two of them, forward and aft, "
        "where it runs at an angle."
    )
    heights: tuple[Position, Position] | None = Field(
        default=None,
        description="The height of its straight top at the two pieces' faces, forward and aft; left out, its top "
        "is the deck's underside.",
    )
    sided: Wood = Field(description="Its thickness, outboard from its inboard face.")
    moulded: Length = Field(description="Its depth, square to its top.")
    let_in: Wood | None = Field(
        default=None,
        description="The depth of its half laps, from its top; left out, half of moulded, and the whole of it in "
        "gussets and housings.",
    )

    def end_kind(self, which: int) -> End:
        """See `BetweenKeys.end_kind`: left out, its ends are butted."""
        return self.ends[which] if self.ends is not None else "butted"


class BreasthookSpec(KneeKeys):
    """The breasthook."""

    length: Length = Field(description="Fore and aft, from the stem's after face to the toes.")
    top: Literal["flat", "crowned"] = Field(
        default="flat",
        description="flat: as high as the deck lets it; crowned: higher, its top planed to the deck's underside.",
    )
    stem: Literal["butted", "notched"] = Field(
        default="butted",
        description="butted: its nose ends on the stem's after face; notched: it runs on beside the stem to where "
        "the sides close on it.",
    )
    each_lamination: StrictBool = Field(
        default=False, description="Make a pattern for each lamination instead of one for the whole stack."
    )
