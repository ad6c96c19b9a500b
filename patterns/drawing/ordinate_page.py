"""The page of a piece laid off by ordinates: a small drawing with its base line, and the tables that lay it off."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from patterns.drawing.ordinates import LaidLine, Ordinates
from patterns.drawing.places import places_on
from patterns.drawing.strokes import FINE, FIRM, NAME, STROKES
from patterns.drawing.word_tables import BODY, Shelf, WordTable, figure_of, on_pages
from patterns.hull.planes import FloatArray
from patterns.pattern import Kind, Pattern
from tiling.drawing import XY, Drawing, Note, Path
from tiling.paper import Page
from tiling.text.lines import wrapped
from tiling.text.typeface import LINE_PITCH

__all__ = ["ordinate_pages"]

EDGE = 4.5  # mm of the window left blank; what is drawn up to its very edge takes a second page
PICTURE = 42.0  # mm that the small drawing may take, with its words
ROUND = 8.0  # mm above and below the small drawing for these
LETTERING = 8.5  # mm for the name over all
FOOT = 5.0  # mm between the words and what is above and below them


def ordinate_pages(pattern: Pattern, laid: Ordinates, *, boat: str, page: Page) -> tuple[Drawing, ...]:
    """The drawings of the page, or pages where one does not hold all rows.

    Args:
        boat: its name, for the words.
    """
    x0, y0, x1, y1 = page.window
    sheet = _Sheet(wide=x1 - x0 - 2.0 * EDGE, tall=y1 - y0 - 2.0 * EDGE)
    words = tuple(
        line for each in _words(pattern, laid, boat) for line in wrapped(each, sheet.wide - 4.0, BODY)
    )
    room = sheet.tall - LETTERING - PICTURE - len(words) * LINE_PITCH * BODY - FOOT
    tables = [table for table in _tables(pattern, laid) if table.rows]
    pages = on_pages(tables, sheet.wide - 4.0, room)
    name = f"{pattern.name.upper()} by ordinates"
    titles = [f"{name}, {number} of {len(pages)}" for number in range(1, len(pages) + 1)]
    return tuple(
        _drawing(
            pattern, laid, sheet, _Said(title=name if len(pages) == 1 else title, words=words, shelves=own)
        )
        for title, own in zip(titles, pages, strict=True)
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sheet:
    """The part of a page that is used, mm."""

    wide: float
    tall: float


@dataclass(frozen=True, slots=True, kw_only=True)
class _Said:
    """What a page says: its title, the lines under its tables, and the tables as they are set."""

    title: str
    words: tuple[str, ...]
    shelves: Sequence[Shelf]


def _words(pattern: Pattern, laid: Ordinates, boat: str) -> Iterator[str]:
    """What is said under the tables, a paragraph each."""
    rule = laid.rule
    at, girth = laid.girth
    yield f"{boat}. {pattern.facts[0]}. Quantity: {pattern.quantity}. Shows the {pattern.face}."
    yield (
        f"Base line: the straight edge of the sheet or board; {pattern.sides[2]} is away from it. Distances along "
        f"it are in {rule.unit} from its squared fore end. Carry it and its ticks on through scarfs and full-size "
        "pages."
    )
    yield (
        "Set off each ordinate square to the base line, nail a batten to them and run it on along the edges on the "
        "full-size pages; a row without a figure is on such a page."
    )
    yield (
        f"Accuracy: a batten through these figures is within {_up(laid.out):.2f} mm of the true edge. Check the "
        "girth near mid-length before you cut:"
    )
    yield f"at {rule.with_unit(at)} it is {rule.with_unit(girth)} from edge to edge, square to the base line."


def _up(mm: float) -> float:
    """Rounded up to 0.05 mm."""
    return float(np.ceil(mm / 0.05 - 1e-9) * 0.05)


def _tables(pattern: Pattern, laid: Ordinates) -> Iterator[WordTable]:
    words = laid.rule.words
    yield _ordinate_table(laid, laid.edges, heads=("upper", "lower"))
    for line in laid.lines:
        yield _ordinate_table(laid, (line,), heads=(line.name,))
    places = list(places_on(pattern, laid))
    yield WordTable(
        heads=("line across", "at lower end", "at upper end"),
        named=True,
        rows=tuple(
            (place.name, words(place.low[0]), words(place.high[0]))
            for place in places
            if place.high is not None
        ),
    )
    yield WordTable(
        heads=("place", "along", "up"),
        named=True,
        rows=tuple((place.name, *map(words, place.low)) for place in places if place.high is None),
    )


def _ordinate_table(laid: Ordinates, lines: Sequence[LaidLine], *, heads: tuple[str, ...]) -> WordTable:
    known = [
        {round(float(x), 3): float(y) for xs, ys in line.sweeps for x, y in zip(xs, ys, strict=True)}
        for line in lines
    ]
    places = sorted({x for each in known for x in each})
    words = laid.rule.words
    rows = tuple((words(x), *(words(each[x]) if x in each else "" for each in known)) for x in places)
    return WordTable(heads=(laid.rule.unit, *heads), rows=rows)


def _drawing(pattern: Pattern, laid: Ordinates, sheet: _Sheet, said: _Said) -> Drawing:
    wide, top = sheet.wide, sheet.tall - LETTERING
    figure = figure_of(said.shelves, wide - 4.0)
    paths, more = _picture(pattern, laid, (wide, top))
    high = figure.height + len(said.words) * LINE_PITCH * BODY + FOOT
    foot = max(top - PICTURE - high, 0.0)
    frame = np.array([[0.0, foot], [wide, foot], [wide, sheet.tall], [0.0, sheet.tall]])
    middle = 0.5 * wide
    notes = [
        Note(
            text=said.title, target=(middle, top - 1.5), towards=(0.0, 1.0), height=NAME, reach=20.0, rank=0
        ),
        Note(
            text="\n".join(said.words),
            target=(middle, foot + 0.5),
            towards=(0.0, 1.0),
            height=BODY,
            reach=30.0,
            rank=1,
            figure=figure,
        ),
    ]
    return Drawing(paths=(Path(points=frame, stroke=FINE, closed=True), *paths), notes=(*notes, *more))


def _picture(pattern: Pattern, laid: Ordinates, room: XY) -> tuple[list[Path], list[Note]]:
    """The piece so small that it fits across the page, its base line, ordinates and full-size pages named."""
    wide, top = room
    scale = min((wide - 8.0) / laid.length, (PICTURE - 2.0 * ROUND) / laid.breadth)
    shift = np.array([0.5 * (wide - scale * laid.length), top - ROUND - scale * laid.breadth])

    def put(points: FloatArray) -> FloatArray:
        return np.asarray(scale * points + shift)

    [saw] = pattern.of_kind(Kind.SAW)
    base = put(np.array([[0.0, 0.0], [laid.length, 0.0]]))
    paths = [
        Path(points=put(laid.base.own(saw.points)), stroke=FIRM, closed=True),
        Path(points=base, stroke=STROKES[Kind.BASE]),
        *(Path(points=put(points), stroke=FINE) for points in _ordinate_lines(laid.edges)),
    ]
    named = zip(
        (pattern.sides[1], "base line", pattern.sides[0]), (base[0], base.mean(axis=0), base[1]), strict=True
    )
    notes = [_small(text, (float(at[0]), float(at[1])), (0.0, -1.0)) for text, at in named]
    for window in laid.windows:
        (a, b), (low, high) = window.x, window.y
        box = put(np.array([[a, low], [b, low], [b, high], [a, high]])) + OUT
        paths.append(Path(points=box, stroke=FINE, closed=True))
        up = 0.5 * (low + high) > 0.4 * laid.breadth or bool(window.end)
        at = float(box[:2, 0].mean()), float(box[2 if up else 0, 1])
        notes.append(_small(f"{window.where(laid.rule)}: full size", at, (0.0, 1.0 if up else -1.0)))
    return paths, notes


OUT = np.array([[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]])  # mm by which a box is drawn larger


def _ordinate_lines(edges: Sequence[LaidLine]) -> Iterator[FloatArray]:
    """From the base line up to the upper edge at each of its ordinates."""
    for x, y in zip(*(np.concatenate(part) for part in zip(*edges[0].sweeps, strict=True)), strict=True):
        yield np.array([[x, 0.0], [x, y]])


def _small(text: str, at: XY, towards: XY) -> Note:
    return Note(text=text, target=at, towards=towards, height=BODY, reach=12.0, leader=True, rank=3)
