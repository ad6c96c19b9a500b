"""How near the batten comes to the best guess.  Run: python -m tests.bench.best_guess_bench [boats] [first seed]

Chine and sheer of invented boats, for each way of writing: how far the figures as typed, the batten through them,
and the mean of all lines that they allow are off the true line: at the stern, and where each is off most (not in
the bow's first 200 mm).  No estimator that knows only the figures does better on average than that mean, as far as
the lines are such as it weighs.  What is left at the stern is the last figure's own error, which nothing smooths.
"""

from __future__ import annotations

import sys
from collections import defaultdict
from collections.abc import Iterator

import numpy as np

from patterns.fairing.batten import fair
from patterns.fairing.evenness import NOISE
from patterns.fairing.possible import Possible, possible
from patterns.hull.planes import FloatArray
from tests.patterns.analytic_boats import ROUNDINGS, Function, Rounding, analytic_boat

BOW, STEP = 200.0, 1.0  # mm


def lines(seed: int) -> Iterator[tuple[Function, FloatArray, bool]]:
    """Chine and sheer in both views: the true line, its places in the table, whether it runs across."""
    boat = analytic_boat(seed)
    count = 8 + seed % 4
    stations = 230.0 + (min(boat.aft_x.values()) - 230.0) / (count + 0.2) * np.arange(count)
    for name in ("chine", "sheer"):
        inside = stations[stations > boat.fore_x[name] + 1.0]
        x = np.array([boat.fore_x[name], *inside, boat.aft_x[name]])
        for axis in "yz":
            yield getattr(boat, f"{name}_{axis}"), x, axis == "y"


def best_guess(every: Possible, at: FloatArray) -> FloatArray:
    """The mean of all possible lines: what is missed by two curves beside each other says where it lies."""
    zero = np.zeros(len(at))
    near, far = every.missed(at, zero) ** 2, every.missed(at, zero + STEP) ** 2
    return np.asarray((near - far + STEP**2) / (2.0 * STEP))


def errors(rounding: Rounding, seed: int) -> Iterator[dict[str, tuple[float, float]]]:
    """For each line how far each curve is off: at the stern, and most, mm."""
    rng = np.random.default_rng(5000 + seed)
    for line, x, across in lines(seed):
        y = np.array([float(rounding.typed(float(v), rng)) for v in line(x)])
        held = np.full(len(x), rounding.allow)
        if across:
            y[0], held[0] = line(x)[0], 0.0  # half the stem's siding
        at = np.linspace(x[0] + BOW, x[-1], 200)
        every = possible(x, y, noise=np.maximum(held * NOISE, 0.01))
        off = {
            "typed": np.abs(y - line(x)),
            "batten": np.abs(fair(x, y, tolerance=held).curve(at) - line(at)),
            "best guess": np.abs(best_guess(every, at) - line(at)),
        }
        yield {name: (float(values[-1]), float(values.max())) for name, values in off.items()}


def main(boats: int = 40, first: int = 0) -> None:
    """Print the table."""
    print(f"{boats} boats; off the true line, mm: at the stern rms / 95 % / worst; most rms / 95 % / worst")
    for rounding in ROUNDINGS[1:]:
        found: dict[str, list[tuple[float, float]]] = defaultdict(list)
        for seed in range(first, first + boats):
            for row in errors(rounding, seed):
                for name, values in row.items():
                    found[name].append(values)
        for name, rows in found.items():
            words = [
                f"{np.sqrt(np.mean(v**2)):5.2f} / {np.percentile(v, 95):5.2f} / {v.max():5.2f}"
                for v in np.array(rows).T
            ]
            print(f"{rounding.name:13s} {name:10s} {';  '.join(words)}", flush=True)


if __name__ == "__main__":
    main(*(int(word) for word in sys.argv[1:]))
