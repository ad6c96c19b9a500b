"""The likeliest faults weighed anew: each is taken out, and the fit of all that is left is compared.

A slip of an inch moves its point so far that the equations about its wrong place say little; those about the right
one say which reading it was.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from patterns.measure import Notation
from patterns.repair.measuring.equations import Frames
from patterns.repair.measuring.far import far_sizes, misfits
from patterns.repair.measuring.faults import Cause, Suspicion
from patterns.repair.measuring.model import Model
from patterns.repair.measuring.score import judged
from patterns.repair.measuring.units import all_in_other_units, of_points_in_other_units, scaled_as_a_whole

__all__ = ["remedied", "weighed"]

MANY = {Cause.SLIP: 6, Cause.RUN: 3, Cause.PLACE: 8, Cause.TURN: 2}  # of each kind are weighed
LEADERS = 2  # slips that bring what is like them
NEAR = 30.0  # log odds behind the best by which a fault is weighed once more
APART = 6.0  # mm; readings that differ less may be exchanged unseen
TURNED_POINTS = 4
LARGE, LARGER = 0.1, 10.0  # part of the faults that is so many times as large as the others
SINGLE = 9  # points at most that fold or contradict themselves by single slips; of more it is something else
AGAIN = 3  # times that a large fault's size is found anew
SETTLED = 0.5  # mm; sizes that differ less are the same


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


def weighed(
    model: Model, ranked: Sequence[Suspicion], *, notation: Notation | None = None
) -> list[Suspicion]:
    """The faults worth weighing with log odds by the fit about what they say was meant, the likeliest first.

    Args:
        notation: in which the readings were written; None where other notations are not asked for.
    """
    candidates = _candidates(model, ranked)
    far = {*_at_folds(model), *misfits(model.frames, model.rows.at)}
    far = far if len(far) <= SINGLE else set()
    candidates += [
        _sized_again(model, replace(fault, size=np.array([size])), AGAIN)
        for fault in ranked
        if fault.cause is Cause.SLIP and fault.readings[0][0] in far
        for size in far_sizes(model.frames, model.rows, *fault.readings[0])
    ]
    found = [_taken_out(model, fault) for fault in candidates]
    best = max((fault.log_odds for fault in found), default=0.0)
    near = [fault for fault in found if fault.log_odds > best - NEAR]
    found = [_taken_out(model, _sized_again(model, fault)) for fault in near]
    found += [_exchanged(model, fault) for fault in _without_size(model, found, notation)]
    likeliest: dict[object, Suspicion] = {}
    for fault in sorted(found, key=lambda fault: -fault.log_odds):
        likeliest.setdefault((fault.cause, fault.readings, fault.refs, fault.read_as), fault)
    return list(likeliest.values())


def _candidates(model: Model, ranked: Sequence[Suspicion]) -> list[Suspicion]:
    """The likeliest faults of each kind, and those like the first few: other readings there, other sides."""
    chosen: dict[Suspicion, None] = {}
    chains: set[object] = set()
    left = dict(MANY)
    for fault in ranked:
        if fault.cause is Cause.RUN:  # of runs of one kind of reading the likeliest
            i, k = fault.readings[0]
            spot = model.frames.spots[i]
            chain = (spot.frame, spot.side, spot.sources, k)
            if chain in chains:
                continue
            chains.add(chain)
        if left[fault.cause] > 0:
            left[fault.cause] -= 1
            chosen[fault] = None
    slips = [fault for fault in ranked if fault.cause is Cause.SLIP]
    like = {i for leader in slips[:LEADERS] for i in _points_like(model, leader)}
    for fault in slips:
        if fault.readings[0][0] in like:
            chosen.setdefault(fault)
    return list(chosen)


def _points_like(model: Model, leader: Suspicion) -> set[int]:
    """A slip's own point, the corners next to it, and the point of its name on the other side."""
    spots, i = model.frames.spots, leader.readings[0][0]
    near = {i}
    for j, spot in enumerate(spots):
        same = spot.frame == spots[i].frame
        if same and spot.side == spots[i].side and abs(i - j) == 1 and len(spot.stretches) == 2:
            near.add(j)
        if same and spot.side != spots[i].side and spot.measured.name == spots[i].measured.name:
            near.add(j)
    return near


def _at_folds(model: Model) -> set[int]:
    """The points where an edge folds back, and those next to them."""
    spots = model.frames.spots
    return {
        j
        for i in model.folds
        for j in range(max(i - 1, 0), min(i + 2, len(spots)))
        if (spots[j].frame, spots[j].side) == (spots[i].frame, spots[i].side)
    }


def _taken_out(model: Model, fault: Suspicion) -> Suspicion:
    """A fault by the evidence of the frames without it."""
    there = Model(remedied(model.frames, fault), [*model.accepted, fault])
    # Its prior is about no fault, and `there` has it about the size that was taken out.
    prior = float(np.log(fault.cause.value)) + _size_odds(fault)
    return replace(fault, log_odds=there.evidence - model.evidence + prior)


def _size_odds(fault: Suspicion) -> float:
    """How likely a fault's size is beside none (logarithm): mostly of its spread, a few times far larger."""
    square = float(np.square(fault.size / fault.spread).sum())
    large = np.log(LARGE) - len(fault.spread) * np.log(LARGER) - 0.5 * square / LARGER**2
    return float(np.logaddexp(np.log1p(-LARGE) - 0.5 * square, large))


def _sized_again(model: Model, fault: Suspicion, times: int = 1) -> Suspicion:
    """A fault with its size found about what would then have been read."""
    for _ in range(times):
        bare = Model(remedied(model.frames, fault), model.accepted)
        (again,) = judged(bare, [fault])
        fault = replace(fault, size=fault.size + again.size)
        if np.abs(again.size).max() < SETTLED:
            break
    return fault


def _without_size(model: Model, found: Sequence[Suspicion], notation: Notation | None) -> Iterator[Suspicion]:
    """At the points most suspected: readings or rows exchanged, the other side of the nails, other units."""
    spots = model.frames.spots
    slips = sorted((fault for fault in found if fault.cause is Cause.SLIP), key=lambda fault: -fault.log_odds)
    points = list(dict.fromkeys(fault.readings[0][0] for fault in slips))[:TURNED_POINTS]
    folds = _at_folds(model)
    points += sorted(folds - {*points}) if len(folds) <= SINGLE else []
    for i in points:
        a, b, *rest = spots[i].values
        both = ((i, 0), (i, 1))
        if abs(a - b) > APART:
            other = replace(spots[i], values=(b, a, *rest))
            yield Suspicion(cause=Cause.EXCHANGED, readings=both, instead={i: other})
        if spots[i].sign and not rest:
            other = replace(spots[i], sign=-spots[i].sign)
            yield Suspicion(cause=Cause.WRONG_SIDE, readings=both, instead={i: other})
        if i + 1 in points and spots[i].stretches == spots[i + 1].stretches:
            rows = ((i, 0), (i + 1, 0))
            yield Suspicion(cause=Cause.ROWS, readings=rows, instead={i: spots[i + 1], i + 1: spots[i]})
    if notation is not None:
        yield from of_points_in_other_units(spots, points, notation)
        yield from all_in_other_units(spots, notation)


def _exchanged(model: Model, fault: Suspicion) -> Suspicion:
    """A fault without a size by the evidence of the frames without it."""
    there = Model(remedied(model.frames, fault), model.accepted)
    gained = there.evidence - model.evidence
    if scaled_as_a_whole(model.frames.spots, fault):
        gained = there.size_odds - model.size_odds
    return replace(fault, log_odds=gained + float(np.log(fault.cause.value)))
