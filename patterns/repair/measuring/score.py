"""How likely each fault is beside none: its Bayes factor, averaged over what is not known of the prior.

Of a column C with prior variance S: ln BF = x.A^-1.x / 2 - ln|A| / 2 - ln|S| / 2 with A = C'K^-1 C + S^-1 and
x = C'K^-1 z, by the matrix determinant lemma and Woodbury's identity.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from patterns.repair.measuring.faults import Suspicion
from patterns.repair.measuring.model import Model

__all__ = ["judged"]


def judged(model: Model, faults: Sequence[Suspicion]) -> list[Suspicion]:
    """The faults with their log odds and their likeliest sizes, the likeliest first."""
    found: list[Suspicion] = []
    for q in sorted({len(fault.spread) for fault in faults}):
        found += _of_width(model, [fault for fault in faults if len(fault.spread) == q], q)
    return sorted(found, key=lambda fault: -fault.log_odds)


def _of_width(model: Model, faults: Sequence[Suspicion], q: int) -> list[Suspicion]:
    n, rows = len(faults), model.rows
    columns = rows.reading @ np.hstack([fault.columns for fault in faults])  # (r, n q)
    spread = np.stack([fault.spread for fault in faults])  # (n, q)
    shaped = columns.reshape(-1, n, q)
    logs = np.empty((len(model.logs), n))
    best, sizes = np.full(n, -np.inf), np.zeros((n, q))
    for h, inverse in enumerate(model.inverse):
        turned = (inverse @ columns).reshape(-1, n, q)
        if q == 1:
            strength = np.sum(shaped * turned, axis=0)[:, :, None]
        else:
            strength = np.einsum("rki,rkj->kij", shaped, turned)
        a = strength + spread[:, :, None] ** -2.0 * np.eye(q)
        x = (columns.T @ model.solved[h]).reshape(n, q)
        size = np.linalg.solve(a, x[..., None])[..., 0]
        logs[h] = model.logs[h] + 0.5 * ((x * size).sum(axis=1) - np.log(np.linalg.det(a)))
        logs[h] -= np.log(spread).sum(axis=1)
        better = logs[h] > best
        best[better], sizes[better] = logs[h][better], size[better]
    odds = np.logaddexp.reduce(logs, axis=0) - model.evidence
    return [
        replace(fault, log_odds=float(odds[k] + np.log(fault.cause.value)), size=sizes[k])
        for k, fault in enumerate(faults)
    ]
