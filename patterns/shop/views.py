"""The boat's lines as pictures at a scale: profile, plan and body plan.

Everything is in mm of paper.  Words stand beside their places on the side that they ask for; where several would
crowd each other they are spread out.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import lru_cache

import numpy as np

from patterns.boat import Boat
from patterns.hull.planes import FloatArray, Plane, station_plane
from patterns.hull.surfaces import Curve
from patterns.shop.round_lines import level_runs, round_section
from patterns.table.levels import LevelRow, levels_of
from tiling.books.scaled_drawing import scaled_bounds
from tiling.drawing import XY, Disc, Drawing, Note, Path, Stroke

__all__ = [
    "body_plan",
    "common_scale",
    "every_height",
    "every_line",
    "fitting",
    "plan",
    "profile",
    "sampled",
    "section_runs",
    "spread",
]

LINE = Stroke(width=0.35)
SECTION = Stroke(width=0.25)
GRID = Stroke(width=0.13)
WATER = Stroke(width=0.18, dash=(3.0, 1.0))
CENTRE = Stroke(width=0.18, dash=(8.0, 1.5, 1.5, 1.5))
DOT = 0.45  # mm, radius of an offset as it was typed
RING = 1.6
CLEAR = 3.0  # mm from a line's end to its name
PITCH = 1.8  # of words beside each other, in heights of a capital
SAMPLES = 400
PLAN = "half-breadth"
SCALES = (1, 2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40, 50, 75, 100, 150, 200)
SURELY = 0.98  # of a view's size at one scale, for simplified curves


def every_line(boat: Boat) -> list[tuple[str, Curve]]:
    """The profile line and the others, by name, from the centreline up."""
    return [(boat.hull.keel, boat.hull.profile), *boat.hull.lines.items()]


def sampled(curve: Curve) -> FloatArray:
    """Points along a line from its fore end aft, (n, 3), mm."""
    return curve.at(np.linspace(curve.start, curve.end, SAMPLES))


def spread(places: Sequence[float], pitch: float) -> list[float]:
    """Places moved as little as may be, so that no two are nearer than ``pitch``; their order stays."""
    order = np.argsort(places, kind="stable")
    wanted = np.array(places, dtype=float)[order] - pitch * np.arange(len(places))
    # Least squares under a rising order: neighbours that would pass each other share their mean.
    groups: list[tuple[float, int]] = []
    for value in wanted:
        groups.append((float(value), 1))
        while len(groups) > 1 and groups[-2][0] > groups[-1][0]:
            (a, n), (b, m) = groups[-2:]
            groups[-2:] = [((a * n + b * m) / (n + m), n + m)]
    level = np.concatenate([np.full(n, value) for value, n in groups]) if groups else np.zeros(0)
    found = np.empty(len(places))
    found[order] = level + pitch * np.arange(len(places))
    return [float(value) for value in found]


def common_scale(most: float) -> int:
    """The common scale, 1 to so much, that is not larger than ``most`` mm of paper for a mm."""
    return next((scale for scale in SCALES if 1.0 / scale <= most), SCALES[-1])


def fitting(view: Callable[[float], Drawing], *, wide: float, tall: float) -> tuple[int, Drawing]:
    """The largest common scale, 1 to so much, at which a view fits with all its words, and the view.

    Args:
        view: makes it at a scale.
        wide, tall: what it may take of the page, mm.
    """
    broad = high = 0.0  # at full size, less what labels add
    for scale in SCALES:
        if scale != SCALES[-1] and (SURELY * broad > wide * scale or SURELY * high > tall * scale):
            continue  # labels do not shrink with the view, so that it shrinks by no more than its scale
        drawing = view(1.0 / scale)
        left, low, right, top = scaled_bounds(drawing)
        if right - left <= wide and top - low <= tall:
            break
        broad, high = (right - left) * scale, (top - low) * scale
    return scale, drawing


def profile(boat: Boat, scale: float, *, height: float = 2.5) -> Drawing:
    """The boat seen from starboard, bow to the left: lines, stations, waterlines, base line, crown."""
    points = {name: scale * sampled(curve) for name, curve in every_line(boat)}
    paths = [_line(p[:, 0], p[:, 2]) for p in points.values()]
    ends = np.array([p[-1, [0, 2]] for p in points.values()])
    paths.append(_line(*ends.T))
    every = np.vstack(list(points.values()))
    low, high = every.min(axis=0), every.max(axis=0)
    crown = scale * _crown(boat)
    paths.append(Path(points=crown, stroke=WATER))
    top = max(float(high[2]), float(crown[:, 1].max()))
    bottom = min(0.0, float(low[2]))
    levels = scale * np.array([z for _, z in every_height(boat)])
    paths += [Path(points=np.array([[low[0] - 4.0, z], [high[0] + 4.0, z]]), stroke=GRID) for z in levels]
    paths += _level_runs(boat, scale, "height")
    paths += _stations(boat, scale, bottom, top)
    notes = _names(ends, list(points), height, right=float(high[0]) + 4.0)
    at = spread(list(levels), PITCH * height)
    notes += [
        Note(text=words, target=(float(low[0]) - 4.0, z), towards=(-1.0, 0.0), height=height)
        for (words, _), z in zip(every_height(boat), at, strict=True)
    ]
    notes += _station_names(boat, scale, bottom, height)
    return Drawing(paths=tuple(paths), discs=tuple(_dots(boat, scale, "height", 0.0)), notes=tuple(notes))


def plan(boat: Boat, scale: float, *, height: float = 2.5) -> Drawing:
    """The starboard half seen from above, bow to the left: lines, stations, waterlines."""
    buttocks: list[Note] = []
    points = {name: scale * sampled(curve) for name, curve in every_line(boat)}
    paths = [_line(p[:, 0], p[:, 1]) for p in points.values()]
    ends = np.array([p[-1, [0, 1]] for p in points.values()])
    paths.append(_line(*ends.T))
    every = np.vstack(list(points.values()))
    low, high = every.min(axis=0), every.max(axis=0)
    paths.append(Path(points=np.array([[low[0] - 4.0, 0.0], [high[0] + 4.0, 0.0]]), stroke=CENTRE))
    paths += _level_runs(boat, scale, PLAN)
    for z in boat.design.waterlines:
        paths += [Path(points=scale * run, stroke=WATER) for run in _waterline(boat, z)]
    for name, y in _buttocks(boat):
        paths.append(Path(points=np.array([[low[0] - 4.0, scale * y], [high[0], scale * y]]), stroke=GRID))
        at = (float(low[0]) - 4.0, scale * y)
        buttocks.append(Note(text=name, target=at, towards=(-1.0, 0.0), height=height))
    paths += _stations(boat, scale, 0.0, float(high[1]))
    notes = buttocks + _names(ends, list(points), height, right=float(high[0]) + 4.0)
    notes += _station_names(boat, scale, 0.0, height)
    return Drawing(
        paths=tuple(paths), discs=tuple(_dots(boat, scale, "half-breadth", 0.0)), notes=tuple(notes)
    )


def body_plan(boat: Boat, scale: float, *, height: float = 2.5) -> Drawing:
    """The sections at the stations and the transom: those forward of the greatest breadth on the right."""
    paths: list[Path] = []
    tops: dict[float, list[tuple[str, XY]]] = {1.0: [], -1.0: []}
    for name, side, runs in _sections(boat):
        for run in runs:
            paths.append(Path(points=scale * run * [side, 1.0], stroke=SECTION))
        tops[side].append((name, (side * scale * float(runs[-1][-1, 0]), scale * float(runs[-1][-1, 1]))))
    notes = []
    every = np.vstack([path.points for path in paths]) if paths else np.zeros((1, 2))
    (left, low), (right, high) = every.min(axis=0), every.max(axis=0)
    for side, ends in tops.items():
        for (name, at), x in zip(ends, spread([at[0] for _, at in ends], 1.2 * PITCH * height), strict=True):
            # The transom's name is long: it stands inboard of its corner.
            inboard = name == "transom"
            place = (x - side * 3.0, at[1] - height) if inboard else (x, at[1] + 0.5 * height)
            towards = (-side, 0.0) if inboard else (0.0, 1.0)
            notes.append(Note(text=name, target=place, towards=towards, height=height))
            if not inboard:
                paths.append(Path(points=np.array([at, [x, at[1] + 0.8 * height]]), stroke=GRID))
    edge = max(float(right), -float(left)) + 4.0
    levels = scale * np.array([z for _, z in every_height(boat)])
    paths += [Path(points=np.array([[-edge, z], [edge, z]]), stroke=GRID) for z in levels]
    top = float(high) + 2.5 * height
    paths.append(Path(points=np.array([[0.0, min(0.0, low) - 3.0], [0.0, top]]), stroke=CENTRE))
    paths += _body_levels(boat, scale, edge, float(high))
    at_level = spread(list(levels), PITCH * height)
    notes += [
        Note(text=words, target=(-edge, z), towards=(-1.0, 0.0), height=height)
        for (words, _), z in zip(every_height(boat), at_level, strict=True)
    ]
    notes += [
        Note(text=name, target=(side * scale * y, min(0.0, float(low))), towards=(0.0, -1.0), height=height)
        for name, y in _buttocks(boat)
        for side in (-1.0, 1.0)
    ]
    foot = min(0.0, float(low)) - (PITCH * height if _buttocks(boat) else 0.0) - 1.0
    notes.append(Note(text="forward", target=(0.5 * edge, foot), towards=(0.0, -1.0), height=height))
    notes.append(Note(text="after", target=(-0.5 * edge, foot), towards=(0.0, -1.0), height=height))
    return Drawing(paths=tuple(paths), notes=tuple(notes))


def _line(x: FloatArray, y: FloatArray) -> Path:
    return Path(points=np.stack([x, y], axis=-1), stroke=LINE)


def _names(ends: FloatArray, names: Sequence[str], height: float, *, right: float) -> list[Note]:
    """The lines' names abreast of their after ends."""
    at = spread([float(y) for y in ends[:, 1]], PITCH * height)
    return [
        Note(text=name, target=(right, y), towards=(1.0, 0.0), height=height)
        for name, y in zip(names, at, strict=True)
    ]


