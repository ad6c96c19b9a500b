"""The table's columns: their headings, their order along the boat, and where the stations are."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import pairwise
from typing import Literal

from patterns.table.cell_lengths import CellReader
from patterns.table.spreadsheet import Row
from patterns.table.values import BOW, STERN, Place, column_letters

__all__ = [
    "FIRST",
    "Block",
    "MeasuredFrom",
    "Order",
    "check_stations",
    "read_labels",
    "turn_positions",
]

Order = Literal["from forward aft", "from aft forward"]
MeasuredFrom = Literal["aft from bow", "forward from stern"]
FIRST = 2  # the column of the first label
LONGEST_LABEL = 24  # letters: a station's name is lettered on patterns
LEAST_APART = Fraction(5)  # mm; no plan has two sections so near to each other (common practice, no source)


@dataclass(slots=True, kw_only=True)
class Block:
    """One row's values: by label, with their cells."""

    values: dict[str, Fraction | None] = field(default_factory=dict)
    places: dict[str, Place] = field(default_factory=dict)


def _headings(order: Order) -> str:
    first, last = (BOW, STERN) if order == "from forward aft" else (STERN, BOW)
    return f"the first row holds block, line, {first}, the stations' names {order}, {last}"


def read_labels(reader: CellReader, row: Row, order: Order = "from forward aft") -> tuple[str, ...] | None:
    """The columns' labels in the order of the file, from the first row; None where they cannot be read."""
    place, want = f"{reader.sheet.file}, row {row.number}", _headings(order)
    if [row.text(0).lower(), row.text(1).lower()] != ["block", "line"]:
        reader.trouble(
            place,
            f'the first row begins with "{row.text(0)}" and "{row.text(1)}"',
            want,
            code="first-row-headings",
        )
        return None
    texts = list(row.texts[FIRST:])
    while texts and not texts[-1]:
        texts.pop()
    labels = [_label(text) for text in texts]
    count = len(reader.problems)
    for column, label in enumerate(labels, start=FIRST):
        where = reader.place(row, column, "")
        if not label:
            reader.trouble(where, "this column has no heading", want, code="column-without-heading")
        elif len(label) > LONGEST_LABEL:
            what, at_most = "the heading is too long", f"write at most {LONGEST_LABEL} letters"
            reader.trouble(where, what, at_most, code="too-long")
        elif labels.index(label) != column - FIRST:
            other = column_letters(FIRST + labels.index(label))
            reader.trouble(
                where,
                f'"{label}" is already the heading of column {other}',
                "each has a name of its own",
                code="heading-twice",
            )
    _check_ends(reader, place, labels, order)
    if len(labels) < 3 and len(reader.problems) == count:
        reader.trouble(place, "there are no stations between bow and stern", want, code="no-stations")
    return None if len(reader.problems) > count else tuple(labels)


def _check_ends(reader: CellReader, place: str, labels: list[str], order: Order) -> None:
    """Bow and stern are the first column and the last, as the design declares."""
    ends = (BOW, STERN) if order == "from forward aft" else (STERN, BOW)
    if labels and (labels[-1], labels[0]) == ends:
        other = "from aft forward" if order == "from forward aft" else "from forward aft"
        reader.trouble(
            place,
            f'the columns run from "{labels[0]}" to "{labels[-1]}", and design.toml has stations = "{order}"',
            f'write stations = "{other}" under [table] in design.toml, if the plan lists them so',
            code="stations-order",
        )
        return
    for label, at, called in ((ends[0], 0, "first"), (ends[1], -1, "last")):
        if label not in labels:
            reader.trouble(place, f'the column "{label}" is missing', _headings(order), code="column-missing")
        elif labels[at] != label:
            reader.trouble(
                place, f'"{label}" is not the {called} column', _headings(order), code="end-column-misplaced"
            )


def _label(text: str) -> str:
    """A heading as the design names it: without the word station; the ends in small letters."""
    if text.lower() in (BOW, STERN):
        return text.lower()
    head, _, tail = text.partition(" ")
    return tail if head.lower() == "station" and tail else text


def check_stations(
    reader: CellReader, common: Block, stations: tuple[str, ...], measured: MeasuredFrom, order: Order
) -> bool:
    """Every station has a position, and their positions run the way that the design declares.

    Args:
        common: the row of the stations' positions, as it was typed.
        stations: their names from forward aft.
    Returns:
        Whether anything can be said of the rest of the table by these positions.
    """
    places = [common.places[label] for label in stations if label in common.places]
    empty = not any(common.values.get(label) is not None for label in stations)
    if empty and len(places) == len(stations) > 1 and not reader.unread.intersection(places):
        of = f"stations {stations[0]} to {stations[-1]}"
        row = f"{reader.sheet.file}, row {places[0].row}"
        reader.trouble(row, f"the positions of {of} are missing", reader.wanted, code="missing-cells")
        return True
    typed: list[tuple[str, Fraction, Place]] = []
    for label in stations:
        place = common.places.get(label)
        if place is None:
            return True
        value = common.values.get(label)
        if value is not None:
            typed.append((label, value, place))
        elif place not in reader.unread:
            what = f"the position of station {label} is missing"
            reader.trouble(place, what, reader.wanted, code="missing-cell")
    way = 1 if measured == "aft from bow" else -1
    steps = [way * (after[1] - ahead[1]) for ahead, after in pairwise(typed)]
    if len(steps) > 1 and all(step < 0 for step in steps):
        _turned(reader, typed[0][2].row, measured, order)
        return False
    for (ahead, after), step in zip(pairwise(typed), steps, strict=True):
        if step <= 0:
            rise = "rise" if way > 0 else "fall"
            reader.trouble(
                after[2],
                f"station {after[0]} does not lie aft of station {ahead[0]}",
                f"positions are measured {measured} and {rise} from station to station going aft",
                code="stations-order",
            )
        elif step < LEAST_APART:
            reader.trouble(
                after[2],
                f"station {after[0]} is only {float(step):.2g} mm aft of station {ahead[0]}",
                f"correct the position, or the notation in design.toml ({reader.notation.value})",
                code="stations-too-near",
            )
            return False  # a whole row in a wrong unit is one slip
    return True


def _turned(reader: CellReader, row: int, measured: MeasuredFrom, order: Order) -> None:
    """All positions run against the way that the design declares: one slip, in the design or in the headings."""
    other = "forward from stern" if measured == "aft from bow" else "aft from bow"
    back = "from aft forward" if order == "from forward aft" else "from forward aft"
    first, last = (STERN, BOW) if back == "from aft forward" else (BOW, STERN)
    reader.trouble(
        f"{reader.sheet.file}, row {row}",
        f'all positions run the other way than positions = "{measured}" says',
        f'write positions = "{other}" under [table] in design.toml, if the plan measures so; or, if it lists its '
        f'stations {back}, put the columns in the order {first} ... {last} and write stations = "{back}"',
        code="stations-order",
    )


def turn_positions(blocks: Mapping[tuple[str, str], Block], position: str) -> Fraction:
    """Make distances aft of positions that are measured forward, in place.

    They are counted from the greatest position in the table, the foremost point that it knows.

    Args:
        position: the name of the block that holds positions.
    Returns:
        That greatest position, mm.
    """
    rows = [row for (block, _), row in blocks.items() if block == position]
    greatest = max(
        (value for row in rows for value in row.values.values() if value is not None), default=Fraction(0)
    )
    for row in rows:
        row.values = {
            label: None if value is None else greatest - value for label, value in row.values.items()
        }
    return greatest
