"""Doubtful offsets of a round bilge: lifted one at a time, each time the one that strains the surface most."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import numpy as np

from patterns.fairing.cross import CrossFaired
from patterns.fairing.girth_start import Measured
from patterns.fairing.slips import explain
from patterns.fairing.suspects import Suspect
from patterns.hull.girth import place_on

if TYPE_CHECKING:
    from patterns.table.offsets import Offsets

__all__ = ["cross_suspects"]

SURE = 5.0  # deviations of a lifted offset from the surface, beyond which it is doubted
FAR = 2.5  # allowed moves that it must be off besides
FINEST = 0.25  # of the allowed move; an offset's usual error is never taken as less
GROSS = 5.0  # mm, and times: how far off a first surface, beside the usual offset, a gross slip lies
MOST = 6  # offsets that are lifted; a table with more is past naming them


def cross_suspects(
    found: Measured,
    faired: CrossFaired,
    refit: Callable[[Measured], CrossFaired],
    offsets: Offsets,
    *,
    allow: float,
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
        deviation = left.deviation
        doubtful = np.abs(deviation) * (np.abs(left.spring) > FAR)
        worst = int(doubtful.argmax())
        if left.gross.max() > GROSS * max(float(np.median(left.gross)), GROSS):
            worst = int(left.gross.argmax())  # so far off that everything near it strains too
        elif doubtful[worst] < SURE:
            break
        lifted[kept[worst]] = float(deviation[worst])
        left = refit(found.without(lifted))
        kept = [i for i in range(len(found.values)) if i not in lifted]
    if not lifted:
        return []
    mine = list(lifted)
    r = left.girth.nearest(found.points[mine])[1]
    wanted = place_on(left.girth, found.points[mine, 0], r, found.start[mine], found.along[mine])
    suspects = []
    # Beside a gross slip its neighbours strain too; the surface without any of them clears those that are good.
    guilty = [
        pair for pair in zip(mine, wanted, strict=True) if abs(pair[1] - found.values[pair[0]]) > FAR * allow
    ]
    for i, value in sorted(guilty, key=lambda pair: -abs(pair[1] - found.values[pair[0]])):
        slips = explain(
            float(found.values[i]), float(value), unsure=0.5 * abs(float(value - found.values[i])) / SURE,
            notation=offsets.notation,
        )  # fmt: skip
        suspects.append(
            Suspect(
                line=found.names[i],
                view=found.views[i],
                label=found.labels[i],
                offset=float(found.values[i]),
                wanted=float(value),
                deviation=lifted[i],
                slip=slips[0].words if slips else "",
                meant=slips[0].meant if slips else None,
                other_slips=tuple(slip.words for slip in slips[1:3]),
                notation=offsets.notation,
                place=found.places[i],
            )
        )
    return suspects
