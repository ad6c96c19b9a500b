"""The short mark of each piece: pages with different marks must not be taped together.

It is computed from all that is drawn of the piece and how its pages lie, and from nothing else: a piece that comes
out the same keeps its mark when others change, and a page number alone changes no mark.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from tiling.affine import Affine
from tiling.drawing import XY, Figure, Path
from tiling.plan import Job, Plan

__all__ = ["LETTERS", "mark_of", "marked"]

# Without 0 and O, 1 and I, 5 and S, 8 and B: read aloud over a floor of paper they are taken for each other.
# Without the broad M and W, so that marks need about the same room.
LETTERS = "234679ACDEFGHJKLNPQRTUVXYZ"
LENGTH = 5
PER_MM = 1000.0  # a thousandth is what the file's own coordinates tell apart


def mark_of(digest: bytes) -> str:
    """A short mark from a digest of eight bytes or more."""
    number = int.from_bytes(digest[:8], "big")
    mark = ""
    for _ in range(LENGTH):
        number, place = divmod(number, len(LETTERS))
        mark += LETTERS[place]
    return mark


def marked(job: Job, plans: Sequence[Plan]) -> tuple[Plan, ...]:
    """The plans, each with its mark; none where the job has no mark."""
    if not job.mark:
        return tuple(plans)
    return tuple(replace(plan, mark=_mark(job, plan)) for plan in plans)


def _mark(job: Job, plan: Plan) -> str:
    digest = hashlib.sha256()
    printer = "" if job.correction is None else job.correction.words()
    for part in (repr((job.title, plan.label, printer, repr(plan.layout.page))).encode(), *_drawn(plan)):
        digest.update(len(part).to_bytes(8, "big"))
        digest.update(part)
    return mark_of(digest.digest())


def _whole(*points: XY) -> list[int]:
    """A few points in whole thousandths of a millimetre."""
    return [round(coordinate * PER_MM) for point in points for coordinate in point]


def _drawn(plan: Plan) -> Iterator[bytes]:
    layout, drawing = plan.layout, plan.drawing
    yield repr([(tile.name, _whole(tile.window[:2], tile.window[2:])) for tile in layout.tiles]).encode()
    yield repr([(seam.over, seam.under, _whole(*seam.marks)) for seam in layout.seams]).encode()
    yield from _paths(drawing.paths, layout.to_grid)
    for disc in drawing.discs:
        yield repr(
            (_whole(layout.to_grid.at(disc.centre)), disc.radius, disc.filled, disc.width, disc.layer)
        ).encode()
    yield from _words(plan)
    yield repr(
        [(check.name, check.letters, round(check.distance.length, 3)) for check in plan.checks]
    ).encode()


def _words(plan: Plan) -> Iterator[bytes]:
    """The words with their places, all of which are made whole at once."""
    lines = [line for words in plan.words for line in words.lines]
    places = iter(np.rint(np.array([line.at for line in lines]).reshape(-1, 2) * PER_MM).astype(int).tolist())
    for words in plan.words:
        yield f"[{', '.join([f'({line.text!r}, {next(places)})' for line in words.lines])}]".encode()
        note = plan.drawing.notes[words.note]
        beside = [_whole(*(words.leader or ())), [] if words.figure is None else _whole(words.figure)]
        yield f"({words.height!r}, {note.layer!r}, {beside})".encode()
        yield from _figure(note.figure)


def _paths(paths: Sequence[Path], place: Affine) -> Iterator[bytes]:
    """How they are stroked, and all their points at once."""
    if paths:
        yield f"[{', '.join(_looks(paths))}]".encode()
        points = place.apply(np.concatenate([path.points for path in paths]))
        yield np.rint(points * PER_MM).astype("<i8").tobytes()


def _looks(paths: Sequence[Path]) -> Iterator[str]:
    """How each is stroked, and how many points it has; most look like others."""
    known: dict[tuple[int, bool, bool, str], str] = {}
    for path in paths:
        stroke = path.stroke
        look = id(stroke), path.closed, path.filled, path.layer
        if look not in known:
            known[look] = repr((stroke.width, stroke.dash, stroke.grey, *look[1:]))[:-1]
        yield f"{known[look]}, {len(path.points)})"


def _figure(figure: Figure | None) -> Iterator[bytes]:
    if figure is not None:
        yield from _paths(figure.paths, Affine())
