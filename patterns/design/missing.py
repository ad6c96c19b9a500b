"""A member that a builder would look for and the design does not have, as a value."""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum

__all__ = ["Missing", "Stage"]


class Stage(IntEnum):
    """When in the building of a boat a member is fitted; what is missing is listed in this order."""

    BACKBONE = 1
    SET_UP = 2
    JOINTS = 3
    ALONG = 4
    TRANSOM = 5
    DECK = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class Missing:
    """A member that is not there.

    Attributes:
        stage: when it would be fitted.
        name: by which ``without`` leaves it out, e.g. ``stem knee`` or ``gussets on frame 3``.
        place: where it would be asked for in the design file.
        what: what is not there, and what is left undone so.
    """

    stage: Stage
    name: str
    place: str
    what: str

    def __str__(self) -> str:
        return f'{self.place}: {self.what} (if none is meant: without = ["{self.name}"] under [boat])'
