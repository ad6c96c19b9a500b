"""The likeliest faults weighed anew: each is taken out, and the fit of all that is left is compared.

A slip of an inch moves its point so far that the equations about its wrong place say little; those about the right
one say which reading it was.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from patterns.repair.measuring.equations import Frames
from patterns.repair.measuring.faults import Cause, Suspicion
from patterns.repair.measuring.model import Model
from patterns.repair.measuring.score import judged

__all__ = ["remedied", "weighed"]

MANY = {Cause.SLIP: 6, Cause.RUN: 3, Cause.PLACE: 8, Cause.TURN: 2}  # of each kind are weighed
LEADERS = 2  # slips that bring what is like them
NEAR = 30.0  # log odds behind the best by which a fault is weighed once more
APART = 6.0  # mm; readings that differ less may be exchanged unseen
TURNED_POINTS = 4


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


def weighed(model: Model, ranked: Sequence[Suspicion]) -> list[Suspicion]:
    """The faults worth weighing with log odds by the fit about what they say was meant, the likeliest first."""
    found = [_taken_out(model, fault) for fault in _candidates(model, ranked)]
    best = max((fault.log_odds for fault in found), default=0.0)
    near = [fault for fault in found if fault.log_odds > best - NEAR]
    found = [_taken_out(model, _sized_again(model, fault)) for fault in near]
    found += _without_size(model, found)
    return sorted(found, key=lambda fault: -fault.log_odds)


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
    for leader in [fault for fault in ranked if fault.cause is Cause.SLIP][:LEADERS]:
        near = _points_like(model, leader)
        for fault in ranked:
            if fault.cause is Cause.SLIP and fault.readings[0][0] in near:
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


def _taken_out(model: Model, fault: Suspicion) -> Suspicion:
    """A fault by the evidence of the frames without it."""
    there = Model(remedied(model.frames, fault), [*model.accepted, fault])
    # Its prior is about no fault, and `there` has it about the size that was taken out.
    prior = float(np.log(fault.cause.value)) - 0.5 * float(np.square(fault.size / fault.spread).sum())
    return replace(fault, log_odds=there.evidence - model.evidence + prior)


def _sized_again(model: Model, fault: Suspicion) -> Suspicion:
    """A fault with its size found about what would then have been read."""
    bare = Model(remedied(model.frames, fault), model.accepted)
    (again,) = judged(bare, [fault])
    return replace(fault, size=fault.size + again.size)


def _without_size(model: Model, found: Sequence[Suspicion]) -> Iterator[Suspicion]:
    """At the points most suspected: two readings exchanged, the other side of the nails."""
    slips = sorted((fault for fault in found if fault.cause is Cause.SLIP), key=lambda fault: -fault.log_odds)
    for i in list(dict.fromkeys(fault.readings[0][0] for fault in slips))[:TURNED_POINTS]:
        spot = model.frames.spots[i]
        a, b, *rest = spot.values
        tried = [(Cause.EXCHANGED, replace(spot, values=(b, a, *rest)))] if abs(a - b) > APART else []
        if spot.sign and not rest:
            tried.append((Cause.WRONG_SIDE, replace(spot, sign=-spot.sign)))
        for cause, other in tried:
            fault = Suspicion(cause=cause, readings=((i, 0), (i, 1)), instead={i: other})
            evidence = Model(remedied(model.frames, fault), model.accepted).evidence
            yield replace(fault, log_odds=evidence - model.evidence + float(np.log(cause.value)))
