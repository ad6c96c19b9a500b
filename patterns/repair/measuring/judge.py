"""Which readings and references are at fault: the likeliest fault is taken out, and what is left is judged anew.

A fault that has rivals is not taken out: what is to be read then, so that they can be told apart, is asked for.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from patterns.repair.measuring.faults import Cause, Suspicion
from patterns.repair.measuring.model import Model
from patterns.repair.measuring.rows import Frames
from patterns.repair.measuring.score import judged

__all__ = ["Named", "Verdict", "judge", "remedied"]

SURE = 1.5  # log odds from which there is a fault
RIVAL = 3.0  # log odds by which another may be less likely and be a rival
MOST = 5  # faults that are named
LOOKED = 40  # of the likeliest slips' points are looked at for exchanged readings
TURNED_POINTS = 5
APART = 6.0  # mm; readings that differ less may be exchanged unseen


@dataclass(frozen=True, slots=True, eq=False)
class Named:
    """A fault, the likeliest, and those that would explain the readings nearly as well."""

    fault: Suspicion
    rivals: tuple[Suspicion, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Verdict:
    """What is known of a frame and its neighbours.

    Attributes:
        model: with what was taken out.
        named: the faults, in the order in which they were found.
        asked: of the last one: it has rivals, so that it was not taken out.
    """

    model: Model
    named: tuple[Named, ...]
    asked: bool


def judge(frames: Frames) -> Verdict:
    """Take out fault after fault while one is likely and alone."""
    named: list[Named] = []
    wide: list[Suspicion] = []
    while True:
        model = Model(frames, wide)
        ranked = judged(model, model.suspicions())
        if _likely(ranked) and any(fault.cause is Cause.SLIP for fault in ranked[:3]):
            turned = _turned(model, ranked, wide)
            ranked = sorted([*ranked, *turned], key=lambda fault: -fault.log_odds)
        if not _likely(ranked) or len(named) == MOST:
            return Verdict(model, tuple(named), False)
        best, rivals = ranked[0], _rivals(model, ranked)
        named.append(Named(best, rivals))
        if rivals:
            return Verdict(model, tuple(named), True)
        frames = remedied(frames, best)
        if best.columns.size:
            wide.append(best)


def _likely(ranked: Sequence[Suspicion]) -> bool:
    return bool(ranked) and ranked[0].log_odds >= SURE


def _rivals(model: Model, ranked: Sequence[Suspicion]) -> tuple[Suspicion, ...]:
    best = ranked[0]
    return tuple(
        fault
        for fault in ranked[1:60]
        if fault.log_odds > best.log_odds - RIVAL
    )


def remedied(frames: Frames, fault: Suspicion) -> Frames:
    """The readings and references with a fault's likeliest size taken out."""
    spots, refs = list(frames.spots), dict(frames.refs)
    for i, spot in fault.instead.items():
        spots[i] = spot
    for i, k in fault.readings if len(fault.size) else ():
        spots[i] = spots[i].with_value(k, spots[i].values[k] - float(fault.size[0]))
    for key, sign in fault.refs:
        if fault.cause is Cause.TURN:
            refs[key] = refs[key].turned(sign * float(fault.size[0]))
        else:
            refs[key] = replace(refs[key], at=refs[key].at + fault.size * np.array([sign, 1.0]))
    return replace(frames, spots=tuple(spots), refs=refs)


def _turned(model: Model, ranked: Sequence[Suspicion], wide: Sequence[Suspicion]) -> Iterator[Suspicion]:
    """Changes without a size at the points most suspected: two readings exchanged, the other side of the nails."""
    frames = model.frames
    slips = [fault for fault in ranked[:LOOKED] if fault.cause is Cause.SLIP]
    for i in list(dict.fromkeys(fault.readings[0][0] for fault in slips))[:TURNED_POINTS]:
        spot = frames.spots[i]
        a, b, *rest = spot.values
        tried = [(Cause.EXCHANGED, replace(spot, values=(b, a, *rest)))] if abs(a - b) > APART else []
        if spot.sign and not rest:
            tried.append((Cause.WRONG_SIDE, replace(spot, sign=-spot.sign)))
        for cause, other in tried:
            spots = tuple(other if j == i else own for j, own in enumerate(frames.spots))
            evidence = Model(replace(frames, spots=spots), wide).evidence
            yield Suspicion(
                cause=cause,
                readings=((i, 0), (i, 1)),
                log_odds=evidence - model.evidence + float(np.log(cause.value)),
                instead={i: other},
            )
