"""Slips so large that a linear fit about the wrong place does not find their size: where the point would come back.

Other values of one reading are tried until its point lies on the base curves of its stretches; the model weighs
what is found.
"""

from __future__ import annotations

import numpy as np

from patterns.hull.planes import FloatArray
from patterns.repair.measuring.equations import Equations, Frames
from patterns.repair.measuring.spots import Spot, placed_spot, predicted

__all__ = ["far_sizes", "misfits"]

REACH = 700.0  # mm by which a reading is changed at most
STEP = 5.0  # mm between the values that are tried
NEAR = 25.0  # mm; a point that is nearer than this to the base curves may lie on the edge
MANY = 2  # sizes of one reading, the smallest
DISAGREE = 8.0  # mm by which readings of one point contradict each other


def misfits(frames: Frames, at: FloatArray) -> list[int]:
    """The spots whose own readings contradict each other: distances that do not meet, or three that disagree."""
    return [
        i
        for i, spot in enumerate(frames.spots)
        if np.abs(np.array(spot.values) - predicted(spot, frames.refs, at[i])[0]).max() > DISAGREE
    ]


def far_sizes(frames: Frames, rows: Equations, i: int, k: int) -> list[float]:
    """By how much one reading of a spot may be too great, mm: its point lies near the edge without that."""
    spot = frames.spots[i]
    sizes = np.arange(-REACH, REACH + STEP, STEP)
    values = spot.values[k] - sizes
    sizes = sizes[values > STEP] if spot.measured.method == "nails" else sizes
    off = np.array(
        [_off(frames, rows, spot.with_value(k, spot.values[k] - float(size)), i) for size in sizes]
    )
    inner = (off[1:-1] <= off[:-2]) & (off[1:-1] < off[2:]) & (off[1:-1] < NEAR)
    found = sizes[1:-1][inner]
    return [float(size) for size in sorted(found, key=abs)[:MANY]]


def _off(frames: Frames, rows: Equations, spot: Spot, i: int) -> float:
    """How far a spot would lie from the base curves of its stretches, and its readings from each other, mm."""
    at = placed_spot(spot, frames.refs)
    off = float(np.abs(np.array(spot.values) - predicted(spot, frames.refs, at)[0]).max())
    first = rows.first[i]
    for latent in rows.latents[first : first + len(spot.stretches)]:
        base = rows.bases.get(latent.key)
        if base is not None:
            off = max(off, float(np.hypot(*(at - base.at).T).min()))
    return off
