"""One drawing to look into: its strokes, and the places that say something when they are pointed at.

A plate is laid out for a telephone: about 360 units broad, so that a unit is about a point of its screen.  Strokes,
signs and words keep their size on the screen however far one looks in.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from patterns.picture.markup import Markup, joined, tag
from patterns.table.values import Place
from tiling.drawing import XY, FloatArray, Stroke
from tiling.drawing.simplification import thinned
from tiling.paper import Box

__all__ = ["LETTER", "PicturePlate", "PicturePoint", "Run", "drawn", "sample", "small"]

WIDE, TALL = 360.0, 440.0  # units; a plate is no larger
FINE = 100  # steps of a path's vertices in a unit
LOST = 0.03  # units; vertices that matter less are left out
RIM = 26.0  # units around everything, for signs and short words
LETTER = 7.8  # units; how broad a letter of 13 units is about
LINE = 17.0  # units from one line of words to the next
MM = 3.2  # screen points for a millimetre of a stroke's breadth on paper
THINNEST = 0.8  # screen points

Run = tuple[FloatArray, bool]
"""A line: points (n, 2), and whether it is closed."""

SIGNS = {
    "bevel": Markup('<circle r="4.5"/>'),
    "hole": Markup('<path d="M-7 0H7M0-7V7"/><circle r="4" class="ring"/>'),
    "mark": Markup('<path d="M0-5L5 0L0 5L-5 0Z" class="ring"/>'),
    "offset": Markup('<circle r="2.2"/>'),
    "suspect": Markup('<circle r="10" class="ring firm"/>'),
    "target": Markup('<path d="M-8 0H8M0-8V8"/><circle r="3"/>'),
    "page": Markup(""),
    "word": Markup(""),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class PicturePoint:
    """A place on a plate.

    Attributes:
        at: where, in the plate's own lengths, y up.
        words: all that is said of it; empty for a word that only stands there.
        sign: one of `SIGNS`.
        label: what stands beside it where there is room.
        towards: to which side of it.
        angle: a bevel, degrees through the wood; None for what is none.
        near: how much around it is worth seeing, in the plate's lengths; 0: as it comes.
        key: its own name in the page; empty: by its number.
        wanted: where it should be; None: there.
        half: half the breadth and height of what it speaks for, where that is more than a place.
        cell: the cell of the table that it shows; None for what is not typed.
    """

    at: XY
    words: str = ""
    sign: str = "word"
    label: str = ""
    towards: XY = (0.0, 0.0)
    angle: float | None = None
    near: float = 0.0
    key: str = ""
    wanted: XY | None = None
    half: XY | None = None
    cell: Place | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PicturePlate:
    """One drawing.

    Attributes:
        key: its name in the page.
        title: what it shows.
        strokes: lines by the stroke that they are drawn with, in the order of drawing.
        points: in the order in which their words are placed.
        sides: words at the edges: left, right, top.
        room: units kept free for words on the left, below, on the right, above.
    """

    key: str
    title: str
    strokes: tuple[tuple[Stroke, tuple[Run, ...]], ...]
    points: tuple[PicturePoint, ...] = ()
    sides: tuple[str, str, str] = ("", "", "")
    room: tuple[float, float, float, float] = (RIM, RIM, RIM, RIM)

    def bounds(self) -> Box:
        """Of strokes and points, in the plate's own lengths."""
        every = [points for _, runs in self.strokes for points, _ in runs]
        every.append(np.array([point.at for point in self.points]).reshape(-1, 2))
        stacked = np.vstack(every)
        (x0, y0), (x1, y1) = stacked.min(axis=0), stacked.max(axis=0)
        return float(x0), float(y0), float(x1), float(y1)

    def point_key(self, index: int) -> str:
        """The name in the page of a point by its number."""
        return self.points[index].key or f"{self.key}-{index + 1}"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Place:
    """From a plate's lengths to units of the view, y down; ``wide`` and ``tall`` are the view's."""

    x: float
    y: float
    scale: float
    left: float
    top: float
    wide: float
    tall: float

    @classmethod
    def on(cls, plate: PicturePlate) -> _Place:
        x0, y0, x1, y1 = plate.bounds()
        left, below, right, above = plate.room
        wide, tall = max(x1 - x0, 1e-6), max(y1 - y0, 1e-6)
        for _ in range(2):  # words beside the outermost places take of the room that sets the scale
            scale = min((WIDE - left - right) / wide, (TALL - below - above) / tall)
            over_left, over_right = _beyond(plate, x0, x1, scale)
            left, right = max(left, over_left), max(right, over_right)
        return cls(
            x=x0,
            y=y1,
            scale=scale,
            left=left,
            top=above,
            wide=wide * scale + left + right,
            tall=tall * scale + below + above,
        )

    @property
    def box(self) -> str:
        return f"0 0 {self.wide:.4g} {self.tall:.4g}"

    def of(self, points: FloatArray) -> FloatArray:
        out: FloatArray = np.empty((len(points), 2))
        out[:, 0] = (points[:, 0] - self.x) * self.scale + self.left
        out[:, 1] = (self.y - points[:, 1]) * self.scale + self.top
        return out


def drawn(plate: PicturePlate, *, cells: bool = False) -> Markup:
    """The plate as a picture in the page.

    Args:
        cells: each place names its cell, for a page that shows the table as well.
    """
    place = _Place.on(plate)
    points = [_point(plate, index, place, cells=cells) for index in range(len(plate.points))]
    sides = [
        tag("span", words, class_=f"side {side}")
        for side, words in zip(("left", "right", "top"), plate.sides, strict=True)
        if words
    ]
    picture = tag(
        "svg", _strokes(plate, place), *points, viewBox=place.box, role="img", aria_label=plate.title
    )
    view = tag("div", picture, *sides, class_="view", id=plate.key)
    return tag("div", view, class_="look")


