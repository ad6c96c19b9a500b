"""Facts of a piece as values: a kind and figures.  A template for each kind makes words of them at the edge."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from enum import Enum

__all__ = ["Fact"]


@dataclass(frozen=True, slots=True)
class Fact:
    """One fact.

    Attributes:
        kind: which template puts it in words, e.g. ``turn-over``.
        values: its figures and names: lengths in mm, angles in radians, names as the builder wrote them; what
            depends on the end of the boat as in `patterns.wood.ends`.
    """

    kind: str
    values: Mapping[str, object] = field(default_factory=dict)

    @property
    def names(self) -> tuple[str, ...]:
        """What it says besides its figures: the names, and each yes or no, in the order of its values."""
        return tuple(name for value in self.values.values() for name in _names(value))


def _names(value: object) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, bool) or value is None:
        yield str(value)
    elif isinstance(value, Enum):
        yield str(value.value)
    elif isinstance(value, Mapping):
        for key, inner in value.items():
            yield str(key)
            yield from _names(inner)
    elif isinstance(value, Sequence):
        for inner in value:
            yield from _names(inner)
