"""From a pattern to a drawing: which stroke each line gets, and the words for the bench.

Nothing of boats is left in a drawing.  Strokes keep apart in plain black and white: by breadth and by dash.

What a person may want off the paper lies in layers.  What the wood is sawn, drilled and joined by lies in none: saw
and face lines, centreline, joints, holes, places to be marked, what the piece is and which way it lies.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from patterns.drawing.edge_signs import CROSS, TICK, cross, line_notes, mark_note, reading_note, tick
from patterns.drawing.hole_signs import FLIP_POINT, SIGNS, sign_of
from patterns.drawing.strokes import (
    ARROW,
    BEVELS,
    LAYERS,
    NOTES,
    STROKES,
    WORDS,
)
from patterns.drawing.titles import home_of, title_of
from patterns.flat.polylines import mirrored
from patterns.flat.roomiest import roomiest
from patterns.flat.shapes import area_of
from patterns.hull.planes import FloatArray
from patterns.pattern import Hole, Kind, Line, Pattern, reduced
from patterns.text.title_words import TITLE
from tiling.drawing import XY, Disc, Distance, Drawing, Note, Path, Slide
from tiling.paper.scale import FULL_SIZE, Scale
from tiling.text.figures import compass

__all__ = ["draw"]

SMALL = 2.5  # the same on a drawing that is not full size, where as many words stand around less
UPWARD = (0.0, 1.0)
ROOM = 7.5  # mm around a flip point: its ring, and clear of a page's edge
ARM = 20.0  # mm; an arrow that shows a direction


def draw(pattern: Pattern, *, boat: str, whole: bool = False, scale: Scale = FULL_SIZE) -> Drawing:
    """The drawing of a pattern, in mm on paper.

    At a smaller scale places and holes come nearer together; strokes, ticks, words and bevels stay as they are, and
    lengths in words are the boat's.

    Args:
        boat: its name, for the words.
        whole: draw both halves of a pattern that is given as a half.
        scale: that it is printed at; the page's too.
    """
    if not scale.full:
        pattern = reduced(pattern, scale.factor)
    both = pattern.half and whole
    paths = [_path(line) for line in pattern.lines]
    if both:
        paths = [_path(line) for line in _both_sides(pattern.lines)]
    discs: list[Disc] = []
    notes = [*title_of(pattern, boat, scale, half=_drawn_half(pattern, whole=both))]
    for reading in pattern.readings:
        paths.append(tick(reading.at, reading.towards, TICK, layer=BEVELS))
        notes.append(reading_note(reading))
    for mark in pattern.marks:
        if mark.towards != (0.0, 0.0):
            paths.append(tick(mark.at, mark.towards, mark.length))
        elif not mark.word:
            paths += cross(mark.at, CROSS)
        notes.append(mark_note(mark))
    for hole in pattern.holes:
        if both and hole.purpose == FLIP_POINT:
            continue
        for at in _places(hole, both=both):
            more_paths, more_discs, words = _hole(hole, at, scale)
            paths += more_paths
            discs += more_discs
            notes += words
    notes += line_notes(pattern.lines)
    notes += _directions(pattern, whole=both)
    notes += _grain(pattern)
    if not scale.full:
        notes = [replace(note, height=SMALL) if note.figure is None and note.rank else note for note in notes]
    return Drawing(
        paths=tuple(sorted(paths, key=lambda path: path.layer)),  # those of a layer together
        discs=tuple(discs),
        notes=tuple(notes),
        distances=tuple(Distance(name=s.name, start=s.start, end=s.end) for s in pattern.spans),
        slides=() if both else _flip_points(pattern),
    )


def _path(line: Line) -> Path:
    """A line's stroke; a centreline or a level line is wanted only where there is wood to mark by it."""
    return Path(
        points=line.points,
        stroke=STROKES[line.kind],
        closed=line.closed,
        layer=LAYERS.get(line.kind, ""),
        aside=line.kind in (Kind.CENTRE, Kind.REFERENCE),
        cut=line.kind is Kind.SAW,
    )


def _flip_points(pattern: Pattern) -> tuple[Slide, ...]:
    """Any two points on the centreline do to flip a half; its pages show the centreline across the wood.

    Turned pages could otherwise end at the wood's edge on the centreline, with no room for the points.
    """
    found = []
    stretches = _on_centreline(pattern)
    for hole in pattern.holes:
        if hole.purpose == FLIP_POINT:
            x, y = hole.at
            heights = [min(max(y, low), high) for low, high in stretches]
            near = min(heights, key=lambda height: abs(height - y), default=None)
            spot = None if near is None else Disc(centre=(x, near), radius=ROOM, filled=False)
            found.append(Slide(at=hole.at, along=UPWARD, wanted=spot))
    return tuple(found)


