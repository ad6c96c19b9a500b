"""How well each span of a line faired by a batten is known, and what is said where that is too little."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise

import numpy as np

from patterns.errors import Problem
from patterns.fairing.band_words import column_called, near, wide_problem
from patterns.fairing.bands import SpanBand, worst_of
from patterns.fairing.cells import View
from patterns.fairing.possible import Possible
from patterns.hull.planes import FloatArray
from patterns.measure import Notation
from patterns.table.values import Place

__all__ = ["band_warnings", "line_bands", "straight_bands"]

WIDE = 2.1  # root mean squares of the possible misses; so many hold 95 of 100 spans' worst places
# The parts of a span at which it is looked at, closer together at its ends.
PARTS = np.sin(np.linspace(0.0, 0.5 * np.pi, 15)) ** 2


def line_bands(
    possible: Possible,
    curve: Callable[[FloatArray], FloatArray],
    *,
    line: str,
    view: View,
    labels: Sequence[str],
    places: Sequence[Place | None],
    rounding: float,
) -> tuple[SpanBand, ...]:
    """The bands of one line in one view, a span each.

    Args:
        possible: every line that the offsets allow, at the n points of the table.
        curve: the line as faired, over the distance aft.
        labels, places: what each of the n points is called, and its cell.
        rounding: half the step in which the offsets are written, or the allowed move if that is more, mm.
    """
    at = np.concatenate([a + (b - a) * PARTS for a, b in pairwise(possible.x)])
    missed = possible.missed(at, curve(at)).reshape(-1, len(PARTS))
    found = []
    for i, there in enumerate(missed):
        worst = int(there.argmax())
        found.append(
            SpanBand(
                line=line, view=view, first=labels[i], last=labels[i + 1],
                half_width=float(WIDE * there[worst]), rounding=rounding,
                x=float(at[i * len(PARTS) + worst]), place=places[i],
            )
        )  # fmt: skip
    return tuple(found)


def straight_bands(
    x: FloatArray, *, line: str, view: View, labels: Sequence[str], rounding: float
) -> tuple[SpanBand, ...]:
    """Those of a line that is declared straight: it is known as well as its offsets are."""
    return tuple(
        SpanBand(
            line=line, view=view, first=labels[i], last=labels[i + 1], half_width=rounding, rounding=rounding,
            x=float(0.5 * (x[i] + x[i + 1])),
        )
        for i in range(len(x) - 1)
    )  # fmt: skip


def band_warnings(bands: Sequence[SpanBand], notation: Notation) -> list[Problem]:
    """A warning for each span that is known clearly worse than the rounding explains; see `worst_of`.

    Args:
        bands: those of one line in one view, from forward aft.
        notation: the table's.
    """
    worst = worst_of(bands, lambda i, other: abs(i - other) == 1)
    return [_warning(bands[i], notation) for i in sorted(worst)]


def _warning(band: SpanBand, notation: Notation) -> Problem:
    return wide_problem(
        str(band.place) if band.place else f"line {band.line}",
        (column_called(band.first), column_called(band.last)),
        f"the {band.line}'s {band.view}",
        band.half_width,
        f"{near(band.x, notation)} aft",
        code="line-band",
        notation=notation,
    )
