"""Invented stem-and-keel profiles, known exactly, and the points that plans give of them.

x runs aft and z up, mm.  Each family is a function of a seed; some are made from curvature over length, some are
closed forms.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from patterns.hull.planes import FloatArray

__all__ = [
    "FAMILIES",
    "HELD_BACK",
    "TUNING",
    "WRITTEN",
    "Sampler",
    "TrueProfile",
    "Written",
    "ordinary_plan",
    "well_sampled",
]

HEAD, AFT = 900.0, 4400.0  # mm: height of a stem's head, where the keel ends
STEP = 0.5  # mm between neighbouring points of a true profile
Shape = Callable[[FloatArray], FloatArray]


@dataclass(frozen=True, eq=False)
class TrueProfile:
    """A profile as dense points (n,) from the stem's head aft; ``corner`` is the length of a knuckle."""

    name: str
    x: FloatArray
    z: FloatArray
    corner: int | None = None

    @property
    def lowest(self) -> int:
        """The first of the points that lie lowest, within what a plan would measure on the stem."""
        steep = np.abs(np.gradient(self.z, self.x, edge_order=1)) > 0.25
        return int(np.nonzero(steep)[0][-1]) if steep.any() else 0

    def z_at(self, x: FloatArray | float) -> FloatArray:
        """Heights of the keel."""
        return np.asarray(np.interp(x, np.maximum.accumulate(self.x), self.z))

    def x_at(self, z: FloatArray | float) -> FloatArray:
        """Distances aft of the stem."""
        low = int(self.z.argmin())
        return np.asarray(
            np.interp(-np.asarray(z), -np.minimum.accumulate(self.z[: low + 1]), self.x[: low + 1])
        )


def from_curvature(name: str, start: float, kappa: Shape, length: float = 5900.0) -> TrueProfile:
    """The profile that begins ``start`` degrees below level with curvature ``kappa(s)``, 1/mm."""
    s = np.arange(0.0, length, STEP)
    angle = -np.radians(start) + np.concatenate([[0.0], np.cumsum((kappa(s)[1:] + kappa(s)[:-1]) / 2 * STEP)])
    middle = (angle[1:] + angle[:-1]) / 2
    x = np.concatenate([[0.0], np.cumsum(np.cos(middle) * STEP)])
    z = np.concatenate([[0.0], np.cumsum(np.sin(middle) * STEP)])
    keep = x <= AFT
    x, z = x[keep], z[keep]
    return TrueProfile(name, x, z - z.min() + 20.0)


def _bell(at: float, width: float, tail: float) -> Shape:
    return lambda s: np.asarray(1.0 / (1.0 + ((s - at) / width) ** 2) ** tail)


def _sized(shape: Shape, turn: float) -> Shape:
    """A curvature of this shape that turns by ``turn`` radians in all."""
    s = np.arange(0.0, 5900.0, STEP)
    size = turn / (float(shape(s).sum()) * STEP)
    return lambda at: size * shape(at)


def bump(seed: int) -> TrueProfile:
    """One bend between a nearly straight stem and a nearly straight keel."""
    rng = np.random.default_rng(seed)
    start = rng.uniform(48, 82)
    shape = _bell(rng.uniform(650, 1000), rng.uniform(120, 330), rng.uniform(1.0, 1.8))
    keel = rng.uniform(-2e-6, 6e-6)
    bent = _sized(shape, np.radians(start) - 0.01)
    return from_curvature(f"bump {seed}", start, lambda s: bent(s) + keel)


def spoon(seed: int) -> TrueProfile:
    """Curvature that decays from the head aft: a spoon bow."""
    rng = np.random.default_rng(seed)
    start, decay = rng.uniform(40, 60), rng.uniform(350, 700)
    return from_curvature(
        f"spoon {seed}", start, lambda s: np.radians(start) / decay * np.exp(-s / decay) + 1e-6
    )


