"""What a pile of paper costs and weighs, from what one sheet does."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from unicodedata import category

from patterns.errors import RequestError

__all__ = ["Price", "parse_mass", "parse_price", "pile_mass"]

_PRICE = re.compile(
    r"(?P<before>[^\d\s.,+-]{0,8}) ?(?P<amount>\d{1,6}(?:[.,]\d{1,6})?) ?(?P<after>[^\d.,+-]{0,12})"
)
_THOUSANDS = re.compile(r"[1-9]\d{0,2},\d{3}")  # one thousand, or one and no thousandths: nobody can tell
_MASS = re.compile(r"(?P<grams>\d{1,4}(?:[.,]\d{1,2})?) ?(?:g|gsm|g ?/ ?m2|g ?/ ?m²)", re.IGNORECASE)
CENT = Decimal("0.01")


@dataclass(frozen=True, slots=True, kw_only=True)
class Price:
    """What one sheet costs; the money's sign or name stands before or after the amount, as it was typed."""

    amount: Decimal
    before: str = ""
    after: str = ""

    def of(self, sheets: int) -> str:
        """What so many sheets cost, in words; halves of a cent go up."""
        total = self.amount * sheets
        if self.amount != self.amount.to_integral_value():
            total = total.quantize(CENT, rounding=ROUND_HALF_UP)
        return f"{self.before}{total}{self.after and ' ' + self.after}"

    def __str__(self) -> str:
        return f"{self.before}{self.amount}{self.after and ' ' + self.after}"


def parse_price(text: str) -> Price:
    """The price of one sheet: ``0.04``, ``0.04 EUR``, ``$0.05``, ``4 cents``.

    Raises:
        RequestError: it is no amount of money.
    """
    found = _PRICE.fullmatch(" ".join(text.split()))
    if found is None or not _is_money(found["before"]) or not _is_money(found["after"]):
        raise RequestError(
            f'--price "{text}" is not a valid price; write it as 0.04, "0.04 EUR" or "4 cents"'
        )
    if _THOUSANDS.fullmatch(found["amount"]):
        plain = found["amount"].replace(",", "")
        raise RequestError(
            f'--price "{text}" may be a thousand or a few; write it as {plain}, or as {plain[:-3]}.{plain[-3:]}'
        )
    amount = Decimal(found["amount"].replace(",", "."))
    return Price(amount=amount, before=found["before"], after=found["after"].strip())


def _is_money(words: str) -> bool:
    """Whether words may name money: letters and signs of money, with spaces, full stops and strokes between."""
    return all(one.isalpha() or one in " ./" or category(one) == "Sc" for one in words)


def parse_mass(text: str) -> float:
    """The mass of a square metre of paper in grams: ``80 g/m2``, ``80 g``, ``80 gsm``.

    Raises:
        RequestError: it is none.
    """
    found = _MASS.fullmatch(" ".join(text.split()))
    grams = 0.0 if found is None else float(found["grams"].replace(",", "."))
    if not grams > 0.0:
        raise RequestError(
            f'--paper-mass "{text}" is not a valid mass; write it as on the pack, e.g. "80 g/m2"'
        )
    return grams


def pile_mass(sheets: int, *, width: float, height: float, grams: float) -> float:
    """Kilograms of so many sheets.

    Args:
        width, height: of a sheet, mm.
        grams: of a square metre (ISO 536 calls it grammage).
    """
    return sheets * width * height * 1e-6 * grams * 1e-3
