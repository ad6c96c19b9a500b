"""The profile line from few points.

Run: python -m tests.bench.profile_bench [seeds] [families, by commas] [first seed]

Prints for each family (those of `profiles` and of `fresh_profiles`) and each way of writing, on ordinary plans:
the greatest error from the stem's lowest point to 1,100 mm farther aft of the plain batten and of the line that is
used (median / 95 % / worst, mm); how often the line is worse than the batten by more than 0.3 mm, and by more than
its own band; how many spans' errors lie within their bands; the widest band; and how many plans are warned of.
Then false alarms, warnings and slips of 25.4 mm, on ordinary and on well-sampled plans.
"""

from __future__ import annotations

import sys
import time
from dataclasses import dataclass, field, replace

import numpy as np
from scipy.spatial import cKDTree

from patterns.fairing.bands import too_wide
from patterns.fairing.keel import make_profile
from patterns.fairing.lifting import Doubt
from patterns.fairing.paths import FairedPath
from patterns.fairing.profile_model import Modelled
from patterns.fairing.profile_points import PathPoint
from patterns.fairing.slips import explain
from patterns.fairing.suspects import profile_doubts
from patterns.hull.planes import FloatArray
from patterns.measure import Notation
from tests.bench.fresh_profiles import FOR_BANDS, ONLY_JUDGED
from tests.bench.profiles import (
    FAMILIES,
    WRITTEN,
    Sampler,
    TrueProfile,
    Written,
    ordinary_plan,
    well_sampled,
)

SLIP = 25.4  # mm
EVERY = FAMILIES | FOR_BANDS | ONLY_JUDGED
GAP = 1100.0  # mm abaft the stem's lowest point, where the error is looked at


@dataclass
class Tally:
    """What is counted over the plans of one family."""

    errors: list[tuple[float, float]] = field(default_factory=list)  # batten, line
    spans: list[tuple[float, float, float]] = field(default_factory=list)  # batten's error, line's, band
    widest: list[float] = field(default_factory=list)
    warned: int = 0
    kept: int = 0


def points_of(profile: TrueProfile, seed: int, written: Written, sampler: Sampler) -> list[PathPoint]:
    """One plan's points as typed."""
    exact, measured = sampler(profile, seed)
    typed = written.typed(exact, measured, np.random.default_rng(9000 + seed))
    labels = [str(i + 1) for i in range(len(typed))]
    return [
        PathPoint(
            x=float(x), z=float(z), moves="z" if axis else "x", knuckle=False, label=label, stem=axis == 0,
            place=None,
        )
        for (x, z), axis, label in zip(typed, measured, labels, strict=True)
    ]  # fmt: skip


def errors_of(path: FairedPath, profile: TrueProfile) -> FloatArray:
    """The greatest distance from the true profile, along its normals, in each span, mm, shape (n-1,)."""
    tree = cKDTree(np.stack([profile.x, profile.z], axis=1))
    part = np.linspace(0.0, 1.0, 25)
    t = path.t[:-1, None] + np.diff(path.t)[:, None] * part
    at = np.stack([path.x(t), path.z(t)], axis=-1)
    near = tree.query(at)[1]
    dx, dz = np.gradient(profile.x), np.gradient(profile.z)
    away = (at[..., 1] - profile.z[near]) * dx[near] - (at[..., 0] - profile.x[near]) * dz[near]
    return np.asarray(np.abs(away / np.hypot(dx, dz)[near]).max(axis=1))


def judge(family: str, written: Written, count: int, first: int) -> Tally:
    """The errors of ordinary plans of one family."""
    tally = Tally()
    for seed in range(first, first + count):
        profile = EVERY[family](seed)
        points = points_of(profile, seed, written, ordinary_plan)
        made = make_profile("keel", points, allow=written.allow, ends="free")
        batten = errors_of(made.choice.batten, profile)
        line = errors_of(made.path, profile)
        band = np.array([one.half_width for one in made.bands])
        gap = max(i for i, point in enumerate(points) if point.stem)
        near = [i for i in range(gap, len(points) - 1) if points[i].x < points[gap].x + GAP]
        tally.errors.append((batten[near].max(), line[near].max()))
        tally.spans += list(zip(batten, line, band, strict=True))
        tally.widest.append(float(band.max()))
        tally.warned += made.choice.corner is not None or any(too_wide(one) for one in made.bands)
        tally.kept += not made.choice.modelled
    return tally


