"""Whole boats as exact, smooth functions, and their tables of offsets as a builder would type them.

The boats are invented: a family of hard-chine hulls of about 4 m, varied by a seed.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

import numpy as np

from patterns.hull.hull import DeckShape, FairCurves, Hull, TransomShape, build_hull
from patterns.hull.planes import FloatArray
from tests.patterns.design_parts import STRAKES, head, lines
from tests.patterns.exact_hulls import ExactLine, Given

INCH = 25.4
Function = Callable[[FloatArray], FloatArray]


def _bernstein(ordinates: FloatArray, u: FloatArray) -> FloatArray:
    parts = [c + 0.0 * u for c in ordinates]
    while len(parts) > 1:
        parts = [a * (1.0 - u) + b * u for a, b in pairwise(parts)]
    return parts[0]


def _bent(x0: float, value: float, slope: float, bend: FloatArray, length: float) -> Function:
    """A curve over x by its start, its slope there, and its second derivative (Bernstein ordinates, 1/mm)."""
    once = np.concatenate([[0.0], np.cumsum(bend)]) / len(bend)
    twice = np.concatenate([[0.0], np.cumsum(once)]) / (len(bend) + 1)
    return lambda x: value + slope * (x - x0) + length**2 * _bernstein(twice, (x - x0) / length)


@dataclass(frozen=True)
class AnalyticBoat:
    """One boat of the family.

    Attributes:
        profile_x, profile_z: keel and stem rabbet over a parameter s, one branch of a hyperbola.
        sheer_y, sheer_z, chine_y, chine_z: over x.
        fore: s of the sheer's and the chine's fore ends, by name; x likewise in `fore_x`.
        aft_x: x of the lines' stern ends by name ("keel", "chine", "sheer").
        half: half siding at the rabbet.
    """

    profile_x: Function
    profile_z: Function
    sheer_y: Function
    sheer_z: Function
    chine_y: Function
    chine_z: Function
    fore_s: dict[str, float]
    fore_x: dict[str, float]
    aft_x: dict[str, float]
    rake: float
    half: float
    heads: dict[str, float]

    def s_at(self, what: Function, value: float, low: float, high: float) -> float:
        """The parameter at which a coordinate of the profile takes a value (bisection)."""
        rises = what(np.array(high)) > what(np.array(low))
        for _ in range(200):
            middle = 0.5 * (low + high)
            if (what(np.array(middle)) > value) == rises:
                high = middle
            else:
                low = middle
        return 0.5 * (low + high)

    def keel_z(self, x: float) -> float:
        """The profile's height at a distance aft."""
        return float(self.profile_z(np.array(self.s_at(self.profile_x, x, -4000.0, 9000.0))))

    def hull(self, *, bottom: float = 9.0, side: float = 6.0, sections: str = "straight") -> Hull:
        """Its surfaces from the exact functions."""
        end = self.s_at(self.profile_x, self.aft_x["keel"], -4000.0, 9000.0)
        profile = ExactLine(
            self.profile_x, lambda s: self.half + 0.0 * s, self.profile_z, self.fore_s["sheer"], end
        )
        lines = {
            name: ExactLine(lambda x: x, y, z, self.fore_x[name], self.aft_x[name])
            for name, y, z in (
                ("chine", self.chine_y, self.chine_z),
                ("sheer", self.sheer_y, self.sheer_z),
            )
        }
        return build_hull(
            FairCurves(profile=profile, lines=lines, keel="keel"),
            (
                Given("bottom", ("keel", "chine"), bottom, sections),
                Given("side", ("chine", "sheer"), side, sections),
            ),
            stern=TransomShape(self.rake),
            deck=DeckShape(crown=60.0),
        )


