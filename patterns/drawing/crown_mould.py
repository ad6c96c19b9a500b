"""Beams of the deck's common crown: one mould that all are marked by, and the rest of each at full size.

A beam's top is an arc of the common crown from its centreline to its end, and its underside runs parallel to it or
straight.  Between its ends, notches and landings nothing else is to be known, so that one full-size mould of the
arc serves all beams, and of each its other parts alone are printed.  The level set line runs through all of them,
with distances from the centreline, by which they are laid in their places on the wood.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
import shapely
from shapely.geometry import Polygon

from patterns.drawing.clipped import lines_within
from patterns.drawing.ordinates import edge_heights
from patterns.flat.shapes import area_of
from patterns.hull.planes import FloatArray
from patterns.pattern import XY, Kind, Line, Mark, Pattern, Reading, Span
from patterns.wood.piece import Hand

__all__ = ["CrownMould", "MouldedBeam", "crown_mould", "moulded_beam", "parts_of"]

NAMES = ("crown mould", "deck's crown mould", "mould of the crown")
LEAST_BEAMS = 3  # of one crown; for fewer the mould takes the pages that it saves
FAIR = 0.25  # mm; an edge that is farther from the arc than this is printed
FINE = 2.0  # mm between the places at which an edge is looked at, besides its own vertices
AROUND = 30.0  # mm of fair edge on both sides of what is printed
LEAST_CENTRE = 50.0  # mm that are printed from the centreline out, and in from the end
LEAST_GAP = 120.0  # mm; less between two parts is printed with them
LEAST_SAVED = 0.55  # of a half beam that is not printed, or all of it is: its parts take as many pages
LAP = 60.0  # mm by which the mould reaches over the outermost parts that it leads to
BACK = 50.0  # mm; least depth of the mould
ROUND = 8.0  # mm by which the lines across a part run past its wood
APART = 22.0  # mm between two parts on their pages
TICK = 4.0  # mm

Interval = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MouldedBeam:
    """How a beam is marked by the mould; distances are from the centreline out, mm.

    Attributes:
        way: 1 where the drawn half lies on the drawing's right, -1 on its left.
        parts: from and to where it is printed at full size, the first from the centreline on.
        under: how far its underside is from its top, square to it; None where it is straight.
        level: height of its set line on the drawing.
        reach: its outer end.
        check: from its underside on the centreline to its end's upper corner, over the wood.
    """

    way: float
    parts: tuple[Interval, ...]
    under: float | None
    level: float
    reach: float
    check: Span | None

    @property
    def marked_to(self) -> float:
        """Up to where it is marked by the mould."""
        return self.parts[-1][0]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CrownMould:
    """The mould of several beams, as a pattern, and these by their names."""

    pattern: Pattern
    beams: dict[str, MouldedBeam]


def crown_mould(patterns: Sequence[Pattern]) -> CrownMould | None:
    """The mould by which the beams of the deck's common crown are marked; None: there are too few of them."""
    found = {pattern: beam for pattern in patterns if (beam := moulded_beam(pattern)) is not None}
    if len(found) < LEAST_BEAMS:
        return None
    taken = {pattern.name for pattern in patterns}
    name = next(name for name in NAMES if name not in taken)
    beams = {pattern.name: beam for pattern, beam in found.items()}
    return CrownMould(pattern=_mould(next(iter(found)), name, tuple(beams.values())), beams=beams)


@lru_cache(maxsize=64)
def moulded_beam(pattern: Pattern) -> MouldedBeam | None:
    """How a half beam is marked by the mould of its crown; None where it is printed whole."""
    saw = pattern.of_kind(Kind.SAW)
    level = _set_line(pattern)
    if not pattern.crown or not pattern.half or len(saw) != 1 or level is None:
        return None
    way = 1.0 if saw[0].points[:, 0].mean() > 0.0 else -1.0
    area = area_of(saw[0].points * [way, 1.0])
    reach = float(area.bounds[2])
    x = _places(area)
    bad, under = _off(area, x, pattern.crown)
    things = [*bad, *_things(pattern, way), (0.0, LEAST_CENTRE), (reach - LEAST_CENTRE, reach)]
    parts = _parts(things, reach, pattern)
    if sum(b - a for a, b in parts) > (1.0 - LEAST_SAVED) * reach:
        return None
    check = pattern.spans[0] if len(pattern.spans) == 1 else None
    return MouldedBeam(way=way, parts=parts, under=under, level=level, reach=reach, check=check)


def _set_line(pattern: Pattern) -> float | None:
    """The height of the level line that runs from the centreline to the end; None: it has none."""
    half = 0.5 * pattern.size()[0]
    for line in pattern.of_kind(Kind.REFERENCE):
        low, high = line.points.min(axis=0), line.points.max(axis=0)
        if line.name and high[1] - low[1] < 1e-6 and high[0] - low[0] >= half - 1.0:
            return float(low[1])
    return None


