"""Bevels as readings: faired along the edge, alike on both sides, and each open to doubt.

Unknown is the departure from square along every stretch, in degrees: a level that a side's stretches share, one of
each stretch, an even turn, and what else changes along it (a Matern-3/2 process; C. E. Rasmussen and C. K. I.
Williams, Gaussian Processes for Machine Learning (2006), equation 4.17, from memory).  Readings are the
gauge's, and what the outlines of the frames on either side say at places along it.  A slip is a wide column, a
reversed sense a change of signs; both are scored by how much better all that was read fits then.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from enum import Enum
from functools import cached_property

import numpy as np

from patterns.hull.planes import FloatArray
from patterns.repair.places import Side

__all__ = ["BevelFault", "BevelFit", "BevelReading", "ReadBy", "fitted_bevels"]

LEVEL, OWN = 15.0, 8.0  # degrees; standard deviations: of a side's level, and of a stretch's own
TURN, ALONG = (
    4.0,
    2.0,
)  # of what changes evenly from the middle of a stretch to its end, and otherwise along it
UNLIKE, UNLIKE_ALONG = (
    0.7,
    0.4,
)  # of half the difference of the sides, and of what changes of it along a stretch
REACH = 0.6  # part of a stretch's length over which a bevel changes
GAUGE, ROUNDED = 0.5, 0.5  # of a reading by a gauge, and the step to which it is read
OUTLINE = 0.35  # of what outlines say at a place
BAY, BOTH = 1.2, 0.5  # of all that they say, with a neighbour on one side alone, and on both
SLIP, SLIPS = 8.0, 4e-3  # of a slip, and how likely each is beforehand
OFF = 1e-3  # how likely it is that all readings of a stretch, a side or a source are off alike
REVERSED = 2e-3  # of a reversed sense: of one reading, or of all of a stretch, a side or a source
SURE, RIVAL = 1.5, 3.0  # log odds from which there is a fault, and by which a rival may be less likely
MOST = 3


class ReadBy(Enum):
    """What a bevel was read by."""

    GAUGE = "the gauge"
    OUTLINES = "the neighbouring frames"


@dataclass(frozen=True, slots=True, kw_only=True)
class BevelReading:
    """A departure from square at one place.

    Attributes:
        share: of the stretch's length.
        length: of the stretch, mm.
        degrees: less than 0 under, more standing, through the old wood away from the one who measured.
        alone: by outlines: one frame alone says it.
        point: the point at which a gauge was held, empty else.
    """

    side: Side
    stretch: str
    share: float
    length: float
    degrees: float
    means: ReadBy
    alone: bool = False
    point: str = ""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BevelFault:
    """Readings that are wrong: by a slip of some degrees, or with their sense reversed.

    Attributes:
        readings: their indices.
        scope: what they are: ``reading``, ``stretch``, ``side`` or ``all``.
        size: of a slip, degrees; None where the sense is reversed.
    """

    readings: tuple[int, ...]
    scope: str
    size: float | None
    log_odds: float


@dataclass(frozen=True, kw_only=True, eq=False)
class BevelFit:
    """All bevels of a frame together.

    Attributes:
        readings: with the signs that are taken as right.
        open: indices of readings that are off alike by what is not known.
        found: each fault with its rivals, in the order in which they were found.
        as_read: the readings that those count, where some were left out since.
    """

    readings: tuple[BevelReading, ...]
    open: tuple[tuple[int, ...], ...] = ()
    found: tuple[tuple[BevelFault, ...], ...] = field(default=())
    as_read: tuple[BevelReading, ...] = ()

    @cached_property
    def inverse(self) -> FloatArray:
        """Of the readings' covariances, (n, n)."""
        return np.asarray(np.linalg.inv(self._covariance()))

    def _covariance(self) -> FloatArray:
        own = self.readings
        found = _prior(own, own)
        step = ROUNDED / np.sqrt(12.0)
        for i, one in enumerate(own):
            found[i, i] += GAUGE**2 + step**2 if one.means is ReadBy.GAUGE else OUTLINE**2
            for j, other in enumerate(own):
                if one.means is other.means is ReadBy.OUTLINES:
                    found[i, j] += BAY**2 if one.alone and other.alone else BOTH**2
        for own_slip in self.open:
            found[np.ix_(own_slip, own_slip)] += SLIP**2
        return found

    def at(
        self, side: Side, stretch: str, shares: FloatArray, length: float
    ) -> tuple[FloatArray, FloatArray]:
        """The departure from square at shares of a stretch, degrees, (n,), and its standard deviation."""
        wanted = [
            BevelReading(
                side=side, stretch=stretch, share=float(u), length=length, degrees=0.0, means=ReadBy.GAUGE
            )
            for u in shares
        ]
        own = np.diag(_prior(wanted, wanted))
        if not self.readings:
            return np.zeros(len(wanted)), np.sqrt(own)
        across = _prior(wanted, self.readings)
        mean = across @ self.inverse @ np.array([one.degrees for one in self.readings])
        return mean, np.sqrt(np.maximum(own - np.sum((across @ self.inverse) * across, axis=1), 0.0))

    def faults(self) -> list[BevelFault]:
        """Every fault, judged, the likeliest first."""
        read = np.array([one.degrees for one in self.readings])
        solved = self.inverse @ read
        found = []
        for scope, chosen in self._scopes():
            at = list(chosen)
            strength = float(self.inverse[np.ix_(at, at)].sum()) + SLIP**-2
            pull = float(solved[at].sum())
            odds = 0.5 * pull**2 / strength - 0.5 * np.log(strength * SLIP**2)
            odds += np.log(SLIPS if scope == "reading" else OFF)
            found.append(BevelFault(readings=chosen, scope=scope, size=pull / strength, log_odds=float(odds)))
            signs = np.where(np.isin(np.arange(len(read)), chosen), -1.0, 1.0)
            other = signs * read
            odds = 0.5 * (read @ solved - other @ self.inverse @ other) + np.log(REVERSED)
            found.append(BevelFault(readings=chosen, scope=scope, size=None, log_odds=float(odds)))
        return sorted(found, key=lambda fault: -fault.log_odds)

    def _scopes(self) -> Iterator[tuple[str, tuple[int, ...]]]:
        """Readings whose sense may be reversed together."""
        own = self.readings
        gauged = [i for i, one in enumerate(own) if one.means is ReadBy.GAUGE]
        for i in gauged:
            yield "reading", (i,)
        seen: set[tuple[int, ...]] = {(i,) for i in gauged}
        keys: dict[str, list[tuple[str, ...]]] = {
            "stretch": [(own[i].side, own[i].stretch) for i in gauged],
            "side": [(own[i].side,) for i in gauged],
        }
        for scope, names in keys.items():
            for name in dict.fromkeys(names):
                chosen = tuple(i for i, one in zip(gauged, names, strict=True) if one == name)
                if chosen not in seen:
                    seen.add(chosen)
                    yield scope, chosen
        for means in ReadBy:
            chosen = tuple(i for i, one in enumerate(own) if one.means is means)
            if chosen and len(chosen) < len(own):
                yield "all", chosen

    def proved(self) -> bool:
        """Whether gauge and outlines agree in their sense, so that neither can be reversed."""
        faults = self.faults()
        odds = [fault.log_odds for fault in faults if fault.scope == "all" and fault.size is None]
        return bool(odds) and max(odds) < -RIVAL + np.log(REVERSED)


