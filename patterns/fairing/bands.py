"""How well each span of a faired line is known: a band that holds the true line in 95 of 100 cases."""

from __future__ import annotations

from dataclasses import dataclass

from patterns.fairing.cells import View
from patterns.table.values import Place

__all__ = ["SpanBand"]


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
        rounding: mm; the half-width that the table's own rounding would leave if the points lay close enough.
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