def _levels(boat: Boat) -> tuple[LevelRow, ...]:
    """The waterlines, buttocks and diagonals of the table; a boat with chines has none."""
    return levels_of(boat.offsets, boat.design)


def every_height(boat: Boat) -> list[tuple[str, float]]:
    """The base line, the design's marked heights and the table's waterlines, by name, mm."""
    found = {0.0: "base"}
    found |= {round(float(level.start[1]), 3): level.name for level in _levels(boat) if level.view == PLAN}
    for z in boat.design.waterlines:
        found.setdefault(round(z, 3), boat.table_words(z))
    return [(name, z) for z, name in found.items()]


def _buttocks(boat: Boat) -> list[tuple[str, float]]:
    return [(level.name, float(level.start[0])) for level in _levels(boat) if level.view == "height"]


def _level_runs(boat: Boat, scale: float, view: str) -> list[Path]:
    """The table's buttocks (or waterlines) as the surface has them, in the view where they are curves."""
    axes = [0, 2] if view == "height" else [0, 1]
    return [
        Path(points=scale * points[:, axes], stroke=WATER)
        for level, points in level_runs(boat)
        if level.view == view
    ]


def _body_levels(boat: Boat, scale: float, edge: float, top: float) -> list[Path]:
    """Buttocks and diagonals in the body plan, on both sides: straight lines."""
    paths = []
    for level in _levels(boat):
        if level.view == PLAN:
            continue
        start = scale * level.start
        reach = (top - start[1]) / level.along[1] if level.view == "height" else edge / level.along[0]
        run = np.array([start, start + reach * level.along])
        paths += [Path(points=run * [side, 1.0], stroke=GRID) for side in (-1.0, 1.0)]
    return paths


