"""How well each span of a faired line is known, and when that is so little that one more point is asked for.

One rule holds for all lines and surfaces: a band is wide when it exceeds what the table's own rounding explains.
Where points lie close enough a band is some two times as wide as a good figure may be off; how far it is wider than
that is what the spacing of the points costs.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from patterns.fairing.cells import View
from patterns.table.values import Place

__all__ = ["MORE", "MOST", "TIMES", "SpanBand", "too_wide", "worst_of"]

# Chosen with `python -m tests.bench.wide_bench`: so few sound, well-sampled tables are warned of, and yet every
# span whose error the rounding does not explain.
TIMES = 2.0  # times how far a good figure may be off: a band that the rounding explains
MORE = 2.5  # mm that a band may be wider than that
MOST = 3  # spans that are named of one line, or of one surface


@dataclass(frozen=True, slots=True, kw_only=True)
class SpanBand:
    """What is known of one line in one view between two neighbouring points of the table.

    Attributes:
        line, view: which line, and the coordinate that the band is measured in (on the profile line, and on the
            surface of a round bilge near one of its rows: square to it).
        first, last: what the two points are called: a station's name, ``bow``, ``stern``, or the number of a
            stem's point.
        half_width: mm; the true line lies within plus or minus this of the faired one, 95 % sure, at the
            place of the span where it is known least.
        rounding: mm; how far a good figure of this line may be off: half the step in which the figures are
            written, or the allowed move if that is more.
        x, z: mm; where the line is known least: the distance aft and (on the profile line) the height.  A
            point measured there helps most.
        place: the cell of the first point.
    """

    line: str
    view: View
    first: str
    last: str
    half_width: float
    rounding: float
    x: float
    z: float | None = None
    place: Place | None = None


def too_wide(band: SpanBand) -> bool:
    """Whether a span is known so much worse than the table's rounding explains that it is worth one more point."""
    return band.half_width > TIMES * band.rounding + MORE


def worst_of(bands: Sequence[SpanBand], beside: Callable[[int, int], bool]) -> list[int]:
    """The indices of the spans to warn of, the worst first: no more than a few, and none beside another.

    One more point in the worst helps those beside it too.

    Args:
        beside: whether the bands of two indices are so near each other.
    """
    wide = sorted((i for i, band in enumerate(bands) if too_wide(band)), key=lambda i: -bands[i].half_width)
    kept: list[int] = []
    for i in wide:
        if len(kept) < MOST and not any(beside(i, other) for other in kept):
            kept.append(i)
    return kept
