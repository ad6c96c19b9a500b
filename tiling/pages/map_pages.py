"""Maps of the pieces on pages: picture, facts, long distances with their bands and room for the reading."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import islice

import numpy as np

from tiling.distances.checks import feet_inches
from tiling.drawing import XY
from tiling.layout.page_layout import PageLayout
from tiling.pages.map_picture import MapGrid, draw_map
from tiling.pages.text_flow import Flow
from tiling.paper import Box
from tiling.pdf.shapes import FINE, FIRM, THIN, Ink
from tiling.planning.plan import Plan
from tiling.text.lines import BODY, MeasuredText, elided, plain
from tiling.text.typeface import LINE_PITCH, text_width

__all__ = ["add_maps"]

HEAD = 5.0  # height of a capital, mm
FACT = 2.5  # the same in the facts, about as in a book
PITCH = LINE_PITCH * FACT
ROW = 8.0  # mm; a row of the table, so high that a reading can be written by hand
LEAST_PICTURE = 50.0  # mm; a lower picture shows nothing
LEAST_ALONE = 85.0  # mm; the same where several pieces lie on the pages
STEP = 4.0  # mm between the heights that are tried for a picture
LEAST_TABLE = 112.0  # mm for the table beside it, without feet and inches
BROAD_TABLE = 165.0  # mm; a table that is broader has them
LEAST_FACTS = 62.0  # mm for the facts beside the picture
ASIDE = 6.0  # mm between the picture and the facts
MOST = 32  # maps that are looked at for one page
BELOW = 4.0  # mm under a map
WHOLE = 0.7  # of the room beside a picture; facts that are kept whole leave no more of it empty
HEADING = 13.0  # mm; a line across, the name and what parts them from the picture
PAGES = "Pages"
AGAIN = " "  # in a label's place: the label of the row above
LABEL_GAP = 2.5  # mm between labels and words
SPACE = 2.0  # mm between the picture and the table


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Entry:
    """One piece's map with its facts beside it or above it.

    Attributes:
        first: number of the piece's first page, 0 while it is not known yet.
        picture: breadth and height of the picture's box, mm.
        above: the facts stand above the picture.
        table_beside: the table of distances stands beside the picture, under the facts.
        facts: their lines.
        height: of all of it with heading and table, mm.
    """

    plan: Plan
    grid: MapGrid
    first: int
    picture: tuple[float, float]
    above: bool
    table_beside: bool
    facts: list[_Line]
    height: float

    @property
    def scale(self) -> float:
        """How large the picture is."""
        return self.grid.scale(*self.picture)


def add_maps(flow: Flow, plans: Sequence[Plan], *, first: int) -> tuple[int, ...]:
    """Add the maps of all pieces from here on; returns the number of the page on which each one's picture stands.

    Args:
        first: number of the first piece's first page, 0 while it is not known yet: then only the room is taken up.
    """
    coming = _all_ways(flow, plans, first)
    ways: list[_Way] = []
    numbers: list[int] = []
    while ways := [*ways, *islice(coming, MOST - len(ways))]:
        if _alone(ways[0]):
            plan, number, _ = ways.pop(0)
            numbers.append(_add_alone(flow, plan, number))
            continue
        flow.need(_least(ways[0]))
        group = [ways.pop(0)[2] for _ in range(_how_many(ways, flow.left))]
        numbers += [_add_entry(flow, entry) for entry in _spread(group, flow.left)]
    return tuple(numbers)


_Way = tuple[Plan, int, list[_Entry]]


def _ways(flow: Flow, plan: Plan, first: int) -> list[_Entry]:
    """All ways to set a piece's map and its facts on one page, the picture growing; none where there is none."""
    wide = flow.x1 - flow.x0
    grid = MapGrid.of(plan)
    table = _table_height(plan)
    rest = HEADING + BELOW + 1.0
    said = _measured(_all_facts(plan, first))
    over = _lines(said, wide)
    found = []
    for tall in np.arange(LEAST_PICTURE, flow.whole - rest, STEP).tolist():
        room = grid.width_in(wide, tall)
        if not grid.names_fit(room, tall):
            continue
        high = grid.height_in(room, tall)
        tries = [(True, False, over, len(over) * PITCH + high + table)]
        beside = wide - room - ASIDE
        if beside >= LEAST_FACTS:
            facts = _lines(said, beside)
            tries.append((False, False, facts, max(len(facts) * PITCH, high) + table))
            if table and beside >= LEAST_TABLE:
                tries.append((False, True, facts, max(len(facts) * PITCH + table, high)))
        found += [
            _Entry(
                plan=plan,
                grid=grid,
                first=first,
                picture=(room, tall),
                above=above,
                table_beside=table_beside,
                facts=facts,
                height=height + rest,
            )
            for above, table_beside, facts, height in tries
            if height + rest <= flow.whole
        ]
    return found


