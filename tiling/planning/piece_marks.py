"""The short mark of each piece: pages with different marks must not be taped together.

It is made from what was given, not from computed coordinates: from what the piece is made from, the settings, and
the way in which it was chosen to lie on its pages, in names and whole numbers.  So other versions of numerical
libraries, whose results differ in their last figures, give the same mark.  A piece keeps the mark that it has in
the record of an earlier run while it lies as it did; no other state of a piece gets a mark that is in that record.
"""

from __future__ import annotations

import hashlib
from collections.abc import Collection, Sequence
from dataclasses import replace
from itertools import count

from tiling.distances.checks import tile_at
from tiling.distances.straight_lines import StraightLine
from tiling.drawing import XY
from tiling.layout.page_layout import PageLayout
from tiling.planning.plan import Job, Plan, plan_pieces
from tiling.planning.reuse import kept_plans
from tiling.planning.rolls import plan_rolls

__all__ = ["LETTERS", "mark_of", "marked", "marked_plans"]

# Without 0 and O, 1 and I, 5 and S, 8 and B: read aloud over a floor of paper they are taken for each other.
# Without the broad M and W, so that marks need about the same room.
LETTERS = "234679ACDEFGHJKLNPQRTUVXYZ"
LENGTH = 5
WITHIN = 0.137, 0.863  # of a line; no page ends there where rows are evenly high


def mark_of(digest: bytes) -> str:
    """A short mark from a digest of eight bytes or more."""
    number = int.from_bytes(digest[:8], "big")
    mark = ""
    for _ in range(LENGTH):
        number, place = divmod(number, len(LETTERS))
        mark += LETTERS[place]
    return mark


def marked_plans(job: Job) -> tuple[Plan, ...]:
    """Every piece of a job on its pages, with its mark.

    Raises:
        TilingError: there is no piece, nothing is drawn of one, or its words find no room.
    """
    kept = kept_plans(job) if job.mark else {}
    if job.roll is not None:
        plans = plan_rolls(job.pieces, job.roll, kept=kept)
    else:
        plans = plan_pieces(job.pieces, job.page, share=job.share, search=job.search, kept=kept)
    return marked(job, plans)


def marked(job: Job, plans: Sequence[Plan]) -> tuple[Plan, ...]:
    """The plans, each with its mark: the one that it has, or its own; none where the job has no mark."""
    if not job.mark:
        return tuple(plans)
    return tuple(plan if plan.mark else replace(plan, mark=_mark(job, plan)) for plan in plans)


def _mark(job: Job, plan: Plan) -> str:
    printer = "" if job.correction is None else job.correction.words()
    # The names of the page's classes are part of it, and of earlier runs' records: another name, another mark.
    state = repr(
        (job.title, plan.label, printer, plan.layout.page, plan.piece.made_from, _choice(plan))
    ).encode()
    return _unused(state, job.former.used)


def _unused(state: bytes, used: Collection[str]) -> str:
    """The mark of a state, or where another state had that one already, the next."""
    marks = (mark_of(hashlib.sha256(state + str(number).encode()).digest()) for number in count())
    return next(mark for mark in marks if mark not in used)


def _choice(plan: Plan) -> object:
    """Which way to lay the piece was chosen, in names and whole numbers."""
    layout, shared = plan.layout, plan.shared
    return (
        layout.choice,
        [(tile.row, tile.column) for tile in layout.tiles],
        [(seam.over, seam.under, seam.side, seam.gives) for seam in layout.seams],
        [
            (check.name, check.letters, _on(layout, check.distance.start, check.distance.end))
            for check in plan.checks
        ],
        [_under(line, layout) for line in plan.aids.lines],
        [] if shared is None else [part.name for part in plan.piece.parts],
        [] if shared is None else shared.choices,
    )


def _on(layout: PageLayout, *places: XY) -> list[int]:
    """The pages on which places of the drawing are seen."""
    return [tile_at(layout, layout.to_grid.at(place)) for place in places]


def _under(line: StraightLine, layout: PageLayout) -> list[list[int]]:
    """The pages on which the pieces of a straight line lie."""
    return [
        _on(layout, *((float(x), float(y)) for x, y in (start + share * (end - start) for share in WITHIN)))
        for start, end in line
    ]
