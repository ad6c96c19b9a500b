"""The map of each taped pattern's pages: which page lies where, and what to measure when all are taped."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from patterns.picture.plates import PicturePlate, PicturePoint, Run
from tiling.drawing import ROOM, Drawing, FloatArray, Stroke
from tiling.planning.plan import Plan

__all__ = ["Taped", "map_plate", "measures", "taped"]

OUTLINE = Stroke(width=0.5)
FINE = Stroke(width=0.18)
EDGE = Stroke(width=0.25, dash=(2.0, 1.0))
SEEN = 12.0  # mm; ticks and crosses that are shorter are left out


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Taped:
    """A taped pattern with the numbers of its pages.

    Attributes:
        key: its map's name in the page.
        first, last: its first and its last page in the file.
    """

    plan: Plan
    key: str
    first: int
    last: int

    @property
    def names(self) -> tuple[str, ...]:
        """The patterns on it."""
        return tuple(piece.name for piece in self.plan.piece.parts or (self.plan.piece,))

    @property
    def words(self) -> str:
        """Its pages in words."""
        return f"page {self.first}" if self.first == self.last else f"pages {self.first} to {self.last}"


def taped(plans: Sequence[Plan], *, first: int) -> tuple[Taped, ...]:
    """Every taped pattern with its pages, which follow each other from number ``first``."""
    found: list[Taped] = []
    for number, plan in enumerate(plans, start=1):
        last = first + len(plan.layout.tiles) - 1
        found.append(Taped(plan=plan, key=f"m{number}", first=first, last=last))
        first = last + 1
    return tuple(found)


def map_plate(pattern: Taped, *, total: int) -> PicturePlate:
    """The pages of one taped pattern as they come to lie, out of ``total`` in the file."""
    plan = pattern.plan
    return PicturePlate(
        key=pattern.key,
        title=f"pages of {plan.label}",
        strokes=((EDGE, _edges(plan)), (FINE, _lines(plan, firm=False)), (OUTLINE, _lines(plan, firm=True))),
        points=(*_pages(plan, pattern.first, total), *_targets(plan), *_pieces(plan)),
    )


def measures(plan: Plan) -> tuple[str, ...]:
    """The long distances over the taped pattern, each with its accepted band."""
    found = []
    for check in plan.checks:
        length, allowed = check.distance.length, check.allowed
        name = f"{check.name}, " if check.name else ""
        found.append(
            f"{name}{check.letters[0]} to {check.letters[1]}: {length:.1f} mm, "
            f"accepted {length - allowed:.1f} to {length + allowed:.1f} mm"
        )
    return tuple(found)


def _edges(plan: Plan) -> tuple[Run, ...]:
    runs = []
    for tile in plan.layout.tiles:
        x0, y0, x1, y1 = plan.layout.visible(tile)
        runs.append((np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]]), True))
    return tuple(runs)


def _lines(plan: Plan, *, firm: bool) -> tuple[Run, ...]:
    """The piece's strokes as they lie on the pages, the firm ones or the others; short ones are left out."""
    runs = []
    for path in plan.piece.drawing.paths:
        if (path.stroke.width >= OUTLINE.width) is not firm or np.ptp(path.points, axis=0).max() < SEEN:
            continue
        runs.append((plan.layout.to_grid.apply(path.points), path.closed))
    return tuple(runs)


def _pages(plan: Plan, first: int, total: int) -> Iterator[PicturePoint]:
    for number, tile in enumerate(plan.layout.tiles, start=first):
        x0, y0, x1, y1 = plan.layout.visible(tile)
        yield PicturePoint(
            at=(0.5 * (x0 + x1), 0.5 * (y0 + y1)),
            words=f"page {number} of {total}: {plan.page_name(tile)}",
            sign="page",
            half=(0.5 * (x1 - x0), 0.5 * (y1 - y0)),
            label=f"{number}\n{tile.name}",
        )


def _targets(plan: Plan) -> Iterator[PicturePoint]:
    said: Sequence[str] = measures(plan)
    for check, words in zip(plan.checks, said, strict=True):
        for letter, at in zip(check.letters, (check.distance.start, check.distance.end), strict=True):
            yield PicturePoint(
                at=plan.layout.to_grid.at(at), words=words, sign="target", label=letter, towards=(0.7, 0.7)
            )


def _pieces(plan: Plan) -> Iterator[PicturePoint]:
    """The names of pieces that share pages, each on its own ground."""
    for piece, ground in zip(plan.piece.parts, _grounds(plan.piece.drawing), strict=False):
        inmost = ground[int(np.hypot(*(ground - ground.mean(axis=0)).T).argmin())]
        at = plan.layout.to_grid.at((float(inmost[0]), float(inmost[1])))
        yield PicturePoint(at=at, words=piece.name, sign="mark", label=piece.name, towards=(0.0, 1.0))


def _grounds(drawing: Drawing) -> Iterator[FloatArray]:
    """Places that belong to each of several pieces, (n, 2): the middle of its box, or those among which it lies."""
    yield from (np.array([[0.5 * (x0 + x1), 0.5 * (y0 + y1)]]) for x0, y0, x1, y1 in drawing.fences)
    yield from (squares + 0.5 * ROOM for squares in drawing.rooms)