def _all_ways(flow: Flow, plans: Sequence[Plan], first: int) -> Iterator[_Way]:
    """The ways of all pieces, one after the other: thousands of pieces' together would fill the memory."""
    at = first
    for plan in plans:
        yield plan, at, _ways(flow, plan, at)
        at += len(plan.layout.tiles) if first else 0


def _alone(way: _Way) -> bool:
    """It shares no page's height with others: the map of several pieces among one another, as there is much to say
    of each, and one that fits no page with its facts."""
    plan, _, entries = way
    return bool(plan.drawing.rooms) or not entries


def _how_many(ways: Sequence[_Way], room: float) -> int:
    """How many maps, from the first on, go into a height at their lowest."""
    count, high = 0, 0.0
    for way in ways:
        if _alone(way) or high + _least(way) > room:
            break
        count, high = count + 1, high + _least(way)
    return count


def _least(way: _Way) -> float:
    return min(entry.height for entry in way[2])


def _spread(ways: Sequence[list[_Entry]], room: float) -> list[_Entry]:
    """For each map of a page the largest picture, when what is left of the page is shared evenly among them."""
    spare = room - sum(min(entry.height for entry in way) for way in ways)
    chosen = []
    for index, way in enumerate(ways):
        least = min(entry.height for entry in way)
        most = least + spare / (len(ways) - index)
        best = max(
            (entry for entry in way if entry.height <= most), key=lambda entry: (entry.scale, -entry.height)
        )
        spare -= best.height - least
        chosen.append(best)
    return chosen


def _add_entry(flow: Flow, entry: _Entry) -> int:
    wide, tall = entry.picture
    below = 0.0 if entry.table_beside else _table_height(entry.plan)
    _heading(flow, entry.plan)
    with flow.block(entry.height - HEADING - below - BELOW) as (x0, y0, x1, y1):
        top = y1 - len(entry.facts) * PITCH if entry.above else y1
        number = draw_map(flow, entry.plan, entry.grid, (x0, top - tall, x0 + wide, top), entry.first)
        left = x0 if entry.above else x0 + wide + ASIDE
        _say_facts(flow.ink, entry.facts, (left, y1))
        if entry.table_beside:
            _draw_table(flow, entry.plan, (left, y0, x1, y1 - len(entry.facts) * PITCH - SPACE))
    if not entry.table_beside:
        _check_table(flow, entry.plan)
    flow.space(BELOW)
    return number


