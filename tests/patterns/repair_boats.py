"""A hull of closed forms, measured at a frame as a repairer does it: nails, ordinates, half-breadths.

Between keel and chine the section is a shallow arch, between chine and sheer a flared side with a little bulge; all
of it grows and turns along the boat.  The true section at any distance aft, its normals and its bevels are known.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from pathlib import Path

import numpy as np

from patterns.hull.planes import FloatArray
from patterns.measure import Notation, format_length

HEEL = 25.0  # mm; half the keel
SIXTEENTH = 25.4 / 16
EXACT = re.compile(r"\d\.\d{3,} mm")
HEADINGS = "side,edge,point,method,from,a,b,c,lies,corner,bevel"


def chine(x: float) -> float:
    """The chine's half-breadth, mm, at a distance aft of the broken frame."""
    return float(540.0 + 0.075 * x - 0.00009 * x**2)


def bottom(x: float, y: FloatArray | float) -> FloatArray:
    """The height of the inside of the bottom planking at a half-breadth."""
    out = np.asarray(y, dtype=float) - HEEL
    return np.asarray(60.0 - 0.02 * x + (0.22 + 0.00006 * x) * out + 0.00009 * out**2)


def side(x: float, height: FloatArray | float) -> FloatArray:
    """The half-breadth of the inside of the side planking at a height over the chine."""
    h = np.asarray(height, dtype=float)
    return np.asarray(chine(x) + (0.30 - 0.00008 * x) * h - 0.00022 * h**2)


def section(x: float, edge: str, share: FloatArray | float) -> FloatArray:
    """Points (..., 2), out and up, at shares of a stretch; beyond 0 and 1 it runs on."""
    t = np.asarray(share, dtype=float)
    if edge == "bottom":
        y = HEEL + t * (chine(x) - HEEL)
        return np.stack([y, bottom(x, y)], axis=-1)
    h = t * 430.0
    return np.stack([side(x, h), bottom(x, chine(x)) + h], axis=-1)


def off(x: float, edge: str, points: FloatArray) -> FloatArray:
    """How far points (n, 2) lie from the true section of a stretch, mm: to the nearest of a dense polyline."""
    true = section(x, edge, np.linspace(-0.15, 1.15, 20001))
    step = np.diff(true, axis=0)
    found = []
    for point in points:
        i = int(np.hypot(*(true - point).T).argmin())
        i = min(max(i, 1), len(true) - 2)
        start, run = true[i - 1 : i + 1], step[i - 1 : i + 1]
        share = np.clip(np.sum((point - start) * run, axis=1) / np.sum(run * run, axis=1), 0.0, 1.0)
        found.append(float(np.hypot(*(point - start - share[:, None] * run).T).min()))
    return np.array(found)


def bevel(edge: str, share: float, *, x: float = 0.0, aft: float = 1.0) -> float:
    """The true angle through wood that runs aft (1) or forward (-1) from a frame's face, radians.

    By differences of the surface: the angle between that direction and the outward normal.
    """
    e = 1e-3
    by_t = section(x, edge, share + e) - section(x, edge, share - e)
    by_x = section(x + e * 1e3, edge, share) - section(x - e * 1e3, edge, share)
    along, across = np.array([2e3 * e, *by_x]), np.array([0.0, *by_t])
    normal = np.cross(across, along)
    normal = normal / np.linalg.norm(normal) * np.sign(normal[1] - normal[2])
    return float(np.arccos(aft * normal[0]))


NAILS = {
    "A": (150.0, 450.0),
    "B": (150.0, 150.0),
    "C": (420.0, 560.0),
}  # out and up, both sides have their own
DESIGN_PLACES = "".join(
    f'[[nail]]\nname = "{hand[0].upper()}{name}"\nside = "{hand}"\nout = "{out} mm"\nup = "{up} mm"\n'
    for hand in ("port", "starboard")
    for name, (out, up) in NAILS.items()
) + (
    '[[straight_edge]]\nname = "plumb"\nout = "300 mm"\nup = "700 mm"\nruns = "down"\noff = "outboard"\n'
    '[[straight_edge]]\nname = "board"\nout = "0"\nup = "500 mm"\nruns = "outboard"\noff = "down"\n'
)


