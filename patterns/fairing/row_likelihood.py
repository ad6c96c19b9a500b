"""How likely a row of the table is when one of its offsets, or two, would be other than typed.

The row is weighed by every line that it may be (see `possible`), as the suspects of single rows are.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from patterns.fairing.evenness import NOISE
from patterns.fairing.possible import logsum, possible
from patterns.fairing.table_rows import TableRow
from patterns.hull.planes import FloatArray

__all__ = ["RowLikelihood", "judge"]

CELL = 0.002  # how likely a cell is typed wrongly, beforehand
SMALLEST, GREATEST = 2.0, 500.0  # mm, of a single slip; all sizes between are alike likely, by logarithm


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RowLikelihood:
    """A row's likelihood over ``m`` sorts of lines; logarithms of one common scale.

    Attributes:
        row: the row.
        noise: mm, standard deviation of a good offset's own error.
        one_wrong: with one wrong offset at most.
        apart: shape (n,), of the row with each offset where the likeliest line wants it.
        spring: shape (n,), typed less what that line wants there, mm.
        unsure: shape (n,), its standard deviation, mm.
        base, pull, own, beside: shapes (m,), (m, n), (m, n), (m, n-1): the quadratic forms that give the
            likelihood with offsets moved, see `Possible.forms`.
    """

    row: TableRow
    noise: float
    one_wrong: float
    apart: FloatArray
    spring: FloatArray
    unsure: FloatArray
    base: FloatArray
    pull: FloatArray
    own: FloatArray
    beside: FloatArray

    def moved(self, i: int, by: FloatArray) -> FloatArray:
        """The likelihood, shape (t,), with offset ``i`` less by each of ``by`` (t,), mm."""
        d = by / self.noise
        return logsum(self.base[:, None] + self.pull[:, [i]] * d - 0.5 * self.own[:, [i]] * d**2)

    def exchanged(self, i: int) -> float:
        """The likelihood with the offsets ``i`` and ``i + 1`` exchanged."""
        d = float(self.row.y[i] - self.row.y[i + 1]) / self.noise
        pull = self.pull[:, i] - self.pull[:, i + 1]
        own = self.own[:, i] + self.own[:, i + 1] - 2.0 * self.beside[:, i]
        return float(logsum(self.base + pull * d - 0.5 * own * d**2))


def judge(row: TableRow) -> RowLikelihood:
    """Look at one row."""
    noise = row.tolerance * NOISE
    lines = possible(
        row.x, row.y, noise=np.full(len(row.x), noise), knuckles=row.knuckles, blunt=row.root_from is not None
    )
    base, pull, own, beside = lines.forms()
    likely = base[:, None] + 0.5 * pull**2 / own - 0.5 * np.log(own)
    best = likely.argmax(axis=0)[None]
    held = np.take_along_axis(own, best, axis=0)[0]
    spring = np.take_along_axis(pull, best, axis=0)[0] / held
    unsure = noise / np.sqrt(held)
    apart = logsum(base[:, None] + pull * spring - 0.5 * own * spring**2)
    size = np.maximum(np.abs(spring * noise), SMALLEST)
    wrong = apart + np.log(np.sqrt(2 * np.pi) * unsure / (2 * size * np.log(GREATEST / SMALLEST)))
    return RowLikelihood(
        row=row,
        noise=noise,
        one_wrong=float(np.logaddexp(logsum(base), np.log(CELL) + logsum(wrong))),
        apart=apart,
        spring=spring * noise,
        unsure=unsure,
        base=base,
        pull=pull,
        own=own,
        beside=beside,
    )
