"""Two neighbouring cells of a row that were exchanged: both are wrong, and each has the other's value."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from patterns.fairing.blame import EITHER, FAR, Blame
from patterns.fairing.evenness import NOISE
from patterns.fairing.possible import Possible, logsum
from patterns.hull.planes import FloatArray

__all__ = ["exchange_of"]


def exchange_of(
    lines: Possible,
    y: FloatArray,
    columns: Sequence[int],
    found: Sequence[Blame],
    judged: Callable[[FloatArray], Sequence[Blame]],
    *,
    tolerance: float,
) -> int | None:
    """The place of the first of two neighbouring offsets that seem exchanged; None where there are none.

    The row with the two exchanged must leave less to blame, nothing at the two, and be clearly likelier than it is
    with one of the blamed offsets as its slip says that it was meant.

    Args:
        lines: the lines that the row may be, with a noise of ``tolerance * NOISE``.
        y: shape (n,), the offsets as typed, mm.
        columns: the table's column of each; -1 where a point is not from the table.
        found: what is blamed in the row as typed.
        judged: gives what is blamed with other offsets (n,).
        tolerance: how far a good offset may be off, mm; cells that differ by little need no exchange.
    """
    base, pull, own, beside = lines.forms()
    noise = tolerance * NOISE

    def moved(i: int, by: float) -> float:
        d = by / noise
        return float(logsum(base + pull[:, i] * d - 0.5 * own[:, i] * d**2))

    def exchanged(i: int) -> float:
        d = float(y[i] - y[i + 1]) / noise
        both = own[:, i] + own[:, i + 1] - 2.0 * beside[:, i]
        return float(logsum(base + (pull[:, i] - pull[:, i + 1]) * d - 0.5 * both * d**2))

    meant = [(b.index, b.slips[0].meant if b.slips else b.wanted) for b in found]
    one = max(moved(i, float(y[i]) - value) for i, value in meant)
    pairs = {i for blame in found for i in (blame.index - 1, blame.index) if 0 <= i < len(y) - 1}
    for i in sorted(pairs, key=exchanged, reverse=True):
        apart = abs(float(y[i] - y[i + 1])) > FAR * tolerance
        if not apart or min(columns[i], columns[i + 1]) < 0 or exchanged(i) <= one + EITHER:
            continue
        order = np.arange(len(y))
        order[[i, i + 1]] = i + 1, i
        left = judged(y[order])
        if len(left) < len(found) and not {i, i + 1} & {blame.index for blame in left}:
            return i
    return None
