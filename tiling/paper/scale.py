"""The scale that a drawing is printed at: full size for the bench, smaller for models and lessons.

A piece that is printed small is drawn small: whoever makes its drawing puts every place at ``scale.of(mm)`` and
leaves strokes, ticks and words as they are.  `Page.scale` then tells the pages of it: they say it large, their
rulers read lengths of the thing besides lengths on paper, and the long distances are told in both.

    scale = parse_scale("1:4")                      # or "1/4", or "3 in to the foot"
    page = Page(paper=parse_paper("A4"), scale=scale)
    drawing = draw(pattern, boat=name, scale=scale)  # patterns.drawing.of_pattern
    Job(..., page=page, pieces=(Piece(drawing=drawing, ...),))
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from tiling.errors import TilingError

__all__ = ["FULL_SIZE", "SCALE_FORMS", "Scale", "parse_scale"]

SCALE_FORMS = "1:4, 1/4 or 3 in to the foot"
SMALLEST = Fraction(1, 100)  # smaller, a frame is no larger than its words
INCHES_TO_A_FOOT = 12
NEAT = 16  # a scale in whole sixteenths of an inch to the foot is called so too


@dataclass(frozen=True, slots=True)
class Scale:
    """A length on paper over the length that it stands for; exact, more than 0, 1 at most."""

    ratio: Fraction

    @property
    def full(self) -> bool:
        """Printed as large as the thing."""
        return self.ratio == 1

    @property
    def factor(self) -> float:
        """The ratio as a number."""
        return float(self.ratio)

    def of(self, mm: float) -> float:
        """How long that much of the thing is on paper, mm."""
        return mm * self.factor

    def true(self, mm: float) -> float:
        """How much of the thing that much on paper stands for, mm."""
        return mm * self.ratio.denominator / self.ratio.numerator

    @property
    def name(self) -> str:
        """``1:4``; ``1:12.5``; ``3:10`` where one to something is no short number."""
        over = 1 / self.ratio
        if (over * 1000).denominator == 1:
            return f"1:{float(over):g}"
        return f"{self.ratio.numerator}:{self.ratio.denominator}"

    @property
    def words(self) -> str:
        """The name, and as draughtsmen of inches say it where that is neat: ``1:4 (3 in to the foot)``."""
        inches = INCHES_TO_A_FOOT * self.ratio
        if self.full or (inches * NEAT).denominator != 1:
            return self.name
        whole, part = divmod(inches, 1)
        said = " ".join(str(number) for number in (whole, part) if number)
        return f"{self.name} ({said} in to the foot)"

    @property
    def warning(self) -> str:
        """What every page says large; empty at full size."""
        return "" if self.full else f"SCALE {self.name}, NOT FULL SIZE"

    @property
    def in_names(self) -> str:
        """What is added to the names of files, with a space before it; empty at full size."""
        return "" if self.full else f" scale {self.name.replace(':', '-')}"


FULL_SIZE = Scale(Fraction(1))

_NUMBER = r"\d{1,9}(?:\.\d{1,9})?"
_RATIO = re.compile(rf"(?:scale )?({_NUMBER}) ?(?::|/|⁄|to) ?({_NUMBER})")
_TO_THE_FOOT = re.compile(
    r"(?P<length>[\d\s./⁄-]+?) ?(?:in|inch|inches|\"|″) ?"
    r"(?:to the foot|to a foot|to 1 ?(?:ft|foot)|= ?1 ?(?:ft|foot|'|′|-0|'-0\"))"
)


def parse_scale(text: str) -> Scale:
    """A scale from its words; capitals and spaces do not matter.

    Raises:
        TilingError: none that can be read, a larger one than full size, or a smaller one than 1:100; the message
            says what to write.
    """
    said = " ".join(text.replace(",", ".").split()).lower()
    if said in ("full size", "full"):
        return FULL_SIZE
    ratio = _ratio(said)
    if ratio is None:
        raise TilingError(f"cannot read the scale {text!r}; write it as {SCALE_FORMS}")
    if ratio > 1:
        raise TilingError(
            f"the scale {text!r} is larger than full size; write 1:1 or a smaller one, as {SCALE_FORMS}"
        )
    if ratio < SMALLEST:
        raise TilingError(
            f"the scale {text!r} is smaller than {Scale(SMALLEST).name}; write it as {SCALE_FORMS}"
        )
    return Scale(ratio)


def _ratio(said: str) -> Fraction | None:
    found = _RATIO.fullmatch(said)
    if found is not None:
        paper, thing = Fraction(found[1]), Fraction(found[2])
        return paper / thing if paper and thing else None
    found = _TO_THE_FOOT.fullmatch(said)
    inches = None if found is None else _inches(found["length"])
    return inches / INCHES_TO_A_FOOT if inches else None


def _inches(text: str) -> Fraction | None:
    """``3``, ``1.5``, ``3/4``, ``1 1/2`` or ``1-1/2``."""
    try:
        return sum((Fraction(part) for part in text.replace("⁄", "/").replace("-", " ").split()), Fraction())
    except (ValueError, ZeroDivisionError):
        return None
