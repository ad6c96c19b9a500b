"""Which offset of a line is wrong, and by which slip: every tale is set against every other.

The tales are: every offset is good; this one is anything at all; this one was typed by this usual slip and
that value was meant.  Each is as likely as the offsets are by it (over all possible lines) times how usual it
is.  So an inch too much, which makes the line fair when it is taken off exactly, is believed sooner than some
odd value, and at the right one of two neighbours.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from patterns.fairing.evenness import NOISE
from patterns.fairing.possible import Possible, logsum, possible
from patterns.fairing.slips import Slip, likeliest, usual_slips
from patterns.hull.planes import FloatArray
from patterns.measure import Notation

__all__ = ["Blame", "Hint", "blamed"]

# How likely one offset is wrong beside all being right; set so that good rows are seldom doubted.
SELDOM = 0.1
USUAL_SLIP = 0.6  # of all wrong offsets that are one of the usual slips
# What the commonness of all of an offset's usual slips comes to, about (common practice, no source).
SLIPS = 12.0
FAR = 2.5  # tolerances by which an offset must be off to be wrong
LEAST = 6  # offsets; with fewer there is too little to go by
MOST = 4  # wrong offsets that are looked for in one line; with more, the whole line is doubtful
EITHER = 3.0  # natural logarithm of the odds within which another offset may be the wrong one instead
NAMED = 4.0  # and within which a usual slip is named beside some odd value


@dataclass(frozen=True, slots=True, kw_only=True)
class Hint:
    """What another part of the table says of an offset.

    Attributes:
        index: which offset.
        value: what it should be, mm.
        unsure: standard deviation of that, mm.
    """

    index: int
    value: float
    unsure: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Blame:
    """One offset that is likelier wrong than right.

    Attributes:
        index: which offset.
        wanted: where the batten wants it, mm.
        unsure: by how much a good offset would differ from that (standard deviation), mm.
        odds: natural logarithm of wrong over right.
        slips: the slips that explain it, the likeliest first.
        instead: another offset that may be the wrong one instead.
    """

    index: int
    wanted: float
    unsure: float
    odds: float
    slips: tuple[Slip, ...]
    instead: Blame | None = None


Elsewhere = Callable[[int], Mapping[str, float]]


def blamed(
    x: FloatArray,
    y: FloatArray,
    *,
    tolerance: float,
    notation: Notation,
    elsewhere: Elsewhere | None = None,
    knuckles: Sequence[int] = (),
    blunt: bool = False,
    hints: Sequence[Hint] = (),
) -> tuple[Blame, ...]:
    """The offsets of a line in one view that are likelier wrong than right, the surest first.

    The surest is left out, and the rest are looked at again.

    Args:
        x, y: shape (n,), places and offsets as typed, mm.
        tolerance: how far a good offset may be off, mm, > 0.
        elsewhere: for an offset, the values of other cells that may have got into it (see `explain`).
        knuckles: indices at which the line turns.
        blunt: whether the line may meet its fore end bluntly.
        hints: what else is known of single offsets.
    """
    row = _Row(
        x=x,
        y=y,
        tolerance=tolerance,
        notation=notation,
        elsewhere=elsewhere,
        knuckles=knuckles,
        blunt=blunt,
    )
    left, hints = list(range(len(x))), list(hints)
    found: list[Blame] = []
    while len(found) < MOST and len(left) - len(set(knuckles) & set(left)) >= LEAST:
        tales = _tales(row, left, hints)
        worst = tales[0]
        others = [tale for tale in tales[1:] if tale.index >= 0 and tale.odds > worst.odds - EITHER]
        # Where one of two is wrong, and it cannot be known which, neither need be likelier wrong than right.
        if np.logaddexp.reduce([worst.odds, *(tale.odds for tale in others[:1])]) <= 0.0:
            break
        if worst.index < 0:  # what was hinted at is itself wrong: the fault lies elsewhere
            del hints[-1 - worst.index]
            continue
        if abs(worst.wanted - float(y[worst.index])) <= FAR * tolerance:
            break
        found.append(replace(worst, instead=others[0] if others else None))
        left.remove(worst.index)
        hints = [hint for hint in hints if hint.index != worst.index]
    return tuple(found)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Row:
    """A line in one view as it was typed; see `blamed`."""

    x: FloatArray
    y: FloatArray
    tolerance: float
    notation: Notation
    elsewhere: Elsewhere | None
    knuckles: Sequence[int]
    blunt: bool


def _tales(row: _Row, left: Sequence[int], hints: Sequence[Hint]) -> list[Blame]:
    """What could be wrong, the likeliest first: one of the offsets that are left, or a hint (index -1, -2, ...)."""
    rows = [*left, *(hint.index for hint in hints)]
    noise = [*[row.tolerance * NOISE] * len(left), *(hint.unsure for hint in hints)]
    values = np.concatenate([row.y[list(left)], [hint.value for hint in hints]])
    order = sorted(range(len(rows)), key=lambda k: (row.x[rows[k]], k))
    lines = possible(
        row.x[[rows[k] for k in order]],
        values[order],
        noise=np.array(noise)[order],
        knuckles=[i for i, k in enumerate(order) if k < len(left) and left[k] in row.knuckles],
        blunt=row.blunt,
    )
    right = float(logsum(lines.evidence))
    reach = max(float(np.ptp(row.y)), 10.0 * row.tolerance)
    tales = []
    for i, k in enumerate(order):
        index = rows[k] if k < len(left) else len(left) - k - 1

        def slips(index: int = index) -> Sequence[Slip]:
            strays = row.elsewhere(index) if row.elsewhere and index >= 0 else None
            return usual_slips(float(row.y[index]), row.notation, strays) if index >= 0 else ()

        tale = _tale(lines, i, slips, tolerance=row.tolerance, reach=reach, right=right)
        tales.append(replace(tale, index=index))
    return sorted(tales, key=lambda tale: -tale.odds)


def _tale(
    lines: Possible,
    i: int,
    usual: Callable[[], Sequence[Slip]],
    *,
    tolerance: float,
    reach: float,
    right: float,
) -> Blame:
    """The odds that one offset is wrong, and where it would have been right.

    Args:
        usual: its usual slips; of most offsets they are never asked for.
    """
    typed = float(lines.y[i])
    mean, spread = lines.without(i)
    without = lines.evidence + 0.5 * (typed - mean) ** 2 / spread  # as if it lay where the others want it
    most = float(logsum(without) + np.log(SELDOM)) - right
    if most < -EITHER:  # no slip, however usual, would make it likely
        return Blame(index=i, wanted=typed, unsure=tolerance, odds=most, slips=())
    kept = without > without.max() - 15.0
    mean, spread, without = mean[kept], spread[kept], without[kept]
    weight = np.exp(without + 0.5 * np.log(spread) - (without + 0.5 * np.log(spread)).max())
    weight /= weight.sum()
    wanted = float(weight @ mean)
    unsure = float(np.sqrt(weight @ (spread + (mean - wanted) ** 2)))
    slips = usual()
    anything = float(logsum(without + 0.5 * np.log(2.0 * np.pi * spread)))
    scores = [anything + np.log(1.0 - USUAL_SLIP if slips else 1.0) - np.log(2.0 * reach)]
    slips = [slip for slip in slips if abs(slip.meant - typed) > FAR * tolerance]
    scored: list[tuple[float, Slip]] = []
    if slips:
        meant = np.array([slip.meant for slip in slips])
        common = np.array([slip.common for slip in slips])
        fit = logsum(without[:, None] - 0.5 * (meant - mean[:, None]) ** 2 / spread[:, None])
        scored = list(zip((fit + np.log(USUAL_SLIP * common / SLIPS)).tolist(), slips, strict=True))
        scores += [score for score, _ in scored]
    whole = float(logsum(np.array(scores)))
    # No slip is named where some odd value is much likelier than any usual slip.
    named = [pair for pair in scored if pair[0] > scores[0] - NAMED]
    return Blame(
        index=i,
        wanted=wanted,
        unsure=unsure,
        odds=whole + float(np.log(SELDOM)) - right,
        slips=likeliest(named),
    )
