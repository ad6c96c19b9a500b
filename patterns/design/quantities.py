"""Lengths, angles and names as the design file may hold them: text with a unit, checked for good sense."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from pathlib import PurePosixPath
from typing import Annotated, Any

from pydantic import BeforeValidator, StrictInt
from pydantic_core import PydanticCustomError

from patterns.measure import BadLength, parse_angle, parse_length, parse_rate, tidy
from patterns.measure.letters import LETTERS, composed, shown_letters, unprintable

__all__ = [
    "TRADE",
    "Along",
    "Angle",
    "At",
    "FileName",
    "Laminations",
    "Length",
    "Lengths",
    "Move",
    "Names",
    "NotNegative",
    "Pair",
    "Planking",
    "Position",
    "Positions",
    "Rake",
    "Rate",
    "ScarfRatio",
    "Wood",
    "Words",
    "read_at",
    "read_names",
    "shown",
    "trouble",
]

TRADE = "trade"  # the kind of error whose words are ours already

# Generous limits: past them a number is a slip of the unit, not a small boat.
MOST_SHOWN, MOST_NUMBER = 80, 10**20  # letters and numbers that are shown in full
MOST_LENGTH = 30_000.0  # mm; about a hundred feet
MOST_WOOD = 1_000.0  # mm, of one piece's siding or moulding
MOST_PLANKING = 100.0  # mm
MOST_MOVE = 12.7  # mm; half an inch: an offset that is farther out is a mistake to be asked about
MOST_RAKE = math.radians(45.0)
MOST_RATE = 0.25  # rise per breadth; a half would be a half circle
MOST_LAMINATIONS = 60
MOST_SCARF = 50.0  # length per depth
MOST_LETTERS = 60  # of a name; it is lettered on patterns
FROM_TABLE = "from the table"


def trouble(what: str, want: str = "", *, code: str) -> PydanticCustomError:
    """An error in words of the trade, to be raised from a validator, with the code of the problem it becomes."""
    return PydanticCustomError(TRADE, "{what}; {want}", {"what": what, "want": want, "code": code})


def shown(value: Any) -> str:
    """A value as its writer would know it again."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, list | tuple):
        return "a list"
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, str):
        return f'"{value}"' if len(value) <= MOST_SHOWN else f'"{value[:MOST_SHOWN]}..."'
    # Python writes no whole number of more than some thousand digits.
    return "a number of many digits" if isinstance(value, int) and abs(value) > MOST_NUMBER else str(value)


def _quantity(
    parse: Callable[[str], float],
    kind: str,
    example: str,
    *,
    least: float = -math.inf,
    most: float,
    above: float | None = None,
    words: str,
) -> BeforeValidator:
    """A reader of one quantity.

    Args:
        least, most: the ends of what makes sense, in mm or radians; ``above`` must be surpassed.
        words: what makes sense, in words.
    """

    def read(value: Any) -> float:
        if isinstance(value, bool) or not isinstance(value, int | float | str):
            raise trouble(
                f"{shown(value)} is not a valid {kind}",
                f'write it in quotes, e.g. "{example}"',
                code="invalid-value",
            )
        if not isinstance(value, str):
            raise trouble(
                f"{shown(value)} is a bare number",
                f'write the {kind} with its unit in quotes, e.g. "{example}"',
                code="bare-number",
            )
        try:
            number = parse(value)
        except BadLength as error:
            raise trouble(error.what, error.want, code=error.code) from error
        if not least <= number <= most or (above is not None and number <= above):
            raise trouble(f"{shown(value)} will not do", words, code="out-of-range")
        return number

    return BeforeValidator(read)


def _length(
    *, words: str, most: float, least: float = -math.inf, above: float | None = None
) -> BeforeValidator:
    return _quantity(parse_length, "length", "18 mm", least=least, most=most, above=above, words=words)


Length = Annotated[
    float, _length(above=0.0, most=MOST_LENGTH, words="it must be more than 0 and at most 30 m")
]
NotNegative = Annotated[
    float, _length(least=0.0, most=MOST_LENGTH, words="it must be 0 or more and at most 30 m")
]
Position = Annotated[
    float,
    _length(least=-MOST_LENGTH, most=MOST_LENGTH, words="it must lie within 30 m of the table's origin"),
]
Wood = Annotated[float, _length(above=0.0, most=MOST_WOOD, words="it must be more than 0 and at most 1 m")]
Planking = Annotated[
    float, _length(above=0.0, most=MOST_PLANKING, words="it must be more than 0 and at most 100 mm")
]
Move = Annotated[
    float,
    _length(
        least=0.0,
        most=MOST_MOVE,
        words="it must be from 0 to 1/2 in; an offset farther out is a mistake in the table",
    ),
]
Angle = Annotated[
    float,
    _quantity(
        parse_angle, "angle", "12 deg", least=-MOST_RAKE, most=MOST_RAKE, words="it must lie within 45 deg"
    ),
]
Rate = Annotated[
    float,
    _quantity(
        parse_rate,
        "rise",
        "1/2 in per 1 ft",
        above=0.0,
        most=MOST_RATE,
        words="it must be more than 0 and at most 1 in 2",
    ),
]


