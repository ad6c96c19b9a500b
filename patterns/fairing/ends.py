"""Where lines end: on the profile line at a stem, on its plane at a transom."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from patterns.errors import Problem
from patterns.fairing.batten import Batten, batten
from patterns.fairing.curves import FairCurve
from patterns.fairing.keel import BEYOND, foot
from patterns.fairing.paths import FairedPath
from patterns.hull.curved import hollow, leaning
from patterns.hull.planes import FloatArray
from patterns.turned import own_words, turned_design, turned_offsets, turned_problem

if TYPE_CHECKING:
    from patterns.design.file import Design
    from patterns.table.offsets import Offsets, Place

__all__ = ["ASTRAY", "blunt", "landing", "off_transom", "stands_at"]

ASTRAY = 12.0  # mm from the profile line, or the transom, beyond which a line does not end on it
SEARCH = 80.0  # mm along the profile line in which a line's own run is looked for
CROSSES = np.radians(12.0)  # least angle at which two lines cross clearly enough to say where
STEEP = np.tan(np.radians(15.0))  # slope of the first chord from which a blunt end is thought of
BLUNT = 2.2  # first chord's slope over the second's; the root itself has 2.41, a keen bow below 2


def stands_at(*places: Place | None, line: str) -> str:
    """The first place that is known, in words; else the line's name."""
    return next((str(place) for place in places if place is not None), f"line {line}")


def landing(heights: FairCurve, path: FairedPath, x: float, z: float) -> float:
    """The profile line's parameter where a line's own run meets it.

    The typed end is a guide only: where the line crosses the profile clearly its heights say the place;
    otherwise the profile's point nearest to the typed end is taken.
    """
    near = foot(path, x, z)

    def over(t: FloatArray) -> FloatArray:
        return heights(path.x(t)) - path.z(t)

    low, high = max(near - SEARCH, path.t[0] - BEYOND), min(near + SEARCH, path.t[-1] + BEYOND)
    t = np.linspace(low, high, 161)
    crossing = np.nonzero(np.diff(np.sign(over(t))) != 0)[0]
    if not len(crossing):
        return near
    i = int(crossing[np.abs(t[crossing] - near).argmin()])
    a, b = t[i], t[i + 1]
    for _ in range(50):
        middle = 0.5 * (a + b)
        a, b = (middle, b) if np.sign(over(middle)) == np.sign(over(a)) else (a, middle)
    run = np.arctan(float(heights(path.x(a), 1)))
    rabbet = np.arctan2(float(path.z(a, 1)), float(path.x(a, 1)))
    if abs(np.sin(run - rabbet)) < np.sin(CROSSES):
        return near
    return float(0.5 * (a + b))


def _unsure(laid: Batten, y: FloatArray) -> float:
    """How far, root mean square, the batten misses each inner duck when that duck is lifted, mm."""
    force = laid.uneven.T @ laid.uneven
    stiff = np.diag(force)
    missed = np.where(stiff > 1e-12, (force @ y) / np.where(stiff > 1e-12, stiff, 1.0), 0.0)
    return float(np.sqrt(np.mean(missed[1:-1] ** 2)))


def blunt(x: FloatArray, y: FloatArray) -> bool:
    """Whether half-breadths meet the fore end so steeply that the root of the distance suits them better."""
    if len(x) < 6:
        return False
    first, second = np.diff(y[:3]) / np.diff(x[:3])
    if first < STEEP or first < BLUNT * second:
        return False
    by_root = batten(np.sqrt(x - x[0]))
    return _unsure(by_root, y) < _unsure(batten(x), y)


def off_transom(offsets: Offsets, design: Design) -> list[Problem]:
    """The lines whose ends at a transom, as typed, do not lie on it: one plane, or one cylinder."""
    found = []
    if design.after_end.kind == "transom":
        found += _off_stern(offsets, design)
    if design.fore_end.kind == "transom":
        own = own_words(design)
        found += [
            turned_problem(p, own=own) for p in _off_stern(turned_offsets(offsets), turned_design(design))
        ]
    return found


def _off_stern(offsets: Offsets, design: Design) -> list[Problem]:
    rows = [offsets.lines[spec.name] for spec in design.lines]
    rows = [row for row in rows if np.isfinite(row.x[-1]) and np.isfinite(row.z[-1])]
    if len(rows) < 2:  # of a half-typed table
        return []
    x, y, z = (np.array([getattr(row, axis)[-1] for row in rows]) for axis in "xyz")
    rake, radius = design.stern.rake, design.stern.radius
    behind = hollow(np.nan_to_num(y), radius)
    x = x + behind / np.cos(rake if rake is not None else leaning(x, z, behind))
    if rake is not None:
        off = x - z * np.tan(rake)
        off = off - np.median(off)
    elif len(rows) > 2:
        off = x - np.polyval(np.polyfit(z, x, 1), z)
    else:
        return []
    face = "plane" if radius is None else "curve"
    return [
        Problem(
            stands_at(row.x_places[-1], row.z_places[-1], line=row.name),
            f"{row.name} ends {abs(away):.0f} mm {'aft' if away > 0 else 'forward'} of the transom's {face}",
            "correct its distance aft or its height at the stern, or the transom's rake",
        )
        for row, away in zip(rows, off, strict=True)
        if abs(away) > ASTRAY
    ]
