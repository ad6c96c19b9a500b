"""The pieces of a job laid on their pages."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType

from tiling.errors import TilingError
from tiling.lettering.floor_names import floor_names
from tiling.paper import Page
from tiling.planning.card import Card, Site, Whole
from tiling.planning.fenced import fenced_plans
from tiling.planning.nested import nested_plans
from tiling.planning.piece_plan import Aids, Alone, Plan, plan_on, plan_piece
from tiling.planning.request import Job, Legend, Piece, Share, unlike_labels

__all__ = [
    "Aids",
    "Card",
    "Job",
    "Legend",
    "Piece",
    "Plan",
    "Site",
    "Whole",
    "named_plans",
    "plan_on",
    "plan_piece",
    "plan_pieces",
    "unlike_labels",
]


def plan_pieces(
    pieces: Sequence[Piece],
    page: Page,
    *,
    share: Share = "apart",
    search: bool = False,
    kept: Mapping[tuple[int, ...], Plan] = MappingProxyType({}),
) -> tuple[Plan, ...]:
    """Lay every piece on its pages.

    Args:
        share: which pieces lie together; they stand where the first of them would.
        search: each may be turned by any angle and its rows of pages shifted, where that saves pages.
        kept: plans that are known, by the places of their pieces among all.
    Raises:
        TilingError: there is no piece, or nothing is drawn of one.
    """
    if not pieces:
        raise TilingError("no piece is given to print")
    labels = unlike_labels(pieces)
    held = {index for members in kept for index in members}
    free = [index for index in range(len(pieces)) if index not in held]
    alone = [
        Alone(pieces[index], page, label=labels[index], search=search and not pieces[index].square)
        for index in free
    ]
    plans = {members[0]: plan for members, plan in kept.items()}
    plans.update({free[k]: plan for k, plan in _laid(alone, page, share).items()})
    return named_plans([plans[index] for index in sorted(plans)])


def _laid(alone: Sequence[Alone], page: Page, share: Share) -> dict[int, Plan]:
    """Plans of all by the first of their pieces."""
    if share == "nested" and alone:
        return nested_plans(alone, page)
    found = fenced_plans(alone, page) if share == "fenced" else {}
    members = {index for group in found for index in group}
    plans = {index: each.plan for index, each in enumerate(alone) if index not in members}
    return plans | {group[0]: plan for group, plan in found.items()}


def named_plans(plans: Sequence[Plan]) -> tuple[Plan, ...]:
    """The plans with names on their pages that are read from above."""
    return tuple(
        replace(plan, names=floor_names(plan.drawing, plan.layout, plan.words, label=plan.label))
        for plan in plans
    )