def _on_centreline(pattern: Pattern) -> list[tuple[float, float]]:
    """From and to where the wood of a half lies on its centreline, mm up."""
    ends = sorted(
        float(point[1])
        for line in pattern.of_kind(Kind.SAW)
        if not line.closed
        for point in line.points[[0, -1]]
        if abs(point[0]) < 1e-6
    )
    return list(zip(ends[::2], ends[1::2], strict=False))


def _both_sides(lines: tuple[Line, ...]) -> list[Line]:
    """The lines of both halves; runs that begin and end on the centreline are joined into one."""
    found: list[Line] = []
    for line in lines:
        ends_on = np.abs(line.points[[0, -1], 0]).max() < 1e-6
        if line.kind is Kind.CENTRE:
            found.append(line)
        elif ends_on and not line.closed:
            loop = np.vstack([line.points, mirrored(line.points)[::-1][1:-1]])
            found.append(Line(kind=line.kind, points=loop, closed=True, name=line.name))
        else:
            found += [line, Line(kind=line.kind, points=mirrored(line.points), closed=line.closed)]
    return found


def _places(hole: Hole, *, both: bool) -> list[XY]:
    return [hole.at, (-hole.at[0], hole.at[1])] if both and hole.at[0] != 0.0 else [hole.at]


def _hole(hole: Hole, at: XY, scale: Scale) -> tuple[list[Path], list[Disc], list[Note]]:
    """A hole's sign; the block of the title gives diameters, so that only a flip point has words."""
    if hole.purpose == FLIP_POINT:
        discs = [
            Disc(centre=at, radius=0.5, aside=True),
            Disc(centre=at, radius=3.0, filled=False, aside=True),
        ]
        words = Note(text=TITLE["prick"], target=at, reach=45.0, leader=True, rank=4, layer=NOTES)
        return [], discs, [words]
    radius = scale.of(0.5 * hole.diameter)
    sign = [replace(path, points=path.points + at) for path in SIGNS[sign_of(hole)](radius)]
    ring = Disc(centre=at, radius=radius, filled=False)
    return sign, [ring], []


def _arrow(start: FloatArray, direction: FloatArray, length: float) -> list[Path]:
    tip = start + length * direction
    side = np.array([-direction[1], direction[0]])
    head = np.array([tip - 5.0 * direction + 1.6 * side, tip, tip - 5.0 * direction - 1.6 * side])
    return [
        Path(points=np.array([start, tip]), stroke=ARROW, aside=True),
        Path(points=head, stroke=ARROW, closed=True, filled=True, aside=True),
    ]


def _directions(pattern: Pattern, *, whole: bool) -> list[Note]:
    """Arrows that say which way is up, and which side of the boat is which, in the wood or beside it."""
    right, left, top = pattern.sides
    if pattern.template:  # a paper that is wrapped round a timber lies no way in the boat
        return []
    both = whole or not pattern.half
    ways = [(top, UPWARD)]
    if both or not _leftward(pattern):
        ways.append((right, (1.0, 0.0)))
    if both or _leftward(pattern):
        ways.append((left, (-1.0, 0.0)))
    paths = [path for _, way in ways for path in _arrow(np.zeros(2), np.array(way), ARM)]
    words = [(word, (ARM * way[0], ARM * way[1])) for word, way in ways]
    x, y = _roomiest(pattern).tolist()
    figure = compass(paths, words, height=WORDS)
    home = home_of(pattern)
    return [Note(text="", target=(x, y), height=WORDS, reach=250.0, rank=2, figure=figure, home=home)]


def _grain(pattern: Pattern) -> list[Note]:
    """Arrows both ways along the grain."""
    if pattern.template or pattern.grain == (0.0, 0.0):
        return []
    along = np.asarray(pattern.grain) / np.hypot(*pattern.grain)
    wood = _roomiest(pattern)
    start = np.zeros(2)
    both_ways = [*_arrow(start, along, 22.0), *_arrow(start, -along, 22.0)]
    figure = compass(both_ways, [("grain", (-3.0 * float(along[1]), 3.0 * float(along[0])))], height=WORDS)
    at = (float(wood[0]), float(wood[1]))
    return [
        Note(
            text="",
            target=at,
            height=WORDS,
            reach=250.0,
            rank=3,
            figure=figure,
            layer=NOTES,
            home=home_of(pattern),
        )
    ]


def _drawn_half(pattern: Pattern, *, whole: bool) -> str:
    """The side that is drawn where the other is to be had by flipping; else empty."""
    if not pattern.half or whole:
        return ""
    return pattern.sides[1] if _leftward(pattern) else pattern.sides[0]


def _leftward(pattern: Pattern) -> bool:
    """Whether a half lies to the left of its centreline, as the other face's does."""
    return float(np.vstack([line.points for line in pattern.of_kind(Kind.SAW)])[:, 0].mean()) < 0.0


def _roomiest(pattern: Pattern) -> FloatArray:
    """The middle of the broadest part of the wood."""
    wood = max((area_of(line.points) for line in pattern.of_kind(Kind.SAW)), key=lambda area: area.area)
    return np.array(roomiest(wood)[:2])
