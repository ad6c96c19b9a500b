"""Typical slips in a table of offsets: rows, columns, cells, units.  Each is put into the sheet by itself."""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from itertools import pairwise

from tests.bench.slip_sheets import Sheet, Slip, stem_rows

__all__ = ["stem_slips", "table_slips"]

UNITS = {"cm": 0.1, "inches": 1.0 / 25.4, "feet": 1.0 / 304.8, "twice over": 10.0}


def table_slips(sheet: Sheet, lines: Sequence[str], *, seed: int = 1) -> Iterator[Slip]:
    """Every slip of the table.

    Args:
        lines: the design's lines, from the keel up.
    """
    chance = random.Random(seed)
    yield from _breadths(sheet)
    yield from _units(sheet, lines)
    yield from _columns(sheet)
    yield from _positions(sheet, lines)
    yield from _rows(sheet, lines)
    yield from _cells(sheet, chance)


def _slip(sheet: Sheet, spoiled: Sheet, kind: str, what: str, *at: str) -> Slip:
    return Slip(kind=kind, what=what, files={sheet.file: spoiled.text()}, at=at or (sheet.file,))


def _called(sheet: Sheet, row: int) -> str:
    return " ".join(sheet.rows[row][:2])


def _breadths(sheet: Sheet) -> Iterator[Slip]:
    """Whole breadths or quarter breadths typed for half-breadths."""
    rows = [row for row in sheet.blocks("half-breadth") if sheet.filled(row)]
    for factor, kind in ((2.0, "whole for half breadths"), (0.5, "half of the half-breadths")):
        spoiled = sheet
        for row in rows:
            spoiled = spoiled.each(row, lambda v, f=factor: v * f)  # type: ignore[misc]
        yield _slip(sheet, spoiled, f"{kind}, all lines", "all")
        spoiled = sheet
        for row in rows:
            typed = spoiled.filled(row)
            keep = tuple(c for c in typed if c != 2 and spoiled.rows[row][1] != "keel")
            spoiled = spoiled.each(row, lambda v, f=factor: v * f, columns=keep)  # type: ignore[misc]
        yield _slip(sheet, spoiled, f"{kind}, all lines", "all but keel and stem")
        for row in rows:
            there = sheet.each(row, lambda v, f=factor: v * f)  # type: ignore[misc]
            yield _slip(sheet, there, f"{kind}, one line", _called(sheet, row), sheet.place(row))
            if 2 in sheet.filled(row):
                rest = tuple(c for c in sheet.filled(row) if c != 2)
                there = sheet.each(row, lambda v, f=factor: v * f, columns=rest)  # type: ignore[misc]
                what = f"{_called(sheet, row)} but for the bow"
                yield _slip(sheet, there, f"{kind}, one line", what, sheet.place(row))


def _units(sheet: Sheet, lines: Sequence[str]) -> Iterator[Slip]:
    for row in sheet.blocks("half-breadth", "height", "diagonal"):
        for unit, factor in UNITS.items():
            keel = sheet.rows[row][:2] == ("half-breadth", lines[0])
            kind = "keel's half-breadths in another unit" if keel else "a row in another unit"
            what = f"{_called(sheet, row)} in {unit}"
            yield _slip(sheet, sheet.scaled(row, factor), kind, what, sheet.place(row))
    row = sheet.find("position", "")
    for unit, factor in UNITS.items():
        spoiled = sheet.scaled(row, factor)
        yield _slip(sheet, spoiled, "stations in another unit", unit, sheet.place(row))


