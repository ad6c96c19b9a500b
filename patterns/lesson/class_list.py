"""The list of a class: whose sets are printed, from a CSV file."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from pathlib import Path

from patterns.errors import DesignError, Problem
from patterns.measure.letters import LETTERS, composed, shown_letters, unprintable
from patterns.measure.nearest import nearest
from patterns.table.spreadsheet import Row, Sheet, read_sheet
from patterns.table.values import Place
from tiling.text.lines import plain

__all__ = ["COLUMNS", "Owner", "read_class"]

COLUMNS = ("name", "worksheets")
MOST_WORKSHEETS = 40  # for one set; more is a slip of the keyboard
HEADINGS = 'write "name" in its first cell and the names of people or groups below it'


@dataclass(frozen=True, slots=True, kw_only=True)
class Owner:
    """One row of the list: somebody, or a group, who gets one set.

    Attributes:
        name: as it stands in the list, in one line.
        worksheets: how many worksheets go with the set: one, or as many as the group has people.
    """

    name: str
    worksheets: int = 1


def read_class(path: Path) -> tuple[Owner, ...]:
    """The list in a file, in its order.

    Its first row holds the headings: ``name``, and ``worksheets`` if they are wanted.

    Raises:
        DesignError: with every problem of the file.
    """
    if not path.is_file():
        raise DesignError(
            [
                Problem(
                    str(path), "the file was not found", f"save a CSV file: {HEADINGS}", code="file-not-found"
                )
            ]
        )
    sheet, problems = read_sheet(path)
    if sheet is None:
        raise DesignError(problems)
    columns, problems = _headings(sheet)
    if problems:
        raise DesignError(problems)
    reader = _Reader(sheet.file, columns)
    owners = [reader.owner(row) for row in sheet.rows[1:]]
    if not owners:
        reader.problems.append(
            Problem(sheet.file, "the list has no names", "write one to a row, below name", code="no-names")
        )
    if reader.problems:
        raise DesignError(reader.problems)
    return tuple(owner for owner in owners if owner is not None)


def _headings(sheet: Sheet) -> tuple[dict[str, int], list[Problem]]:
    """The column of each heading."""
    row = sheet.rows[0]
    found: dict[str, int] = {}
    problems = []
    for column, text in enumerate(row.texts):
        heading = text.casefold()
        place = str(Place(file=sheet.file, row=row.number, column=column))
        if heading in found:
            problems.append(
                Problem(
                    place, f'"{text}" is already a heading', "keep one of the columns", code="heading-twice"
                )
            )
        elif heading in COLUMNS:
            found[heading] = column
        elif heading and "name" in {text.casefold() for text in row.texts}:
            want = nearest(heading, COLUMNS) or f"the headings are {' and '.join(COLUMNS)}"
            problems.append(
                Problem(place, f'"{text}" is not a heading of a class list', want, code="unknown-heading")
            )
    if "name" not in found:
        place = f"{sheet.file}, row {row.number}"
        problems.append(
            Problem(place, f'the first row begins with "{row.text(0)}"', HEADINGS, code="first-row-headings")
        )
    return found, problems


class _Reader:
    """Reads row after row; what is wrong is gathered."""

    def __init__(self, file: str, columns: dict[str, int]) -> None:
        self._file, self._columns = file, columns
        self._seen: dict[str, tuple[str, int]] = {}
        self.problems: list[Problem] = []

    def owner(self, row: Row) -> Owner | None:
        """The owner of a row; None where something is wrong with it."""
        before = len(self.problems)
        name = composed(plain(row.text(self._columns["name"])))
        self._check_name(name, row)
        worksheets = self._worksheets(row)
        for column in range(len(row.texts)):
            if row.texts[column] and column not in self._columns.values():
                self._say(
                    row,
                    column,
                    f'"{row.texts[column]}" is in a column without a heading',
                    'write a name that contains a comma in quotes, e.g. "Ferrow, Odalind"',
                    code="cell-beyond-headings",
                )
        return Owner(name=name, worksheets=worksheets) if len(self.problems) == before else None

    def _say(self, row: Row, column: int | str, what: str, want: str, *, code: str) -> None:
        heading = column if isinstance(column, str) else ""
        at = self._columns[column] if isinstance(column, str) else column
        place = Place(file=self._file, row=row.number, column=at, heading=heading)
        self.problems.append(Problem(str(place), what, want, code=code))

    def _check_name(self, name: str, row: Row) -> None:
        if not name:
            self._say(
                row,
                "name",
                "the name is missing",
                "write whose set it is, or remove the row",
                code="name-empty",
            )
            return
        if lacking := unprintable(name):
            self._say(
                row,
                "name",
                f"the pages cannot print {shown_letters(lacking)}",
                f"{LETTERS}, or a number",
                code="name-unprintable",
            )
            return
        if not any(c.isalnum() for c in name):
            self._say(row, "name", f'"{name}" has no letter or figure', LETTERS, code="name-unprintable")
            return
        key = unicodedata.normalize("NFKC", name).casefold()
        if key in self._seen:
            other, at = self._seen[key]
            said = f'"{name}" is already in row {at}'
            if other.casefold() != name.casefold():
                said = f'"{name}" prints like "{other}" in row {at}'
            self._say(
                row,
                "name",
                said,
                "sheets differ by the name alone: add an initial or a number",
                code="same-name",
            )
            return
        self._seen[key] = name, row.number

    def _worksheets(self, row: Row) -> int:
        column = self._columns.get("worksheets")
        text = row.text(column) if column is not None else ""
        if not text:
            return 1
        if not re.fullmatch(r"\d{1,3}", text, re.ASCII) or int(text) > MOST_WORKSHEETS:
            self._say(
                row,
                "worksheets",
                f'"{text}" is not a number of worksheets',
                f"write a whole number from 0 to {MOST_WORKSHEETS}",
                code="worksheets-count",
            )
            return 1
        return int(text)
