"""How well each span of a line faired by a batten is known, and what is said where that is too little."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from fractions import Fraction
from itertools import pairwise
from math import ceil

import numpy as np

from patterns.errors import Problem
from patterns.fairing.bands import SpanBand
from patterns.fairing.cells import View
from patterns.fairing.possible import Possible
from patterns.hull.planes import FloatArray
from patterns.measure import Notation, format_length
from patterns.table.values import Place

__all__ = ["band_warnings", "line_bands", "straight_bands"]

WIDE = 2.1  # root mean squares of the possible misses; so many hold 95 of 100 spans' worst places
PARTS = (
    np.sin(np.linspace(0.0, 0.5 * np.pi, 15)) ** 2
)  # of a span, at which it is looked at, closer at its ends
TWICE = 2.0  # times what the rounding leaves, and
MORE = 1.5  # mm; a band wider than both together is warned of
METRIC = (Notation.MM, Notation.CM, Notation.M)
INCH = 25.4  # mm, exact


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
    """A warning for each span that is known clearly worse than the rounding explains.

    Of neighbouring spans the worst is warned of: one more point there helps the others too.

    Args:
        bands: those of one line in one view, from forward aft.
        notation: the table's.
    """
    over = [band.half_width - TWICE * band.rounding - MORE for band in bands]
    padded = [0.0, *over, 0.0]
    return [
        _warning(band, notation)
        for i, band in enumerate(bands)
        if over[i] > 0.0 and padded[i] <= over[i] and padded[i + 2] < over[i]
    ]


def _warning(band: SpanBand, notation: Notation) -> Problem:
    ends = " and ".join(
        label if label in ("bow", "stern") else f"station {label}" for label in (band.first, band.last)
    )
    return Problem(
        str(band.place) if band.place else f"line {band.line}",
        f"between {ends} the {band.line}'s {band.view} is known only to ±{_width(band.half_width, notation)}",
        f"measure one more point near {_length(band.x, notation)} aft",
        code="line-band",
    )


def _width(mm: float, notation: Notation) -> str:
    """A small length, rounded up: in mm, or in sixteenths of an inch with mm beside it."""
    metric = f"{ceil(10.0 * mm - 1e-9) / 10.0:.1f} mm"
    if notation in METRIC:
        return metric
    whole, part = divmod(Fraction(ceil(16.0 * mm / INCH - 1e-9), 16), 1)
    return f"{' '.join(str(word) for word in (whole, part) if word)} in ({metric})"


def _length(mm: float, notation: Notation) -> str:
    """A place along the boat, to what one can find again."""
    step = 10.0 if notation in METRIC else INCH
    words = format_length(round(mm / step) * step, notation)
    return f"{words} {notation.value}" if notation in METRIC else words
