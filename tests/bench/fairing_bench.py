"""What fairing gives on invented lines.  Run: python -m tests.bench.fairing_bench [lines for false alarms]

Prints, seeded: the error left after fairing, beside a baseline of our own; how often a slip is
found, at the right station, and rightly named; how often a good line is doubted; and the cost.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import replace

import numpy as np

from patterns.fairing.batten import fair
from patterns.fairing.blame import Blame, blamed
from patterns.fairing.ends import blunt_from
from patterns.fairing.evenness import NOISE
from patterns.fairing.lines import fair_lines
from patterns.fairing.paths import fair_path
from patterns.fairing.profile_points import chain, keel_points, stem_points
from patterns.fairing.suspects import profile_doubts
from patterns.hull.planes import FloatArray
from patterns.measure import Notation
from tests.bench.exact_boats import EIGHTH, design_for, exact_boat, table_of
from tests.bench.hull_lines import LENGTH, HullLine, hull_lines, stations

Slip = Callable[[float, np.random.Generator], float | None]


def lines(seed: int) -> Iterator[HullLine]:
    """Lines without end."""
    rng = np.random.default_rng(seed)
    while True:
        yield from hull_lines(rng)


def taken(line: HullLine, x: FloatArray, how: str, rng: np.random.Generator) -> tuple[FloatArray, float]:
    """Offsets of a line as a table has them, and the tolerance that goes with them, mm."""
    exact = line.at(x)
    if how == "exact":
        return exact, 0.0
    if how == "rounded to 1/8 in":
        return np.round(exact / EIGHTH) * EIGHTH, EIGHTH / 2
    if how == "noise ±1/8 in":
        return exact + rng.uniform(-EIGHTH, EIGHTH, len(x)), EIGHTH
    assert how == "rounded to 1 mm"
    return np.round(exact), 0.5


def error_left(how: str, count: int, *, ends: str = "free", number: int = 300) -> tuple[float, float, float]:
    """Mean RMS, mean largest and 95th percentile largest error, mm, over seeded lines."""
    rng, x, dense = np.random.default_rng(1), stations(count), np.linspace(0.0, LENGTH, 401)
    errors = []
    for line, _ in zip(lines(seed=7), range(number), strict=False):
        y, tolerance = taken(line, x, how, rng)
        error = fair(x, y, tolerance=tolerance, ends=ends).curve(dense) - line.at(dense)  # type: ignore[arg-type]
        errors.append((np.sqrt(np.mean(error**2)), np.abs(error).max()))
    rms, most = np.array(errors).T
    return float(rms.mean()), float(most.mean()), float(np.percentile(most, 95))


def blunt_bow(step: float = EIGHTH, number: int = 100) -> tuple[float, float, float]:
    """Largest errors, mm, by the root of the distance and as y(x); and how often the root is chosen."""
    rng, by_root, by_x, chosen = np.random.default_rng(3), [], [], 0
    for _ in range(number):
        full, k = rng.uniform(500, 800), rng.uniform(0.3, 0.6)
        draw = rng.uniform(0.05, 0.2)

        def at(x: FloatArray, full: float = full, k: float = k, draw: float = draw) -> FloatArray:
            u = x / LENGTH
            return np.asarray(full * (np.sqrt(u) * (1 + k) - k * u) * (1 - draw * u**3))

        x, dense = stations(10), np.linspace(0, LENGTH, 2001)
        y = np.round(at(x) / step) * step if step else at(x)
        held = np.full(10, step / 2)
        held[0] = 0.0
        forward = blunt_from(x, y, noise=max(step / 2, 0.05) * NOISE)
        by = forward or 0.0
        rooted = fair(np.sqrt(x + by), y, tolerance=held).curve(np.sqrt(dense + by))
        by_root.append(np.abs(rooted - at(dense)).max())
        by_x.append(np.abs(fair(x, y, tolerance=held).curve(dense) - at(dense)).max())
        chosen += forward is not None
    return float(np.mean(by_root)), float(np.mean(by_x)), chosen / number


def stem_alone(extra: bool, number: int = 60) -> float:
    """Largest error of a batten on a stem given exactly at 8 heights (and two more at the forefoot), mm."""
    rng, errors = np.random.default_rng(4), []
    for _ in range(number):
        boat = exact_boat(rng)
        foot = int(np.argmin(np.abs(boat.heading + np.radians(12))))
        x, z = boat.profile[: foot + 1].T
        heights = np.linspace(z[0], z[-1], 8)
        if extra:
            heights = np.sort(
                [*heights, *(heights[-1] + (heights[-2] - heights[-1]) * np.array([0.2, 0.5]))]
            )[::-1]
        xz = np.stack([np.interp(heights, z[::-1], x[::-1]), heights], axis=1)
        path = fair_path(xz, np.zeros_like(xz))
        t = np.linspace(path.t[0], path.t[-1], 1500)
        errors.append(boat.off_profile(np.stack([path.x(t), path.z(t)], axis=1)).max())
    return float(np.mean(errors))


def whole_profile(step: float, noise: float, allow: float, number: int = 60) -> tuple[float, float]:
    """Mean and 95th percentile of the largest error of the profile line, stem's points at 18 degrees of turn."""
    rng, errors = np.random.default_rng(5), []
    for _ in range(number):
        boat = exact_boat(rng)
        table = table_of(boat, step=step, noise=noise, rng=rng, count=int(rng.integers(6, 11)))
        profile = fair_lines(table, design_for(boat, allow=allow)).profile
        points = profile.at(np.linspace(profile.start, profile.end, 1500))
        errors.append(boat.off_profile(points[:, [0, 2]]).max())
    return float(np.mean(errors)), float(np.percentile(errors, 95))