def oval(seed: int) -> TrueProfile:
    """A quarter of a superellipse, plumb at the head, then a keel with a little rocker."""
    rng = np.random.default_rng(seed)
    a, power = rng.uniform(700, 1300), rng.uniform(1.9, 3.2)
    t = np.linspace(0.0, 1.0, 20001)
    z = HEAD * (1.0 - (1.0 - (1.0 - t) ** power) ** (1.0 / power))
    more = np.arange(a + STEP, AFT, STEP)
    rocker = rng.uniform(0.0, 4e-6)
    return TrueProfile(
        f"oval {seed}", np.concatenate([a * t, more]), np.concatenate([z, rocker * (more - a) ** 2]) + 20.0
    )


def hyperbola(seed: int) -> TrueProfile:
    """One branch of a hyperbola between a raked stem and a keel that rises a little aft."""
    rng = np.random.default_rng(seed)
    cut = rng.uniform(120, 320)
    rake, rise = np.radians(rng.uniform(5, 40)), np.radians(rng.uniform(-0.5, 1.0))
    s = np.arange(-1600.0, 5200.0, STEP)
    r = np.sqrt(s * s + 4 * cut * cut)
    x = 0.5 * (r + s) * np.cos(rise) - 0.5 * (r - s) * np.sin(rake)
    z = 0.5 * (r + s) * np.sin(rise) + 0.5 * (r - s) * np.cos(rake)
    first = int(np.nonzero(z - z.min() < HEAD - 20.0)[0][0])
    x, z = x[first:] - x[first], z[first:] - z.min() + 20.0
    return TrueProfile(f"hyperbola {seed}", x[x <= AFT], z[x <= AFT])


def plumb(seed: int) -> TrueProfile:
    """A plumb stem with a tight forefoot."""
    rng = np.random.default_rng(seed)
    shape = _bell(rng.uniform(650, 800), rng.uniform(90, 220), rng.uniform(1.2, 2.5))
    keel = rng.uniform(0.0, 5e-6)
    start = rng.uniform(80, 89.5)
    bent = _sized(shape, np.radians(start) - 0.005)
    return from_curvature(f"plumb {seed}", start, lambda s: bent(s) + keel)


def clipper(seed: int) -> TrueProfile:
    """A stem that is hollow above and round below."""
    rng = np.random.default_rng(seed)
    at, width = rng.uniform(750, 1000), rng.uniform(160, 300)
    shape, hollow = _bell(at, width, 1.5), _bell(rng.uniform(100, 250), rng.uniform(150, 250), 1.5)
    over = np.radians(rng.uniform(15, 30))
    start = rng.uniform(35, 50)
    down, up = _sized(hollow, -over), _sized(shape, np.radians(start) + over - 0.01)
    return from_curvature(f"clipper {seed}", start, lambda s: down(s) + up(s) + 2e-6)


def rocker(seed: int) -> TrueProfile:
    """A keel that goes on bending all its length."""
    rng = np.random.default_rng(seed)
    start, keel = rng.uniform(45, 75), rng.uniform(2e-5, 7e-5)
    shape = _bell(rng.uniform(600, 900), rng.uniform(150, 330), rng.uniform(1.0, 2.0))
    bent = _sized(shape, np.radians(start) - 3500 * keel / 2)
    return from_curvature(f"rocker {seed}", start, lambda s: bent(s) + keel)


def hog(seed: int) -> TrueProfile:
    """A keel that bends the other way amidships."""
    rng = np.random.default_rng(seed)
    start, back = rng.uniform(48, 78), rng.uniform(1e-5, 4e-5)
    shape = _bell(rng.uniform(650, 950), rng.uniform(140, 300), rng.uniform(1.0, 2.0))
    middle, long = rng.uniform(2500, 3600), rng.uniform(700, 1200)
    bent = _sized(shape, np.radians(start) - 0.005)
    return from_curvature(
        f"hog {seed}", start, lambda s: bent(s) - back * np.exp(-(((s - middle) / long) ** 2)) + 1e-6
    )


def straight_keel(seed: int) -> TrueProfile:
    """A bend that ends, and a keel that is straight from there."""
    rng = np.random.default_rng(seed)
    start, a, long = rng.uniform(50, 80), rng.uniform(250, 500), rng.uniform(600, 1100)

    def shape(s: FloatArray) -> FloatArray:
        u = np.clip((s - a) / long, 0.0, 1.0)
        return np.asarray((u * (1 - u)) ** 2)

    bent = _sized(shape, np.radians(start) - rng.uniform(0.0, 0.02))
    return from_curvature(f"straight keel {seed}", start, bent)


