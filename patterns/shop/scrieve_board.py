"""The scrieve board on paper: the body plan at full size as one taped pattern.  Nothing is cut by it.

All moulded faces lie over one another about one centreline, those forward of the greatest breadth on the right.
Frames are laid on it and put together, heights, breadths and bevels are lifted from it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from patterns.boat import Boat
from patterns.drawing.edge_signs import CROSS, TICK, cross, line_notes, reading_note, tick
from patterns.drawing.legend import bevels_legend, lines_legend
from patterns.drawing.strokes import BEVELS, GRID, NAME, NOTES, STROKES, WORDS
from patterns.hull.planes import FloatArray
from patterns.pattern import Kind, Line, Pattern
from patterns.shop.board_faces import BoardFace, board_faces, board_readings
from patterns.shop.set_up import set_up_level
from patterns.shop.views import every_height
from patterns.table.levels import levels_of
from tiling.drawing import Distance, Drawing, Note, Path
from tiling.paper.scale import Scale
from tiling.planning.plan import Card, Legend, Piece

__all__ = ["LoftPrint", "scrieve_board"]

NEAR = 150.0  # mm; the base line is printed where it lies no farther below the faces
CORNER = 60.0  # mm of the base line, to both sides of the centreline, for which a page is printed
PAST = 40.0  # mm by which level lines run past the widest face
USE = (
    "Nothing is cut by it. Lay frames on it to put them together; lift heights, breadths and bevels from it."
)
LEGEND = (
    (STROKES[Kind.FACE], "moulded face at the inside of planking"),
    (STROKES[Kind.REFERENCE], "waterline, buttock, diagonal"),
    (STROKES[Kind.BASE], "base line"),
    (STROKES[Kind.CENTRE], "centreline"),
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LoftPrint:
    """A print of the loft that is made on request: what is taped, and what its signs mean."""

    piece: Piece
    legends: tuple[Legend, ...]


def scrieve_board(
    boat: Boat, patterns: Sequence[Pattern], *, name: str, scale: Scale, source: str
) -> LoftPrint | None:
    """The body plan; None where the design has no frame, mould or transom that stands across the boat.

    Args:
        name: what it is called.
        scale: that it is printed at.
        source: what the boat is made from, for its mark.
    """
    faces = board_faces(boat, patterns, by=scale.factor)
    if not faces:
        return None
    piece = Piece(
        name=name,
        card=Card(rows=tuple(_card(boat, faces)), tick="taped"),
        drawing=_drawing(boat, faces, scale),
        made_from=f"{name} {source}",
        alone=True,
        square=True,
    )
    return LoftPrint(piece=piece, legends=(lines_legend("Lines on the body plan", LEGEND), bevels_legend()))


def _card(boat: Boat, faces: Sequence[BoardFace]) -> Iterator[tuple[str, str]]:
    yield "Use", USE
    for side, label in ((1.0, "On the right"), (-1.0, "On the left")):
        names = [face.stand.name for face in faces if face.side == side]
        if names:
            yield label, ", ".join(names)
    for face in faces:
        if face.leans:
            stand = face.stand
            way, angle = (
                ("raked", stand.rake) if abs(stand.rake) >= abs(stand.cant) else ("canted", stand.cant)
            )
            yield (
                "Leaning",
                (
                    f"{stand.name}, {way} {abs(np.degrees(angle)):.1f}°: true shape in its own plane, level lines "
                    "marked on its edge"
                ),
            )
    low = min(float(face.on_board(face.section.edge)[:, 1].min()) for face in faces)
    if low > NEAR:
        yield "Base line", f"not printed; {boat.length_words(low / faces[0].by)} below the lowest face"


def _drawing(boat: Boat, faces: Sequence[BoardFace], scale: Scale) -> Drawing:
    runs = [face.on_board(face.section.edge) for face in faces]
    every = np.vstack(runs)
    (left, low), (right, high) = every.min(axis=0), every.max(axis=0)
    edge = max(right, -left) + PAST
    lines = [
        Line(kind=Kind.FACE, points=run, name=face.stand.name) for face, run in zip(faces, runs, strict=True)
    ]
    level = [*_levels(boat, scale.factor, edge, float(low), float(high))]
    foot = min(float(low), 0.0 if low <= NEAR else float(low)) - 10.0
    centre = Line(kind=Kind.CENTRE, points=np.array([[0.0, foot], [0.0, float(high)]]), name="centreline")
    paths = [_path(line, aside=line in level) for line in (*lines, centre, *level)]
    if low <= NEAR:
        paths.append(Path(points=np.array([[-CORNER, 0.0], [CORNER, 0.0]]), stroke=STROKES[Kind.BASE]))
        ends = np.array([[-edge, 0.0], [edge, 0.0]])
        paths.append(Path(points=ends, stroke=STROKES[Kind.BASE], aside=True))
        level.append(Line(kind=Kind.REFERENCE, points=ends, name="base line"))
    notes = [*_titles(boat, faces, every, scale), *line_notes([*lines, centre, *level])]
    for face in faces:
        for reading in board_readings(boat, face):
            paths.append(tick(reading.at, reading.towards, TICK, layer=BEVELS))
            notes.append(reading_note(reading))
        for corner in face.section.corners:
            x, y = face.on_board(corner.at)
            paths += cross((float(x), float(y)), CROSS)
    return Drawing(
        paths=tuple(sorted(paths, key=lambda path: path.layer)),
        notes=tuple(notes),
        distances=tuple(_distances(faces, low <= NEAR)),
    )


def _path(line: Line, *, aside: bool) -> Path:
    layer = GRID if line.kind is Kind.REFERENCE else ""
    return Path(points=line.points, stroke=STROKES[line.kind], layer=layer, aside=aside)


def _levels(boat: Boat, by: float, edge: float, low: float, high: float) -> Iterator[Line]:
    """Waterlines, buttocks, diagonals and the set-up line, as far as the faces reach."""
    heights = [(name, z) for name, z in every_height(boat) if z != 0.0]
    level = set_up_level(boat)
    if level is not None:
        heights.append(("set-up line", level))
    for name, height in heights:
        z = by * height
        if low < z < high:
            yield Line(kind=Kind.REFERENCE, points=np.array([[-edge, z], [edge, z]]), name=name)
    for row in levels_of(boat.offsets, boat.design):
        if row.view == "half-breadth":
            continue
        start = by * row.start
        reach = (high - start[1]) / row.along[1] if row.view == "height" else edge / row.along[0]
        run = np.array([start, start + reach * row.along])
        for side in (1.0, -1.0):
            yield Line(kind=Kind.REFERENCE, points=run * [side, 1.0], name=row.name)


def _titles(boat: Boat, faces: Sequence[BoardFace], every: FloatArray, scale: Scale) -> Iterator[Note]:
    """What it is, that nothing is cut by it, and which faces are on which side."""
    (left, low), (right, high) = every.min(axis=0), every.max(axis=0)
    height = 0.5 * (low + high)
    name = "BODY PLAN" if scale.full else f"BODY PLAN, {scale.name}"
    small = () if scale.full else (f"{scale.warning}. Lengths in words are the boat's.",)
    words = (
        boat.design.boat.name,
        *small,
        "A pattern without an outline to cut",
        "Moulded faces at the inside of planking",
        "Forward faces right, after faces left",
    )
    at = (0.25 * float(right), float(height))
    yield Note(text=name, target=at, height=NAME, reach=250.0, rank=0)
    yield Note(text="\n".join(words), target=at, height=WORDS, reach=250.0, rank=1, layer=NOTES)
    for side, word, reach in ((1.0, "FORWARD FACES", right), (-1.0, "AFTER FACES", left)):
        if any(face.side == side for face in faces):
            place = (0.5 * float(reach), float(low + 0.8 * (high - low)))
            yield Note(text=word, target=place, height=WORDS, reach=250.0, rank=2)


def _distances(faces: Sequence[BoardFace], base: bool) -> Iterator[Distance]:
    """From the base line on the centreline to the sheer of the widest face on each side, and between those two."""
    found: list[tuple[str, tuple[float, float]]] = []
    for side in (1.0, -1.0):
        own = [face for face in faces if face.side == side]
        if own:
            widest = max(own, key=lambda face: abs(float(face.on_board(face.section.corners[-1].at)[0])))
            x, y = widest.on_board(widest.section.corners[-1].at)
            found.append((widest.stand.name, (float(x), float(y))))
    if base:
        for name, at in found:
            yield Distance(name=f"base to sheer of {name}", start=(0.0, 0.0), end=at)
    if len(found) == 2:
        (one, a), (other, b) = found
        yield Distance(name=f"sheer of {one} to sheer of {other}", start=a, end=b)
