"""What the readings could not show: for each reference, how far it may be misplaced unseen, and what that does.

A misplacement of s mm in a way w raises the log odds of its being named by s^2 A / 2 on average, A = w'C'K^-1 C w,
with a standard deviation of s sqrt(A); what it has to raise them over is what its own prior costs.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from patterns.hull.planes import FloatArray
from patterns.repair.measuring.ask import other_ways
from patterns.repair.measuring.faults import MOVED, Cause, Suspicion
from patterns.repair.measuring.judge import SURE
from patterns.repair.measuring.model import Model
from patterns.repair.measuring.prior import CHOICES, covariance_parts, mixed
from patterns.repair.measuring.spots import ReferenceKey, predicted

__all__ = ["FARTHEST", "Unseen", "cost_of", "shown_from", "unseen_places"]

SURELY = 1.64  # standard deviations: what is shown is shown 95 times in 100
WAYS = 24  # ways that are looked at
FARTHEST = 100.0  # mm; what may be misplaced farther than this may be anywhere
LEAST = 10.0  # mm of the edge from which it is reported


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Unseen:
    """A misplacement that these readings could not show.

    Attributes:
        refs: what is misplaced, with the sign of its outboard direction.
        way: (2,), the unit vector in which it does most harm unseen.
        size: how far it may be misplaced, mm; `FARTHEST` where any distance would not show.
        harm: how far the edge would be off by that, mm.
        point: the spot that would show it, by its index, if it were measured from another thing.
        source, which: that thing, and which reading from it; None where nothing else is there.
    """

    refs: tuple[tuple[ReferenceKey, float], ...]
    way: FloatArray
    size: float
    harm: float
    point: int
    source: ReferenceKey | None
    which: int


def shown_from(strength: FloatArray, cost: float) -> FloatArray:
    """From how many mm a fault is named 95 times in 100, by its strengths w'C'K^-1 C w (n,)."""
    deviations = SURELY + np.sqrt(SURELY**2 + 2.0 * (cost + SURE))
    return np.asarray(deviations / np.sqrt(np.maximum(strength, 1e-12)))


def cost_of(information: FloatArray, spread: FloatArray, cause: Cause) -> float:
    """What a fault's own prior costs: half the logarithm of the determinant, and its odds beforehand."""
    shares = np.linalg.slogdet(np.eye(len(spread)) + information * np.outer(spread, spread))[1]
    return 0.5 * float(shares) - float(np.log(cause.value))


def unseen_places(model: Model, frame: str = "") -> list[Unseen]:
    """The references that may be misplaced unseen so far that a frame's edge is off by 10 mm, the worst first."""
    h = model.likeliest
    rows = model.rows
    parts = covariance_parts(rows.latents, rows.latents, rows.stretches)
    response = mixed(parts, CHOICES[h]) @ rows.edge.T @ model.inverse[h]  # of the edge, by what is left
    worst: dict[str, Unseen] = {}
    for fault in _places(model, frame):
        found = _unseen(model, fault, response)
        name = fault.refs[0][0][0]
        if found.harm >= LEAST and (name not in worst or worst[name].harm < found.harm):
            worst[name] = found
    return sorted(worst.values(), key=lambda one: -one.harm)


def _places(model: Model, frame: str) -> Iterator[Suspicion]:
    for fault in model.suspicions():
        if fault.cause is Cause.PLACE and any(key[1] == frame for key, _ in fault.refs):
            yield fault


def _unseen(model: Model, fault: Suspicion, response: FloatArray) -> Unseen:
    columns = model.rows.reading @ fault.columns
    information = columns.T @ model.inverse[model.likeliest] @ columns
    angles = np.linspace(0.0, np.pi, WAYS, endpoint=False)
    ways = np.stack([np.cos(angles), np.sin(angles)])  # (2, ways)
    strength = np.sum(ways * (information @ ways), axis=0)
    sizes = np.minimum(shown_from(strength, cost_of(information, np.full(2, MOVED), Cause.PLACE)), FARTHEST)
    real = np.array([latent.key in model.rows.bases for latent in model.rows.latents])
    moved = np.abs(response @ columns @ ways) * real[:, None]  # (latents, ways), mm a mm
    harm = moved.max(axis=0) * sizes
    k = int(harm.argmax())
    i = _spot_of(model, int(moved[:, k].argmax()))
    source, which = _other_reading(model, fault, i)
    return Unseen(
        refs=fault.refs,
        way=ways[:, k],
        size=float(sizes[k]),
        harm=float(harm[k]),
        point=i,
        source=source,
        which=which,
    )


def _spot_of(model: Model, latent: int) -> int:
    return int(np.searchsorted(np.array(model.rows.first), latent, side="right")) - 1


def _other_reading(model: Model, fault: Suspicion, i: int) -> tuple[ReferenceKey | None, int]:
    """From what else that point should be measured, so that the reading says most about the edge there."""
    spot, rows = model.frames.spots[i], model.rows
    latent = rows.latents[rows.first[i]]
    base = rows.bases.get(latent.key)
    if base is None:
        return None, 0
    normal = base.foot(rows.at[i]).normal
    best: tuple[float, ReferenceKey | None, int] = (0.3, None, 0)
    at_fault = {key for key, _ in fault.refs}
    for other in other_ways(model.frames, spot):
        by_place = predicted(other, model.frames.refs, rows.at[i])[1]
        for k, lever in enumerate(np.abs(by_place @ normal)):
            key = other.keys[k if len(other.keys) > 1 else 0]
            if key not in at_fault and lever > best[0]:
                best = (float(lever), key, k)
    return best[1], best[2]