def analytic_boat(seed: int) -> AnalyticBoat:
    """A boat of the family; each seed another one."""
    rng = np.random.default_rng(seed)

    def near(value: float, share: float = 0.12) -> float:
        return float(value * (1.0 + share * rng.uniform(-1.0, 1.0)))

    length, half = near(4200.0, 0.06), near(20.0, 0.2)
    foot = np.array([near(365.0), near(45.0)])
    stem_rake, keel_rise, cut = np.radians(near(23.0, 0.2)), np.radians(near(0.35)), near(275.0, 0.1)
    kx, kz, sx, sz = np.cos(keel_rise), np.sin(keel_rise), -np.sin(stem_rake), np.cos(stem_rake)

    def profile_x(s: FloatArray) -> FloatArray:
        r = np.sqrt(s * s + 4 * cut * cut)
        return foot[0] + 0.5 * (r + s) * kx + 0.5 * (r - s) * sx

    def profile_z(s: FloatArray) -> FloatArray:
        r = np.sqrt(s * s + 4 * cut * cut)
        return foot[1] + 0.5 * (r + s) * kz + 0.5 * (r - s) * sz

    heads = {"sheer": near(905.0, 0.06), "chine": near(450.0, 0.08)}
    blank = AnalyticBoat(
        profile_x, profile_z, profile_x, profile_x, profile_x, profile_x, {}, {}, {}, 0.0, half, heads
    )
    fore_s = {name: blank.s_at(profile_z, z, -4000.0, 100.0) for name, z in heads.items()}
    fore_x = {name: float(profile_x(np.array(s))) for name, s in fore_s.items()}

    beam, form = near(1.0, 0.12), near(1.0, 0.12)

    def bend(scale: float, *ordinates: float) -> FloatArray:
        return np.array([near(scale * o, 0.03) for o in ordinates]) * 1e-6

    sheer_y = _bent(
        fore_x["sheer"], half, 0.716 * beam, bend(beam, -345, -412, -190, -20, -15) * 4200 / length, length
    )
    sheer_z = _bent(fore_x["sheer"], heads["sheer"], -0.199 * form, bend(form, 112, 82, 52, 28, 12), length)
    chine_y = _bent(
        fore_x["chine"], half, 0.466 * beam, bend(beam, -40, -330, -275, -40, -15) * 4200 / length, length
    )
    chine_z = _bent(fore_x["chine"], heads["chine"], -0.152 * form, bend(form, 88, 53, 18, 11, 8), length)
    rake = np.radians(rng.uniform(0.0, 15.0))
    base = foot[0] + length - 0.1 * length
    boat = AnalyticBoat(
        profile_x, profile_z, sheer_y, sheer_z, chine_y, chine_z, fore_s, fore_x, {}, float(rake), half, heads
    )
    for name, z_of in (
        ("keel", boat.keel_z),
        ("chine", lambda x: float(chine_z(np.array(x)))),
        ("sheer", lambda x: float(sheer_z(np.array(x)))),
    ):
        x = base
        for _ in range(60):
            x = base + np.tan(rake) * z_of(x)
        boat.aft_x[name] = x
    return boat


@dataclass(frozen=True)
class Rounding:
    """How the table's figures come to be: rounded to a step, or with noise, mm; and the move that is allowed."""

    name: str
    step: float
    noise: float
    allow: float

    def typed(self, value: float, rng: np.random.Generator) -> str:
        """A figure as it stands in the table, mm."""
        if self.step:
            value = round(value / self.step) * self.step
        if self.noise:
            value += rng.uniform(-self.noise, self.noise)
        return f"{value:.6f}"

    @property
    def words(self) -> str:
        """The move that is allowed, as the design file says it."""
        return f"{self.allow:g} mm" if self.allow else "0"


ROUNDINGS = (
    Rounding("exact", 0.0, 0.0, 0.0),
    Rounding("whole mm", 1.0, 0.0, 0.5),
    Rounding("1/16 in", INCH / 16, 0.0, INCH / 32),
    Rounding("1/8 in", INCH / 8, 0.0, INCH / 16),
    Rounding("noise 1/8 in", 0.0, INCH / 8, INCH / 8),
)


