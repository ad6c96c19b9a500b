"""The profile line, made from the stem's points and the keel's heights."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from patterns.fairing.bands import SpanBand
from patterns.fairing.batten import Ends, fair
from patterns.fairing.cells import FairedCell, View
from patterns.fairing.curves import FairCurve, Profile, hermite, unite
from patterns.fairing.keel_bands import profile_bands
from patterns.fairing.paths import FairedPath
from patterns.fairing.profile_choice import ProfileChoice, choose_profile
from patterns.hull.planes import FloatArray
from patterns.table.values import STERN

if TYPE_CHECKING:
    from patterns.table.line_ends import LineEnd
    from patterns.table.offsets import LineOffsets, Place, StemPoints

__all__ = [
    "BEYOND",
    "PathPoint",
    "ProfileMade",
    "chain",
    "end_points",
    "foot",
    "half_siding",
    "keel_points",
    "make_profile",
    "measured_axis",
    "profile_line",
    "stem_points",
    "with_sternpost",
]

SAME_POINT = 5.0  # mm; a stem point this near to one of the keel's is the same point
BEYOND = 40.0  # mm by which the line may be run on above the stem's first point


@dataclass(frozen=True, slots=True, kw_only=True)
class PathPoint:
    """One point of the profile line.

    Attributes:
        x, z: mm.
        moves: ``x`` or ``z``: the coordinate that was measured and may be moved.
        knuckle: whether the line turns here on purpose.
        label: the column, or the number of the stem's point.
        stem: whether it is one of a stem's points.
        place: where it stands in the file.
        post: that stem stands at the stern.
        line: the line whose own end it is, where the stem has no points of its own; else empty.
    """

    x: float
    z: float
    moves: str
    knuckle: bool
    label: str
    stem: bool
    place: Place | None
    post: bool = False
    line: str = ""

    def off(self, other: PathPoint) -> float:
        """The distance to another point, mm."""
        return float(np.hypot(self.x - other.x, self.z - other.z))

    @property
    def typed(self) -> float:
        """The offset that was measured, mm."""
        return self.x if self.moves == "x" else self.z

    @property
    def view(self) -> View:
        """The view under which its cell is known."""
        if self.line:
            return "position" if self.moves == "x" else "height"
        return "height" if not self.stem else "sternpost" if self.post else "stem"

    def words(self) -> str:
        """What the builder calls it."""
        if self.line:
            return f"the {self.label} end of {self.line}"
        if self.stem:
            return f"the {'sternpost' if self.post else 'stem'}'s point {self.label}"
        return f"station {self.label}" if self.label not in ("bow", "stern") else f"the keel's {self.label}"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ProfileMade:
    """The profile line and what was done to get it.

    Attributes:
        points: from the stem's head to the stern, or to the sternpost's head.
        path: the faired line in profile.
        joint: the parameter of the stem's last own point.
        cells: the as-faired cells of the stem's points and the keel's heights.
        bands: how well each span is known.
        choice: the lines that ``path`` was chosen from.
    """

    points: tuple[PathPoint, ...]
    path: FairedPath
    joint: float
    cells: tuple[FairedCell, ...]
    bands: tuple[SpanBand, ...]
    choice: ProfileChoice


def stem_points(stem: StemPoints, *, post: bool = False) -> list[PathPoint]:
    """The stem's own points, its head first."""
    return [
        PathPoint(
            x=float(stem.x[i]),
            z=float(stem.z[i]),
            moves="x" if stem.measured[i] == "aft" else "z",
            knuckle=stem.knuckle[i],
            label=str(i + 1),
            stem=True,
            place=stem.places[i],
            post=post,
        )
        for i in range(len(stem.x))
    ]


def end_points(ends: Sequence[LineEnd]) -> list[PathPoint]:
    """The lines' own ends as points of a stem that has none, the highest first."""
    return [
        PathPoint(
            x=end.x,
            z=end.z,
            moves="x" if end.measured == "aft" else "z",
            knuckle=False,
            label=end.label,
            stem=True,
            place=end.place,
            post=end.label == STERN,
            line=end.line,
        )
        for end in ends
    ]


def keel_points(keel: LineOffsets, knuckles: Sequence[str]) -> list[PathPoint]:
    """The keel's heights, from forward aft."""
    return [
        PathPoint(
            x=float(keel.x[i]),
            z=float(keel.z[i]),
            moves="z",
            knuckle=label in knuckles,
            label=label,
            stem=False,
            place=keel.z_places[i],
        )
        for i, label in enumerate(keel.labels)
        if np.isfinite(keel.x[i]) and np.isfinite(keel.z[i])
    ]


def chain(
    stem: Sequence[PathPoint], keel: Sequence[PathPoint], post: Sequence[PathPoint] = ()
) -> tuple[PathPoint, ...]:
    """The points of stem, keel and sternpost in their order along the line.

    A keel's height may stand at a station that the forefoot has reached already; it goes in where it
    lengthens the line least.  Where both give the same point the keel's is kept, but not its own end.

    Args:
        stem, post: each from its head down.
    """
    line = _chained(stem, keel, end="bow") if stem else tuple(keel)
    return _chained(post, line[::-1], end="stern")[::-1] if post else line


