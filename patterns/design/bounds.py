"""Between which sizes ordinary pieces of each kind lie, beside the planking, the boat and the piece's other sizes.

Every limit here is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Protocol

__all__ = ["FAR", "BoatSize", "Bound", "knee_bounds", "most_siding"]

FAR = float("inf")


@dataclass(frozen=True, slots=True, kw_only=True)
class BoatSize:
    """What sizes are measured against, mm.

    Attributes:
        length: the boat's, over all.
        breadth: her greatest whole breadth.
        thick, thin: the thickest and the thinnest planking.
    """

    length: float
    breadth: float
    thick: float
    thin: float


@dataclass(frozen=True, slots=True)
class Bound:
    """A key, its value, and between which values ordinary boats have it, mm; with the reason in words."""

    key: str
    value: float | None
    least: float
    most: float
    beside: str


class Knee(Protocol):
    """What every knee has, and a breasthook."""

    @property
    def sided(self) -> float: ...
    @property
    def throat(self) -> float: ...
    @property
    def toe(self) -> float: ...


def most_siding(scale: BoatSize) -> float:
    """The most siding of a piece across the boat."""
    return max(scale.length / 50.0, 3.0 * scale.thick)


ARMS = (
    "along_keel", "up_transom", "up_stem", "along_clamp", "along_transom", "along_beam", "down_side", "length",
)  # fmt: skip


def knee_bounds(knee: Knee, scale: BoatSize) -> Iterator[Bound]:
    """Of a knee or a breasthook."""
    yield Bound("sided", knee.sided, 0.5 * scale.thick, most_siding(scale), "planking and boat")
    yield Bound("toe", knee.toe, 0.1 * knee.throat, knee.throat, "the throat")
    for key in ARMS:
        arm = getattr(knee, key, None)
        yield Bound(key, arm, 0.0, 0.25 * scale.length, "the boat")
