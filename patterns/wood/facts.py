"""Facts of a piece as values: a kind and figures.  A template for each kind makes words of them at the edge."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

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
