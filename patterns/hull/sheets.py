"""A strake of sheet planking: the developable surface through its two edges, and how true to a sheet it is."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from patterns.hull.planes import FloatArray, cross
from patterns.hull.rulings import Pairing, Reach, pair_edges
from patterns.hull.surfaces import Curve, unit

__all__ = ["SheetPatch", "sheet_patches"]

FINE = 4  # places of the table for each ruling that was sought
PAST = 300.0  # mm by which the sheet is run past its after end
TAIL = 48  # places of the table where one edge has ended
FAR = 1e4  # how far, in the parameter, the table's ends run on straight
MEET_NEAR, MEET_FAR = 0.5, 1.5  # parts of a ruling's length beyond an edge; rulings that meet there are left
LEAN = 0.5  # of the way out that is taken instead: along the edge for each mm square to it


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SheetPatch:
    """A ruled piece of a sheet: straight lines join its edges where they have a common tangent plane.

    It is a `Surface`; its ``p`` is the lower line's own parameter.  Past its edges (r below 0 or above 1) it does
    not follow the rulings where these would meet, but runs on in the sheet's tangent plane.

    Attributes:
        rulings: which parameters of the two lines are joined.
    """

    start: float
    end: float
    rulings: Pairing
    _p: FloatArray = field(repr=False)
    _table: FloatArray = field(repr=False)

    def _look(self, p: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Edges and the ways out past them at p (...): values and derivatives, (..., 12) each."""
        piece = np.searchsorted(self._p[1:-1], p, side="right")
        u = (p - self._p[piece])[..., None]
        cubic = self._table[piece]
        a, b, c, d = cubic[..., 0, :], cubic[..., 1, :], cubic[..., 2, :], cubic[..., 3, :]
        return ((a * u + b) * u + c) * u + d, (3.0 * a * u + 2.0 * b) * u + c

    def lower(self, p: FloatArray) -> tuple[FloatArray, FloatArray]:
        """The lower edge: points and derivatives by p, (..., 3)."""
        at, by_p = self._look(p)
        return at[..., :3], by_p[..., :3]

    def upper(self, p: FloatArray) -> tuple[FloatArray, FloatArray]:
        """The upper edge where the rulings from the lower one meet it, and its derivatives by p, (..., 3)."""
        at, by_p = self._look(p)
        return at[..., 3:6], by_p[..., 3:6]

    def shape(self, p: FloatArray, r: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        """See `Surface.shape`."""
        at, by_p = self._look(p)
        r1 = r[..., None]
        on = np.minimum(np.maximum(r1, 0.0), 1.0)
        across = at[..., 3:6] - at[..., :3]
        points = at[..., :3] + on * across
        points_by_p = by_p[..., :3] + on * (by_p[..., 3:6] - by_p[..., :3])
        for past, beyond, way in (
            (r1 < 0.0, np.minimum(r1, 0.0), slice(6, 9)),
            (r1 > 1.0, np.maximum(r1 - 1.0, 0.0), slice(9, 12)),
        ):
            if past.any():
                points = points + beyond * at[..., way]
                points_by_p = points_by_p + beyond * by_p[..., way]
                across = np.where(past, at[..., way], across)
        return points, points_by_p, across

    def outward(self, by_p: FloatArray, by_r: FloatArray) -> FloatArray:
        """See `Surface.outward`; across runs up and out, along runs aft."""
        return unit(cross(by_r, by_p))


def _way_out(across: FloatArray, own: FloatArray, other: FloatArray) -> FloatArray:
    """The way, (n, 3), in which the sheet is run on past an edge, in its tangent plane.

    It is the rulings' own way, unless they meet not far beyond the edge; then a way at an even angle to it.

    Args:
        across: the rulings from the edge to the other one, or back.
        own, other: the derivatives of this edge and of the other one by the rulings' parameter.
    """
    pace = np.linalg.norm(own, axis=1, keepdims=True)
    along = own / np.where(pace > 0.0, pace, 1.0)
    part = np.sum(across * along, axis=1, keepdims=True)
    square = across - part * along
    lean = LEAN * np.copysign(np.linalg.norm(square, axis=1, keepdims=True), part.sum())
    # How far beyond the edge, in parts of a ruling's length, neighbouring rulings meet.
    faster = np.sum(other * along, axis=1, keepdims=True) - pace
    meet = np.where(faster > 0.0, pace / np.where(faster > 0.0, faster, 1.0), MEET_FAR)
    own_way = np.clip((meet - MEET_NEAR) / (MEET_FAR - MEET_NEAR), 0.0, 1.0)
    return np.asarray(square + (own_way * part + (1.0 - own_way) * lean) * along)


def _table(p: FloatArray, a: FloatArray, a_by_p: FloatArray, b: FloatArray, b_by_p: FloatArray) -> FloatArray:
    """Cubics (n - 1, 4, 12) between places p (n,): both edges and the ways out past them."""
    out_a, out_b = _way_out(b - a, a_by_p, b_by_p), _way_out(b - a, b_by_p, a_by_p)
    values = np.hstack([a, b, out_a, out_b])
    slopes = np.hstack([a_by_p, b_by_p, np.gradient(out_a, p, axis=0), np.gradient(out_b, p, axis=0)])
    h = np.diff(p)[:, None]
    secant = np.diff(values, axis=0) / h
    return np.stack(
        [
            (slopes[:-1] + slopes[1:] - 2.0 * secant) / h**2,
            (3.0 * secant - 2.0 * slopes[:-1] - slopes[1:]) / h,
            slopes[:-1],
            values[:-1],
        ],
        axis=1,
    )


def _rising_slopes(steps: FloatArray, secant: FloatArray) -> FloatArray:
    """Slopes of a piecewise cubic at its knots that keep it rising or falling where its points do.

    Source: F. N. Fritsch and J. Butland, A method for constructing local monotone piecewise cubic interpolants,
    SIAM J. Sci. Stat. Comput. 5 (1984): harmonic means, and three points at the ends; from memory, and tested
    against scipy's `PchipInterpolator`.
    """
    if len(steps) == 1:
        return np.repeat(secant, 2)
    w1, w2 = 2.0 * steps[1:] + steps[:-1], steps[1:] + 2.0 * steps[:-1]
    same = secant[:-1] * secant[1:] > 0.0
    safe = np.where(same[:, None], np.column_stack((secant[:-1], secant[1:])), 1.0)
    inner = np.where(same, (w1 + w2) / (w1 / safe[:, 0] + w2 / safe[:, 1]), 0.0)
    ends = [_end_slope(steps[i], steps[j], secant[i], secant[j]) for i, j in ((0, 1), (-1, -2))]
    return np.concatenate([ends[:1], inner, ends[1:]])


def _end_slope(near: float, far: float, first: float, second: float) -> float:
    """By the parabola through three points, held back where it would turn."""
    slope = ((2.0 * near + far) * first - near * second) / (near + far)
    if slope * first <= 0.0:
        return 0.0
    if first * second <= 0.0 and abs(slope) > 3.0 * abs(first):
        return 3.0 * first
    return float(slope)


def _paired(lower: Reach, upper: Reach, rulings: Pairing) -> tuple[FloatArray, FloatArray]:
    """The table's places and its cubics where rulings join the two edges."""
    x, y = rulings.lower, rulings.upper
    steps = np.diff(x)
    secant = np.diff(y) / steps
    slopes = _rising_slopes(steps, secant)
    slopes[[0, -1]] = np.maximum(slopes[[0, -1]], 0.5 * secant[[0, -1]])  # it may have set them to nought
    share = np.arange(FINE) / FINE
    u = (share * steps[:, None]).ravel()
    c3, c2 = (
        (slopes[:-1] + slopes[1:] - 2.0 * secant) / steps**2,
        (3.0 * secant - 2.0 * slopes[:-1] - slopes[1:]) / steps,
    )
    a, b, c, d = (np.repeat(each, FINE) for each in (c3, c2, slopes[:-1], y[:-1]))
    p = np.append((x[:-1, None] + share * steps[:, None]).ravel(), x[-1])
    t = np.append(((a * u + b) * u + c) * u + d, y[-1])
    pace = np.append((3.0 * a * u + 2.0 * b) * u + c, slopes[-1])
    b_by_p = upper.curve.at(t, 1) * pace[:, None]
    return p, _table(p, lower.curve.at(p), lower.curve.at(p, 1), upper.curve.at(t), b_by_p)


def _run_on(
    lower: Reach, upper: Reach, rulings: Pairing, *, aft: bool
) -> tuple[FloatArray, FloatArray, float]:
    """The sheet past its last ruling (or its first one), run on along the edge that has not ended (or begun) there.

    Beyond that ruling the sheet is held by one edge alone; its rulings stay parallel.

    Returns:
        The table's places, rising, its cubics, and where both edges have ended.
    """
    i = -1 if aft else 0
    p0, t0 = float(rulings.lower[i]), float(rulings.upper[i])
    across = upper.curve.at(np.array(t0)) - lower.curve.at(np.array(p0))
    way = 1 if aft else -1
    edge = lower.end if aft else lower.start
    if way * (edge - p0) > 1e-9 * abs(lower.end - lower.start):
        p = np.linspace(p0, _past(lower, aft=aft), TAIL)[::way]
        a, a_by_p = lower.curve.at(p), lower.curve.at(p, 1)
        return p, _table(p, a, a_by_p, a + across, a_by_p), edge
    t = np.linspace(t0, _past(upper, aft=aft), TAIL)[::way]
    # The lower edge's parameter goes on as if that edge went on at its own pace.
    share = float(
        np.linalg.norm(upper.curve.at(np.array(t0), 1)) / np.linalg.norm(lower.curve.at(np.array(p0), 1))
    )
    b, b_by_p = upper.curve.at(t), upper.curve.at(t, 1) / share
    p = p0 + share * (t - t0)
    return (
        p,
        _table(p, b - across, b_by_p, b, b_by_p),
        p0 + share * ((upper.end if aft else upper.start) - t0),
    )


def _patch(lower: Reach, upper: Reach, rulings: Pairing, *, on: tuple[bool, bool]) -> SheetPatch:
    """One piece; ``on``: whether it is run on past its fore and past its after end."""
    p, table = _paired(lower, upper, rulings)
    start, end = float(p[0]), float(p[-1])
    if on[0]:
        more, before, start = _run_on(lower, upper, rulings, aft=False)
        p, table = np.concatenate([more[:-1], p]), np.concatenate([before, table])
    if on[1]:
        more, after, end = _run_on(lower, upper, rulings, aft=True)
        p, table = np.concatenate([p, more[1:]]), np.concatenate([table, after])
    # Past the table all runs on straight.
    first, final = np.zeros((1, 4, 12)), np.zeros((1, 4, 12))
    first[0, 2], first[0, 3] = table[0, 2], table[0, 3] - FAR * table[0, 2]
    h = p[-1] - p[-2]
    c3, c2, c1, c0 = table[-1]
    final[0, 2], final[0, 3] = (3.0 * c3 * h + 2.0 * c2) * h + c1, ((c3 * h + c2) * h + c1) * h + c0
    return SheetPatch(
        start=start,
        end=end,
        rulings=rulings,
        _p=np.concatenate([[p[0] - FAR], p, [p[-1] + FAR]]),
        _table=np.concatenate([first, table, final]),
    )


def _past(edge: Reach, *, aft: bool) -> float:
    """The parameter `PAST` mm beyond an edge's end or start."""
    at = edge.end if aft else edge.start
    more = PAST / float(np.linalg.norm(edge.curve.at(np.array(at), 1)))
    return at + more if aft else at - more


def sheet_patches(
    profile: Curve,
    lower: Curve | None,
    upper: Curve,
    *,
    on_profile: tuple[float, float],
    joints: tuple[float, float],
    stems: tuple[bool, bool] = (True, False),
) -> tuple[tuple[SheetPatch, ...], int]:
    """The pieces of one strake of sheet, from aft forward, and which of them lies between its two lines.

    Args:
        profile: keel and stem in one.
        lower: its lower line; None means the profile line itself.
        on_profile: the profile's parameters where the upper line begins and where it ends.
        joints: the same of the lower line.
        stems: whether a stem stands at the bow, and at the stern.
    """
    fore, aft = on_profile
    main = Reach(curve=profile, start=fore, end=aft)
    if lower is not None:
        main = Reach(curve=lower, start=lower.start, end=lower.end)
    parts, least = [main], 1e-9 * (profile.end - profile.start)
    if lower is not None and stems[0] and joints[0] - fore > least:
        parts.insert(0, Reach(curve=profile, start=fore, end=joints[0]))
    if lower is not None and stems[1] and aft - joints[1] > least:
        parts.append(Reach(curve=profile, start=joints[1], end=aft))
    over = Reach(curve=upper, start=upper.start, end=upper.end)
    made = [
        _patch(
            part,
            over,
            rulings,
            on=(part is parts[0] and not stems[0], part is parts[-1] and not stems[1]),
        )
        for part, rulings in zip(parts, pair_edges(parts, over, meet=stems), strict=True)
    ]
    return tuple(made[::-1]), len(parts) - 1 - parts.index(main)
