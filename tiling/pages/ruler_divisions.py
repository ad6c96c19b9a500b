"""How one side of a ruler is divided: in millimetres or sixteenths, or in the boat's lengths at a smaller scale."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

from tiling.paper import MM_PER_INCH
from tiling.paper.scale import Scale
from tiling.text.typeface import text_width

__all__ = ["INCHES", "MILLIMETRES", "PAPER_MILLIMETRES", "Divisions", "in_feet", "in_millimetres"]

LEAST_STEP = 1.0  # mm on paper between ticks
BESIDE_FIGURE = 1.8  # mm on paper that a figure needs besides its own width


@dataclass(frozen=True, slots=True, kw_only=True)
class Divisions:
    """Ticks and figures of one side.

    Attributes:
        step: from tick to tick, mm on paper.
        long: every so many ticks a long one with a figure.
        middle: every so many ticks a taller one.
        figure: what stands at a tick, by its number.
        words: the unit.
        at: where the unit stands, mm from 0; None: it follows the first figure after 0, and the figures that it
            would meet are left out.
    """

    step: float
    long: int
    middle: int
    figure: Callable[[int], str]
    words: str
    at: float | None = None


# the unit stands in the middle of a stretch between figures, where nothing else is
MILLIMETRES = Divisions(step=1.0, long=10, middle=5, figure=str, words="mm", at=6.5)
INCHES = Divisions(
    step=MM_PER_INCH / 16.0,
    long=16,
    middle=4,
    figure=lambda index: f"{index / 16:g}",
    words="inches",
    at=14.0,
)
PAPER_MILLIMETRES = Divisions(step=1.0, long=10, middle=5, figure=str, words=" mm on paper")


def in_millimetres(scale: Scale, length: float, height: float) -> Divisions:
    """Millimetres of the boat on a ruler that is ``length`` mm long on paper, figures ``height`` mm high."""
    rounds = [d * 10**power for power in range(6) for d in (1, 2, 5)]
    tick = next(value for value in rounds if scale.of(value) >= LEAST_STEP - 1e-9)
    room = text_width(f"{scale.true(length):.0f}", height) + BESIDE_FIGURE
    figured = next(value for value in rounds if value % tick == 0 and scale.of(value) >= room)
    count = figured // tick
    return Divisions(
        step=scale.of(tick),
        long=count,
        middle=count // 2 if count % 2 == 0 else count,
        figure=lambda index: str(index * tick),
        words=f" mm of the boat, {scale.name}",
    )


# of the boat, in inches; each parts the next ones that it is used with
TICKS = (*(Fraction(1, over) for over in (16, 8, 4, 2)), *map(Fraction, (1, 3, 6, 12, 60, 120)))
FIGURED = tuple(map(Fraction, (1, 3, 6, 12, 24, 60, 120, 240, 600)))


def in_feet(scale: Scale, length: float, height: float) -> Divisions:
    """Feet and inches of the boat, as ``1-6`` for one foot six; see ``in_millimetres``."""
    per_inch = scale.of(MM_PER_INCH)
    tick = next(value for value in TICKS if float(value) * per_inch >= LEAST_STEP - 1e-9)

    def figure(index: int) -> str:
        feet, inches = divmod(index * tick, 12)
        return f"{feet}-{float(inches):g}"

    room = text_width("00-00", height) if scale.true(length) > 3000.0 else text_width("0-00", height)
    figured = next(
        value for value in FIGURED if value % tick == 0 and float(value) * per_inch >= room + BESIDE_FIGURE
    )
    count = int(figured / tick)
    whole = next((unit for unit in (1, 3, 12) if tick < unit < figured and unit % tick == 0), None)
    middle = int(whole / tick) if whole else count // 2 if count % 2 == 0 else count
    return Divisions(
        step=float(tick) * per_inch,
        long=count,
        middle=middle,
        figure=figure,
        words=f" feet-inches of the boat, {scale.name}",
    )
