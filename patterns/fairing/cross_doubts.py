"""Doubtful offsets of a round bilge: lifted one at a time, each time the one that strains the surface most."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING

import numpy as np

from patterns.fairing.cross import CrossFaired
from patterns.fairing.girth_start import PlacedOffsets
from patterns.fairing.slips import explain
from patterns.fairing.stiffness import STRETCHES
from patterns.fairing.suspects import Suspect
from patterns.hull.girth import place_on
from patterns.hull.planes import FloatArray

if TYPE_CHECKING:
    from patterns.table.offsets import Offsets

__all__ = ["cross_suspects", "doubtful"]

SURE = 4.5  # deviations of a lifted offset from the surface, beyond which it is doubted
FAR = 2.5  # allowed moves that it must be off besides
GREAT, LESS_SURE = 12.7, 3.2  # mm off, and the deviations that do then: no rounding explains half an inch
IN_BOW = 1.5  # times as sure: boats are less even there than their battens' loads make believe
GROSS = 5.0  # mm, and times: how far off a first surface, beside the usual offset, a gross slip lies
MOST = 6  # offsets that are lifted; a table with more is past naming them
RIVALS, RIVAL = 3, 0.7  # offsets that may each be the cause, and the part of the greatest deviation they have
CLEAR = 3.0  # deviations by which an offset must miss the surface without any of those that were lifted

Refit = Callable[[PlacedOffsets], CrossFaired]


def cross_suspects(
    found: PlacedOffsets, faired: CrossFaired, refit: Refit, offsets: Offsets, *, allow: float
) -> list[Suspect]:
    """The offsets that the surface through all others contradicts, the most doubtful first.

    Args:
        found, faired: all offsets, and the surface through them.
        refit: the surface through fewer.
        allow: the allowed move, mm.
    """
    lifted: dict[int, float] = {}
    left, kept = faired, list(range(len(found.values)))
    while len(lifted) < MOST and len(kept) > 1:
        rivals = _rivals(left)
        if not rivals:
            break
        tried = [refit(found.without({*lifted, kept[i]})) for i in rivals]
        # The cause is the one without which the least is left to doubt.
        best = int(np.argmin([doubtful(other).max(initial=0.0) for other in tried]))
        lifted[kept[rivals[best]]] = float(left.deviation[rivals[best]])
        left = tried[best]
        kept = [i for i in range(len(found.values)) if i not in lifted]
    return _named(found, left, lifted, offsets, allow=allow) if lifted else []


def doubtful(faired: CrossFaired) -> FloatArray:
    """How much each offset is doubted, shape (n,): 1 is the limit."""
    deviation, off = np.abs(faired.deviation), np.abs(faired.spring)
    sure = np.where(off * faired.tolerance > GREAT, LESS_SURE, SURE)
    sure = sure * np.where(faired.p < STRETCHES[0], IN_BOW, 1.0)
    return np.asarray(deviation / sure * (off > FAR))


def _rivals(faired: CrossFaired) -> list[int]:
    """The offsets one of which is the next to be lifted; none where nothing is doubted."""
    much = doubtful(faired)
    worst = int(much.argmax())
    if much[worst] < 1.0:
        return []
    if faired.gross.max() > GROSS * max(float(np.median(faired.gross)), GROSS):
        return [int(faired.gross.argmax())]  # so far off that everything near it strains too
    order = np.argsort(-much)[:RIVALS]
    return [int(i) for i in order if much[i] >= max(RIVAL * much[worst], 1.0)]


def _named(
    found: PlacedOffsets, left: CrossFaired, lifted: Mapping[int, float], offsets: Offsets, *, allow: float
) -> list[Suspect]:
    """The lifted offsets that miss the surface through the others, by how surely they do.

    Beside a gross slip its neighbours strain too; the surface without any of them clears those that are good.
    """
    mine = list(lifted)
    p, r = left.girth.nearest(found.points[mine])
    wanted = place_on(left.girth, found.points[mine, 0], r, found.start[mine], found.along[mine])
    unsure = np.hypot(left.unsure_along(p, r, found.along[mine]), allow * left.noise)
    off = wanted - found.values[mine]
    suspects = []
    for k in np.argsort(-np.abs(off) / unsure):
        i = mine[k]
        if abs(off[k]) <= max(FAR * allow, CLEAR * unsure[k]):
            continue
        slips = explain(
            float(found.values[i]), float(wanted[k]), unsure=float(unsure[k]), notation=offsets.notation
        )
        suspects.append(
            Suspect(
                line=found.names[i],
                view=found.views[i],
                label=found.labels[i],
                offset=float(found.values[i]),
                wanted=float(wanted[k]),
                deviation=lifted[i],
                slip=slips[0].words if slips else "",
                meant=slips[0].meant if slips else None,
                other_slips=tuple(slip.words for slip in slips[1:3]),
                notation=offsets.notation,
                place=found.places[i],
            )
        )
    return suspects
