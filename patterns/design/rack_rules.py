"""What the tables of stock must agree on between themselves."""

from __future__ import annotations

from collections.abc import Iterator

from patterns.design.parts import Parts
from patterns.design.rack_models import StockSpec
from patterns.errors import Problem

__all__ = ["rack_rules"]


def rack_rules(parts: Parts) -> Iterator[Problem]:
    """No two kinds of one name; a sheet is thinner than it is broad, and longer than it is broad or as long."""
    seen: set[str] = set()
    for place, stock in parts.all(StockSpec):
        if stock.name.casefold() in seen:
            yield Problem(
                place, "there is a stock of that name already", "keep one of them", code="same-name"
            )
        seen.add(stock.name.casefold())
        if stock.breadth > stock.length:
            yield Problem(
                f"{place}, key breadth",
                "is more than its length",
                "give the longer side as length",
                code="breadth-over-length",
            )
        if stock.thickness >= stock.breadth:
            yield Problem(
                f"{place}, key thickness",
                "is not less than its breadth",
                "change the two",
                code="thickness-over-breadth",
            )
        if 4.0 * stock.gap >= stock.breadth:
            yield Problem(
                f"{place}, key gap", "leaves no room on the stock", "make it smaller", code="too-great"
            )
