"""Patterns in the order in which a boat's pieces are made."""

from __future__ import annotations

from collections.abc import Sequence

from patterns.pattern import Pattern

__all__ = ["in_order_of_work"]


def in_order_of_work(patterns: Sequence[Pattern]) -> tuple[Pattern, ...]:
    """The patterns stage by stage, those of one kind from forward aft, the pieces of one frame together.

    Where they have no order of work they stay as they are.
    """
    stands: dict[str, float] = {}
    for pattern in patterns:
        whole = pattern.part_of or pattern.name
        stands[whole] = min(stands.get(whole, _aft(pattern)), _aft(pattern))
    return tuple(
        sorted(
            patterns,
            key=lambda each: (*each.work, stands[each.part_of or each.name] if each.work[0] else 0.0),
        )
    )


def _aft(pattern: Pattern) -> float:
    """How far aft its moulded face lies at the centreline, mm; 0 for what lies along the boat."""
    plane = pattern.plane
    if plane is None or abs(float(plane.u[0])) > 0.5:
        return 0.0
    return float(plane.origin[0])
