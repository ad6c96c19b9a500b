"""The graphics state of a page: everything that decides how what is painted next will look.

A look is a dictionary of what matters for one kind of paint, in mm on the page; what has its usual value is left
out, so that a state set again to the same changes nothing.

Source: ISO 32000-1:2008, 8.4 (graphics state), 8.6 (colours), 9.3 (text state), 11.6 (transparency); from memory.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from tiling.drawing import XY
from tiling.paper import MM_PER_INCH, POINTS_PER_INCH, Box

__all__ = [
    "STILL", "Clip", "Colour", "Look", "Matrix", "State", "colour", "holds", "moved", "times", "to_mm", "upright",
]  # fmt: skip

Matrix = tuple[float, float, float, float, float, float]
STILL: Matrix = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)

Look = dict[str, Any]

Colour = tuple[Any, ...]
"""One number: grey, 0 is black.  More: red, green and blue; or the name of a space and its numbers."""

BLACK: Colour = (0.0,)
PLAIN = {  # entries of a graphics state dictionary that leave everything as it is
    "Type": "ExtGState", "BM": "Normal", "SMask": "None", "AIS": False, "TK": True, "OP": False, "op": False,
    "OPM": 0.0, "SA": None, "RI": None,
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Clip:
    """What can be painted: within the box (None: everywhere) and within every other path.

    Attributes:
        paths: of each its kind and its points, mm.
    """

    box: Box | None = None
    paths: tuple[tuple[str, tuple[float, ...]], ...] = ()

    def within(self, box: Box) -> Clip:
        """Clipped to a box besides."""
        if self.box is None:
            return replace(self, box=box)
        (a, b, c, d), (e, f, g, h) = self.box, box
        return replace(self, box=(max(a, e), max(b, f), min(c, g), min(d, h)))

    def and_path(self, kind: str, points: Sequence[float]) -> Clip:
        """Clipped to any other path besides."""
        return replace(self, paths=(*self.paths, (kind, tuple(points))))


def to_mm(box: Box, stretch: XY) -> Matrix:
    """From the points of a page to mm from its lower left corner, as if it were not stretched about its middle.

    Args:
        box: of the page, points.
        stretch: by how much it is drawn larger on purpose, across and up.
    """
    wide, tall = (MM_PER_INCH / POINTS_PER_INCH / by for by in stretch)
    x0, y0, x1, y1 = box
    half = [0.5 * side * MM_PER_INCH / POINTS_PER_INCH for side in (x1 - x0, y1 - y0)]
    return wide, 0.0, 0.0, tall, half[0] - 0.5 * (x0 + x1) * wide, half[1] - 0.5 * (y0 + y1) * tall


def times(m: Matrix, n: Matrix) -> Matrix:
    """First ``m``, then ``n``."""
    a, b, c, d, e, f = m
    g, h, i, j, k, l = n  # noqa: E741
    return (a * g + b * i, a * h + b * j, c * g + d * i, c * h + d * j, e * g + f * i + k, e * h + f * j + l)


def moved(m: Matrix, x: float, y: float) -> XY:
    """Where a point comes to stand."""
    a, b, c, d, e, f = m
    return a * x + c * y + e, b * x + d * y + f


def colour(space: str, values: Sequence[Any]) -> Colour:
    """A colour, greys of every device space as one number."""
    if space == "DeviceGray" and len(values) == 1:
        return (float(values[0]),)
    if space == "DeviceRGB" and len(values) == 3:
        return (float(values[0]),) if values[0] == values[1] == values[2] else tuple(map(float, values))
    if space == "DeviceCMYK" and len(values) == 4 and not any(values[:3]):
        return (1.0 - float(values[3]),)
    return (space, *[value if isinstance(value, float) else str(value) for value in values])


def upright(kinds: str, points: list[XY]) -> Box | None:
    """The box that a path is; None where it is anything else."""
    if kinds not in ("ml3h", "ml3", "ml4h", "ml4"):
        return None
    xs, ys = zip(*points, strict=True)
    box = min(xs), min(ys), max(xs), max(ys)
    near = 1e-3
    corners = {(abs(x - box[0]) < near, abs(y - box[1]) < near) for x, y in points}
    level = all(
        min(abs(x - box[0]), abs(x - box[2])) < near and min(abs(y - box[1]), abs(y - box[3])) < near
        for x, y in points
    )
    return box if level and len(corners) == 4 else None


def holds(box: Box, other: Box) -> bool:
    """A box leaves all of another one."""
    near = 1e-3
    return (
        box[0] <= other[0] + near
        and box[1] <= other[1] + near
        and box[2] >= other[2] - near
        and box[3] >= other[3] - near
    )


@dataclass(slots=True)
class State:
    """The graphics state.

    Attributes:
        matrix: from user space to mm on the page.
        fill, stroke: colours; ``fill_space``, ``stroke_space`` the spaces of the next ones.
        alpha: of strokes and of fills; 1 is opaque.
        odd: all else that changes how things look, each with its value.
        text: character and word spacing, mode.
    """

    matrix: Matrix
    clip: Clip
    fill: Colour = BLACK
    stroke: Colour = BLACK
    fill_space: str = "DeviceGray"
    stroke_space: str = "DeviceGray"
    alpha: tuple[float, float] = (1.0, 1.0)
    odd: tuple[tuple[str, str], ...] = ()
    width: float = 1.0
    cap: float = 0.0
    join: float = 0.0
    miter: float = 10.0
    dash: tuple[float, ...] = ()
    phase: float = 0.0
    flat: float = 0.0
    font: str = ""
    size: float = 0.0
    spacing: float = 0.0
    word_spacing: float = 0.0
    stretched: float = 1.0
    leading: float = 0.0
    rise: float = 0.0
    mode: int = 0

    def copy(self) -> State:
        """The same, to be changed by itself."""
        found: State = State.__new__(State)
        for name in State.__slots__:
            setattr(found, name, getattr(self, name))
        return found

    def key(self, kind: str) -> tuple[Any, ...]:
        """All that the look of a kind of paint hangs on: ``S`` strokes, ``f`` and ``e`` fills, else everything."""
        common = (kind, self.clip, self.odd, self.flat)
        if kind in "fe":
            return (*common, self.fill, self.alpha[1])
        stroke = (
            *common, self.stroke, self.alpha[0], self.matrix[:4], self.width, self.dash, self.phase, self.cap,
            self.join, self.miter,
        )  # fmt: skip
        if kind == "S":
            return stroke
        return (
            *stroke, self.fill, self.alpha[1], self.mode, self.spacing, self.word_spacing, self.stretched,
            self.rise, self.leading,
        )  # fmt: skip

    def add(self, settings: Mapping[str, Any]) -> None:
        """Set what a graphics state dictionary sets."""
        for key, value in settings.items():
            if key == "LW":
                self.width = float(value)
            elif key == "LC":
                self.cap = float(value)
            elif key == "LJ":
                self.join = float(value)
            elif key == "ML":
                self.miter = float(value)
            elif key == "D":
                self.dash, self.phase = tuple(map(float, value[0])), float(value[1])
            elif key == "CA":
                self.alpha = (float(value), self.alpha[1])
            elif key == "ca":
                self.alpha = (self.alpha[0], float(value))
            elif key == "FL":
                self.flat = float(value)
            elif key in PLAIN and (PLAIN[key] is None or value == PLAIN[key]):
                self.odd = tuple(each for each in self.odd if each[0] != key)
            else:
                self.odd = (*(each for each in self.odd if each[0] != key), (key, str(value)))

    def _common(self) -> Look:
        look: Look = {}
        if self.clip.box is not None:
            look["clip"] = self.clip.box
        if self.clip.paths:
            look["clipped to"] = self.clip.paths
        if self.odd:
            look["odd"] = self.odd
        if self.flat > 1.0:
            look["flatness"] = self.flat
        return look

    def of_fill(self) -> Look:
        """How a fill looks."""
        look = self._common()
        look["fill"] = self.fill
        if self.alpha[1] != 1.0:
            look["fill alpha"] = self.alpha[1]
        return look

    def of_stroke(self) -> Look:
        """How a stroke looks: its breadth across and up the page and how askew that is, its dashes along it."""
        a, b, c, d, _, _ = self.matrix
        wide, tall = math.hypot(a, c), math.hypot(b, d)
        scale = math.sqrt(abs(a * d - b * c))
        look = self._common()
        look["stroke"] = self.stroke
        look["width"] = (self.width * wide, self.width * tall)
        askew = (a * b + c * d) / (wide * tall) if wide * tall else 0.0
        if abs(askew) > 1e-6:
            look["askew"] = askew
        if self.alpha[0] != 1.0:
            look["stroke alpha"] = self.alpha[0]
        if any(self.dash):
            look["dash"] = tuple(length * scale for length in self.dash)
            if self.phase:
                look["phase"] = self.phase * scale
        look["cap"] = self.cap
        look["join"] = self.join
        if self.miter != 10.0:
            look["miter"] = self.miter
        return look

    def of_words(self) -> Look:
        """How words look."""
        look: Look = {}
        mode = self.mode % 4
        if mode in (1, 2):
            look |= self.of_stroke()
        if mode in (0, 2, 3):
            look |= self.of_fill()
        if self.mode:
            look["mode"] = self.mode
        if self.spacing:
            look["spacing"] = self.spacing
        if self.word_spacing:
            look["word spacing"] = self.word_spacing
        return look

    def of_all(self) -> Look:
        """Everything that a form takes over from its page."""
        look = self.of_stroke() | self.of_fill()
        for key, value, usual in (
            ("mode", self.mode, 0), ("spacing", self.spacing, 0.0), ("word spacing", self.word_spacing, 0.0),
            ("stretched", self.stretched, 1.0), ("rise", self.rise, 0.0), ("leading", self.leading, 0.0),
        ):  # fmt: skip
            if value != usual:
                look[key] = value
        return look
