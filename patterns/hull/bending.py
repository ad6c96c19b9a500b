"""How a strake of sheet lies: its twist, its bulge beside straight sections, and how sharply it bends."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from patterns.hull.hull import Hull, Strake
from patterns.hull.planes import FloatArray, cross
from patterns.hull.sheets import SheetPatch
from patterns.hull.surfaces import Curve, Ruled, moved

__all__ = ["Most", "least_radius", "most_bulge", "most_twist", "sheets_of"]

SHORT = 0.1  # of the strake's longest ruling; nearer to the point where the edges meet nothing is judged
ALONG = 161  # places along a piece
FINE = 641  # places along a piece where its bend is summed
STRETCH = 60.0  # mm of sheet over which a bend is averaged
ACROSS = np.linspace(0.0, 1.0, 9)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Most:
    """The most of something on a strake, and where.

    Attributes:
        much: mm or radians, with its sign.
        at: the point in the boat, (3,), mm.
    """

    much: float
    at: FloatArray


def sheets_of(strake: Strake) -> tuple[SheetPatch, ...]:
    """The strake's pieces if it is a sheet, from aft forward; else none."""
    return tuple(patch for patch in strake.patches if isinstance(patch, SheetPatch))


def _most(found: list[tuple[FloatArray, FloatArray]]) -> Most:
    much = np.concatenate([np.ravel(value) for value, _ in found])
    at = np.concatenate([points.reshape(-1, 3) for _, points in found])
    best = int(np.abs(much).argmax())
    return Most(much=float(much[best]), at=at[best])


def _longest(patches: tuple[Ruled, ...]) -> float:
    return max(float(_lengths(patch, np.linspace(patch.start, patch.end, 41)).max()) for patch in patches)


def _lengths(patch: Ruled, p: FloatArray) -> FloatArray:
    return np.asarray(np.linalg.norm(patch.upper(p)[0] - patch.lower(p)[0], axis=-1))


def most_twist(strake: Strake) -> Most:
    """The greatest angle between the normals at a ruling's two ends, radians, and the ruling's middle."""
    short = SHORT * _longest(strake.patches)
    found = []
    for patch in strake.patches:
        p, twist = _twists(patch)
        long = _lengths(patch, p) >= short
        middle = 0.5 * (patch.lower(p)[0] + patch.upper(p)[0])
        found.append((np.where(long, twist, 0.0), middle))
    return _most(found)


def _twists(patch: Ruled) -> tuple[FloatArray, FloatArray]:
    """Rulings, and the angle between the normals at their two ends."""
    if isinstance(patch, SheetPatch):
        return patch.rulings.lower, np.abs(patch.rulings.twist)
    p = np.linspace(patch.start, patch.end, ALONG)
    low, high = (moved(patch, p, np.full_like(p, r), 0.0)[1] for r in (0.0, 1.0))
    sine, cosine = np.linalg.norm(cross(low, high), axis=1), np.sum(low * high, axis=1)
    return p, np.arctan2(sine, cosine)


def most_bulge(strake: Strake, hull: Hull) -> Most:
    """How far the sheet stands outside of straight sections where it is most, mm; less than 0 inside of them."""
    upper = hull.lines[strake.upper]
    lower = hull.profile if strake.lower == hull.keel else hull.lines[strake.lower]
    first, last = (float(upper.at(np.array(t))[0]) for t in (upper.start, upper.end))
    if not hull.stems[0]:
        first = max(first, float(lower.at(np.array(lower.start))[0]))
    if not hull.stems[1]:
        last = min(last, float(lower.at(np.array(lower.end))[0]))
    found = []
    for patch in sheets_of(strake):
        p = np.linspace(patch.start, patch.end, ALONG)[1:, None]
        points = patch.shape(p, ACROSS[None, :])[0]
        x = points[..., 0]
        high = upper.at(upper.t_at_x(x))
        low = _lower_at(strake, hull, x)
        chord = high - low
        length = np.maximum(np.hypot(chord[..., 1], chord[..., 2]), 1e-9)
        off = (points - low)[..., 1] * chord[..., 2] - (points - low)[..., 2] * chord[..., 1]
        known = (x >= first) & (x <= last)
        known &= length > SHORT * length.max()
        found.append((np.where(known, off / length, 0.0), points))
    return _most(found)


def _lower_at(strake: Strake, hull: Hull, x: FloatArray) -> FloatArray:
    """Points of the strake's lower edge at distances aft; past its line's ends, at stems, the profile line's."""

    def on(curve: Curve) -> FloatArray:
        return curve.at(curve.t_at_x(x))

    if strake.lower == hull.keel:
        return on(hull.profile)
    line = hull.lines[strake.lower]
    fore, aft = (float(line.at(np.array(t))[0]) for t in (line.start, line.end))
    past = ((x < fore) & hull.stems[0]) | ((x > aft) & hull.stems[1])
    return np.where(past[..., None], on(hull.profile), on(line))


def least_radius(strake: Strake) -> Most:
    """The least radius to which the sheet is bent, mm, square to its rulings, and where.

    It is the mean over a stretch of sheet, since a sheet evens out what is sharper than that.  It is looked for at
    both ends of each ruling: along a ruling it changes evenly.
    """
    short = SHORT * _longest(strake.patches)
    found = []
    for patch in strake.patches:
        p = np.linspace(patch.start, patch.end, FINE)
        p = p[_lengths(patch, p) >= short]
        if len(p) < 4:
            continue
        _, by_p, across = patch.shape(p, np.full_like(p, 0.5))
        normals = patch.outward(by_p, across)
        # The chord between the ends of unit vectors; for small angles it is the angle.
        turn = np.append(0.0, np.cumsum(np.linalg.norm(np.diff(normals, axis=0), axis=1)))
        ruling = (across / np.linalg.norm(across, axis=1, keepdims=True))[:-1]
        for at in (patch.lower(p)[0], patch.upper(p)[0]):
            step = np.diff(at, axis=0)
            square = step - np.sum(step * ruling, axis=1, keepdims=True) * ruling
            run = np.append(0.0, np.cumsum(np.linalg.norm(square, axis=1) + 1e-9))
            half = 0.5 * min(STRETCH, float(run[-1]))
            middle = np.clip(run, half, run[-1] - half)
            over = np.interp(middle + half, run, turn) - np.interp(middle - half, run, turn)
            found.append((over / (2.0 * half), at))
    sharpest = _most(found)
    return Most(much=1.0 / max(sharpest.much, 1e-9), at=sharpest.at)
