"""The set-up drawing: every frame, mould and transom on the building base, from the side, from above, from the end.

It is drawn as she is built: with the keel up where the set-up line lies above the sheer.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any

import numpy as np

from patterns.boat import Boat
from patterns.hull.planes import FloatArray
from patterns.hull.sections import cut_hull
from patterns.pattern import Pattern
from patterns.shop.set_up import SetUpPiece, set_up_level
from patterns.shop.views import CENTRE, GRID, LINE, PITCH, SECTION, WATER, fitting, sampled, spread
from tiling.books.book import Book
from tiling.books.table_columns import BookRow, Column
from tiling.drawing import Drawing, Note, Path, Stroke
from tiling.text.typeface import text_width

__all__ = ["SetUp", "add_set_up_drawing", "base_plan", "end_view", "side_view"]

BASE = Stroke(width=0.5)
NOTE = 2.5  # height of a capital, mm
ROW = 1.4 * NOTE  # mm from one row of words to the next
STAGGERED = 3  # rows of names below one another
BETWEEN = 2.0  # mm between two words of a row
SIDE_TALL, END_TALL = 45.0, 52.0  # mm of paper that a view may take from the side or above, and from the end
OUT_METRIC, OUT_INCHES = (
    500.0,
    457.2,
)  # mm; where the base's diagonals end, from the centreline: 500 mm, 18 in
LEGS = ("legs", "mould-legs")


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnLegs:
    """The two legs of a piece, mm.

    Attributes:
        out: from the centreline to their outer edges.
        wide, sided, long: their sizes.
        across: the depth of the piece across them; None where there is none.
        aft: they are fastened on the after face.
    """

    out: float
    wide: float
    sided: float
    long: float
    across: float | None
    aft: bool

    @classmethod
    def of(cls, values: Mapping[str, Any], wood: str) -> DrawnLegs:
        """From a fact of a piece whose wood lies ``wood`` of its moulded face; a mould's are on its other face."""
        sizes = {key: values[key] for key in ("out", "wide", "sided", "long", "across")}
        return cls(**sizes, aft=values.get("face", "after" if wood == "aft" else "forward") == "after")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SetUp:
    """What is set up, and on what.

    Attributes:
        found: what stands, from forward aft; one at least.
        legs: of those that have any, by name.
        level: the set-up line's height above base, mm; 0 where the design has none.
        sense: -1 where she is built upside down.
    """

    boat: Boat
    found: tuple[SetUpPiece, ...]
    legs: Mapping[str, DrawnLegs]
    level: float
    sense: float

    @classmethod
    def of(cls, boat: Boat, patterns: Sequence[Pattern], found: Sequence[SetUpPiece]) -> SetUp:
        """From the pieces that are made."""
        wood = {stand.name: stand.wood for stand in found}
        legs = {
            name: DrawnLegs.of(fact.values, wood[name])
            for pattern in patterns
            for fact in pattern.known
            if fact.kind in LEGS and (name := pattern.part_of or pattern.name) in wood
        }
        level = set_up_level(boat) or 0.0
        tops = [stand.corners[-1].z for stand in found]
        sense = -1.0 if level >= max(tops) else 1.0
        return cls(boat=boat, found=tuple(found), legs=legs, level=level, sense=sense)

    def up(self, z: FloatArray | float) -> FloatArray:
        """How far heights lie above the building base as she stands on it, mm."""
        return self.sense * (np.asarray(z) - self.level)

    @property
    def out(self) -> float:
        """How far from the centreline the corners lie by which the base is squared, mm."""
        return OUT_METRIC if self.boat.offsets.notation.metric else OUT_INCHES

    @property
    def diagonal(self) -> float:
        """From such a corner on the first face's line to the one across the boat on the last face's, mm."""
        return float(np.hypot(self.found[-1].at_line - self.found[0].at_line, 2.0 * self.out))


def add_set_up_drawing(
    book: Book, boat: Boat, patterns: Sequence[Pattern], found: Sequence[SetUpPiece]
) -> None:
    """The three views, under the chapter before it."""
    what = SetUp.of(boat, patterns, found)
    scale, side = fitting(partial(side_view, what), wide=book.room, tall=SIDE_TALL)
    book.heading(f"On the building base, from the side, 1:{scale}")
    book.picture(side)
    notation = boat.offsets.notation
    head = notation.value if notation.metric else ""
    columns = [Column(head=head), *(Column(head=stand.name, align="right") for stand in what.found)]
    book.table(columns, list(_rows(what)))
    scale, above = fitting(partial(base_plan, what), wide=book.room, tall=SIDE_TALL)
    book.heading(f"The building base from above, 1:{scale}", keep=SIDE_TALL)
    book.picture(above)
    book.paragraph(
        f"Square the base: set off {boat.length_words(what.out)} from the centreline, on both sides, on the first "
        f"face's line and on the last one's. Both diagonals are {boat.length_words(what.diagonal)}."
    )
    stand = max(found, key=lambda each: each.corners[-1].y)
    scale, end = fitting(partial(end_view, what, stand), wide=book.room, tall=END_TALL)
    book.heading(f"{stand.name} from the end, 1:{scale}", keep=END_TALL)
    book.picture(end)


