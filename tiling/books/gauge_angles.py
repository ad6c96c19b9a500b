"""Angles drawn to set a gauge by: lines that stand on a base line, each with its figure at its tip."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from tiling.books.book import SMALL, Book
from tiling.drawing import Stroke
from tiling.text.typeface import text_width

__all__ = ["ANGLE", "BASE", "Setting", "add_angles"]

BASE = Stroke(width=0.5)
ANGLE = Stroke(width=0.25)
LONG = 60.0  # mm; the length of each line
PITCH = 1.5  # mm between two figures
BELOW = 9.0  # mm of blank below a base line, where the paper is cut or lies over the board's edge
STEPS = 5.0  # mm from a line's tip to the middle of its figure


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """One line to set the gauge by.

    Attributes:
        angle: from the base line's right-hand side, anticlockwise, radians; more than 0 and less than pi.
        label: its figure.
    """

    angle: float
    label: str


def _tip(setting: Setting) -> tuple[float, float]:
    return LONG * math.cos(setting.angle), LONG * math.sin(setting.angle)


def _figure(setting: Setting) -> tuple[float, float]:
    """The middle of its figure from its foot."""
    reach = LONG + STEPS
    return reach * math.cos(setting.angle), reach * math.sin(setting.angle)


def _rows(settings: Sequence[Setting], room: float) -> list[list[tuple[Setting, float]]]:
    """Rows of lines with their feet, mm from the row's left end: the greatest angle at the left, so none cross.

    Feet stand so far apart that the figures do.
    """
    rows: list[list[tuple[Setting, float]]] = []
    for setting in sorted(settings, key=lambda one: -one.angle):
        half = 0.5 * text_width(setting.label, SMALL)
        lean, _ = _figure(setting)
        if rows:
            other, foot = rows[-1][-1]
            other_lean, other_half = _figure(other)[0], 0.5 * text_width(other.label, SMALL)
            at = foot + max(other_lean - lean + other_half + half + PITCH, 6.0)
            if max(at, at + lean + half) <= room:
                rows[-1].append((setting, at))
                continue
        rows.append([(setting, max(half - lean, 4.0))])
    return rows


def add_angles(book: Book, settings: Sequence[Setting]) -> None:
    """Draw lines at these angles, in as many rows as they need."""
    for row in _rows(settings, book.room):
        tall = max(_figure(setting)[1] for setting, _ in row) + SMALL
        book.need(tall + BELOW)
        book.y -= tall
        ink, y = book.ink, book.y
        ink.line((book.x0, y), (book.x1, y), BASE)
        for setting, foot in row:
            x = book.x0 + foot
            dx, dy = _tip(setting)
            ink.line((x, y), (x + dx, y + dy), ANGLE)
            dx, dy = _figure(setting)
            ink.words(setting.label, (x + dx, y + dy - 0.5 * SMALL), SMALL, align="middle")
        book.y -= BELOW
