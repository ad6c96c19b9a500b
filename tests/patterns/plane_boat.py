"""A boat whose bottom, sides and stem are planes and straight lines, typed in as a table: all answers are closed.

Bottom: z = 0.30 (y - 20) + 40 - 0.010 x.   Side: y - 20 = 0.22 (x - 250) + 0.16 (z - 300).
Half siding at keel and stem 20; the stem is where the side meets y = 20, the keel where the bottom does.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np

from patterns.hull.planes import FloatArray
from tests.patterns.design_parts import STRAKES, TIMBERS, head, lines

BOTTOM_NORMAL = np.array([-0.010, 0.30, -1.0]) / np.linalg.norm([-0.010, 0.30, -1.0])
SIDE_NORMAL = np.array([-0.22, 1.0, -0.16]) / np.linalg.norm([-0.22, 1.0, -0.16])
RAKE = np.radians(12.0)
HALF = 20.0
TRANSOM_X0 = 3900.0
BOTTOM_T, SIDE_T = 9.0, 6.0
STATIONS = np.arange(600.0, 3700.0, 600.0)


def bottom_over(points: FloatArray) -> FloatArray:
    """Signed distance of points (..., 3) outside of the bottom's outer face."""
    return (points - np.array([0.0, 20.0, 40.0])) @ BOTTOM_NORMAL


def side_over(points: FloatArray) -> FloatArray:
    """Signed distance of points (..., 3) outside of the side's outer face."""
    return (points - np.array([250.0, 20.0, 300.0])) @ SIDE_NORMAL


def keel_z(x: float) -> float:
    return 40.0 - 0.010 * x


def chine(x: float) -> tuple[float, float]:
    """Half-breadth and height."""
    w = (0.22 * x - 55.0 + 0.16 * (keel_z(x) - 300.0)) / (1.0 - 0.16 * 0.30)
    return 20.0 + w, 0.30 * w + keel_z(x)


def sheer(x: float) -> tuple[float, float]:
    """Half-breadth and height."""
    z = 700.0 - 0.03 * x
    return 20.0 + 0.22 * (x - 250.0) + 0.16 * (z - 300.0), z


def stem_x(z: float) -> float:
    """The rabbet's distance aft at a height."""
    return 250.0 - 0.16 / 0.22 * (z - 300.0)


FOREFOOT_X = (0.22 * 250.0 + 0.16 * 260.0) / (0.22 - 0.0016)
SHEER_X = (250.0 - 0.16 / 0.22 * 400.0) / (1.0 - 0.16 / 0.22 * 0.03)


def aft_ends(radius: float = np.inf) -> dict[str, float]:
    """How far aft each line meets the transom: raked, and curved to a radius square to the rake (inf: flat)."""
    lines = {"keel": lambda x: (HALF, keel_z(x)), "chine": chine, "sheer": sheer}
    ends = {}
    for name, line in lines.items():
        x = TRANSOM_X0
        for _ in range(60):
            y, z = line(x)
            hollow = 0.0 if np.isinf(radius) else radius - np.sqrt(radius**2 - y**2)
            x = float(TRANSOM_X0 + np.tan(RAKE) * z - hollow / np.cos(RAKE))
        ends[name] = x
    return ends


AFT = aft_ends()


def _in_log(points: FloatArray, corner: FloatArray, run: FloatArray, way: FloatArray) -> FloatArray:
    """Whether points lie in a timber that lies on the side: 20 mm off it, 45 mm along it from the corner."""
    off = -SIDE_T - side_over(points)
    across = np.cross(run, SIDE_NORMAL)
    across = across / np.linalg.norm(across)
    across = across * np.sign(across @ way)
    along = (points - corner) @ across
    return (off < 20.0) & (along < 45.0)


def clear_of_timbers(points: FloatArray) -> FloatArray:
    """Whether points (n, 3) lie inside of planking and deck, to starboard, and in no keel, chine log or clamp.

    By the planes alone; abaft the stem.
    """
    inside = (bottom_over(points) < -BOTTOM_T) & (side_over(points) < -SIDE_T) & (points[:, 1] > 0.0)
    deck = np.array([0.0, 0.0, 700.0])
    deck_normal = np.array([0.03, 0.0, 1.0]) / np.hypot(0.03, 1.0)
    inside &= (points - deck) @ deck_normal < 0.0
    chine_run = np.cross(BOTTOM_NORMAL, SIDE_NORMAL)
    chine = np.linalg.solve(
        np.array([BOTTOM_NORMAL, SIDE_NORMAL, [1.0, 0.0, 0.0]]),
        np.array([
            BOTTOM_NORMAL @ [0.0, 20.0, 40.0] - BOTTOM_T, SIDE_NORMAL @ [250.0, 20.0, 300.0] - SIDE_T, 2000.0
        ]),
    )  # fmt: skip
    sheer_run = np.cross(deck_normal, SIDE_NORMAL)
    top = np.linalg.solve(
        np.array([deck_normal, SIDE_NORMAL, [1.0, 0.0, 0.0]]),
        np.array([deck_normal @ deck, SIDE_NORMAL @ [250.0, 20.0, 300.0] - SIDE_T, 2000.0]),
    )
    up = np.array([0.0, 0.0, 1.0])
    inside &= ~_in_log(points, chine, chine_run / np.linalg.norm(chine_run), up)
    inside &= ~_in_log(points, top, sheer_run / np.linalg.norm(sheer_run), -up)
    # Square to its run in the profile, 30 mm above the line in which the bottom's insides meet.
    flat = points * np.array([1.0, 0.0, 1.0])
    over = -(bottom_over(flat) + BOTTOM_T) / np.hypot(BOTTOM_NORMAL[0], BOTTOM_NORMAL[2])
    return inside & ~((points[:, 1] < 45.0) & (over < 30.0))


