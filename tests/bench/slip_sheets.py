"""A typed table as rows of cells that can be spoiled one at a time, each cell with its place in the user's file."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace

from patterns.measure import Notation, exact_length, format_length
from patterns.table.values import column_letters

__all__ = ["Sheet", "Slip", "stem_rows"]

TABLE, STEM = "offsets.csv", "stem.csv"


@dataclass(frozen=True, slots=True, kw_only=True)
class Slip:
    """One slip of typing.

    Attributes:
        kind: what the bench's table counts it as.
        what: which one it is, in words.
        files: the files that it changes.
        at: places that a finding may have to count as naming it; compared with their beginnings.
        wood: it changes the shape of a piece of wood whatever the hull's sections say.
    """

    kind: str
    what: str
    files: Mapping[str, str]
    at: tuple[str, ...]
    wood: bool = False


@dataclass(frozen=True, slots=True)
class Sheet:
    """The table of offsets (or a stem's points) as text, comments and all.

    Attributes:
        rows: the cells of each row of the file; a comment is a row of one cell.
        notation: of its lengths.
        file: its name.
    """

    rows: tuple[tuple[str, ...], ...]
    notation: Notation
    file: str = TABLE

    @classmethod
    def read(cls, text: str, notation: Notation, file: str = TABLE) -> Sheet:
        """The sheet of a file's text."""
        rows = [(line,) if line.startswith("#") else tuple(line.split(",")) for line in text.splitlines()]
        return cls(tuple(rows), notation, file)

    def text(self) -> str:
        """The file's text."""
        return "\n".join(",".join(row) for row in self.rows) + "\n"

    def find(self, block: str, line: str) -> int:
        """The index of a row.

        Raises:
            StopIteration: there is none.
        """
        return next(i for i, row in enumerate(self.rows) if row[:2] == (block, line))

    def blocks(self, *names: str) -> Iterator[int]:
        """The indices of the rows of some blocks."""
        return (i for i, row in enumerate(self.rows) if len(row) > 2 and row[0] in names)

    def filled(self, row: int) -> list[int]:
        """The columns of a row in which a length is typed."""
        first = 1 if self.file == STEM else 2
        return [c for c in range(first, len(self.rows[row])) if self.rows[row][c][:1].isdigit()]

    def value(self, row: int, column: int) -> float:
        """A cell's length, mm."""
        return float(exact_length(self.rows[row][column], notation=self.notation))

    def words(self, mm: float, like: str) -> str:
        """A length as the cell beside it is typed: as many decimals, or feet, inches and eighths."""
        if self.notation is Notation.MM:
            return f"{mm:.{len(like.partition('.')[2])}f}"
        return format_length(mm, self.notation)

    def put(self, row: int, column: int, cell: str) -> Sheet:
        """The sheet with another cell."""
        cells = list(self.rows[row])
        cells[column] = cell
        return self.with_row(row, tuple(cells))

    def with_row(self, row: int, cells: tuple[str, ...]) -> Sheet:
        """The sheet with another row."""
        return replace(self, rows=(*self.rows[:row], cells, *self.rows[row + 1 :]))

    def each(
        self, row: int, change: Callable[[float], float], *, columns: tuple[int, ...] | None = None
    ) -> Sheet:
        """The sheet with every length of a row changed, or those in some columns."""
        sheet = self
        for column in self.filled(row):
            if columns is None or column in columns:
                like = self.rows[row][column]
                sheet = sheet.put(row, column, self.words(change(self.value(row, column)), like))
        return sheet

    def scaled(self, row: int, factor: float) -> Sheet:
        """A row typed in another unit, with two more decimals where the table is metric."""
        sheet = self
        for column in self.filled(row):
            value = self.value(row, column) * factor
            cell = f"{value:.2f}" if self.notation is Notation.MM else format_length(value, self.notation)
            sheet = sheet.put(row, column, cell)
        return sheet

    def exchanged(self, one: int, two: int) -> Sheet:
        """The sheet with the cells of two rows exchanged; their names stay."""
        a, b = self.rows[one], self.rows[two]
        return self.with_row(one, a[:2] + b[2:]).with_row(two, b[:2] + a[2:])

    def place(self, row: int, column: int | None = None) -> str:
        """A row's place, or a cell's."""
        there = f"{self.file}, row {row + 1}"
        return there if column is None else f"{there}, column {column_letters(column)}"

    def column_places(self, column: int) -> tuple[str, ...]:
        """Every cell of a column, and the column by itself."""
        cells = tuple(f"{self.place(row, column)} " for row in range(len(self.rows)))
        return (*cells, f"{self.file}, column {column_letters(column)}")


def stem_rows(sheet: Sheet) -> list[int]:
    """The rows of a stem's file that hold a point."""
    return [
        i
        for i, row in enumerate(sheet.rows)
        if row[0] in ("aft", "height") and len(row) > 2 and all(row[1:3])
    ]
