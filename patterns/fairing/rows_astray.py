"""Rows of a round bilge that do not belong at the level that the design gives them."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from patterns.design.round_models import DiagonalSpec
from patterns.errors import Problem
from patterns.fairing.cross import CrossFaired
from patterns.fairing.cross_doubts import doubtful
from patterns.fairing.girth_start import PlacedOffsets
from patterns.fairing.slips import usual_slips
from patterns.hull.girth import Girth, place_on
from patterns.hull.planes import FloatArray
from patterns.measure import Notation, format_length
from patterns.table.levels import LevelRow

if TYPE_CHECKING:
    from patterns.design.file import Design

__all__ = ["AstrayRow", "astray_problem", "row_astray"]

CODE = "row-off-its-level"
STRAINED = 2  # offsets that are doubted or not met, from which a row and not a cell may be the cause
BEYOND = 1.1  # allowed moves from which an offset is not met
ENOUGH = 4  # offsets of a row, from which its level can be known
TRIED, CLOSER = 40, 4  # levels that are tried across the boat, and how often the best one's neighbourhood is
CURED = 5.0  # times nearer to the surface that a row must lie at another level than at its own
NEAR = 4.0  # allowed moves, on average, that the row may then still be off
LEAST_MOVE = 3.0  # mm between the two levels


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class AstrayRow:
    """A row that fits the surface through all others at another level, and not at its own.

    Attributes:
        level: the row at the level that the design gives.
        typed, fits: that level and the one at which the row fits, mm: a height up from the base, or a buttock's
            half-breadth.
        off: how far off the surface the row is at its own level and at the other, on average, mm.
    """

    level: LevelRow
    typed: float
    fits: float
    off: tuple[float, float]


def row_astray(
    levels: Sequence[LevelRow],
    found: PlacedOffsets,
    faired: CrossFaired,
    refit: Callable[[PlacedOffsets], CrossFaired],
    design: Design,
    *,
    allow: float,
) -> AstrayRow | None:
    """The row whose level is wrong, where one row alone spoils the surface and another level of it explains that.

    Where the design confirms its levels, none is.

    Args:
        found, faired: all offsets, and the surface through them.
        refit: the surface through fewer.
        allow: the allowed move, mm.
    """
    strained = (doubtful(faired) >= 1.0) | (np.abs(faired.spring) > BEYOND)
    if int(strained.sum()) < STRAINED or CODE in design.boat.confirmed:
        return None
    through = {
        spec.name: np.array([spec.through.half_breadth, _sign(design) * spec.through.height])
        for spec in design.all(DiagonalSpec)
    }
    astray = []
    for level in levels:
        mine = [
            i for i, name in enumerate(found.names) if name == level.name and found.views[i] == level.view
        ]
        if len(mine) < ENOUGH or len(mine) == len(found.values):
            continue
        others = refit(found.without(mine))
        if (doubtful(others) < 1.0).all():
            row = _Row(
                level=level,
                through=through.get(level.name),
                points=found.points[mine],
                values=found.values[mine],
            )
            astray += list(_better(row, others.girth, allow))
    return min(astray, key=lambda row: row.off[1] / row.off[0], default=None)


def astray_problem(row: AstrayRow, design: Design, notation: Notation) -> Problem:
    """What to do about it."""
    table, key = {
        "half-breadth": ("waterline", "height"),
        "height": ("buttock", "half_breadth"),
        "diagonal": ("diagonal", "height"),
    }[row.level.view]
    sign = _sign(design) if key == "height" else 1.0
    typed, fits = sign * row.typed, sign * row.fits
    meant = [slip for slip in usual_slips(typed, notation) if abs(slip.meant - fits) <= max(row.off[1], 1.0)]
    value = meant[0].meant if meant else fits
    about = "" if meant else "about "
    return Problem(
        f'design.toml, {table} "{row.level.name}", key {key}',
        f"at {format_length(typed, notation)} the row is on average {row.off[0]:.0f} mm off the surface "
        f"through the other rows; at {about}{format_length(value, notation)} it would be {row.off[1]:.1f} mm off",
        "correct this key; else compare the row with the plan",
        code=CODE,
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Row:
    """A row's offsets, and the surface's place for them at any level.

    Attributes:
        through: of a diagonal, the point (half-breadth, height) of the body plan that it passes through.
        points: shape (n, 3), as typed, mm.
        values: shape (n,), mm.
    """

    level: LevelRow
    through: FloatArray | None
    points: FloatArray
    values: FloatArray

    @property
    def axis(self) -> int:
        return 0 if self.level.view == "height" else 1

    def off(self, girth: Girth, at: float) -> float:
        """How far from the surface the row would be at a level, on average, mm."""
        start, along = self.level.start.copy(), self.level.along
        start[self.axis] = at
        if self.through is not None:
            run = self.through - start
            length = float(np.hypot(*run))
            if length <= 0.0:
                return np.inf
            along = run / length
        starts, alongs = np.tile(start, (len(self.values), 1)), np.tile(along, (len(self.values), 1))
        points = np.column_stack([self.points[:, 0], starts + self.values[:, None] * along])
        _, r = girth.nearest(points)
        return float(np.abs(place_on(girth, points[:, 0], r, starts, alongs) - self.values).mean())


def _better(row: _Row, girth: Girth, allow: float) -> Iterator[AstrayRow]:
    """The level at which a row fits the surface, where its own is clearly not it."""
    p, r = (each.ravel() for each in np.meshgrid(np.linspace(0.0, 1.0, 9), np.linspace(0.0, 1.0, 9)))
    reach = girth.shape(p, r)[0][:, 1 + row.axis]
    low, high = float(min(reach.min(), 0.0)), float(reach.max())
    tried = np.linspace(low, high, TRIED)
    for _ in range(CLOSER):
        off = np.array([row.off(girth, float(at)) for at in tried])
        best, step = float(tried[off.argmin()]), float(tried[1] - tried[0])
        least = float(off.min())
        tried = np.linspace(best - step, best + step, 11)
    typed = float(row.level.start[row.axis])
    now = row.off(girth, typed)
    if abs(best - typed) >= LEAST_MOVE and least <= NEAR * allow and now >= CURED * least:
        yield AstrayRow(level=row.level, typed=typed, fits=best, off=(now, least))


def _sign(design: Design) -> float:
    return -1.0 if design.table.heights == "down from set-up line" else 1.0