def _add_alone(flow: Flow, plan: Plan, first: int) -> int:
    """A map with as many facts beside it as there is room for, its table, and the other facts in two columns."""
    grid = MapGrid.of(plan)
    wide = flow.x1 - flow.x0
    column = 0.5 * (wide - ASIDE)
    beside = bool(plan.piece.parts) and column >= LEAST_FACTS
    said, *facts = _measured(_all_facts(plan, first))
    lines = _lines([said], wide)
    rest = HEADING + len(lines) * PITCH + SPACE + _table_height(plan) + BELOW
    room = column if beside else wide
    flow.need(min(rest + min(LEAST_ALONE, grid.height_in(room, flow.whole)), flow.whole))
    _heading(flow, plan)
    _set_facts(flow, lines, columns=1)
    tall = min(flow.left - _table_height(plan) - SPACE, grid.height_in(room, flow.whole) + 1.0)
    told = _lines(facts, column)
    with flow.block(max(tall, LEAST_PICTURE)) as (x0, y0, x1, y1):
        number = draw_map(flow, plan, grid, (x0, y0, x0 + room, y1), first)
        if beside:
            count = _whole_facts(told, int((y1 - y0) / PITCH))
            _say_facts(flow.ink, told[:count], (x1 - column, y1))
            told = told[count:]
    _check_table(flow, plan)
    flow.space(BELOW)
    _set_facts(flow, told, columns=2)
    flow.space(BELOW)
    return number


def _whole_facts(lines: Sequence[_Line], count: int) -> int:
    """So many of the first lines, at most ``count``, that no fact is broken, unless it is a long one."""
    if count >= len(lines):
        return count
    whole = max((i for i, line in enumerate(lines[: count + 1]) if line.first), default=0)
    return whole if whole >= WHOLE * count else count


def _set_facts(flow: Flow, lines: list[_Line], *, columns: int) -> None:
    """Lines of facts in columns, going on from page to page."""
    pitch = (flow.x1 - flow.x0 + ASIDE) / columns
    while lines:
        flow.need(2.0 * PITCH)
        deep = min(int(flow.left / PITCH), math.ceil(len(lines) / columns))
        with flow.block(deep * PITCH) as (x0, _, _, y1):
            for column in range(columns):
                part = lines[column * deep : (column + 1) * deep]
                _say_facts(flow.ink, part, (x0 + column * pitch, y1))
        lines = lines[columns * deep :]


def _heading(flow: Flow, plan: Plan) -> None:
    flow.ink.line((flow.x0, flow.y - 1.5), (flow.x1, flow.y - 1.5), FIRM)
    label = elided(plan.label, flow.x1 - flow.x0, HEAD)
    flow.ink.words(label, (flow.x0, flow.y - 4.0 - HEAD), HEAD)
    flow.space(HEADING)


def _all_facts(plan: Plan, first: int) -> list[tuple[str, str]]:
    """Rows for pages and facts, each a label and words; without a card all of them in one row."""
    count = len(plan.layout.tiles)
    pages = f"1 page: {first}" if count == 1 else f"{count} pages: {first} to {first + count - 1}"
    pages += _lie(plan.layout)
    if plan.piece.parts:
        return [("", _sentence(pages)), *_facts_of_parts(plan)]
    if plan.piece.card:
        return [(PAGES, pages), *plan.piece.card]
    return [("", " ".join(map(_sentence, (pages, *plan.piece.facts))))]


def _sentence(fact: str) -> str:
    return f"{fact.rstrip('.')}."


def _facts_of_parts(plan: Plan) -> Iterator[tuple[str, str]]:
    """Of each piece its card; where it has none, what its own words on the pages do not say."""
    for room, part in enumerate(plan.piece.parts):
        name = f"{room + 1} {plain(part.name)}"
        if part.card:
            yield "", name
            yield from part.card
            continue
        words = [_squeezed(note.text) for note in plan.drawing.notes if note.room == room]
        facts = [fact for fact in part.facts if not any(_squeezed(fact) in said for said in words)]
        yield "", _sentence(f"{name}: {'; '.join(facts)}" if facts else name)


def _squeezed(text: str) -> str:
    """Words however they are broken into lines and end."""
    return " ".join(text.split()).rstrip(".")


