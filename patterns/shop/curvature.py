"""The curvature of each line over its length, before and after fairing: what the eye looks for along a batten."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from patterns.boat import Boat
from patterns.fairing.cells import FairedCell
from patterns.hull.planes import FloatArray
from patterns.shop.views import CENTRE, GRID, LINE, PITCH, SAMPLES, every_line, spread
from tiling.drawing import Drawing, Note, Path, Stroke

__all__ = ["LineCurvature", "bend_words", "curvature_plot", "curvatures", "spline_curvature"]

TYPED = Stroke(width=0.18, dash=(1.5, 1.0))
LEAST = 50.0  # mm of the boat: a view in which a line runs less than this has no curvature worth a plot
STRAIGHT = 1e-7  # 1/mm; a radius of ten kilometres is straight
STEEP = 0.7  # rise per run
LEVEL_VIEWS: Mapping[str, str] = {"height": "profile", "half-breadth": "plan", "diagonal": "along it"}


@dataclass(frozen=True, slots=True, kw_only=True)
class LineCurvature:
    """The curvature of one line in one view, before and after fairing.

    Attributes:
        line, view: whose, and seen how: ``profile``, ``plan``, or ``along it`` (a diagonal).
        x: distance aft, mm, (n,).
        faired: 1/mm, (n,); towards greater offsets is positive.
        typed_x, typed: the same of the spline through the offsets as typed; (0,) where there is none.
        ducks: the offsets of that view, from forward aft.
    """

    line: str
    view: str
    x: FloatArray
    faired: FloatArray
    typed_x: FloatArray
    typed: FloatArray
    ducks: tuple[FairedCell, ...]


def curvatures(boat: Boat) -> list[LineCurvature]:
    """The curvature of each line over the distance aft, seen from the side and from above."""
    found = []
    for name, curve in every_line(boat):
        t = np.linspace(curve.start, curve.end, SAMPLES)
        points, first, second = curve.at(t), curve.at(t, 1), curve.at(t, 2)
        for view, axis, kind in (("profile", 2, "height"), ("plan", 1, "half-breadth")):
            if np.ptp(points[:, axis]) < LEAST:
                continue
            bend = first[:, 0] * second[:, axis] - first[:, axis] * second[:, 0]
            pace = np.hypot(first[:, 0], first[:, axis])
            ducks = _ducks(boat, name, kind)
            level = _level_enough(ducks)
            at, typed = spline_curvature([duck.x for duck in level], [duck.offset for duck in level])
            found.append(
                LineCurvature(
                    line=name,
                    view=view,
                    x=points[:, 0],
                    faired=bend / np.where(pace > 0.0, pace, 1.0) ** 3,
                    typed_x=at,
                    typed=typed,
                    ducks=ducks,
                )
            )
    by_row = {(row.line, row.view): None for row in boat.lines.rows if row.view in LEVEL_VIEWS}
    own = {name for name, _ in every_line(boat)}
    for name, view in by_row:
        if name not in own:
            found += _level_bend(boat, name, view)
    return found


def _level_bend(boat: Boat, name: str, kind: str) -> list[LineCurvature]:
    """The curvature of a waterline, buttock or diagonal: the spline through its offsets as faired, and as typed."""
    ducks = _ducks(boat, name, kind)
    x, faired = spline_curvature([duck.x for duck in ducks], [duck.faired for duck in ducks])
    if not len(x):
        return []
    typed_x, typed = spline_curvature([duck.x for duck in ducks], [duck.offset for duck in ducks])
    return [
        LineCurvature(
            line=name, view=LEVEL_VIEWS[kind], x=x, faired=faired, typed_x=typed_x, typed=typed, ducks=ducks
        )
    ]


def _ducks(boat: Boat, name: str, kind: str) -> tuple[FairedCell, ...]:
    """A line's offsets in one view, from forward aft."""
    rows = [row for row in boat.lines.rows if row.line == name and row.view == kind]
    return tuple(sorted(rows, key=lambda row: row.x))


