"""Long distances over taped pages: which are measured, what they must read, and their printed targets."""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tiling.drawing import XY, Disc, Distance, Drawing, FloatArray, Note
from tiling.drawing.tolerance import steady
from tiling.layout.page_layout import PageLayout
from tiling.paper import MM_PER_INCH

__all__ = [
    "Check",
    "band",
    "checks_of",
    "feet_inches",
    "seams_between",
    "seams_on_way",
    "targets_of",
    "tile_at",
    "with_targets",
]

# The accepted band is the most that honest measuring may be off, mm:
#   a steel tape of accuracy class II, 0.3 + 0.2 for each metre begun (UK SI 2016/1153, schedule 1I, table 1),
#   the eye, 0.5 in all for both ends (our own figure), and each taped seam, 0.2 (our own figure).
TAPE_FIXED, TAPE_PER_METRE, EYE, SEAM = 0.3, 0.2, 0.5, 0.2

LETTERS = "PQRSTUVWXYZ"  # far from the rows' A, B, C; a page's name always has a figure besides
FEWEST = 2  # distances on a taped pattern; missing ones are chosen on its ink
APART = math.radians(30.0)  # a second distance should run another way than the first
LEAST = 150.0  # mm; a shorter one proves nothing that the ruler does not
ASLANT = np.array([1.0, 0.317])  # along it lie the first of distances that are equally long
TILT = 0.0065  # radians; square to no edge that is drawn level or plumb: no two corners are farthest by noise alone
SAME = 0.01  # mm; two targets at one place are one


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """One distance to be measured.

    Attributes:
        name: what is measured, in the drawing's words; may be empty.
        letters: the targets' names.
        distance: the two places, drawing coordinates.
        seams: taped joints between the two.
        true: what it is on the thing, mm; on paper it is ``distance.length``.
    """

    name: str
    letters: tuple[str, str]
    distance: Distance
    seams: int
    true: float

    @property
    def allowed(self) -> float:
        """How far the reading may be off either way, mm."""
        return band(self.distance.length, seams=self.seams)


def band(length: float, *, seams: int) -> float:
    """How far a reading of ``length`` mm over ``seams`` taped joints may be off either way, mm.

    Source: the tape's share after UK SI 2016/1153, schedule 1I, paragraph 2, table 1 (class II, whole metres
    rounded up); reading and joints are our own figures.
    """
    metres = math.ceil(length / 1000.0 - 1e-9)
    return TAPE_FIXED + TAPE_PER_METRE * metres + EYE + SEAM * seams


def feet_inches(mm: float) -> str:
    """A length in feet and inches to the nearest sixteenth, as ``4 ft 3 5/16 in``."""
    sixteenths = round(mm / MM_PER_INCH * 16.0)
    feet, rest = divmod(sixteenths, 12 * 16)
    inches, part = divmod(rest, 16)
    words = [f"{feet} ft"] if feet else []
    if part:
        shared = math.gcd(part, 16)
        fraction = f"{part // shared}/{16 // shared}"
        words.append(f"{inches} {fraction} in" if inches else f"{fraction} in")
    elif inches or not feet:
        words.append(f"{inches} in")
    return " ".join(words)


def target_letter(index: int) -> str:
    """P, Q ... Z, then P2, Q2 ..."""
    turn, place = divmod(index, len(LETTERS))
    return LETTERS[place] + (str(turn + 1) if turn else "")


def targets_of(drawing: Drawing, *, taped: bool) -> tuple[Distance, ...]:
    """The distances to be measured on a drawing: its own, and as many more as make two on a taped one."""
    found = list(drawing.distances)
    if taped:
        points = _ink(drawing.needed())
        while len(found) < FEWEST:
            more = _longest(points, found)
            if more is None:
                break
            found.append(more)
    return tuple(found)


def _ink(drawing: Drawing) -> FloatArray:
    """Places that a target may stand on: discs' centres and vertices of full strokes, at most some hundreds."""
    discs = [disc.centre for disc in drawing.discs]
    lines = [path.points for path in drawing.paths if not path.filled and not path.stroke.dash]
    lines = lines or [path.points for path in drawing.paths]
    points = (
        np.vstack([*lines, *([np.array(discs)] if discs else [])]) if lines or discs else np.zeros((0, 2))
    )
    if not len(points):
        return points
    # the farthest vertex in each of many directions: nothing within could be part of a longest distance
    ways = TILT + np.linspace(0.0, 2.0 * math.pi, 180, endpoint=False)
    best = np.unique(steady(points @ np.array([np.cos(ways), np.sin(ways)])).argmax(axis=0))
    return np.asarray(points[best], dtype=float)


