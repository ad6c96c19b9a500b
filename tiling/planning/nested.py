"""Small pieces laid among one another on common pages, where that saves paper."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from tiling.distances.checks import seams_between
from tiling.drawing import Drawing
from tiling.errors import TilingError
from tiling.layout.page_block import block_lattice
from tiling.layout.page_layout import lay_on
from tiling.layout.shared_pages import Shared, Sharing
from tiling.paper import Page
from tiling.planning.piece_plan import Alone, Plan, anchored, crossing, known_distances, planned, together

__all__ = ["nested_plans"]

ROUNDS = 4  # pieces whose words found no room together are laid anew, so many times at most


def nested_plans(alone: Sequence[Alone], page: Page) -> dict[int, Plan]:
    """Plans of all by the first of their pieces, those taken together whose pieces need fewer pages so."""
    left = {index for index, each in enumerate(alone) if not each.piece.alone}
    sharing = Sharing(
        [each.piece.drawing for each in alone], [len(each.layout.tiles) for each in alone], page
    )
    found_together: dict[int, Plan] = {}
    in_vain: set[tuple[int, ...]] = set()
    for number in range(ROUNDS):
        groups = [g for g in sharing.groups(left, seed=number + 1) if g.members not in in_vain]
        before = len(left)
        for group in groups:
            found = _laid_together(alone, group, page)
            if found is None:
                in_vain.add(group.members)
            else:
                left.difference_update(found[0])
                found_together[found[0][0]] = found[1]
        if len(left) == before or before - len(left) == sum(len(group.members) for group in groups):
            break
    plans = {index: each.plan for index, each in enumerate(alone) if index in left or each.piece.alone}
    return plans | found_together


def _laid_together(alone: Sequence[Alone], group: Shared, page: Page) -> tuple[tuple[int, ...], Plan] | None:
    """The members of a group and their plan; None where it saves no page.

    Where more words cross strokes than when each member is alone, one member after the other is taken away.
    """
    while len(group.members) > 1:
        members = [alone[k] for k in group.members]
        apart = sum(len(member.layout.tiles) for member in members)
        drawing = group.drawing([member.piece.drawing for member in members])
        plan = _plan_together(members, drawing, page)
        if plan is not None and len(plan.layout.tiles) >= apart:
            return None
        across = [] if plan is None else [words for words in plan.words if words.crosses]
        if plan is not None and (
            not across or len(across) <= sum(crossing(member.plan) for member in members)
        ):
            saved = sum(member.layout.plain for member in members) - len(plan.layout.tiles)
            return group.members, replace(plan, saved=saved, shared=group)
        rooms = [] if plan is None else [plan.drawing.notes[words.note].room for words in across]
        group = group.without(max(range(len(members)), key=lambda k: (rooms.count(k), -len(group.rooms[k]))))
    return None


def _plan_together(members: Sequence[Alone], drawing: Drawing, page: Page) -> Plan | None:
    """The plan of pieces laid together; None where there is no room for the words of all."""
    piece = together([member.piece for member in members], [member.label for member in members], drawing)
    known = known_distances(piece, page)
    layout = lay_on(anchored(drawing, known), page, block_lattice(page))
    # Of pieces laid together those that lie on one page prove nothing by it that the ruler does not.
    seen = [distance for distance in known if seams_between(layout, distance.start, distance.end)]
    try:
        return planned(piece, piece.name, seen or known, layout)
    except TilingError:
        return None
