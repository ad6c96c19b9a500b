"""How stiff the battens of a round bilge are, and how noisy its offsets: read from the offsets themselves.

Those stiffnesses are taken under which the offsets are likeliest, separately for the battens lengthwise in each of
the stretches of the length and for those across.  Few offsets do not settle them: they could call every offset true
and the battens limp.  So the stiffnesses start from what boats of this size usually have, with a log-normal prior,
and the offsets from half of the allowed move, root mean square; they are never given more noise than that.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from patterns.fairing.batten import SPENT
from patterns.hull.planes import FloatArray

__all__ = ["STRETCHES", "Stiffness", "usual_stiffness"]

STRETCHES = (0.25, 0.6)  # parts of the length at which one stretch ends: the bow bends most, the run least
# The usual load, of the boat's size, at 12 spans lengthwise, and the standard deviation of its logarithm; from the
# invented boats of five families, widened.
LENGTHWISE = ((0.03, 1.2), (0.005, 0.7), (0.0018, 0.8))
CROSSWISE = (0.02, 0.7)
SPANS, FALLS = 12.0, 3.0  # loads lengthwise fall with this power of the spans
KNOWN = (
    0.3  # of the number of offsets: what the offsets' noise being half of the allowed move counts beforehand
)
SETTLE = 10  # rounds in which the stiffnesses settle
FACTORS = np.linspace(-2.0, 6.0, 17)  # logarithms of the factors of all stiffnesses that are tried


@dataclass(slots=True, kw_only=True, eq=False)
class Stiffness:
    """The battens' stiffnesses and the offsets' noise, as they settle.

    Attributes:
        loads: for each group of battens its loads by moves of the net, (rows, n), and those of the first
            surface, (rows,).
        squares: for each group the loads' own products by moves, (n, n).
        usual, vary: the logarithms of the weights that boats of this size usually have, and the standard deviation
            of half of each from boat to boat.
        weights: one for each group, 1/mm^2.
        noise: the offsets' variance, in tolerances squared.
    """

    loads: list[tuple[FloatArray, FloatArray]]
    squares: list[FloatArray]
    usual: list[float]
    vary: list[float]
    weights: list[float]
    noise: float = SPENT**2

    def limp(self, group: int) -> float:
        """How much more than usual a group's battens bend: the logarithm of their loads over the usual ones."""
        return 0.5 * (self.usual[group] - float(np.log(self.weights[group])))

    def settle(
        self, seen: FloatArray, wanted: FloatArray, held: FloatArray, held_wanted: FloatArray
    ) -> tuple[FloatArray, FloatArray]:
        """The moves under the likeliest stiffnesses, and their covariance.

        Args:
            seen, wanted: the offsets' rows (n, k) and what they ask for (n,), in tolerances.
            held, held_wanted: the same of the rabbet, in its own tolerance.
        Source: S. N. Wood, M. Fasiolo, "A generalized Fellner-Schall method for smoothing parameter optimization",
            Biometrics 73 (2017) 1071-1081, from memory.
        """
        square, slope = seen.T @ seen, seen.T @ wanted
        fixed, fixed_slope = held.T @ held, held.T @ held_wanted
        u, spread = np.zeros(len(square)), np.zeros_like(square)
        for _ in range(SETTLE):
            stiff: FloatArray = fixed.copy()
            for w, s in zip(self.weights, self.squares, strict=True):
                stiff = np.asarray(stiff + w * s)
            prior = np.linalg.inv(_steadied(stiff))
            spread = np.asarray(np.linalg.inv(_steadied(stiff + square / self.noise)), dtype=np.float64)
            pull = slope / self.noise + fixed_slope
            for w, (by_move, first) in zip(self.weights, self.loads, strict=True):
                pull = pull - w * by_move.T @ first
            u = spread @ pull
            for k, (by_move, first) in enumerate(self.loads):
                load = first + by_move @ u
                w = self.weights[k]
                gained = w * float(((prior - spread) * self.squares[k]).sum())
                beyond = (np.log(w) - self.usual[k]) / (2.0 * self.vary[k] ** 2)
                self.weights[k] *= (max(gained, 0.0) + max(-beyond, 0.0) + 1e-9) / (
                    w * float(load @ load) + max(beyond, 0.0) + 1e-9
                )
            left = seen @ u - wanted
            spent = float((spread * square).sum()) / self.noise
            known = KNOWN * len(left)
            self.noise = min(
                float(left @ left + known * SPENT**2) / (max(len(left) - spent, 0.0) + known), SPENT**2
            )
        return u, spread

    def lifted(
        self, seen: FloatArray, wanted: FloatArray, held: FloatArray, held_wanted: FloatArray
    ) -> tuple[FloatArray, FloatArray]:
        """Each offset's spring off the surface through all others, and its deviation; each (n,).

        A slip makes all battens seem limper than they are, so for each offset the stiffness is the likeliest one
        without it: all groups at once by one factor.

        Args:
            seen, wanted, held, held_wanted: see `settle`.
        """
        stiff = sum(
            (w * s for w, s in zip(self.weights, self.squares, strict=True)), np.zeros((seen.shape[1],) * 2)
        )
        both = _steadied(stiff + seen.T @ seen / self.noise + held.T @ held)
        lower = np.linalg.inv(np.linalg.cholesky(both))
        share, turn = np.linalg.eigh(lower @ stiff @ lower.T)
        share = np.clip(share, 0.0, 1.0)
        to = lower.T @ turn  # (k, k)
        rows = seen @ to
        first = np.sum([w * m.T @ f for w, (m, f) in zip(self.weights, self.loads, strict=True)], axis=0)
        data = (seen.T @ wanted / self.noise + held.T @ held_wanted) @ to
        own = first @ to
        at_rest = float(sum(w * f @ f for w, (_, f) in zip(self.weights, self.loads, strict=True)))
        bent = int((share > 1e-9).sum())
        best = np.full(len(wanted), -np.inf)
        spring, deviation = np.zeros(len(wanted)), np.zeros(len(wanted))
        for factor in FACTORS:
            much = np.exp(factor)
            loose = 1.0 / (1.0 + (much - 1.0) * share)
            pull = data - much * own
            off = wanted - rows @ (loose * pull)
            free = np.clip(1.0 - (rows**2 @ loose) / self.noise, 1e-6, 1.0)
            z = off / np.sqrt(self.noise * free)
            likely = 0.5 * (bent * factor + np.log(loose).sum() - much * at_rest + (loose * pull**2).sum())
            likely -= sum(
                (np.log(w) + factor - u) ** 2 / (8.0 * v**2)
                for w, u, v in zip(self.weights, self.usual, self.vary, strict=True)
            )
            without = likely + 0.5 * z**2 - 0.5 * np.log(free)
            better = without > best
            best = np.where(better, without, best)
            spring, deviation = np.where(better, off / free, spring), np.where(better, z, deviation)
        return spring, deviation