def _chained(stem: Sequence[PathPoint], keel: Sequence[PathPoint], *, end: str) -> tuple[PathPoint, ...]:
    """A stem's points and the keel's that follow them."""
    line, after = list(stem), 0
    for point in keel:
        same = [i for i, other in enumerate(line) if other.stem and other.off(point) < SAME_POINT]
        if same:
            if point.label != end:
                knuckle = point.knuckle or line[same[0]].knuckle
                line[same[0]] = PathPoint(
                    x=point.x, z=point.z, moves="z", knuckle=knuckle, label=point.label, stem=False,
                    place=point.place,
                )  # fmt: skip
            after = same[0]
            continue
        best, least = len(line), point.off(line[-1]) if line else 0.0
        for i in range(after, len(line) - 1):
            longer = line[i].off(point) + point.off(line[i + 1]) - line[i].off(line[i + 1])
            if longer < least:
                best, least = i + 1, longer
        line.insert(best, point)
        after = best
    return tuple(line)


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


def measured_axis(point: PathPoint) -> int:
    """0 where the point's distance aft was measured, 1 where its height was."""
    return 0 if point.moves == "x" else 1


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


def half_siding(
    path: FairedPath,
    *,
    stem_t: FloatArray,
    stem_y: FloatArray,
    keel_t: FloatArray,
    keel_y: FloatArray,
    allow: float,
    ends: Ends,
) -> tuple[FairCurve, FloatArray]:
    """The half siding at the rabbet over the profile line's parameter.

    The keel's is a batten over its stations; forward of them the stem's known values are joined without
    overshoot and stand constant where they are equal.

    Args:
        stem_t, stem_y: shape (n,), known half sidings on the stem (lines' bow ends), in any order.
        keel_t, keel_y: shape (m,), at the stations, rising, aft of the stem's.
    Returns:
        The curve, and the faired values (m,) with the duck loads (m,) as a (m, 2) array.
    """
    start, end = float(path.t[0]), float(path.t[-1])
    ahead = stem_t < (keel_t[0] - 1.0 if len(keel_t) else np.inf)
    order = np.argsort(stem_t[ahead])
    t, y = stem_t[ahead][order], stem_y[ahead][order]
    if len(t) > 1:  # ends of two lines may share a place
        keep = np.concatenate([[True], np.diff(t) > 1.0])
        t, y = t[keep], y[keep]
    if not len(t) and not len(keel_t):
        zero = np.zeros(1)
        return hermite(np.array([start, end]), np.zeros(2), zero, zero), np.zeros((0, 2))
    faired = np.zeros((len(keel_t), 2))
    aft: FairCurve | None = None
    if len(keel_t) > 1:
        laid = fair(keel_t, keel_y, tolerance=allow, ends=ends)
        faired[:, 0], faired[:, 1] = laid.values, laid.loads
        aft = laid.curve
    elif len(keel_t):
        faired[0] = keel_y[0], np.nan
    if len(keel_t):
        t, y = np.append(t, keel_t[0]), np.append(y, faired[0, 0])
    if t[0] > start + 1e-9:
        t, y = np.insert(t, 0, start), np.insert(y, 0, y[0])
    if aft is None and t[-1] < end - 1e-9:
        t, y = np.append(t, end), np.append(y, y[-1])
    if len(t) == 1:
        assert aft is not None
        return aft, faired
    secant = np.diff(y) / np.diff(t)
    slope = np.zeros(len(t))
    both = secant[:-1] * secant[1:]
    slope[1:-1] = np.where(both > 0, 2 * both / np.where(both > 0, secant[:-1] + secant[1:], 1.0), 0.0)
    slope[-1] = secant[-1] if aft is None or secant[-1] != 0.0 else 0.0
    fore = hermite(t, y, slope[:-1], slope[1:])
    if aft is None:
        return fore, faired
    return FairCurve(
        knots=np.concatenate([fore.knots[:-1], aft.knots]),
        coefficients=np.concatenate([fore.coefficients, aft.coefficients]),
    ), faired


def with_sternpost(curve: FairCurve, *, joint: float, t: FloatArray, y: FloatArray) -> FairCurve:
    """The half siding carried on up the sternpost, through the known values there without overshoot.

    Args:
        curve: the half siding from the stem's head aft.
        joint: the parameter of the last place at which it is the keel's own.
        t, y: shape (n,), parameters and values at the sternpost, in any order.
    """
    order = np.argsort(t)
    at = np.concatenate([[joint], t[order]])
    half = np.concatenate([[float(curve(np.array(joint)))], y[order]])
    keep = np.concatenate([[True], np.diff(at) > 1.0])
    at, half = at[keep], half[keep]
    if at[-1] < curve.knots[-1] - 1e-9:
        at, half = np.append(at, curve.knots[-1]), np.append(half, half[-1])
    if len(at) < 2:
        return curve
    secant = np.diff(half) / np.diff(at)
    slope = np.zeros(len(at))
    both = secant[:-1] * secant[1:]
    slope[1:-1] = np.where(both > 0, 2 * both / np.where(both > 0, secant[:-1] + secant[1:], 1.0), 0.0)
    tail = hermite(at, half, slope[:-1], slope[1:])
    body = curve.ending(joint)
    return FairCurve(
        knots=np.concatenate([body.knots[:-1], tail.knots]),
        coefficients=np.concatenate([body.coefficients, tail.coefficients]),
    )


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
