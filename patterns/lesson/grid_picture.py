"""The grid of an exercise as a picture: its lines and names, and for the teacher the line that comes out."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from patterns.boat import Boat
from patterns.lesson.exercise import Cross, Exercise
from patterns.lesson.grid import Axis
from patterns.measure import format_length
from patterns.shop.tables import own_factor
from tiling.drawing import Disc, Drawing, Note, Path, Stroke
from tiling.paper import Page

__all__ = ["axis_words", "grid_drawing", "grid_room", "runs_up", "view_words"]

# Fine, so that a pencil's line is seen on them.
GRID, NAMED, STATION = Stroke(width=0.13, grey=0.45), Stroke(width=0.18), Stroke(width=0.25)
END = Stroke(width=0.18, dash=(3.0, 1.5))
CURVE, BAND = Stroke(width=0.5), Stroke(width=0.35)
WORDS = 2.5  # height of a capital, mm
NAMES = 18.0  # mm beside the grid for the names of its lines and the axis's title
AROUND = 26.0  # mm above and below the grid for names and titles
HEADING = 16.0  # mm for the page's own
DOT = 0.6  # mm, radius of an offset as printed
RING = 1.8  # mm, radius of the ring about one that is wrong
TICK = 1.0  # mm, half the breadth of a band's ends


def runs_up(page: Page) -> bool:
    """The grid runs up the page: the page is taller than wide, and boats are long."""
    x0, y0, x1, y1 = page.window
    return y1 - y0 > x1 - x0


def grid_room(page: Page) -> tuple[float, float]:
    """How long along the boat and across her a grid may be that fills a page, mm."""
    x0, y0, x1, y1 = page.window
    across, along = x1 - x0 - 3.0, y1 - y0 - 3.0 - HEADING
    if not runs_up(page):
        across, along = along, across
    return along - NAMES, across - AROUND


def view_words(boat: Boat, exercise: Exercise) -> str:
    """What is measured across the grid."""
    if exercise.view == "half-breadth":
        return "breadth" if own_factor(boat.design, exercise.view) == 2.0 else "half-breadth"
    return "distance along the diagonal" if exercise.view == "diagonal" else exercise.view


def axis_words(exercise: Exercise) -> str:
    """The unit in which the grid's lines are named."""
    return exercise.notation.value


def grid_drawing(boat: Boat, exercise: Exercise, *, answered: bool = False) -> Drawing:
    """The grid in mm of paper, its lower left corner at the origin.

    Args:
        answered: with the offsets as printed, the true line, and the bands in which readings are accepted.
    """
    across = exercise.across
    wide, tall = exercise.along.length, across.length
    paths = [
        Path(points=np.array([[0.0, across.at(v)], [wide, across.at(v)]]), stroke=NAMED if named else GRID)
        for v, named in across.lines()
    ]
    for cross in exercise.crosses:
        at = exercise.along.at(cross.x)
        stroke = END if cross.at_end else STATION
        paths.append(Path(points=np.array([[at, 0.0], [at, tall]]), stroke=stroke))
    drawing = Drawing(paths=tuple(paths), notes=(*_names(boat, exercise), *_titles(boat, exercise)))
    return (
        drawing.with_more(paths=[*_answer_lines(exercise)], discs=[*_dots(exercise)]) if answered else drawing
    )


def _names(boat: Boat, exercise: Exercise) -> Iterator[Note]:
    """The names of the grid's lines: lengths at the left, stations below, the line's ends above."""
    across, along = exercise.across, exercise.along
    factor = own_factor(boat.design, exercise.view)
    for value, named in across.lines():
        if named:
            said = format_length(factor * value, exercise.notation)
            yield Note(text=said, target=(-0.5, across.at(value)), towards=(-1.0, 0.0), height=WORDS)
    for cross in exercise.crosses:
        foot = across.length + 0.5 if cross.at_end else -0.5
        way = 1.0 if cross.at_end else -1.0
        yield Note(text=cross.label, target=(along.at(cross.x), foot), towards=(0.0, way), height=WORDS)


def _titles(boat: Boat, exercise: Exercise) -> Iterator[Note]:
    across, along = exercise.across, exercise.along
    what, unit = view_words(boat, exercise), axis_words(exercise)
    yield Note(
        text=f"{what} in {unit}, scale {_scale(across)}", target=(-12.0, across.length + 7.0), towards=(1.0, 0.0),
        height=WORDS,
    )  # fmt: skip
    yield Note(
        text=f"stations, scale {_scale(along)} along the boat; bow at the left", target=(0.5 * along.length, -7.0),
        towards=(0.0, -1.0), height=WORDS,
    )  # fmt: skip


def _scale(axis: Axis) -> str:
    return f"1:{axis.scale}"


def _answer_lines(exercise: Exercise) -> Iterator[Path]:
    yield Path(points=exercise.on_paper(exercise.curve), stroke=CURVE)
    for cross in exercise.crosses:
        x, y = _at(exercise, cross, cross.true)
        high = cross.band / exercise.across.scale
        yield Path(points=np.array([[x, y - high], [x, y + high]]), stroke=BAND)
        for end in (y - high, y + high):
            yield Path(points=np.array([[x - TICK, end], [x + TICK, end]]), stroke=BAND)


def _dots(exercise: Exercise) -> Iterator[Disc]:
    for cross in exercise.crosses:
        centre = _at(exercise, cross, cross.printed)
        yield Disc(centre=centre, radius=DOT)
        if cross.planted:
            yield Disc(centre=centre, radius=RING, filled=False)


def _at(exercise: Exercise, cross: Cross, value: float) -> tuple[float, float]:
    return exercise.along.at(cross.x), exercise.across.at(value)