def print_errors(count: int, families: list[str], first: int) -> None:
    """The table of errors and bands."""
    print(
        f"{count} ordinary plans each; errors in mm, median / 95 % / worst; * families kept apart for judging"
    )
    every: dict[str, list[tuple[float, float, float]]] = {}
    for family in families:
        for written in WRITTEN:
            tally = judge(family, written, count, first)
            batten, line = (np.percentile(e, (50, 95, 100)) for e in np.array(tally.errors).T)
            was, now, band = np.array(tally.spans).T
            every.setdefault(written.name, []).extend(tally.spans)
            star = "*" if family in ONLY_JUDGED else " "
            print(
                f"{star}{family:14s} {written.name:11s} batten {_three(batten)}  line {_three(line)}  worse "
                f"{sum(b + 0.3 < n for b, n in tally.errors):2d}, beyond its band {sum(now > was + band):2d}  "
                f"held {100 * np.mean(now <= band + 0.02):5.1f} %  widest band {np.median(tally.widest):5.1f}  "
                f"warned {tally.warned:2d}, batten kept {tally.kept:2d}",
                flush=True,
            )
    for name, spans in every.items():
        _, now, band = np.array(spans).T
        print(
            f"all, {name:11s}: {100 * np.mean(now <= band + 0.02):.1f} % of {len(spans)} spans within their bands"
        )


def _three(values: FloatArray) -> str:
    return " / ".join(f"{value:5.2f}" for value in values)


def print_slips(count: int, families: list[str], first: int) -> None:
    """False alarms and slips."""
    print(
        f"slips of {SLIP} mm: found / at the right point first / and rightly explained first, of those looked at; "
        "ms for a sound profile's doubts"
    )
    for sampler, name in ((ordinary_plan, "ordinary"), (well_sampled, "well sampled")):
        for written in WRITTEN[1:]:
            alarms = plans = warned = 0
            seen: dict[str, list[tuple[bool, bool, bool]]] = {"inner": [], "head": [], "stern": []}
            spent = []
            for family in families:
                for seed in range(first, first + count):
                    rng = np.random.default_rng(7000 + seed)
                    points = points_of(EVERY[family](seed), seed, written, sampler)
                    made = make_profile("keel", points, allow=written.allow, ends="free")
                    begin = time.process_time()
                    alarms += bool(_doubts(points, written, made.choice.even))
                    spent.append(time.process_time() - begin)
                    plans += 1
                    warned += any(too_wide(band) for band in made.bands)
                    last = len(points) - 1
                    end = ("head", 0) if rng.random() < 0.5 else ("stern", last)
                    for place, i in (("inner", int(rng.integers(1, last))), end):
                        wrong = slipped(points, i, SLIP * float(rng.choice([-1, 1])))
                        seen[place].append(_judged(wrong, points, i, written))
            print(
                f"{name:13s} {written.name:11s} false alarms {alarms} of {plans}, warned of {warned}; "
                + ", ".join(
                    f"{place} {' / '.join(str(int(n)) for n in np.sum(rows, axis=0))} of {len(rows)}"
                    for place, rows in seen.items()
                    if rows
                )
                + f"; {1000 * np.median(spent):.0f} ms",
                flush=True,
            )


def _doubts(points: list[PathPoint], written: Written, even: Modelled | None = None) -> list[Doubt]:
    return profile_doubts(points, written.allow, "free", even, notation=_notation(written))


def _notation(written: Written) -> Notation:
    return Notation.MM if written.step == 1.0 else Notation.FEET_INCHES_EIGHTHS


def _judged(
    wrong: list[PathPoint], good: list[PathPoint], i: int, written: Written
) -> tuple[bool, bool, bool]:
    """Whether a slip is found; named first; and rightly explained first (no usual slip is 25.4 in whole mm)."""
    doubts = _doubts(wrong, written)
    if not doubts or doubts[0].index != i:
        return bool(doubts), False, False
    slips = explain(wrong[i].typed, doubts[0].wanted, unsure=doubts[0].unsure, notation=_notation(written))
    explained = bool(slips) and abs(slips[0].meant - good[i].typed) < 1.0
    return True, True, explained or _notation(written) is Notation.MM


def slipped(points: list[PathPoint], i: int, by: float) -> list[PathPoint]:
    """The same points with one figure wrong."""
    wrong = points[i]
    moved = replace(wrong, x=wrong.x + by) if wrong.moves == "x" else replace(wrong, z=wrong.z + by)
    return [*points[:i], moved, *points[i + 1 :]]


def main(count: int = 10, families: str = "", first: int = 0) -> None:
    """Print everything."""
    chosen = families.split(",") if families else list(EVERY)
    print_errors(count, chosen, first)
    print_slips(max(count // 2, 1), chosen, first)


if __name__ == "__main__":
    main(*(int(word) if word.isdigit() else word for word in sys.argv[1:]))  # type: ignore[arg-type]
