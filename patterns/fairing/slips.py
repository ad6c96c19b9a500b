"""Naming the slip of the pen that would explain a doubtful offset.

A slip is named when undoing it gives a value that the batten would accept; of several the likeliest is taken,
by how near it comes and by how common such slips are (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from patterns.measure import Notation, format_length, least_count

__all__ = ["Slip", "explain", "likeliest", "usual_slips"]

INCH, FOOT = 25.4, 304.8  # mm, exact
NEAR = 2.6  # standard deviations within which a meant value may lie from the batten's
CLEARLY_WORSE = 3.0  # natural logarithm of the odds behind the likeliest slip from which one is not named
RARE = 0.3  # commonness below which a slip is not named beside another for the same value
ALIKE = {"6": "9", "9": "6", "1": "7", "7": "1", "3": "8", "8": "3"}  # figures that are misread
IN_PARTS = (Notation.FEET_INCHES_EIGHTHS, Notation.FEET_INCHES)
IMPERIAL = (*IN_PARTS, Notation.DECIMAL_INCHES, Notation.DECIMAL_FEET)
WHOLE = {Notation.MM: 1.0, Notation.CM: 10.0, Notation.M: 1000.0}


@dataclass(frozen=True, slots=True, kw_only=True)
class Slip:
    """One slip that would explain an offset.

    Attributes:
        words: what happened, as ``a whole inch too much``.
        meant: the value that was meant, mm.
        common: how common it is beside others; only its ratio to theirs counts.
    """

    words: str
    meant: float
    common: float


def explain(
    typed: float,
    wanted: float,
    *,
    unsure: float,
    notation: Notation,
    elsewhere: Mapping[str, float] | None = None,
) -> tuple[Slip, ...]:
    """The slips that would explain an offset, the likeliest first.

    Args:
        typed: what stands in the table, mm.
        wanted: where the batten wants it, mm.
        unsure: standard deviation of a good offset from that, mm.
        notation: the table's.
        elsewhere: values of other cells that may have got into this one, by what to say of them.
    """
    scored: list[tuple[float, Slip]] = []
    unsure = max(unsure, 0.5 * least_count_of(notation))
    for slip in usual_slips(typed, notation, elsewhere):
        away = abs(slip.meant - wanted) / unsure
        if away <= NEAR:
            scored.append((float(np.log(slip.common) - 0.5 * away**2), slip))
    return likeliest(scored)


def usual_slips(
    typed: float, notation: Notation, elsewhere: Mapping[str, float] | None = None
) -> tuple[Slip, ...]:
    """All the slips that may have led to an offset, whatever was meant; see `explain`."""
    slips = (*_slips(typed, notation), *_strays(elsewhere or {}))
    return tuple(slip for slip in slips if abs(slip.meant - typed) > 1e-6)


def likeliest(scored: Sequence[tuple[float, Slip]]) -> tuple[Slip, ...]:
    """Slips in the order of their scores, greatest first, each value named once or by usual slips only.

    Those whose score (a natural logarithm) is clearly worse than the greatest are left out.
    """
    found: list[Slip] = []
    least = max((score for score, _ in scored), default=0.0) - CLEARLY_WORSE
    for score, slip in sorted(scored, key=lambda pair: -pair[0]):
        if score < least:
            break
        alike = [other for other in found if abs(other.meant - slip.meant) < 1e-3]
        # Two usual slips may come to the same value and are both named; a rare one adds nothing.
        if not alike or (slip.common >= RARE and all(other.words != slip.words for other in alike)):
            found.append(slip)
    return tuple(found)


def least_count_of(notation: Notation) -> float:
    """The least difference that the notation usually writes, mm."""
    return float(least_count(notation))


def _strays(elsewhere: Mapping[str, float]) -> Iterator[Slip]:
    for words, value in elsewhere.items():
        yield Slip(words=words, meant=value, common=0.6)


def _slips(typed: float, notation: Notation) -> Iterator[Slip]:
    yield Slip(words="a minus sign too many or too few", meant=-typed, common=0.5)
    if notation in IMPERIAL:
        yield from _whole_inches(typed)
    if notation in IN_PARTS:
        yield from _parts(typed)
    else:
        yield from _figures(typed, notation)
    if notation in WHOLE:
        yield from _whole_metric(typed)


def _whole_inches(typed: float) -> Iterator[Slip]:
    for sign, words in ((1, "too much"), (-1, "too little")):
        yield Slip(words=f"a whole foot {words}", meant=typed - sign * FOOT, common=1.0)
        yield Slip(words=f"a whole inch {words}", meant=typed - sign * INCH, common=1.0)
        yield Slip(words=f"half an inch {words}", meant=typed - sign * INCH / 2, common=0.4)
        for count in (2, 3, 4, 5):
            yield Slip(words=f"{count} inches {words}", meant=typed - sign * count * INCH, common=0.12)
        yield Slip(words=f"2 feet {words}", meant=typed - sign * 2 * FOOT, common=0.1)
        yield Slip(words=f"a quarter of an inch {words}", meant=typed - sign * INCH / 4, common=0.1)


def _whole_metric(typed: float) -> Iterator[Slip]:
    for sign, words in ((1, "too much"), (-1, "too little")):
        for step, common in ((10.0, 0.25), (100.0, 0.4), (1000.0, 0.4)):
            yield Slip(words=f"{step:g} mm {words}", meant=typed - sign * step, common=common)


def _parts(typed: float) -> Iterator[Slip]:
    """Slips with feet, inches and eighths as three numbers."""
    minus = -1.0 if typed < 0 else 1.0
    sixteenths = round(abs(typed) / INCH * 16)
    odd = sixteenths % 2
    eighths_all = sixteenths // 2
    feet, rest = divmod(eighths_all, 96)
    inches, eighths = divmod(rest, 8)
    beyond = abs(typed) - eighths_all * INCH / 8  # the sixteenth, and whatever is finer

    def meant(f: int, i: int, e: int) -> float:
        return minus * ((f * 12 + i) * INCH + e * INCH / 8 + beyond)

    if inches <= 7 and inches != eighths:
        yield Slip(words="inches and eighths swapped", meant=meant(feet, eighths, inches), common=1.0)
    if feet != inches:
        yield Slip(words="feet and inches swapped", meant=meant(inches, feet, eighths), common=0.5)
    if eighths:
        less = minus * ((feet * 12 + inches) * INCH - eighths * INCH / 8)
        yield Slip(words="the eighths added that should be taken off", meant=less, common=0.35)
        # Eighths taken off leave the inch below: 1-7-0 less 3 eighths stands as 1-6-5.
        more = minus * ((feet * 12 + inches + 1) * INCH + (8 - eighths) * INCH / 8)
        yield Slip(words="the eighths taken off that should be added", meant=more, common=0.35)
    if odd:
        both = minus * ((feet * 12 + inches) * INCH + eighths * INCH / 8 - INCH / 16)
        yield Slip(words="the sign of the sixteenth", meant=both, common=1.0)
        yield Slip(words="the sign of the sixteenth", meant=typed + minus * INCH / 8, common=1.0)
    for name, value, most, size in (
        ("feet", feet, 99, FOOT), ("inches", inches, 11, INCH), ("eighths", eighths, 7, INCH / 8)
    ):  # fmt: skip
        for text, change, common in _misread(str(value)):
            if int(text) <= most:
                yield Slip(
                    words=f"{name}: {change}",
                    meant=typed + minus * (int(text) - value) * size,
                    common=common,
                )
    for wrong in range(8):
        if wrong != eighths:
            yield Slip(
                words=f"{eighths} eighths for {wrong}",
                meant=typed + minus * (wrong - eighths) * INCH / 8,
                common=0.06,
            )


def _misread(text: str) -> Iterator[tuple[str, str, float]]:
    """What a number may have been: the number, in words, how common."""
    for i, figure in enumerate(text):
        if figure in ALIKE:
            other = ALIKE[figure]
            yield text[:i] + other + text[i + 1 :], f"{figure} for {other}", 0.6 if figure in "69" else 0.3
    if len(text) == 1 and text in "01":
        yield "1" + text, f"{text} for 1{text}", 0.2
    if len(text) == 2:
        yield text[0], f"{text} for {text[0]}", 0.2
        yield text[1], f"{text} for {text[1]}", 0.2


def _figures(typed: float, notation: Notation) -> Iterator[Slip]:
    """Slips with the figures of a plain number."""
    text = format_length(abs(typed), notation)
    minus = -1.0 if typed < 0 else 1.0
    scale = _scale(notation)

    def meant(changed: str) -> float:
        return minus * float(changed) * scale

    places = [i for i, sign in enumerate(text) if sign.isdigit()]
    for a, b in pairwise(places):
        if text[a] != text[b]:
            swapped = _put(_put(text, a, text[b]), b, text[a])
            yield Slip(words=f"two figures swapped: {text} for {swapped}", meant=meant(swapped), common=1.0)
    for a, b in zip(places[:-2], places[2:], strict=True):
        if text[a] != text[b]:
            swapped = _put(_put(text, a, text[b]), b, text[a])
            yield Slip(words=f"two figures swapped: {text} for {swapped}", meant=meant(swapped), common=0.15)
    for i in places:
        if text[i] in ALIKE:
            other = ALIKE[text[i]]
            common = 0.6 if text[i] in "69" else 0.3
            yield Slip(words=f"{text[i]} for {other}", meant=meant(_put(text, i, other)), common=common)
    for i in places[:3]:
        for figure in "0123456789":
            if figure != text[i]:
                changed = _put(text, i, figure)
                yield Slip(words=f"one figure: {text} for {changed}", meant=meant(changed), common=0.04)
    for factor, words in ((10.0, "one place too small"), (0.1, "one place too large")):
        yield Slip(words=f"the decimal point: {words}", meant=typed * factor, common=0.5)
    for i in places:
        if len(places) > 1 and text[:i] + text[i + 1 :] not in (".", ""):
            shorter = text[:i] + text[i + 1 :]
            yield Slip(words=f"a figure too many: {text} for {shorter}", meant=meant(shorter), common=0.2)
        longer = text[:i] + text[i] + text[i:]
        yield Slip(words=f"a figure too few: {text} for {longer}", meant=meant(longer), common=0.2)


def _put(text: str, at: int, sign: str) -> str:
    return text[:at] + sign + text[at + 1 :]


def _scale(notation: Notation) -> float:
    """mm in one of the notation's units."""
    if notation is Notation.DECIMAL_INCHES:
        return INCH
    if notation is Notation.DECIMAL_FEET:
        return FOOT
    return WHOLE[notation]
