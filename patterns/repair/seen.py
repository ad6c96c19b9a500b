"""The points of a repair on the page for a screen: what was found, those that do not fit, the warnings."""

from __future__ import annotations

from collections.abc import Iterator

from patterns.design.confirmed import with_remedy
from patterns.errors import Problem
from patterns.joinery.flat_pieces import xy
from patterns.picture.markup import Markup, tag
from patterns.picture.plates import PicturePlate, PicturePoint, Run, drawn
from patterns.picture.sections import PagePart
from patterns.repair.measurements import LEGEND, measurements_drawing
from patterns.repair.repair import Repair
from patterns.repair.report import findings
from patterns.shop.report import counted
from tiling.drawing import Note, Stroke

__all__ = ["SCALE", "measurements_part", "points_part"]

SCALE = 0.2  # of the drawing on a screen; its residuals are ten times as long as in the boat


def points_part(repair: Repair) -> PagePart:
    """Every finding, doubt and warning of a repair."""
    parts = [tag("h2", "Points"), tag("ul", *(tag("li", line.strip()) for line in findings(repair)))]
    for heading, problems in (("reading", repair.doubts), ("warning", repair.warnings)):
        if problems:
            said = counted(len(problems), heading) + (" in doubt" if heading == "reading" else "")
            parts.append(tag("h3", said))
            parts.append(
                tag("ul", *(tag("li", *_told(with_remedy(problem))) for problem in problems), class_="told")
            )
    name = f"Points {len(repair.doubts)}" if repair.doubts else "Points"
    return PagePart(key="points", name=name, markup=tag("section", *parts, id="points"))


def measurements_part(repair: Repair) -> PagePart:
    """What was measured as a picture, from the drawing that is also on paper."""
    drawing = measurements_drawing(repair, SCALE)
    strokes: dict[Stroke, list[Run]] = {}
    for path in drawing.paths:
        strokes.setdefault(path.stroke, []).append((path.points, path.closed))
    plate = PicturePlate(
        key="measured",
        title=f"Frame {repair.spec.frame} as measured",
        strokes=tuple((stroke, tuple(runs)) for stroke, runs in strokes.items()),
        points=(*_measured_points(repair), *(_name(note) for note in drawing.notes)),
    )
    inside = (tag("h2", "Measurements"), tag("p", LEGEND), drawn(plate))
    return PagePart(
        key="measurements", name="Measurements", markup=tag("section", *inside, id="measurements")
    )


def _measured_points(repair: Repair) -> Iterator[PicturePoint]:
    for name, side in repair.sides.items():
        for fixed, at, move in zip(side.points, side.at, side.moves, strict=True):
            out = f"the fair edge is {round(float(move), 1) + 0.0:+.1f} mm out of it"
            words = f"{name} {fixed.measured.name}: {out}"
            yield PicturePoint(at=xy(SCALE * at), words=words, sign="offset")


def _name(note: Note) -> PicturePoint:
    return PicturePoint(at=note.target, label=note.text, towards=note.towards)


def _told(problem: Problem) -> tuple[Markup, ...]:
    want = (tag("span", problem.want),) if problem.want else ()
    return tag("b", problem.place), tag("span", problem.what), *want
