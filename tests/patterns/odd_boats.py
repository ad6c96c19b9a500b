"""Boats of unusual but real kinds, typed in whole mm: wide, narrow, thin, heavy, small, large, one strake or many.

Those with a stem are boats of the family in `analytic_boats`, stretched each way; those with two transoms are prams
of their own.  All are invented.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

import numpy as np

from tests.patterns.analytic_boats import AnalyticBoat, _angle, analytic_boat
from tests.patterns.design_parts import head, lines

__all__ = ["ODD_BOATS", "OddBoat", "Sizes", "ordinary_boat", "write_odd"]

Function = Callable[[float], float]


@dataclass(frozen=True, kw_only=True)
class Sizes:
    """What a boat is made of, mm: usual sizes of a plywood boat of four metres."""

    bottom: float = 9.0
    side: float = 6.0
    sided: float = 18.0
    moulded: float = 80.0
    keel: tuple[float, float] = (90.0, 30.0)
    log: tuple[float, float] = (20.0, 45.0)
    stem: tuple[float, float] = (80.0, 35.0)
    transom: float = 18.0
    deck: tuple[float, float] | None = None
    confirmed: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class OddBoat:
    """One of them.

    Attributes:
        stretch: of the family's boat along x, y and z; None for a pram.
        pram: length, greatest breadth, depth; None for a boat with a stem.
        chines: how many lines lie between keel and sheer.
        stations: how many there are between the ends.
        frames: at which stations.
    """

    sizes: Sizes = Sizes()
    stretch: tuple[float, float, float] | None = None
    pram: tuple[float, float, float] | None = None
    chines: int = 1
    stations: int = 9
    frames: tuple[int, ...] = (3, 5, 7)
    seed: int = 3


@dataclass(frozen=True)
class Line:
    """One line over x between its ends."""

    y: Function
    z: Function
    fore: float
    aft: float


ODD_BOATS: Mapping[str, OddBoat] = {
    "very wide scow": OddBoat(pram=(4300.0, 2000.0, 520.0), sizes=Sizes(side=9.0)),
    "2 m pram": OddBoat(pram=(2000.0, 1150.0, 430.0), stations=7, sizes=Sizes(bottom=6.0, sided=15.0)),
    "deep workboat, two transoms": OddBoat(
        pram=(5500.0, 2200.0, 900.0), sizes=Sizes(bottom=18.0, side=15.0, sided=35.0)
    ),
    "very narrow canoe": OddBoat(
        stretch=(1.2, 0.45, 0.5),
        sizes=Sizes(
            bottom=5.0,
            side=4.0,
            sided=12.0,
            moulded=35.0,
            keel=(40.0, 12.0),
            log=(12.0, 20.0),
            stem=(40.0, 15.0),
        ),
    ),
    "model of 3 mm": OddBoat(
        stretch=(0.3, 0.3, 0.3),
        sizes=Sizes(
            bottom=3.0,
            side=3.0,
            sided=6.0,
            moulded=22.0,
            keel=(30.0, 8.0),
            log=(6.0, 10.0),
            stem=(24.0, 10.0),
            transom=6.0,
        ),
    ),
    "workboat of 25 mm planks": OddBoat(
        stretch=(1.3, 1.6, 1.4),
        sizes=Sizes(
            bottom=25.0,
            side=25.0,
            sided=60.0,
            moulded=110.0,
            keel=(150.0, 50.0),
            log=(35.0, 80.0),
            stem=(120.0, 60.0),
            transom=40.0,
            deck=(22.0, 90.0),
        ),
    ),
    "12 m boat": OddBoat(
        stretch=(2.9, 2.2, 2.0),
        seed=5,
        sizes=Sizes(
            bottom=30.0,
            side=25.0,
            sided=60.0,
            moulded=150.0,
            keel=(200.0, 70.0),
            log=(50.0, 110.0),
            stem=(200.0, 90.0),
            transom=45.0,
            deck=(25.0, 140.0),
        ),
    ),
    "one strake": OddBoat(stretch=(1.0, 0.8, 1.0), chines=0, frames=(4, 6)),
    "eight chines": OddBoat(stretch=(1.1, 1.1, 1.1), chines=8, sizes=Sizes(moulded=120.0, log=(12.0, 25.0))),
    "flat-floored skiff": OddBoat(stretch=(1.1, 0.95, 0.8), seed=9),
    "double depth": OddBoat(stretch=(1.0, 0.9, 1.5), seed=11, sizes=Sizes(deck=(6.0, 60.0))),
}


def ordinary_boat(seed: int) -> OddBoat:
    """A boat of ordinary proportions and sizes; each seed another one.

    The breadth is about 0.6 times the power 2/3 of the length in m, the planking about a 600th of the length:
    common practice, no source.
    """
    rng = np.random.default_rng(40_000 + seed)
    length = float(rng.uniform(2.2, 12.0))
    breadth = 0.6 * length ** (2.0 / 3.0) * rng.uniform(0.75, 1.25)
    depth = breadth * rng.uniform(0.35, 0.65)
    plank = max(4.0, 1000.0 * length / 600.0 * rng.uniform(0.7, 1.4))
    sizes = Sizes(
        bottom=round(plank), side=max(3.0, round(plank * rng.uniform(0.6, 1.0))),
        sided=round(plank * rng.uniform(1.8, 3.0)),
        moulded=round(plank * rng.uniform(6.0, 11.0)), keel=(round(12.0 * plank), round(4.0 * plank)),
        log=(round(2.0 * plank), round(plank * rng.uniform(3.0, 5.0))),
        stem=(round(9.0 * plank), round(4.0 * plank)), transom=round(2.0 * plank),
        deck=None if rng.random() < 0.4 else (round(0.8 * plank), round(breadth * rng.uniform(20.0, 60.0))),
    )  # fmt: skip
    stations, chines = int(rng.integers(6, 12)), int(rng.integers(0, 5))
    if length < 4.0 and rng.random() < 0.4:
        pram = 1000.0 * length, 1000.0 * breadth, 800.0 * depth
        return OddBoat(pram=pram, sizes=sizes, chines=max(chines, 1), stations=stations, frames=(2, 4))
    base = analytic_boat(seed)
    long, wide, deep = (
        base.aft_x["sheer"] - base.fore_x["sheer"],
        2.0 * float(base.sheer_y(np.linspace(base.fore_x["sheer"], base.aft_x["sheer"], 50)).max()),
        base.heads["sheer"] - base.keel_z(2000.0),
    )
    stretch = 1000.0 * length / long, 1000.0 * breadth / wide, 1000.0 * depth / deep
    return OddBoat(
        stretch=stretch, sizes=sizes, chines=chines, stations=stations, frames=(3, 4, 5), seed=seed
    )


def write_odd(folder: Path, boat: OddBoat) -> Path:
    """Write the design folder of one: design.toml, offsets.csv and, with a stem, stem.csv."""
    folder.mkdir(parents=True, exist_ok=True)
    if boat.pram is not None:
        made, half = _pram(*boat.pram, chines=boat.chines), 20.0
        ends = _TRANSOM.format(at="bow", panel=boat.sizes.transom)
    else:
        assert boat.stretch is not None
        base = analytic_boat(boat.seed)
        made, half = _stretched(base, boat.stretch, boat.chines), base.half * boat.stretch[1]
        _write_stem(folder / "stem.csv", base, boat.stretch)
        ends = _STEM.format(
            sided=2.0 * half,
            moulded=boat.sizes.stem[0],
            outside=boat.sizes.stem[1],
            foot=620.0 * boat.stretch[0],
        )
    ends += _TRANSOM.format(at="stern", panel=boat.sizes.transom)
    _write_table(folder / "offsets.csv", made, half, boat.stations, stem=boat.pram is None)
    design = _design(list(made), ends, boat)
    (folder / "design.toml").write_text(design, encoding="utf-8")
    return folder


def _pram(length: float, breadth: float, depth: float, *, chines: int) -> dict[str, Line]:
    """Parabolas over the length: rocker, sheer, and a plan that is fullest a little abaft amidships."""
    middle = 0.52 * length

    def u(x: float) -> float:
        return (x - middle) / length

    def sheer_y(x: float) -> float:
        return 0.5 * breadth * (1.0 - 1.5 * u(x) ** 2 + 0.25 * u(x) ** 3)

    def keel_z(x: float) -> float:
        return 30.0 + 1.6 * depth * u(x) ** 2 * (1.0 - 0.5 * u(x))

    def sheer_z(x: float) -> float:
        return 30.0 + depth * (1.0 + 0.7 * u(x) ** 2 - 0.25 * u(x))

    found = {"keel": (lambda _x: 20.0, keel_z)}
    for k in range(chines):
        share = (k + 1) / (chines + 1)
        found[f"chine {k + 1}"] = (
            lambda x, t=share: 20.0 + (sheer_y(x) - 20.0) * (1.7 * t - 0.7 * t * t) ** 0.5,  # type: ignore[misc]
            lambda x, t=share: keel_z(x) + (sheer_z(x) - keel_z(x)) * t * t,  # type: ignore[misc]
        )
    found["sheer"] = (sheer_y, sheer_z)
    return {
        name: Line(y, z, _on_plane(z, 0.0, -0.4), _on_plane(z, length, 0.18))
        for name, (y, z) in found.items()
    }


def _on_plane(z: Function, start: float, slope: float) -> float:
    """Where a height over x meets the plane x = start + slope z."""
    x = start
    for _ in range(80):
        x = start + slope * z(x)
    return x


def _stretched(boat: AnalyticBoat, stretch: Sequence[float], chines: int) -> dict[str, Line]:
    """The family's boat with more chines or fewer, each length times its factor."""
    own = {
        name: Line(
            lambda x, f=y: float(f(np.array(x))),  # type: ignore[misc]
            lambda x, f=z: float(f(np.array(x))),  # type: ignore[misc]
            boat.fore_x[name],
            boat.aft_x[name],
        )
        for name, y, z in (("chine", boat.chine_y, boat.chine_z), ("sheer", boat.sheer_y, boat.sheer_z))
    }
    found = {"keel": Line(lambda _x: boat.half, boat.keel_z, 500.0, boat.aft_x["keel"])}
    if chines:
        found["chine 1"] = own["chine"]
    for k in range(1, chines):
        found[f"chine {k + 1}"] = _between(boat, own["chine"], own["sheer"], k / chines)
    found["sheer"] = own["sheer"]
    sx, sy, sz = stretch
    return {
        name: Line(
            lambda x, f=line.y: sy * f(x / sx),  # type: ignore[misc]
            lambda x, f=line.z: sz * f(x / sx),  # type: ignore[misc]
            sx * line.fore,
            sx * line.aft,
        )
        for name, line in found.items()
    }


