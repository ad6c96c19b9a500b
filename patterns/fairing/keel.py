"""The profile line, made from the stem's points and the keel's heights."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from patterns.fairing.batten import Ends
from patterns.fairing.cells import FairedCell
from patterns.fairing.curves import FairCurve, Profile, unite
from patterns.fairing.keel_bands import profile_bands
from patterns.fairing.paths import FairedPath
from patterns.fairing.profile_choice import choose_profile
from patterns.fairing.profile_points import PathPoint, ProfileMade, measured_axis
from patterns.hull.planes import FloatArray

if TYPE_CHECKING:
    pass

__all__ = [
    "BEYOND",
    "foot",
    "make_profile",
    "profile_line",
]

BEYOND = 40.0  # mm by which the line may be run on above the stem's first point


def make_profile(
    name: str,
    points: Sequence[PathPoint],
    *,
    allow: float,
    ends: Ends,
    straight: bool = False,
    written: float = 0.0,
) -> ProfileMade:
    """Fair the profile line.

    Args:
        name: the keel's name in the table.
        points: from the stem's head to the stern, two or more.
        allow: how far an offset may be moved, mm.
        straight: the keel is straight on purpose; the stem's points are faired all the same.
        written: half the step in which the figures are written, mm; none is taken to be truer.
    """
    xz = np.array([(p.x, p.z) for p in points])
    tolerance = np.full(len(points), allow)
    knuckles = [i for i, p in enumerate(points) if p.knuckle]
    run = None
    if straight:
        # Keel heights may have been taken up along the stem too; the straight begins abaft the last stem point.
        run = _keel_run(points)
        xz, tolerance = _straightened(xz, tolerance, *run)
        knuckles += run
    choice = choose_profile(
        xz, [measured_axis(p) for p in points], tolerance,
        written=written, ends=ends, knuckles=tuple(knuckles), straight=run,
    )  # fmt: skip
    path = choice.path
    typed = np.array([(p.x, p.z) for p in points])
    at = np.stack([path.x(path.t), path.z(path.t)], axis=1)
    cells = []
    for i, p in enumerate(points):
        axis = measured_axis(p)
        cells.append(
            FairedCell(
                line=name,
                view=p.view,
                label=p.label,
                x=float(at[i, 0]),
                offset=p.typed,
                faired=float(at[i, axis]),
                move=float(at[i, axis] - typed[i, axis]),
                load=float(path.loads[i, axis]),
                place=p.place,
            )
        )
    first, _ = _keel_run(points)
    return ProfileMade(
        points=tuple(points),
        path=path,
        joint=float(path.t[first]) if any(p.stem and not p.post for p in points) else 0.0,
        cells=tuple(cells),
        bands=profile_bands(name, points, choice),
        choice=choice,
    )


def _keel_run(points: Sequence[PathPoint]) -> tuple[int, int]:
    """The first and the last of the points that are the keel's, between those of the stems."""
    ahead = [i for i, p in enumerate(points) if p.stem and not p.post]
    astern = [i for i, p in enumerate(points) if p.post]
    first = min(max(ahead, default=-1) + 1, len(points) - 1)
    return first, max(min(astern, default=len(points)) - 1, first)


def _straightened(
    xz: FloatArray, tolerance: FloatArray, first: int, last: int
) -> tuple[FloatArray, FloatArray]:
    """The keel's points, from the first to the last, moved onto their best straight line; then they are held."""
    xz, tolerance = xz.copy(), tolerance.copy()
    keel = slice(first, last + 1)
    x = xz[keel, 0]
    if len(x) > 2:
        xz[keel, 1] = np.polyval(np.polyfit(x, xz[keel, 1], 1), x)
    tolerance[keel] = 0.0
    return xz, tolerance


def foot(path: FairedPath, x: float, z: float) -> float:
    """The parameter of the line's point nearest to a point in the profile.

    The sheer may end a little above a stem's first point: there the line runs on.
    """
    t = np.linspace(path.t[0] - BEYOND, path.t[-1] + BEYOND, 40 * len(path.t))
    for _ in range(4):
        away = np.hypot(path.x(t) - x, path.z(t) - z)
        i = int(away.argmin())
        t = np.linspace(t[max(i - 1, 0)], t[min(i + 1, len(t) - 1)], 41)
    return float(t[np.hypot(path.x(t) - x, path.z(t) - z).argmin()])


def profile_line(name: str, made: ProfileMade, y: FairCurve) -> Profile:
    """The line in space."""
    knots, coefficients = unite([made.path.x, y, made.path.z])
    return Profile(
        name=name,
        knots=knots,
        coefficients=coefficients,
        joint=made.joint,
        knuckles=tuple(float(made.path.t[i]) for i, p in enumerate(made.points) if p.knuckle),
    )