def by_half_breadth(at: FloatArray, say: Callable[[float], str], hand: str) -> str:
    return f"half-breadth,,{say(at[0])},{say(at[1])},,"


def by_plumb(at: FloatArray, say: Callable[[float], str], hand: str) -> str:
    return f"ordinate,plumb,{say(700.0 - at[1])},{say(at[0] - 300.0)},,"


def by_board(at: FloatArray, say: Callable[[float], str], hand: str) -> str:
    return f"ordinate,board,{say(at[0])},{say(500.0 - at[1])},,"


def by_nails(at: FloatArray, say: Callable[[float], str], hand: str) -> str:
    """Three nails; only the two that see the point squarest would do as well."""
    h = hand[0].upper()
    words = [say(float(np.hypot(*(at - NAILS[name])))) for name in "ABC"]
    return f"nails,{h}A {h}B {h}C,{','.join(words)},"


def by_two_nails(at: FloatArray, say: Callable[[float], str], hand: str) -> str:
    h = hand[0].upper()
    words = [say(float(np.hypot(*(at - NAILS[name])))) for name in "AB"]
    lies = "outboard" if at[0] > NAILS["A"][0] else "inboard"  # those two stand plumb over each other
    return f"nails,{h}A {h}B,{','.join(words)},,{lies}"


METHODS = (by_half_breadth, by_plumb, by_board, by_nails, by_two_nails)
Method = Callable[[FloatArray, Callable[[float], str], str], str]


def exactly(mm: float) -> str:
    return f"{mm:.7f} mm"


def to_mm(mm: float) -> str:
    return f"{round(mm)} mm"


def to_sixteenths(mm: float) -> str:
    return format_length(round(mm / SIXTEENTH) * SIXTEENTH, Notation.FEET_INCHES_EIGHTHS)


def rows(
    method: Method | Sequence[Method],
    *,
    say: Callable[[float], str] = exactly,
    x: float = 0.0,
    hands: Sequence[str] = ("port", "starboard"),
    many: tuple[int, int] = (7, 7),
    gauge: Callable[[str, float], str] | None = None,
) -> str:
    """The points' file of one frame.

    Args:
        method: one, or several to be taken in turn.
        many: points of the bottom and of the side, corners counted.
        gauge: the bevel's words at a share of a stretch; empty for none.
    """
    ways = method if isinstance(method, Sequence) else [method]
    out = [HEADINGS]
    for hand in hands:
        name = 0
        for edge, count in zip(("bottom", "side"), many, strict=True):
            shares = np.linspace(0.0, 1.0, count)
            for share in shares if edge == "bottom" else shares[1:]:
                name += 1
                at = section(x, edge, float(share))
                corner = "chine" if edge == "bottom" and share == 1.0 else "sheer" if share == 1.0 else ""
                row = ways[name % len(ways)](at, say, hand)
                row += "," * (6 - row.count(","))  # up to the column lies
                angle = "" if gauge is None else gauge(edge, float(share))
                out.append(f"{hand},{edge},{name},{row.removesuffix(',')},{corner},{angle}")
    return "\n".join(out) + "\n"


def write_repair(
    folder: Path, points: str, more: str = "", *, spec: str = "", notation: str = "feet-inches-eighths"
) -> Path:
    """A repair's folder.  Readings that are exact, to a hundredth of a mm and finer, are held exactly."""
    folder.mkdir(parents=True, exist_ok=True)
    if EXACT.search(points) and "[fairing]" not in more:
        more += '[fairing]\nallow = "0"\n'
    given = {
        "frame": '"4"',
        "points": '"points.csv"',
        "notation": f'"{notation}"',
        "looking": '"forward"',
        "measured": '"inside of planking"',
        "sided": '"25 mm"',
        "moulded": '"60 mm"',
        "stock": '"oak"',
    }
    for line in spec.splitlines():
        key, _, value = line.partition(" = ")
        given[key] = value
    table = "\n".join(f"{key} = {value}" for key, value in given.items())
    design = f'[boat]\nname = "Ten To Five"\n[repair]\n{table}\n{DESIGN_PLACES}{more}'
    (folder / "design.toml").write_text(design, encoding="utf-8")
    (folder / "points.csv").write_text(points, encoding="utf-8")
    return folder
