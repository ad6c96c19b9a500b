"""Pieces that share pages: small ones nested by their outlines with room for words, or each in its own box."""

from __future__ import annotations

import math
from collections.abc import Container, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely

from tiling.drawing import Disc, Distance, Drawing, FloatArray, Note, Slide
from tiling.drawing.affine import Affine
from tiling.drawing.tolerance import steady
from tiling.layout.coverage import ink_pieces
from tiling.layout.fences import fenced_drawing
from tiling.layout.masks import filled, grown
from tiling.layout.nesting import Outline, nest
from tiling.layout.page_block import SQUARE, Lie, PageRaster, RasterShape
from tiling.layout.raster import Raster
from tiling.paper import Box, Page
from tiling.text.figures import directed

__all__ = ["Shared", "Sharing"]

NAMES = 0  # the rank of words that name a piece: among others a line leads from them to it
SMALL = 6  # pages; a piece that needs more is not small, and is laid alone
TURNS = 8
LEVELS = 3600  # turns of a quarter that are told apart when a piece is laid level
STRAIGHT = 2e-5  # radians; where an outline turns by less, no vertex is outermost but by noise
TARGET = 2.6  # mm; the radius of the ring at either end of a long distance


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Shared:
    """Pieces laid together.

    Attributes:
        members: which of the given pieces, in the order given.
        places: from the coordinates of each to those of all.
        rooms: what belongs to each, as `Drawing.rooms`; empty where each has its own box.
        choices: where each lies, in whole numbers.
        fences: each one's own box, as `Drawing.fences`; empty where they lie among one another.
    """

    members: tuple[int, ...]
    places: tuple[Affine, ...]
    rooms: tuple[FloatArray, ...]
    choices: tuple[str, ...]
    fences: tuple[Box, ...] = ()

    def without(self, member: int) -> Shared:
        """The same with one of the members taken away, by its place among them."""
        return Shared(
            members=self.members[:member] + self.members[member + 1 :],
            places=self.places[:member] + self.places[member + 1 :],
            rooms=self.rooms[:member] + self.rooms[member + 1 :],
            choices=self.choices[:member] + self.choices[member + 1 :],
        )

    def drawing(self, drawings: Sequence[Drawing]) -> Drawing:
        """All members in their places; the words of each keep out of the others' rooms, or in their own box.

        Args:
            drawings: of the members.
        """
        whole = Drawing()
        if self.fences:
            placed = [_placed(each, at) for each, at in zip(drawings, self.places, strict=True)]
            return fenced_drawing(placed, self.fences)
        for number, (drawing, place) in enumerate(zip(drawings, self.places, strict=True)):
            whole = _added(whole, drawing, place, number)
        return replace(whole, rooms=self.rooms)


class Sharing:
    """Drawings of which the small ones may share pages.

    Args:
        alone: how many pages each needs by itself.
    """

    def __init__(self, drawings: Sequence[Drawing], alone: Sequence[int], page: Page) -> None:
        small = [index for index, count in enumerate(alone) if count <= SMALL]
        self._turned = {index: _turned(drawings[index]) for index in small}
        self._outlines = {
            index: Outline(shapes=tuple(each.shape for each in ways), alone=alone[index])
            for index, ways in self._turned.items()
        }
        self._raster = PageRaster(page)

    def groups(self, those: Container[int], *, seed: int) -> tuple[Shared, ...]:
        """Groups of some of the drawings that share pages; a drawing that is in none is laid by itself.

        Args:
            those: which drawings, by their places among all.
            seed: another one finds other groups.
        """
        outlines = {index: outline for index, outline in self._outlines.items() if index in those}
        found = []
        for group in nest(outlines, self._raster, seed=seed):
            order = sorted(group, key=lambda lie: lie.piece)
            laid = [_laid(lie, self._turned[lie.piece][lie.turn]) for lie in order]
            places, rooms, choices = zip(*laid, strict=True)
            members = tuple(lie.piece for lie in order)
            found.append(Shared(members=members, places=places, rooms=rooms, choices=choices))
        return tuple(found)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Turned:
    """A drawing in one of its turns.

    Attributes:
        place: from the drawing's coordinates to those of the shape, whose first square begins at the origin.
        level: by how many of `LEVELS` it is turned in the first turn.
    """

    shape: RasterShape
    place: Affine
    level: int