DESIGN = (
    head("Plane Boat")
    + lines("keel", "chine", "sheer", straight=("keel", "chine", "sheer"))
    + """
[[end]]
at = "bow"
kind = "stem"
profile = "stem.csv"
construction = "{construction}"
sided = "{sided}"
moulded = "90 mm"
outside = "30 mm"
foot = "440 mm"
stock = "oak"
laminations = 1
[[end]]
at = "stern"
kind = "transom"
rake = "12 deg"
panel = "18 mm"
stock = "18 mm plywood"
framing = "20 mm"
framing_moulded = "70 mm"
framing_stock = "fir"
centre_post = "90 mm"
"""
    + STRAKES
    + "[deck]\n{deck}\n"
    + TIMBERS
    + """
[[frame]]
name = "A"
at = "station 2"
sided = "18 mm"
moulded_side = "70 mm"
moulded_bottom = "90 mm"
stock = "18 mm plywood"
[[frame]]
name = "B"
at = "2500 mm"
rake = "5 deg"
sided = "20 mm"
moulded_side = "70 mm"
moulded_bottom = "90 mm"
siding_runs = "aft"
stock = "fir"
[[knee]]
kind = "transom knee"
along_keel = "300 mm"
up_transom = "250 mm"
throat = "110 mm"
toe = "30 mm"
sided = "36 mm"
stock = "18 mm plywood"
laminations = 2
[breasthook]
length = "300 mm"
throat = "170 mm"
toe = "30 mm"
sided = "36 mm"
stock = "18 mm plywood"
laminations = 2
"""
)


def write_plane_boat(
    folder: Path,
    *,
    construction: str = "inner and outer",
    sided: str = "60 mm",
    deck: str = 'thickness = "6 mm"\ncrown = "0"',
    radius: float = np.inf,
) -> Path:
    """Write the boat as a design folder and return it."""
    folder.mkdir(parents=True, exist_ok=True)
    aft = aft_ends(radius)

    def row(block: str, line: str, bow: float | None, values: list[float], stern: float | None) -> str:
        ends = ["" if v is None else f"{v:.9f}" for v in (bow, stern)]
        return ",".join([block, line, ends[0], *(f"{v:.9f}" for v in values), ends[1]])

    x = [float(v) for v in STATIONS]
    names = ",".join(str(i + 1) for i in range(len(x)))
    fore = {"chine": FOREFOOT_X, "sheer": SHEER_X}
    lines = [
        f"block,line,bow,{names},stern",
        row("position", "", None, x, None),
        row("position", "keel", None, [], aft["keel"]).replace("keel,,", "keel,," + "," * len(x), 1),
    ]
    for name in ("chine", "sheer"):
        lines.append(f"position,{name},{fore[name]:.9f}{',' * (len(x) + 1)}{aft[name]:.9f}")
    at = {"chine": chine, "sheer": sheer}
    lines.append(row("height", "keel", None, [keel_z(v) for v in x], keel_z(aft["keel"])))
    for name, f in at.items():
        lines.append(row("height", name, f(fore[name])[1], [f(v)[1] for v in x], f(aft[name])[1]))
    lines.append(row("half-breadth", "keel", None, [HALF] * len(x), HALF))
    for name, f in at.items():
        lines.append(row("half-breadth", name, f(fore[name])[0], [f(v)[0] for v in x], f(aft[name])[0]))
    lines[2] = f"position,keel,{',' * (len(x) + 1)}{aft['keel']:.9f}"
    (folder / "offsets.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")
    foot = keel_z(FOREFOOT_X)
    heights = np.linspace(sheer(SHEER_X)[1], foot, 5)
    stem = [f"aft,{z:.9f},{stem_x(z):.9f},{'yes' if i == 4 else ''}" for i, z in enumerate(heights)]
    (folder / "stem.csv").write_text(
        "measured,height,aft,knuckle\n" + "\n".join(stem) + "\n", encoding="utf-8"
    )
    design = DESIGN.format(construction=construction, sided=sided, deck=deck)
    if not np.isinf(radius):
        design = design.replace('rake = "12 deg"\n', f'rake = "12 deg"\nradius = "{radius:g} mm"\n')
    (folder / "design.toml").write_text(design, encoding="utf-8")
    return folder
