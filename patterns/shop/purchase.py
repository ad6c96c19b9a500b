"""The purchase list: what is bought of each stock, planking and deck by their surfaces, and what is on no sheet.

Nothing is left out in silence: each piece that is laid on no sheet or board is listed with its cause.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

from patterns.boat import Boat
from patterns.shop.cells import csv_text
from patterns.shop.sheets import Sheets, saw_area
from patterns.shop.skins import SkinStock, Surfaced, outsides, skins_of
from patterns.shop.stock import NOT_NAMED, CutRow, StockCuts

__all__ = ["CAUSES", "Bought", "Cause", "NotLaid", "Purchase", "purchase_of", "purchase_table", "weight_of"]

Cause: TypeAlias = Literal["stock-not-named", "stock-without-size", "thicker", "larger"]
CAUSES: dict[Cause, str] = {
    "stock-not-named": "no stock is named for it; give it a stock",
    "stock-without-size": "the design gives no size of this stock; add a [[stock]] of this name",
    "thicker": "thicker than the stock",
    "larger": "larger than the stock; join it, or buy larger",
}
M3 = 1e-9  # of mm3
HEADS = ("what", "stock", "number", "area_m2", "thickness_mm", "length_mm", "breadth_mm", "weight_kg", "note")


@dataclass(frozen=True, slots=True, kw_only=True)
class NotLaid:
    """A piece that lies on no sheet or board.

    Attributes:
        count: how many of it.
    """

    cut: CutRow
    count: int
    cause: Cause


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Bought:
    """Sheets or boards of one stock.

    Attributes:
        count: how many, by an estimate of how the pieces lie.
        weight: of all that is sawn of it, kg; None where its density is not given.
    """

    sheets: Sheets
    count: int
    weight: float | None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Purchase:
    """Everything that is bought, and the surfaces that are painted.

    Attributes:
        skins: planking and deck; those with a pattern are among what is laid.
    """

    bought: tuple[Bought, ...]
    not_laid: tuple[NotLaid, ...]
    skins: tuple[SkinStock, ...]
    outsides: tuple[Surfaced, ...]


def purchase_of(boat: Boat, stocks: Sequence[StockCuts], sheets: Sequence[Sheets]) -> Purchase:
    """The list of a boat.

    Args:
        stocks: everything that is sawn, by stock.
        sheets: how the pieces of those of a given size lie.
    """
    return Purchase(
        bought=tuple(
            Bought(sheets=each, count=each.nesting.sheets, weight=weight_of(each.stock)) for each in sheets
        ),
        not_laid=tuple(_not_laid(stocks, sheets)),
        skins=skins_of(boat),
        outsides=tuple(outsides(boat)),
    )


def _not_laid(stocks: Sequence[StockCuts], sheets: Sequence[Sheets]) -> Iterator[NotLaid]:
    for stock in stocks:
        if stock.spec is None:
            cause: Cause = "stock-not-named" if stock.name == NOT_NAMED else "stock-without-size"
            yield from (NotLaid(cut=cut, count=cut.count, cause=cause) for cut in stock.cuts)
    for each in sheets:
        yield from (NotLaid(cut=cut, count=cut.count, cause="thicker") for cut in each.thick)
        over = [each.pieces[index].cut for index in each.nesting.over]
        for cut in dict.fromkeys(over):
            yield NotLaid(cut=cut, count=over.count(cut), cause="larger")


def weight_of(stock: StockCuts) -> float | None:
    """Of everything that is sawn of a stock, kg, scarfs not counted twice; None where its density is not given."""
    if stock.spec is None or stock.spec.density is None:
        return None
    return sum(_volume(cut) for cut in stock.cuts) * M3 * stock.spec.density


def _volume(cut: CutRow) -> float:
    """Of all of one row, mm3; by its outline where it has one and lies flat, else by its stick."""
    flat = cut.pattern is not None and not cut.pattern.on_edge
    face = saw_area(cut.pattern).area if flat and cut.pattern is not None else cut.length * cut.breadth
    return float(face) * cut.thickness * cut.count


def purchase_table(found: Purchase) -> str:
    """The list as CSV."""
    rows: list[Sequence[object]] = [HEADS]
    for each in found.bought:
        spec = each.sheets.spec
        sizes = f"{spec.thickness:g}", f"{spec.length:.0f}", f"{spec.breadth:.0f}"
        area = each.count * spec.length * spec.breadth / 1e6
        weight = "" if each.weight is None else f"{each.weight:.1f}"
        note = "estimate; weight is that of the pieces"
        rows.append((f"{spec.kind}s", spec.name, each.count, f"{area:.2f}", *sizes, weight, note))
    for skin in found.skins:
        name = "" if skin.stock is None else skin.stock.name
        weight = "" if skin.weight is None else f"{skin.weight:.1f}"
        note = "in the cut list" if skin.patterned else "by area alone, at least"
        number = "" if skin.sheets is None else skin.sheets
        thick = f"{skin.thickness:g}"
        rows.append((skin.name, name, number, f"{skin.area:.2f}", thick, "", "", weight, note))
    for piece in found.not_laid:
        cut = piece.cut
        sizes = f"{cut.thickness:.4g}", f"{cut.length:.0f}", f"{cut.breadth:.0f}"
        rows.append((cut.piece, cut.stock, piece.count, "", *sizes, "", f"not laid: {CAUSES[piece.cause]}"))
    rows += [(each.name, "", "", f"{each.area:.2f}", "", "", "", "", "to paint") for each in found.outsides]
    return csv_text(rows)