def _turned(drawing: Drawing) -> tuple[_Turned, ...]:
    """The drawing in eight turns, its longest straight way level in the first."""
    hull = _hull(drawing)
    spots = (Disc(centre=(x, y), radius=TARGET) for x, y in hull.tolist())
    pieces = ink_pieces(drawing.with_more(discs=spots), piece=SQUARE)
    level = _level(hull)
    start = 0.5 * math.pi * level / LEVELS
    found = []
    for half in range(TURNS // 4):
        turn = Affine.turn(start + half * 2.0 * math.pi / TURNS)
        raster = Raster.around(pieces.boxes(turn), SQUARE)
        ink, body = raster.ink, filled(raster.ink)
        left, foot = raster.low.tolist()
        place = turn.then(Affine.shift(-left, -foot))
        for quarters in range(4):  # the turned mask's lower left corner comes back to the origin
            shape = RasterShape(ink=np.rot90(ink, -quarters), body=np.rot90(body, -quarters))
            found.append(_Turned(shape=shape, place=place, level=level))
            place = place.then(Affine.quarter_turn()).then(Affine.shift(shape.body.shape[0] * SQUARE, 0.0))
    return tuple(found)


def _hull(drawing: Drawing) -> FloatArray:
    """The outermost vertices of all strokes in order, shape (n, 2): the targets of long distances may stand there.

    Of vertices in line the two at the ends are outermost.
    """
    points = np.concatenate([path.points for path in drawing.paths] or [np.zeros((0, 2))])
    ring = shapely.get_coordinates(shapely.MultiPoint(points).convex_hull)
    if len(ring) < 4:
        return np.unique(ring, axis=0)
    corners = ring[:-1]
    after = np.diff(ring, axis=0)
    after /= np.hypot(*after.T)[:, None]
    before = np.roll(after, 1, axis=0)
    turns = np.abs(before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]) > STRAIGHT
    return np.asarray(corners[turns])


def _level(hull: FloatArray) -> int:
    """The turn that makes the least box around a convex hull lie level, in `LEVELS` to a quarter.

    Of boxes that are equally small, as those of a triangle are, the one along the longest edge.
    """
    if len(hull) < 3:
        return 0
    along = np.roll(hull, -1, axis=0) - hull
    angles = -np.arctan2(along[:, 1], along[:, 0])
    sides = []
    for x, y in ((np.cos(angles), -np.sin(angles)), (np.sin(angles), np.cos(angles))):
        over = hull @ np.array([x, y])
        sides.append(over.max(axis=0) - over.min(axis=0))
    levels = np.rint(angles / (0.5 * math.pi) * LEVELS).astype(int) % LEVELS
    best = np.lexsort((levels, -steady(np.hypot(*along.T)), steady(np.sqrt(sides[0] * sides[1]))))[0]
    return int(levels[best])


def _laid(lie: Lie, way: _Turned) -> tuple[Affine, FloatArray, str]:
    """Where a piece lies, its room (what it covers, and the squares next to that), its choice."""
    near = grown(np.pad(way.shape.body, 1), 1)
    room = (np.argwhere(near)[:, ::-1] + (lie.column - 1, lie.row - 1)) * SQUARE
    place = way.place.then(Affine.shift(lie.column * SQUARE, lie.row * SQUARE))
    return place, room.astype(float), f"{way.level} {lie.turn} {lie.row} {lie.column}"


def _added(whole: Drawing, drawing: Drawing, place: Affine, number: int) -> Drawing:
    more = _placed(drawing, place)
    return replace(whole, slides=(*whole.slides, *more.slides)).with_more(
        paths=more.paths,
        discs=more.discs,
        notes=(_shortened(note, number) for note in more.notes),
        distances=more.distances,
    )


def _placed(drawing: Drawing, place: Affine) -> Drawing:
    """A drawing in its place, in few words."""
    notes = [
        replace(
            note,
            text=note.short or note.text,
            target=place.at(note.target),
            towards=place.direction(note.towards),
            also=tuple(place.at(each) for each in note.also),
            home=tuple(place.at(each) for each in note.home),
        )
        for note in directed(drawing.notes, place)
    ]
    return Drawing(
        paths=tuple(replace(path, points=place.apply(path.points)) for path in drawing.paths),
        discs=tuple(replace(disc, centre=place.at(disc.centre)) for disc in drawing.discs),
        notes=tuple(notes),
        distances=tuple(
            Distance(name=distance.name, start=place.at(distance.start), end=place.at(distance.end))
            for distance in drawing.distances
        ),
        slides=tuple(
            Slide(
                at=place.at(each.at),
                along=place.direction(each.along),
                wanted=each.wanted and replace(each.wanted, centre=place.at(each.wanted.centre)),
            )
            for each in drawing.slides
        ),
    )


def _shortened(note: Note, number: int) -> Note:
    """A note of one of several pieces that lie among one another."""
    return replace(
        note,
        room=number,
        leader=note.leader or note.rank == NAMES,
    )
