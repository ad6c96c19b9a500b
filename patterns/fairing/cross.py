"""Cross-fairing: one smooth surface for waterlines, buttocks, diagonals and sections at once.

The surface is a net of splines over station and girth.  Battens lie along it in both directions; their loads at
the splines' breaks are to be small.  An offset counts by its distance square to the surface.  The net moves along
the normals of a first surface only: sliding in itself would change no boat and would let the battens cheat.

How stiff the battens are beside the offsets is read from the offsets themselves: those stiffnesses are taken under
which the offsets are likeliest (see `stiffness`).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from patterns.fairing.batten import SPENT
from patterns.fairing.curves import Profile, SpaceLine
from patterns.fairing.girth_start import PlacedOffsets, Start, first_places
from patterns.fairing.stiffness import STRETCHES, usual_stiffness
from patterns.hull.girth import Girth
from patterns.hull.planes import FloatArray
from patterns.hull.splines import Splines

__all__ = ["CrossFaired", "cross_fair"]

COLUMNS = 9  # breaks across, from keel to sheer
MIDDLE = 0.5  # part of the girth at which the stations are looked up for breaks lengthwise
CLEAR = 0.35  # of the usual spacing; a station nearer to an end makes no break
LEAST = 0.05  # mm; an offset is never taken as truer
GLANCING = 0.3  # least sine of the angle between the way an offset was measured and the surface that counts
HELD = 0.05  # mm; how truly the surface follows the rabbet
LOOSE = (3.0, 20.0)  # mm; how truly the first surface follows the offsets, and points beyond the rabbet
STIFF = (0.05, 0.01)  # how little the first surface's battens may bend, 1/mm: lengthwise, across
PASSES, DOUBTED = 5, 15.0  # of the first surface; mm from it at which an offset begins to count for less
ROUNDS = 3  # of finding every offset's foot on the surface anew
BOXED = 4.0  # most weight that an offset gets which lies beyond the allowed move


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CrossFaired:
    """The surface and how well it agrees with the offsets.

    Attributes:
        girth: the surface.
        p, r: shape (n,), where along and across each offset's foot lies.
        spring: shape (n,), how far each offset lies outside of the surface through all others, in allowed moves.
        deviation: shape (n,), the spring over what is to be expected of a good offset, with its sign.
        noise: the offsets' usual error, in allowed moves.
        tolerance: the allowed move, mm.
        gross: shape (n,), how far each offset lies off a first, stiff surface that gross slips hardly bend, mm.
        ways: shape (k, 2), the ways in which the net's loose points move.
        loose: shape (k,), their indices.
        spread: shape (k, k), the covariance of their moves, mm^2.
        limp: how much more than usual the battens along the bow bend; a logarithm, 0 where nothing shows it.
    """

    girth: Girth
    p: FloatArray
    r: FloatArray
    spring: FloatArray
    deviation: FloatArray
    noise: float
    tolerance: float
    gross: FloatArray
    ways: FloatArray
    loose: NDArray[np.intp]
    spread: FloatArray
    limp: float

    def unsure_along(self, p: FloatArray, r: FloatArray, along: FloatArray) -> FloatArray:
        """The same along lines of the body plan: unit vectors (n, 2), mm."""
        _, by_p, by_r = self.girth.shape(p, r)
        section = self.girth.outward(by_p, by_r)[:, 1:]
        return np.asarray(self.unsure(p, r) / np.maximum(np.abs((section * along).sum(axis=1)), GLANCING))

    def unsure(self, p: FloatArray, r: FloatArray) -> FloatArray:
        """The standard deviation of the surface square to itself at places (n,), mm."""
        _, by_p, by_r = self.girth.shape(p, r)
        normals = self.girth.outward(by_p, by_r)
        along, across = self.girth.along.matrix(p), self.girth.across.matrix(r)
        rows = (along[:, :, None] * across[:, None, :]).reshape(len(p), -1)[:, self.loose]
        rows = rows * (normals[:, 1:] @ self.ways.T)
        return np.asarray(np.sqrt(np.maximum(((rows @ self.spread) * rows).sum(axis=1), 0.0)))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Net:
    """The splines, and the battens' loads as matrices on the net's points.

    Attributes:
        held: shape (count, 2), the net with the sheer's points in place and nothing else.
        loose: the indices of the points that are to be found.
        lengthwise: loads lengthwise in each of the stretches of the length, each (rows, count).
        crosswise: loads across, (rows, count).
    """

    fore: tuple[float, float]
    aft: tuple[float, float]
    along: Splines
    across: Splines
    held: FloatArray
    loose: NDArray[np.intp]
    lengthwise: tuple[FloatArray, ...]
    crosswise: FloatArray

    def girth(self, points: FloatArray) -> Girth:
        shape = (self.along.count, self.across.count, 2)
        return Girth(
            fore=self.fore, aft=self.aft, along=self.along, across=self.across, net=points.reshape(shape)
        )

    def rows(self, p: FloatArray, r: FloatArray) -> FloatArray:
        """The blending of the net's points at places (n,): shape (n, count)."""
        both = self.along.matrix(p)[:, :, None] * self.across.matrix(r)[:, None, :]
        return np.asarray(both.reshape(len(p), self.along.count * self.across.count))