def _between(boat: AnalyticBoat, low: Line, high: Line, t: float) -> Line:
    """A line at a part of the way between two, pushed out so that the sections are rounder."""
    inner, outer = sorted((low.fore, high.fore))
    for _ in range(60):
        fore = 0.5 * (inner + outer)
        if (1.0 - t) * low.y(fore) + t * high.y(fore) < boat.half:
            inner = fore
        else:
            outer = fore
    length = high.aft - fore
    lift = boat.keel_z(fore) - (1.0 - t) * low.z(fore) - t * high.z(fore)

    def y(x: float) -> float:
        share = (x - fore) / length
        return (1.0 - t) * low.y(x) + t * high.y(x) + 500.0 * t * (1.0 - t) * share * (1.0 - 0.6 * share)

    def z(x: float) -> float:
        return (1.0 - t) * low.z(x) + t * high.z(x) + lift * (1.0 - (x - fore) / length) ** 2

    rake = float(np.tan(boat.rake))
    return Line(y, z, fore, _on_plane(z, boat.aft_x["keel"] - rake * boat.keel_z(boat.aft_x["keel"]), rake))


def _write_stem(path: Path, boat: AnalyticBoat, stretch: Sequence[float]) -> None:
    first, last = boat.fore_s["sheer"], boat.s_at(boat.profile_x, 1000.0, -4000.0, 9000.0)
    s = np.linspace(first, last, 400)
    turn = np.degrees([_angle(boat, v) for v in s])
    steep = np.interp(np.linspace(turn[0], -45.0, 5), turn, s)
    level = np.interp(np.linspace(-33.0, turn[-1] - 3.0, 4), turn, s)
    rows = ["measured,height,aft,knuckle"]
    for kind, places in (("aft", steep), ("height", level)):
        for v in places:
            z, x = stretch[2] * float(boat.profile_z(v)), stretch[0] * float(boat.profile_x(v))
            rows.append(f"{kind},{z:.0f},{x:.0f},")
    path.write_text("\n".join(rows) + "\n", encoding="utf-8")


