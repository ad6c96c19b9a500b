"""Cards of the pieces, two or three on a page: where each is, its pages, facts, distances, a box to tick.

No card is split over pages, unless its facts alone fill more than one.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import islice

import numpy as np

from tiling.drawing import FloatArray, Stroke
from tiling.pages.card_contents import CardContents, all_cards
from tiling.pages.card_tables import FACT, PITCH, Facts, draw_lines
from tiling.pages.map_picture import MapGrid, draw_map
from tiling.pages.text_flow import Flow
from tiling.paper import Box
from tiling.pdf.shapes import FINE, FIRM, THIN, Ink
from tiling.planning.card import Site
from tiling.planning.plan import Job, Plan
from tiling.text.lines import BODY, elided
from tiling.text.typeface import text_width

__all__ = ["add_cards"]

HEAD = 5.0  # height of a capital, mm
BAND = 8.0  # mm; the line with name, pages and the box to tick
TICK = 5.0  # mm; the box
PAD = 2.5  # mm between a card's edge and what is in it
GAP = 3.0  # mm between two cards
ASIDE = 5.0  # mm between pictures and words
LEAST_FACTS = 60.0  # mm of breadth beside tables
LEAST_SHARED = 85.0  # mm; the least height of a map of pieces among one another
HEIGHTS = (36.0, 120.0, 4.0)  # mm; least and greatest height of a map, and the steps between
MOST = 32  # cards that are looked at for one page
LIGHT = Stroke(width=0.13)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Way:
    """One way to set a card.

    Attributes:
        room: breadth and height of the map's box, mm.
        scale: how large the map is.
        abreast: the map stands beside the small picture, else below it.
        beside: the words stand beside the pictures, else below them.
        pictures: breadth and height of both pictures.
        height: of the whole card, mm.
    """

    room: tuple[float, float]
    scale: float
    abreast: bool
    beside: bool
    pictures: tuple[float, float]
    height: float


def add_cards(flow: Flow, job: Job, plans: Sequence[Plan], *, first: int) -> tuple[int, ...]:
    """Add the cards of all pieces from here on; returns the number of the page that each plan's pages lead back to.

    Args:
        first: number of the first plan's first page, 0 while it is not known yet: then only the room is taken up.
    """
    sites = _Sites()
    coming = ((card, _ways(flow, card)) for card in all_cards(job.pieces, plans, first))
    cards: list[tuple[CardContents, list[_Way]]] = []
    numbers: dict[int, int] = {}
    while cards := [*cards, *islice(coming, MOST - len(cards))]:
        if not cards[0][1]:
            card, _ = cards.pop(0)
            numbers = dict.fromkeys(card.plans, _add_long(flow, card, sites)) | numbers
            continue
        flow.need(_least(cards[0][1]))
        group = [cards.pop(0) for _ in range(_how_many(cards, flow.left))]
        for (card, _), way in zip(group, _spread([ways for _, ways in group], flow.left), strict=True):
            number = _add(flow, card, way, sites)
            numbers = (
                dict.fromkeys(card.plans, number) | numbers
            )  # the map of several comes before their cards
    return tuple(numbers[place] for place in range(len(plans)))


# How it is set


class _Words:
    """The words of a card in a column: the facts with the tables below them, or beside them where that is lower."""

    def __init__(self, card: CardContents) -> None:
        self._card = card
        self._tables = max(card.ruled.least, card.measures.least)
        self._high = card.ruled.height + card.measures.height

    @property
    def least(self) -> float:
        """The least breadth, mm."""
        return max(self._card.facts.least, self._tables)

    def _inset(self, room: float) -> float:
        """How far in the tables stand beside the facts; 0: they stand below them."""
        facts, inset = self._card.facts, room - self._tables
        if not self._high or inset - ASIDE < max(facts.least, LEAST_FACTS):
            return 0.0
        abreast = max(facts.height(inset - ASIDE), self._high)
        return inset if abreast < facts.height(room) + self._high else 0.0

    def height(self, room: float) -> float:
        """Their height in a column of that breadth, mm."""
        inset, facts = self._inset(room), self._card.facts
        return max(facts.height(inset - ASIDE), self._high) if inset else facts.height(room) + self._high

    def draw(self, ink: Ink, box: Box) -> None:
        """Draw them in a box: the distances at its foot."""
        left, _, right, top = box
        card, inset = self._card, self._inset(right - left)
        wide = inset - ASIDE if inset else right - left
        card.facts.draw(ink, (left, top), wide)
        card.ruled.draw(ink, (left + inset, top if inset else top - card.facts.height(wide)))
        card.measures.draw(ink, (left + inset, *box[1:]))


def _ways(flow: Flow, card: CardContents) -> list[_Way]:
    """All ways to set a card on one page, its map growing; none where there is none."""
    if card.mapped is None:
        return [way for way in _set(flow, card, (0.0, 0.0), 0.0) if way.height <= flow.whole]
    grid = MapGrid.of(card.mapped)
    wide = flow.x1 - flow.x0 - 2.0 * PAD
    low, high, step = HEIGHTS
    low = LEAST_SHARED if card.mapped.drawing.rooms else low
    found: list[_Way] = []
    named: list[_Way] = []
    for tall in (*np.arange(low, high, step).tolist(), *np.arange(high, flow.whole, 2.0 * step).tolist()):
        if tall > high and named:
            break
        room = grid.width_in(wide, tall), grid.height_in(wide, tall)
        ways = [way for way in _set(flow, card, room, grid.scale(*room)) if way.height <= flow.whole]
        found += ways
        named += ways if grid.names_fit(*room) else []
    most = max((way.scale for way in found), default=0.0)
    return named or [way for way in found if way.scale == most]


def _set(flow: Flow, card: CardContents, room: tuple[float, float], scale: float) -> Iterator[_Way]:
    """The ways to set a card with a map of that size."""
    inside = flow.x1 - flow.x0 - 2.0 * PAD
    site = card.site.size if card.site is not None else (0.0, 0.0)
    words = _Words(card)
    between = ASIDE if card.site is not None and room[0] else 0.0
    stacked = max(site[0], room[0]), site[1] + 0.5 * between + room[1]
    abreast = site[0] + between + room[0], max(site[1], room[1])
    for flat, (wide, tall) in ((False, stacked), (True, abreast)):
        if wide > inside:
            continue
        left = inside - wide - (ASIDE if wide else 0.0)
        tries = [(False, tall + 0.5 * ASIDE + words.height(inside))]
        if left >= words.least:
            tries.append((True, max(tall, words.height(left))))
        for beside, height in tries:
            yield _Way(
                room=room, scale=scale, abreast=flat, beside=beside, pictures=(wide, tall),
                height=height + BAND + 2.0 * PAD + GAP,
            )  # fmt: skip


def _least(ways: Sequence[_Way]) -> float:
    return min(way.height for way in ways)


def _how_many(cards: Sequence[tuple[CardContents, list[_Way]]], room: float) -> int:
    """How many cards, from the first on, go into a height at their lowest."""
    count, high = 0, 0.0
    for _, ways in cards:
        if not ways or high + _least(ways) > room + GAP:
            break
        count, high = count + 1, high + _least(ways)
    return max(count, 1)


def _spread(cards: Sequence[list[_Way]], room: float) -> list[_Way]:
    """For each card of a page the largest map, when what is left of the page is shared evenly among them."""
    spare = room + GAP - sum(map(_least, cards))
    chosen = []
    for index, ways in enumerate(cards):
        least = _least(ways)
        most = least + max(spare, 0.0) / (len(cards) - index)
        best = max((way for way in ways if way.height <= most), key=lambda way: (way.scale, -way.height))
        spare -= best.height - least
        chosen.append(best)
    return chosen


# Drawing


class _Sites:
    """The light lines of the small pictures, each drawn into the file once."""

    def __init__(self) -> None:
        self._names: dict[int, str] = {}

    def draw(self, ink: Ink, site: Site, corner: tuple[float, float]) -> None:
        """Draw a picture with its lower left corner there."""
        name = self._names.setdefault(id(site.around), f"Site{len(self._names) + 1}")
        ink.stamp(name, lambda form: form.polylines(site.around, LIGHT), corner)
        part = [outline + corner for outline in site.part]
        for outline in part:
            ink.fill([(float(x), float(y)) for x, y in outline])
        ink.polylines([_closed(outline) for outline in part], FIRM)


def _closed(outline: FloatArray) -> FloatArray:
    return np.vstack([outline, outline[:1]])


def _add(flow: Flow, card: CardContents, way: _Way, sites: _Sites) -> int:
    """Draw a card; returns the number of its page."""
    height = min(way.height - GAP, flow.left)
    with flow.block(height) as (x0, y0, x1, y1):
        flow.ink.box(x0, y0, x1, y1, THIN)
        _draw_band(flow, card, (x0, y1 - BAND, x1, y1))
        left, top = x0 + PAD, y1 - BAND - PAD
        wide, tall = way.pictures
        _draw_pictures(flow, card, way, (left, top), sites)
        if way.beside:
            left += wide + (ASIDE if wide else 0.0)
        else:
            top -= tall + 0.5 * ASIDE
        _Words(card).draw(flow.ink, (left, y0 + PAD, x1 - PAD, top))
        number = flow.number
    flow.space(min(GAP, max(flow.left, 0.0)))
    return number


def _draw_band(flow: Flow, card: CardContents, box: Box) -> None:
    """The line with the name, the pages, and the box to tick."""
    x0, y0, x1, y1 = box
    base = y0 + 0.5 * (BAND - HEAD)
    ink = flow.ink
    ink.line((x0, y0), (x1, y0), FINE)
    right = x1 - PAD
    middle = 0.5 * (y0 + y1)
    ink.box(right - TICK, middle - 0.5 * TICK, right, middle + 0.5 * TICK, FIRM)
    right -= TICK + 1.5
    ink.words(card.tick, (right, base + 0.5 * (HEAD - FACT)), FACT, align="right")
    right -= text_width(card.tick, FACT) + 5.0
    if card.pages:
        room = 0.55 * (right - x0)
        words = elided(card.pages, room, BODY)
        ink.words(words, (right, base + 0.5 * (HEAD - BODY)), BODY, align="right")
        start = right - text_width(words, BODY)
        if card.first:
            flow.link((start, y0, right, y1), card.first)
        right = start - 4.0
    room = right - x0 - PAD
    high = HEAD if text_width(card.name, HEAD) <= room else BODY
    ink.words(elided(card.name, room, high), (x0 + PAD, base + 0.5 * (HEAD - high)), high)


def _draw_pictures(
    flow: Flow, card: CardContents, way: _Way, corner: tuple[float, float], sites: _Sites
) -> None:
    x, top = corner
    if card.site is not None:
        wide, tall = card.site.size
        sites.draw(flow.ink, card.site, (x, top - tall))
        if way.abreast:
            x += wide + ASIDE
        else:
            top -= tall + 0.5 * ASIDE
    if card.mapped is not None:
        wide, tall = way.room
        draw_map(flow, card.mapped, MapGrid.of(card.mapped), (x, top - tall, x + wide, top), card.first)


def _add_long(flow: Flow, card: CardContents, sites: _Sites) -> int:
    """A card that fits no page: its map and its distances first, then facts that go on from page to page."""
    short = replace(card, facts=Facts(()))
    ways = _ways(flow, short)
    number = flow.number
    if ways:
        flow.need(_least(ways))
        number = _add(flow, short, _spread([ways], flow.left)[0], sites)
    lines = card.facts.lines(flow.x1 - flow.x0)
    while lines:
        flow.need(2.0 * PITCH)
        count = max(int(flow.left / PITCH), 1)
        with flow.block(min(count, len(lines)) * PITCH) as (x0, _, _, y1):
            draw_lines(flow.ink, lines[:count], (x0, y1))
        lines = lines[count:]
    flow.space(min(GAP, max(flow.left, 0.0)))
    return number
