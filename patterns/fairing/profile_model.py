"""The profile line from few points: the asinh of its curvature is smooth over its length.

How smooth is not known beforehand.  The likeliest line is found for each size tau of the prior, and the lines are
averaged by how likely each makes the figures; from the same follows how well each place of the line is known.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from patterns.fairing.batten import Ends
from patterns.fairing.profile_curve import FLAT, GAIN, Parameters, Shot, meet, motion, shoot
from patterns.fairing.profile_fit import Fit, fit
from patterns.fairing.profile_grid import ProfileGrid, profile_grid
from patterns.fairing.profile_prior import TAUS, Prior, prior_of
from patterns.fairing.profile_shares import level_shares
from patterns.hull.planes import FloatArray

__all__ = ["LEAST_POINTS", "Modelled", "averaged", "model_profile", "shared_model", "sigma_of", "sweep"]

EXACT = 6e-6  # of the length: no figure is taken to be truer
LEAST_POINTS = 3
FIRST = int(np.argmin(np.abs(TAUS - 16.0)))
FALLEN, KEPT = 3.0, 7.0  # nats below the best: where the search over tau ends; what the average leaves out
SOUND = 3.5  # standard deviations: the greatest residual of a line that can be trusted
WARM = (30.0, 10.0, 3.0, 1.0, 0.3, 0.1)  # mm: the figures are at first taken to be so little sure
WARM_STEPS = 12
SURELY = 2.0  # noises by which chords must turn before their turning is believed
NEARLY, HELD = 0.9, 0.05  # of what is allowed: where a figure that moved too far is brought; how surely
CLAMPS = 3  # rounds of that
REGRIDS, AT_KNUCKLE = 2, 0.05  # rounds, and mm, within which the line turns at its knuckles
# Shares were taken from the very points that they are to judge: nats by which that flatters them, and times that
# the line is known worse than they say.
FLATTERY, FLATTERED = 6.0, 1.5
SPENT = 0.02  # of what is allowed, beyond which a move is too far


@dataclass(frozen=True, kw_only=True, eq=False)
class Modelled:
    """The averaged line and what is known of it.

    Attributes:
        grid: with the figures as typed.
        fits: one for each tau that was kept, best first.
        chance: shape (number of fits,), how likely each tau is; their sum is 1.
        p, shot: the averaged line.
        s: shape (n,), the lengths at which it meets the points, mm.
        moves: shape (n,), line less point in the measured coordinate, mm.
        evidence: logarithm of the probability of all the figures, over all tau.
        sound: whether the model can hold the points at all.
        flattered: times that the line is known worse than its own variance says.
    """

    grid: ProfileGrid
    prior: Prior
    fits: tuple[Fit, ...]
    chance: FloatArray
    p: Parameters
    shot: Shot
    s: FloatArray
    moves: FloatArray
    evidence: float
    sound: bool
    flattered: float = 1.0

    def rougher(self, tau: float) -> float:
        """The probability of a tau so great or greater."""
        return float(sum(float(c) for c, one in zip(self.chance, self.fits, strict=True) if one.tau >= tau))

    @cached_property
    def spread(self) -> FloatArray:
        """Standard deviation of the line's place along its normal at the cells' ends, mm, shape (c+1,)."""
        grid, mean = self.grid, self.shot
        variance = np.zeros(len(grid.cell))
        for chance, one in zip(self.chance, self.fits, strict=True):
            shot = one.shot
            at = (shot.x, shot.z, shot.angle)
            ways = motion(grid, shot, grid.cell, at) @ one.root
            root = np.linalg.inv(np.linalg.cholesky(one.cover))
            own = (ways**2).sum(axis=1) - ((root @ (one.pull @ ways.T)) ** 2).sum(axis=0)
            apart = (shot.z - mean.z) * np.cos(mean.angle) - (shot.x - mean.x) * np.sin(mean.angle)
            variance += chance * (np.maximum(own, 0.0) + apart**2)
        spread: FloatArray = self.flattered * np.sqrt(variance)
        return spread


def sigma_of(points: FloatArray, allow: FloatArray) -> FloatArray:
    """Standard deviation of figures that are off by no more than ``allow`` (n,), mm."""
    length = float(np.hypot(*np.diff(points, axis=0).T).sum())
    return np.asarray(np.maximum(allow / np.sqrt(3.0), EXACT * length))


def model_profile(
    points: FloatArray,
    measured: Sequence[int],
    allow: FloatArray,
    *,
    ends: Ends = "free",
    knuckles: Sequence[int] = (),
    straight: tuple[int, int] | None = None,
    calm: bool = True,
) -> Modelled:
    """Fair the profile line.

    Args:
        points: shape (n, 2), n >= 3, from the stem's head aft, mm.
        measured: for each point 0 where x was measured, 1 where z was.
        allow: shape (n,), how far each figure may be moved, mm.
        ends, knuckles, straight: see `profile_grid` and `prior_of`.
        calm: a level run is expected to change less than the rest; else all of the line alike.
    """
    sigma = sigma_of(points, allow)
    grid = profile_grid(points, measured, sigma, knuckles=knuckles, straight=straight)
    prior = prior_of(grid, ends, level_shares(grid) if calm else None)
    best: list[Fit] = []
    sound = False
    for spread_evenly in (False, True):
        begun = _warmed(grid, prior, _first_guess(grid, prior, spread_evenly))
        fits = sweep(grid, prior, begun.p, begun.s)
        if not best or fits[0].evidence > best[0].evidence:
            best = fits
        sound = bool(np.abs(best[0].r / grid.sigma).max() < SOUND)
        if sound:
            break
    made = averaged(grid, prior, best, sound=sound)
    # The line must turn at the knuckle itself, not at the length that the chords gave it.
    for _ in range(REGRIDS):
        if not sound or _off_knuckles(made) < AT_KNUCKLE:
            break
        grid = profile_grid(points, measured, sigma, knuckles=knuckles, straight=straight, lengths=made.s)
        prior = prior_of(grid, ends, level_shares(grid) if calm else None)
        fits = sweep(grid, prior, best[0].p, grid.s, first=int(np.argmin(np.abs(TAUS - best[0].tau))))
        made = averaged(grid, prior, fits, sound=bool(np.abs(fits[0].r / sigma).max() < SOUND))
    return _within(made, allow) if made.sound else made


def shared_model(
    made: Modelled, share: FloatArray, guess: FloatArray, allow: FloatArray, ends: Ends
) -> Modelled:
    """The same points also with a share of tau for each knot, and both averaged.

    Args:
        made: the model with one tau for all of the line.
        share: shape (m - 2,).
        guess: shape (m,), g at the knots, from which the steps begin as well.
        allow: shape (n,), how far each figure may be moved, mm.
    """
    grid = made.grid
    nearest = int(np.argmin(np.abs(TAUS - made.fits[0].tau)))
    prior = prior_of(grid, ends, share)
    begun = _warmed(grid, prior, np.concatenate([guess, prior.aim[len(guess) :]]))
    shared = max(
        sweep(grid, prior, begun.p, begun.s),
        sweep(grid, prior, made.fits[0].p, made.fits[0].s, first=nearest),
        key=lambda fits: fits[0].evidence,
    )
    even = made.fits if made.sound else ()
    fits = [*even, *(replace(one, evidence=one.evidence - FLATTERY) for one in shared)]
    fits.sort(key=lambda one: -one.evidence)
    sound = bool(np.abs(fits[0].r / grid.sigma).max() < SOUND)
    both = averaged(grid, made.prior, fits, sound=sound)
    own = sum(c for c, one in zip(both.chance, both.fits, strict=True) if one.prior is not made.prior)
    both = replace(both, flattered=float(1.0 + (FLATTERED - 1.0) * own))
    return _within(both, allow) if sound else both


def _warmed(grid: ProfileGrid, prior: Prior, p: Parameters) -> Fit:
    """A fit for the first tau, the figures taken surer and surer."""
    sigma, tau = float(np.median(grid.sigma)), float(TAUS[FIRST])
    coarser = [max(mm / sigma, 1.0) for mm in WARM if mm > sigma] or [1.0]
    warm = fit(grid, prior, tau, p, grid.s, coarser=coarser[0], steps=WARM_STEPS)
    for times in coarser[1:]:
        warm = fit(grid, prior, tau, warm.p, warm.s, coarser=times, steps=WARM_STEPS)
    return warm


def sweep(grid: ProfileGrid, prior: Prior, p: Parameters, s: FloatArray, first: int = FIRST) -> list[Fit]:
    """Fits over tau, to both sides of the first until the evidence has fallen for good; the best first."""
    middle = fit(grid, prior, float(TAUS[first]), p, s)
    found = [middle]
    for step in (1, -1):
        at, last = first + step, middle
        while 0 <= at < len(TAUS) and last.evidence > max(one.evidence for one in found) - FALLEN:
            last = fit(grid, prior, float(TAUS[at]), last.p, last.s)
            found.append(last)
            at += step
    return sorted(found, key=lambda one: -one.evidence)


def averaged(grid: ProfileGrid, prior: Prior, fits: Sequence[Fit], *, sound: bool) -> Modelled:
    """The average of fits over tau, by their evidence."""
    kept = [one for one in fits if one.evidence > fits[0].evidence - KEPT]
    chance = np.exp([one.evidence - fits[0].evidence for one in kept])
    evidence = fits[0].evidence + float(np.log(sum(np.exp(f.evidence - fits[0].evidence) for f in fits)))
    chance /= chance.sum()
    p = np.asarray(chance @ np.stack([one.p for one in kept]))
    shot = shoot(grid, p, np.asarray(chance @ np.stack([one.shot.kappa for one in kept])))
    moves, s, _ = meet(grid, shot, kept[0].s, rounds=6)
    return Modelled(
        grid=grid, prior=prior, fits=tuple(kept), chance=chance, p=p, shot=shot, s=s, moves=moves,
        evidence=evidence, sound=sound,
    )  # fmt: skip


def _off_knuckles(made: Modelled) -> float:
    """The greatest distance along the line between a knuckle's point and where the line turns, mm."""
    at = made.grid.cell[list(made.grid.turns)]
    return float(np.abs(made.s[list(made.grid.knuckles)] - at).max(initial=0.0))


