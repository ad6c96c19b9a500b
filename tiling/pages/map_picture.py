"""The picture of a map: the cells of a taped pattern with their names, its outlines, the targets."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from string import ascii_uppercase as LETTERS  # noqa: N812

import numpy as np
from numpy.typing import NDArray

from tiling.distances.checks import Check
from tiling.drawing import XY, Disc, FloatArray, Stroke
from tiling.drawing.vertices import joined
from tiling.layout.fences import cut_at
from tiling.layout.page_layout import row_letters
from tiling.layout.shared_pages import NAMES
from tiling.pages.text_flow import Flow
from tiling.paper import Box
from tiling.pdf.shapes import FINE, THIN, Ink
from tiling.planning.plan import Plan
from tiling.text.lines import BODY
from tiling.text.typeface import text_width

__all__ = ["MapGrid", "draw_map"]

SMALLEST = 2.5  # height of a capital in a map, mm
LARGEST = 0.2  # scale of a map; a small piece needs no large one
AROUND = 5.0  # mm around the cells, for the targets' letters and the rows' and columns' names
SEEN = 2.5  # mm on the map; a smaller stroke is left out there
COARSE = 0.3  # mm on the map; finer steps of an outline are left out there
MISSING = Stroke(width=0.18, dash=(1.0, 1.0))
OUTLINE = Stroke(width=0.35)
SIGHT = Stroke(width=0.13, dash=(3.0, 1.5))
NUMBER = 2.9  # mm; radius of the ring around the number of one of several pieces
AROUND_IT = np.array([(x, y) for x in (-1.0, 0.0, 1.0) for y in (-1.0, 0.0, 1.0)])
SHARES = (0.0, 0.25, 0.5, 0.75, 1.0)  # of the way across a cell and down
NEAR_BY = np.array([(0.0, 0.0), (1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)])
SIGN = 40  # as many points of strokes a point of a letter or of a number weighs
OFF = 3.6  # mm from a target to the middle of its letter
TURNED = np.array(
    [
        [[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]]
        for turn in np.radians([0, 35, -35, 70, -70, 105, -105, 140, -140, 180])
    ]
)  # ways round a target, the one straight out first
Place = Callable[[FloatArray], FloatArray]


@dataclass(frozen=True, slots=True, kw_only=True)
class MapGrid:
    """The taped pattern's own rectangle, and its cells, grid coordinates.

    Attributes:
        cells: name, box, and the tile's index where it is printed.
        columns: a cell of each column by its number; none where rows are shifted or uneven.
        least: breadth and height of the smallest cell.
        widest: a name as long as any.
    """

    box: Box
    cells: tuple[tuple[str, Box, int | None], ...]
    columns: dict[str, Box]
    least: XY = field(init=False)
    widest: str = field(init=False)

    def __post_init__(self) -> None:
        boxes = np.array([box for _, box, _ in self.cells])
        wide, tall = (boxes[:, 2:] - boxes[:, :2]).min(axis=0).tolist()
        object.__setattr__(self, "least", (wide, tall))
        object.__setattr__(self, "widest", max((name for name, _, _ in self.cells), key=len))

    @classmethod
    def of(cls, plan: Plan) -> MapGrid:
        """All cells of the grid, printed or not; where rows are shifted or uneven, those that are printed."""
        layout = plan.layout
        step_x, step_y = layout.page.step
        half = 0.5 * layout.page.overlap
        windows = [tile.window for tile in layout.tiles]
        x0, y0 = min(w[0] for w in windows), min(w[1] for w in windows)
        x1, y1 = max(w[2] for w in windows), max(w[3] for w in windows)
        if layout.shifted or layout.uneven:
            printed = tuple((tile.name, layout.visible(tile), i) for i, tile in enumerate(layout.tiles))
            return cls(box=(x0, y0, x1, y1), cells=printed, columns={})
        xs = [x0, *(x0 + half + step_x * (i + 1) for i in range(layout.columns - 1)), x1]
        ys = [y1, *(y1 - half - step_y * (i + 1) for i in range(layout.rows - 1)), y0]
        cells = tuple(
            (
                f"{row_letters(row)}{column + 1}",
                (xs[column], ys[row + 1], xs[column + 1], ys[row]),
                layout.index_at(row, column),
            )
            for row in range(layout.rows)
            for column in range(layout.columns)
        )
        columns = {name.lstrip(LETTERS): cell for name, cell, _ in cells}
        return cls(box=(x0, y0, x1, y1), cells=cells, columns=columns)

    def scale(self, wide: float, tall: float) -> float:
        """How small the map is that fits a box, with some room around it."""
        x0, y0, x1, y1 = self.box
        return min((wide - 2.0 * AROUND) / (x1 - x0), (tall - 2.0 * AROUND) / (y1 - y0), LARGEST)

    def height_in(self, wide: float, tall: float) -> float:
        """Height of the map in a box, mm."""
        return (self.box[3] - self.box[1]) * self.scale(wide, tall) + 2.0 * AROUND

    def width_in(self, wide: float, tall: float) -> float:
        """Breadth of the map in a box, mm."""
        return (self.box[2] - self.box[0]) * self.scale(wide, tall) + 2.0 * AROUND

    def rows(self) -> dict[str, Box]:
        """A cell of each row by its letters."""
        return {name.rstrip("0123456789"): cell for name, cell, _ in self.cells}

    def name_height(self, scale: float) -> float:
        """Height of the capitals in the cells, mm: as large as fits, 5 at most; 0 where none does."""
        least_wide, least_tall = self.least[0] * scale - 1.0, self.least[1] * scale - 1.0
        for height in (5.0, BODY, SMALLEST):
            if text_width(self.widest, height) <= least_wide and height <= least_tall:
                return height
        return 0.0

    def names_fit(self, wide: float, tall: float) -> bool:
        """The names of the pages can be read in their cells."""
        return self.name_height(self.scale(wide, tall)) >= BODY


def draw_map(flow: Flow, plan: Plan, grid: MapGrid, box: Box, first: int) -> int:
    """Draw it, each printed cell leading to its page; returns the number of the page on which it stands."""
    if not first:
        return flow.number
    ink = flow.ink
    scale = grid.scale(box[2] - box[0], box[3] - box[1])
    x0, _, _, y1 = grid.box

    def place(points: FloatArray) -> FloatArray:
        return np.asarray((points - (x0, y1)) * scale + (box[0] + AROUND, box[3] - AROUND), dtype=float)

    height = grid.name_height(scale)
    names: list[tuple[str, Box]] = []
    for name, cell, index in grid.cells:
        (left, low), (right, high) = place(np.array([cell[:2], cell[2:]])).tolist()
        x, y = 0.5 * (left + right), 0.5 * (low + high)
        if index is not None:
            ink.box(left, low, right, high, THIN)
            names.append((name, (left, low, right, high)))
            flow.link((left, low, right, high), first + index)
        else:
            arm = min(2.5, 0.3 * (right - left), 0.3 * (high - low))
            ink.lines(
                [((x - arm, y - arm), (x + arm, y + arm)), ((x - arm, y + arm), (x + arm, y - arm))], MISSING
            )
    drawn = _draw_outlines(ink, plan, grid, place)
    spots = _target_spots(plan, grid, place)
    numbers = _number_spots(plan, place, [at for _, at in spots.values()])
    # A letter or a number weighs as much as many strokes, so that no page's name stands on it.
    letters = np.array([at for _, at in spots.values()]).reshape(-1, 1, 2) + 0.5 * BODY * AROUND_IT
    rings = np.array(list(numbers.values())).reshape(-1, 1, 2) + NUMBER * AROUND_IT
    signs = np.concatenate([letters, rings]).reshape(-1, 2)
    weights = np.repeat([1, SIGN], [len(drawn), len(signs)])
    drawn = np.vstack([drawn, signs])
    if height:
        for name, cell in names:
            near = np.flatnonzero(_within(drawn, cell))
            high, at = _name_in_cell(name, cell, height, drawn[near], weights[near])
            _clear_words(ink, name, at, high)
    else:
        _name_edges(ink, grid, place)
    _draw_targets(ink, plan, place, spots)
    for number, (x, y) in numbers.items():
        ink.panel(x - NUMBER, y - NUMBER, x + NUMBER, y + NUMBER, grey=1.0)
        ink.disc(Disc(centre=(x, y), radius=NUMBER, filled=False))
        ink.words(number, (x, y - 0.5 * BODY), BODY, align="middle")
    return flow.number


def _within(points: FloatArray, cell: Box) -> NDArray[np.bool_]:
    """Which points lie in a cell, or little above or below it."""
    x, y = points.T
    found = (x > cell[0]) & (x < cell[2]) & (y > cell[1] - 1.0) & (y < cell[3] + 1.0)
    return np.asarray(found, dtype=bool)


def _name_in_cell(
    name: str, cell: Box, height: float, drawn: FloatArray, weights: NDArray[np.intp]
) -> tuple[float, XY]:
    """The height of a name, as it is given or lower where it would stand on a letter or a number, and its place."""
    found = []
    for high in dict.fromkeys((height, *(h for h in (BODY, SMALLEST) if h < height))):
        under, at = _place_in_cell(name, cell, high, drawn, weights)
        found.append((under >= SIGN, under, -high, at))
        if under < SIGN:
            break
    _, _, high, at = min(found)
    return -high, at


def _place_in_cell(
    name: str, cell: Box, height: float, drawn: FloatArray, weights: NDArray[np.intp]
) -> tuple[float, XY]:
    """The weight of what lies under a name, and the middle of its base line: in the cell's middle, a corner, or
    wherever the least is drawn.

    Args:
        drawn: shape (n, 2), places on what is drawn near the cell.
        weights: shape (n,), of each.
    """
    left, low, right, high = cell
    half = 0.5 * text_width(name, height)
    x, y = 0.5 * (left + right), 0.5 * (low + high - height)

    sides, ends = (left + half + 1.2, right - half - 1.2), (high - height - 1.2, low + 1.2)
    corners = [(side, end) for end in ends for side in sides]
    between = [
        (sides[0] + share * (sides[1] - sides[0]), ends[0] + rise * (ends[1] - ends[0]))
        for rise in SHARES
        for share in SHARES
    ]
    least, best = math.inf, (x, y)
    for places in ([(x, y)], corners, between):
        middles = np.add(places, (0.0, 0.5 * height))
        off = np.abs(drawn - middles[:, None, :])
        hidden = (off[..., 0] < half + 0.6) & (off[..., 1] < 0.5 * height + 0.6)
        under = (hidden @ weights).tolist()
        if min(under) < least:
            least = min(under)
            best = places[under.index(least)]
        if not least:
            break
    return least, best


def _name_edges(ink: Ink, grid: MapGrid, place: Place) -> None:
    """Where cells are too small for their names: rows named on the left, columns below, as many as have room."""
    x0, y0, _, _ = grid.box
    last = -np.inf
    for row, cell in sorted(grid.rows().items(), key=lambda item: item[1][1]):
        x, y = place(np.array([[x0, 0.5 * (cell[1] + cell[3])]]))[0].tolist()
        if y - last >= 1.3 * SMALLEST:
            ink.words(row, (x - 1.0, y - 0.5 * SMALLEST), SMALLEST, align="right")
            last = y
    last = -np.inf
    for column, cell in grid.columns.items():
        x, y = place(np.array([[0.5 * (cell[0] + cell[2]), y0]]))[0].tolist()
        half = 0.5 * text_width(column, SMALLEST)
        if x - half >= last:
            ink.words(column, (x, y - 1.0 - SMALLEST), SMALLEST, align="middle")
            last = x + half + 1.0


def _clear_words(ink: Ink, words: str, at: XY, height: float) -> None:
    """Words about a middle, on a ground cleared of lines."""
    half = 0.5 * text_width(words, height) + 0.4
    ink.panel(at[0] - half, at[1] - 0.4, at[0] + half, at[1] + height + 0.4, grey=1.0)
    ink.words(words, at, height, align="middle")


def _draw_outlines(ink: Ink, plan: Plan, grid: MapGrid, place: Place) -> FloatArray:
    """All strokes that are large enough to be seen, in two breadths; returns places on them, one every 0.7 mm."""
    turned = (
        replace(path, points=plan.layout.to_grid.apply(path.points)) for path in plan.piece.drawing.paths
    )
    paths = tuple(cut_at(turned, grid.box))  # what is aside runs on where no page is
    points, starts = joined(paths)
    if not len(points):
        return points
    points = place(points)
    reach = np.maximum.reduceat(points, starts, axis=0) - np.minimum.reduceat(points, starts, axis=0)
    # one vertex in each COARSE of the way is enough to the eye
    steps = np.hypot(*np.diff(points, axis=0, prepend=points[:1]).T)
    steps[starts] = 0.0  # nothing is drawn from one path to the next
    way = np.cumsum(steps)
    keep = np.diff(way // COARSE, prepend=-1.0) != 0.0
    keep[starts] = keep[np.append(starts[1:], len(points)) - 1] = True
    ends = np.append(starts[1:], len(points))
    firm: list[FloatArray] = []
    fine: list[FloatArray] = []
    for index in np.flatnonzero(reach.max(axis=1) >= SEEN).tolist():
        part = slice(starts[index], ends[index])
        (firm if paths[index].stroke.width >= 0.5 else fine).append(points[part][keep[part]])
    ink.polylines(fine, FINE)
    ink.polylines(firm, OUTLINE)
    stops = np.arange(0.0, way[-1], 0.7)
    return np.column_stack([np.interp(stops, way, points[:, 0]), np.interp(stops, way, points[:, 1])])


def _number_spots(plan: Plan, place: Place, letters: Sequence[XY]) -> dict[str, XY]:
    """Where several pieces share the pages: the middle of each one's number, where its name stands in its wood, or
    beside that, clear of the targets' letters."""
    names = [note for note in plan.drawing.notes if note.room >= 0 and note.rank == NAMES]
    if not names:
        return {}
    spots = place(plan.layout.to_grid.apply(np.array([note.target for note in names])))
    taken = np.array(letters).reshape(-1, 2)
    found = {}
    for note, spot in zip(names, spots, strict=True):
        ways = spot + 2.0 * NUMBER * NEAR_BY
        off = np.hypot(*(ways[:, None] - taken[None]).T).min(axis=0, initial=np.inf)
        clear = np.flatnonzero(off > NUMBER + BODY)
        x, y = ways[clear[0] if len(clear) else off.argmax()].tolist()
        found[str(note.room + 1)] = (x, y)
    return found


