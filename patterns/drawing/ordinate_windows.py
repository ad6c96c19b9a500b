"""What of a piece laid off by ordinates is printed at full size: its ends, laps, notches and scarfs."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import shapely

from patterns.drawing.clipped import lines_within
from patterns.drawing.ordinates import Ordinates, Window
from patterns.pattern import XY, Kind, Line, Mark, Pattern

__all__ = ["windows_of"]

ROUND = 8.0  # mm of paper round the wood in a window
NEAR_BASE = 40.0  # mm; where the wood is no farther from the base line that itself is printed
MOST_BASE = 200.0  # mm of base line on the pages of an end: enough to lay them true, and no page for it alone
TICK = 4.0  # mm; below the line, at each step


def windows_of(pattern: Pattern, laid: Ordinates) -> tuple[Pattern, ...]:
    """The patterns to print at full size, each turned so that the base line lies level."""
    return tuple(_window(pattern, laid, window) for window in laid.windows)


def _window(pattern: Pattern, laid: Ordinates, window: Window) -> Pattern:
    box = shapely.box(window.x[0], window.y[0] - ROUND, window.x[1], window.y[1] + ROUND)
    base, ticks = _base(laid, window)
    own = (replace(line, points=laid.base.own(line.points)) for line in pattern.lines)
    told = list(zip(pattern.known, pattern.facts, strict=False))
    kept = [*told[:1], *(each for each in told[1:] if each[0].kind == "in-doubt")]
    return replace(
        pattern,
        name=f"{pattern.name}, {window.where(laid.rule)}",
        lines=(*lines_within(own, box), *_limits(laid, window), base),
        readings=tuple(
            replace(reading, at=at, towards=laid.base.way(reading.towards))
            for reading in pattern.readings
            if _inside(box, at := laid.base.place(reading.at))
        ),
        marks=(
            *(
                replace(mark, at=at, towards=laid.base.way(mark.towards))
                for mark in pattern.marks
                if _inside(box, at := laid.base.place(mark.at))
            ),
            *ticks,
        ),
        holes=tuple(
            replace(hole, at=at) for hole in pattern.holes if _inside(box, at := laid.base.place(hole.at))
        ),
        spans=(),
        known=tuple(fact for fact, _ in kept),
        facts=(
            *(words for _, words in kept),
            "Lay its base line on the straight edge, each tick on its distance from the fore end",
        ),
        grain=(0.0, 0.0),
        template=True,
        rule=None,
    )


def _inside(box: shapely.Polygon, at: XY) -> bool:
    return bool(shapely.distance(box, shapely.Point(at)) < 1.0)


def _limits(laid: Ordinates, window: Window) -> Iterator[Line]:
    """Lines square across where the ordinates begin; an edge runs on from them by its table."""
    for x in window.x:
        if 0.0 < x < laid.length:
            name = f"on by ordinates\nfrom {laid.rule.with_unit(x)}"
            points = np.array([[x, window.y[0] - ROUND], [x, window.y[1] + ROUND]])
            yield Line(kind=Kind.REFERENCE, points=points, name=name)


def _base(laid: Ordinates, window: Window) -> tuple[Line, list[Mark]]:
    """The base line of a window with its ticks; far from it a line parallel to it, at so many steps."""
    rule = laid.rule
    low = window.y[0]
    height = 0.0 if low <= NEAR_BASE else float(np.floor((low - ROUND) / (0.5 * rule.step)) * 0.5 * rule.step)
    x0, x1 = window.x
    if window.end == "fore end":
        x0 = max(x0, x1 - MOST_BASE)
    elif window.end:
        x1 = min(x1, x0 + MOST_BASE)
    apart = 0.5 * rule.step if x1 - x0 < 2.0 * rule.step else rule.step
    places = np.arange(np.ceil(x0 / apart - 1e-9), np.floor(x1 / apart + 1e-9) + 1.0) * apart
    ticks = [
        Mark(name=rule.words(float(x)), at=(float(x), height), towards=(0.0, -1.0), length=TICK)
        for x in places
    ]
    name = "base line" if height == 0.0 else f"{rule.with_unit(height)} above the base line"
    points = np.array([[x0, height], [0.5 * (x0 + x1), height], [x1, height]])
    return Line(kind=Kind.BASE, points=points, name=f"{name}, {rule.unit} from the fore end"), ticks
