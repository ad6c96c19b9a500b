"""The small picture on the first pages: how pages are trimmed, and which lies over which."""

from __future__ import annotations

import math

from tiling.drawing import XY, Disc, Stroke
from tiling.paper import Box
from tiling.pdf.shapes import FINE, THIN, Ink

__all__ = ["taping_picture"]

TRIM = Stroke(width=0.18, dash=(3.0, 1.0))
CUT = Stroke(width=0.7)
HATCH = 1.6  # mm from line to line in what is cut off: lines survive a copier where a grey does not
WIDE, TALL = 30.0, 40.0  # mm; a page in the picture
LAP = 5.0  # mm; half the overlap in the picture


def taping_picture(ink: Ink, box: Box, *, butt: bool = False) -> None:
    """On the left one page with what is cut off it, on the right four pages joined."""
    x0, y0, _, _ = box
    one, four = (x0 + 2.0, y0 + 2.0), (x0 + WIDE + 16.0, y0 + 2.0)
    if butt:
        _one_butted(ink, one)
        _four_butted(ink, four)
    else:
        _one_page(ink, one)
        _four_pages(ink, four)


def _one_butted(ink: Ink, at: XY) -> None:
    """A page with others on all sides."""
    x, y = at
    left, low, right, top = x + LAP, y + LAP, x + WIDE - LAP, y + TALL - LAP
    ink.lines(_hatching((x, y, x + WIDE, y + TALL)), FINE)
    ink.panel(left, low, right, top, grey=1.0)
    ink.box(x, y, x + WIDE, y + TALL, THIN)
    ink.lines([((line, y), (line, y + TALL)) for line in (left, right)], TRIM)
    ink.lines([((x, line), (x + WIDE, line)) for line in (low, top)], TRIM)
    for side in (left, right):
        for spot in (low + 6.0, top - 6.0):
            ink.disc(Disc(centre=(side, spot), radius=0.8))
    for side in (low, top):
        for spot in (left + 4.0, right - 4.0):
            ink.disc(Disc(centre=(spot, side), radius=0.8))
    ink.words("B2", (0.5 * (left + right), y + 0.5 * TALL - 2.5), 5.0, align="middle")


def _four_butted(ink: Ink, at: XY) -> None:
    """Edges that meet, and tape across the marks."""
    x, y = at
    wide, tall = WIDE - LAP, 0.5 * TALL
    ink.box(x, y, x + 2.0 * wide, y + 2.0 * tall, FINE)
    ink.line((x + wide, y), (x + wide, y + 2.0 * tall), CUT)
    ink.line((x, y + tall), (x + 2.0 * wide, y + tall), CUT)
    for row in (0, 1):
        for column in (0, 1):
            name = f"{'BA'[row]}{column + 1}"
            at_page = (x + (column + 0.5) * wide, y + (row + 0.5) * tall - 2.5)
            ink.words(name, at_page, 5.0, align="middle")
    for spot in (y + 5.0, y + 2.0 * tall - 5.0):
        ink.box(x + wide - 3.0, spot - 1.2, x + wide + 3.0, spot + 1.2, FINE)
        ink.disc(Disc(centre=(x + wide, spot), radius=0.8))
    for spot in (x + 5.0, x + 2.0 * wide - 5.0):
        ink.box(spot - 1.2, y + tall - 3.0, spot + 1.2, y + tall + 3.0, FINE)
        ink.disc(Disc(centre=(spot, y + tall), radius=0.8))


def _one_page(ink: Ink, at: XY) -> None:
    x, y = at
    right, top = x + WIDE - LAP, y + TALL - LAP
    ink.lines(_hatching((right, y, x + WIDE, y + TALL)), FINE)
    ink.lines(_hatching((x, top, right, y + TALL)), FINE)
    ink.box(x, y, x + WIDE, y + TALL, THIN)
    ink.lines([((right, y), (right, y + TALL))], TRIM)
    ink.lines([((x, top), (x + WIDE, top))], TRIM)
    for spot in ((right, y + 8.0), (right, top - 6.0), (x + 8.0, top), (right - 6.0, top)):
        ink.disc(Disc(centre=spot, radius=0.8))
    ink.words("B1", (x + 0.5 * (WIDE - LAP), y + 15.0), 5.0, align="middle")


def _hatching(box: Box) -> list[tuple[XY, XY]]:
    """Lines at 45 degrees across a box, x - y a whole number of steps, so that those of neighbours meet."""
    x0, y0, x1, y1 = box
    step = HATCH * 2.0**0.5
    found = []
    for count in range(math.ceil((x0 - y1) / step), math.floor((x1 - y0) / step) + 1):
        off = count * step
        low, high = max(x0, y0 + off), min(x1, y1 + off)
        if high > low:
            found.append(((low, low - off), (high, high - off)))
    return found


def _four_pages(ink: Ink, at: XY) -> None:
    """Drawn from the lowest to the uppermost, as they come to lie; the trimmed edges are firm."""
    x, y = at
    wide, tall, strip = WIDE - LAP, 0.5 * TALL, 4.0
    for row, column in ((1, 1), (1, 0), (0, 1), (0, 0)):
        left, low = x + column * wide, y + row * tall
        last_column, last_row = column == 1, row == 1
        hidden_left = strip if column else 0.0
        hidden_below = strip if row else 0.0
        right, top = left + wide, low + tall
        ink.panel(left - hidden_left, low - hidden_below, right, top, grey=1.0)
        ink.box(left - hidden_left, low - hidden_below, right, top, FINE)
        if not last_column:
            ink.line((right, low - hidden_below), (right, top), CUT)
        if not last_row:
            ink.line((left - hidden_left, top), (right, top), CUT)
        name = f"{'BA'[row]}{column + 1}"
        ink.words(name, (left + 0.5 * wide, low + 0.5 * tall - 2.5), 5.0, align="middle")
