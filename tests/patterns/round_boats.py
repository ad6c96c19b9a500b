"""Round-bilge boats as exact, smooth functions, and their tables of offsets as a builder would type them.

Keel, stem and sheer are those of `analytic_boats`; between them every section is one polynomial, a V at the bow
that fills out to a round bilge.  Other families than the plain one have harder or softer bilges, hollow garboards
or a full bow.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from scipy.optimize import brentq

from patterns.hull.planes import FloatArray
from tests.patterns.analytic_boats import DESIGN, AnalyticBoat, Rounding, analytic_boat, write_stem

POWER = 4.0
SHARES = {"waterlines": (0.08, 0.2, 0.34, 0.5, 0.68, 0.85), "buttocks": (0.15, 0.4, 0.7)}
WATERLINES = tuple(f"WL {i + 1}" for i in range(6))
ALL_ROWS = (*WATERLINES, "B 1", "B 2", "B 3", "D 1", "D 2")


@dataclass(frozen=True)
class Form:
    """How sections fill out.

    Attributes:
        full: the greatest share of the highest power.
        power: that power; the greater, the harder the bilge.
        hollow: how hollow the garboards are; 0 for none.
        bow: how full the bow is; 0 is a plain V.
    """

    full: float = 0.85
    power: float = POWER
    hollow: float = 0.0
    bow: float = 0.02


FORMS = {
    "plain": Form(),
    "soft": Form(full=0.7, power=2.6),
    "firm": Form(full=0.9, power=6.0),
    "hollow": Form(full=0.7, power=4.5, hollow=0.7),
    "full bow": Form(full=0.85, power=3.5, bow=0.2),
}


@dataclass(frozen=True)
class RoundBoat:
    """One boat: half-breadths, heights and distances along a diagonal at any place.

    Attributes:
        base: its keel, stem and sheer.
        waterlines, buttocks: heights and half-breadths of the table's planes, mm.
        diagonals: start height, half-breadth and height of a point that each runs through, mm.
        form: how its sections fill out.
    """

    base: AnalyticBoat
    waterlines: tuple[float, ...]
    buttocks: tuple[float, ...]
    diagonals: tuple[tuple[float, float, float], ...]
    form: Form

    def _along(self, x: FloatArray) -> FloatArray:
        """The part of the length, 0 at the bow."""
        fore, aft = self.base.fore_x["sheer"], self.base.aft_x["sheer"]
        return np.asarray((x - fore) / (aft - fore))

    def fullness(self, x: FloatArray) -> FloatArray:
        """The share of the highest power: 0 is a straight section."""
        first = self.form.bow
        return np.asarray(self.form.full * np.sin(np.pi * (first + (0.74 - first) * self._along(x))))

    def rise(self, x: FloatArray, part: FloatArray) -> FloatArray:
        """A section's height over the keel, of the sheer's, at a part of its half-breadth."""
        full = self.fullness(x)
        hollow = self.form.hollow * np.sin(np.pi * (0.1 + 0.7 * self._along(x)))
        out = np.clip(part, 0.0, None)
        return np.asarray(
            (1.0 - full) * part + full * out**self.form.power + hollow * part * (1.0 - part) ** 2
        )

    def frame(self, x: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Keel's height, half-breadth and height of the sheer over the keel's edge, at distances aft (n,)."""
        low, high = np.full(np.shape(x), -4000.0), np.full(np.shape(x), 9000.0)
        for _ in range(60):
            middle = 0.5 * (low + high)
            past = self.base.profile_x(middle) > x
            low, high = np.where(past, low, middle), np.where(past, middle, high)
        keel = self.base.profile_z(0.5 * (low + high))
        breadth = self.base.sheer_y(x) - self.base.half
        return keel, breadth, self.base.sheer_z(x) - keel

    def height(self, x: FloatArray, y: FloatArray) -> FloatArray:
        """The height of the surface, mm."""
        keel, breadth, rise = self.frame(x)
        return np.asarray(keel + rise * self.rise(x, (y - self.base.half) / breadth))

    def half_breadth(self, x: float, z: float) -> float | None:
        """The half-breadth at a height; None where the surface does not reach it."""
        return self.along(x, np.array([0.0, z]), np.array([1.0, 0.0]))

    def along(self, x: float, start: FloatArray, run: FloatArray) -> float | None:
        """The distance along a straight line of the body plan to the surface ; None if it misses."""
        keel, breadth, rise = (float(v) for v in self.frame(np.array(x)))
        low = (self.base.half - start[0]) / run[0] if run[0] else 0.0
        high = (self.base.half + breadth - start[0]) / run[0] if run[0] else 2000.0

        at = np.array(x)

        def over(d: float) -> float:
            part = (float(start[0]) + d * float(run[0]) - self.base.half) / breadth
            return float(start[1]) + d * float(run[1]) - keel - rise * float(self.rise(at, np.array(part)))

        if not run[0]:
            part = (start[0] - self.base.half) / breadth
            d = keel + rise * float(self.rise(at, np.array(part))) - start[1]
            return float(d) if 0.0 < part < 1.0 else None
        if over(low) < 0.0 or over(high) > 0.0:
            return None
        return float(brentq(over, low, high, xtol=1e-9))

    def off(self, points: FloatArray) -> FloatArray:
        """Distance of points (n, 3) from the surface, mm, to first order: exact for points close to it."""

        def over(p: FloatArray) -> FloatArray:
            return np.asarray(p[:, 2] - self.height(p[:, 0], p[:, 1]))

        step = 0.05 * np.eye(3)
        slope = np.stack([(over(points + s) - over(points - s)) / 0.1 for s in step], axis=-1)
        return np.asarray(over(points) / np.linalg.norm(slope, axis=-1))

    def normals(self, points: FloatArray) -> FloatArray:
        """Outward unit normals (n, 3) at points near the surface."""
        step = 0.05 * np.eye(3)
        slope = np.stack(
            [
                (self.height(*(points + s)[:, :2].T) - self.height(*(points - s)[:, :2].T)) / 0.1
                for s in step[:2]
            ],
            axis=-1,
        )
        out = np.column_stack([slope, -np.ones(len(points))])
        return np.asarray(out / np.linalg.norm(out, axis=1, keepdims=True))


