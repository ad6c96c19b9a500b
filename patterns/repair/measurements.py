"""What was measured, as a page to take to the boat, and a blank sheet with the columns of the points' file."""

from __future__ import annotations

from collections.abc import Iterator
from typing import BinaryIO

import numpy as np

from patterns.hull.planes import FloatArray
from patterns.repair.fairing import FairSide
from patterns.repair.measuring.spots import CENTRELINE, Reference, ReferenceKey
from patterns.repair.places import Side
from patterns.repair.points import HEADINGS
from patterns.repair.repair import Repair
from patterns.shop.views import common_scale
from tiling.books.blank_table import ROW, add_blanks
from tiling.books.book import Book, Cover
from tiling.drawing import Disc, Drawing, Note, Path, Stroke
from tiling.paper import Page

__all__ = ["LEGEND", "measurements_drawing", "write_measurements"]

EDGES: dict[Side, Stroke] = {"starboard": Stroke(width=0.35), "port": Stroke(width=0.35, dash=(3.0, 1.2))}
RESIDUAL = Stroke(width=0.25)
REFERENCE = Stroke(width=0.13, dash=(1.0, 1.0))
TAPE = Stroke(width=0.13, grey=0.65)
TIMES = 10.0  # residuals are drawn so many times as long
LONGEST = 18.0  # mm on paper of a residual; a longer one is cut off and ringed
DOT, RING, CROSS = 0.5, 1.6, 1.5
HEIGHT = 2.5  # of a capital, mm
NAMES = 30.0  # mm of the page's breadth kept for names
TALL = 190.0  # mm of paper that the picture may take
LEGEND = (
    "Starboard is drawn full, port dashed, both as on the starboard side. A line runs from each point to where it "
    f"was measured, {TIMES:.0f} times as long as in the boat; a ring marks one that is longer still. Crosses are "
    "nails, dotted lines straight edges, grey lines the tapes from them to the points. Do not measure this picture."
)
SHARES = (1.3, 1.3, 0.9, 1.5, 1.4, 1.0, 1.0, 1.0, 1.2, 1.1, 1.0)


def write_measurements(stream: BinaryIO, repair: Repair, *, page: Page, mark: str) -> int:
    """Write the page and the blank sheet; returns how many pages there are."""
    cover = Cover(title=repair.name, subject="measurements", mark=mark, creator="scrieve")
    book = Book(stream, cover, page)
    book.chapter(f"Frame {repair.spec.frame} as measured")
    points = np.vstack([_extent(repair, side) for side in repair.sides])
    size = np.ptp(points, axis=0)
    scale = common_scale(min((book.room - NAMES) / float(size[0]), TALL / float(size[1])))
    book.picture(measurements_drawing(repair, 1.0 / scale))
    book.paragraph(f"Scale 1:{scale}. {LEGEND}")
    book.chapter("Blank measuring sheet")
    book.paragraph(
        "From the keel up on each side, a row a point. From: the nails' names, the straight edge's, or nothing. "
        "a, b, c: distances from the nails; along and off the straight edge; half-breadth and height."
    )
    many = int((book.left - 20.0) / ROW)
    add_blanks(book, HEADINGS, [[""] * len(HEADINGS)] * many, SHARES)
    return book.finish()


def measurements_drawing(repair: Repair, scale: float) -> Drawing:
    """Both sides over each other with their points, residuals and what they were measured from, mm of paper."""
    drawing = Drawing(paths=tuple(_tapes(repair, scale)))
    for name, side in repair.sides.items():
        drawing = drawing.with_more(
            paths=[Path(points=scale * side.edge.points, stroke=EDGES[name]), *_residuals(side, scale)],
            discs=[*_dots(side, scale)],
            notes=[*_names(name, side, scale)],
        )
    paths, notes = [], []
    for path, note in _references(repair, scale):
        paths += path
        notes.append(note)
    return drawing.with_more(paths=paths, notes=notes)


