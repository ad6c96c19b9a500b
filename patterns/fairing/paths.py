"""The rabbet of keel and stem: one line in profile, from the stem's head to the keel's after end.

No function of the distance nor of the height can hold it, so it is faired over its own length: two battens,
one for the distance aft and one for the height, over one parameter.  Each offset is moved only in the
direction in which it was measured.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from patterns.fairing.batten import Batten, Ends, batten, ease
from patterns.fairing.curves import FairCurve
from patterns.hull.planes import FloatArray

__all__ = ["FairedPath", "fair_path", "lay_path"]

ROUNDS = 5  # of measuring the line's length and sharing the loads anew
REACHES = 1.0  # ducks; how far a duck's load tells of its neighbours'
LEAST_SHARE = 0.003  # of the root mean square load
LONGEST = 1.2  # arc over chord; a right angle's arc has 1.11
_GAUSS_AT, _GAUSS_WEIGHT = np.polynomial.legendre.leggauss(6)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FairedPath:
    """A faired line in a plane, over its own length.

    Attributes:
        x, z: the two coordinates over the parameter.
        t: shape (n,), the parameter at each point.
        moves: shape (n, 2), mm.
        loads: shape (n, 2), see `Batten.loads`.
    """

    x: FairCurve
    z: FairCurve
    t: FloatArray
    moves: FloatArray
    loads: FloatArray


def _lengths(laid: Batten, xz: FloatArray) -> FloatArray:
    """The parameter at points (n, 2) by the length of the line through them."""
    half = np.diff(laid.x) / 2
    at = laid.x[:-1, None] + half[:, None] * (1 + _GAUSS_AT)
    pace = np.hypot(laid.curve(xz[:, 0])(at, 1), laid.curve(xz[:, 1])(at, 1))
    length = (pace @ _GAUSS_WEIGHT) * half
    # A line that winds between two points is no line yet: longer than a right angle's arc it is not let grow.
    chord = np.hypot(*np.diff(xz, axis=0).T)
    return np.concatenate([[0.0], np.cumsum(np.clip(length, chord, LONGEST * chord))])


def lay_path(
    xz: FloatArray,
    tolerance: FloatArray | None = None,
    *,
    ends: Ends = "free",
    knuckles: tuple[int, ...] = (),
    shared: bool = True,
) -> tuple[Batten, FloatArray]:
    """A batten over the length of the line through points, the length found by measuring it anew.

    Args:
        xz, tolerance: see `fair_path`; without tolerance the points are held.
        shared: great loads are expected where the line bends sharply, and small ones elsewhere.
    Returns:
        The batten, and the moves (n, 2), mm, that ease it.
    """
    moves = np.zeros_like(xz)
    share = np.ones(len(xz))
    t = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(xz, axis=0).T))])
    for last in range(ROUNDS + 1):
        laid = batten(t, ends=ends, knuckles=knuckles, share=share)
        if tolerance is not None and tolerance.any():
            moves = _eased(laid, xz, tolerance, share[list(laid.inner)])
        if last < ROUNDS:
            t = _lengths(laid, xz + moves)
            if shared and laid.rank:
                share[list(laid.inner)] = _shares(laid.uneven @ (xz + moves))
    return laid, moves


def _eased(laid: Batten, xz: FloatArray, tolerance: FloatArray, share: FloatArray) -> FloatArray:
    """The moves that ease a batten over a given parameter, shape (n, 2); ``share`` is the inner ducks'."""
    loose, inner = tolerance > 0.0, len(laid.inner)
    ways = [int(loose[:, axis].sum()) for axis in (0, 1)]
    uneven = laid.uneven / share[:, None]
    by_move = np.zeros((2 * inner, sum(ways)))
    by_move[:inner, : ways[0]] = uneven[:, loose[:, 0]]
    by_move[inner:, ways[0] :] = uneven[:, loose[:, 1]]
    allowed = np.concatenate([tolerance[loose[:, 0], 0], tolerance[loose[:, 1], 1]])
    eased = allowed * ease(
        by_move * allowed,
        (uneven @ xz).T.ravel(),
        rank=2 * laid.rank,
        ducks=len(xz),
        reach=float(np.ptp(xz, axis=0).max()),
    )
    moves = np.zeros_like(xz)
    moves[loose[:, 0], 0], moves[loose[:, 1], 1] = eased[: ways[0]], eased[ways[0] :]
    return moves


def _shares(loads: FloatArray) -> FloatArray:
    """How great each duck's load may be expected to be beside the others', by its neighbours' and its own.

    The forefoot bends sharply and the keel hardly at all; if one measure held for both, slips and noise on
    the keel would pass for a bend.

    Args:
        loads: shape (m, 2), of the inner ducks in both coordinates.
    """
    square = np.square(loads).sum(axis=1)
    square = np.maximum(square, LEAST_SHARE**2 * square.mean()) + 1e-30
    place = np.arange(len(square))
    near = np.exp(-np.abs(place[:, None] - place) / REACHES)
    local = (near @ np.log(square)) / near.sum(axis=1)  # so that a bend's load does not drown its neighbours'
    return np.asarray(np.exp(0.5 * (local - local.mean())))


def fair_path(
    xz: FloatArray, tolerance: FloatArray, *, ends: Ends = "free", knuckles: tuple[int, ...] = ()
) -> FairedPath:
    """Fair a line in a plane.

    Args:
        xz: shape (n, 2), n >= 2, in order along the line, no two alike, mm.
        tolerance: shape (n, 2), how far each coordinate may be moved, mm; 0 where it was not measured.
        knuckles: indices at which the line turns.
    """
    laid, moves = lay_path(xz, tolerance, ends=ends, knuckles=knuckles)
    at = xz + moves
    return FairedPath(
        x=laid.curve(at[:, 0]),
        z=laid.curve(at[:, 1]),
        t=laid.x,
        moves=moves,
        loads=np.stack([laid.loads(at[:, 0]), laid.loads(at[:, 1])], axis=1),
    )
