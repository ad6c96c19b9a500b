"""Boats of absurd but legal shape: plumb stem, reverse transom, tumblehome, hollow bow, far too thick or too small.

Lines are smooth functions of the part t of the length, typed in exactly; all are invented.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

import numpy as np

from patterns.hull.planes import FloatArray
from tests.patterns.design_parts import head, lines

__all__ = ["AbsurdBoat", "write_absurd"]

HALF = 20.0  # mm; half siding of keel and stem of a boat of 4 m


@dataclass(frozen=True, kw_only=True)
class AbsurdBoat:
    """One of them.

    Attributes:
        length: mm; all else is in its proportion but what is said in mm.
        stem, transom: their rakes, radians; positive where their tops lean out of the boat.
        tumble: by how much of the breadth the sheer lies inside of the upper chine amidships.
        hollow: the power of t that draws the lines in at the bow; 0 for none.
        planking, moulded, off: mm; nan: in proportion.
        chines: how many.
    """

    length: float = 4000.0
    stem: float = np.radians(20.0)
    transom: float = np.radians(10.0)
    tumble: float = 0.0
    hollow: float = 0.0
    planking: float = np.nan
    off: float = np.nan
    chines: int = 1

    def line(self, part: float, x: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Half-breadths and heights of the line at a part of the girth, 0 the keel and 1 the sheer."""
        scale, t = self.length / 4000.0, np.clip(x / self.length, -0.1, 1.1)
        keel = 60.0 + 140.0 * (t - 0.55) ** 2 * 4.0 * 0.3
        sheer = 720.0 - 260.0 * t + 160.0 * t**2
        height = keel + (sheer - keel) * part**1.3
        # From the stem aft, wherever that is at the line's own height.
        fore = np.tan(self.stem) * (720.0 - height) / 4000.0
        t = np.clip((t - fore) / (1.0 - fore), 0.0, 1.1)
        full = np.sin(0.5 * np.pi * np.clip(1.35 * t, 0.0, 1.6)) * t**self.hollow
        out = part**0.45 - self.tumble * np.sin(np.pi * t) * max(part - 0.6, 0.0) / 0.4
        half = 0.0 if part == 0.0 else 620.0 * out
        return scale * (HALF + half * full), scale * height

    def end(self, part: float, *, bow: bool) -> float:
        """How far aft a line meets stem or transom, mm: where its height and its place agree."""
        slope = -np.tan(self.stem) if bow else np.tan(self.transom)
        x = 0.0 if bow else self.length
        for _ in range(200):
            z = float(self.line(part, np.array([x]))[1][0])
            x = (0.0 if bow else self.length) + slope * (z - (720.0 * self.length / 4000.0 if bow else 0.0))
        return x


def write_absurd(folder: Path, boat: AbsurdBoat) -> Path:
    """Write the design folder of one."""
    folder.mkdir(parents=True, exist_ok=True)
    scale = boat.length / 4000.0
    parts = np.linspace(0.0, 1.0, boat.chines + 2)
    names = ["keel", *(f"chine {i + 1}" for i in range(boat.chines)), "sheer"]
    stations = np.linspace(0.14, 0.95, 9) * boat.length
    (folder / "offsets.csv").write_text(_table(boat, names, parts, stations), encoding="utf-8")
    foot, head_z = float(boat.line(0.0, np.array([boat.end(0.0, bow=True)]))[1][0]), 720.0 * scale
    heights = np.linspace(head_z, foot, 6)
    stem = [
        f"aft,{z:.6f},{np.tan(boat.stem) * (head_z - z):.6f},{'yes' if i == 5 else ''}"
        for i, z in enumerate(heights)
    ]
    (folder / "stem.csv").write_text(
        "measured,height,aft,knuckle\n" + "\n".join(stem) + "\n", encoding="utf-8"
    )
    (folder / "design.toml").write_text(_design(boat, names, scale), encoding="utf-8")
    return folder


def _table(boat: AbsurdBoat, names: list[str], parts: FloatArray, stations: FloatArray) -> str:
    columns = ",".join(str(i + 1) for i in range(len(stations)))
    rows = [f"block,line,bow,{columns},stern", f"position,,,{','.join(f'{x:.6f}' for x in stations)},"]
    gap = "," * len(stations)
    ends = {
        name: (boat.end(part, bow=True), boat.end(part, bow=False))
        for name, part in zip(names, parts, strict=True)
    }
    for name, (fore, aft) in ends.items():
        rows.append(f"position,{name},{'' if name == 'keel' else f'{fore:.6f}'}{gap},{aft:.6f}")
    for block, which in (("height", 1), ("half-breadth", 0)):
        for name, part in zip(names, parts, strict=True):
            fore, aft = ends[name]
            inside = [float(v) for v in boat.line(part, stations)[which]]
            at_bow, at_stern = (float(boat.line(part, np.array([x]))[which][0]) for x in (fore, aft))
            if which == 0:
                at_bow = HALF * boat.length / 4000.0
            cells = [
                "" if name == "keel" else f"{at_bow:.6f}",
                *(f"{v:.6f}" for v in inside),
                f"{at_stern:.6f}",
            ]
            rows.append(f"{block},{name},{','.join(cells)}")
    return "\n".join(rows) + "\n"


def _design(boat: AbsurdBoat, names: list[str], scale: float) -> str:
    thick = 8.0 * scale if np.isnan(boat.planking) else boat.planking
    off = 20.0 * scale if np.isnan(boat.off) else boat.off

    def mm(value: float) -> str:
        return f'"{value * scale:.4f} mm"'

    text = head("Absurd", allow=f"{scale:.4f} mm", sheer_to="top of planking") + lines(*names)
    text += (
        f'[[end]]\nat = "bow"\nkind = "stem"\nprofile = "stem.csv"\nconstruction = "inner and outer"\n'
        f'sided = {mm(2.0 * HALF)}\nmoulded = {mm(80.0)}\noutside = {mm(35.0)}\nfoot = {mm(600.0)}\nstock = "oak"\n'
        f'[[end]]\nat = "stern"\nkind = "transom"\nrake = "{np.degrees(boat.transom):.6f} deg"\n'
        f'panel = {mm(18.0)}\nstock = "ply"\n'
    )
    for i, (low, high) in enumerate(pairwise(names)):
        text += (
            f'[[strake]]\nname = "strake {i + 1}"\nbetween = ["{low}", "{high}"]\nplanking = "{thick:.4f} mm"\n'
            'sections = "straight"\n'
        )
    text += '[deck]\nkind = "none"\n'
    text += f'[[timber]]\nkind = "keel"\nlies = "inside planking"\nsided = {mm(80.0)}\nmoulded = {mm(30.0)}\n'
    logs = [("chine log", name, i + 2) for i, name in enumerate(names[1:-1])]
    for kind, line, strake in (*logs, ("clamp", "sheer", len(names) - 1)):
        text += (
            f'[[timber]]\nname = "{kind} {line}"\nkind = "{kind}"\nfollows = "{line}"\n'
            f'against = "strake {strake}"\noff = "{off:.4f} mm"\nalong = {mm(40.0 if boat.chines < 4 else 25.0)}\n'
        )
    for i in (3, 5, 7):
        text += (
            f'[[frame]]\nname = "{i}"\nat = "station {i}"\nsided = {mm(20.0)}\nmoulded_side = {mm(75.0)}\n'
            f'moulded_bottom = {mm(90.0)}\nstock = "fir"\n'
        )
    text += f"[marks]\nregister_holes = {mm(6.0)}\n" if scale < 0.5 else ""
    return text