def small(plate: PicturePlate) -> Markup:
    """The strokes of a plate once more, small, beside its name."""
    use = tag("use", href=f"#{plate.key}s")
    return tag("svg", use, class_="small", viewBox=_Place.on(plate).box, aria_hidden="true")


def sample(stroke: Stroke) -> Markup:
    """A piece of a line, to stand beside its name in a key."""
    return tag("svg", _path("M0 5H46", stroke), viewBox="0 0 46 10", aria_hidden="true")


def _beyond(plate: PicturePlate, x0: float, x1: float, scale: float) -> tuple[float, float]:
    """How far short words stand out on the left and on the right, units."""
    left = right = 0.0
    for point in plate.points:
        if point.sign == "bevel":
            long, across = LETTER * len(point.label) + 16.0, point.towards[0]
            before = long if across <= -0.4 else 0.0 if across >= 0.4 else 0.5 * long
            left = max(left, before - (point.at[0] - x0) * scale)
            right = max(right, long - before - (x1 - point.at[0]) * scale)
    return left, right


def _strokes(plate: PicturePlate, place: _Place) -> Markup:
    runs = [run for _, runs in plate.strokes for run in runs if len(run[0]) > 1]
    data = iter(_path_data(runs, place))
    paths = []
    for stroke, own in plate.strokes:
        d = "".join([next(data) for run in own if len(run[0]) > 1])
        if d:
            paths.append(_path(Markup(d), stroke))
    return tag("g", *paths, id=f"{plate.key}s", transform=f"scale({1 / FINE:g})")


def _path(data: str, stroke: Stroke) -> Markup:
    return tag(
        "path",
        d=data,
        stroke_width=max(MM * stroke.width, THINNEST),
        stroke_dasharray=" ".join(f"{MM * part:.3g}" for part in stroke.dash) or None,
        stroke_opacity=1.0 - stroke.grey if stroke.grey else None,
    )


def _path_data(runs: Sequence[Run], place: _Place) -> list[str]:
    """Each line as the data of a path, every vertex told from the one before it."""
    if not runs:
        return []
    points = place.of(np.vstack([points for points, _ in runs]))
    lengths = [len(points) for points, _ in runs]
    starts = np.cumsum([0, *lengths[:-1]])
    kept = thinned(points, starts, tolerance=LOST)
    steps = np.rint(FINE * points).astype(np.int64)
    found = []
    for (_, closed), start, length in zip(runs, starts.tolist(), lengths, strict=True):
        run = steps[start : start + length][kept[start : start + length]]
        pairs = " ".join([f"{x} {y}" for x, y in (run[1:] - run[:-1]).tolist()])
        found.append(f"M{run[0, 0]} {run[0, 1]}l{pairs}{'z' if closed else ''}".replace(" -", "-"))
    return found


def _point(plate: PicturePlate, index: int, place: _Place, *, cells: bool) -> Markup:
    point = plate.points[index]
    cell = point.cell if cells else None
    at = place.of(np.array([point.at, point.wanted or point.at]))
    (x, y), (wanted_x, wanted_y) = at.tolist()
    away = []
    if point.wanted is not None:
        dx, dy = f"{wanted_x - x:.2f}", f"{wanted_y - y:.2f}"
        cross = tag("g", tag("path", d="M-6-6L6 6M-6 6L6-6", class_="wanted"), class_="c")
        away = [
            tag("path", class_="wanted", d=f"M0 0L{dx} {dy}"),
            tag("g", cross, transform=f"translate({dx} {dy})"),
        ]
    label = [_label(point)] if point.label else []
    inside = tag("g", SIGNS[point.sign], *label, class_="c")
    title = [tag("title", point.words)] if point.words else []
    return tag(
        "g",
        *title,
        *away,
        inside,
        class_=f"pt {point.sign}",
        id=plate.point_key(index) if point.words else None,
        transform=f"translate({x:.2f} {y:.2f})",
        data_a=None if point.angle is None else f"{point.angle:g}",
        data_half=None
        if point.half is None
        else f"{point.half[0] * place.scale:.1f} {point.half[1] * place.scale:.1f}",
        data_near=f"{point.near * place.scale:.3g}" if point.near else None,
        data_cell=f"{cell.row} {cell.column} {cell.file}" if cell is not None else None,
    )


def _label(point: PicturePoint) -> Markup:
    """Words beside a sign, or about the place itself where there is no sign to keep clear of; one line or more."""
    across, up = point.towards
    anchor = "middle" if abs(across) < 0.4 else ("start" if across > 0.0 else "end")
    off = 0.0 if point.sign in ("page", "word") else 10.0
    x = off * across + {"start": 3.0, "end": -3.0, "middle": 0.0}[anchor]
    lines = point.label.split("\n")
    # a word above stands on its line, one below hangs from it, others are level with the place
    first = -3.0 if up > 0.6 else 13.0 if up < -0.6 else 4.5 - 0.5 * LINE * (len(lines) - 1)
    return joined(
        *(
            tag(
                "text",
                line,
                x=round(x, 1),
                y=round(first + LINE * number - off * up, 1),
                text_anchor=None if anchor == "start" else anchor,
            )
            for number, line in enumerate(lines)
        )
    )