def _steadied(square: FloatArray) -> FloatArray:
    """The matrix with a hair on its diagonal, so that it can be inverted whatever the offsets leave open."""
    return square + 1e-10 * float(np.trace(square)) / len(square) * np.eye(len(square))


def usual_stiffness(
    lengthwise: Sequence[FloatArray],
    crosswise: FloatArray,
    *,
    base: FloatArray,
    ways: FloatArray,
    loose: NDArray[np.intp],
    spans: int,
) -> Stiffness:
    """The groups of battens with the stiffness that boats usually have.

    Args:
        lengthwise, crosswise: loads by the net's points, for each stretch and across, (rows, count).
        base: shape (count, 2), the first surface's net, mm.
        ways: shape (n, 2), in which its loose points move.
        loose: shape (n,), their indices.
        spans: how many breaks there are lengthwise.
    """
    size = float(np.hypot(*np.ptp(base, axis=0)))
    finer = (SPANS / max(spans, 1)) ** FALLS
    groups = [(m, share * finer, vary) for m, (share, vary) in zip(lengthwise, LENGTHWISE, strict=True)]
    groups = [group for group in (*groups, (crosswise, *CROSSWISE)) if len(group[0])]
    loads = []
    for matrix, _, _ in groups:
        mine = matrix[:, loose]
        by_move = np.vstack([mine * ways[:, 0], mine * ways[:, 1]])
        loads.append((by_move, np.concatenate([matrix @ base[:, 0], matrix @ base[:, 1]])))
    usual = [float(-2.0 * np.log(size * share)) for _, share, _ in groups]
    return Stiffness(
        loads=loads,
        squares=[m.T @ m for m, _ in loads],
        usual=usual,
        vary=[vary for _, _, vary in groups],
        weights=[float(np.exp(log)) for log in usual],
    )