def _longest(points: FloatArray, taken: Sequence[Distance]) -> Distance | None:
    """The longest distance between two of the points that runs another way than those taken."""
    if len(points) < 2:
        return None
    along = points[None, :, :] - points[:, None, :]
    length = np.hypot(along[..., 0], along[..., 1])
    worth = length.copy()
    for distance in taken:
        way = np.subtract(distance.end, distance.start) / max(distance.length, SAME)
        across = np.abs(along[..., 0] * way[1] - along[..., 1] * way[0])
        worth[across < math.sin(APART) * length] = 0.0
    whole = steady(worth)
    pairs = np.argwhere(whole == whole.max())  # each of them either way
    order = points @ ASLANT
    if not len(pairs):  # a coordinate that is not a number, which is refused where ink is looked for
        return None
    rank = np.lexsort((steady(order[pairs[:, 0]]), steady(order[pairs].sum(axis=1))))
    first, second = pairs[rank[0]].tolist()
    if worth[first, second] < LEAST:
        return None
    start, end = points[first], points[second]
    return Distance(name="", start=(float(start[0]), float(start[1])), end=(float(end[0]), float(end[1])))


def _places(distances: Sequence[Distance]) -> dict[XY, str]:
    """The letter of each target; a place that ends two distances has one letter."""
    letters: dict[XY, str] = {}
    for distance in distances:
        for place in (distance.start, distance.end):
            known = any(math.dist(place, other) < SAME for other in letters)
            if not known:
                letters[place] = target_letter(len(letters))
    return letters


def _letter_at(letters: dict[XY, str], place: XY) -> str:
    return next(name for other, name in letters.items() if math.dist(place, other) < SAME)


def with_targets(drawing: Drawing, distances: Sequence[Distance]) -> Drawing:
    """The drawing with a small ringed disc and a letter at either end of every distance."""
    letters = _places(distances)
    discs = [Disc(centre=at, radius=0.5) for at in letters]
    discs += [Disc(centre=at, radius=2.5, filled=False, width=0.18) for at in letters]
    notes = [Note(text=name, target=at, reach=30.0, rank=1) for at, name in letters.items()]
    return drawing.with_more(discs=discs, notes=notes)


def checks_of(distances: Sequence[Distance], layout: PageLayout) -> tuple[Check, ...]:
    """The distances with their letters and the seams that each crosses."""
    letters = _places(distances)
    return tuple(
        Check(
            name=distance.name,
            letters=(_letter_at(letters, distance.start), _letter_at(letters, distance.end)),
            distance=distance,
            seams=seams_between(layout, distance.start, distance.end),
            true=layout.page.scale.true(distance.length),
        )
        for distance in distances
    )


def seams_between(layout: PageLayout, start: XY, end: XY) -> int:
    """Taped joints on the shortest way over the pages from one place to the other, drawing coordinates."""
    first, last = (tile_at(layout, layout.to_grid.at(place)) for place in (start, end))
    return seams_on_way(layout, first, last)


def seams_on_way(layout: PageLayout, first: int, last: int) -> int:
    """Taped joints on the shortest way from one tile to another, by their indices."""
    joined: dict[int, list[int]] = {}
    for seam in layout.seams:
        joined.setdefault(seam.over, []).append(seam.under)
        joined.setdefault(seam.under, []).append(seam.over)
    steps = {first: 0}
    queue = deque([first])
    while queue:
        here = queue.popleft()
        if here == last:
            return steps[here]
        for there in joined.get(here, ()):
            if there not in steps:
                steps[there] = steps[here] + 1
                queue.append(there)
    return len(layout.tiles)  # not joined: as loose as can be


def tile_at(layout: PageLayout, place: XY) -> int:
    """The page on which a place of the grid is seen when all is taped (the nearest one, if none)."""

    def off(index: int) -> float:
        x0, y0, x1, y1 = layout.visible(layout.tiles[index])
        return math.hypot(max(x0 - place[0], 0.0, place[0] - x1), max(y0 - place[1], 0.0, place[1] - y1))

    return min(range(len(layout.tiles)), key=off)