def _columns(sheet: Sheet) -> Iterator[Slip]:
    stern = len(sheet.rows[sheet.find("position", "")]) - 1
    middle = [3 + (stern - 3) * k // 5 for k in (1, 3, 4)]
    for column in (*middle, stern):
        for block in ("half-breadth", "height"):
            for off in (5.0, 10.0, 25.4, -10.0):
                spoiled = sheet
                for row in sheet.blocks(block):
                    spoiled = spoiled.each(row, lambda v, o=off: v + o, columns=(column,))  # type: ignore[misc]
                name = "stern's" if column == stern else "a station's"
                kind = f"{name} {block}s {abs(off):g} mm out"
                what = f"column {column}: {off:+g}"
                yield _slip(sheet, spoiled, kind, what, *sheet.column_places(column))
    for column in middle:
        spoiled = sheet
        for row in sheet.blocks("half-breadth", "height", "diagonal"):
            spoiled = spoiled.put(row, column, sheet.rows[row][column - 1])
        yield _slip(sheet, spoiled, "a column typed twice", f"column {column}", *sheet.column_places(column))


def _positions(sheet: Sheet, lines: Sequence[str]) -> Iterator[Slip]:
    row = sheet.find("position", "")
    typed = sheet.filled(row)
    for column in (typed[1], typed[len(typed) // 2], typed[-1]):
        for off in (25.4, -25.4, 100.0):
            spoiled = sheet.each(row, lambda v, o=off: v + o, columns=(column,))  # type: ignore[misc]
            kind = f"a station's position {abs(off):g} mm out"
            yield _slip(
                sheet, spoiled, kind, f"{off:+g}", sheet.place(row, column), *_headings(sheet, column)
            )
    for line in lines:
        there = sheet.find("position", line)
        for column in sheet.filled(there):
            for off in (10.0, 25.4, -100.0):
                spoiled = sheet.each(there, lambda v, o=off: v + o, columns=(column,))  # type: ignore[misc]
                kind = "an end's position out"
                what = f"{_called(sheet, there)}, column {column}: {off:+g}"
                yield _slip(sheet, spoiled, kind, what, sheet.place(there, column))
    spoiled = sheet
    for there in sheet.blocks("position"):
        stern = len(sheet.rows[there]) - 1
        if sheet.rows[there][1]:
            spoiled = spoiled.each(there, lambda v: v + 50.0, columns=(stern,))
    yield _slip(sheet, spoiled, "all stern positions 50 mm out", "+50", *sheet.column_places(stern))


def _headings(sheet: Sheet, column: int) -> tuple[str, ...]:
    return sheet.column_places(column)[-1:]


def _rows(sheet: Sheet, lines: Sequence[str]) -> Iterator[Slip]:
    for block in ("half-breadth", "height", "diagonal"):
        rows = list(sheet.blocks(block))
        for one, two in pairwise(rows):
            at = sheet.place(one), sheet.place(two)
            what = f"{_called(sheet, one)} and {_called(sheet, two)}"
            yield _slip(sheet, sheet.exchanged(one, two), "two rows exchanged", what, *at)
            copied = sheet.with_row(two, sheet.rows[two][:2] + sheet.rows[one][2:])
            yield _slip(sheet, copied, "a row typed twice", f"{_called(sheet, one)}, twice", *at)
        for row in rows:
            cells = sheet.rows[row]
            typed = [c for c in sheet.filled(row) if c not in (2, len(cells) - 1)]
            if len(typed) < 4:
                continue
            moved = list(cells)
            for here, there in pairwise(typed):
                moved[there] = cells[here]
            spoiled = sheet.with_row(row, tuple(moved))
            yield _slip(sheet, spoiled, "a row one station aft", _called(sheet, row), sheet.place(row))
    for line in lines[1:]:
        a, b = sheet.find("height", line), sheet.find("half-breadth", line)
        spoiled = sheet.exchanged(a, b)
        at = sheet.place(a), sheet.place(b)
        yield _slip(sheet, spoiled, "height and half-breadth exchanged", line, *at)


def _cells(sheet: Sheet, chance: random.Random) -> Iterator[Slip]:
    for row in sheet.blocks("half-breadth", "height", "diagonal"):
        if sheet.rows[row][:2] == ("half-breadth", "keel"):
            continue
        typed = sheet.filled(row)
        for column in {typed[0], typed[-1], *chance.sample(typed[1:-1], 2)}:
            for kind, cell in _spoiled_cell(sheet, row, column, chance):
                if cell != sheet.rows[row][column]:
                    spoiled = sheet.put(row, column, cell)
                    what = f"{_called(sheet, row)}, column {column}: {sheet.rows[row][column]} as {cell}"
                    yield _slip(sheet, spoiled, kind, what, sheet.place(row, column))


def _spoiled_cell(sheet: Sheet, row: int, column: int, chance: random.Random) -> Iterator[tuple[str, str]]:
    """Three of the slips that a cell may have."""
    typed, value = sheet.rows[row][column], sheet.value(row, column)
    above = sheet.rows[row - 1][column] if len(sheet.rows[row - 1]) > column else ""
    figures = [i for i, letter in enumerate(typed) if letter.isdigit()]
    swaps = [(i, j) for i, j in pairwise(figures) if typed[i] != typed[j]]
    ways = [
        ("a cell an inch out", sheet.words(value + chance.choice((-25.4, 25.4)), typed)),
        ("a cell a decimal point out", sheet.words(value * chance.choice((0.1, 10.0)), typed)),
        ("a cell with a wrong sign", f"-{typed}"),
        ("a cell from the cell beside it", sheet.rows[row][column - 1] or sheet.rows[row][column + 1]),
    ]
    if above not in ("", "-") and above[0].isdigit():
        ways.append(("a cell from the row above", above))
    if swaps:
        i, j = chance.choice(swaps)
        letters = list(typed)
        letters[i], letters[j] = letters[j], letters[i]
        ways.append(("a cell with two figures exchanged", "".join(letters)))
    yield from chance.sample(ways, 3)


def stem_slips(sheet: Sheet) -> Iterator[Slip]:
    """Slips in the stem's own points."""
    rows = stem_rows(sheet)
    measured = {row: 2 if sheet.rows[row][0] == "aft" else 1 for row in rows}
    for row in rows[:: max(1, len(rows) // 4)]:
        for off in (25.4, -100.0):
            spoiled = sheet.each(row, lambda v, o=off: v + o, columns=(measured[row],))  # type: ignore[misc]
            what = f"row {row + 1}: {off:+g}"
            yield _slip(sheet, spoiled, "a stem's point out", what, sheet.place(row))
    for row in rows[1:-1:3]:
        kind = "height" if sheet.rows[row][0] == "aft" else "aft"
        spoiled = sheet.with_row(row, (kind, *sheet.rows[row][1:]))
        yield _slip(
            sheet, spoiled, "a stem's point measured the other way", f"row {row + 1}", sheet.place(row)
        )
        swapped = (sheet.rows[row][0], sheet.rows[row][2], sheet.rows[row][1], *sheet.rows[row][3:])
        spoiled = sheet.with_row(row, swapped)
        yield _slip(sheet, spoiled, "a stem's point's columns exchanged", f"row {row + 1}", sheet.place(row))
    for one, two in list(pairwise(rows))[1::3]:
        spoiled = sheet.with_row(two, sheet.rows[one])
        at = sheet.place(one), sheet.place(two)
        yield _slip(sheet, spoiled, "a stem's point typed twice", f"row {one + 1}", *at)
