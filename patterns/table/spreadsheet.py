"""CSV as spreadsheets save it: bytes to rows of cells; and the tricks that they play on lengths.

Nothing is guessed from the contents: the separator is the one that the first row uses.
"""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass
from pathlib import Path

from patterns.errors import Problem
from patterns.measure import tidy

__all__ = ["Row", "Sheet", "is_empty", "read_sheet", "spoiled"]

SEPARATORS = ",;\t"
AS_TEXT = "format the column as text in the spreadsheet first, then type the value again"

# These bytes of the old Western code page are dashes, quotes and the hard space; letters are not guessed.
HARMLESS_1252 = bytes([0x85, 0x91, 0x92, 0x93, 0x94, 0x96, 0x97, 0xA0])

_MONTH = (
    r"(?:jan|feb|mar|apr|may|jun|jul|aug|sep|sept|oct|nov|dec|january|february|march|april|june|july|august"
    r"|september|october|november|december|mär|mrz|mai|okt|dez|janv|févr|fév|mars|avr|juin|juil|août|déc|ene"
    r"|abr|ago|dic)\.?"
)
_DATES = [
    re.compile(pattern)
    for pattern in (
        r"\d{4}[-/.]\d{1,2}[-/.]\d{1,2}\b.*",  # 2007-03-02, with a time or without
        r"\d{1,2}[-/.]\d{1,2}[-/.](?:\d{4}|\d{2})\b.*",  # 2/7/2003, 02-07-03, 02.07.2003
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


def spoiled(text: str) -> tuple[str, str] | None:
    """What a spreadsheet has made of a length, and the cure; None where it has done nothing."""
    plain = tidy(text).lower()
    if any(date.fullmatch(plain) for date in _DATES):
        return f'"{text}" is a date: the spreadsheet has made one of the length', AS_TEXT
    if plain.strip("#") == "" and plain:
        return f'"{text}" is a column too narrow for its number', "widen the column and save again"
    if _FORMULA.fullmatch(plain):
        what = f'"{text}" is a formula, or begins as one, to a spreadsheet'
        plus = "; the + of a sixteenth stands at the end, as 2-7-3+" if plain.startswith("+") else ""
        return what, AS_TEXT + plus
    if re.fullmatch(r"-?[\d.,]+e[+-]?\d+", plain):
        return f'"{text}" is a number that the spreadsheet has rounded', AS_TEXT
    return None


def read_sheet(path: Path) -> tuple[Sheet | None, list[Problem]]:
    """The rows of a CSV file.

    Returns:
        The sheet, or None with the problem that kept it from being read.
    """
    file = path.name
    try:
        data = path.read_bytes()
    except FileNotFoundError:
        missing, want = "is not in the design's folder", "save the table there under this name"
        return None, [Problem(file, missing, want, code="missing-file")]
    except OSError as error:
        return None, [Problem(file, f"cannot be read ({error.strerror})")]
    text = _decoded(data)
    if isinstance(text, str) and "\0" not in text:
        return _sheet(file, text)
    if isinstance(text, int):
        row = 1 + data[:text].count(b"\n")
        return None, [Problem(f"{file}, row {row}", "a letter is not in UTF-8", 'save it as "CSV UTF-8"')]
    return None, [Problem(file, "is no CSV file", 'save the table from the spreadsheet as "CSV UTF-8"')]


def _decoded(data: bytes) -> str | int | None:
    """The text; or where the first unreadable byte stands; or None for no text at all."""
    if data.startswith((b"PK\x03\x04", b"\xd0\xcf\x11\xe0")):
        return None  # a spreadsheet's own file
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        try:
            return data.decode("utf-16")
        except UnicodeDecodeError:
            return None
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        if all(byte < 0x80 or byte in HARMLESS_1252 for byte in data):
            return data.decode("cp1252")
        return error.start


def _sheet(file: str, text: str) -> tuple[Sheet | None, list[Problem]]:
    # Rows end with \n, \r\n or a lone \r (old spreadsheets); other line-end signs belong to a cell.
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    separator = None
    if lines[0].lower().strip('"').startswith("sep=") and lines[0].strip('"\n')[4:] in tuple(SEPARATORS):
        separator, lines[0] = lines[0].strip('"')[4:], ""
    # A comment may hold a lone quote, which must not swallow the rows below it.
    lines = ["" if line.lstrip().startswith("#") else line for line in lines]
    separator = separator or _separator(next(filter(None, lines), ""))
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
        return None, [
            Problem(
                f"{file}, row {number + 1}",
                "a quote is not closed, or more stands behind a closed one",
                "inch marks within a quoted cell are doubled; 2 ft 7 3/8 in needs no quotes",
            )
        ]
    if not rows:
        return None, [Problem(file, "holds no rows", code="missing-rows")]
    return Sheet(file=file, rows=tuple(rows), decimal_comma=separator != ","), []


def _separator(line: str) -> str:
    """The sign that parts the cells of a row: the one that stands most often outside of quotes."""
    bare = re.sub(r'"[^"]*"', "", line)
    return max(SEPARATORS, key=bare.count)
