"""A pram of planes and a double-ender that is alike fore and aft, typed in as tables: closed answers at both ends.

Pram: bottom z = 0.30 (y - 20) + 40 - 0.010 x; side y - 300 = 0.10 (x - 300) + 0.16 (z - 300); two transoms.
Double-ender: every line is a parabola over the distance from amidships, so a batten follows it exactly; both stems
are straight and meet the level keel in a knuckle.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path

import numpy as np

from patterns.hull.planes import FloatArray
from tests.patterns.design_parts import STRAKES, TIMBERS, head

Line = Callable[[float], tuple[float, float]]
"""Half-breadth and height at a distance aft."""

HALF = 20.0
BOTTOM_T, SIDE_T = 9.0, 6.0

HEAD = (
    head("Two Ends", allow="{allow}")
    + '[[line]]\nname = "keel"\nstraight = true\n'
    + "".join(f'[[line]]\nname = "{name}"\nstraight = {{straight}}\n' for name in ("chine", "sheer"))
    + STRAKES
    + '[deck]\nthickness = "6 mm"\ncrown = "0"\n'
    + TIMBERS
)

FRAME = """
[[frame]]
name = "{name}"
at = "station {at}"
sided = "18 mm"
moulded_side = "70 mm"
moulded_bottom = "90 mm"
siding_runs = "{runs}"
stock = "18 mm plywood"
"""


def write_table(
    folder: Path,
    *,
    lines: Mapping[str, Line],
    fore: Mapping[str, float],
    aft: Mapping[str, float],
    stations: FloatArray,
    figure: Callable[[float], str] = "{:.9f}".format,
) -> None:
    """The table of offsets: for each line its ends (those of a stem's keel left out) and every station between."""
    names = [str(i + 1) for i in range(len(stations))]
    blank = [""] * len(stations)
    rows = [["block", "line", "bow", *names, "stern"], ["position", "", "", *(map(figure, stations)), ""]]
    for name in lines:
        ends = [figure(at[name]) if name in at else "" for at in (fore, aft)]
        rows.append(["position", name, ends[0], *blank, ends[1]])
    for k, block in ((1, "height"), (0, "half-breadth")):
        for name, line in lines.items():
            low, high = fore.get(name, -np.inf), aft.get(name, np.inf)
            cells = [figure(line(x)[k]) if low < x < high else "" for x in stations]
            ends = [figure(line(at[name])[k]) if name in at else "" for at in (fore, aft)]
            rows.append([block, name, ends[0], *cells, ends[1]])
    text = "\n".join(",".join(row) for row in rows) + "\n"
    (folder / "offsets.csv").write_text(text, encoding="utf-8")


# The pram.
BOTTOM_NORMAL = np.array([-0.010, 0.30, -1.0]) / np.linalg.norm([-0.010, 0.30, -1.0])
SIDE_NORMAL = np.array([-0.10, 1.0, -0.16]) / np.linalg.norm([-0.10, 1.0, -0.16])
BOW_RAKE, STERN_RAKE = np.radians(25.0), np.radians(10.0)
BOW_X0, STERN_X0 = 400.0, 2600.0


def bottom_over(points: FloatArray) -> FloatArray:
    """Signed distance of points (..., 3) outside of the bottom's outer face."""
    return (points - np.array([0.0, 20.0, 40.0])) @ BOTTOM_NORMAL


def side_over(points: FloatArray) -> FloatArray:
    """Signed distance of points (..., 3) outside of the side's outer face."""
    return (points - np.array([300.0, 300.0, 300.0])) @ SIDE_NORMAL


def _keel(x: float) -> tuple[float, float]:
    return HALF, 40.0 - 0.010 * x


def _chine(x: float) -> tuple[float, float]:
    w = (280.0 + 0.10 * (x - 300.0) + 0.16 * (_keel(x)[1] - 300.0)) / (1.0 - 0.16 * 0.30)
    return HALF + w, 0.30 * w + _keel(x)[1]


def _sheer(x: float) -> tuple[float, float]:
    z = 460.0 - 0.02 * x
    return 300.0 + 0.10 * (x - 300.0) + 0.16 * (z - 300.0), z


PRAM_ENDS = """
[[end]]
at = "bow"
kind = "transom"
rake = "25 deg"
panel = "15 mm"
stock = "15 mm plywood"
[[end]]
at = "stern"
kind = "transom"
rake = "10 deg"
panel = "18 mm"
stock = "18 mm plywood"
"""
FRAMING = """framing = "20 mm"
framing_moulded = "60 mm"
framing_stock = "fir"
centre_post = "80 mm"
"""
BOW_KNEE = """
[[knee]]
kind = "transom knee"
name = "bow knee"
at = "bow"
along_keel = "200 mm"
up_transom = "150 mm"
throat = "90 mm"
toe = "25 mm"
sided = "36 mm"
stock = "18 mm plywood"
laminations = 2
"""


def _on_transom(line: Line, x0: float, slope: float) -> float:
    x = x0
    for _ in range(80):
        x = x0 + slope * line(x)[1]
    return x


def _on_curved_bow(line: Line, radius: float) -> float:
    """Where a line ends on a bow transom whose outer face touches the flat one's on the centreline."""
    x = BOW_X0
    for _ in range(80):
        y, z = line(x)
        x = BOW_X0 - z * np.tan(BOW_RAKE) + (radius - np.sqrt(radius**2 - y**2)) / np.cos(BOW_RAKE)
    return x


def write_pram(
    folder: Path, *, more: str = "", frame: str = "3", framing: str = "", bow_radius: float | None = None
) -> Path:
    """The pram as a design folder.

    Args:
        framing: more keys of the bow transom.
        bow_radius: of her bow transom where it is curved, mm.
    """
    folder.mkdir(parents=True, exist_ok=True)
    lines = {"keel": _keel, "chine": _chine, "sheer": _sheer}
    fore = {name: _on_transom(line, BOW_X0, -np.tan(BOW_RAKE)) for name, line in lines.items()}
    if bow_radius is not None:
        fore = {name: _on_curved_bow(line, bow_radius) for name, line in lines.items()}
        framing += f'radius = "{bow_radius:g} mm"\n'
    aft = {name: _on_transom(line, STERN_X0, np.tan(STERN_RAKE)) for name, line in lines.items()}
    write_table(folder, lines=lines, fore=fore, aft=aft, stations=np.arange(500.0, 2600.0, 400.0))
    ends = PRAM_ENDS.replace('stock = "15 mm plywood"\n', f'stock = "15 mm plywood"\n{FRAMING}{framing}')
    text = HEAD.format(allow="0", straight="true") + ends + FRAME.format(name="A", at=frame, runs="forward")
    (folder / "design.toml").write_text(text + more, encoding="utf-8")
    return folder


# The double-ender: x runs from 0 to 4000, amidships at 2000.
MIDDLE, LEVEL = 2000.0, 40.0
SHEER_END, CHINE_END = 1950.0, 1750.0  # from amidships to where the lines meet the stem


def sheer(x: float) -> tuple[float, float]:
    u = x - MIDDLE
    return HALF + 600.0 * (1.0 - (u / SHEER_END) ** 2), 600.0 + 5e-5 * u * u


def chine(x: float) -> tuple[float, float]:
    u = x - MIDDLE
    return HALF + 440.0 * (1.0 - (u / CHINE_END) ** 2), 200.0 + 4e-5 * u * u


def stem_u(z: float) -> float:
    """How far from amidships the rabbet stands at a height."""
    low, high = chine(MIDDLE + CHINE_END)[1], sheer(MIDDLE + SHEER_END)[1]
    return CHINE_END + (SHEER_END - CHINE_END) * (z - low) / (high - low)


def low_chine(x: float) -> tuple[float, float]:
    """A chine that meets the stems at the forefoot, so the bottom is of one deadrise and the keel lies on it."""
    rise = 1.0 - ((x - MIDDLE) / stem_u(LEVEL)) ** 2
    return HALF + 440.0 * rise, LEVEL + 90.0 * rise


STEM = """
[[end]]
at = "{at}"
kind = "stem"
profile = "{at}.csv"
construction = "{construction}"
sided = "{sided}"
moulded = "90 mm"
outside = "30 mm"
foot = "{foot} mm"
joint = "{joint}"
stock = "oak"
"""
STERN_KNEE = """
[[knee]]
kind = "stem knee"
name = "{at} knee"
at = "{at}"
along_keel = "200 mm"
up_stem = "200 mm"
throat = "85 mm"
toe = "30 mm"
sided = "36 mm"
stock = "18 mm plywood"
"""


def write_double_ender(
    folder: Path,
    *,
    construction: str = "inner and outer",
    step: float = 0.0,
    low: bool = False,
    more: str = "",
) -> Path:
    """The double-ender as a design folder.

    Args:
        low: her chine is the low one, and her stems' heels stand on the keel.
        step: the table is rounded to it, mm, and may be moved by half of it; 0 types the figures as they are.
    """
    folder.mkdir(parents=True, exist_ok=True)

    def figure(value: float) -> str:
        return f"{round(value / step) * step if step else value:.9f}"

    level, foot = LEVEL, stem_u(LEVEL)
    lines: dict[str, Line] = {"keel": lambda _: (HALF, level), "chine": chine, "sheer": sheer}
    reach = {"chine": CHINE_END, "sheer": SHEER_END}
    if low:
        lines["chine"], reach["chine"] = low_chine, foot
    write_table(
        folder,
        lines=lines,
        fore={name: MIDDLE - u for name, u in reach.items()},
        aft={name: MIDDLE + u for name, u in reach.items()},
        stations=np.arange(600.0, 3500.0, 400.0),
        figure=figure,
    )
    for at, way in (("bow", -1.0), ("stern", 1.0)):
        rows = ["measured,height,aft,knuckle"]
        for z in np.linspace(sheer(MIDDLE + SHEER_END)[1], level, 6):
            knuckle = "yes" if z == level else ""
            rows.append(f"aft,{z:.9f},{MIDDLE + way * stem_u(z):.9f},{knuckle}")
        (folder / f"{at}.csv").write_text("\n".join(rows) + "\n", encoding="utf-8")
    sided = "44 mm" if construction == "inner and outer" else "40 mm"
    joint = "heel on the keel" if low else "butt"
    stems = [
        STEM.format(
            at=at,
            construction=construction,
            sided=sided,
            joint=joint,
            foot=f"{MIDDLE + way * (foot + 5.0):.6f}",
        )
        for at, way in (("bow", -1.0), ("stern", 1.0))
    ]
    frames = FRAME.format(name="F", at=2, runs="forward") + FRAME.format(name="A", at=7, runs="aft")
    allow = f"{0.5 * step:g} mm" if step else "0"
    text = HEAD.format(allow=allow, straight="false") + "".join(stems) + frames
    (folder / "design.toml").write_text(text + more, encoding="utf-8")
    return folder
