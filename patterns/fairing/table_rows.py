"""The rows of the table as a batten sees them, for looking at all the lines of a station together."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from patterns.fairing.batten import Ends, batten
from patterns.fairing.cells import View
from patterns.fairing.ends import blunt_from
from patterns.fairing.evenness import NOISE
from patterns.fairing.round import is_round
from patterns.fairing.suspects import written_to
from patterns.hull.planes import FloatArray
from patterns.table.levels import levels_of
from patterns.table.values import Place

if TYPE_CHECKING:
    from patterns.design.file import Design
    from patterns.table.offsets import Offsets

__all__ = ["LEAST", "TableRow", "rows_of"]

LEAST = 6  # ducks; with fewer a batten has too little to go by
MOST = 60  # ducks; a longer row says no more of a station than the ducks near it, and costs much
LEVEL = 0.2  # slope up to which a chord of the keel belongs to the keel, not to a forefoot


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TableRow:
    """One row of the table: one line in one view.

    Attributes:
        line, view: which row.
        x, y: shape (n,), distances aft and offsets as typed, mm.
        labels: the column of each: ``bow``, a station's name, ``stern``.
        places: the cell of each.
        tolerance: how far a good offset may be off, mm, > 0.
        keel: whether it is the keel's.
        knuckles: indices at which the line turns.
        root_from: where the line is blunt at the bow, the distance aft of a point at its end or forward of it, mm:
            its batten lies over the root of the distance from there.
        ends: see `batten`.
    """

    line: str
    view: View
    x: FloatArray
    y: FloatArray
    labels: tuple[str, ...]
    places: tuple[Place | None, ...]
    tolerance: float
    keel: bool = False
    knuckles: tuple[int, ...] = ()
    root_from: float | None = None
    ends: Ends = "free"

    def across(self, x: FloatArray) -> FloatArray:
        """Where on its batten distances aft lie."""
        return x if self.root_from is None else np.sqrt(np.maximum(x - self.root_from, 0.0))

    def beside(self, i: int) -> Callable[[FloatArray], FloatArray]:
        """By how much the line differs, mm, a distance (mm) aft of duck ``i``; the duck itself is lifted."""
        kept = [k for k in range(len(self.x)) if k != i]
        knuckles = [k - (k > i) for k in self.knuckles if k != i]
        curve = batten(self.across(self.x[kept]), ends=self.ends, knuckles=knuckles).curve(self.y[kept])
        here = float(curve(self.across(self.x[i : i + 1]))[0])
        return lambda aft: curve(self.across(self.x[i] + aft)) - here


def rows_of(offsets: Offsets, design: Design) -> tuple[TableRow, ...]:
    """Every row that is long enough to be judged; lines declared straight are left out.

    Of the keel's heights those on a forefoot, and on a sternpost, are left out: no function of the distance
    holds them.
    """
    typed: list[
        tuple[str, View, FloatArray, FloatArray, tuple[Place | None, ...], tuple[str, ...], bool]
    ] = []
    for spec in design.lines:
        row = offsets.lines.get(spec.name)
        if row is not None and not spec.straight:
            keel = spec is design.lines[0]
            turned = tuple(word.removeprefix("station ").strip() for word in spec.knuckles)
            typed.append((spec.name, "height", row.x, row.z, row.z_places, turned, keel))
            typed.append((spec.name, "half-breadth", row.x, row.y, row.y_places, turned, keel))
    for level in levels_of(offsets, design) if is_round(design) else ():
        typed.append((level.name, level.view, level.row.x, level.values, level.places, (), False))
    if not typed:
        return ()
    labels = next(iter(offsets.lines.values())).labels
    steps = {view: _step([y for _, v, _, y, *_ in typed if v == view], offsets) for _, view, *_ in typed}
    found = []
    for line, view, x, y, places, turned, keel in typed:
        at = [int(i) for i in np.nonzero(np.isfinite(x) & np.isfinite(y))[0]]
        if keel and view == "height":
            at = _level(at, x, y)
        if not LEAST <= len(at) <= MOST or not np.all(np.diff(x[at]) > 0):
            continue
        across = view != "height" and not keel and not turned
        tolerance = max(design.fairing.allow, 0.5 * steps[view])
        found.append(
            TableRow(
                line=line,
                view=view,
                x=x[at],
                y=y[at],
                labels=tuple(labels[i] for i in at),
                places=tuple(places[i] for i in at),
                tolerance=tolerance,
                keel=keel,
                knuckles=tuple(k for k, i in enumerate(at) if labels[i] in turned),
                root_from=_root_from(x[at], y[at], tolerance) if across else None,
                ends=design.fairing.ends,
            )
        )
    return tuple(found)


def _root_from(x: FloatArray, y: FloatArray, tolerance: float) -> float | None:
    """The distance aft from whose root a blunt bow's batten is laid, mm; None on a keen bow."""
    forward = blunt_from(x, y, noise=tolerance * NOISE)
    return None if forward is None else float(x[0]) - forward


def _step(rows: list[FloatArray], offsets: Offsets) -> float:
    """The step, mm, in which the rows of one view are written."""
    values = np.concatenate(rows)
    return written_to(values[np.isfinite(values)], offsets.notation)


def _level(at: list[int], x: FloatArray, y: FloatArray) -> list[int]:
    """The columns of the keel's level part; ``at`` are those that hold a height."""
    first, last = 0, len(at) - 1

    def steep(a: int) -> bool:
        rise, run = y[at[a + 1]] - y[at[a]], x[at[a + 1]] - x[at[a]]
        return bool(abs(rise) > LEVEL * run)

    while first < last and steep(first):
        first += 1
    while last > first and steep(last - 1):
        last -= 1
    return at[first : last + 1]
