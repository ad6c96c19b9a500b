"""The lines as plates: profile, plan, body plan and curvature, with every offset as a place that tells its move."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from patterns.boat import Boat
from patterns.design.file import Design
from patterns.fairing.cells import FairedCell
from patterns.fairing.suspects import Suspect
from patterns.hull.planes import FloatArray
from patterns.picture.plates import LETTER, PicturePlate, PicturePoint, Run
from patterns.shop.curvature import LineCurvature, bend_words, curvature_plot, curvatures
from patterns.shop.tables import faired_words, typed_words
from patterns.shop.views import body_plan, every_line, plan, profile, sampled
from patterns.table.levels import levels_of
from patterns.table.values import Offsets, StemPoints
from tiling.drawing import XY, Drawing, Note, Stroke

__all__ = [
    "Marked",
    "curvature_plates",
    "line_plates",
    "marks",
    "plate_of",
    "scaled",
    "spot_in_space",
    "suspect_key",
]

LONG = 270.0  # units for the boat's length, so that the names beside it have room
BROAD = 250.0  # units for her breadth in the body plan
CAPITAL = 8.0  # units; of the words
PLOT = 80.0  # units; height of a curvature plot
AROUND = 3.0  # times the distance from an offset to where the batten wants it is shown around it,
LEAST_AROUND = 60.0  # mm, or this


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Marked:
    """What is marked in the lines.

    Attributes:
        offsets, design: the table and what the design says of it.
        rows: the faired cells.
        suspects: the offsets that the batten doubts.
        widest: the distance aft of the greatest breadth, mm: sections forward of it stand on the right.
    """

    offsets: Offsets
    design: Design
    rows: Sequence[FairedCell]
    suspects: Sequence[Suspect]
    widest: float

    @classmethod
    def of(cls, boat: Boat) -> Marked:
        """What is marked in a whole boat's lines."""
        return cls(
            offsets=boat.offsets, design=boat.design, rows=boat.lines.rows, suspects=boat.lines.suspects,
            widest=boat.hull.widest,
        )  # fmt: skip


def suspect_key(number: int) -> str:
    """The name in the page of a suspect's place, counted from 1."""
    return f"s{number}"


def line_plates(boat: Boat) -> tuple[PicturePlate, ...]:
    """Profile, plan and body plan."""
    points = np.vstack([sampled(curve) for _, curve in every_line(boat)])
    scale = LONG / float(np.ptp(points[:, 0]))
    body = BROAD / (2.0 * float(points[:, 1].max()))
    places: dict[str, list[PicturePoint]] = {"profile": [], "plan": [], "body": []}
    for view, point in marks(Marked.of(boat)):
        places[view].append(point)
    views = (
        ("profile", "Profile", profile(boat, scale, height=CAPITAL), scale),
        ("plan", "Plan", plan(boat, scale, height=CAPITAL), scale),
        ("body", "Body plan", body_plan(boat, body, height=CAPITAL), body),
    )
    return tuple(
        plate_of(key, title, drawing, [scaled(point, scale) for point in places[key]])
        for key, title, drawing, scale in views
    )


def curvature_plates(boat: Boat) -> tuple[tuple[str, PicturePlate], ...]:
    """The curvature of every line, each with what to say above it."""
    found = curvatures(boat)
    length = max((float(np.ptp(bend.x)) for bend in found), default=1.0)
    return tuple(
        (
            f"{bend.line}, {bend.view}: {bend_words(bend)}",
            _curvature(boat, f"c{number}", bend, LONG / length),
        )
        for number, bend in enumerate(found, start=1)
    )


def _curvature(boat: Boat, key: str, bend: LineCurvature, scale: float) -> PicturePlate:
    drawing = replace(curvature_plot(bend, scale, tall=PLOT), notes=())
    foot = drawing.bounds()[1]
    moves = [
        PicturePoint(
            at=(scale * duck.x, 0.0),
            words=_move_words(boat.offsets, boat.design, duck),
            sign="offset",
            cell=duck.place,
        )
        for duck in bend.ducks
    ]
    names = [
        PicturePoint(at=(scale * duck.x, foot), label=duck.label, towards=(0.0, -1.0)) for duck in bend.ducks
    ]
    return plate_of(key, f"Curvature of the {bend.line}, {bend.view}", drawing, (*moves, *names))


def marks(seen: Marked) -> Iterator[tuple[str, PicturePoint]]:
    """The suspects, then every faired offset, each with the view that shows it; places in mm."""
    yield from _suspects(seen)
    yield from _offsets(seen)


def plate_of(key: str, title: str, drawing: Drawing, points: Iterable[PicturePoint]) -> PicturePlate:
    by_stroke: dict[Stroke, list[Run]] = {}
    for path in drawing.paths:
        by_stroke.setdefault(path.stroke, []).append((path.points, path.closed))
    plate = PicturePlate(
        key=key,
        title=title,
        strokes=tuple((stroke, tuple(runs)) for stroke, runs in by_stroke.items()),
        points=(*points, *(_word(note) for note in drawing.notes)),
    )
    return replace(plate, room=_room(plate))


def _word(note: Note) -> PicturePoint:
    return PicturePoint(at=note.target, label=note.text, towards=note.towards)


