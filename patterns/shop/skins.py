"""Planking and deck as surfaces: how much of them there is, whether or not a pattern of them was asked for."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from patterns.boat import Boat
from patterns.design.rack_models import StockSpec
from patterns.design.strake_models import StrakePatternSpec
from patterns.hull.facets import areas
from patterns.hull.planes import FloatArray
from patterns.hull.skin import deck_skin, skin_of, strake_skin
from patterns.shop.stock import SLACK

__all__ = ["SkinStock", "Surfaced", "outsides", "skins_of", "stock_for"]

M2 = 1e-6  # of mm2


@dataclass(frozen=True, slots=True, kw_only=True)
class Surfaced:
    """A surface with its area on both sides of the boat, m2."""

    name: str
    area: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SkinStock:
    """Planking or deck to be bought.

    Attributes:
        name: e.g. ``bottom planking`` or ``deck``.
        area: of its outside on both sides of the boat, m2.
        thickness: mm.
        patterned: a flat pattern of it was asked for: it is in the cut list.
        stock: the one stock of that thickness that it can be; None where there is none, or several.
    """

    name: str
    area: float
    thickness: float
    patterned: bool
    stock: StockSpec | None

    @property
    def sheets(self) -> int | None:
        """How many it takes at least, by area alone."""
        spec = self.stock
        return None if spec is None else math.ceil(self.area / (M2 * spec.length * spec.breadth) - 1e-9)

    @property
    def weight(self) -> float | None:
        """kg; None where the stock's density is not given."""
        if self.stock is None or self.stock.density is None:
            return None
        return self.area * self.thickness / 1000.0 * self.stock.density


def stock_for(boat: Boat, thickness: float) -> StockSpec | None:
    """The one kind of sheet that is so thick; None where there is none, or several."""
    fits = [
        spec
        for spec in boat.design.all(StockSpec)
        if spec.kind == "sheet" and abs(spec.thickness - thickness) <= SLACK
    ]
    return fits[0] if len(fits) == 1 else None


def skins_of(boat: Boat) -> tuple[SkinStock, ...]:
    """Every strake from the keel up, then the deck."""
    patterned = {spec.strake for spec in boat.design.all(StrakePatternSpec)}
    found = [
        SkinStock(
            name=f"{strake.name} planking",
            area=_both_sides(strake_skin(boat.hull, strake)),
            thickness=strake.planking,
            patterned=strake.name in patterned,
            stock=stock_for(boat, strake.planking),
        )
        for strake in boat.hull.strakes
    ]
    deck = boat.design.deck
    if deck is not None:
        found.append(
            SkinStock(
                name="deck",
                area=_both_sides(deck_skin(boat.hull)),
                thickness=deck.thickness,
                patterned=False,
                stock=stock_for(boat, deck.thickness),
            )
        )
    return tuple(found)


def outsides(boat: Boat) -> Iterator[Surfaced]:
    """What is painted or sheathed: the outside of planking with the keel's breadth, transoms, and the deck."""
    planking, ends = skin_of(boat.hull)
    yield Surfaced(name="outside of planking", area=_both_sides(planking))
    if len(ends):
        yield Surfaced(name="outside of the transom", area=_both_sides(ends))
    if boat.design.deck is not None:
        yield Surfaced(name="deck, openings not taken off", area=_both_sides(deck_skin(boat.hull)))


def _both_sides(facets: FloatArray) -> float:
    return 2.0 * M2 * float(np.linalg.norm(areas(facets), axis=1).sum())