def _lines_fit(splines: Splines, at: FloatArray, values: FloatArray) -> FloatArray:
    """The splines' points of a line given by many of its places."""
    hair = 1e-9 * splines.jumps()
    both = np.vstack([splines.matrix(at), hair])
    wanted = np.vstack([values, np.zeros((len(hair), values.shape[1]))])
    return np.asarray(np.linalg.lstsq(both, wanted, rcond=None)[0])


def _net(start: Start, stations: FloatArray, profile: Profile, sheer: SpaceLine) -> _Net:
    fore, aft = start.fore, (profile.x_aft, sheer.x_aft)
    low, high = (ends[0] + (ends[1] - ends[0]) * MIDDLE for ends in (fore, aft))
    breaks = (stations - low) / (high - low)
    spacing = float(np.median(np.diff(breaks))) if len(breaks) > 1 else 0.25
    breaks = breaks[(breaks > CLEAR * spacing) & (breaks < 1.0 - CLEAR * spacing)]
    first = breaks[:1] if len(breaks) else np.array([0.5])
    along = Splines(breaks=np.unique(np.concatenate([[0.0], 0.5 * first, breaks, [1.0]])))
    across = Splines(breaks=np.linspace(0.0, 1.0, COLUMNS))
    p = np.linspace(0.0, 1.0, 10 * along.count)
    held = np.zeros((along.count, across.count, 2))
    held[:, -1] = _lines_fit(along, p, sheer.at(sheer.t_at_x(fore[1] + p * (aft[1] - fore[1])))[:, 1:])
    loose = np.ones((along.count, across.count), dtype=bool)
    loose[:, -1] = False
    every = np.linspace(0.0, 1.0, 2 * along.count), np.linspace(0.0, 1.0, 2 * across.count)
    long = np.einsum("ik,jm->ijkm", along.jumps(), across.matrix(every[1])) / np.sqrt(2.0)
    cross = np.einsum("ik,jm->ijkm", along.matrix(every[0]), across.jumps()) / np.sqrt(2.0)
    zone = np.searchsorted(STRETCHES, along.breaks[1:-1])
    count = along.count * across.count
    return _Net(
        fore=fore,
        aft=aft,
        along=along,
        across=across,
        held=held.reshape(-1, 2),
        loose=np.nonzero(loose.ravel())[0],
        lengthwise=tuple(long[zone == k].reshape(-1, count) for k in range(len(STRETCHES) + 1)),
        crosswise=cross.reshape(-1, count),
    )


def _first(net: _Net, points: FloatArray, r: FloatArray, corner: FloatArray, offsets: int) -> FloatArray:
    """The net of a first, stiff surface, (count, 2); the first ``offsets`` of the points may be slips."""
    empty = net.girth(net.held)
    below = np.zeros(len(corner))
    near, far = LOOSE
    rows = np.vstack([
        net.rows(empty.place(points[:, 0], r), r) / near,
        net.rows(empty.place(corner[:, 0], below), below) / far,
        *(STIFF[0] * loads for loads in net.lengthwise),
        STIFF[1] * net.crosswise,
    ])  # fmt: skip
    wanted = np.zeros((len(rows), 2))
    wanted[: len(points)] = points[:, 1:] / near
    wanted[len(points) : len(points) + len(corner)] = corner[:, 1:] / far
    mine, wanted = rows[:, net.loose], wanted - rows @ net.held
    flat = net.held.copy()
    weight = np.ones(len(rows))
    for _ in range(PASSES):  # a gross slip counts less and less
        steady = mine.T * weight
        flat[net.loose] = np.linalg.solve(steady @ mine, steady @ wanted)
        off = near * np.hypot(*(mine[:offsets] @ flat[net.loose] - wanted[:offsets]).T)
        weight[:offsets] = 1.0 / (1.0 + (off / DOUBTED) ** 2) ** 2
    return flat


