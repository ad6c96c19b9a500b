"""The pieces of a job that a pattern is printed as: itself, or its ordinates and what is full size besides."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from patterns.drawing.crown_mould import CrownMould, crown_mould, parts_of
from patterns.drawing.frame_up import FrameUp
from patterns.drawing.of_pattern import draw
from patterns.drawing.ordinate_page import ordinate_pages
from patterns.drawing.ordinate_windows import windows_of
from patterns.drawing.ordinates import Ordinates, laid_off
from patterns.pattern import Pattern
from patterns.text.card_rows import card_rows, corner_table, mark_table
from patterns.text.crown_words import beam_rows, mould_rows
from patterns.text.fact_labels import ROWS
from patterns.text.wood_facts import Lengths
from tiling.paper import Page
from tiling.planning.plan import Card, Piece, Whole

__all__ = ["Printing", "laid_on", "places_of_patterns"]


def laid_on(pattern: Pattern, page: Page) -> Ordinates | None:
    """A pattern by ordinates; None where it is printed whole: if it is short, on a roll, or in a model."""
    return laid_off(pattern) if _taped(page) else None


def _taped(page: Page) -> bool:
    """A pattern is taped of pages: it is no model, and on no roll."""
    return page.scale.full and not page.paper.roll


@dataclass(frozen=True, slots=True, kw_only=True)
class Printing:
    """How the patterns of a job are printed.

    Attributes:
        title: the boat's name.
        page: the pages that they are on.
        whole: both halves of a pattern that is given as a half.
        source: what all of them are made from.
        frame_up: all pieces in their places, for the pictures on the cards.
        lengths: a length, mm, in words.
    """

    title: str
    page: Page
    whole: bool
    source: str
    frame_up: FrameUp
    lengths: Lengths

    def pieces(self, patterns: Iterable[Pattern]) -> Iterator[Piece]:
        """What is laid on pages, in the patterns' order."""
        patterns = list(patterns)
        wholes = self._wholes(patterns)
        mould = crown_mould(patterns) if _taped(self.page) and not self.whole else None
        for pattern in patterns:
            if mould is not None and pattern.name in mould.beams:
                yield from self._by_mould(pattern, mould)
                continue
            laid = laid_on(pattern, self.page)
            if laid is None:
                whole = wholes.get(pattern.part_of)
                card = self._card(pattern, part=whole is not None)
                yield replace(self._piece(pattern, card, alone=pattern.trial), whole=whole)
                continue
            names = _page_names(pattern, laid, self)
            pages = ordinate_pages(pattern, laid, boat=self.title, page=self.page)
            for name, drawing in zip(names, pages, strict=True):
                card = self._card(pattern)
                yield Piece(name=name, card=card, drawing=drawing, made_from=self.source, alone=True)
            for window in windows_of(pattern, laid):
                card = Card(quantity=window.quantity, rows=tuple(card_rows(window, self.lengths)))
                yield replace(self._piece(window, card), of=pattern.name)

    def _by_mould(self, pattern: Pattern, mould: CrownMould) -> Iterator[Piece]:
        """A beam's parts at full size, the mould before the first of all beams."""
        name = mould.pattern.name
        if pattern.name == next(iter(mould.beams)):
            rows = mould_rows(pattern.crown, tuple(mould.beams))
            yield self._piece(mould.pattern, Card(quantity=mould.pattern.quantity, rows=tuple(rows)))
        beam = mould.beams[pattern.name]
        span = beam.check
        check = None if span is None else (span.name, float(np.hypot(*np.subtract(span.end, span.start))))
        card = self._card(pattern)
        more = beam_rows(name, beam.under, check, self.lengths)
        yield self._piece(parts_of(pattern, beam, name), replace(card, rows=(*card.rows, *more)))

    def _piece(self, pattern: Pattern, card: Card, *, alone: bool = False) -> Piece:
        drawing = draw(pattern, boat=self.title, whole=self.whole, scale=self.page.scale)
        return Piece(
            name=pattern.name,
            card=card,
            drawing=drawing,
            made_from=self.source,
            alone=alone,
        )

    def _card(self, pattern: Pattern, *, part: bool = False) -> Card:
        """What its card says; of a part without what the card of its whole says."""
        rows = card_rows(pattern, self.lengths, whole=False if part else None)
        corners = () if part else corner_table([pattern], self.lengths)
        return Card(
            quantity=pattern.quantity,
            rows=((ROWS["face"], pattern.face), *rows),
            table=corners or mark_table(pattern),
            site=self.frame_up.of_part(pattern) if part else self.frame_up.of_pieces([pattern]),
        )

    def _wholes(self, patterns: Sequence[Pattern]) -> Mapping[str, Whole]:
        """What several of the patterns are put together to, by name."""
        found = {}
        for name in dict.fromkeys(pattern.part_of for pattern in patterns if pattern.part_of):
            parts = [pattern for pattern in patterns if pattern.part_of == name]
            if len(parts) == 1:
                continue
            rows = dict.fromkeys(row for part in parts for row in card_rows(part, self.lengths, whole=True))
            card = Card(
                rows=tuple(rows),
                table=corner_table(parts, self.lengths),
                site=self.frame_up.of_pieces(parts),
                tick="put together",
            )
            found[name] = Whole(name=name, card=card)
        return found


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
