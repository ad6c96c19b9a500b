"""Rulers in millimetres and inches, and the two discs on each by which a page proves its scale.

Both scales stand on one line: millimetres on its upper side, inches on its lower.  Discs of 2 mm stand at 0 and at
150 mm (100 or 50 on small pages): the eye sets a steel rule to their middles, and a renderer or a scanner finds
those to a micron, where the ends of thin strokes are snapped to pixels.

On pages that are not full size the upper side and the discs stay as they are and prove the printer; the lower side
reads lengths of the boat, along the page in millimetres and up it in feet and inches.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from tiling.drawing import XY, Disc
from tiling.pages.ruler_divisions import (
    INCHES,
    MILLIMETRES,
    PAPER_MILLIMETRES,
    Divisions,
    in_feet,
    in_millimetres,
)
from tiling.paper.scale import FULL_SIZE, Scale
from tiling.pdf.shapes import FINE, THIN, Ink
from tiling.text.typeface import text_width

__all__ = ["BAND", "BREADTH", "DISC", "TAIL", "Ruler", "ruler_reach"]

FIGURES = 2.5  # height of a capital, mm
DISC = 1.0  # radius, mm
GAP = 2.2  # mm; clear of ink around a disc, so that it stands alone
BREADTH = 8.2  # mm across the whole ruler
UP = 4.1  # mm above the line; the same below it
BAND = 0.5  # mm that a check may read off: a steel rule read by eye at both ends (our own figure)
CHECKS = (150.0, 100.0, 50.0)
TAIL = 4.0  # mm kept beyond the last mark for its figure


def ruler_reach(room: float) -> float:
    """How long a ruler fits a strip of that length, mm: whole half centimetres, room for the last figure kept."""
    return max(0.0, math.floor((room - GAP - TAIL) / 5.0) * 5.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Ruler:
    """A ruler of ``length`` mm from ``start``; turned a quarter it runs up the page, inches on its right.

    A long one has its discs as far apart as it can, at whole centimetres.
    """

    start: XY
    length: float
    upright: bool = False
    long: bool = False
    scale: Scale = FULL_SIZE

    @property
    def check(self) -> float:
        """The distance between the discs, mm; 0 where the ruler is too short for any."""
        if self.long and self.length >= CHECKS[-1]:
            return 10.0 * math.floor(self.length / 10.0 + 1e-9)
        return next((length for length in CHECKS if length <= self.length), 0.0)

    @property
    def discs(self) -> tuple[Disc, ...]:
        """The two discs."""
        if not self.check:
            return ()
        return tuple(Disc(centre=self._at(along, 0.0), radius=DISC) for along in (0.0, self.check))

    def _at(self, along: float, up: float) -> XY:
        x, y = self.start
        return (x - up, y + along) if self.upright else (x + along, y + up)

    def _clear(self, along: float) -> bool:
        """No disc stands here."""
        return not self.check or min(abs(along), abs(along - self.check)) > GAP

    def draw(self, ink: Ink) -> None:
        """Draw the line, both scales, their figures and the discs."""
        bare = [0.0, self.check] if self.check else []
        edges = [*(edge for disc in bare for edge in (disc - GAP, disc + GAP)), self.length]
        edges = edges[1:] if bare else [0.0, self.length]
        runs = [
            (self._at(a, 0.0), self._at(b, 0.0))
            for a, b in zip(edges[::2], edges[1::2], strict=True)
            if b > a
        ]
        ink.lines(runs, THIN)
        upper, lower = self.sides
        self._side(ink, upper, 1.0)
        self._side(ink, lower, -1.0)
        for disc in self.discs:
            ink.disc(disc)

    @property
    def sides(self) -> tuple[Divisions, Divisions]:
        """How the upper (left) and the lower (right) side are divided."""
        if self.scale.full:
            return MILLIMETRES, INCHES
        divided = in_feet if self.upright else in_millimetres
        return PAPER_MILLIMETRES, divided(self.scale, self.length, FIGURES)

    def _side(self, ink: Ink, divisions: Divisions, side: float) -> None:
        fine: list[tuple[XY, XY]] = []
        firm: list[tuple[XY, XY]] = []
        turn = 0.5 * math.pi if self.upright else 0.0
        low = UP - FIGURES if side > 0.0 else -UP
        taken = -math.inf  # up to where figures and the unit reach
        for index in range(math.floor(self.length / divisions.step + 1e-9) + 1):
            along = index * divisions.step
            if index % divisions.long == 0 and along >= taken:
                root = 0.0 if self._clear(along) else GAP - 0.4
                firm.append((self._at(along, side * root), self._at(along, side * UP)))
                said = divisions.figure(index)
                if divisions.at is None and index == divisions.long:
                    said += divisions.words
                    taken = along + text_width(said, FIGURES) + 1.5
                ink.words(said, self._at(along + 0.5, low), FIGURES, turn=turn)
            elif self._clear(along):
                tall = 1.35 if index % divisions.middle == 0 or index % divisions.long == 0 else 0.9
                fine.append((self._at(along, 0.0), self._at(along, side * tall)))
        ink.lines(fine, FINE)
        ink.lines(firm, THIN)
        if divisions.at is not None:
            ink.words(divisions.words, self._at(divisions.at, low), FIGURES, turn=turn, align="middle")