def arc(seed: int) -> TrueProfile:
    """A straight stem, an arc of a circle and a straight keel, tangent to one another."""
    rng = np.random.default_rng(seed)
    start, radius, a = rng.uniform(50, 80), rng.uniform(350, 800), rng.uniform(250, 500)
    end = a + radius * np.radians(start)
    return from_curvature(f"arc {seed}", start, lambda s: np.where((s > a) & (s < end), 1 / radius, 0.0))


def level(seed: int) -> TrueProfile:
    """A low forefoot that runs nearly level for a long way, in two bends."""
    rng = np.random.default_rng(seed)
    start = rng.uniform(55, 80)
    part = rng.uniform(0.6, 0.85)
    one = _bell(rng.uniform(450, 700), rng.uniform(130, 260), 1.6)
    two = _bell(rng.uniform(1200, 1900), rng.uniform(400, 800), 1.6)
    bent, more = _sized(one, part * np.radians(start)), _sized(two, (1 - part) * np.radians(start))
    return from_curvature(f"level {seed}", start, lambda s: bent(s) + more(s))


def tanh_bend(seed: int) -> TrueProfile:
    """A bend whose angle goes as tanh, on a keel with a long sweep."""
    rng = np.random.default_rng(seed)
    lean, sweep = rng.uniform(5, 35), rng.uniform(0.01, 0.04)
    corner, wide = rng.uniform(650, 950), rng.uniform(120, 320)
    turn = np.radians(90 - lean) / 2 / wide

    def kappa(s: FloatArray) -> FloatArray:
        return np.asarray(
            turn / np.cosh((s - corner) / wide) ** 2 + sweep / 4000 * np.cos((s - corner) / 4000)
        )

    return from_curvature(f"tanh {seed}", 90 - lean, kappa)


def skewed(seed: int) -> TrueProfile:
    """A bend that begins quickly and ends slowly (a gamma density), on a slightly rockered keel."""
    rng = np.random.default_rng(seed)
    start, power, decay = rng.uniform(48, 85), rng.uniform(2.0, 5.0), rng.uniform(130, 260)

    def shape(s: FloatArray) -> FloatArray:
        return np.asarray(np.maximum(s, 1e-9) ** power * np.exp(-s / decay))

    bent = _sized(shape, np.radians(start) - 0.01)
    keel = rng.uniform(0.0, 8e-6)
    return from_curvature(f"skewed {seed}", start, lambda s: bent(s) + keel)


def spline_bow(seed: int) -> TrueProfile:
    """A Bezier curve of the fifth degree from a raked head to a keel with rocker."""
    rng = np.random.default_rng(seed)
    rake = np.radians(rng.uniform(5, 40))
    reach = np.array([0.0, 0.35, 0.7]) * rng.uniform(900, 1150)
    fore = np.stack([reach * np.sin(rake), 900.0 - reach * np.cos(rake)], axis=1)
    foot = fore[-1, 0] + rng.uniform(150, 350)
    aft = np.array(
        [[foot, 40.0], [foot + rng.uniform(900, 1500), 20.0], [AFT + 60.0, rng.uniform(20.0, 60.0)]]
    )
    control = np.concatenate([fore, aft])
    u = np.linspace(0.0, 1.0, 20001)[:, None]
    parts = [c + 0.0 * u for c in control]
    while len(parts) > 1:
        parts = [a * (1 - u) + b * u for a, b in pairwise(parts)]
    x, z = parts[0].T
    keep = x <= AFT
    return TrueProfile(f"spline {seed}", x[keep] - x[0], z[keep] - z.min() + 20.0)


TUNING: dict[str, Callable[[int], TrueProfile]] = {
    "bump": bump, "spoon": spoon, "oval": oval, "hyperbola": hyperbola, "plumb": plumb, "clipper": clipper,
    "rocker": rocker, "hog": hog, "straight keel": straight_keel, "arc": arc,
}  # fmt: skip
HELD_BACK: dict[str, Callable[[int], TrueProfile]] = {
    "level forefoot": level, "tanh bend": tanh_bend, "skewed bend": skewed, "spline": spline_bow,
}  # fmt: skip
FAMILIES = TUNING | HELD_BACK