def _sign_of_eighths(value: float, _: np.random.Generator) -> float | None:
    eighths = int(np.floor(value / EIGHTH + 1e-6)) % 8
    return value - 2 * eighths * EIGHTH if eighths else None


def _swapped(value: float, _: np.random.Generator) -> float | None:
    all_eighths = int(np.floor(value / EIGHTH + 1e-6))
    inches, eighths = divmod(all_eighths % 96, 8)
    if inches > 7 or inches == eighths:
        return None
    return value + ((eighths - inches) * 8 + inches - eighths) * EIGHTH


def _figures(value: float, rng: np.random.Generator) -> float | None:
    text = f"{value:.0f}"
    places = [i for i in range(len(text) - 1) if text[i] != text[i + 1] and text[i] != "-"]
    if not places:
        return None
    i = int(rng.choice(places))
    return float(text[:i] + text[i + 1] + text[i] + text[i + 2 :]) + value - round(value)


SLIPS: dict[str, tuple[Slip, str]] = {
    "1 in": (lambda v, rng: v + rng.choice([-1, 1]) * 25.4, "a whole inch"),
    "1/2 in": (lambda v, rng: v + rng.choice([-1, 1]) * 12.7, "half an inch"),
    "sign of eighths": (_sign_of_eighths, "the eighths taken off"),
    "inch and eighths": (_swapped, "inches and eighths swapped"),
    "two figures (mm)": (_figures, "two figures swapped"),
    "1 ft": (lambda v, rng: v + rng.choice([-1, 1]) * 304.8, "a whole foot"),
}
BASELINE = {
    "rounded to 1/8 in": dict(zip(SLIPS, ("97/91", "89/81", "67/62", "98/96", "95/90", "100"), strict=True)),
    "noise ±1/8 in": dict(zip(SLIPS, ("93/85", "18/13", "56/52", "96/95", "83/78", "100"), strict=True)),
}


def slipped(
    how: str, slip: str, *, count: int = 9, number: int = 600, ends: bool = False
) -> Iterator[tuple[FloatArray, float, int, tuple[Blame, ...], Notation]]:
    """Seeded lines with one slip each, and what is blamed."""
    rng, x = np.random.default_rng(11), stations(count)
    undo = SLIPS[slip][0]
    metric = slip == "two figures (mm)"
    source = lines(seed=12)
    done = 0
    while done < number:
        kind = "rounded to 1 mm" if metric and how.startswith("rounded") else how
        y, tolerance = taken(next(source), x, kind, rng)
        if kind.startswith("noise") and not metric:
            y = np.round(y / EIGHTH * 2) * EIGHTH / 2  # as it can be written
        elif metric:
            y = np.round(y)
        place = int(rng.choice([0, count - 1])) if ends else int(rng.integers(1, count - 1))
        typed = undo(float(y[place]), rng)
        if typed is None:
            continue
        y[place] = typed
        done += 1
        notation = Notation.MM if metric else Notation.FEET_INCHES_EIGHTHS
        yield y, tolerance, place, blamed(x, y, tolerance=tolerance, notation=notation), notation