def round_boat(seed: int, form: str = "plain") -> RoundBoat:
    """A boat of a family; each seed another one."""
    base = analytic_boat(seed)
    middle = 0.5 * (base.fore_x["sheer"] + base.aft_x["sheer"])
    low, high, out = (
        base.keel_z(middle),
        float(base.sheer_z(np.array(middle))),
        float(base.sheer_y(np.array(middle))),
    )
    depth = high - low
    return RoundBoat(
        base=base,
        waterlines=tuple(low + depth * s for s in SHARES["waterlines"]),
        buttocks=tuple(out * s for s in SHARES["buttocks"]),
        diagonals=tuple((low + depth * s, 0.7 * out, low + 0.3 * depth * s) for s in (0.55, 0.95)),
        form=FORMS[form],
    )


def write_round_table(
    boat: RoundBoat,
    folder: Path,
    rounding: Rounding,
    rng: np.random.Generator,
    *,
    stations: int = 13,
    rows: Collection[str] = ALL_ROWS,
    bow_ends: bool = False,
) -> None:
    """Write the design folder of a boat: design.toml, offsets.csv, stem.csv, all in mm.

    Args:
        rows: the names of the rows between keel and sheer that are written.
        bow_ends: whether the waterlines' ends on the stem are given.
    """
    base = boat.base

    def typed(value: float | None) -> str:
        if value is None:
            return ""
        return rounding.typed(value, rng)

    folder.mkdir(parents=True, exist_ok=True)
    spacing = (min(base.aft_x.values()) - 230.0) / (stations + 0.2)
    x = 230.0 + spacing * np.arange(stations)
    names = [str(i + 1) for i in range(stations)]
    empty = [""] * stations
    table = [["block", "line", "bow", *names, "stern"], ["position", "", "", *(f"{v:.6f}" for v in x), ""]]
    table.append(["position", "keel", "", *empty, typed(base.aft_x["keel"])])
    table.append(["position", "sheer", typed(base.fore_x["sheer"]), *empty, typed(base.aft_x["sheer"])])
    keel = [typed(base.keel_z(float(v))) if v > 500.0 else "" for v in x]
    table.append(["height", "keel", "", *keel, typed(base.keel_z(base.aft_x["keel"]))])
    same = f"{base.half:.6f}"
    table.append(["half-breadth", "keel", "", *(same if v > 500.0 else "" for v in x), same])
    for block, f, head in (
        ("height", base.sheer_z, base.heads["sheer"]),
        ("half-breadth", base.sheer_y, None),
    ):
        first = same if head is None else typed(head)
        table.append(
            [block, "sheer", first, *(typed(float(f(v))) for v in x), typed(float(f(base.aft_x["sheer"])))]
        )
    text = _without_chine(DESIGN)
    root = base.aft_x["keel"] - np.tan(base.rake) * base.keel_z(base.aft_x["keel"])
    levels = [
        ("half-breadth", f"WL {i + 1}", np.array([0.0, z]), np.array([1.0, 0.0]), f'height = "{z:.9f} mm"')
        for i, z in enumerate(boat.waterlines)
    ]
    levels += [
        ("height", f"B {i + 1}", np.array([y, 0.0]), np.array([0.0, 1.0]), f'half_breadth = "{y:.9f} mm"')
        for i, y in enumerate(boat.buttocks)
    ]
    for i, (start, out, up) in enumerate(boat.diagonals):
        run = np.array([out, up - start]) / np.hypot(out, up - start)
        words = (
            f'height = "{start:.9f} mm"\nthrough = {{half_breadth = "{out:.9f} mm", height = "{up:.9f} mm"}}'
        )
        levels.append(("diagonal", f"D {i + 1}", np.array([0.0, start]), run, words))
    kinds = {"half-breadth": "waterline", "height": "buttock", "diagonal": "diagonal"}
    s = np.linspace(-4000.0, 4000.0, 8001)
    lowest = float(s[base.profile_z(s).argmin()])
    for block, name, start, run, words in levels:
        if name not in rows:
            continue
        text += f'[[{kinds[block]}]]\nname = "{name}"\n{words}\n'
        end = root
        for _ in range(12):
            d = boat.along(end, start, run)
            end = root + np.tan(base.rake) * (start + (d or 0.0) * run)[1]
        head = (
            base.s_at(base.profile_z, float(start[1]), -4000.0, lowest) if bow_ends and not run[1] else None
        )
        at_bow = "" if head is None else typed(float(base.profile_x(np.array(head))))
        table.append(["position", name, at_bow, *empty, typed(end) if d else ""])
        bow = same if at_bow else ""
        table.append([block, name, bow, *(typed(boat.along(float(v), start, run)) for v in x), typed(d)])
    (folder / "offsets.csv").write_text("\n".join(",".join(row) for row in table) + "\n", encoding="utf-8")
    write_stem(base, folder, typed)
    words = {
        "{allow}": rounding.words,
        "{rake}": f"{np.degrees(base.rake):.9f} deg",
        "{half:.6f}": f"{2.0 * base.half:.6f}",
    }
    for mark, value in words.items():
        text = text.replace(mark, value)
    (folder / "design.toml").write_text(text, encoding="utf-8")


def _without_chine(text: str) -> str:
    """The design of the hard-chine family with one round strake."""
    chine = '[[line]]\nname = "chine"\n'
    first, last = text.index("[[strake]]"), text.index("[deck]")
    strake = (
        '[[strake]]\nname = "planking"\nbetween = ["keel", "sheer"]\nplanking = "9 mm"\nsections = "round"\n'
    )
    return (text[:first] + strake + text[last:]).replace(chine, "")


def exact_section(x: float, seed: int = 2) -> tuple[FloatArray, FloatArray]:
    """The exact section by a thousand chords: girths up from the rabbet, and places."""
    true = round_boat(seed)
    y = np.linspace(true.base.half, float(true.base.sheer_y(np.array(x))), 1001)
    uv = np.column_stack([y, true.height(np.full(1001, x), y)])
    return np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(uv, axis=0).T))]), uv