def _places(area: Polygon) -> FloatArray:
    """Where a half's edges are looked at: nothing that could be off the arc lies between."""
    reach = float(area.bounds[2])
    even = np.linspace(1e-3, reach - 1e-3, int(reach / FINE) + 2)
    own = np.asarray(area.exterior.coords)[:, 0]
    return np.unique(np.round(np.concatenate([even, own[(own > 1e-3) & (own < reach - 1e-3)]]), 3))


def _off(area: Polygon, x: FloatArray, radius: float) -> tuple[list[Interval], float | None]:
    """Where a half's edges leave the arc and what runs with it; how far the underside is from the top, or None."""
    top, low = (edge_heights(area, top=upper)(x) for upper in (True, False))
    arc = np.sqrt(radius**2 - x**2) - radius
    high = float(np.median(top - arc))
    apart = radius - np.hypot(x, low - (high - radius))  # square to the arc
    under = float(np.median(apart))
    level = float(np.median(low))
    parallel, straight = np.abs(apart - under) > FAIR, np.abs(low - level) > FAIR
    beside, depth = (straight, None) if straight.sum() < parallel.sum() else (parallel, under)
    off = beside | (np.abs(top - arc - high) > FAIR)
    return [(float(at), float(at)) for at in x[off]], depth


def _things(pattern: Pattern, way: float) -> Iterator[Interval]:
    """What lies on a half besides its edges, and has to be printed."""
    for line in pattern.lines:
        if line.kind in (Kind.LANDING, Kind.JOINT, Kind.BOLT):
            x = way * line.points[:, 0]
            yield float(x.min()), float(x.max())
    readings = [reading.at for reading in pattern.readings if not _on_the_arc(reading)]
    marks = [mark.at for mark in pattern.marks]
    for at in (*readings, *marks, *(hole.at for hole in pattern.holes)):
        yield way * at[0], way * at[0]


def _on_the_arc(reading: Reading) -> bool:
    """One bevel holds all along the deck: it may be read anywhere there."""
    return reading.all_along and reading.edge == "deck"


def _parts(things: Sequence[Interval], reach: float, pattern: Pattern) -> tuple[Interval, ...]:
    """What is printed of a half: all those things with some edge around them, to whole steps of the rule."""
    assert pattern.rule is not None
    least = pattern.rule.least
    found: list[list[float]] = []
    for a, b in sorted(things):
        low = max(float(np.floor((a - AROUND) / least)) * least, 0.0)
        high = min(float(np.ceil((b + AROUND) / least)) * least, reach)
        if found and low - found[-1][1] < LEAST_GAP:
            found[-1][1] = max(found[-1][1], high)
        else:
            found.append([low, high])
    return tuple((low, high) for low, high in found)


def parts_of(pattern: Pattern, beam: MouldedBeam, mould: str) -> Pattern:
    """The parts of a beam that are printed, each under the one that is nearer to the centreline.

    The part on the centreline is where it was on the drawing.

    Args:
        mould: the mould's name.
    """
    found = [_part(pattern, beam, mould, part) for part in beam.parts]
    down, moved = 0.0, []
    for number, (lines, _) in enumerate(found):
        own = np.vstack([line.points for line in lines])
        low, high = float(own[:, 1].min()), float(own[:, 1].max())
        shift = np.zeros(2)
        if number:
            # Its inner end lies beside the centreline, which nothing of it may cross.
            shift = np.array([-beam.way * (beam.parts[number][0] - APART), down - APART - high])
        moved.append(shift)
        down = low + float(shift[1])
    lines = [
        replace(line, points=line.points + shift)
        for (own, _), shift in zip(found, moved, strict=True)
        for line in own
    ]
    told = list(zip(pattern.known, pattern.facts, strict=False))
    kept = [*told[:1], *(each for each in told[1:] if each[0].kind == "in-doubt")]

    def put(at: XY) -> list[XY]:
        """Where a place is printed: at most once."""
        x = beam.way * at[0]
        for (a, b), shift in zip(beam.parts, moved, strict=True):
            if a - 1.0 <= x <= b + 1.0:
                return [(at[0] + float(shift[0]), at[1] + float(shift[1]))]
        return []

    ticks = [mark for _, marks in found for mark in marks]
    return replace(
        pattern,
        across=pattern.size()[0],
        lines=tuple(lines),
        readings=tuple(
            replace(one, at=at) for one in pattern.readings for at in put(_printed_at(one, pattern, beam))
        ),
        marks=tuple(replace(one, at=at) for one in (*pattern.marks, *ticks) for at in put(one.at)),
        holes=tuple(replace(hole, at=at) for hole in pattern.holes for at in put(hole.at)),
        spans=(),
        known=tuple(fact for fact, _ in kept),
        facts=tuple(words for _, words in kept),
        rule=None,
    )