def found(how: str, slip: str, *, ends: bool = False, number: int = 600) -> tuple[float, float, float, float]:
    """Per cent found, at the right station, of those rightly named first, and named among the first three."""
    tally = np.zeros(5)
    for _, _, place, doubted, _ in slipped(how, slip, ends=ends, number=number):
        tally[0] += 1
        if not doubted:
            continue
        tally[1] += 1
        if doubted[0].index != place:
            continue
        tally[2] += 1
        words = [name.words.startswith(SLIPS[slip][1]) for name in doubted[0].slips[:3]]
        tally[3] += bool(words) and words[0]
        tally[4] += any(words)
    right = max(tally[2], 1.0)
    return (
        100 * tally[1] / tally[0], 100 * tally[2] / tally[0], 100 * tally[3] / right, 100 * tally[4] / right
    )  # fmt: skip


def false_alarms(how: str, number: int, counts: tuple[int, ...] = (8, 9, 10, 11, 13)) -> tuple[int, int]:
    """How many good lines are doubted, of how many."""
    rng, alarms = np.random.default_rng(21), 0
    for k, line in zip(range(number), lines(seed=22), strict=False):
        x = stations(counts[k // 5 % len(counts)])
        y, tolerance = taken(line, x, how, rng)
        notation = Notation.MM if "mm" in how else Notation.FEET_INCHES_EIGHTHS
        alarms += bool(blamed(x, y, tolerance=tolerance, notation=notation))
    return alarms, number


def profile_suspects(step: float, noise: float, allow: float, number: int = 150) -> tuple[float, ...]:
    """Per cent: good profile lines doubted; an inch found, and rightly placed, on the keel and on the stem."""
    rng, doubted = np.random.default_rng(6), 0
    keel: list[tuple[bool, bool]] = []
    stem: list[tuple[bool, bool]] = []
    for _ in range(number):
        boat = exact_boat(rng)
        table = table_of(boat, step=step, noise=noise, rng=rng, count=int(rng.integers(7, 11)))
        assert table.stem is not None
        points = list(chain(stem_points(table.stem), keel_points(table.lines["keel"], ())))
        doubted += bool(profile_doubts(points, allow, "free"))
        place = int(rng.integers(1, len(points) - 1))
        wrong, slip = points[place], 25.4 * rng.choice([-1, 1])
        points[place] = (
            replace(wrong, x=wrong.x + slip) if wrong.moves == "x" else replace(wrong, z=wrong.z + slip)
        )
        seen = profile_doubts(points, allow, "free")
        (stem if wrong.stem else keel).append((bool(seen), bool(seen) and seen[0].index == place))
    rates = [100 * float(rate) for part in (keel, stem) for rate in np.mean(part, axis=0)]
    return 100 * doubted / number, *rates


def wilson(hits: int, number: int) -> tuple[float, float]:
    """95 % confidence interval of a proportion, per cent (Wilson's score interval)."""
    z, p = 1.959964, hits / number
    middle = (p + z * z / (2 * number)) / (1 + z * z / number)
    half = z * np.sqrt(p * (1 - p) / number + z * z / (4 * number**2)) / (1 + z * z / number)
    return 100 * (middle - half), 100 * (middle + half)


def main(number: int = 3000) -> None:
    """Print everything."""
    print("error left, mm: RMS / mean largest / 95 % largest          baseline")
    for how, count, ends, beat in (
        ("exact", 9, "natural", "mean largest 3.6, 95 % 8.9 (shows how hard the lines are)"),
        ("exact", 9, "free", "mean largest 0.32, 95 % 1.3"),
        ("rounded to 1/8 in", 9, "natural", "1.65 / 4.5 / 10 (shows how hard the lines are)"),
        ("rounded to 1/8 in", 9, "free", "0.82 / 1.8 / 3.2"),
        ("noise ±1/8 in", 9, "free", "1.5 / 3.2 / 5.6"),
        ("noise ±1/8 in", 13, "free", "1.1 / 2.7 / 4.6"),
    ):
        rms, mean, most = error_left(how, count, ends=ends)
        print(f"  {how:18} {count:2} stations {ends:7}  {rms:.2f} / {mean:.2f} / {most:.2f}".ljust(62) + beat)
    for name, unit in (("exact", 0.0), ("rounded to 1/8 in", EIGHTH)):
        by_root, by_x, chosen = blunt_bow(unit)
        print(
            f"blunt bow, {name}: by the root {by_root:.2f} (baseline 1.6), as y(x) {by_x:.1f} (42), "
            f"root chosen {chosen:.0%}"
        )
    for extra, baseline in ((False, 1.7), (True, 0.2)):
        more = " and two more at the forefoot" if extra else ""
        print(f"stem at 8 heights{more}: {stem_alone(extra):.2f} (baseline {baseline})")
    for name, step, noise, allow in (
        ("exact", 0.0, 0.0, 0.0), ("1 mm", 1.0, 0.0, 0.5), ("1/8 in", EIGHTH, 0.0, EIGHTH / 2),
        ("noise ±1/8 in", 0.0, EIGHTH, EIGHTH),
    ):  # fmt: skip
        mean, most = whole_profile(step, noise, allow)
        print(
            f"profile line, 18° of turn, {name}: mean largest {mean:.2f}, 95 % {most:.2f} (exact: baseline 1.5)"
        )
    print("slips at inner stations: found / right station % (baseline); rightly named first / in three %")
    for how, beats in BASELINE.items():
        for slip, beat in beats.items():
            a, b, c, d = found(how, slip)
            print(f"  {how:18} {slip:17} {a:5.1f} / {b:5.1f}  ({beat:>6})   {c:5.1f} / {d:5.1f}")
    a, b, _, _ = found("rounded to 1/8 in", "1 in", ends=True)
    print(f"  1 in at an end: found {a:.0f} %, there {b:.0f} % (earlier: about half, often at the neighbour)")
    for name, step, noise, allow in (
        ("1/8 in", EIGHTH, 0.0, EIGHTH / 2),
        ("noise ±1/8 in", 0.0, EIGHTH, EIGHTH),
    ):
        doubted, a, b, c, d = profile_suspects(step, noise, allow)
        print(
            f"profile line, {name}: false alarms {doubted:.1f} %; 1 in found / right place: "
            f"on the keel {a:.0f} / {b:.0f}, on the stem {c:.0f} / {d:.0f}"
        )
    for how in ("exact to 1 mm", *BASELINE):
        hits, of = false_alarms(how.replace("exact to", "rounded to"), number)
        low, high = wilson(hits, of)
        print(
            f"false alarms, {how}: {hits} of {of} lines in one view, {100 * hits / of:.2f} % "
            f"(95 % confidence {low:.2f} to {high:.2f}; baseline 1.7, limit 2)"
        )
    cost()


def cost() -> None:
    """Print what fairing costs."""
    rng = np.random.default_rng(1)
    table = [
        taken(line, stations(9), "rounded to 1/8 in", rng)
        for line, _ in zip(lines(1), range(12), strict=False)
    ]
    begin = time.perf_counter()
    for y, tolerance in table:
        fair(stations(9), y, tolerance=tolerance)
    print(
        f"cost: six lines in two views {1000 * (time.perf_counter() - begin):.0f} ms (earlier 36)", end="; "
    )
    boat = exact_boat(rng)
    offsets, design = table_of(boat), design_for(boat, allow=EIGHTH / 2)
    begin = time.perf_counter()
    fair_lines(offsets, design)
    print(
        f"a whole table of three lines with stem and suspects {1000 * (time.perf_counter() - begin):.0f} ms"
    )


if __name__ == "__main__":
    main(*(int(word) for word in sys.argv[1:]))
