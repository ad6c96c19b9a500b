"""Thicknesses of pieces against the stock that the design says they are sawn of."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from patterns.design.models import Design, Part
from patterns.design.parts import DESIGN_FILE
from patterns.design.plausible import pieces_of
from patterns.design.rack_models import StockSpec
from patterns.design.strake_models import StrakePatternSpec
from patterns.errors import Problem

__all__ = ["stock_doubts"]

SLACK = 0.5  # mm; sheets are sold a little over or under what they are called


def stock_doubts(design: Design) -> Iterator[Problem]:
    """Pieces thicker than their laminations of stock make up, or thinner than sheets of it."""
    rack = {stock.name.casefold(): stock for stock in design.all(StockSpec)}
    if not rack:
        return
    for label, table, piece in pieces_of(design):
        if table.sawn:
            place, laminations = (
                f"{DESIGN_FILE}, {label}, key {table.sawn}",
                int(getattr(piece, "laminations", 1)),
            )
            yield from _against(place, float(getattr(piece, table.sawn)), laminations, piece, rack)
    planking = {strake.name: strake.planking for strake in design.strakes}
    for pattern in design.all(StrakePatternSpec):
        place = f'{DESIGN_FILE}, strake "{pattern.strake}", key planking'
        if pattern.strake in planking:
            yield from _against(place, planking[pattern.strake], 1, pattern, rack)


def _against(
    place: str, size: float, laminations: int, piece: Part, rack: Mapping[str, StockSpec]
) -> Iterator[Problem]:
    stock = rack.get(str(getattr(piece, "stock", "")).casefold())
    if stock is None:
        return
    whole = laminations * stock.thickness
    thicker, thinner = size > whole + SLACK, size < whole - SLACK and stock.kind == "sheet"
    if thicker or thinner:
        times = f"{laminations} x " if laminations > 1 else ""
        yield Problem(
            place,
            f'{size:g} mm is {"more" if thicker else "less"} than its stock "{stock.name}" gives '
            f"({times}{stock.thickness:g} mm)",
            "check the size, its laminations and the stock's thickness",
            code="stock-thickness",
        )
