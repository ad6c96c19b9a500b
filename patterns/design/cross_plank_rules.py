"""What the keys of a bottom planked across must agree on with the table."""

from __future__ import annotations

from collections.abc import Iterator

from patterns.design.cross_plank_models import CrossPlanksSpec
from patterns.design.entries import Parts
from patterns.design.models import TableSpec
from patterns.errors import Problem

__all__ = ["cross_plank_rules"]


def cross_plank_rules(parts: Parts) -> Iterator[Problem]:
    """Planks across need a bottom that is level from side to side."""
    table = parts.one(TableSpec)
    for place, _ in parts.all(CrossPlanksSpec):
        if table is not None and table.bottom != "flat":
            yield Problem(
                place,
                "planks are laid across a flat bottom alone, and this one is not declared flat",
                'write bottom = "flat" under [table], or remove [cross_planks]',
                code="cross-planks-not-flat",
            )