def _greville(splines: Splines) -> FloatArray:
    """The place of each of the splines' points."""
    b = splines.breaks
    knots = np.concatenate([b[:1].repeat(3), b, b[-1:].repeat(3)])
    return np.asarray((knots[1:-3] + knots[2:-2] + knots[3:-1]) / 3.0)


def cross_fair(
    found: PlacedOffsets, *, profile: Profile, sheer: SpaceLine, stations: FloatArray, allow: float
) -> CrossFaired:
    """The surface through keel, stem and sheer, and as near to the offsets as fairness lets it be.

    Args:
        found: the offsets between keel and sheer.
        profile, sheer: the faired lines; the surface is held to them.
        stations: positions of the table's stations, mm, rising.
        allow: how far an offset may be moved, mm.
    """
    start = first_places(found, profile, sheer)
    net = _net(start, stations, profile, sheer)
    points = np.vstack([found.points, start.rabbet])
    count = len(found.points)
    tolerance = max(allow, LEAST)
    base = _first(net, points, np.concatenate([start.r, start.rabbet_r]), start.corner, count)
    girth = net.girth(base)
    first_r = np.concatenate([start.r, start.rabbet_r])
    p, r = girth.foot(points, girth.place(points[:, 0], first_r), first_r)
    gross = np.linalg.norm(points - girth.shape(p, r)[0], axis=1)[:count]
    at = np.meshgrid(_greville(net.along), _greville(net.across), indexing="ij")
    _, by_p, by_r = girth.shape(at[0].ravel(), at[1].ravel())
    ways = girth.outward(by_p, by_r)[net.loose, 1:]
    ways /= np.linalg.norm(ways, axis=1, keepdims=True)
    stiffness = usual_stiffness(
        net.lengthwise, net.crosswise, base=base, ways=ways, loose=net.loose, spans=len(net.along.breaks) - 2
    )
    moves = np.zeros(len(net.loose))
    heavier = np.ones(count)
    spring, deviation, noise = np.zeros(count), np.zeros(count), SPENT
    for turn in range(ROUNDS + 1):
        at_foot, by_p, by_r = girth.shape(p, r)
        normals = girth.outward(by_p, by_r)
        rows = net.rows(p, r)[:, net.loose] * (normals[:, 1:] @ ways.T)
        wanted = ((points - at_foot) * normals).sum(axis=1) + rows @ moves
        section = normals[:count, 1:] / np.linalg.norm(normals[:count, 1:], axis=1, keepdims=True)
        allowed = tolerance * np.maximum(np.abs((section * found.along).sum(axis=1)), GLANCING)
        seen = rows[:count] * (heavier / allowed)[:, None]
        moves, spread = stiffness.settle(
            seen, wanted[:count] * heavier / allowed, rows[count:] / HELD, wanted[count:] / HELD
        )
        off = wanted[:count] - rows[:count] @ moves
        flat = base.copy()
        flat[net.loose] += ways * moves[:, None]
        girth = net.girth(flat)
        p, r = girth.foot(points, p, r, steps=2)
        if turn == ROUNDS - 1:  # what lies beyond the allowed move pulls harder in the last round
            noise = float(np.sqrt(stiffness.noise))
            spring, deviation = stiffness.lifted(
                seen, wanted[:count] * heavier / allowed, rows[count:] / HELD, wanted[count:] / HELD
            )
            heavier = np.clip(np.abs(off / allowed), 1.0, BOXED)
    return CrossFaired(
        girth=girth,
        p=p[:count],
        r=r[:count],
        spring=spring,
        deviation=deviation,
        noise=noise,
        tolerance=tolerance,
        gross=gross,
        ways=ways,
        loose=net.loose,
        spread=spread,
        limp=stiffness.limp(0) if len(net.lengthwise[0]) else 0.0,
    )
