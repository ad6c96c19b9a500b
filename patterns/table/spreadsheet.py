"""CSV as spreadsheets save it: bytes to rows of cells; and the tricks that they play on lengths.

Nothing is guessed from the contents: the separator is the one that the first row uses.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import NamedTuple

from patterns.errors import Problem
from patterns.measure import tidy
from patterns.table.dialect import TypedText, decoded, lines_of, separator_of

__all__ = ["Row", "Sheet", "Spoiled", "is_empty", "read_sheet", "spoiled", "too_many"]

AS_TEXT = "format the column as text in the spreadsheet first, then type the value again"

# No plan needs more; what does is another file, or damaged (common practice, no source).
MOST_BYTES = 2_000_000
MOST_ROWS = 5_000
MOST_COLUMNS = 200

# Control characters but for tabs and the signs that end a line somewhere.
_CONTROL = re.compile(r"[\x01-\x08\x0e-\x1b\x1f\x7f-\x84\x86-\x9f]")

_MONTH = (
    r"(?:jan|feb|mar|apr|may|jun|jul|aug|sep|sept|oct|nov|dec|january|february|march|april|june|july|august"
    r"|september|october|november|december|mär|mrz|mai|okt|dez|janv|févr|fév|mars|avr|juin|juil|août|déc|ene"
    r"|abr|ago|dic)\.?"
)
_DATES = [
    re.compile(pattern)
    for pattern in (
        r"\d{4}[-/.]\d{1,2}[-/.]\d{1,2}(?:[ t].*)?",  # 2007-03-02, with a time or without
        r"\d{1,2}[-/.]\d{1,2}[-/.](?:\d{4}|\d{2})(?:[ t].*)?",  # 2/7/2003, 02-07-03, 02.07.2003
        r"\d{1,2}[/.]\d{1,2}[/.]\d\b",  # 2/7/3
        rf"\d{{1,2}}[-/. ]+{_MONTH}(?:[-/. ]+\d{{2,4}})?",  # 07-Mar, 2. Jul 2003
        rf"{_MONTH}[-/. ]+\d{{1,4}}(?:,? ?\d{{4}})?",  # Feb-07, Feb 7, 2003
        r"\d+年.*|\d+月.*",
    )
]
_FORMULA = re.compile(r"=.*|@.*|\+.*|#(?:name|value|ref|num|div/0|n/a|null|wert|bezug|zahl)\b.*|err:\d+")


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One row that is neither blank nor a comment; ``number`` is the spreadsheet's."""

    number: int
    texts: tuple[str, ...]

    def text(self, column: int) -> str:
        """The words of a column, empty where the row is too short."""
        return self.texts[column] if column < len(self.texts) else ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """A file's rows.

    Attributes:
        file: its name within the design's folder.
        decimal_comma: a comma may be the decimal sign, since it parts no cells.
    """

    file: str
    rows: tuple[Row, ...]
    decimal_comma: bool


def is_empty(text: str) -> bool:
    """Whether a cell is left empty on purpose: blank or a dash of any length."""
    return tidy(text).strip("-") == ""


class Spoiled(NamedTuple):
    """What a spreadsheet has made of a length, the cure, and which finding it is."""

    what: str
    want: str
    code: str


def spoiled(text: str) -> Spoiled | None:
    """What a spreadsheet has made of a length; None where it has done nothing."""
    plain = tidy(text).lower()
    if any(date.fullmatch(plain) for date in _DATES):
        return Spoiled(
            f'"{text}" is a date: the spreadsheet has made one of the length', AS_TEXT, "cell-is-date"
        )
    if plain.strip("#") == "" and plain:
        return Spoiled(
            f'"{text}" is a column too narrow for its number',
            "widen the column and save again",
            "cell-too-narrow",
        )
    if _FORMULA.fullmatch(plain):
        what = f'"{text}" is a formula, or begins as one, to a spreadsheet'
        plus = "; write the + of a sixteenth at the end, e.g. 2-7-3+" if plain.startswith("+") else ""
        return Spoiled(what, AS_TEXT + plus, "cell-is-formula")
    if re.fullmatch(r"-?[\d.,]+e[+-]?\d+", plain):
        return Spoiled(f'"{text}" is a number that the spreadsheet has rounded', AS_TEXT, "cell-rounded")
    return None


