"""A CSV file as text to be edited: each cell as typed, each row that is not touched exactly as it was."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from patterns.errors import PatternsError
from patterns.table.dialect import Dialect, TypedText, decoded, lines_of, separator_of
from patterns.table.spreadsheet import MOST_COLUMNS, MOST_ROWS

__all__ = ["SheetText", "SheetTextError", "TextRow", "sheet_text"]


class SheetTextError(PatternsError):
    """A file cannot be edited as a table, or an edit would make another table of it than was meant."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TextRow:
    """One row of the file, comments and blank rows included.

    Attributes:
        raw: its text without the end of its last line.
        cells: as the table is read: with single spaces; none in a comment.
    """

    raw: str
    cells: tuple[str, ...] = ()

    @property
    def is_comment(self) -> bool:
        """Whether it holds nothing that is read."""
        return not any(self.cells) or self.cells[0].startswith("#")


@dataclass(frozen=True, kw_only=True)
class SheetText:
    """A CSV file's rows in its dialect.  A row's number is the spreadsheet's, from 1; a column's is from 0.

    Lines that end in several ways all end in the commonest of them once anything is edited.

    Attributes:
        dialect: how it is written.
        rows: all of them; the last is blank where the file ends with a line's end.
    """

    dialect: Dialect
    rows: tuple[TextRow, ...]

    @cached_property
    def data(self) -> bytes:
        """The file's bytes."""
        return self.dialect.encoded(self.dialect.newline.join(row.raw for row in self.rows))

    def typed(self) -> dict[int, tuple[str, ...]]:
        """The cells of every row that is read, by its number."""
        return {number: row.cells for number, row in enumerate(self.rows, start=1) if not row.is_comment}

    def with_cells(self, cells: Mapping[tuple[int, int], str]) -> SheetText:
        """The file with other words in some cells; rows and columns beyond the last are added.

        Args:
            cells: by row and column.
        Raises:
            SheetTextError: the file would not be read as these cells.
        """
        rows = list(self.rows)
        by_row: dict[int, dict[int, str]] = {}
        for (number, column), text in cells.items():
            if not (1 <= number <= MOST_ROWS and 0 <= column < MOST_COLUMNS):
                raise SheetTextError(f"a table has at most {MOST_ROWS:,} rows and {MOST_COLUMNS} columns")
            by_row.setdefault(number, {})[column] = " ".join(text.split())
        last = len(rows) if rows[-1].raw else len(rows) - 1
        closed = last < len(rows)
        rows = rows[:last]
        for number, words in sorted(by_row.items()):
            rows += [TextRow(raw="")] * (number - len(rows))
            old = rows[number - 1]
            kept = [*old.cells, *[""] * (max(words) + 1 - len(old.cells))]
            new = [words.get(column, text) for column, text in enumerate(kept)]
            if new != list(old.cells):
                rows[number - 1] = self._row(new)
        return self._checked([*rows, TextRow(raw="")] if closed else rows)

    def with_column(self, at: int, heading: str, *, first: int) -> SheetText:
        """The file with an empty column before the one that is there.

        Args:
            heading: what the row of headings says of it.
            first: the number of that row.
        """
        words = " ".join(heading.split())
        return self._edited(
            lambda number, cells: (
                [*cells[:at], words if number == first else "", *cells[at:]]
                if len(cells) > at or number == first
                else cells
            )
        )

    def without_column(self, at: int) -> SheetText:
        """The file without one of its columns."""
        return self._edited(lambda _, cells: [*cells[:at], *cells[at + 1 :]])

    def with_row(self, number: int, cells: Sequence[str]) -> SheetText:
        """The file with a row before the one that is there."""
        rows = list(self.rows)
        end = len(rows) if rows[-1].raw else len(rows) - 1  # a file that ends with a line's end still does
        rows.insert(min(number - 1, end), self._row(list(cells)))
        return self._checked(rows)

    def without_row(self, number: int) -> SheetText:
        """The file without one of its rows."""
        return self._checked([*self.rows[: number - 1], *self.rows[number:]])

    def _edited(self, edit: Callable[[int, list[str]], list[str]]) -> SheetText:
        rows = []
        for number, row in enumerate(self.rows, start=1):
            cells = list(row.cells) if row.is_comment else edit(number, list(row.cells))
            rows.append(row if cells == list(row.cells) else self._row(cells))
        return self._checked(rows)

    def _row(self, cells: list[str]) -> TextRow:
        out = io.StringIO()
        csv.writer(out, delimiter=self.dialect.separator, lineterminator="").writerow(cells)
        return TextRow(raw=out.getvalue(), cells=tuple(cells))

    def _checked(self, rows: Iterable[TextRow]) -> SheetText:
        """The file with these rows, if it is read as they are meant.

        Raises:
            SheetTextError: it is not.
        """
        new = replace(self, rows=tuple(rows))
        again = sheet_text(new.data)
        if again.dialect.separator != self.dialect.separator or again.typed() != new.typed():
            raise SheetTextError(
                "with these words the file would be read as another table; leave out # at the start of a row, "
                "quotes, and signs that part cells"
            )
        return again


def sheet_text(data: bytes) -> SheetText:
    """The rows of a CSV file.

    Raises:
        SheetTextError: it is no such file.
    """
    found = decoded(data)
    if not isinstance(found, TypedText) or "\0" in found.text:
        raise SheetTextError("the file is not CSV in UTF-8")
    text = found.text
    lines = lines_of(text)
    separator, named = separator_of(lines)
    newline = "\r\n" if "\r\n" in text else "\r" if "\r" in text else "\n"
    dialect = Dialect(mark=found.mark, codec=found.codec, newline=newline, separator=separator)
    plain = [
        "" if line.lstrip().startswith("#") or (named and not at) else line for at, line in enumerate(lines)
    ]
    reader = csv.reader((line + "\n" for line in plain), delimiter=separator, strict=True)
    rows, done = [], 0
    try:
        for record in reader:
            raw = dialect.newline.join(lines[done : reader.line_num])
            cells = tuple(" ".join(cell.split()) for cell in record)
            rows.append(TextRow(raw=raw, cells=cells if any(plain[done : reader.line_num]) else ()))
            done = reader.line_num
    except csv.Error as error:
        raise SheetTextError("a quote in the file is not closed, or text follows a closed one") from error
    return SheetText(dialect=dialect, rows=tuple(rows))
