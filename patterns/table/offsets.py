"""The table of offsets, from its CSV file to lengths in mm.

The first row is ``block, line, bow, 1, 2, ... stern``.  Below it stand, in any order, ``position`` without a
line (each station's distance aft), ``position`` of a line (where it ends at bow and stern), ``height`` of a
line, ``half-breadth`` of a line and ``diagonal`` of a line.  An empty cell or a dash: the line does not cross
that station.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path
from typing import Literal

import numpy as np

from patterns.errors import DesignError, Problem
from patterns.measure import Notation
from patterns.table.cell_lengths import CellReader
from patterns.table.spreadsheet import Row, is_empty, read_sheet
from patterns.table.stem_points import read_stem
from patterns.table.values import (
    BOW,
    STERN,
    FloatArray,
    LineOffsets,
    Offsets,
    Place,
    StemPoints,
    column_letters,
)
from patterns.words import nearest

__all__ = [
    "BOW",
    "STERN",
    "LineOffsets",
    "Offsets",
    "Place",
    "StemPoints",
    "TableDraft",
    "column_letters",
    "draft_offsets",
    "read_offsets",
]

Heights = Literal["up from base", "down from set-up line"]
Breadths = Literal["half", "full"]
POSITION, HEIGHT, HALF_BREADTH, BREADTH, DIAGONAL = (
    "position",
    "height",
    "half-breadth",
    "breadth",
    "diagonal",
)
FIRST = 2  # the column of the first label
HEADINGS = "the first row holds block, line, bow, the stations' names from forward aft, stern"


@dataclass(frozen=True, slots=True, kw_only=True)
class TableDraft:
    """A table as far as it could be read.

    Attributes:
        offsets: what was read; a cell that could not be read is nan there.  None where nothing was.
        problems: everything that is wrong with the files by themselves.
        unread: the cells whose value is not known although something stands there.
        part_stem, part_sternpost: the points of a stem whose file is not whole yet, as far as they are typed;
            ``offsets`` has none of them.
    """

    offsets: Offsets | None
    problems: tuple[Problem, ...]
    unread: frozenset[Place] = frozenset()
    part_stem: StemPoints | None = None
    part_sternpost: StemPoints | None = None


@dataclass(slots=True, kw_only=True)
class Block:
    """One row's values: by label, with their cells."""

    values: dict[str, Fraction | None] = field(default_factory=dict)
    places: dict[str, Place] = field(default_factory=dict)


def read_offsets(
    path: Path,
    *,
    notation: Notation,
    heights: Heights = "up from base",
    breadths: Breadths = "half",
    stem: Path | None = None,
    sternpost: Path | None = None,
) -> Offsets:
    """The table of a CSV file.

    Args:
        notation: how its lengths are written.
        heights: which way its heights are measured; they come out up from base.
        breadths: whether it gives half-breadths or whole ones; they come out as half.
        stem, sternpost: the files of the points of the stems at bow and stern, in the same notation and with the
            same heights.

    Raises:
        DesignError: with every problem of the two files.
    """
    draft = draft_offsets(path, notation=notation, heights=heights, breadths=breadths, stem=stem)
    if draft.problems or draft.offsets is None:
        raise DesignError(draft.problems)
    return draft.offsets