def _stations(boat: Boat, scale: float, low: float, high: float) -> list[Path]:
    return [
        Path(points=np.array([[scale * x, low], [scale * x, high]]), stroke=GRID)
        for x in boat.offsets.station_x
    ]


def _station_names(boat: Boat, scale: float, foot: float, height: float) -> list[Note]:
    return [
        Note(text=name, target=(scale * float(x), foot), towards=(0.0, -1.0), height=height)
        for name, x in zip(boat.offsets.stations, boat.offsets.station_x, strict=True)
    ]


def _crown(boat: Boat) -> FloatArray:
    """The deck's surface on the centreline, (n, 2): distance aft and height, mm; its edge where it has no crown."""
    deck = boat.hull.deck
    x = np.linspace(deck.start, deck.end, 60)
    points = deck.shape(x[:, None], np.zeros((1, 1)))[0][:, 0]
    return np.stack([points[:, 0], points[:, 2]], axis=-1)


@lru_cache(maxsize=1)  # the lines to sight along, the loft book and the picture draw the same boat
def _sections(boat: Boat) -> tuple[tuple[str, float, tuple[FloatArray, ...]], ...]:
    """The sections at the stations and the transom, by name, with the side on which each stands."""
    planes = [
        (name, station_plane(float(x)))
        for name, x in zip(boat.offsets.stations, boat.offsets.station_x, strict=True)
    ]
    planes.append(("transom", boat.hull.transom))
    return tuple(
        (name, 1.0 if plane.origin[0] <= boat.hull.widest and name != "transom" else -1.0, tuple(runs))
        for name, plane in planes
        if (runs := section_runs(boat, plane))
    )


