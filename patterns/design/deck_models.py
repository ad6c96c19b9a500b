"""The design file's deck timbers: beams, half beams, carlings, king plank, supports."""

from __future__ import annotations

import re
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, model_validator

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
from patterns.design.shared_keys import PrintedKeys, SidedKeys, StockKeys
from patterns.measure import BadLength, parse_length

__all__ = [
    "BeamAt",
    "BeamSpec",
    "CarlingSpec",
    "HalfBreadths",
    "KingPlankSpec",
    "SupportSpec",
    "beside_frame",
]

_BESIDE = re.compile(r"(forward|aft) of frame (.+)")


def beside_frame(at: str) -> tuple[str, str] | None:
    """Which side of which frame a place names (``aft of frame 4``); None where it names another place."""
    found = _BESIDE.fullmatch(at)
    return (found[1], found[2]) if found else None


def _beside_names(at: str) -> tuple[str, ...]:
    """The frame that a place names, if it names one."""
    beside = beside_frame(at)
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


HalfBreadths = Annotated[tuple[float, float], BeforeValidator(_half_breadths)]


class BeamSpec(SidedKeys):
    """A beam across the boat under the deck, a half beam from a carling to the side, or a leaning one."""

    name: Words = Field(description="The beam's whole name, lettered on its pattern.")
    at: Annotated[BeamAt, Ref("frame", reads=_beside_names)] = Field(
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


class CarlingSpec(StockKeys, PrintedKeys):
    """A timber fore and aft under the deck between two beams; the same piece is on each side."""

    name: Words = Field(description="The carling's whole name, lettered on its pattern.")
    between: Annotated[tuple[Words, Words], Ref("beam")] = Field(
        description='The beam it begins at and the one it ends at, from forward aft, as ["beam 3", "beam 6"].'
    )
    half_breadth: HalfBreadths = Field(
        description="From the centreline out to its inboard face at the two beams; two of them, forward and aft, "
        "where it runs at an angle."
    )
    sided: Wood = Field(description="Its thickness, outboard from its inboard face.")
    moulded: Wood = Field(description="Its least depth under the deck.")
    underside: Literal["straight", "parallel to the deck"] = Field(
        default="straight", description="How its underside runs."
    )
    ends: Literal["half lapped", "butted"] = Field(
        default="half lapped",
        description="half lapped: its ends lie in notches through the beams; butted: they end at the beams' faces.",
    )
    let_in: Wood | None = Field(
        default=None,
        description="The depth of its notches in the beams, from the deck's underside; left out, half of moulded.",
    )

    @model_validator(mode="after")
    def _two_beams(self) -> CarlingSpec:
        if self.between[0] == self.between[1]:
            raise trouble(
                "it begins and ends at one beam", "name two beams, from forward aft", code="invalid-value"
            )
        return self


class KingPlankSpec(StockKeys, PrintedKeys):
    """The plank on the centreline that is let into the beams."""

    name: Words = Field(default="king plank", description="Its name, if it is not simply king plank.")
    between: Annotated[tuple[Words, Words], Ref("beam")] = Field(
        description='The beam it begins at and the one it ends at, from forward aft, as ["beam 1", "beam 3"].'
    )
    sided: Wood = Field(description="Its breadth athwartships.")
    moulded: Wood = Field(description="Its least depth under the deck.")
    let_in: Wood | None = Field(
        default=None,
        description="The depth of its notches in the beams, from the deck's underside at its edges; left out, its "
        "whole depth, so that the plank itself is not notched.",
    )
    ends: Literal["half lapped", "butted"] = Field(
        default="half lapped",
        description="half lapped: its ends lie in notches through the beams; butted: they end at the beams' faces.",
    )


class SupportSpec(StockKeys, PrintedKeys):
    """A straight piece fore and aft between the faces of two beams or frames, clear of the deck."""

    name: Words = Field(description="Its whole name, lettered on its pattern.")
    between: Annotated[tuple[Words, Words], Ref("beam", said="frame")] = Field(
        description='The two pieces that it fits between, from forward aft: beams by name, frames as "frame 8".'
    )
    half_breadth: HalfBreadths = Field(
        description="From the centreline out to its inboard face at the two pieces; two of them, forward and aft, "
        "where it runs at an angle."
    )
    heights: tuple[Position, Position] = Field(
        description="The height of its top at the two pieces' faces, forward and aft."
    )
    sided: Wood = Field(description="Its thickness, outboard from its inboard face.")
    moulded: Length = Field(description="Its depth, square to its top.")
