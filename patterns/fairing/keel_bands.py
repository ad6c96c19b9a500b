"""How well each span of the profile line is known, and where one more point is wanted."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import TYPE_CHECKING

import numpy as np

from patterns.errors import Problem
from patterns.fairing.band_words import near, wide_problem
from patterns.fairing.bands import SpanBand, worst_of
from patterns.fairing.evenness import NOISE
from patterns.fairing.paths import FairedPath
from patterns.fairing.profile_choice import ProfileChoice
from patterns.fairing.profile_model import Modelled
from patterns.hull.planes import FloatArray
from patterns.measure import Notation, format_length

if TYPE_CHECKING:
    from patterns.fairing.profile_points import PathPoint, ProfileMade
    from patterns.table.offsets import Place

__all__ = ["profile_bands", "profile_warnings"]

# Measured with `python -m tests.bench.profile_bench` on the families for tuning: with these, 94 to 100 spans of 100
# of each family hold the true line.  Where curvature jumps between two points the model alone says too little, and
# the batten and the model differ: 0.4 of their difference makes up for it.
DEVIATIONS, APART = 2.2, 0.4
# One roughness for all of a line that bends quickly in one place says too little of that place's neighbours.
QUICK, QUICKER = 32.0, 1.3  # tau of such a line, and times that it is known worse
LEAST, MOST_WIDE = 0.05, 0.12  # mm, and of the chord from point to point: no band is narrower, nor wider
# A line that hardly bends from point to point is not lost between them: no band is wider than so many noises and so
# much of the depth of the deepest bay beside it.  It matters at the ends, which the model holds on one side only.
NOISES, OF_DEPTH, LONGER = 4.0, 0.6, 4.0


def profile_bands(name: str, points: Sequence[PathPoint], choice: ProfileChoice) -> tuple[SpanBand, ...]:
    """The band of each span of the profile line; none where it has too few points for a model.

    Args:
        name: the keel's name in the table.
        points: those that the line was faired through.
    """
    model = choice.model
    if model is None:
        return ()
    cell, sigma = model.grid.cell, model.grid.sigma
    differs = np.maximum(APART * _apart(model, choice.batten), _apart(model, choice.path))
    worse = max(1.0, (1.0 + (QUICKER - 1.0) * model.rougher(QUICK)) / model.flattered)
    width = np.maximum(DEVIATIONS * worse * model.spread + differs, LEAST)
    deepest = _depths(choice.batten)
    bands = []
    for i in range(len(points) - 1):
        inside = np.nonzero((cell >= model.s[i]) & (cell <= model.s[i + 1]))[0]
        if not len(inside):  # two points closer together than a cell
            inside = np.array([int(np.abs(cell - model.s[i]).argmin())])
        most = int(inside[width[inside].argmax()])
        noise = float(sigma[i : i + 2].max())
        widest = max(MOST_WIDE * points[i].off(points[i + 1]), noise)
        bands.append(
            SpanBand(
                line=name,
                view=points[i].view,
                first=points[i].label,
                last=points[i + 1].label,
                half_width=max(
                    LEAST, min(float(width[most]), widest, NOISES * noise + OF_DEPTH * deepest[i])
                ),
                rounding=noise / NOISE,
                x=float(model.shot.x[most]),
                z=float(model.shot.z[most]),
                place=points[i].place or points[i + 1].place,
            )
        )
    return tuple(bands)


def _apart(model: Modelled, path: FairedPath) -> FloatArray:
    """How far a path passes from the modelled line along its normals at the cells' ends, shape (c+1,), mm."""
    shot = model.shot
    c, d = np.cos(shot.angle), np.sin(shot.angle)
    t = np.interp(model.grid.cell, model.s, path.t)
    for _ in range(3):
        t = np.clip(t - (path.x(t) - shot.x) * c - (path.z(t) - shot.z) * d, path.t[0], path.t[-1])
    away = np.abs((path.z(t) - shot.z) * c - (path.x(t) - shot.x) * d)
    return np.asarray(np.where(model.grid.cell <= model.s[-1], away, 0.0))


def _depths(path: FairedPath) -> list[float]:
    """For each span how deep a bay would be that is bent as the deepest of it and its neighbours is, mm."""
    t = path.t[:-1, None] + np.diff(path.t)[:, None] * np.linspace(0.0, 1.0, 17)
    x, z = path.x(t), path.z(t)
    run, rise = x[:, -1] - x[:, 0], z[:, -1] - z[:, 0]
    chord = np.maximum(np.hypot(run, rise), 1e-9)
    depth = np.abs((z - z[:, :1]) * run[:, None] - (x - x[:, :1]) * rise[:, None]).max(axis=1) / chord
    near = [range(max(i - 1, 0), min(i + 2, len(chord))) for i in range(len(chord))]
    return [
        max(float(depth[j] * min((chord[i] / chord[j]) ** 2, LONGER)) for j in js)
        for i, js in enumerate(near)
    ]


def _band_problems(
    points: Sequence[PathPoint], bands: Sequence[SpanBand], *, notation: Notation, down: bool
) -> tuple[Problem, ...]:
    """A warning for each span that is known badly; see `worst_of`.

    Args:
        points, bands: the line's; ``bands[i]`` lies between ``points[i]`` and ``points[i + 1]``.
        notation: the table's.
        down: the table's heights are measured down.
    """
    named = worst_of(bands, lambda i, other: abs(i - other) == 1)
    return tuple(_band_problem(points[i], points[i + 1], bands[i], notation, down) for i in sorted(named))


def profile_warnings(
    made: ProfileMade,
    name: str,
    *,
    notation: Notation,
    down: bool,
    doubted: Collection[Place | None] = (),
) -> tuple[Problem, ...]:
    """What the builder should look at: a corner that is not declared, or spans that are known badly.

    Args:
        doubted: places of figures that are doubted; a corner beside one of them is that figure's doing.
    """
    corner = made.choice.corner
    if corner is not None:
        near = made.points[max(corner - 1, 0) : corner + 2]
        if any(point.place is not None and point.place in doubted for point in near):
            return ()
        return (_corner_problem(made.points[corner], name, notation=notation, down=down),)
    return _band_problems(made.points, made.bands, notation=notation, down=down)


def _band_problem(
    first: PathPoint, last: PathPoint, band: SpanBand, notation: Notation, down: bool
) -> Problem:
    steep = band.z is not None and abs(last.z - first.z) > abs(last.x - first.x)
    where = f"{near(band.x, notation)} aft"
    if steep and band.z is not None:
        where = f"{near(-band.z if down else band.z, notation)} {'down' if down else 'up'}"
    return wide_problem(
        str(band.place or f"line {band.line}"),
        (_called(first, notation, down), _called(last, notation, down)),
        f"the {band.line}",
        band.half_width,
        where,
        code="keel-band",
        notation=notation,
    )


def _corner_problem(point: PathPoint, name: str, *, notation: Notation, down: bool) -> Problem:
    """A warning that the line seems to turn at a point where no knuckle is declared."""
    return Problem(
        str(point.place or f"line {name}"),
        f"the {name} seems to turn sharply at {_called(point, notation, down)}, and no knuckle is declared there",
        "declare a knuckle there if it turns; if it does not, measure more points on both sides",
        code="keel-corner",
    )


def _called(point: PathPoint, notation: Notation, down: bool) -> str:
    """A station, or a stem's point by its place as the table gives it."""
    if not point.stem:
        return point.words()
    up = format_length(-point.z if down else point.z, notation)
    return f"({format_length(point.x, notation)} aft, {up} {'down' if down else 'up'})"
