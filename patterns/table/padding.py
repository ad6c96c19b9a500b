"""Inches written with a nought before them: a table's habit, or half of a fraction that was lost."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from patterns.errors import Problem
from patterns.measure import Notation, read_feet_and_inches, tidy
from patterns.table.values import Place

__all__ = ["Padding"]

MOST_PLAIN = 0.25  # inches without a nought for each with one, up to which the nought is the habit


@dataclass(slots=True, kw_only=True)
class Padding:
    """How the inches of a plan are written, cell by cell.

    Attributes:
        padded: how many cells have a nought before a figure of inches.
        plain: how many have inches of one figure.
        doubtful: the cells that end in padded inches, with feet and inches as written.
    """

    padded: int = 0
    plain: int = 0
    doubtful: list[tuple[Place, str, str]] = field(default_factory=list)

    def see(self, text: str, place: Place, notation: Notation) -> None:
        """One more cell."""
        found = read_feet_and_inches(tidy(text).lower(), notation)
        if found is None:
            return
        self.plain += found.one_figure
        self.padded += found.padded
        if found.padded and found.over is None and found.inches != "00":
            self.doubtful.append((place, found.feet or "", (found.inches or "")[1:]))

    def doubts(self) -> Iterator[Problem]:
        """The padded inches of a table that does not pad its inches.

        ``4' 01"`` is what is left of 4' 0 1/2" or 4' 10" after a slip. Where the inches have their nought
        throughout, in two cells or more, that is how the plan is written.
        """
        if self.padded > 1 and self.plain <= MOST_PLAIN * self.padded:
            return
        for place, feet, figure in self.doubtful:
            start = f"{feet}' " if feet else ""
            read = f'{start}{figure}"'
            lost = f'{start}0 1/2" or {start}10"' if figure == "1" else "a length with a fraction"
            yield Problem(
                str(place),
                f'"{place.typed}" is read as {read}, but other inches of this table have no nought before them',
                f"compare the plan: {read}, or {lost}?",
                code="padded-inches",
            )
