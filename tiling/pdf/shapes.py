"""Operators for the plain shapes of a page: lines, boxes, discs, words; mm from the page's lower left corner."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from functools import cache
from itertools import pairwise

import numpy as np

from tiling.drawing import XY, Disc, FloatArray, Stroke
from tiling.pdf.clipping import plain_state
from tiling.pdf.pdf_file import PdfFile

__all__ = ["FINE", "FIRM", "LEADER", "THIN", "Ink", "NoInk", "round_path"]

# Breadths of lines, mm: members of the ISO 128 series
FINE = Stroke(width=0.13)
THIN = Stroke(width=0.18)
FIRM = Stroke(width=0.35)
LEADER = FINE  # from words to what they speak of


def round_path(centre: XY, radius: float) -> str:
    """The outline of a circle as cubic arcs, off by less than 0.003 mm.

    Four arcs of a quarter each are off by 2.7e-4 of the radius, eight by 4.2e-6 (the usual length of handles,
    4/3 tan(angle / 4)): four do up to 10 mm, eight up to 700 mm, sixteen beyond.
    """
    count = 4 if radius <= 10.0 else 8 if radius <= 700.0 else 16
    x, y = centre
    values = [x + radius, y]
    handle = _handle(count) * radius
    for ca, sa, cb, sb in _arcs(count):
        values += (
            x + radius * ca - handle * sa, y + radius * sa + handle * ca,
            x + radius * cb + handle * sb, y + radius * sb - handle * cb,
            x + radius * cb, y + radius * sb,
        )  # fmt: skip
    return ("%.4f %.4f m" + " %.4f %.4f %.4f %.4f %.4f %.4f c" * count) % tuple(values)


@cache
def _handle(count: int) -> float:
    """How long the handles of an arc are, radius 1."""
    return 4.0 / 3.0 * math.tan(0.25 * 2.0 * math.pi / count)


@cache
def _arcs(count: int) -> list[tuple[float, float, float, float]]:
    """Cosine and sine of the beginning and the end of each arc of a circle."""
    ways = [
        (math.cos(turn), math.sin(turn)) for turn in (i * 2.0 * math.pi / count for i in range(count + 1))
    ]
    return [(*start, *end) for start, end in pairwise(ways)]


class Ink:
    """What has been drawn on a page so far."""

    def __init__(self, pdf: PdfFile) -> None:
        self._pdf = pdf
        self._parts: list[str] = []

    def text(self) -> str:
        """The operators."""
        return "".join(self._parts)

    def record_code(self, at: XY, height: float, *, turn: float = 0.0) -> None:
        """Show the short code of the file's record, from a place, mm; the height is a capital's."""
        self.raw(self._pdf.record_code(at, height, turn=turn))

    def raw(self, operators: str) -> None:
        """Operators that are ready."""
        self._parts.append(operators)

    def lines(self, runs: Iterable[Sequence[XY]], stroke: Stroke = THIN) -> None:
        """Open polylines in one stroke."""
        shapes = []
        for run in runs:
            operators = "%.3f %.3f m " + "%.3f %.3f l " * (len(run) - 1)
            shapes.append(operators % tuple([value for point in run for value in point]))
        if shapes:
            self._parts.append(f"{plain_state(stroke)}{''.join(shapes)}S\n")

    def polylines(self, runs: Sequence[FloatArray], stroke: Stroke = THIN) -> None:
        """Many open polylines in one stroke, each of shape (n, 2)."""
        if runs:
            shapes = ["%.3f %.3f m " + "%.3f %.3f l " * (len(run) - 1) for run in runs]
            values = np.concatenate(runs).ravel().tolist()
            self._parts.append(f"{plain_state(stroke)}{''.join(shapes) % tuple(values)}S\n")

    def line(self, start: XY, end: XY, stroke: Stroke = THIN) -> None:
        """A straight line."""
        self.lines([(start, end)], stroke)

    def box(self, x0: float, y0: float, x1: float, y1: float, stroke: Stroke = THIN) -> None:
        """A rectangle, not filled."""
        self._parts.append(f"{plain_state(stroke)}{x0:.3f} {y0:.3f} {x1 - x0:.3f} {y1 - y0:.3f} re S\n")

    def panel(self, x0: float, y0: float, x1: float, y1: float, *, grey: float) -> None:
        """A rectangle filled with grey (1 is white)."""
        self._parts.append(f"{grey:g} g {x0:.3f} {y0:.3f} {x1 - x0:.3f} {y1 - y0:.3f} re f 0 g\n")

    def fill(self, corners: Sequence[XY]) -> None:
        """A polygon filled with black."""
        run = " l ".join(f"{x:.3f} {y:.3f}" for x, y in corners).replace(" l ", " m ", 1)
        self._parts.append(f"0 g {run} l f\n")

    def disc(self, disc: Disc) -> None:
        """A round spot or a ring."""
        path = round_path(disc.centre, disc.radius)
        self._parts.append(f"0 g {path} f\n" if disc.filled else f"{disc.width:g} w [] 0 d 0 G {path} s\n")

    def words(
        self, text: str, at: XY, height: float = 3.5, *, turn: float = 0.0, align: str = "left"
    ) -> None:
        """One line of words; see ``PdfFile.words``."""
        self._parts.append(self._pdf.words(text, at, height, turn=turn, align=align))

    def stamp(self, name: str, draw: Callable[[Ink], None], at: XY) -> None:
        """A sign that comes often: drawn once about the origin, kept in the file, and placed."""
        if not self._pdf.has_form(name):
            ink = Ink(self._pdf)
            draw(ink)
            self._pdf.form(name, ink.text())
        self._parts.append(f"q 1 0 0 1 {at[0]:.4f} {at[1]:.4f} cm /{name} Do Q\n")

    def blank(self, disc: Disc) -> None:
        """A round spot of bare paper over what was drawn before."""
        self._parts.append(f"1 g {round_path(disc.centre, disc.radius)} f 0 g\n")


class NoInk(Ink):
    """Takes everything and draws nothing: for finding out how much room is needed."""

    def lines(self, runs: Iterable[Sequence[XY]], stroke: Stroke = THIN) -> None:
        """Nothing."""

    def polylines(self, runs: Sequence[FloatArray], stroke: Stroke = THIN) -> None:
        """Nothing."""

    def box(self, x0: float, y0: float, x1: float, y1: float, stroke: Stroke = THIN) -> None:
        """Nothing."""

    def panel(self, x0: float, y0: float, x1: float, y1: float, *, grey: float) -> None:
        """Nothing."""

    def fill(self, corners: Sequence[XY]) -> None:
        """Nothing."""

    def disc(self, disc: Disc) -> None:
        """Nothing."""

    def words(
        self, text: str, at: XY, height: float = 3.5, *, turn: float = 0.0, align: str = "left"
    ) -> None:
        """Nothing."""