def _prior(one: Sequence[BevelReading], two: Sequence[BevelReading]) -> FloatArray:
    """Covariances of the departures at the places of readings, degrees squared, (n, m)."""
    share = np.subtract.outer([r.share for r in one], [r.share for r in two])
    far = np.sqrt(3.0) * np.abs(share) / REACH
    along = (1.0 + far) * np.exp(-far)
    same = np.equal.outer([r.stretch for r in one], [r.stretch for r in two]).astype(float)
    sides = np.where(np.equal.outer([r.side for r in one], [r.side for r in two]), 1.0, -1.0)
    even = np.outer([2.0 * r.share - 1.0 for r in one], [2.0 * r.share - 1.0 for r in two])
    shared = LEVEL**2 + same * (OWN**2 + TURN**2 * even + ALONG**2 * along)
    return np.asarray(shared + sides * (UNLIKE**2 + same * UNLIKE_ALONG**2 * along))


def _each_by_itself(fit: BevelFit) -> BevelFit:
    """Where gauge and outlines disagree for all that is known: the gauge where it was held, outlines elsewhere."""
    gauged = {(one.side, one.stretch) for one in fit.readings if one.means is ReadBy.GAUGE}
    own = [one.means is ReadBy.GAUGE or (one.side, one.stretch) not in gauged for one in fit.readings]
    if all(own):
        return fit
    new = np.cumsum(own) - 1
    still = tuple(tuple(int(new[i]) for i in group if own[i]) for group in fit.open)
    readings = tuple(one for one, kept in zip(fit.readings, own, strict=True) if kept)
    return replace(
        fit, readings=readings, open=tuple(group for group in still if group), as_read=fit.readings
    )


def fitted_bevels(readings: Sequence[BevelReading]) -> BevelFit:
    """The bevels, with single slips left out and reversed senses put right where nothing else explains them."""
    fit = BevelFit(readings=tuple(readings))
    while fit.readings and len(fit.found) < MOST:
        faults = fit.faults()
        if not faults or faults[0].log_odds < SURE:
            break
        best = faults[0]
        rivals = [fault for fault in faults[1:] if fault.log_odds > best.log_odds - RIVAL]
        found = (*fit.found, (best, *rivals))
        one_reading = all(fault.readings == best.readings for fault in rivals) and len(best.readings) == 1
        if rivals and not one_reading:
            return _each_by_itself(replace(fit, found=found))
        if best.size is not None or (one_reading and rivals):
            fit = replace(fit, open=(*fit.open, best.readings), found=found)
            continue
        turned = tuple(
            replace(one, degrees=-one.degrees) if i in best.readings else one
            for i, one in enumerate(fit.readings)
        )
        fit = replace(fit, readings=turned, found=found)
    return fit