def _within(made: Modelled, allow: FloatArray) -> Modelled:
    """The same with figures that moved farther than is allowed brought back, and the rest fitted to them.

    How well the line is known is not changed by that: the fits that say it are kept.
    """
    grid, own, free = made.grid, np.arange(len(allow)), made
    typed = grid.points[own, grid.measured]
    for _ in range(CLAMPS):
        moved = made.moves + made.grid.points[own, grid.measured] - typed
        over = (np.abs(moved) > (1 + SPENT) * allow) & (allow > 0)
        if not over.any():
            break
        points, sigma = made.grid.points.copy(), made.grid.sigma.copy()
        points[over, grid.measured[over]] = (typed + NEARLY * np.sign(moved) * allow)[over]
        sigma[over] = HELD * allow[over]
        held = replace(made.grid, points=points, sigma=sigma)
        fits = [fit(held, one.prior, one.tau, one.p, one.s) for one in made.fits]
        # Where a figure was brought back says nothing of tau: the chances stay as they were.
        fits = [replace(new, evidence=old.evidence) for new, old in zip(fits, made.fits, strict=True)]
        made = replace(averaged(held, made.prior, fits, sound=True), evidence=made.evidence)
    moved = made.moves + made.grid.points[own, grid.measured] - typed
    return replace(free, p=made.p, shot=made.shot, s=made.s, moves=moved)


