"""What is said of bevels that do not fit, and the question whether their sense is right."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from patterns.design.repair_models import RepairSpec
from patterns.errors import Problem
from patterns.repair.fairing import FairSide
from patterns.repair.measuring.bevels import BevelFault, BevelFit, BevelReading, ReadBy
from patterns.repair.places import Side

__all__ = ["bevel_problems"]

PLAIN = 1.5  # degrees from square from which a bevel's sense matters
SHOWN = 3


def bevel_problems(fit: BevelFit, spec: RepairSpec, sides: Mapping[Side, FairSide]) -> Iterator[Problem]:
    """Bevels that are doubted, and the sense of all of them where nothing proves it."""
    for faults in fit.found:
        yield _doubted(fit, faults)
    if not fit.proved():
        yield from _sense(spec, sides)


def _doubted(fit: BevelFit, faults: Sequence[BevelFault]) -> Problem:
    best, readings = faults[0], fit.as_read or fit.readings
    first = readings[best.readings[0]]
    where = f"the {first.side} side, {first.stretch}"
    told = "; or ".join(_cause(readings, fault) for fault in faults[:SHOWN])
    turned = all(fault.size is None for fault in faults)
    want = "hold the gauge there again, its stock on the measured face: less than 90° is under"
    return Problem(where, told, want, code="bevels-reversed" if turned else "suspect-bevel")


def _cause(readings: Sequence[BevelReading], fault: BevelFault) -> str:
    own = [readings[i] for i in fault.readings]
    if fault.size is not None and fault.scope != "reading":
        return (
            f"{_all(own, fault.scope)} {abs(fault.size):.0f}° too {'standing' if fault.size > 0 else 'under'}"
        )
    if fault.size is not None:
        wanted = 90.0 + own[0].degrees - fault.size
        return (
            f"the bevel at point {own[0].point} of the {own[0].side} side would have to be about {wanted:.0f}°, "
            f"not {90.0 + own[0].degrees:.1f}°"
        )
    if own[0].means is ReadBy.OUTLINES:
        return "the neighbouring frames are exchanged, or looking is the other way"
    return f"{_all(own, fault.scope)} read the other way round (under for standing)"


def _all(own: Sequence[BevelReading], scope: str) -> str:
    """Readings by what they have in common, up to the verb."""
    side = own[0].side
    if scope == "reading":
        return f"the bevel at point {own[0].point} of the {side} side was"
    if own[0].means is ReadBy.OUTLINES:
        return "all bevels by the neighbouring frames are"
    what = {"stretch": f" of the {own[0].stretch} of the {side} side", "side": f" of the {side} side"}
    return f"all bevels by the gauge{what.get(scope, '')} were"


def _sense(spec: RepairSpec, sides: Mapping[Side, FairSide]) -> Iterator[Problem]:
    """The question in plain words: does the hull get fuller or finer going aft?"""
    aft = -1.0 if spec.looking == "forward" else 1.0  # through the old wood, away from the one who measured
    means: dict[str, list[float]] = {}
    for side in sides.values():
        for stretch in side.edge.stretches:
            if np.isfinite(stretch.slope).all():
                means.setdefault(stretch.name, []).append(float(np.degrees(np.arctan(stretch.slope)).mean()))
    plain = {name: aft * float(np.mean(values)) for name, values in means.items()}
    said = []
    for word, sign in (("fuller", 1.0), ("finer", -1.0)):
        names = [name for name, value in plain.items() if sign * value > PLAIN]
        if names:
            said.append(f"{word} going aft at its {', '.join(names)}")
    if said:
        yield Problem(
            f"frame {spec.frame}, bevels",
            f"these bevels say that the hull gets {' and '.join(said)}",
            "if that is wrong, check looking, where each neighbour is, and how the gauge was read",
            code="bevel-sense",
        )
