"""The ordinates of long pieces for the shop, as CSV: as printed, and the true line in mm beside them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from patterns.drawing.ordinates import Ordinates
from patterns.drawing.places import places_on
from patterns.pattern import Pattern
from patterns.shop.cells import csv_text

__all__ = ["ordinate_table"]

HEADS = ("pattern", "what", "along", "up", "unit", "along_mm", "up_mm", "batten_out_mm")


def ordinate_table(laid: Iterable[tuple[Pattern, Ordinates]]) -> str:
    """A row for each ordinate of each line, for each end of a line across, and for each place."""
    rows: list[Sequence[object]] = [HEADS]
    for pattern, own in laid:
        rows += _rows(pattern, own)
    return csv_text(rows)


def _rows(pattern: Pattern, own: Ordinates) -> list[Sequence[object]]:
    rows: list[Sequence[object]] = []

    def add(what: str, x: float, y: float, out: str = "") -> None:
        words = own.rule.words
        rows.append((pattern.name, what, words(x), words(y), own.rule.unit, f"{x:.2f}", f"{y:.2f}", out))

    for line in (*own.edges, *own.lines):
        for places, printed in line.sweeps:
            for x, y in zip(places.tolist(), printed.tolist(), strict=True):
                add(line.name, x, y, f"{line.out:.2f}")
    for place in places_on(pattern, own):
        add(place.name, *place.low)
        if place.high is not None:
            add(f"{place.name}, upper end", *place.high)
    add("girth: between the edges", *own.girth)
    return rows