def _lie(layout: PageLayout) -> str:
    """How the pattern lies on its pages, where that is not as it was drawn."""
    said = ""
    degrees = round(math.degrees(layout.turn))
    if abs(degrees) == 90:
        said = ", lying on its side"
    elif layout.turned:
        way = "anticlockwise" if layout.turn > 0.0 else "clockwise"
        said = f", turned {abs(degrees)}° {way}" if degrees else ""
    if layout.shifted:
        said += "; rows are shifted along one another"
    return (
        f"{said}; some rows lie farther over the row above, up to its dashed line" if layout.uneven else said
    )


@dataclass(frozen=True, slots=True)
class _Line:
    """A line of the facts: its words, the label before them, and whether a fact begins with it."""

    words: str
    label: str = ""
    first: bool = False
    inset: float = 0.0


def _measured(rows: Sequence[tuple[str, str]]) -> list[tuple[str, MeasuredText]]:
    """The rows measured once for columns of many widths; a label that was just said is not said again."""
    found = []
    last = ""
    for label, words in rows:
        found.append((label if label != last else AGAIN if label else "", MeasuredText.of(words, FACT)))
        last = label
    return found


def _lines(rows: Sequence[tuple[str, MeasuredText]], room: float) -> list[_Line]:
    """The rows in lines: words beside their labels, those without a label over the whole breadth."""
    labelled = max((text_width(label, FACT) for label, _ in rows), default=0.0)
    inset = labelled + LABEL_GAP if labelled else 0.0
    found = []
    for label, words in rows:
        by = inset if label else 0.0
        for number, line in enumerate(words.lines(room - by)):
            own = label if not number and label != AGAIN else ""
            found.append(_Line(line, own, not number, by))
    return found


def _say_facts(ink: Ink, lines: Sequence[_Line], corner: XY) -> None:
    x, y = corner
    for index, line in enumerate(lines):
        base = y - (index + 1) * PITCH + 0.4 * FACT
        if line.label:
            ink.words(line.label, (x, base), FACT)
        ink.words(line.words, (x + line.inset, base), FACT)


def _table_height(plan: Plan) -> float:
    return (len(plan.checks) + 1) * ROW + SPACE if plan.checks else 0.0


def _check_table(flow: Flow, plan: Plan) -> None:
    """What is measured on the taped pattern, over the whole breadth of the page."""
    if not plan.checks:
        return
    flow.space(SPACE)
    with flow.block((len(plan.checks) + 1) * ROW) as box:
        _draw_table(flow, plan, box)


def _draw_table(flow: Flow, plan: Plan, box: Box) -> None:
    """The table at the top of a box; the boat's lengths in inches' place where it is not full size."""
    x0, _, x1, y1 = box
    small = not plan.layout.page.scale.full
    narrow = x1 - x0 < BROAD_TABLE
    shares = (0.19, 0.2, 0.0, 0.38, 0.23) if narrow else (0.13, 0.17, 0.235, 0.265, 0.2)
    columns = [(x1 - x0) * share for share in shares]
    head = ("on paper", "boat's mm") if small else ("true mm", "feet, inches")
    rows = [("measure", *head, "accepted mm", "reading")]
    for check in plan.checks:
        length, allowed = check.distance.length, check.allowed
        rows.append(
            (
                f"{check.letters[0]} to {check.letters[1]}",
                f"{length:.1f}",
                f"{check.true:.1f}" if small else feet_inches(length),
                f"{length - allowed:.1f} to {length + allowed:.1f}",
                "",
            )
        )
    for index, row in enumerate(rows):
        x = x0
        for cell, width in zip(row, columns, strict=True):
            if width:
                flow.ink.words(cell, (x + 1.0, y1 - index * ROW - 5.5), BODY)
            x += width
        flow.ink.line((x0, y1 - (index + 1) * ROW), (x1, y1 - (index + 1) * ROW), FINE)
    flow.ink.box(x1 - columns[-1], y1 - len(rows) * ROW, x1, y1 - ROW, THIN)