def _room(plate: PicturePlate) -> tuple[float, float, float, float]:
    """Room for words that stand out of the picture."""
    x0, _, x1, _ = plate.bounds()
    left = right = 8.0
    for point in plate.points:
        if point.sign == "word":
            long = LETTER * len(point.label) + 8.0
            across = point.towards[0]
            back = long if across < 0.0 else 0.0 if across > 0.0 else 0.5 * long
            left = max(left, x0 - (point.at[0] - back))
            right = max(right, point.at[0] + long - back - x1)
    return left, 22.0, right, 22.0


def scaled(point: PicturePoint, scale: float) -> PicturePoint:
    wanted = None if point.wanted is None else (scale * point.wanted[0], scale * point.wanted[1])
    x, y = point.at
    return replace(point, at=(scale * x, scale * y), wanted=wanted, near=scale * point.near)


def _offsets(seen: Marked) -> Iterator[tuple[str, PicturePoint]]:
    """Every offset as typed, where it stands, in the view that shows it."""
    for row in seen.rows:
        place = _place(seen, row, row.offset)
        if place is None or row.view == "position":
            continue
        yield (
            place[0],
            PicturePoint(
                at=place[1],
                words=_move_words(seen.offsets, seen.design, row),
                sign="offset",
                cell=row.place,
            ),
        )


def _suspects(seen: Marked) -> Iterator[tuple[str, PicturePoint]]:
    """The suspects, counted as in their list, with a line to where the batten wants each."""
    for number, suspect in enumerate(seen.suspects, start=1):
        row = _row_of(seen, suspect)
        place = None if row is None else _place(seen, row, suspect.offset)
        wanted = None if row is None else _place(seen, row, suspect.wanted)
        if place is None or wanted is None:
            continue
        yield (
            place[0],
            PicturePoint(
                at=place[1],
                words=f"Suspect {number}. {suspect}",
                sign="suspect",
                label=str(number),
                towards=(0.7, 0.7),
                near=max(AROUND * abs(suspect.wanted - suspect.offset), LEAST_AROUND),
                key=suspect_key(number),
                wanted=wanted[1],
                cell=suspect.place,
            ),
        )


def _row_of(seen: Marked, suspect: Suspect) -> FairedCell | None:
    which = suspect.line, suspect.view, suspect.label
    return next((row for row in seen.rows if (row.line, row.view, row.label) == which), None)


def _place(seen: Marked, row: FairedCell, offset: float) -> tuple[str, XY] | None:
    """In which view an offset is seen, and where in it, mm; None where no view has it."""
    if row.view == "height":
        return "profile", (row.x, offset)
    if row.view == "half-breadth":
        return "plan", (row.x, offset)
    if row.view in ("stem", "sternpost"):
        stem = seen.offsets.stem if row.view == "stem" else seen.offsets.sternpost
        return None if stem is None else ("profile", _on_stem(stem, int(row.label) - 1, offset))
    if row.view == "diagonal":
        levels = levels_of(seen.offsets, seen.design)
        level = next((level for level in levels if level.name == row.line), None)
        if level is None:
            return None
        side = 1.0 if row.x <= seen.widest else -1.0
        y, z = level.start + offset * level.along
        return "body", (side * float(y), float(z))
    high = next((r for r in seen.rows if (r.line, r.label, r.view) == (row.line, row.label, "height")), None)
    return None if high is None else ("profile", (offset, high.offset))


def spot_in_space(
    seen: Marked, cells: Mapping[tuple[str, str, str], FairedCell], row: FairedCell, offset: float
) -> FloatArray | None:
    """Where an offset is in the boat, (3,), mm, to starboard; None where the table does not say.

    Args:
        cells: the faired cells by line, view and label, for what is measured the other way.
    """
    level = next((level for level in levels_of(seen.offsets, seen.design) if level.name == row.line), None)
    if level is not None and level.view == row.view:
        return np.append(row.x, level.start + offset * level.along)
    high, wide = (cells.get((row.line, view, row.label)) for view in ("height", "half-breadth"))
    if row.view == "height":
        return np.array([row.x, wide.faired if wide else 0.0, offset])
    if row.view in ("stem", "sternpost"):
        place = _place(seen, row, offset)
        return None if place is None else np.array([place[1][0], 0.0, place[1][1]])
    if high is None:
        return None
    if row.view == "position":
        return np.array([offset, wide.faired if wide else 0.0, high.faired])
    return np.array([row.x, offset, high.faired])


def _on_stem(stem: StemPoints, index: int, offset: float) -> XY:
    """A stem's own point, with its measured distance replaced."""
    if stem.measured[index] == "aft":
        return offset, float(stem.z[index])
    return float(stem.x[index]), offset


def _move_words(offsets: Offsets, design: Design, row: FairedCell) -> str:
    where = row.label if row.label in ("bow", "stern") else f"station {row.label}"
    if row.view in ("stem", "sternpost"):
        where = f"point {row.label}"
    typed, faired = (words(design, offsets, row) for words in (typed_words, faired_words))
    return (
        f"{row.line}, {row.view} at {where}: typed {typed}, faired {faired}, "
        f"moved {round(row.move, 1) + 0.0:+.1f} mm"
    )
