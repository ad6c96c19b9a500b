"""What is on each card: of a piece, of the map that several share, of what several are put together to."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from tiling.pages.card_tables import Facts, Measures, RuledTable
from tiling.planning.card import Site, Whole
from tiling.planning.plan import Piece, Plan
from tiling.text.lines import plain

__all__ = ["CardContents", "all_cards"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CardContents:
    """What is on one card.

    Attributes:
        pages: which pages it speaks of, in words; may be empty.
        tick: what its box is ticked for.
        facts, ruled, measures: its words.
        site: where the piece is.
        mapped: the plan whose map it shows; None: it needs none.
        first: the number of its first page; 0 where it speaks of none, or none is known yet.
        plans: the numbers of the plans, from 0, whose pages lead back to this card.
    """

    name: str
    pages: str = ""
    tick: str
    facts: Facts
    ruled: RuledTable = field(default_factory=lambda: RuledTable(()))
    measures: Measures = field(default_factory=lambda: Measures((), full=True))
    site: Site | None = None
    mapped: Plan | None = None
    first: int = 0
    plans: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Printed:
    """A piece on its pages.

    Attributes:
        number: of the piece among those on the same pages, from 1.
        place: the number of its plan, from 0.
        first: the number of the plan's first page; 0 while it is not known yet.
    """

    piece: Piece
    number: int
    plan: Plan
    place: int
    first: int

    @property
    def pages(self) -> str:
        """Its pages in words."""
        count = len(self.plan.layout.tiles)
        return f"page {self.first}" if count == 1 else f"pages {self.first} to {self.first + count - 1}"

    @property
    def marked(self) -> str:
        """The same with its mark."""
        return f"{self.pages}, mark {self.plan.mark}" if self.plan.mark else self.pages

    @property
    def is_line(self) -> bool:
        """It has no card of its own: it is a line on another's."""
        return bool(self.piece.of) and (len(self.plan.layout.tiles) == 1 or bool(self.plan.piece.parts))


def all_cards(pieces: Sequence[Piece], plans: Sequence[Plan], first: int) -> Iterator[CardContents]:
    """All cards in the pieces' order, one after the other: thousands together would fill the memory.

    Args:
        pieces: in their order; one that is not among them comes where its pages do.
        first: the number of the first plan's first page, 0 while it is not known yet.
    """
    printed = _in_order(pieces, _printed(plans, first))
    lines: dict[str, list[_Printed]] = {}
    for each in printed:
        if each.is_line:
            lines.setdefault(each.piece.of, []).append(each)
    wholes: set[int] = set()
    mapped: set[int] = set()
    for each in printed:
        whole = each.piece.whole
        if whole is not None and id(whole) not in wholes:
            wholes.add(id(whole))
            yield _of_whole(whole)
        if each.plan.piece.parts and len(each.plan.layout.tiles) > 1 and each.place not in mapped:
            mapped.add(each.place)
            yield _of_sheet(each)
        if not each.is_line:
            yield _of_piece(each, lines)


def _printed(plans: Sequence[Plan], first: int) -> Iterator[_Printed]:
    at = first
    for place, plan in enumerate(plans):
        for number, piece in enumerate(plan.piece.parts or (plan.piece,), start=1):
            yield _Printed(piece=piece, number=number, plan=plan, place=place, first=at)
        at += len(plan.layout.tiles) if first else 0


def _in_order(pieces: Sequence[Piece], printed: Iterator[_Printed]) -> list[_Printed]:
    order = {id(piece): place for place, piece in enumerate(pieces)}
    found: list[tuple[int, _Printed]] = []
    last = 0
    for each in printed:
        last = order.get(id(each.piece), last)
        found.append((last, each))
    return [each for _, each in sorted(found, key=lambda pair: pair[0])]


def _of_whole(whole: Whole) -> CardContents:
    card = whole.card
    return CardContents(
        name=plain(whole.name),
        tick=card.tick,
        facts=Facts(card.rows),
        ruled=RuledTable(card.table),
        site=card.site,
    )


def _of_sheet(each: _Printed) -> CardContents:
    """The map that pieces on the same pages share."""
    plan = each.plan
    parts = [(f"{number}", plain(part.name)) for number, part in enumerate(plan.piece.parts, start=1)]
    return CardContents(
        name="On common pages",
        pages=each.marked,
        tick="taped",
        facts=Facts([*parts, *_taping(plan)]),
        measures=_measures(plan),
        mapped=plan,
        first=each.first,
        plans=(each.place,),
    )


def _of_piece(each: _Printed, lines: Mapping[str, Sequence[_Printed]]) -> CardContents:
    plan, card = each.plan, each.piece.card
    shared = bool(plan.piece.parts)
    below = lines.get(each.piece.name, ())
    rows = [
        *([("Make", card.quantity)] if card.quantity else []),
        *card.rows,
        *(("Full size", f"{_short(line.piece)}: {line.marked}") for line in below),
        *([] if shared else _taping(plan)),
    ]
    return CardContents(
        name=plain(each.piece.name) if shared else plan.label,
        pages=f"{each.pages}, {each.number} on their map" if plan.drawing.rooms else each.marked,
        tick=card.tick,
        facts=Facts(rows),
        ruled=RuledTable(card.table),
        measures=Measures((), full=True) if shared else _measures(plan),
        site=card.site,
        mapped=plan if len(plan.layout.tiles) > 1 and not shared else None,
        first=each.first,
        plans=(each.place, *(line.place for line in below)),
    )


def _short(piece: Piece) -> str:
    """Its name without that of the piece on whose card it is."""
    return plain(piece.name).removeprefix(f"{plain(piece.of)}, ")


def _measures(plan: Plan) -> Measures:
    page = plan.layout.page
    return Measures(plan.checks, full=page.scale.full, metric=page.metric)


def _taping(plan: Plan) -> list[tuple[str, str]]:
    """How pages lie, where that is not as usual."""
    if not plan.layout.uneven:
        return []
    return [("Taping", "Some rows lie farther over the row above, up to its dashed line")]