def side_view(what: SetUp, scale: float) -> Drawing:
    """The base with everything that stands on it, bow to the left, and its places and heights in rows below."""
    paths = []
    for curve in (what.boat.hull.profile, list(what.boat.hull.lines.values())[-1]):
        points = sampled(curve)
        paths.append(Path(points=scale * np.column_stack([points[:, 0], what.up(points[:, 2])]), stroke=GRID))
    for stand in what.found:
        paths.append(Path(points=scale * _edge_on(what, stand), stroke=LINE, closed=True))
        top = max(float(what.up(corner.z)) for corner in stand.corners)
        plumb = np.array([[stand.at_line, 0.0], [stand.at_line, max(top, 0.0)]])
        paths.append(Path(points=scale * plumb, stroke=CENTRE))
    for stand, legs in _standing_on(what):
        paths.append(Path(points=scale * _leg_edge_on(stand, legs), stroke=SECTION, closed=True))
    every = np.vstack([path.points for path in paths])
    left, right = float(every[:, 0].min()) - 5.0, float(every[:, 0].max()) + 5.0
    low = min(float(every[:, 1].min()), 0.0)
    paths.append(Path(points=np.array([[left, 0.0], [right, 0.0]]), stroke=BASE))
    level = set_up_level(what.boat)
    words = "height 0" if level is None else "set-up line"
    notes = [Note(text=words, target=(right, 0.0), towards=(1.0, 0.0), height=NOTE)]
    notes += _names(what, scale, low)
    return Drawing(paths=tuple(paths), notes=tuple(notes))


def _edge_on(what: SetUp, stand: SetUpPiece) -> FloatArray:
    """Both faces of a piece seen edge on, from its lowest corner up to the sheer, (4, 2), mm."""
    ends = np.array(
        [[corner.x, float(what.up(corner.z))] for corner in (stand.corners[0], stand.corners[-1])]
    )
    away = np.array([_wood(stand) * stand.sided / (np.cos(stand.rake) * np.cos(stand.cant)), 0.0])
    return np.vstack([ends, ends[::-1] + away])


def _wood(stand: SetUpPiece) -> float:
    """1 where its wood lies aft of the moulded face."""
    return 1.0 if stand.wood == "aft" else -1.0


def _standing_on(what: SetUp) -> Iterator[tuple[SetUpPiece, DrawnLegs]]:
    """What stands on legs, with them."""
    for stand in what.found:
        legs = what.legs.get(stand.name)
        if legs is not None:
            yield stand, legs


def _leg_edge_on(stand: SetUpPiece, legs: DrawnLegs) -> FloatArray:
    """A leg seen edge on, on its face, from the base to its foot on the piece, (4, 2), mm."""
    x = stand.at_line + (_wood(stand) * stand.sided if legs.aft == (stand.wood == "aft") else 0.0)
    beyond = x + (legs.sided if legs.aft else -legs.sided)
    return np.array([[x, 0.0], [x, legs.long], [beyond, legs.long], [beyond, 0.0]])


def _names(what: SetUp, scale: float, top: float) -> Iterator[Note]:
    """What stands, each below its face, in a few rows by turns."""
    pitch = (max(text_width(stand.name, NOTE) for stand in what.found) + BETWEEN) / STAGGERED
    places = spread([scale * stand.at_line for stand in what.found], pitch)
    for number, (stand, x) in enumerate(zip(what.found, places, strict=True)):
        row = ROW * (number % STAGGERED)
        yield Note(text=stand.name, target=(x, top - row), towards=(0.0, -1.0), height=NOTE)


def _rows(what: SetUp) -> Iterator[BookRow]:
    """The place aft and the heights of everything, in columns."""
    words, first = what.boat.table_words, what.found[0]
    yield BookRow(cells=("aft, at the line", *(words(stand.at_line) for stand in what.found)))
    apart = (words(stand.at_line - first.at_line) for stand in what.found)
    yield BookRow(cells=(f"aft of {first.name}", *apart))
    for head, place in (("centreline, from the line", 0), ("sheer, from the line", -1)):
        ups = (float(what.up(stand.corners[place].z)) for stand in what.found)
        yield BookRow(cells=(head, *map(words, ups)))