def section_runs(boat: Boat, plane: Plane) -> list[FloatArray]:
    """The outside of the lines' surface on a plane, strake by strake from the keel up, (n, 2) each, mm."""
    rounded = round_section(boat, plane)
    if rounded is not None:
        return [rounded]
    runs = []
    for strake in boat.hull.strakes:
        trace = strake.across(plane, inset=0.0)
        if trace is None:
            continue
        within = (trace.r >= -1e-9) & (trace.r <= 1.0 + 1e-9)
        within &= trace.uv[:, 0] >= 0.0
        if within.sum() > 1:
            runs.append(trace.uv[within])
    return runs


@lru_cache(maxsize=8)
def _waterline(boat: Boat, z: float) -> tuple[FloatArray, ...]:
    """The line in which a level plane cuts the lines' surface: distance aft and half-breadth, (n, 2) each, mm."""
    plane = Plane(origin=np.array([0.0, 0.0, z]), u=np.array([1.0, 0.0, 0.0]), v=np.array([0.0, 1.0, 0.0]))
    traces = [strake.along(plane, inset=0.0, r_range=(0.0, 1.0)) for strake in boat.hull.strakes]
    return tuple(trace.uv for trace in traces if trace is not None and len(trace) > 1)


def _dots(boat: Boat, scale: float, view: str, foot: float) -> list[Disc]:
    """The offsets of one view as they were typed; a suspect has a ring."""
    doubted = {suspect.place for suspect in boat.lines.suspects}
    discs = []
    for row in boat.lines.rows:
        if row.view != view:
            continue
        at = (scale * row.x, foot + scale * row.offset)
        discs.append(Disc(centre=at, radius=DOT))
        if row.place is not None and row.place in doubted:
            discs.append(Disc(centre=at, radius=RING, filled=False))
    return discs
