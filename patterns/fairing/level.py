"""The chine of a bottom that is flat athwartships: its heights are the keel's, place by place."""

from __future__ import annotations

import numpy as np

from patterns.fairing.batten import Faired
from patterns.fairing.curves import Profile, hermite
from patterns.fairing.ends import ASTRAY
from patterns.fairing.keel import foot
from patterns.fairing.paths import FairedPath
from patterns.hull.planes import FloatArray

__all__ = ["level_end", "level_heights"]

NEAR = 1e-3  # mm; a shorter piece has no slope that can be computed
PIECES = 16  # to each piece of the profile line; the heights between them are then right to 1e-6 mm


def level_end(profile: Profile, path: FairedPath, x: float, z: float) -> float:
    """The profile line's parameter where a level line ends: the corner of stem and bottom, where there is one.

    Args:
        x, z: the end as typed, mm.
    """
    for t in profile.knuckles:
        at = profile.at(t)
        if np.hypot(at[0] - x, at[2] - z) <= ASTRAY:
            return t
    return foot(path, x, z)


def level_heights(profile: Profile, x: FloatArray, z: FloatArray, *, start: float, end: float) -> Faired:
    """The keel's faired heights as those of a line over the distance aft.

    Args:
        x, z: the line's own heights as typed, shape (n,), mm.
        start, end: the profile line's parameters between which the line runs.
    """
    part = np.arange(PIECES) / PIECES
    t = (profile.knots[:-1, None] + np.diff(profile.knots)[:, None] * part).ravel()
    t = t[(t > start + NEAR) & (t < end - NEAR)]
    t = np.concatenate([[start], t[np.diff(t, prepend=-np.inf) > NEAR], [end]])
    at, by_t = profile.at(t), profile.at(t, 1)
    before = _slopes(by_t[:-1])
    # At a knuckle the slope of the piece that ends there is not that of the one that begins.
    after = _slopes(profile.at(np.nextafter(t[1:], t[:-1]), 1))
    curve = hermite(at[:, 0], at[:, 2], before, after)
    values = curve(x)
    return Faired(curve=curve, values=values, moves=values - z, loads=np.full(len(x), np.nan))


def _slopes(by_t: FloatArray) -> FloatArray:
    return np.asarray(by_t[:, 2] / by_t[:, 0])
