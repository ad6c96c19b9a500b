"""Frames, moulds and beams that would be in one place, and a frame that is not where the others' names put it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from patterns.design.deck_models import BeamSpec
from patterns.design.file import DESIGN_FILE, Design
from patterns.design.frame_stands import station_shift
from patterns.design.models import FrameSpec
from patterns.design.mould_models import MouldSpec
from patterns.errors import Problem
from patterns.measure import parse_length
from patterns.measure.along import station_named
from patterns.table.values import Offsets

__all__ = ["place_aft", "stand_doubts", "stand_problems"]

TOUCH = 0.5  # mm; two faces that are no farther into one another lie on one another


@dataclass(frozen=True, slots=True, kw_only=True)
class FrameSpace:
    """The space of one frame or mould on the centreline.

    Attributes:
        called: as the file calls it.
        at: the place as the design names it.
        low, high: from which distance aft to which, at the keel's height and at the sheer's, mm.
        canted: turned about the vertical, so that this holds on the centreline only.
    """

    called: str
    at: str
    low: tuple[float, float]
    high: tuple[float, float]
    canted: bool


def stand_problems(offsets: Offsets, design: Design) -> Iterator[Problem]:
    """Two frames or moulds in one place, and two beams."""
    for one, two in combinations(_stands(offsets, design), 2):
        if _overlap(one.low, two.low) and _overlap(one.high, two.high) and not (one.canted or two.canted):
            yield _together(one.called, two.called, two.at)
    beams = design.all(BeamSpec)
    for a, b in combinations(beams, 2):
        if (a.at, a.rake, a.from_carling, a.siding_runs) == (
            b.at,
            b.rake,
            b.from_carling,
            b.siding_runs,
        ) and (a.bottom is None and b.bottom is None):
            yield _together(f'beam "{a.name}"', f'beam "{b.name}"', b.at)


def stand_doubts(offsets: Offsets, design: Design) -> Iterator[Problem]:
    """Two frames that cross, and a frame named after one station that is at another."""
    for one, two in combinations(_stands(offsets, design), 2):
        low, high = _overlap(one.low, two.low), _overlap(one.high, two.high)
        before = one.low[0] < two.low[0], one.high[0] < two.high[0]
        canted = one.canted or two.canted
        if (low and high and canted) or (low != high) or (before[0] != before[1] and not (low or high)):
            yield Problem(
                f"{DESIGN_FILE}, {two.called}, key at",
                f"{two.called} and {one.called} cross each other",
                "check the places and rakes of both",
                code="crossing-frames",
            )
    yield from _elsewhere(offsets, design)


def _together(one: str, two: str, at: str) -> Problem:
    return Problem(
        f"{DESIGN_FILE}, {two}, key at",
        f'at "{at}" {two} would be in the same place as {one}',
        "give each a place of its own",
        code="same-place",
    )


def _overlap(a: tuple[float, float], b: tuple[float, float]) -> bool:
    return min(a[1], b[1]) - max(a[0], b[0]) > TOUCH


def _stands(offsets: Offsets, design: Design) -> list[FrameSpace]:
    """Every frame and mould whose place can be read, its siding running as it will be made."""
    keel, sheer = (offsets.lines.get(design.lines[i].name) for i in (0, -1))
    if keel is None or sheer is None:
        return []
    out = np.where(np.isfinite(sheer.x) & np.isfinite(sheer.y), sheer.y, -np.inf)
    if not all(np.isfinite(values).any() for values in (out, sheer.z, keel.z)):
        return []  # what is missing is reported by itself
    widest = float(sheer.x[int(out.argmax())])
    heights = float(np.nanmin(keel.z)), float(np.nanmax(sheer.z))
    found = []
    standing: tuple[FrameSpec | MouldSpec, ...] = (*design.frames, *design.all(MouldSpec))
    for spec in standing:
        x = place_aft(spec.at, offsets)
        if x is None:
            continue
        frame = isinstance(spec, FrameSpec)
        outward = -1.0 if x < widest else 1.0
        sense = {"forward": -1.0, "aft": 1.0}.get(spec.siding_runs or "", outward if frame else -outward)
        rake, cant = (spec.rake, spec.cant) if isinstance(spec, FrameSpec) else (0.0, 0.0)
        shift = station_shift(design, spec, sense) if isinstance(spec, FrameSpec) else 0.0
        spans = []
        for z in heights:
            face = x + z * math.tan(rake) + sense * shift / math.cos(rake)
            other = face + sense * spec.sided / math.cos(rake)
            spans.append((min(face, other), max(face, other)))
        called = f'{"frame" if frame else "mould"} "{spec.name}"'
        found.append(FrameSpace(called=called, at=spec.at, low=spans[0], high=spans[1], canted=bool(cant)))
    return found


def place_aft(at: str, offsets: Offsets) -> float | None:
    """A place aft, mm; None where the table does not have it."""
    name = station_named(at)
    if name is None:
        return parse_length(at)
    if name not in offsets.stations:
        return None
    x = float(offsets.station_x[offsets.stations.index(name)])
    return x if math.isfinite(x) else None


def _elsewhere(offsets: Offsets, design: Design) -> Iterator[Problem]:
    """A frame with a station's name at another station, where most frames are at the station of their name."""
    kinds: tuple[tuple[str, Sequence[FrameSpec | MouldSpec]], ...] = (
        ("frame", design.frames),
        ("mould", design.all(MouldSpec)),
    )
    for kind, specs in kinds:
        named = [spec for spec in specs if spec.name in offsets.stations and station_named(spec.at)]
        away = [spec for spec in named if station_named(spec.at) != spec.name]
        if 2 * len(away) >= len(named):
            continue
        for spec in away:
            yield Problem(
                f'{DESIGN_FILE}, {kind} "{spec.name}", key at',
                f'{kind} "{spec.name}" is at {spec.at}, and the other {kind}s are at the stations of their names',
                f'check whether "station {spec.name}" is meant',
                code="frame-elsewhere",
            )