def _tapes(repair: Repair, scale: float) -> Iterator[Path]:
    """From each nail to the points measured from it, and square off each straight edge."""
    refs = repair.verdict.model.frames.refs
    for name, side in repair.sides.items():
        for fixed, at in zip(side.points, side.at, strict=True):
            for source in fixed.measured.sources:
                ref = refs[source, "", name]
                start = ref.at if ref.along is None else ref.at + float((at - ref.at) @ ref.along) * ref.along
                yield Path(points=scale * np.array([start, at]), stroke=TAPE)


def _extent(repair: Repair, name: Side) -> FloatArray:
    refs = repair.verdict.model.frames.refs
    own = [ref.at for (source, frame, side), ref in refs.items() if source and not frame and side == name]
    return np.vstack([repair.sides[name].edge.points, *own])


def _gaps(side: FairSide, scale: float) -> Iterator[tuple[FloatArray, FloatArray]]:
    """Each point's place on the fair edge, and the way to where it was measured, magnified, mm of paper."""
    for fixed, at in zip(side.points, side.at, strict=True):
        yield scale * at, TIMES * (fixed.at - at)


def _residuals(side: FairSide, scale: float) -> Iterator[Path]:
    for at, gap in _gaps(side, scale):
        far = float(np.hypot(*gap))
        if far > DOT:
            yield Path(points=np.array([at, at + gap * min(1.0, LONGEST / far)]), stroke=RESIDUAL)


def _dots(side: FairSide, scale: float) -> Iterator[Disc]:
    for at, gap in _gaps(side, scale):
        yield Disc(centre=(float(at[0]), float(at[1])), radius=DOT)
        far = float(np.hypot(*gap))
        if far > LONGEST:
            end = at + gap * LONGEST / far
            yield Disc(centre=(float(end[0]), float(end[1])), radius=RING)


def _names(name: Side, side: FairSide, scale: float) -> Iterator[Note]:
    """Starboard's names stand outside of the edge, port's inside."""
    way = 1.0 if name == "starboard" else -1.0
    edge = scale * side.at
    for i, fixed in enumerate(side.points):
        run = edge[min(i + 1, len(edge) - 1)] - edge[max(i - 1, 0)]
        out = way * np.array([run[1], -run[0]]) / max(float(np.hypot(*run)), 1e-9)
        target = edge[i] + 3.5 * out
        yield Note(
            text=fixed.measured.name,
            target=(float(target[0]), float(target[1])),
            towards=(float(out[0]), float(out[1])),
            height=HEIGHT,
        )


def _references(repair: Repair, scale: float) -> Iterator[tuple[list[Path], Note]]:
    """Each nail as a cross and each straight edge as a line; what both sides have at one place is drawn once."""
    refs = repair.verdict.model.frames.refs
    own = {key: ref for key, ref in refs.items() if key[0] != CENTRELINE and not key[1]}
    places: dict[tuple[float, ...], list[ReferenceKey]] = {}
    for key, ref in own.items():
        places.setdefault(tuple(np.round(ref.at, 1)), []).append(key)
    for keys in places.values():
        name, _, side = keys[0]
        ref = own[keys[0]]
        x, y = (float(value) for value in scale * ref.at)
        if ref.along is None:
            arms = [
                np.array([[x - CROSS, y - way * CROSS], [x + CROSS, y + way * CROSS]]) for way in (1.0, -1.0)
            ]
            lines = [Path(points=arm, stroke=RESIDUAL) for arm in arms]
        else:
            lines = [Path(points=scale * _line(repair, name, side, ref), stroke=REFERENCE)]
        words = ", ".join(dict.fromkeys(key[0] for key in keys))
        yield lines, Note(text=words, target=(x + 2.0, y + 2.0), towards=(1.0, 0.0), height=HEIGHT)


def _line(repair: Repair, source: str, side: str, ref: Reference) -> FloatArray:
    """A straight edge as far along as points were measured from it, (2, 2)."""
    spots = repair.verdict.model.frames.spots
    used = [s.values[0] for s in spots if s.sources == (source,) and s.side == side and not s.frame]
    assert ref.along is not None
    return np.array([ref.at, ref.at + max(used) * ref.along])