def _first_guess(grid: ProfileGrid, prior: Prior, evenly: bool) -> Parameters:
    """Parameters from the chords' turning, over windows so wide that it is surely more than noise, or evenly."""
    n, s = len(grid.s), grid.s
    middle = (s[1:] + s[:-1]) / 2
    turn, ds = np.diff(grid.heading), np.diff(middle)
    turn[[q - 1 for q in grid.knuckles]] = 0.0
    kappa = np.full(n, float(turn.sum()) / float(s[-1] - s[0]))
    if not evenly:
        nearer = np.minimum(s[1:-1] - s[:-2], s[2:] - s[1:-1])
        noise = 2 * SURELY * float(np.median(grid.sigma)) / nearer
        for i in range(n):
            a, b = min(max(i - 1, 0), n - 3), min(max(i, 1), n - 2)
            while abs(turn[a:b].sum()) < SURELY * max(noise[a], noise[b - 1]) and (a > 0 or b < n - 2):
                a, b = (a - 1, b) if a > 0 and (b == n - 2 or (b - a) % 2) else (a, b + 1)
            kappa[i] = turn[a:b].sum() / ds[a:b].sum()
    flat = FLAT / grid.length
    g = np.interp(grid.knots, s, np.arcsinh(kappa / flat) / GAIN)
    start = prior.aim[len(g) :].copy()
    start[0] -= kappa[0] * middle[0]
    return np.concatenate([g, start])
