"""The half siding of the rabbet along the profile line: the keel's own, joined to what is known at the stems."""

from __future__ import annotations

import numpy as np

from patterns.fairing.batten import Ends, fair
from patterns.fairing.curves import FairCurve, hermite
from patterns.fairing.paths import FairedPath
from patterns.hull.planes import FloatArray

__all__ = ["half_siding", "with_sternpost"]


def half_siding(
    path: FairedPath,
    *,
    stem_t: FloatArray,
    stem_y: FloatArray,
    keel_t: FloatArray,
    keel_y: FloatArray,
    allow: float,
    ends: Ends,
) -> tuple[FairCurve, FloatArray]:
    """The half siding at the rabbet over the profile line's parameter.

    The keel's is a batten over its stations; forward of them the stem's known values are joined without
    overshoot and stand constant where they are equal.

    Args:
        stem_t, stem_y: shape (n,), known half sidings on the stem (lines' bow ends), in any order.
        keel_t, keel_y: shape (m,), at the stations, rising, aft of the stem's.
    Returns:
        The curve, and the faired values (m,) with the duck loads (m,) as a (m, 2) array.
    """
    start, end = float(path.t[0]), float(path.t[-1])
    ahead = stem_t < (keel_t[0] - 1.0 if len(keel_t) else np.inf)
    order = np.argsort(stem_t[ahead])
    t, y = stem_t[ahead][order], stem_y[ahead][order]
    if len(t) > 1:  # ends of two lines may share a place
        keep = np.concatenate([[True], np.diff(t) > 1.0])
        t, y = t[keep], y[keep]
    if not len(t) and not len(keel_t):
        zero = np.zeros(1)
        return hermite(np.array([start, end]), np.zeros(2), zero, zero), np.zeros((0, 2))
    faired = np.zeros((len(keel_t), 2))
    aft: FairCurve | None = None
    if len(keel_t) > 1:
        laid = fair(keel_t, keel_y, tolerance=allow, ends=ends)
        faired[:, 0], faired[:, 1] = laid.values, laid.loads
        aft = laid.curve
    elif len(keel_t):
        faired[0] = keel_y[0], np.nan
    if len(keel_t):
        t, y = np.append(t, keel_t[0]), np.append(y, faired[0, 0])
    if t[0] > start + 1e-9:
        t, y = np.insert(t, 0, start), np.insert(y, 0, y[0])
    if aft is None and t[-1] < end - 1e-9:
        t, y = np.append(t, end), np.append(y, y[-1])
    if len(t) == 1:
        assert aft is not None
        return aft, faired
    slope, last = _slopes(t, y), (y[-1] - y[-2]) / (t[-1] - t[-2])
    slope[-1] = last if aft is None or last != 0.0 else 0.0
    fore = hermite(t, y, slope[:-1], slope[1:])
    if aft is None:
        return fore, faired
    return FairCurve(
        knots=np.concatenate([fore.knots[:-1], aft.knots]),
        coefficients=np.concatenate([fore.coefficients, aft.coefficients]),
    ), faired


def with_sternpost(curve: FairCurve, *, joint: float, t: FloatArray, y: FloatArray) -> FairCurve:
    """The half siding carried on up the sternpost, through the known values there without overshoot.

    Args:
        curve: the half siding from the stem's head aft.
        joint: the parameter of the last place at which it is the keel's own.
        t, y: shape (n,), parameters and values at the sternpost, in any order.
    """
    order = np.argsort(t)
    at = np.concatenate([[joint], t[order]])
    half = np.concatenate([[float(curve(np.array(joint)))], y[order]])
    keep = np.concatenate([[True], np.diff(at) > 1.0])
    at, half = at[keep], half[keep]
    if at[-1] < curve.knots[-1] - 1e-9:
        at, half = np.append(at, curve.knots[-1]), np.append(half, half[-1])
    if len(at) < 2:
        return curve
    slope = _slopes(at, half)
    tail = hermite(at, half, slope[:-1], slope[1:])
    body = curve.ending(joint)
    return FairCurve(
        knots=np.concatenate([body.knots[:-1], tail.knots]),
        coefficients=np.concatenate([body.coefficients, tail.coefficients]),
    )


def _slopes(t: FloatArray, y: FloatArray) -> FloatArray:
    """Slopes (n,) at values (n,) with which the pieces between them do not overshoot; 0 at the two ends.

    Source: the harmonic mean of F. N. Fritsch, J. Butland, "A method for constructing local monotone piecewise
    cubic interpolants", SIAM Journal on Scientific and Statistical Computing 5 (1984) 300-304; from memory.
    """
    secant = np.diff(y) / np.diff(t)
    slope = np.zeros(len(t))
    both = secant[:-1] * secant[1:]
    slope[1:-1] = np.where(both > 0, 2 * both / np.where(both > 0, secant[:-1] + secant[1:], 1.0), 0.0)
    return slope