def _write_table(path: Path, made: Mapping[str, Line], half: float, stations: int, *, stem: bool) -> None:
    first = max(0.35 * made["keel"].fore if stem else made["keel"].fore, made["sheer"].fore)
    last = min(line.aft for line in made.values())
    at = np.round(first + (last - first) * (np.arange(stations) + 0.7) / (stations + 0.9))
    names = [str(i + 1) for i in range(stations)]
    rows = [["block", "line", "bow", *names, "stern"], ["position", "", "", *(f"{x:.0f}" for x in at), ""]]
    for name, line in made.items():
        fore = "" if stem and name == "keel" else f"{line.fore:.0f}"
        rows.append(["position", name, fore, *[""] * stations, f"{line.aft:.0f}"])
    for block in ("height", "half-breadth"):
        for name, line in made.items():
            f = line.z if block == "height" else line.y
            if block == "half-breadth" and name == "keel":
                f = lambda _x: half  # noqa: E731
            begins = round(line.fore)
            cells = [f"{f(float(x)):.0f}" if x > begins else "" for x in at]
            bow = "" if stem and name == "keel" else f"{f(line.fore):.0f}"
            rows.append([block, name, bow, *cells, f"{f(line.aft):.0f}"])
    path.write_text("\n".join(",".join(row) for row in rows) + "\n", encoding="utf-8")


