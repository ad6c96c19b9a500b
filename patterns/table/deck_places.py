"""Deck pieces whose place is off the boat, or off the carling that they begin at."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from patterns.design.deck_models import BeamSpec, CarlingSpec, SupportSpec, beside_frame
from patterns.design.file import DESIGN_FILE, Design
from patterns.errors import Problem
from patterns.measure import with_unit
from patterns.table.plausible import greatest_breadth
from patterns.table.stands import place_aft
from patterns.table.values import Offsets

__all__ = ["deck_place_problems"]


def deck_place_problems(offsets: Offsets, design: Design) -> Iterator[Problem]:
    """Supports outside of the boat; half beams beyond their carling's ends."""
    half = 0.5 * greatest_breadth(offsets, design)
    for piece in design.all(SupportSpec):
        if max(piece.half_breadth) > half:
            yield Problem(
                f'{DESIGN_FILE}, support "{piece.name}", key half_breadth',
                f"{max(piece.half_breadth):g} mm is outside the boat, whose greatest half-breadth is "
                f"{with_unit(half, offsets.notation)}",
                "give a half-breadth inside the planking",
                code="off-boat",
            )
    beams = {beam.name: beam for beam in design.all(BeamSpec)}
    carlings = {carling.name: carling for carling in design.all(CarlingSpec)}
    for beam in beams.values():
        carling = carlings.get(beam.from_carling)
        if carling is None or not all(name in beams for name in carling.between):
            continue
        fore, aft = (beams[name] for name in carling.between)
        here, low, high = (_aft(piece, offsets, design) for piece in (beam, fore, aft))
        if here is None or low is None or high is None:
            continue
        if not low - _near(beam, fore) < here < high + _near(beam, aft):
            yield Problem(
                f'{DESIGN_FILE}, beam "{beam.name}", key at',
                f'"{beam.at}" is beyond the carling "{carling.name}", which runs from "{carling.between[0]}" to '
                f'"{carling.between[1]}"',
                "give a place between those two",
                code="off-carling",
            )


def _near(beam: BeamSpec, end: BeamSpec) -> float:
    """How far beyond the moulded face of its carling's end a half beam may have its own, mm."""
    return 2.0 * (beam.sided + end.sided)


def _aft(beam: BeamSpec, offsets: Offsets, design: Design) -> float | None:
    """How far aft a beam is at the sheer's height, mm."""
    beside = beside_frame(beam.at)
    rake, at = beam.rake, beam.at
    if beside is not None:
        frame = next((frame for frame in design.frames if frame.name == beside[1]), None)
        if frame is None:
            return None
        rake, at = frame.rake, frame.at
    sheer = offsets.lines.get(design.lines[-1].name)
    x = place_aft(at, offsets)
    if x is None or sheer is None or not np.isfinite(sheer.z).any():
        return None
    return x + math.tan(rake) * float(np.nanmean(sheer.z))