def _target_spots(plan: Plan, grid: MapGrid, place: Place) -> dict[str, tuple[XY, XY]]:
    """By letter: where each target is on the map, and the middle of its letter, rather away from the map's middle,
    and clear of other letters and targets."""
    middle = place(np.array([grid.box[:2], grid.box[2:]])).mean(axis=0)
    ends = {
        name: at
        for check in plan.checks
        for name, at in zip(check.letters, _ends(plan, check, place), strict=True)
    }
    spots: dict[str, tuple[XY, XY]] = {}
    for name, (x, y) in ends.items():
        way = np.array([x, y]) - middle
        way = way / max(float(np.hypot(*way)), 1e-9) * OFF
        others = np.array([*(letter for _, letter in spots.values()), *ends.values()])
        tries = np.array([x, y]) + way @ TURNED
        clear = np.hypot(*(tries[:, None] - others[None]).T).min(axis=0)
        # an outer place that is clear enough, else the clearest
        best = next((at for at, off in enumerate(clear) if off > 0.95 * OFF), int(clear.argmax()))
        spots[name] = (x, y), (float(tries[best, 0]), float(tries[best, 1]))
    return spots


def _ends(plan: Plan, check: Check, place: Place) -> list[XY]:
    ends = place(plan.layout.to_grid.apply(np.array([check.distance.start, check.distance.end])))
    return [(x, y) for x, y in ends.tolist()]


def _draw_targets(ink: Ink, plan: Plan, place: Place, spots: dict[str, tuple[XY, XY]]) -> None:
    """A spot and a letter at each target; thin lines between them."""
    for check in plan.checks:
        ink.lines([_ends(plan, check, place)], SIGHT)
    for name, (spot, (x, y)) in spots.items():
        ink.disc(Disc(centre=spot, radius=0.7))
        _clear_words(ink, name, (x, y - 0.5 * BODY), BODY)
