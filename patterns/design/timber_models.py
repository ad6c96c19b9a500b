"""Timbers that run along the planking beside no corner of it: stringers, battens, rubbing rails, ribbands."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, model_validator

from patterns.design.quantities import (
    Along,
    NotNegative,
    Wood,
    Words,
    read_at,
    trouble,
)
from patterns.design.refs import Ref
from patterns.design.shared_keys import LongKeys
from patterns.measure.along import frame_named

__all__ = [
    "BesideSpec",
    "EndedSpec",
    "RibbandSpec",
    "RubbingRailSpec",
    "RunningSpec",
    "Share",
    "StripSpec",
    "Where",
]


def _share(value: Any) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0.0 < value < 1.0:
        raise trouble(
            "is not a part of the girth",
            "write a number between 0 and 1, e.g. 0.5 for half way",
            code="invalid-value",
        )
    return float(value)


Share = Annotated[float, BeforeValidator(_share)]


def _where(value: Any) -> str:
    """``frame 3``, ``station 3``, or a distance aft that is kept as text."""
    if isinstance(value, str):
        head, _, tail = " ".join(value.split()).partition(" ")
        if head.lower() == "frame" and tail:
            return f"frame {tail}"
    return read_at(value)


Where = Annotated[str, BeforeValidator(_where), Along()]


def _frame_names(where: str | None) -> tuple[str, ...]:
    """The frame that a place names, if it names one."""
    named = None if where is None else frame_named(where)
    return () if named is None else (named,)


class EndedSpec(LongKeys):
    """What every timber has that runs along the planking: its ends, where it does not run as far as it can."""

    start: Annotated[Where | None, Ref("frame", reads=_frame_names)] = Field(
        default=None,
        alias="from",
        description='Where its fore end is: a station, a frame (as "frame 3") or a distance aft; left out, as far '
        "forward as it can lie. It passes through a frame that it ends in.",
    )
    to: Annotated[Where | None, Ref("frame", reads=_frame_names)] = Field(
        default=None,
        description="Where its after end is, given in the same way; if left out, at the transom.",
    )


class RunningSpec(EndedSpec):
    """What every timber has that runs beside a line of the hull."""

    name: Words = Field(default="", description="Its name, if there is more than one of its kind.")
    follows: Annotated[Words, Ref("line")] = Field(description="The line that it runs parallel to.")
    against: Annotated[Words, Ref("strake")] = Field(description="The strake that it lies on.")
    off: Wood = Field(description="Its thickness off the planking, square to it.")
    along: Wood = Field(description="Its width along the planking, across its run.")

    @model_validator(mode="before")
    @classmethod
    def _named_by_kind(cls, given: object) -> object:
        if isinstance(given, dict) and "name" not in given and isinstance(given.get("kind"), str):
            return {**given, "name": given["kind"]}
        return given


class BesideSpec(RunningSpec):
    """A timber laid beside its line at a distance or at a part of the girth."""

    distance: NotNegative | None = Field(
        default=None,
        description="From the line to the middle of its width, on the planking, square to the line.",
    )
    part: Share | None = Field(
        default=None,
        description="Instead of distance: where its middle lies as a part of the strake's girth, square to the "
        "boat's length, from the line towards the strake's other line; 0.5 is half way.",
    )


class StripSpec(BesideSpec):
    """A timber that lies flat on the inside of a strake, let into the frames."""

    kind: Literal["stringer", "batten"] = Field(description="What the timber is.")


class RibbandSpec(BesideSpec):
    """A batten that is bent round the moulds while the boat is built; nothing is cut for it."""

    kind: Literal["ribband"] = Field(description="What the timber is.")
    inset: NotNegative = Field(
        description="From the inside of planking inward to its outer face: what is bent in between."
    )


class RubbingRailSpec(RunningSpec):
    """A rail on the outside of planking."""

    kind: Literal["rubbing rail"] = Field(description="What the timber is.")
    below: NotNegative = Field(
        default=0.0, description="From the line down to its upper edge, on the planking, square to the line."
    )