def _printed_at(reading: Reading, pattern: Pattern, beam: MouldedBeam) -> XY:
    """Where a bevel is read: in its own place, or in the outermost part where it holds all along the arc."""
    (x, y), radius = reading.at, pattern.crown
    if not _on_the_arc(reading):
        return x, y
    out = 0.5 * sum(beam.parts[-1])
    rise = float(np.sqrt(radius**2 - out**2) - np.sqrt(radius**2 - x**2))
    return beam.way * out, y + rise


def _part(pattern: Pattern, beam: MouldedBeam, mould: str, part: Interval) -> tuple[list[Line], list[Mark]]:
    """A part's lines and ticks, where they are on the drawing."""
    rule = pattern.rule
    assert rule is not None
    a, b = part
    outer = ROUND + LAP if b >= beam.reach else 0.0
    x0, x1 = sorted((beam.way * (a - (ROUND if not a else 0.0)), beam.way * (b + outer)))
    lines = list(lines_within(pattern.lines, shapely.box(x0, -1e5, x1, 1e5)))
    lines = [
        replace(line, name=f"{line.name}, {rule.unit} out") if _is_set(line, beam) else line for line in lines
    ]
    wood = np.vstack([line.points for line in lines if line.kind is Kind.SAW])
    low, high = float(wood[:, 1].min()) - ROUND, float(wood[:, 1].max()) + ROUND
    for x in part:
        if 0.0 < x < beam.reach:
            points = np.array([[beam.way * x, low], [beam.way * x, high]])
            depth = "straight underside" if beam.under is None else f"{beam.under:.1f} mm deep"
            name = f"by {mould}\nfrom {rule.with_unit(x)},\n{depth}"
            lines.append(Line(kind=Kind.REFERENCE, points=points, name=name))
    step = 0.5 * rule.step if b - a < 3.0 * rule.step else rule.step
    places = np.arange(np.ceil(a / step - 1e-9), np.floor(b / step + 1e-9) + 1.0) * step
    ticks = [
        Mark(
            name=rule.words(float(x)), at=(beam.way * float(x), beam.level), towards=(0.0, -1.0), length=TICK
        )
        for x in places
    ]
    return lines, ticks


def _is_set(line: Line, beam: MouldedBeam) -> bool:
    return (
        line.kind is Kind.REFERENCE and bool(line.name) and bool(np.allclose(line.points[:, 1], beam.level))
    )


def _mould(first: Pattern, name: str, beams: Sequence[MouldedBeam]) -> Pattern:
    """The mould as a pattern: half of the arc, from the centreline out, over a level back."""
    rule, radius = first.rule, first.crown
    assert rule is not None
    reach = min(max(beam.marked_to for beam in beams) + LAP, max(beam.reach for beam in beams))
    x = np.linspace(0.0, reach, int(reach / FINE) + 2)
    arc = np.column_stack([x, np.sqrt(radius**2 - x**2) - radius])
    back = float(arc[-1, 1]) - BACK
    outline = np.vstack([[[0.0, back], [reach, back]], arc[::-1]])
    places = np.arange(1.0, np.floor(reach / rule.step) + 1.0) * rule.step
    heights = np.sqrt(radius**2 - places**2) - radius
    ticks = tuple(
        Mark(
            name=rule.words(float(u)) if number else f"{rule.with_unit(float(u))} out",
            at=(float(u), float(v)),
            towards=(0.0, -1.0),
            length=2.0 * TICK,
        )
        for number, (u, v) in enumerate(zip(places, heights, strict=True))
    )
    return Pattern(
        name=name,
        member="crown mould",
        stock="thin plywood",
        thickness=0.0,
        laminations=1,
        quantity="1",
        hand=Hand.CENTRE,
        face="",
        sides=("OUT", "IN", "UP"),
        half=False,
        lines=(
            Line(kind=Kind.SAW, points=outline, closed=True),
            Line(kind=Kind.CENTRE, points=np.array([[0.0, back - 5.0], [0.0, 5.0]]), name="centreline"),
        ),
        marks=(*ticks, _crown_edge(reach, radius)),
        spans=(
            Span(
                name="centreline, back to outer end, top", start=(0.0, back), end=(reach, float(arc[-1, 1]))
            ),
        ),
        facts=("thin plywood or hardboard",),
        siding=1.0,
    )


def _crown_edge(reach: float, radius: float) -> Mark:
    """Which of the mould's edges is the crown."""
    out = 0.5 * reach
    height = float(np.sqrt(radius**2 - out**2) - radius)
    return Mark(name="crown", at=(out, height), towards=(0.0, 1.0), length=0.0, word=True)