@dataclass(frozen=True)
class Written:
    """How a table's figures come to be: rounded to a step or with even noise, mm."""

    name: str
    step: float = 0.0
    noise: float = 0.0

    @property
    def allow(self) -> float:
        """How far a good figure may be off, mm."""
        return self.step / 2 + self.noise

    def typed(self, points: FloatArray, measured: NDArray[np.intp], rng: np.random.Generator) -> FloatArray:
        """Points (n, 2) with the measured figures as they are typed."""
        points, own = points.copy(), np.arange(len(points))
        if self.step:
            points[own, measured] = np.round(points[own, measured] / self.step) * self.step
        if self.noise:
            points[own, measured] += rng.uniform(-self.noise, self.noise, len(points))
        return points


EIGHTH = 25.4 / 8
WRITTEN = (
    Written("exact"),
    Written("whole mm", step=1.0),
    Written("1/16 in", step=EIGHTH / 2),
    Written("1/8 in", step=EIGHTH),
    Written("noise 1/8", noise=EIGHTH),
)
Sampler = Callable[[TrueProfile, int], tuple[FloatArray, NDArray[np.intp]]]


def ordinary_plan(
    profile: TrueProfile, seed: int, *, heights: int = 10, step: float = 480.0
) -> tuple[FloatArray, NDArray[np.intp]]:
    """Points (n, 2) as an ordinary plan has them, and which coordinate was measured (n,): 0 for x, 1 for z.

    Heights on the stem down to some 140 mm above the base, then the keel at stations from some 800 mm aft.
    """
    rng = np.random.default_rng(seed)
    head, low = float(profile.z[0]), float(profile.z.min())
    at = np.linspace(head, 140.0 + low, heights)[1:] + rng.uniform(-8, 8, heights - 1)
    stem = np.stack([profile.x_at(at), at], axis=1)
    stations = np.arange(rng.uniform(780, 900), AFT - 120, step)
    stations = np.append(stations[stations > stem[-1, 0] + 150.0], AFT - 20)
    keel = np.stack([stations, profile.z_at(stations)], axis=1)
    points = np.vstack([[[profile.x[0], head]], stem, keel])
    return points, np.array([0] * (1 + len(stem)) + [1] * len(keel))


def well_sampled(
    profile: TrueProfile, seed: int, *, turn: float = 12.0, step: float = 480.0
) -> tuple[FloatArray, NDArray[np.intp]]:
    """The same with a stem's point at every ``turn`` degrees or 160 mm, on until the keel runs level."""
    rng = np.random.default_rng(seed)
    heading = np.unwrap(np.arctan2(np.gradient(profile.z), np.gradient(profile.x)))
    length = np.concatenate([[0.0], np.cumsum(np.hypot(np.diff(profile.x), np.diff(profile.z)))])
    measure = np.concatenate(
        [[0.0], np.cumsum(np.maximum(np.abs(np.diff(heading)) / np.radians(turn), np.diff(length) / 160.0))]
    )
    flat = int(np.nonzero(np.abs(heading) > np.radians(4.0))[0][-1]) if np.abs(heading[0]) > 0.07 else 0
    flat = int(np.searchsorted(profile.x, min(profile.x[flat], 1300.0)))
    count = int(np.ceil(measure[flat])) + 1
    at = np.interp(np.linspace(0.0, measure[flat], count), measure, np.arange(len(measure))).astype(int)
    stem = np.stack([profile.x[at], profile.z[at]], axis=1)
    measured = [0 if abs(heading[k]) > np.radians(40) else 1 for k in at]
    stations = np.arange(rng.uniform(780, 900), AFT - 120, step)
    stations = np.append(stations[stations > stem[-1, 0] + 60.0], AFT - 20)
    keel = np.stack([stations, profile.z_at(stations)], axis=1)
    return np.vstack([stem, keel]), np.array([*measured, *[1] * len(keel)])