def draft_offsets(
    path: Path,
    *,
    notation: Notation,
    heights: Heights = "up from base",
    breadths: Breadths = "half",
    stem: Path | None = None,
    sternpost: Path | None = None,
    names: Collection[str] = (),
) -> TableDraft:
    """The table as far as it can be read, and all that is wrong; arguments as :func:`read_offsets`.

    Args:
        names: the lines' names in the design; the table may write them in capitals, or with more spaces.
    """
    down = heights == "down from set-up line"
    points, stem_problems = (None, []) if stem is None else read_stem(stem, notation=notation, down=down)
    post: StemPoints | None = None
    more: list[Problem] = []
    if sternpost is not None:
        post, more = read_stem(sternpost, notation=notation, down=down, stern=True)
    whole = not stem_problems, not more
    stem_problems = [*stem_problems, *more]
    sheet, problems = read_sheet(path)
    if sheet is None:
        return TableDraft(offsets=None, problems=(*problems, *stem_problems))
    reader = CellReader(sheet=sheet, notation=notation)
    labels = _labels(reader, sheet.rows[0])
    if labels is None:
        return TableDraft(offsets=None, problems=(*reader.problems, *stem_problems))
    blocks = _blocks(reader, sheet.rows[1:], labels, BREADTH if breadths == "full" else HALF_BREADTH, names)
    stations = tuple(label for label in labels if label not in (BOW, STERN))
    common = blocks.get((POSITION, ""))
    if common is None:
        reader.trouble(
            sheet.file,
            "the table has no positions of its stations",
            'give a row "position" with no line that holds each station\'s distance aft',
            code="missing-row",
        )
        common = Block()
    _check_stations(reader, common, stations)
    sloping = {line for block, line in blocks if block == DIAGONAL}
    level = {line for block, line in blocks if block in (HEIGHT, HALF_BREADTH)}
    names = dict.fromkeys(line for _, line in blocks if line and (line in level or line not in sloping))
    offsets = Offsets(
        file=sheet.file,
        notation=notation,
        stations=stations,
        station_x=_array(common, stations),
        station_places=tuple(common.places[label] for label in stations if label in common.places),
        lines={name: _line(name, labels, blocks, common, down=down) for name in names},
        diagonals={
            name: _line(name, labels, blocks, common, down=down, breadth=DIAGONAL)
            for name in sorted(sloping, key=list(dict.fromkeys(line for _, line in blocks)).index)
        },
        stem=points if whole[0] else None,
        sternpost=post if whole[1] else None,
    )
    return TableDraft(
        offsets=offsets,
        problems=(*reader.problems, *stem_problems),
        unread=frozenset(reader.unread),
        part_stem=None if whole[0] else points,
        part_sternpost=None if whole[1] else post,
    )


def _labels(reader: CellReader, row: Row) -> tuple[str, ...] | None:
    """The columns' labels from the first row; None where they cannot be told."""
    place = f"{reader.sheet.file}, row {row.number}"
    if [row.text(0).lower(), row.text(1).lower()] != ["block", "line"]:
        reader.trouble(place, f'the first row begins with "{row.text(0)}" and "{row.text(1)}"', HEADINGS)
        return None
    texts = list(row.texts[FIRST:])
    while texts and not texts[-1]:
        texts.pop()
    labels = [_label(text) for text in texts]
    count = len(reader.problems)
    for column, label in enumerate(labels, start=FIRST):
        where = reader.place(row, column, "")
        if not label:
            reader.trouble(where, "this column has no heading", HEADINGS)
        elif labels.index(label) != column - FIRST:
            other = column_letters(FIRST + labels.index(label))
            reader.trouble(
                where, f'"{label}" is the heading of column {other} already', "each has a name of its own"
            )
    for label, at in ((BOW, 0), (STERN, -1)):
        if label not in labels:
            reader.trouble(place, f'there is no column "{label}"', HEADINGS)
        elif labels[at] != label:
            reader.trouble(place, f'"{label}" is not the {"first" if at == 0 else "last"} column', HEADINGS)
    if len(labels) < 3 and len(reader.problems) == count:
        reader.trouble(place, "no station stands between bow and stern", HEADINGS)
    return None if len(reader.problems) > count else tuple(labels)


def _label(text: str) -> str:
    """A heading as the design names it: without the word station; the ends in small letters."""
    if text.lower() in (BOW, STERN):
        return text.lower()
    head, _, tail = text.partition(" ")
    return tail if head.lower() == "station" and tail else text


def _block_name(text: str) -> str:
    """``Heights`` is ``height``, ``half breadth`` is ``half-breadth``."""
    return text.lower().replace(" ", "-").removesuffix("s")


def _folded(name: str) -> str:
    """A line's name in small letters, with single spaces."""
    return " ".join(name.split()).casefold()


def _blocks(
    reader: CellReader, rows: Iterable[Row], labels: tuple[str, ...], breadth: str, names: Collection[str]
) -> dict[tuple[str, str], Block]:
    """Every row below the first, by block and line."""
    spelled = {_folded(name): name for name in names}
    found: dict[tuple[str, str], Block] = {}
    first_rows: dict[tuple[str, str], int] = {}
    known = (POSITION, HEIGHT, breadth, DIAGONAL)
    for row in rows:
        where = f"{reader.sheet.file}, row {row.number}"
        block, line = _block_name(row.text(0)), row.text(1)
        if line not in names:
            line = spelled.setdefault(_folded(line), line)
        if block in (HALF_BREADTH, BREADTH) and block != breadth:
            says = "full" if breadth == BREADTH else "half"
            reader.trouble(
                where, f'the row is "{row.text(0)}", and the design says breadths = "{says}"', "mend one"
            )
        elif block not in known:
            what = f'"{row.text(0)}" is no block' if block else "the row has no block"
            reader.trouble(where, what, nearest(block, known) or f"a row begins with {', '.join(known)}")
        elif not line and block != POSITION:
            reader.trouble(where, f"the {block} row names no line", "name it in the second column")
        elif (block, line) in found:
            of = f' of "{line}"' if line else ""
            reader.trouble(
                where, f"the {block}{of} stands in row {first_rows[block, line]} already", "keep one row"
            )
        else:
            first_rows[block, line] = row.number
            found[block, line] = _values(reader, row, labels, block, line, breadth)
        for column in range(FIRST + len(labels), len(row.texts)):
            if row.texts[column]:
                reader.trouble(
                    reader.place(row, column, ""), f'"{row.texts[column]}" stands beyond the last heading'
                )
    return {(HALF_BREADTH if block == BREADTH else block, line): row for (block, line), row in found.items()}


