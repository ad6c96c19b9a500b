"""Bevels as readings: how true they come out along the edge, beside straight steps, and which faults are named.

    python -m tests.bench.gauge_bench [FRAMES]

Bevels of invented frames turn smoothly along each stretch, nearly alike on both sides. A gauge is held to each
side at some points, true to half a degree, and read to half a degree. Printed in degrees: the error that 95 of
100 frames' worst places have, with steps that are straight between readings and flat beyond them, and as
fitted; in hundredths: places inside the stated band, false doubts, slips and reversed readings named among the
causes.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence

import numpy as np

from patterns.hull.planes import FloatArray
from patterns.repair.measuring.bevels import BevelFit, BevelReading, ReadBy, fitted_bevels
from tests.patterns.measured_frames import SIDES

FRAMES = 200
KINDS = {
    "round": (("planking", 9),),
    "chine": (("bottom", 5), ("side", 5)),
    "clinker": (("a", 2), ("b", 2), ("c", 2)),
}
TIMES = np.linspace(0.0, 1.0, 25)
Curve = tuple[float, float, float, float]


def _true(rng: np.random.Generator, kind: str) -> dict[tuple[str, str], Curve]:
    """Of every stretch: level, even turn, swell in degrees, and the place of the swell."""
    level, found = rng.normal(0.0, 6.0), {}
    for name, _ in KINDS[kind]:
        own = np.array(
            [level + rng.normal(0.0, 3.0), rng.normal(0.0, 2.5), rng.normal(0.0, 1.5), rng.uniform(0.3, 0.7)]
        )
        for side in SIDES:
            found[side, name] = tuple(float(v) for v in own + np.append(rng.normal(0.0, 0.3, 3), 0.0))
    return found  # type: ignore[return-value]


def _at(curve: Curve, share: FloatArray) -> FloatArray:
    level, turn, swell, place = curve
    return np.asarray(
        level + turn * (2.0 * share - 1.0) + swell * np.exp(-0.5 * ((share - place) / 0.3) ** 2)
    )


def _read(rng: np.random.Generator, kind: str, true: dict[tuple[str, str], Curve]) -> list[BevelReading]:
    found = []
    for side in SIDES:
        for name, many in KINDS[kind]:
            for k, share in enumerate(np.linspace(0.08, 0.92, many)):
                degrees = float(_at(true[side, name], np.array([share]))[0]) + rng.normal(0.0, 0.5)
                found.append(
                    BevelReading(
                        side=side,
                        stretch=name,
                        share=float(share),
                        length=500.0,
                        degrees=round(2.0 * degrees) / 2.0,
                        means=ReadBy.GAUGE,
                        point=f"{name}{k}",
                    )
                )
    return found


def _errors(
    true: dict[tuple[str, str], Curve], readings: Sequence[BevelReading], fit: BevelFit
) -> tuple[float, float, float]:
    """The worst error by straight steps and as fitted, degrees, and the share of places inside the band."""
    steps, fitted, inside = [], [], []
    for (side, name), curve in true.items():
        own = [one for one in readings if (one.side, one.stretch) == (side, name)]
        by_steps = np.interp(TIMES, [one.share for one in own], [one.degrees for one in own])
        degrees, unsure = fit.at("port" if side == "port" else "starboard", name, TIMES, 500.0)
        right = _at(curve, TIMES)
        steps.append(np.abs(by_steps - right).max())
        fitted.append(np.abs(degrees - right).max())
        inside.append(np.mean(np.abs(degrees - right) < 1.96 * unsure))
    return float(max(steps)), float(max(fitted)), float(np.mean(inside))


def _named(fit: BevelFit, chosen: set[int], *, turned: bool) -> bool:
    return any(
        set(one.readings) == chosen and (one.size is None) == turned for faults in fit.found for one in faults
    )


def _spoiled(
    readings: Sequence[BevelReading], chosen: set[int], *, add: float = 0.0, turn: bool = False
) -> BevelFit:
    from dataclasses import replace

    return fitted_bevels([
        replace(one, degrees=-one.degrees if turn else one.degrees + add) if i in chosen else one
        for i, one in enumerate(readings)
    ])  # fmt: skip


def main() -> None:
    """Print a line for each kind."""
    frames = int(sys.argv[1]) if len(sys.argv) > 1 else FRAMES
    print("kind      steps  fitted  inside  false | slip of 5  of 10 | reversed: reading  stretch  side")
    for kind in KINDS:
        errors, false = [], 0
        named = dict.fromkeys(("5", "10", "reading", "stretch", "side"), 0)
        for seed in range(frames):
            rng = np.random.default_rng(seed)
            true = _true(rng, kind)
            readings = _read(rng, kind, true)
            sound = fitted_bevels(readings)
            false += bool(sound.found)
            errors.append(_errors(true, readings, sound))
            i = int(rng.integers(len(readings)))
            one = readings[i]
            alike = {k for k, other in enumerate(readings) if other.side == one.side}
            stretch = {k for k in alike if readings[k].stretch == one.stretch}
            for size in (5, 10):
                fit = _spoiled(readings, {i}, add=size * float(rng.choice([-1.0, 1.0])))
                named[str(size)] += _named(fit, {i}, turned=False)
            for key, chosen in (("reading", {i}), ("stretch", stretch), ("side", alike)):
                named[key] += _named(_spoiled(readings, chosen, turn=True), chosen, turned=True)
        steps, fitted = (np.quantile([e[k] for e in errors], 0.95) for k in (0, 1))
        shares = {key: 100 * count / frames for key, count in named.items()}
        print(
            f"{kind:8s} {steps:6.1f} {fitted:7.1f} {100 * np.mean([e[2] for e in errors]):7.0f} "
            f"{100 * false / frames:6.1f} | {shares['5']:9.0f} {shares['10']:6.0f} | "
            f"{shares['reading']:17.0f} {shares['stretch']:8.0f} {shares['side']:5.0f}",
            flush=True,
        )


if __name__ == "__main__":
    main()
