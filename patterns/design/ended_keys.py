"""The keys of a long timber that say where it ends."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import BeforeValidator, Field, model_validator

from patterns.design.quantities import Along, Words, read_at
from patterns.design.refs import Ref
from patterns.design.shared_keys import LongKeys
from patterns.measure.along import frame_named

__all__ = ["EndedKeys", "Where", "frame_names"]


def _where(value: Any) -> str:
    """``frame 3``, ``station 3``, or a distance aft that is kept as text."""
    if isinstance(value, str):
        head, _, tail = " ".join(value.split()).partition(" ")
        if head.lower() == "frame" and tail:
            return f"frame {tail}"
    return read_at(value)


Where = Annotated[str, BeforeValidator(_where), Along()]


def frame_names(where: str | None) -> tuple[str, ...]:
    """The frame that a place names, if it names one."""
    named = None if where is None else frame_named(where)
    return () if named is None else (named,)


class EndedKeys(LongKeys):
    """A long timber that may end short of the boat's ends; its name is that of its kind if it has no other."""

    name: Words = Field(default="", description="Its name, if there is more than one of its kind.")
    start: Annotated[Where | None, Ref("frame", reads=frame_names)] = Field(
        default=None,
        alias="from",
        description='Where its fore end is: a station, a frame (as "frame 3") or a distance aft; left out, as far '
        "forward as it can lie. It passes through a frame that it ends in.",
    )
    to: Annotated[Where | None, Ref("frame", reads=frame_names)] = Field(
        default=None,
        description="Where its after end is, given in the same way; left out, as far aft as it can lie.",
    )

    @model_validator(mode="before")
    @classmethod
    def _named_by_kind(cls, given: object) -> object:
        if isinstance(given, dict) and "name" not in given and isinstance(given.get("kind"), str):
            return {**given, "name": given["kind"]}
        return given
