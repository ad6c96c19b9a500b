"""What stands in a card beside its pictures: facts with labels, a ruled table, distances with room for readings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tiling.distances.checks import Check, feet_inches
from tiling.drawing import XY
from tiling.paper import Box
from tiling.pdf.shapes import FINE, THIN, Ink
from tiling.text.lines import MeasuredText, elided
from tiling.text.typeface import text_width

__all__ = ["FACT", "PITCH", "ROW", "Facts", "Measures", "RuledTable"]

FACT = 2.5  # height of a capital, mm: 9.7 pt
PITCH = 4.0  # mm
ROW = 7.0  # mm; a row of distances, so high that a reading can be written by hand
AGAIN = " "  # in a label's place: the label of the row above
LABEL_GAP = 2.5  # mm between labels and words
CELL = 1.2  # mm between the words of a ruled table and the next column
LEAST_WORDS = 25.0  # mm
WITH_INCHES = 112.0  # mm; a table that is broader gives feet and inches besides


@dataclass(frozen=True, slots=True)
class _Line:
    """A line of facts: its words, how far in they begin, and the label before them."""

    words: str
    inset: float
    label: str = ""


class Facts:
    """Rows of a label and words, measured once for columns of many widths."""

    def __init__(self, rows: Sequence[tuple[str, str]]) -> None:
        last = ""
        self._rows: list[tuple[str, MeasuredText]] = []
        for label, words in rows:  # a label that was just said is not said again
            shown = label if label != last else AGAIN if label else ""
            self._rows.append((shown, MeasuredText.of(words, FACT)))
            last = label
        labelled = max((text_width(label, FACT) for label, _ in self._rows), default=0.0)
        self._inset = labelled + LABEL_GAP if labelled else 0.0
        self._set: dict[float, list[_Line]] = {}

    @property
    def least(self) -> float:
        """The least breadth in which they are read with ease, mm."""
        return self._inset + LEAST_WORDS if self._rows else 0.0

    def lines(self, room: float) -> list[_Line]:
        """The rows in lines of a breadth."""
        if room not in self._set:
            self._set[room] = list(self._broken(room))
        return self._set[room]

    def _broken(self, room: float) -> list[_Line]:
        found = []
        for label, words in self._rows:
            inset = self._inset if label else 0.0
            for number, line in enumerate(words.lines(room - inset)):
                found.append(_Line(line, inset, label if not number and label != AGAIN else ""))
        return found

    def height(self, room: float) -> float:
        """Their height in a column of that breadth, mm."""
        return len(self.lines(room)) * PITCH

    def draw(self, ink: Ink, corner: XY, room: float) -> None:
        """Draw them from their upper left corner down."""
        draw_lines(ink, self.lines(room), corner)


def draw_lines(ink: Ink, lines: Sequence[_Line], corner: XY) -> None:
    """Draw lines of facts from their upper left corner down."""
    x, y = corner
    for index, line in enumerate(lines):
        base = y - (index + 1) * PITCH + 0.4 * FACT
        if line.label:
            ink.words(line.label, (x, base), FACT)
        ink.words(line.words, (x + line.inset, base), FACT)


class RuledTable:
    """A small ruled table, its first row the head; the first column takes its words on the left, others theirs on
    the right, so that figures lie under one another."""

    def __init__(self, rows: Sequence[Sequence[str]]) -> None:
        self._rows = rows
        self._wide = [
            max(text_width(row[column], FACT) for row in rows) + 2.0 * CELL
            for column in range(len(rows[0]) if rows else 0)
        ]

    @property
    def least(self) -> float:
        """Its breadth, mm."""
        return sum(self._wide)

    @property
    def height(self) -> float:
        """Its height with a gap below it, mm."""
        return len(self._rows) * (PITCH + 1.0) + 2.0 if self._rows else 0.0

    def draw(self, ink: Ink, corner: XY) -> None:
        """Draw it from its upper left corner down."""
        if not self._rows:
            return
        x0, y = corner
        y -= 1.0
        for row in self._rows:
            y -= PITCH + 1.0
            x = x0
            for column, (cell, wide) in enumerate(zip(row, self._wide, strict=True)):
                if column:
                    ink.words(cell, (x + wide - CELL, y + 1.7), FACT, align="right")
                else:
                    ink.words(cell, (x, y + 1.7), FACT)
                x += wide
            ink.line((x0, y), (x, y), FINE)


class Measures:
    """The distances to be measured on a taped pattern, each with a box for the reading.

    Args:
        full: the pattern is full size; else the thing's own lengths are beside those on paper.
        metric: without feet and inches.
    """

    def __init__(self, checks: Sequence[Check], *, full: bool, metric: bool = False) -> None:
        self._checks, self._full = checks, full
        self._plain = full and metric

    @property
    def least(self) -> float:
        """The least breadth, mm."""
        return 82.0 if self._checks else 0.0

    @property
    def height(self) -> float:
        """Its height, mm."""
        return (len(self._checks) + 1) * ROW if self._checks else 0.0

    def draw(self, ink: Ink, box: Box) -> None:
        """Draw it at the foot of a box."""
        if not self._checks:
            return
        x0, y0, x1, _ = box
        narrow = x1 - x0 < WITH_INCHES or self._plain
        shares = (0.2, 0.2, 0.0, 0.385, 0.215) if narrow else (0.145, 0.15, 0.245, 0.28, 0.18)
        columns = [(x1 - x0) * share for share in shares]
        head = ("true mm", "feet, inches") if self._full else ("on paper", "boat's mm")
        rows = [("measure", *head, "accepted mm", "reading"), *map(self._row, self._checks)]
        top = y0 + len(rows) * ROW
        for index, row in enumerate(rows):
            x = x0
            base = top - (index + 1) * ROW + 0.5 * (ROW - FACT)
            for cell, width in zip(row, columns, strict=True):
                if width:
                    ink.words(elided(cell, width - 1.0, FACT), (x + 1.0, base), FACT)
                x += width
            ink.line((x0, base - 0.5 * (ROW - FACT)), (x1, base - 0.5 * (ROW - FACT)), FINE)
        ink.box(x1 - columns[-1], y0, x1, top - ROW, THIN)

    def _row(self, check: Check) -> tuple[str, ...]:
        length, allowed = check.distance.length, check.allowed
        return (
            f"{check.letters[0]} to {check.letters[1]}",
            f"{length:.1f}",
            feet_inches(length) if self._full else f"{check.true:.1f}",
            f"{length - allowed:.1f} to {length + allowed:.1f}",
            "",
        )
