"""The base curve of a stretch: a plain curve near its points, from which its fair edge is counted.

It is of as low a degree as linearising needs: one that bends with the points would hide their faults.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from patterns.hull.planes import FloatArray

__all__ = ["AtFoot", "BaseCurve", "base_curve"]

BEYOND = 0.06  # share of its length by which it runs on past both ends
STEPS = 450  # points by which it is described
ROUNDS = 12  # of reweighting
FAR = 60.0  # mm; an end that is farther than this from its own end of the curve is counted there all the same
ENOUGH = 0.03  # part of its length by which most points may lie off it
MOSTLY = 0.75  # part of the points that are most
BETTER = 0.6  # part of that distance that a higher degree may leave
HIGHEST = 5
WHOLE = 0.8  # part of the longer side's length from which a side was measured all along


class AtFoot(NamedTuple):
    """A place set against the curve: its share of the length, how far out of it, mm, and the normal there, (2,)."""

    share: float
    out: float
    normal: FloatArray


class BaseCurve:
    """A polynomial over the share of a stretch's length.

    Attributes:
        share: (n,), from a little before 0 to a little after 1.
        at: (n, 2), mm.
        normal: (n, 2), unit vectors out of the wood.
        length: of the stretch, mm.
    """

    def __init__(self, at: FloatArray, share: FloatArray, degree: int) -> None:
        """Lay it through points (n, 2) at their shares (n,); points far off count little."""
        shapes, weight = np.vander(share, degree + 1), np.ones(len(at))
        fit: FloatArray = np.zeros((degree + 1, 2))
        for _ in range(ROUNDS):
            fit = np.asarray(
                np.linalg.lstsq(shapes * weight[:, None], at * weight[:, None], rcond=None)[0], dtype=float
            )
            off = np.hypot(*(at - shapes @ fit).T)
            weight = (1.0 + (off / max(2.0, 2.0 * float(np.median(off)))) ** 2) ** -0.5
        self.share = np.linspace(-BEYOND, 1.0 + BEYOND, STEPS)
        self.at = np.vander(self.share, degree + 1) @ fit
        way = np.gradient(self.at, self.share, axis=0)
        self.normal = np.stack([way[:, 1], -way[:, 0]], axis=-1) / np.hypot(*way.T)[:, None]
        inner = (self.share > -1e-9) & (self.share < 1.0 + 1e-9)
        self.length = float(np.hypot(*np.diff(self.at[inner], axis=0).T).sum())

    def foot(self, place: FloatArray, end: float | None = None) -> AtFoot:
        """The place of the curve nearest to another.

        Args:
            end: 0 or 1 where a corner or an end is meant.
        """
        i = int(np.hypot(*(place - self.at).T).argmin())
        if end is not None:
            k = int(np.abs(self.share - end).argmin())
            i = k if float(np.hypot(*(place - self.at[k]))) > FAR else i
        step = self.at[min(i + 1, STEPS - 1)] - self.at[max(i - 1, 0)]
        along = float(np.clip((place - self.at[i]) @ step / (step @ step), -0.5, 0.5)) * 2.0
        share = np.array([self.share[i] + along * (self.share[1] - self.share[0])])
        normal = np.array([np.interp(share[0], self.share, self.normal[:, k]) for k in (0, 1)])
        normal /= np.hypot(*normal)
        return AtFoot(float(share[0]), float(normal @ (place - self.place(share, np.zeros(1))[0])), normal)

    def place(self, share: FloatArray, out: FloatArray) -> FloatArray:
        """Places (n, 2) at shares (n,) and so far out of the curve, mm."""
        at = np.stack([np.interp(share, self.share, self.at[:, k]) for k in (0, 1)], axis=-1)
        normal = np.stack([np.interp(share, self.share, self.normal[:, k]) for k in (0, 1)], axis=-1)
        return np.asarray(at + out[:, None] * normal)


def base_curve(runs: Sequence[FloatArray], *, straight: bool = False) -> BaseCurve | None:
    """The base curve of a stretch by its points (n, 2) on each side; None where no side has two."""
    runs = [run for run in runs if len(run) > 1]
    if not runs:
        return None
    most, at = max(len(run) for run in runs), np.vstack(list(runs))
    share = np.concatenate(_shares(runs))
    curve = BaseCurve(at, share, 1)
    off = _off(curve, at)
    for degree in range(2, min(most, HIGHEST + 1)):
        if straight or off < ENOUGH * curve.length:
            break
        higher = BaseCurve(at, share, degree)
        left = _off(higher, at)
        if left > BETTER * off:
            break  # what is left are points that lie off, and no bend of the whole
        curve, off = higher, left
    return curve


def _off(curve: BaseCurve, at: FloatArray) -> float:
    """How far most points lie off the curve, mm."""
    return float(np.quantile([abs(curve.foot(place).out) for place in at], MOSTLY))


def _shares(runs: Sequence[FloatArray]) -> list[FloatArray]:
    """The share of the longest run's length at which each point lies."""
    along = [np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(run, axis=0).T))]) for run in runs]
    longest = max(range(len(runs)), key=lambda i: float(along[i][-1]))
    length = max(float(along[longest][-1]), 1e-6)
    fine = np.linspace(0.0, length, STEPS)
    line = np.stack([np.interp(fine, along[longest], runs[longest][:, k]) for k in (0, 1)], axis=-1)
    found = []
    for run, own in zip(runs, along, strict=True):
        if own[-1] > WHOLE * length:
            found.append(own / own[-1])
        else:  # only a part of the stretch was measured on this side
            near = [int(np.hypot(*(place - line).T).argmin()) for place in run]
            found.append(fine[near] / length)
    return found
