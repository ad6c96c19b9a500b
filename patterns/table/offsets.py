"""The table of offsets, from its CSV file to lengths in mm.

The first row is ``block, line, bow, 1, 2, ... stern``, or from stern to bow where the design declares it.
Below it stand, in any order, ``position`` without a line (each station's distance aft, or forward),
``position`` of a line (where it ends at bow and stern), ``height`` of a line, ``half-breadth`` of a line and
``diagonal`` of a line.  An empty cell or a dash: the line does not cross that station.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path

import numpy as np

from patterns.errors import DesignError, Problem
from patterns.measure import Notation
from patterns.measure.nearest import nearest
from patterns.table.cell_lengths import CellReader
from patterns.table.level_bottom import fill_level
from patterns.table.padding import Padding
from patterns.table.spreadsheet import Row, is_empty, read_sheet
from patterns.table.stations import (
    FIRST,
    Block,
    check_stations,
    read_labels,
    turn_positions,
)
from patterns.table.stem_points import read_stem
from patterns.table.table_style import (
    BREADTH,
    DIAGONAL,
    HALF_BREADTH,
    HEIGHT,
    POSITION,
    Breadths,
    Heights,
    TableFiles,
    TableStyle,
)
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

__all__ = [
    "BOW",
    "STERN",
    "LineOffsets",
    "Offsets",
    "Place",
    "StemPoints",
    "TableDraft",
    "TableFiles",
    "TableStyle",
    "column_letters",
    "draft_offsets",
    "read_offsets",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class TableDraft:
    """A table as far as it could be read.

    Attributes:
        offsets: what was read; a cell that could not be read is nan there.  None where nothing was.
        problems: everything that is wrong with the files by themselves.
        unread: the cells whose value is not known although something stands there.
        doubts: what is read, but may not be what the plan has.
        part_stem, part_sternpost: the points of a stem whose file is not whole yet, as far as they are typed;
            ``offsets`` has none of them.
    """

    offsets: Offsets | None
    problems: tuple[Problem, ...]
    unread: frozenset[Place] = frozenset()
    doubts: tuple[Problem, ...] = ()
    part_stem: StemPoints | None = None
    part_sternpost: StemPoints | None = None


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
    draft = draft_offsets(
        TableFiles(table=path, stem=stem, sternpost=sternpost),
        TableStyle(notation=notation, heights=heights, breadths=breadths),
    )
    if draft.problems or draft.offsets is None:
        raise DesignError(draft.problems)
    return draft.offsets


@dataclass(frozen=True, slots=True, kw_only=True)
class _StemRead:
    """The points of one stem, as far as they could be read; None where there is no file or nothing in it."""

    points: StemPoints | None = None
    problems: tuple[Problem, ...] = ()

    def shifted(self, origin: Fraction | None) -> StemPoints | None:
        """The points, whose distances may have been measured forward, from where the table counts them."""
        if self.points is None or origin is None:
            return self.points
        return replace(self.points, x=self.points.x + float(origin))


def _read_stem(file: Path | None, style: TableStyle, padding: Padding, *, stern: bool) -> _StemRead:
    if file is None:
        return _StemRead()
    points, problems = read_stem(
        file, notation=style.notation, down=style.down, stern=stern, forward=style.forward, padding=padding
    )
    return _StemRead(points=points, problems=tuple(problems))


def draft_offsets(files: TableFiles, style: TableStyle) -> TableDraft:
    """The table as far as it can be read, and all that is wrong."""
    padding = Padding()
    bow = _read_stem(files.stem, style, padding, stern=False)
    post = _read_stem(files.sternpost, style, padding, stern=True)
    stem_problems = (*bow.problems, *post.problems)
    sheet, problems = read_sheet(files.table)
    if sheet is None:
        return TableDraft(offsets=None, problems=(*problems, *stem_problems))
    reader = CellReader(sheet=sheet, notation=style.notation, padding=padding)
    found = _read_table(reader, style)
    if found is None:
        return TableDraft(offsets=None, problems=(*reader.problems, *stem_problems))
    offsets, origin = found
    stem, sternpost = bow.shifted(origin), post.shifted(origin)
    return TableDraft(
        offsets=replace(
            offsets,
            stem=None if bow.problems else stem,
            sternpost=None if post.problems else sternpost,
            origin=None if origin is None else float(origin),
            level="" if style.level is None else style.level[1],
        ),
        problems=(*reader.problems, *stem_problems),
        unread=frozenset(reader.unread),
        doubts=tuple(padding.doubts()),
        part_stem=stem if bow.problems else None,
        part_sternpost=sternpost if post.problems else None,
    )


def _read_table(reader: CellReader, style: TableStyle) -> tuple[Offsets, Fraction | None] | None:
    """The table without the stems' points, and where positions measured forward begin; None without columns."""
    sheet = reader.sheet
    columns = read_labels(reader, sheet.rows[0], style.stations)
    if columns is None:
        return None
    blocks = _blocks(reader, sheet.rows[1:], columns, style.breadth, style.names)
    labels = columns if style.stations == "from forward aft" else columns[::-1]
    if (POSITION, "") not in blocks:
        reader.trouble(
            sheet.file,
            "the table has no positions of its stations",
            'give a row "position" with no line that holds each station\'s distance aft',
            code="missing-row",
        )
    common = blocks.setdefault((POSITION, ""), Block())
    between = tuple(label for label in labels if label not in (BOW, STERN))
    if not check_stations(reader, common, between, style.positions, style.stations):
        return None
    origin = turn_positions(blocks, POSITION) if style.forward else None
    if style.level is not None:
        fill_level(blocks, HEIGHT, HALF_BREADTH, style.level, stems=style.stems)
    return _offsets(sheet.file, style.notation, labels, blocks, common, down=style.down), origin


