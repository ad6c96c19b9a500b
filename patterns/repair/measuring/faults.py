"""Faults of measuring as hypotheses: each is a few columns by which it would change the readings.

Single readings, runs of readings of one kind, and the place or the turn of what was measured from: for one side of
one frame, for both, and for all frames.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from enum import Enum

import numpy as np

from patterns.hull.planes import FloatArray
from patterns.measure import Notation
from patterns.repair.measuring.equations import Equations, Frames
from patterns.repair.measuring.spots import ReferenceKey, Spot, predicted

__all__ = ["MOVED", "SLIP", "Cause", "Suspicion", "place_columns", "suspicions"]

SLIP, MOVED, TURNED = (
    30.0,
    25.0,
    0.015,
)  # standard deviations: of a slip and a misplacement, mm; of a turn, radians
LONGEST_RUN = 6


class Cause(Enum):
    """What went wrong, with how likely each single one is beforehand."""

    SLIP = 4e-3
    RUN = 5e-4
    PLACE = 2e-2
    TURN = 2e-3
    WRONG_SIDE = 2.1e-3
    EXCHANGED = 1e-3
    ROWS = 1.1e-3
    UNIT = 5e-3


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Suspicion:
    """One fault.

    Attributes:
        readings: the spot and the place in its values of each reading at fault; empty for a reference.
        refs: the references that are misplaced or turned together, with the sign of their outboard direction.
        columns: (readings, q), by how much each reading is changed by one mm, or one radian.
        spread: (q,), standard deviations of the fault's size beforehand.
        size: (q,), its likeliest size.
        log_odds: how likely it is beside no fault (logarithm).
        instead: of changes without a size: the spots that would be right, by their index.
        read_as: the notation in which the figures would be right.
    """

    cause: Cause
    readings: tuple[tuple[int, int], ...] = ()
    refs: tuple[tuple[ReferenceKey, float], ...] = ()
    columns: FloatArray = field(default_factory=lambda: np.zeros((0, 0)))
    spread: FloatArray = field(default_factory=lambda: np.zeros(0))
    size: FloatArray = field(default_factory=lambda: np.zeros(0))
    log_odds: float = -np.inf
    instead: Mapping[int, Spot] = field(default_factory=dict)
    read_as: Notation | None = None


def place_columns(frames: Frames, rows: Equations) -> dict[ReferenceKey, FloatArray]:
    """By each reference: what its out and up, mm, and its turn, radians, do to the readings, (readings, 3)."""
    found: dict[ReferenceKey, FloatArray] = {}
    a = 0
    for spot, at in zip(frames.spots, rows.at, strict=True):
        for key, own in zip(spot.keys, predicted(spot, frames.refs, at)[2], strict=True):
            columns = found.setdefault(key, np.zeros((len(rows.readings), 3)))
            columns[a : a + len(own)] += own
        a += len(spot.values)
    return found


def suspicions(frames: Frames, rows: Equations) -> list[Suspicion]:
    """Every fault that is columns, not yet judged."""
    eye = np.eye(len(rows.readings))
    found = [
        Suspicion(cause=Cause.SLIP, readings=(reading,), columns=eye[:, [r]], spread=np.array([SLIP]))
        for r, reading in enumerate(rows.readings)
    ]
    columns = place_columns(frames, rows)
    for name in dict.fromkeys(key[0] for key in columns):
        found += _of_reference(frames, {key: own for key, own in columns.items() if key[0] == name})
    for run in _runs(frames, rows):
        found.append(
            Suspicion(
                cause=Cause.RUN,
                readings=tuple(rows.readings[r] for r in run),
                columns=eye[:, run].sum(axis=1)[:, None],
                spread=np.array([SLIP]),
            )
        )
    return found


def _of_reference(frames: Frames, own: Mapping[ReferenceKey, FloatArray]) -> Iterator[Suspicion]:
    """One reference misplaced or turned: on a side of a frame, on both, in all frames."""
    scopes = {(key,) for key in own} | {tuple(own)}
    for i in (1, 2):
        scopes |= {tuple(key for key in own if key[i] == value) for value in {key[i] for key in own}}
    for scope in sorted(scopes):
        both = len({key[2] for key in scope}) > 1
        shared = frames.refs[scope[0]].shared
        mirrored = {key: -1.0 if both and key[2] != scope[0][2] else 1.0 for key in scope}
        for signs in _ways(scope, mirrored, shared):
            flip = {key: np.array([signs[key], 1.0]) for key in scope}
            yield Suspicion(
                cause=Cause.PLACE,
                refs=tuple(signs.items()),
                columns=np.sum([own[key][:, :2] * flip[key] for key in scope], axis=0),
                spread=np.full(2, MOVED),
            )
        turn = np.sum([own[key][:, 2:] * mirrored[key] for key in scope], axis=0)
        if np.abs(turn).max() > 0.0:
            yield Suspicion(
                cause=Cause.TURN, refs=tuple(mirrored.items()), columns=turn, spread=np.array([TURNED])
            )


def _ways(
    scope: tuple[ReferenceKey, ...], mirrored: dict[ReferenceKey, float], shared: bool
) -> Iterator[dict[ReferenceKey, float]]:
    """How the sides' places move together: one thing moves one way; what is alike on both sides mirror-wise."""
    both = any(sign < 0.0 for sign in mirrored.values())
    if not shared or not both:
        yield dict.fromkeys(scope, 1.0)
    if both and (shared or scope[0][0] == ""):
        yield mirrored


def _runs(frames: Frames, rows: Equations) -> Iterator[list[int]]:
    """Readings of one kind that follow each other on one side, not all of them."""
    chains: dict[tuple[object, ...], list[int]] = {}
    for r, (i, k) in enumerate(rows.readings):
        spot = frames.spots[i]
        chains.setdefault((spot.frame, spot.side, spot.sources, k), []).append(r)
    for (_, _, sources, _), own in chains.items():
        for a in range(len(own)):
            for b in range(a + 2, min(a + LONGEST_RUN, len(own)) + 1):
                # All along a straight edge it is the straight edge that is misplaced.
                if b - a < len(own) or len(sources) > 1:  # type: ignore[arg-type]
                    yield own[a:b]
