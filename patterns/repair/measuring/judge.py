"""Which readings and references are at fault: the likeliest fault is taken out, and what is left is judged anew.

A fault that has rivals is not taken out: what is to be read then, so that they can be told apart, is asked for.
"""

from __future__ import annotations

from dataclasses import dataclass

from patterns.repair.measuring.equations import Frames
from patterns.repair.measuring.faults import Suspicion
from patterns.repair.measuring.model import Model
from patterns.repair.measuring.score import judged
from patterns.repair.measuring.stories import Stories
from patterns.repair.measuring.weigh import remedied, weighed

__all__ = ["Named", "Verdict", "judge"]

SURE = 0.0  # log odds from which there is a fault
LOOK_AT = -1.0  # log odds of the linear fit from which faults are weighed anew
RIVAL = 3.5  # log odds by which another may be less likely and be a rival
MOST = 5  # faults that are named


@dataclass(frozen=True, slots=True, eq=False)
class Named:
    """The likeliest fault, those that explain the readings nearly as well, and the model that has them all."""

    fault: Suspicion
    rivals: tuple[Suspicion, ...]
    model: Model


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


def judge(frames: Frames, stories: Stories | None = None) -> Verdict:
    """Take out fault after fault while one is likely and alone.

    Args:
        stories: of slips, to break ties; without them readings are weighed by their fit alone.
    """
    named: list[Named] = []
    wide: list[Suspicion] = []
    while True:
        model = Model(frames, wide)
        ranked = judged(model, model.suspicions())
        odd = bool(model.folds) or model.size_odds < 0.0
        if ranked and (odd or ranked[0].log_odds > LOOK_AT):
            ranked = weighed(model, ranked, notation=stories.notation if stories else None)
        if not ranked or ranked[0].log_odds < SURE or len(named) == MOST:
            return Verdict(model, tuple(named), False)
        if stories is not None:
            ranked = sorted((stories.believed(frames, f) for f in ranked), key=lambda f: -f.log_odds)
        best = ranked[0]
        rivals = tuple(fault for fault in ranked[1:] if fault.log_odds > best.log_odds - RIVAL)
        named.append(Named(best, rivals, model))
        at_one_point = bool(_points(best)) and all(_points(rival) == _points(best) for rival in rivals)
        if rivals and not at_one_point:
            return Verdict(model, tuple(named), True)
        # Of one point in doubt no reading that may be wrong is used: whichever it is, the edge is the same.
        frames = remedied(frames, best)
        wide += [fault for fault in (best, *rivals) if fault.columns.size]


def _points(fault: Suspicion) -> set[int]:
    """The point at fault; empty where several are, or a reference."""
    points = {i for i, _ in fault.readings}
    return points if len(points) == 1 else set()