def _offsets(
    file: str,
    notation: Notation,
    labels: tuple[str, ...],
    blocks: dict[tuple[str, str], Block],
    common: Block,
    *,
    down: bool,
) -> Offsets:
    """The table without the stems' points; its labels from forward aft."""
    stations = tuple(label for label in labels if label not in (BOW, STERN))
    sloping = {line for block, line in blocks if block == DIAGONAL}
    level = {line for block, line in blocks if block in (HEIGHT, HALF_BREADTH)}
    names = dict.fromkeys(line for _, line in blocks if line and (line in level or line not in sloping))
    return Offsets(
        file=file,
        notation=notation,
        stations=stations,
        station_x=_array(common, stations),
        station_places=tuple(common.places[label] for label in stations if label in common.places),
        lines={name: _line(name, labels, blocks, common, down=down) for name in names},
        diagonals={
            name: _line(name, labels, blocks, common, down=down, breadth=DIAGONAL)
            for name in sorted(sloping, key=list(dict.fromkeys(line for _, line in blocks)).index)
        },
    )


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
                where,
                f'the row is "{row.text(0)}", and the design says breadths = "{says}"',
                "correct one of them",
                code="breadths-kind",
            )
        elif block not in known:
            what = f'"{row.text(0)}" is not a valid block' if block else "the row has no block"
            reader.trouble(
                where,
                what,
                nearest(block, known) or f"a row begins with {', '.join(known)}",
                code="unknown-block",
            )
        elif not line and block != POSITION:
            reader.trouble(
                where,
                f"the {block} row names no line",
                "name it in the second column",
                code="row-without-line",
            )
        elif (block, line) in found:
            of = f' of "{line}"' if line else ""
            reader.trouble(
                where,
                f"the {block}{of} is already in row {first_rows[block, line]}",
                "keep one row",
                code="row-twice",
            )
        else:
            first_rows[block, line] = row.number
            found[block, line] = _values(reader, row, labels, block, line, breadth)
        for column in range(FIRST + len(labels), len(row.texts)):
            if row.texts[column]:
                reader.trouble(
                    reader.place(row, column, ""),
                    f'"{row.texts[column]}" is beyond the last heading',
                    code="cell-beyond-headings",
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
                    f'"{text}" is in the positions of "{line}", which has its own only at bow and stern',
                    "write a station's distance in the row position with no line",
                    code="position-not-at-end",
                )
            continue
        value = reader.length(text, place)
        if value is not None and value < 0 and block in (breadth, DIAGONAL):
            reader.trouble(
                place,
                f'"{text}" is a negative {block}',
                "it is measured outboard, 0 or more",
                code="negative-breadth",
            )
            value = None
        if value is not None and block == BREADTH:
            value /= 2
        found.values[label] = value
    return found


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