def write_table(
    boat: AnalyticBoat,
    folder: Path,
    rounding: Rounding,
    rng: np.random.Generator,
    *,
    stations: int = 9,
    ordinary: bool = False,
) -> None:
    """Write the design folder of a boat: design.toml, offsets.csv, stem.csv, all in mm.

    Args:
        ordinary: the profile as an ordinary plan has it: the stem at heights down to some 140 mm above the base,
            the keel at stations from some 800 mm aft, and nothing between; else well sampled all round.
    """
    first_keel = 780.0 if ordinary else 500.0

    def typed(value: float) -> str:
        return rounding.typed(value, rng)

    folder.mkdir(parents=True, exist_ok=True)
    spacing = (min(boat.aft_x.values()) - 230.0) / (stations + 0.2)
    x = 230.0 + spacing * np.arange(stations)
    names = [str(i + 1) for i in range(stations)]
    rows = [["block", "line", "bow", *names, "stern"], ["position", "", "", *(f"{v:.6f}" for v in x), ""]]
    rows.append(["position", "keel", "", *[""] * stations, typed(boat.aft_x["keel"])])
    for line in ("chine", "sheer"):
        rows.append(["position", line, typed(boat.fore_x[line]), *[""] * stations, typed(boat.aft_x[line])])
    keel = [typed(boat.keel_z(float(v))) if v > first_keel else "" for v in x]
    rows.append(["height", "keel", "", *keel, typed(boat.keel_z(boat.aft_x["keel"]))])
    for block in ("height", "half-breadth"):
        if block == "half-breadth":
            same = f"{boat.half:.6f}"
            rows.append([block, "keel", "", *(same if v > first_keel else "" for v in x), same])
        for line in ("chine", "sheer"):
            f = getattr(boat, f"{line}_{'z' if block == 'height' else 'y'}")
            head = typed(boat.heads[line]) if block == "height" else f"{boat.half:.6f}"
            cells = [typed(float(f(v))) if v > boat.fore_x[line] + 1.0 else "" for v in x]
            rows.append([block, line, head, *cells, typed(float(f(boat.aft_x[line])))])
    (folder / "offsets.csv").write_text("\n".join(",".join(row) for row in rows) + "\n", encoding="utf-8")
    write_stem(boat, folder, typed, ordinary=ordinary)
    rake = np.degrees(boat.rake)
    (folder / "design.toml").write_text(
        DESIGN.format(allow=rounding.words, rake=f"{rake:.9f} deg", half=2.0 * boat.half), encoding="utf-8"
    )


def write_stem(
    boat: AnalyticBoat, folder: Path, typed: Callable[[float], str], *, ordinary: bool = False
) -> None:
    """Write the rabbet's points, measured at levels where it is steep and at plumb lines where it is not."""
    stem = ["measured,height,aft,knuckle"]
    if ordinary:
        lowest = min(boat.keel_z(float(x)) for x in np.linspace(500.0, boat.aft_x["keel"], 60))
        for z in np.linspace(boat.heads["sheer"], lowest + 140.0, 10):
            s = boat.s_at(boat.profile_z, float(z), -4000.0, 700.0)
            stem.append(f"aft,{z:.6f},{typed(float(boat.profile_x(np.array(s))))},")
        (folder / "stem.csv").write_text("\n".join(stem) + "\n", encoding="utf-8")
        return
    first, last = boat.fore_s["sheer"], boat.s_at(boat.profile_x, 1000.0, -4000.0, 9000.0)
    turn = [_angle(boat, s) for s in np.linspace(first, last, 400)]
    at = np.interp(np.linspace(turn[0], turn[-1], 8), turn, np.linspace(first, last, 400))
    # Long straight reaches want points too: the head, the foot, and the places of even turn between.
    for s in sorted({first, 0.5 * (first + at[1]), *at[1:-1]}):
        px, pz = float(boat.profile_x(np.array(s))), float(boat.profile_z(np.array(s)))
        if np.degrees(_angle(boat, s)) < -45.0:
            stem.append(f"aft,{pz:.6f},{typed(px)},")
        else:
            stem.append(f"height,{typed(pz)},{px:.6f},")
    (folder / "stem.csv").write_text("\n".join(stem) + "\n", encoding="utf-8")


def _angle(boat: AnalyticBoat, s: float) -> float:
    step = 1e-3
    dx, dz = (float(f(np.array(s + step)) - f(np.array(s - step))) for f in (boat.profile_x, boat.profile_z))
    return float(np.arctan2(dz, dx))


DESIGN = (
    head("Bench", allow="{allow}")
    + lines("keel", "chine", "sheer")
    + """\
[[end]]
at = "bow"
kind = "stem"
profile = "stem.csv"
construction = "inner and outer"
sided = "{half:.6f} mm"
moulded = "80 mm"
outside = "30 mm"
foot = "600 mm"
stock = "oak"
[[end]]
at = "stern"
kind = "transom"
rake = "{rake}"
panel = "18 mm"
stock = "ply"
"""
    + STRAKES.lstrip()
    + '[deck]\nthickness = "6 mm"\ncrown = "60 mm"\n'
)