def _values(
    reader: CellReader, row: Row, labels: tuple[str, ...], block: str, line: str, breadth: str
) -> Block:
    """The lengths of one row."""
    found = Block()
    for column, label in enumerate(labels, start=FIRST):
        heading = label if label in (BOW, STERN) else f"station {label}"
        place, text = reader.place(row, column, heading), row.text(column)
        found.places[label] = place
        if block == POSITION and line and label not in (BOW, STERN):
            if not is_empty(text):
                reader.trouble(
                    place,
                    f'"{text}" stands in the positions of "{line}", which has its own only at bow and stern',
                    "a station's distance stands in the row position with no line",
                )
            continue
        value = reader.length(text, place)
        if value is not None and value < 0 and block in (breadth, DIAGONAL):
            reader.trouble(place, f'"{text}" is a negative {block}', "it is measured outboard, 0 or more")
            value = None
        if value is not None and block == BREADTH:
            value /= 2
        found.values[label] = value
    return found


def _check_stations(reader: CellReader, common: Block, stations: tuple[str, ...]) -> None:
    """Every station has a position, and they run aft."""
    places = [common.places[label] for label in stations if label in common.places]
    empty = not any(common.values.get(label) is not None for label in stations)
    if empty and len(places) == len(stations) > 1 and not reader.unread.intersection(places):
        of = f"stations {stations[0]} to {stations[-1]}"
        row = f"{reader.sheet.file}, row {places[0].row}"
        reader.trouble(row, f"the positions of {of} are missing", reader.wanted, code="missing-cells")
        return
    before: tuple[str, Fraction] | None = None
    for label in stations:
        place = common.places.get(label)
        if place is None:
            return
        value = common.values.get(label)
        if value is None:
            if place not in reader.unread:
                reader.trouble(
                    place, f"the position of station {label} is missing", reader.wanted, code="missing-cell"
                )
            continue
        if before is not None and value <= before[1]:
            reader.trouble(
                place,
                f"station {label} does not lie aft of station {before[0]}",
                "positions are distances aft and rise from column to column",
            )
        before = label, value


def _array(row: Block | None, labels: tuple[str, ...], *, down: bool = False) -> FloatArray:
    values = [None if row is None else row.values.get(label) for label in labels]
    sign = -1 if down else 1
    return np.array([np.nan if value is None else float(sign * value) for value in values], dtype=np.float64)


def _line(
    name: str,
    labels: tuple[str, ...],
    blocks: dict[tuple[str, str], Block],
    common: Block,
    *,
    down: bool,
    breadth: str = HALF_BREADTH,
) -> LineOffsets:
    own = blocks.get((POSITION, name)) or Block()
    # An end that all lines share (an upright transom) may stand in the stations' own row.
    given = {label: own if own.values.get(label) is not None else common for label in (BOW, STERN)}
    position = [given.get(label, common) for label in labels]
    height, across = blocks.get((HEIGHT, name)), blocks.get((breadth, name))
    x = [row.values.get(label) for row, label in zip(position, labels, strict=True)]
    places = [row.places.get(label) for row, label in zip(position, labels, strict=True)]
    for i, label in enumerate(labels):
        if x[i] is None and label in own.places:
            places[i] = own.places[label]
    return LineOffsets(
        name=name,
        labels=labels,
        x=np.array([np.nan if value is None else float(value) for value in x], dtype=np.float64),
        y=_array(across, labels),
        z=_array(height, labels, down=down),
        x_places=tuple(places),
        y_places=tuple(None if across is None else across.places[label] for label in labels),
        z_places=tuple(None if height is None else height.places[label] for label in labels),
    )