def read_sheet(path: Path) -> tuple[Sheet | None, list[Problem]]:
    """The rows of a CSV file.

    Returns:
        The sheet, or None with the problem that kept it from being read.
    """
    file = path.name
    try:
        size = path.stat().st_size
        data = path.read_bytes() if size <= MOST_BYTES else b""
    except FileNotFoundError:
        missing, want = "is not in the design's folder", "save the table there under this name"
        return None, [Problem(file, missing, want, code="missing-file")]
    except OSError as error:
        return None, [Problem(file, f"cannot be read ({error.strerror})", code="cannot-read")]
    if size > MOST_BYTES:
        what, want = f"has {size:,} bytes", f"a table has at most {MOST_BYTES:,}; save the table alone as CSV"
        return None, [Problem(file, what, want, code="large-file")]
    typed = decoded(data)
    if isinstance(typed, TypedText) and "\0" not in typed.text:
        return _sheet(file, typed.text)
    if isinstance(typed, int):
        row = 1 + data[:typed].count(b"\n")
        return None, [
            Problem(
                f"{file}, row {row}",
                "the file is not valid UTF-8",
                'save the file as "CSV UTF-8"',
                code="not-utf-8",
            )
        ]
    return None, [
        Problem(
            file, "is not a CSV file", 'save the table from the spreadsheet as "CSV UTF-8"', code="not-csv"
        )
    ]


def too_many(file: str, rows: Sequence[object], most: int) -> Problem | None:
    """More rows than a list of its kind has."""
    if len(rows) <= most:
        return None
    want = f"give at most {most:,}; delete what does not belong there"
    return Problem(file, f"has {len(rows):,} rows", want, code="too-many-rows")


def _beyond(file: str, rows: list[Row]) -> Problem | None:
    """More rows or columns than any plan has."""
    if (problem := too_many(file, rows, MOST_ROWS)) is not None:
        return problem
    for row in rows:
        if len(row.texts) > MOST_COLUMNS:
            filled = max(i for i, text in enumerate(row.texts, start=1) if text)
            if filled > MOST_COLUMNS:
                want = f"a table has at most {MOST_COLUMNS}; delete what does not belong to it"
                what = f"has {filled:,} columns"
                return Problem(f"{file}, row {row.number}", what, want, code="too-many-columns")
    return None


def _sheet(file: str, text: str) -> tuple[Sheet | None, list[Problem]]:
    if (control := _CONTROL.search(text)) is not None:
        row = 1 + text.count("\n", 0, control.start())
        what = f"contains a control character (U+{ord(control[0]):04X})"
        return None, [Problem(f"{file}, row {row}", what, "delete it", code="control-character")]
    lines = lines_of(text)
    separator, named = separator_of(lines)
    if named:
        lines[0] = ""
    # A comment may hold a lone quote, which must not swallow the rows below it.
    lines = ["" if line.lstrip().startswith("#") else line for line in lines]
    rows = []
    reader = csv.reader((line + "\n" for line in lines), delimiter=separator, strict=True)
    number = 0
    try:
        for record in reader:
            number += 1
            texts = tuple(" ".join(cell.split()) for cell in record)
            if any(texts) and not texts[0].startswith("#"):
                rows.append(Row(number=number, texts=texts))
    except csv.Error:
        if len(lines[reader.line_num - 1]) > csv.field_size_limit():
            where = f"{file}, row {number + 1}"
            return None, [Problem(where, "a cell is too long", "delete it", code="too-long")]
        return None, [
            Problem(
                f"{file}, row {number + 1}",
                "a quote is not closed, or text follows a closed one",
                "double the inch marks within a quoted cell; 2 ft 7 3/8 in needs no quotes",
                code="quote-not-closed",
            )
        ]
    if not rows:
        return None, [Problem(file, "holds no rows", code="missing-rows")]
    if (beyond := _beyond(file, rows)) is not None:
        return None, [beyond]
    return Sheet(file=file, rows=tuple(rows), decimal_comma=separator != ","), []
