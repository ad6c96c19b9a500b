"""Lengths on paper, as typed: a number and its unit."""

from __future__ import annotations

import re

from tiling.errors import TilingError

__all__ = ["LENGTH_FORMS", "MM_PER_INCH", "parse_length"]

MM_PER_INCH = 25.4  # exact

LENGTH_FORMS = "12 mm, 1.2 cm, 0.5 in, 3/4 in or 1 1/8 in"

_UNITS = {
    "mm": 1.0,
    "cm": 10.0,
    "m": 1000.0,
    "in": MM_PER_INCH,
    "inch": MM_PER_INCH,
    "inches": MM_PER_INCH,
    '"': MM_PER_INCH,
    "″": MM_PER_INCH,
}
_NUMBER = re.compile(
    r"""(?: (?P<decimal> \d+(?:[.,]\d+)? | [.,]\d+ )
          | (?: (?P<whole>\d+) [\s-]+ )? (?P<over>\d+) \s*[/⁄]\s* (?P<under>\d+)
        ) \s* (?P<unit>\D*)""",
    re.VERBOSE,
)


def parse_length(text: str) -> float:
    """A length of zero or more as millimetres.

    Raises:
        TilingError: no number, no unit, or a unit that is not known; the message says what to write.
    """
    found = _NUMBER.fullmatch(text.strip())
    if found is None:
        raise TilingError(f"cannot read the length {text!r}; write it as {LENGTH_FORMS}")
    unit = found["unit"].strip().lower()
    if not unit:
        raise TilingError(f"the length {text!r} has no unit; write it as {LENGTH_FORMS}")
    if unit not in _UNITS:
        raise TilingError(f"the unit of the length {text!r} is not known; write it as {LENGTH_FORMS}")
    if found["decimal"]:
        return float(found["decimal"].replace(",", ".")) * _UNITS[unit]
    under = int(found["under"])
    if not under:
        raise TilingError(f"the length {text!r} divides by nought; write it as {LENGTH_FORMS}")
    return (int(found["whole"] or 0) + int(found["over"]) / under) * _UNITS[unit]
