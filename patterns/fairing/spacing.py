"""The stations' spacing as drawn: nearly always even, with half stations at the ends."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from patterns.hull.planes import FloatArray

__all__ = ["LEAST_EVEN", "uneven_station"]

LEAST_EVEN = 5  # stations on an even spacing without which it is no rule
MOST = 60  # stations; no boat drawn on paper has more
HALVES = 2  # stations at each end that may be half stations
NEAR = 0.25  # pitches within which two places are one
CLOSE = 0.75  # steps within which a station lies on the spacing
OUT = 3.0  # steps in which the positions are written, and
FAR = 6.0  # mm, by which a station must break the spacing


def uneven_station(x: FloatArray, *, step: float) -> tuple[int, float] | None:
    """The one station that breaks an otherwise even spacing, and where it would be, mm aft.

    Only a station between others can break it: at the ends a spacing of its own is usual.  None where the
    spacing is even, or uneven in more than one place, or where the station is one more between two whole ones.

    Args:
        x: shape (n,), the positions, mm aft, rising.
        step: the step in which they are written, mm.
    """
    n = len(x)
    if not LEAST_EVEN < n <= MOST or _grid(x, range(n), step) is not None:
        return None
    found = []
    for i in range(1, n - 1):
        others = [k for k in range(n) if k != i]
        grid = _grid(x, others, step)
        if grid is None:
            continue
        start, pitch = grid
        before, here, after = ((float(x[k]) - start) / pitch for k in (i - 1, i, i + 1))
        slots = _slots(before, after, 1.0)
        if not slots and (i <= HALVES or i >= n - 1 - HALVES):
            slots = [slot for slot in _slots(before, after, 0.5) if abs(slot - here) < NEAR]
        if len(slots) == 1:
            wanted = start + pitch * slots[0]
            if abs(wanted - float(x[i])) >= max(OUT * step, FAR):
                found.append((i, wanted))
    return found[0] if len(found) == 1 else None


def _slots(before: float, after: float, unit: float) -> list[float]:
    """The places of an even spacing between two stations, not close to either, in pitches."""
    places = unit * np.arange(np.floor(before / unit), np.ceil(after / unit) + 1)
    return [float(place) for place in places if min(place - before, after - place) > NEAR]


def _grid(x: FloatArray, which: Sequence[int], step: float) -> tuple[float, float] | None:
    """The start and pitch of the even spacing on which all of some stations lie, mm; None where they do not."""
    at = x[list(which)]
    inner = at[HALVES:-HALVES] if len(at) > 2 * HALVES + 2 else at
    pitches = {float(np.median(np.diff(part))) for part in (at, inner)}
    fitted = (_fitted(at, pitch, step) for pitch in sorted(pitches, reverse=True) if pitch > 4.0 * step)
    return next((grid for grid in fitted if grid is not None), None)


def _fitted(at: FloatArray, pitch: float, step: float) -> tuple[float, float] | None:
    """The even spacing near a pitch on which stations lie, those at the ends perhaps on its halves."""
    start = float(at[len(at) // 2])
    half = np.zeros(len(at), dtype=bool)
    half[:HALVES] = half[-HALVES:] = True
    for _ in range(3):
        place = (at - start) / pitch
        slot = np.where(half, np.round(2.0 * place) / 2.0, np.round(place))
        if np.any(np.diff(slot) <= 0.0):
            return None
        pitch, start = (float(v) for v in np.polyfit(slot, at, 1))
    whole = int((slot == np.round(slot)).sum())
    pairs = int((np.diff(slot) == 1.0).sum())
    lies = np.abs(at - start - pitch * slot).max() <= CLOSE * step
    return (start, pitch) if lies and whole >= LEAST_EVEN and pairs >= LEAST_EVEN // 2 else None