def _design(names: Sequence[str], ends: str, boat: OddBoat) -> str:
    sizes = boat.sizes
    sheer_to = "top of planking" if sizes.deck is None else "underside of deck"
    text = head("Odd", allow="1 mm", sheer_to=sheer_to)
    if sizes.confirmed:
        listed = ", ".join(f'"{code}"' for code in sizes.confirmed)
        text = text.replace('name = "Odd"\n', f'name = "Odd"\nconfirmed = [{listed}]\n', 1)
    text += lines(*names) + ends
    for k, (low, high) in enumerate(pairwise(names)):
        thick = sizes.bottom if k == 0 else sizes.side
        text += (
            f'[[strake]]\nname = "strake {k + 1}"\nbetween = ["{low}", "{high}"]\nplanking = "{thick:g} mm"\n'
            'sections = "straight"\n'
        )
    if sizes.deck is None:
        text += '[deck]\nkind = "none"\n'
    else:
        text += f'[deck]\nthickness = "{sizes.deck[0]:g} mm"\ncrown = "{sizes.deck[1]:g} mm"\n'
    text += (
        f'[[timber]]\nkind = "keel"\nlies = "inside planking"\nsided = "{sizes.keel[0]:g} mm"\n'
        f'moulded = "{sizes.keel[1]:g} mm"\n'
    )
    logs = [(f"log {name}", "chine log", name, f"strake {k + 2}") for k, name in enumerate(names[1:-1])]
    for name, kind, follows, against in [*logs, ("clamp", "clamp", names[-1], f"strake {len(names) - 1}")]:
        text += (
            f'[[timber]]\nname = "{name}"\nkind = "{kind}"\nfollows = "{follows}"\nagainst = "{against}"\n'
            f'off = "{sizes.log[0]:g} mm"\nalong = "{sizes.log[1]:g} mm"\n'
        )
    for station in boat.frames:
        text += (
            f'[[frame]]\nname = "{station}"\nat = "station {station}"\nsided = "{sizes.sided:g} mm"\n'
            f'moulded_side = "{sizes.moulded:g} mm"\nmoulded_bottom = "{sizes.moulded:g} mm"\nstock = "fir"\n'
        )
    return text


_TRANSOM = """[[end]]
at = "{at}"
kind = "transom"
rake = "from the table"
panel = "{panel:g} mm"
stock = "ply"
"""
_STEM = """[[end]]
at = "bow"
kind = "stem"
profile = "stem.csv"
construction = "inner and outer"
sided = "{sided:.3f} mm"
moulded = "{moulded:g} mm"
outside = "{outside:g} mm"
foot = "{foot:.0f} mm"
stock = "oak"
"""
