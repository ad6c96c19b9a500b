"""Carvel planks between the lines by which a hull is lined off: each a strake of its own, and how round it is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from patterns.boat import Boat
from patterns.hull.hull import FairCurves, Strake, plank_between
from patterns.hull.laid_edge import LaidEdge, Spread, laid_through
from patterns.hull.planes import FloatArray
from patterns.joinery.lands import bench_places
from patterns.joinery.plank_lines import OutsideSection, PlankLines, plank_lines

__all__ = ["carvel_boat", "plank_name", "rounds_of"]

PLACES = 61  # along the boat, closer together towards a stem
NEAR = np.array([1.0, 5.0, 12.0, 25.0, 45.0])  # mm abaft a line's hood end, where it may be blunt
PAST = 200.0  # mm by which a line is laid on past a transom


@dataclass(frozen=True, slots=True, kw_only=True)
class _Given:
    """A plank as a design would give a strake."""

    name: str
    between: tuple[str, str]
    planking: float
    sections: str = "straight"


def plank_name(number: int) -> str:
    """What a plank is called, by its number from the garboard up."""
    return f"plank {number}"


@lru_cache(maxsize=2)
def carvel_boat(boat: Boat) -> Boat | None:
    """The boat with her planks for strakes, each straight in section between its edges; None if not lined off.

    Raises:
        PatternsError: the lines do not fit the hull.
    """
    lines = plank_lines(boat)
    if lines is None:
        return None
    hull, [skin] = boat.hull, boat.hull.strakes
    curves = FairCurves(profile=hull.profile, lines={}, keel=hull.keel)
    count = len(lines.down) + 1
    sections = _sections(lines)
    edges = [None, *(_line(lines, number, sections) for number in range(1, count)), hull.lines[skin.upper]]
    names = [hull.keel, *(f"upper edge of plank {number}" for number in range(1, count)), skin.upper]
    planks: list[Strake] = []
    for number in range(1, count + 1):
        given = _Given(
            name=plank_name(number), between=(names[number - 1], names[number]), planking=skin.planking
        )
        upper = edges[number]
        assert upper is not None
        planks.append(plank_between(curves, given, hull.stems, (edges[number - 1], upper), None))
    return replace(boat, hull=replace(hull, strakes=tuple(planks)))


def _sections(lines: PlankLines) -> list[OutsideSection]:
    """The outside of planking in planes along the boat, for all lines together."""
    first = float(lines.fore.min())
    spread = Spread(fore=first if lines.boat.hull.stems[0] else None, aft=None)
    t = spread.t(np.array([first, lines.ends + PAST]))
    return [lines.section(float(x)) for x in spread.x(np.linspace(t[0], t[1], PLACES))[1:]]


def _line(lines: PlankLines, number: int, sections: Sequence[OutsideSection]) -> LaidEdge:
    """One of the lines in space, on the outside of planking."""
    hull, first = lines.boat.hull, float(lines.fore[number - 1])
    fore = (
        hull.profile.at(hull.profile.t_at_x(np.array(first))) if hull.stems[0] else lines.point(number, first)
    )
    near = [lines.section(first + float(x)) for x in NEAR] if hull.stems[0] else []
    past = first + float(NEAR[-1])
    points = [
        lines.on(each, number) for each in (*near, *(each for each in sections if each.x > past + NEAR[0]))
    ]
    spread = Spread(fore=first if hull.stems[0] else None, aft=None)
    return laid_through(np.vstack([fore, *points]), spread, ends=(first, lines.ends))


def rounds_of(boat: Boat, number: int) -> dict[str, float]:
    """How far the outside of a plank is round between its edges, mm, at each mould, frame or station.

    The plank's inside is hollow by as much; below 0 it is the outside that is hollow.
    """
    lines = plank_lines(boat)
    assert lines is not None
    found = {}
    for where, x in bench_places(boat):
        if not lines.begins < x < lines.ends:
            continue
        whole, up = lines.girths(x)
        edges = {0: 0.0, **up, len(lines.down) + 1: whole}
        if number not in edges:
            continue
        low = max(girth for other, girth in edges.items() if other < number)
        section = lines.section(x)
        found[where] = _round(section.run, section.uv, low, edges[number])
    return found


def _round(run: FloatArray, uv: FloatArray, low: float, high: float) -> float:
    """How far a run lies outside of the chord between two girths at most, mm."""
    at = np.linspace(low, high, 41)
    points = np.stack([np.interp(at, run, uv[:, k]) for k in (0, 1)], axis=-1)
    chord = points[-1] - points[0]
    size = float(np.hypot(*chord))
    if size < 1e-6:
        return 0.0
    out = (points - points[0]) @ np.array([chord[1], -chord[0]]) / size
    return float(out[np.abs(out).argmax()])
