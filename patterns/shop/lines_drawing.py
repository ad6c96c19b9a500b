"""The lines to sight along: profile, plan, body plan, and the curvature of every line."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from patterns.boat import Boat
from patterns.fairing.cells import FairedCell
from patterns.hull.planes import FloatArray, station_plane
from patterns.hull.surfaces import Curve
from patterns.shop.round_lines import level_runs, round_section
from tiling.drawing import XY, Disc, Drawing, Note, Path, Stroke

__all__ = ["lines_drawing"]

LINE = Stroke(width=0.35)
GRID = Stroke(width=0.13)
ZERO = Stroke(width=0.18, dash=(4.0, 2.0))
GAP = 30.0  # mm between the views
STRAIGHT = 1e-6  # 1/mm; a radius of a kilometre is a straight line to a batten
HEIGHT = 40.0  # mm that the greatest curvature of each line takes


def lines_drawing(boat: Boat, *, scale: float = 0.1) -> Drawing:
    """The three views and the curvature plots, one above the other, at a scale.

    Dots are the offsets as they were typed, so a line that leaves its dots is seen at once; a suspect has a ring.
    """
    lines: list[tuple[str, Curve]] = [(boat.hull.keel, boat.hull.profile), *boat.hull.lines.items()]
    sampled = {name: curve.at(np.linspace(curve.start, curve.end, 400)) for name, curve in lines}
    every = np.vstack(list(sampled.values()))
    low, high = every.min(axis=0) * scale, every.max(axis=0) * scale
    plan_up = high[2] + GAP
    body_right = high[0] + 2 * GAP + high[1]
    curve_up = plan_up + high[1] + GAP
    paths, discs, notes = [], [], []
    for name, points in sampled.items():
        x, y, z = scale * points.T
        paths += [_line(x, z), _line(x, plan_up + y)]
        notes += [_word(name, (x[0], z[0])), _word(name, (x[0], plan_up + y[0]))]
    paths += _stations(boat, scale, float(high[2]), plan_up, plan_up + float(high[1]))
    for level, points in level_runs(boat):
        x, y, z = scale * points.T
        if level.view == "height":
            paths.append(_line(x, z))
            notes.append(_word(level.name, (x[-1], z[-1]), towards=(1.0, 0.3)))
        elif level.view == "half-breadth":
            paths.append(_line(x, plan_up + y))
            notes.append(_word(level.name, (x[-1], plan_up + y[-1]), towards=(1.0, 0.3)))
    paths += _body(boat, scale, body_right)
    notes += [
        _word(name, (scale * float(x), 0.0), towards=(0.0, -1.0))
        for name, x in zip(boat.offsets.stations, boat.offsets.station_x, strict=True)
    ]
    for row in boat.lines.rows:
        at = _dot(row, scale, plan_up)
        if at is not None:
            discs.append(Disc(centre=at, radius=0.6))
            if any(s.place == row.place for s in boat.lines.suspects):
                discs.append(Disc(centre=at, radius=3.0, filled=False, width=0.5))
    for i, (label, x, curvature) in enumerate(_curvatures(lines)):
        base = curve_up + HEIGHT * i + 0.5 * HEIGHT
        most = float(np.abs(curvature).max())
        bend = f"least radius {1e-3 / most:.1f} m" if most > STRAIGHT else "straight"
        paths += [
            Path(points=np.array([[low[0], base], [high[0], base]]), stroke=ZERO),
            _line(scale * x, base + 0.45 * HEIGHT * curvature / max(most, STRAIGHT)),
        ]
        notes.append(_word(f"{label}: {bend}", (float(high[0]), base), towards=(1.0, 0.0)))
    return Drawing(paths=tuple(paths), discs=tuple(discs), notes=tuple(notes))


def _line(x: FloatArray, y: FloatArray) -> Path:
    return Path(points=np.stack([x, y], axis=-1), stroke=LINE)


def _word(text: str, at: Sequence[float], *, towards: XY = (-1.0, 0.3)) -> Note:
    return Note(text=text, target=(float(at[0]), float(at[1])), towards=towards, reach=30.0)


def _stations(boat: Boat, scale: float, top: float, plan_low: float, plan_top: float) -> list[Path]:
    return [
        Path(points=np.array([[scale * x, a], [scale * x, b]]), stroke=GRID)
        for x in boat.offsets.station_x
        for a, b in ((0.0, top), (plan_low, plan_top))
    ]


def _body(boat: Boat, scale: float, middle: float) -> list[Path]:
    """Sections at the stations: those forward of the greatest breadth to the right, the others to the left."""
    paths = []
    for x in boat.offsets.station_x:
        plane = station_plane(float(x))
        points = [
            plane.flat(place[0])
            for curve in (boat.hull.profile, *boat.hull.lines.values())
            if (place := boat.hull.pierced(curve, plane)) is not None
        ]
        rounded = round_section(boat, plane)
        if rounded is not None or len(points) > 1:
            side = 1.0 if x <= boat.hull.widest else -1.0
            u, v = scale * (np.array(points) if rounded is None else rounded).T
            paths.append(_line(middle + side * u, v))
    return paths


def _dot(row: FairedCell, scale: float, plan_up: float) -> XY | None:
    """Where an offset as typed stands on the drawing."""
    if row.view == "height":
        return scale * row.x, scale * row.offset
    if row.view == "half-breadth":
        return scale * row.x, plan_up + scale * row.offset
    return None


def _curvatures(lines: Sequence[tuple[str, Curve]]) -> Iterator[tuple[str, FloatArray, FloatArray]]:
    """Curvature of each line over the distance aft, 1/mm, seen from the side and from above."""
    for name, curve in lines:
        t = np.linspace(curve.start, curve.end, 400)
        points, first, second = curve.at(t), curve.at(t, 1), curve.at(t, 2)
        for label, axis in (("profile", 2), ("plan", 1)):
            if np.ptp(points[:, axis]) < 1.0:
                continue
            bend = first[:, 0] * second[:, axis] - first[:, axis] * second[:, 0]
            yield f"{name}, {label}", points[:, 0], bend / np.hypot(first[:, 0], first[:, axis]) ** 3