def base_plan(what: SetUp, scale: float) -> Drawing:
    """The building base from above: its centreline, a line square across for each face, legs, and diagonals."""
    first, last, out = what.found[0].at_line, what.found[-1].at_line, what.out
    wide = max([out, *(legs.out for legs in what.legs.values())]) + 50.0
    paths = [
        Path(points=scale * np.array([[stand.at_line, -wide], [stand.at_line, wide]]), stroke=SECTION)
        for stand in what.found
    ]
    paths += [
        Path(points=scale * np.array([[first, side * out], [last, -side * out]]), stroke=WATER)
        for side in (1.0, -1.0)
    ]
    ends = scale * np.array([[first, 0.0], [last, 0.0]]) + np.array([[-8.0, 0.0], [8.0, 0.0]])
    paths.append(Path(points=ends, stroke=CENTRE))
    for stand, legs in _standing_on(what):
        x = _leg_edge_on(stand, legs)[[0, 3, 3, 0], 0]
        for side in (1.0, -1.0):
            y = side * (legs.out - np.array([0.0, 0.0, legs.wide, legs.wide]))
            paths.append(Path(points=scale * np.column_stack([x, y]), stroke=LINE, closed=True))
    at = (float(ends[1, 0]), 0.0)
    notes = [Note(text="centreline", target=at, towards=(1.0, 0.0), height=NOTE)]
    notes += _names(what, scale, -scale * wide)
    return Drawing(paths=tuple(paths), notes=tuple(notes))


def end_view(what: SetUp, stand: SetUpPiece, scale: float) -> Drawing:
    """One piece as it is set up, seen square to its face, with plumb line, legs and the diagonals to measure."""
    plane = stand.plane
    base = plane.up_at_height(what.level)
    section = cut_hull(what.boat.hull, plane)

    def put(uv: FloatArray, side: float) -> FloatArray:
        return scale * np.stack(
            [side * (uv[..., 0] - plane.centre), what.sense * (uv[..., 1] - base)], axis=-1
        )

    paths = [Path(points=put(section.edge, side), stroke=LINE) for side in (1.0, -1.0)]
    paths += [Path(points=put(section.deck.uv, side), stroke=GRID) for side in (1.0, -1.0)]
    paths += _legs_from_the_end(what, stand, scale)
    every = np.vstack([path.points for path in paths])
    (left, low), (right, high) = every.min(axis=0), every.max(axis=0)
    paths.append(Path(points=np.array([[0.0, min(low, 0.0) - 3.0], [0.0, high + 4.0]]), stroke=CENTRE))
    paths.append(Path(points=np.array([[left - 5.0, 0.0], [right + 5.0, 0.0]]), stroke=BASE))
    notes = [Note(text="plumb, centreline", target=(0.0, float(high) + 4.0), towards=(0.0, 1.0), height=NOTE)]
    flat = [plane.flat(np.array([corner.x, corner.y, corner.z])) for corner in stand.corners]
    port = put(flat[-1], -1.0)
    words = what.boat.table_words
    heights = [float(put(at, 1.0)[1]) for at in flat]
    told = spread(heights, PITCH * NOTE)
    for corner, at, y in zip(stand.corners, flat, told, strict=True):
        paths.append(Path(points=np.array([put(at, 1.0), port]), stroke=WATER))
        up = words(float(what.up(corner.z)))
        text = f"{corner.name}: {up} up, {words(corner.y)} out, {words(corner.across)} to port sheer"
        notes.append(Note(text=text, target=(float(right) + 6.0, y), towards=(1.0, 0.0), height=NOTE))
        paths.append(Path(points=np.array([put(at, 1.0), [float(right) + 6.0, y]]), stroke=GRID))
    return Drawing(paths=tuple(paths), notes=tuple(notes))


def _legs_from_the_end(what: SetUp, stand: SetUpPiece, scale: float) -> Iterator[Path]:
    legs = what.legs.get(stand.name)
    if legs is None:
        return
    out, wide, long = legs.out, legs.wide, legs.long
    for side in (1.0, -1.0):
        x = side * np.array([out, out, out - wide, out - wide])
        ring = np.column_stack([x, [0.0, long, long, 0.0]])
        yield Path(points=scale * ring, stroke=SECTION, closed=True)
    if legs.across is not None:
        ring = np.array([[-out, 0.0], [out, 0.0], [out, legs.across], [-out, legs.across]])
        yield Path(points=scale * ring, stroke=SECTION, closed=True)
