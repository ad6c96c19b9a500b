"""Lengths out of a spreadsheet's cells; what cannot be read is gathered with its place."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from fractions import Fraction

from patterns.errors import Problem
from patterns.measure import BadLength, Notation, exact_length, forms
from patterns.table.padding import Padding
from patterns.table.spreadsheet import Row, Sheet, is_empty, spoiled
from patterns.table.values import Place

__all__ = ["CellReader"]

_COMMA = re.compile(r"\s*-?\s*\d*,\d+(?:\s*[a-z\"']+)?\s*", re.IGNORECASE)


@dataclass(slots=True, kw_only=True)
class CellReader:
    """Reads the cells of one sheet in one notation.

    Attributes:
        problems: what is wrong, in the order in which it was met.
        unread: the cells whose value is not known although something stands there.
        padding: how inches are written, here and in the files that are read with the same one.
        commas: the file writes decimal commas.
    """

    sheet: Sheet
    notation: Notation
    problems: list[Problem] = field(default_factory=list)
    unread: set[Place] = field(default_factory=set)
    padding: Padding = field(default_factory=Padding)

    commas: bool = field(init=False)

    def __post_init__(self) -> None:
        words = [text for row in self.sheet.rows for text in row.texts]
        self.commas = self.sheet.decimal_comma and any(_COMMA.fullmatch(text) for text in words)

    def place(self, row: Row, column: int, heading: str) -> Place:
        """Where a cell stands."""
        typed = row.text(column)
        return Place(file=self.sheet.file, row=row.number, column=column, heading=heading, typed=typed)

    def trouble(self, place: Place | str, what: str, want: str = "", *, code: str) -> None:
        """One more problem; its cell counts as unread."""
        self.problems.append(Problem(str(place), what, want, code=code))
        if isinstance(place, Place):
            self.unread.add(place)

    def length(self, text: str, place: Place) -> Fraction | None:
        """The exact length in mm; None for a cell left empty, and for one that cannot be read."""
        if is_empty(text):
            return None
        if (found := spoiled(text)) is not None:
            want = found.want
            if found.code != "cell-too-narrow" and self.notation is Notation.FEET_INCHES_EIGHTHS:
                want += "; or write it with spaces, e.g. 2 7 3"
            self.trouble(place, found.what, want, code=found.code)
            return None
        plain = text
        if self.commas and "." in text:
            self.trouble(
                place,
                f'"{text}" has a point, and other numbers of this file have a decimal comma',
                code="decimal-signs-mixed",
            )
            return None
        if self.sheet.decimal_comma:
            plain = text.replace(",", ".")
        try:
            value = exact_length(plain, notation=self.notation)
        except BadLength as error:
            self.trouble(place, error.what, error.want, code=error.code)
            return None
        self.padding.see(plain, place, self.notation)
        return value

    @property
    def wanted(self) -> str:
        """The accepted forms in words."""
        return forms(self.notation)
