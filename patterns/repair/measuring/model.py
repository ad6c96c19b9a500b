"""The fit: edges, references and readings together, averaged over what is not known of the prior."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property

import numpy as np

from patterns.hull.planes import FloatArray
from patterns.repair.measuring.equations import Frames, rows_of
from patterns.repair.measuring.faults import Suspicion, place_columns, suspicions
from patterns.repair.measuring.order import folds_of
from patterns.repair.measuring.prior import (
    CHOICES,
    CovarianceParts,
    Latent,
    StretchKey,
    covariance_parts,
    mixed,
)
from patterns.repair.measuring.units import size_odds

__all__ = ["Model"]

LANDS = 15.0  # mm; of the usual step of lands from their median
FOLDED = 20.0  # log odds by which an edge that folds back is less likely, for each fold
LIGHT = 1e-2  # weight of a choice below which it is left out of an edge


class Model:
    """The linear model about the places that the readings give now.

    Attributes:
        frames, rows: what it was made of.
        accepted: faults whose size is open: their columns have a prior of their own.
        folds: the spots at which an edge folds back, which true edges do not.
        size_odds: how ordinary its size is (logarithm).
        inverse: (choices, r, r), of the rows' covariances.
        logs: (choices,), logarithm of the evidence of each, with its prior.
        evidence: of all of them together.
        weights: (choices,), the probability of each.
    """

    def __init__(self, frames: Frames, accepted: Sequence[Suspicion] = ()) -> None:
        self.frames, self.accepted = frames, tuple(accepted)
        self.rows = rows_of(frames)
        covariances = self._covariances()
        lower = np.linalg.cholesky(covariances)
        self.inverse = np.linalg.inv(covariances)
        half = np.log(np.diagonal(lower, axis1=1, axis2=2)).sum(axis=1)
        left = self.rows.left
        fit = np.einsum("hij,i,j->h", self.inverse, left, left)
        self.folds = folds_of(frames.spots, self.rows.at)
        self.size_odds = size_odds(frames.spots, self.rows.at, frames.moulded)
        known = self.rows.volume + self.size_odds - FOLDED * len(self.folds)
        self.logs = known - 0.5 * fit - half + np.array([choice.log for choice in CHOICES])
        self.evidence = float(np.logaddexp.reduce(self.logs))
        self.weights = np.exp(self.logs - self.evidence)

    def _covariances(self) -> FloatArray:
        rows = self.rows
        parts = covariance_parts(rows.latents, rows.latents, rows.stretches)
        parts = CovarianceParts(*(rows.edge @ part @ rows.edge.T for part in parts))
        n = len(rows.left)
        fixed = np.zeros((n, n))
        fixed[n - rows.lands :, n - rows.lands :] += (LANDS / 1.5) ** 2
        for columns in place_columns(self.frames, rows).values():
            moved = self.frames.placed * rows.reading @ columns[:, :2]
            fixed += moved @ moved.T
        for fault in self.accepted:
            column = rows.reading @ fault.columns * fault.spread
            fixed += column @ column.T
        eye = np.eye(n)
        return np.stack([choice.rough**2 * eye + fixed + mixed(parts, choice) for choice in CHOICES])

    @cached_property
    def solved(self) -> FloatArray:
        """(choices, r), the inverse covariances times what is left."""
        return np.asarray(self.inverse @ self.rows.left)

    @property
    def likeliest(self) -> int:
        """The index of the likeliest choice."""
        return int(self.logs.argmax())

    def suspicions(self) -> list[Suspicion]:
        """Every fault that is columns, not judged."""
        return suspicions(self.frames, self.rows)

    def latents(self, frame: str, side: str, stretch: str, shares: FloatArray) -> list[Latent]:
        """Latents at shares (n,) of a stretch."""
        key: StretchKey = (frame, "" if self.frames.compared else side, stretch)
        sign = 1.0 if side == "port" else -1.0
        return [Latent(key, sign, float(share)) for share in shares]

    def known(self, wanted: Sequence[Latent]) -> tuple[FloatArray, FloatArray]:
        """How far the edge lies out of its base curve at latents (n,), and the standard deviation, mm, (n,)."""
        rows = self.rows
        cross = covariance_parts(wanted, rows.latents, rows.stretches)
        cross = CovarianceParts(*(part @ rows.edge.T for part in cross))
        own = covariance_parts(wanted, wanted, rows.stretches)
        own = CovarianceParts(*(np.diag(part).copy() for part in own))
        total, means, squares = 0.0, np.zeros(len(wanted)), np.zeros(len(wanted))
        for h, (choice, weight) in enumerate(zip(CHOICES, self.weights, strict=True)):
            if weight < LIGHT:
                continue
            across = mixed(cross, choice)
            mean = across @ self.solved[h]
            spread = mixed(own, choice) - np.sum((across @ self.inverse[h]) * across, axis=1)
            total += weight
            means += weight * mean
            squares += weight * (spread + mean**2)
        mean = means / total
        return mean, np.sqrt(np.maximum(squares / total - mean**2, 0.0) + self.frames.wood**2)

    def edge(self, frame: str, side: str, stretch: str, shares: FloatArray) -> tuple[FloatArray, FloatArray]:
        """The edge at shares (n,) of a stretch: places (n, 2), and their standard deviation across, mm, (n,)."""
        wanted = self.latents(frame, side, stretch, shares)
        mean, spread = self.known(wanted)
        return self.rows.bases[wanted[0].key].place(shares, mean), spread

    def span(self, frame: str, side: str, stretch: str) -> tuple[float, float]:
        """From which share of a stretch to which it was measured on a side."""
        (one,) = self.latents(frame, side, stretch, np.zeros(1))
        own = [latent.share for latent in self.rows.latents if latent[:2] == one[:2]]
        return min(own), max(own)
