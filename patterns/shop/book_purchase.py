"""The loft book's chapter on what to buy: stock, planking and deck, what is on no sheet, and what to paint."""

from __future__ import annotations

from collections.abc import Iterator

from patterns.boat import Boat
from patterns.hull.hydrostatics_words import area_words, mass_words
from patterns.shop.purchase import CAUSES, Bought, Purchase
from patterns.shop.skins import SkinStock
from tiling.books.book import Book
from tiling.books.table_columns import BookRow, Column

__all__ = ["add_purchase"]


def add_purchase(book: Book, boat: Boat, found: Purchase) -> None:
    """The chapter."""
    book.chapter(
        "Purchase list",
        words="Sheets and boards are an estimate of how the pieces may lie: buy for knots, spare lengths and the "
        "saw besides. Planking and deck without a pattern are counted by area alone: at least so many sheets "
        "are needed. Weights are those of the pieces, from the density that the design gives for a stock.",
    )
    weights = any(each.weight is not None for each in found.bought)
    columns = [
        Column(head="stock"),
        Column(head="number", align="right"),
        Column(head="size mm", align="right"),
    ]
    columns += [Column(head="weight", align="right")] * weights
    if found.bought:
        book.heading("Sheets and boards")
        book.table(columns, [_bought(boat, each, weights=weights) for each in found.bought])
    book.heading("Planking and deck")
    columns = [
        Column(head="part"),
        *(Column(head=head, align="right") for head in ("thick mm", "area")),
        Column(head="to buy", wraps=True),
    ]
    book.table(columns, [_skin(boat, skin) for skin in found.skins])
    if found.not_laid:
        book.heading("Not laid on any sheet or board")
        columns = [
            Column(head="piece"),
            Column(head="number", align="right"),
            Column(head="mm", align="right"),
        ]
        book.table([*columns, Column(head="why", wraps=True)], list(_not_laid(found)))
    book.heading("Areas for paint and glass")
    rows = [
        BookRow(cells=(each.name, area_words(each.area, boat.offsets.notation))) for each in found.outsides
    ]
    book.table([Column(head="surface"), Column(head="area, both sides", align="right")], rows)


def _bought(boat: Boat, each: Bought, *, weights: bool) -> BookRow:
    spec = each.sheets.spec
    count = f"{each.count} {spec.kind}{'s' * (each.count != 1)}"
    cells = [spec.name, count, f"{spec.length:.0f} x {spec.breadth:.0f} x {spec.thickness:g}"]
    if weights:
        cells.append("" if each.weight is None else mass_words(each.weight, boat.offsets.notation))
    return BookRow(cells=tuple(cells))


def _skin(boat: Boat, skin: SkinStock) -> BookRow:
    notation = boat.offsets.notation
    if skin.patterned:
        buy = "in the cut list, by its pattern"
    elif skin.stock is None:
        buy = "the design has not one sheet of this thickness alone under [[stock]]: no number"
    else:
        buy = f"at least {skin.sheets} of {skin.stock.name}, by area"
        if skin.weight is not None:
            buy += f"; {mass_words(skin.weight, notation)}"
    return BookRow(cells=(skin.name, f"{skin.thickness:g}", area_words(skin.area, notation), buy))


def _not_laid(found: Purchase) -> Iterator[BookRow]:
    for stock in dict.fromkeys(each.cut.stock for each in found.not_laid):
        yield BookRow(title=stock)
        for each in found.not_laid:
            cut = each.cut
            if cut.stock == stock:
                size = f"{cut.length:.0f} x {cut.breadth:.0f} x {cut.thickness:.4g}"
                yield BookRow(cells=(cut.piece, str(each.count), size, CAUSES[each.cause]))