def _level_enough(ducks: Sequence[FairedCell]) -> Sequence[FairedCell]:
    """The ducks aft of the last place at which the line runs steeply: there it is no function of the distance."""
    steep = [
        i
        for i, (a, b) in enumerate(pairwise(ducks), start=1)
        if abs(b.faired - a.faired) > STEEP * abs(b.x - a.x)
    ]
    fore = [i for i in steep if i <= len(ducks) // 2]
    return ducks[max(fore, default=0) :]


def spline_curvature(at: Sequence[float], offsets: Sequence[float]) -> tuple[FloatArray, FloatArray]:
    """Places aft and the curvature there of the cubic spline through offsets; (0,) for fewer than 4.

    It runs out past its ends as a parabola.  Its second derivatives at the knots solve the usual three-term
    equations (Press et al., Numerical Recipes, section 3.3; from memory).
    """
    x = np.array(at)
    if len(x) < 4 or np.diff(x).min() < 1e-6:
        return np.zeros(0), np.zeros(0)
    y, h = np.array(offsets), np.diff(x)
    slope = np.diff(y) / h
    system = np.diag(np.concatenate([[1.0], 2.0 * (h[:-1] + h[1:]), [1.0]]))
    system[0, 1] = system[-1, -2] = -1.0
    for k in range(1, len(x) - 1):
        system[k, k - 1], system[k, k + 1] = h[k - 1], h[k]
    second = np.linalg.solve(system, np.concatenate([[0.0], 6.0 * np.diff(slope), [0.0]]))
    places = np.linspace(x[0], x[-1], SAMPLES)
    i = np.clip(np.searchsorted(x, places, side="right") - 1, 0, len(h) - 1)
    part = (places - x[i]) / h[i]
    bend = (1.0 - part) * second[i] + part * second[i + 1]
    rise = slope[i] + h[i] / 6.0 * (
        second[i + 1] * (3.0 * part**2 - 1.0) - second[i] * (3.0 * (1.0 - part) ** 2 - 1.0)
    )
    return places, bend / (1.0 + rise**2) ** 1.5


def curvature_plot(bend: LineCurvature, scale: float, *, tall: float = 18.0, height: float = 2.5) -> Drawing:
    """One line's curvature over its length: as faired in full, as typed dashed, the ducks' moves in mm below."""
    low, high = scale * float(bend.x.min()), scale * float(bend.x.max())
    most = max(float(np.abs(bend.faired).max()), STRAIGHT)
    half = 0.5 * tall
    up = half / most
    paths = [Path(points=np.array([[low, 0.0], [high, 0.0]]), stroke=CENTRE)]
    if len(bend.typed):
        # A wild offset would run off the page: the plot ends at its frame.
        typed = np.clip(up * bend.typed, -1.25 * half, 1.25 * half)
        paths.append(Path(points=np.stack([scale * bend.typed_x, typed], axis=-1), stroke=TYPED))
    paths.append(Path(points=np.stack([scale * bend.x, up * bend.faired], axis=-1), stroke=LINE))
    foot = -1.25 * half - 1.0
    paths += [
        Path(points=np.array([[scale * duck.x, foot], [scale * duck.x, 1.25 * half]]), stroke=GRID)
        for duck in bend.ducks
    ]
    notes = []
    at = spread([scale * duck.x for duck in bend.ducks], 2.75 * PITCH * height * 0.75)
    for duck, x in zip(bend.ducks, at, strict=True):
        move = round(duck.move, 1)
        notes += [
            Note(text=duck.label, target=(x, foot), towards=(0.0, -1.0), height=height),
            Note(
                text=f"{move:+.1f}" if move else "0",
                target=(x, foot - PITCH * height),
                towards=(0.0, -1.0),
                height=height,
            ),
        ]
    if at:
        left = min(low, at[0]) - 6.0
        notes.append(
            Note(
                text="moved mm",
                target=(left, foot - PITCH * height - height),
                towards=(-1.0, 0.0),
                height=height,
            )
        )
    return Drawing(paths=tuple(paths), notes=tuple(notes))


def bend_words(bend: LineCurvature) -> str:
    """The tightest bend of a line in words."""
    i = int(np.abs(bend.faired).argmax())
    most = float(np.abs(bend.faired[i]))
    if most <= STRAIGHT:
        return "straight"
    return f"least radius {1e-3 / most:.2f} m, {bend.x[i]:.0f} mm aft"
