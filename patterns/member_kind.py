"""A kind of member as a value: what the design file knows of it, and how its pieces are made."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, fields
from typing import Literal

from patterns.boat import Boat
from patterns.design.kind import EntryKind
from patterns.joinery.wood import Wanted
from patterns.wood.work_stage import WorkStage

__all__ = ["MemberKind"]


@dataclass(frozen=True, slots=True, kw_only=True)
class MemberKind(EntryKind):
    """One kind of member, whole: the value ``KIND`` of its file in `patterns/members`.

    Attributes:
        pieces: every piece of the kind in a boat: where the design asks for it, and how its patterns are made.
        stage: the stage of the work in which its pieces are made.
        at: the kind of end that it is made at, a stem at the bow or a transom at the stern; where the boat's other
            end is of that kind too, it is made there with the boat turned.  Empty where it is made once.
    """

    pieces: Callable[[Boat], Iterator[Wanted]]
    stage: WorkStage
    at: Literal["", "stem", "transom"] = ""

    @classmethod
    def made(
        cls,
        kind: EntryKind,
        pieces: Callable[[Boat], Iterator[Wanted]],
        *,
        stage: WorkStage,
        at: Literal["", "stem", "transom"] = "",
    ) -> MemberKind:
        """A kind whose keys and rules are in another file than its wood."""
        known = {field.name: getattr(kind, field.name) for field in fields(kind)}
        return cls(**known, pieces=pieces, stage=stage, at=at)
