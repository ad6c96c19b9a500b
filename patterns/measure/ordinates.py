"""The rule by which ordinates are laid off: how far apart they are, and to what they are rounded and written."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from patterns.measure.notation import MM_PER_INCH
from patterns.vectors import FloatArray

__all__ = ["INCHES", "MILLIMETRES", "OrdinateRule"]


@dataclass(frozen=True, slots=True, kw_only=True)
class OrdinateRule:
    """A rule with its divisions.

    Attributes:
        unit: its word.
        step: from one ordinate to the next, mm, and the least that is between two, of which it is a multiple.
        grain: to which lengths are rounded, mm.
    """

    unit: str
    step: float
    least: float
    grain: float

    def rounded(self, mm: FloatArray) -> FloatArray:
        """Lengths as they are printed, mm."""
        return np.asarray(np.round(mm / self.grain) * self.grain)

    def words(self, mm: float) -> str:
        """A length by it without its unit: ``466.5``, or ``18 23/64``."""
        if self.unit == "mm":
            return f"{round(mm / self.grain) * self.grain + 0.0:.1f}".removesuffix(".0")
        parts = Fraction(round(mm / self.grain), 64)
        sign, parts = "-" if parts < 0 else "", abs(parts)
        whole, rest = divmod(parts.numerator, parts.denominator)
        fraction = f"{rest}/{parts.denominator}" if rest else ""
        return sign + " ".join(part for part in (str(whole) if whole or not rest else "", fraction) if part)

    def with_unit(self, mm: float) -> str:
        """A length by it with its unit."""
        return f"{self.words(mm)} {'mm' if self.unit == 'mm' else 'in'}"


INCH = float(MM_PER_INCH)
MILLIMETRES = OrdinateRule(unit="mm", step=100.0, least=25.0, grain=0.5)
INCHES = OrdinateRule(unit="inches", step=4.0 * INCH, least=INCH, grain=INCH / 64.0)