def _scarf_ratio(value: Any) -> float:
    """``8:1``, ``8 to 1``, ``1:8`` or ``1 in 8``: length per depth."""
    found = (
        re.fullmatch(r"([\d.]+)\s*(?::|to|in)\s*([\d.]+)", tidy(value)) if isinstance(value, str) else None
    )
    try:
        one, two = (float(number) for number in found.groups()) if found else (0.0, 0.0)
    except ValueError:
        one, two = 0.0, 0.0
    if min(one, two) <= 0.0:
        raise trouble(
            f"{shown(value)} is not a valid slope of a scarf",
            'write length to depth in quotes, e.g. "8:1"',
            code="invalid-value",
        )
    ratio = max(one, two) / min(one, two)
    if ratio > MOST_SCARF:
        raise trouble(
            f"{shown(value)} will not do", f"it must be at most {MOST_SCARF:g}:1", code="out-of-range"
        )
    return ratio


ScarfRatio = Annotated[float, BeforeValidator(_scarf_ratio)]


def _rake(value: Any) -> Any:
    """``from the table`` is no angle: None."""
    return None if isinstance(value, str) and tidy(value).lower() == FROM_TABLE else value


Rake = Annotated[Angle | None, BeforeValidator(_rake)]


def _words(value: Any) -> str:
    if not isinstance(value, str):
        raise trouble(f"{shown(value)} is not text", "write it in quotes", code="invalid-value")
    text = composed(" ".join(value.split()))
    if not text:
        raise trouble("the text is empty", "write a word or two", code="invalid-value")
    if lacking := unprintable(text):
        raise trouble(f"the pages cannot print {shown_letters(lacking)}", LETTERS, code="name-unprintable")
    if len(text) > MOST_LETTERS:
        raise trouble(
            f"{len(text)} letters are too many for a pattern",
            f"write {MOST_LETTERS} letters at most",
            code="too-long",
        )
    return text


Words = Annotated[str, BeforeValidator(_words)]


def read_at(value: Any) -> str:
    """``station 3``, or a length that is kept as text."""
    text = _words(value)
    head, _, tail = text.partition(" ")
    if head.lower() == "station" and tail:
        return f"station {tail}"
    try:
        parse_length(text)
    except BadLength as error:
        raise trouble(
            f'"{text}" is not a valid place along the boat',
            'write a station, e.g. "station 3", or a distance aft with its unit, e.g. "2-7-3" or "1200 mm"',
            code="invalid-value",
        ) from error
    return text


class Along:
    """Declared beside a key that holds a place along the boat."""


At = Annotated[str, BeforeValidator(read_at), Along()]


def _file_name(value: Any) -> str:
    text = _words(value)
    path = PurePosixPath(text.replace("\\", "/"))
    if path.is_absolute() or ".." in path.parts or ":" in text:
        raise trouble(
            f'"{text}" lies outside of the design\'s folder',
            "name a file in the folder itself",
            code="outside-folder",
        )
    if path.suffix.lower() != ".csv":
        raise trouble(
            f'"{text}" is not a CSV file',
            'save the table as CSV and name it, e.g. "offsets.csv"',
            code="not-csv",
        )
    return str(path)


FileName = Annotated[str, BeforeValidator(_file_name)]


def read_names(value: Any) -> tuple[str, ...]:
    """A list of names, each of them tidied."""
    if not isinstance(value, list | tuple):
        raise trouble(
            f"{shown(value)} is not a list", 'write it in brackets, e.g. ["station 3"]', code="invalid-value"
        )
    return tuple(_words(entry) for entry in value)


Names = Annotated[tuple[str, ...], BeforeValidator(read_names)]


def _pair(value: Any) -> Any:
    if not isinstance(value, list | tuple) or len(value) != 2:
        raise trouble(
            f"{shown(value)} is not two lines",
            'write the lower line and the upper, as ["keel", "chine"]',
            code="invalid-value",
        )
    return tuple(_words(entry) for entry in value)


Pair = Annotated[tuple[str, str], BeforeValidator(_pair)]


def _positions(value: Any) -> Any:
    if not isinstance(value, list | tuple):
        raise trouble(
            f"{shown(value)} is not a list",
            'write it in brackets, e.g. ["1-0-0", "1-6-0"]',
            code="invalid-value",
        )
    return tuple(value)


Lengths = Annotated[tuple[Length, ...], BeforeValidator(_positions)]
Positions = Annotated[tuple[Position, ...], BeforeValidator(_positions)]


def _laminations(value: Any) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or not 1 <= value <= MOST_LAMINATIONS:
        raise trouble(
            f"{shown(value)} is not a valid number of laminations",
            f"write a whole number from 1 to {MOST_LAMINATIONS}, e.g. 2",
            code="invalid-value",
        )
    return value


Laminations = Annotated[StrictInt, BeforeValidator(_laminations)]
