"""Invented whole boats given by exact functions, and the tables of offsets that are taken off them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from types import SimpleNamespace
from typing import Any

import numpy as np

from patterns.hull.planes import FloatArray
from patterns.measure import Notation
from patterns.table.values import LineOffsets, Offsets, Place, StemPoints

__all__ = ["EIGHTH", "ExactBoat", "design_for", "exact_boat", "table_of"]

EIGHTH = 25.4 / 8
STEP = 0.1  # mm along the profile line


@dataclass(frozen=True)
class ExactLine:
    """A line between its own ends, by the distance aft."""

    name: str
    x_fore: float
    x_aft: float
    y: Callable[[FloatArray], FloatArray]
    z: Callable[[FloatArray], FloatArray]


@dataclass(frozen=True)
class ExactBoat:
    """A hard-chine boat: the profile line as a dense polyline, chine and sheer as functions.

    Attributes:
        profile: shape (n, 2), x and z, a point every ``STEP`` mm from the stem's head.
        heading: shape (n,), its direction, radians; 0 is level and aft.
        half: the half siding.
    """

    profile: FloatArray
    heading: FloatArray
    half: float
    rake: float
    lines: tuple[ExactLine, ...]

    def off_profile(self, points: FloatArray, *, near: float = 60.0) -> FloatArray:
        """How far points (n, 2), in order along the profile, lie off it, mm."""
        from scipy.spatial import cKDTree

        return np.asarray(cKDTree(self.profile).query(points)[0])


def exact_boat(rng: np.random.Generator) -> ExactBoat:
    """A boat of 4.4 to 4.8 m with a curved raked stem that flows into the keel."""
    along = np.arange(0.0, 6500.0, STEP)
    corner, round_over = rng.uniform(760, 900), rng.uniform(130, 220)
    lean, sweep = np.radians(rng.uniform(15, 35)), rng.uniform(0.02, 0.04)
    heading = -(np.pi / 2 - lean) * 0.5 * (1 - np.tanh((along - corner) / round_over))
    heading += sweep * np.sin((along - corner) / 4000) - 0.1 * np.exp(-along / 700)
    middle = 0.5 * (heading[1:] + heading[:-1])
    x = np.concatenate([[0.0], np.cumsum(np.cos(middle))]) * STEP
    z = np.concatenate([[0.0], np.cumsum(np.sin(middle))]) * STEP
    x, z = x - rng.uniform(100, 250), z - z.min() + rng.uniform(0, 30)
    rake, stern = np.radians(rng.uniform(8, 14)), rng.uniform(4150, 4350)
    half = 20.0

    def on_stem(height: float) -> float:
        down = int(np.argmin(z))
        return float(np.interp(height, z[:down][::-1], x[:down][::-1]))

    def line(name: str, head: float, low: float, beam: float, swell: float) -> ExactLine:
        fore = on_stem(head)
        sweep, lift, aft = rng.uniform(2.0, 3.4), rng.uniform(2.0, 3.0), rng.uniform(10, 60)
        draw, late = rng.uniform(0.08, 0.22), rng.uniform(2.5, 4.0)
        x_aft = stern + (low + aft) * np.tan(rake)

        def u(at: FloatArray) -> FloatArray:
            return np.asarray((at - fore) / (x_aft - fore))

        return ExactLine(
            name=name,
            x_fore=fore,
            x_aft=float(x_aft),
            y=lambda at: half + beam * (1 - np.maximum(1 - u(at), 0) ** swell) * (1 - draw * u(at) ** late),
            z=lambda at: low + (head - low) * np.maximum(1 - u(at), 0) ** sweep + aft * u(at) ** lift,
        )

    top = float(z[0])
    beam = rng.uniform(620, 760)
    lines = (
        line("chine", rng.uniform(0.48, 0.6) * top, rng.uniform(120, 160), 0.8 * beam, rng.uniform(2.0, 3.2)),
        line("sheer", 0.985 * top, rng.uniform(0.55, 0.65) * top, beam, rng.uniform(2.4, 3.6)),
    )
    leaning = x - z * np.tan(rake) < stern
    return ExactBoat(
        profile=np.stack([x, z], axis=1)[leaning],
        heading=heading[leaning],
        half=half,
        rake=float(rake),
        lines=lines,
    )


def table_of(
    boat: ExactBoat,
    *,
    count: int = 8,
    step: float = EIGHTH,
    noise: float = 0.0,
    turn: float = np.radians(18),
    rng: np.random.Generator | None = None,
    notation: Notation = Notation.FEET_INCHES_EIGHTHS,
    at: FloatArray | None = None,
) -> Offsets:
    """The boat's table of offsets.

    Args:
        at: the stations' positions, mm aft; without them ``count`` evenly spaced ones, to the whole inch.
        count: stations between bow and stern, evenly spaced.
        step: to which every offset is rounded, mm; 0 leaves them exact.
        noise: half the width of even noise instead of rounding, mm.
        turn: the most that the stem turns between two of its points, radians.
    """

    def written(value: float) -> float:
        if noise > 0.0:
            assert rng is not None
            return float(value + rng.uniform(-noise, noise))
        return float(np.round(value / step) * step) if step > 0.0 else float(value)

    x, z = boat.profile.T
    first, last = x[0], boat.lines[0].x_aft
    if at is None:
        at = (np.arange(1, count + 1) / (count + 1)) * (last - first) + first
        at = np.round(at / 25.4) * 25.4
    count = len(at)
    points, i = [0], 0
    low = int(np.argmin(np.abs(boat.heading + np.radians(5))))
    while i < low:
        turned = np.abs(boat.heading[i:] - boat.heading[i])
        i = min(i + min(int(np.searchsorted(turned, turn)) or low, int(180 / STEP)), low)
        points.append(i)
    # Then wider and wider apart, as one who knows battens measures on to the next station.
    gap = max(points[-1] - points[-2], int(80 / STEP))
    if points[-1] - points[-2] < gap // 2:
        points.pop(-2)
    while gap < 300 / STEP and x[min(points[-1] + 2 * gap, len(x) - 1)] < at[at > x[points[-1]] + 60][0]:
        points.append(points[-1] + gap)
        gap *= 2
    steep = np.abs(boat.heading[points]) > np.radians(35)
    stem = StemPoints(
        file="stem.csv",
        x=np.array([written(x[k]) if s else x[k] for k, s in zip(points, steep, strict=True)]),
        z=np.array([z[k] if s else written(z[k]) for k, s in zip(points, steep, strict=True)]),
        measured=tuple("aft" if s else "height" for s in steep),
        knuckle=(False,) * len(points),
        places=tuple(Place(file="stem.csv", row=k + 2, column=2, heading="aft") for k in range(len(points))),
    )
    labels = ("bow", *(str(k + 1) for k in range(count)), "stern")
    lines = {}
    keel_x = np.concatenate([[np.nan], at, [x[-1]]])
    after = keel_x > x[points[-1]] + 60.0
    keel_z = np.array(
        [written(float(np.interp(v, x, z))) if ok else np.nan for v, ok in zip(keel_x, after, strict=True)]
    )
    keel_y = np.where(after, boat.half, np.nan)
    rows: list[tuple[str, FloatArray, FloatArray, FloatArray]] = [("keel", keel_x, keel_y, keel_z)]
    for line in boat.lines:
        inside = (at > line.x_fore + 30) & (at < line.x_aft - 30)
        here = np.concatenate([[True], inside, [True]])
        line_x = np.concatenate([[line.x_fore], at, [line.x_aft]])
        y = np.array(
            [written(float(line.y(v))) if ok else np.nan for v, ok in zip(line_x, here, strict=True)]
        )
        height = np.array(
            [written(float(line.z(v))) if ok else np.nan for v, ok in zip(line_x, here, strict=True)]
        )
        y[0] = boat.half
        line_x[0] = written(line.x_fore)
        rows.append((line.name, line_x, y, height))
    for k, (name, row_x, row_y, row_z) in enumerate(rows):
        lines[name] = LineOffsets(
            name=name,
            labels=labels,
            x=row_x,
            y=row_y,
            z=row_z,
            x_places=tuple(_cell(3 + k, c, label) for c, label in enumerate(labels)),
            y_places=tuple(_cell(9 + k, c, label) for c, label in enumerate(labels)),
            z_places=tuple(_cell(6 + k, c, label) for c, label in enumerate(labels)),
        )
    return Offsets(
        file="offsets.csv",
        notation=notation,
        stations=labels[1:-1],
        station_x=at,
        station_places=tuple(_cell(2, c + 1, label) for c, label in enumerate(labels[1:-1])),
        lines=lines,
        stem=stem,
    )


def _cell(row: int, column: int, label: str) -> Place:
    return Place(file="offsets.csv", row=row, column=column + 2, heading=label)


def design_for(
    boat: ExactBoat, *, allow: float, ends: str = "free", knuckles: dict[str, tuple[str, ...]] | None = None
) -> Any:
    """As much of a design as fairing looks at."""
    names = ("keel", *(line.name for line in boat.lines))
    return SimpleNamespace(
        boat=SimpleNamespace(confirmed=()),
        fairing=SimpleNamespace(allow=allow, ends=ends),
        lines=tuple(
            SimpleNamespace(name=name, straight=False, knuckles=(knuckles or {}).get(name, ()))
            for name in names
        ),
        stern=SimpleNamespace(rake=boat.rake, radius=None),
        bow=SimpleNamespace(sided=2 * boat.half),
        strakes=(),
        table=SimpleNamespace(heights="up from base", breadths="half"),
        fore_end=SimpleNamespace(kind="stem"),
        after_end=SimpleNamespace(kind="transom"),
    )
