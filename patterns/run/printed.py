"""The pieces of a job that a pattern is printed as: itself, or its ordinates and what is full size besides."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from patterns.drawing.of_pattern import draw
from patterns.drawing.ordinate_page import ordinate_pages
from patterns.drawing.ordinate_windows import windows_of
from patterns.drawing.ordinates import Ordinates, laid_off
from patterns.pattern import Pattern
from patterns.text.fact_labels import ROWS, label_of
from tiling.paper import Page
from tiling.planning.plan import Piece

__all__ = ["Printing", "laid_on", "places_of_patterns"]


def laid_on(pattern: Pattern, page: Page) -> Ordinates | None:
    """A pattern by ordinates; None where it is printed whole: if it is short, on a roll, or in a model."""
    return laid_off(pattern) if page.scale.full and not page.paper.roll else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Printing:
    """How the patterns of a job are printed.

    Attributes:
        title: the boat's name.
        page: the pages that they are on.
        whole: both halves of a pattern that is given as a half.
        source: what all of them are made from.
    """

    title: str
    page: Page
    whole: bool
    source: str

    def pieces(self, patterns: Iterable[Pattern]) -> Iterator[Piece]:
        """What is laid on pages, in the patterns' order."""
        for pattern in patterns:
            laid = laid_on(pattern, self.page)
            if laid is None:
                yield self._piece(pattern, alone=pattern.trial)
                continue
            names = _page_names(pattern, laid, self)
            pages = ordinate_pages(pattern, laid, boat=self.title, page=self.page)
            for name, drawing in zip(names, pages, strict=True):
                facts = ("By ordinates: what is full size follows", *_facts(pattern))
                card = _card(pattern)
                yield Piece(
                    name=name, facts=facts, card=card, drawing=drawing, made_from=self.source, alone=True
                )
            for window in windows_of(pattern, laid):
                yield self._piece(window, alone=True)

    def _piece(self, pattern: Pattern, *, alone: bool) -> Piece:
        drawing = draw(pattern, boat=self.title, whole=self.whole, scale=self.page.scale)
        return Piece(
            name=pattern.name,
            facts=_facts(pattern),
            card=_card(pattern),
            drawing=drawing,
            made_from=self.source,
            alone=alone,
        )


def _card(pattern: Pattern) -> tuple[tuple[str, str], ...]:
    """The table beside its map; rows of one label follow one another."""
    rows = [(label_of(fact.kind), words) for fact, words in zip(pattern.known, pattern.facts, strict=False)]
    rows += [(label_of(""), words) for words in pattern.facts[len(pattern.known) :]]
    labels = dict.fromkeys(label for label, _ in rows)
    return (
        (ROWS["quantity"], pattern.quantity),
        (ROWS["face"], pattern.face),
        *((label, words) for label in labels for own, words in rows if own == label),
    )


def _facts(pattern: Pattern) -> tuple[str, ...]:
    return (
        f"Quantity: {pattern.quantity}",
        pattern.facts[0],
        f"Shows the {pattern.face}",
        *pattern.facts[1:],
    )


def _page_names(pattern: Pattern, laid: Ordinates, printing: Printing) -> list[str]:
    """The names of its pages of ordinates; the first is the pattern's own."""
    count = len(ordinate_pages(pattern, laid, boat=printing.title, page=printing.page))
    return [pattern.name, *(f"{pattern.name}, ordinates {number}" for number in range(2, count + 1))]


def places_of_patterns(
    patterns: Sequence[Pattern], page: Page, places: Mapping[str, tuple[int, int]]
) -> dict[str, tuple[int, int]]:
    """Each pattern's first and last page, with those of what is printed of it besides its ordinates.

    Args:
        places: of the job's pieces, by name.
    """
    found = dict(places)
    for pattern in patterns:
        laid = laid_on(pattern, page)
        if laid is not None:
            last = max(places[window.name][1] for window in windows_of(pattern, laid))
            found[pattern.name] = places[pattern.name][0], last
    return found
