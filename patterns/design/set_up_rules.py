"""What the keys of the set-up line must agree on."""

from __future__ import annotations

from collections.abc import Iterator

from patterns.design.agreement import together
from patterns.design.entries import Parts
from patterns.design.set_up_models import LEG_KEYS, SetUpSpec
from patterns.errors import Problem

__all__ = ["set_up_rules"]


def set_up_rules(parts: Parts) -> Iterator[Problem]:
    """Legs given by halves, a piece across without legs."""
    for place, set_up in parts.all(SetUpSpec):
        yield from together(place, {key: getattr(set_up, key) for key in LEG_KEYS})
        if set_up.cross_piece is not None and set_up.leg is None:
            yield Problem(
                f"{place}, key cross_piece",
                "there are no legs for it",
                f"give {', '.join(LEG_KEYS)}",
                code="cross-piece-without-legs",
            )
