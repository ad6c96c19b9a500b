"""Where lines end: on the profile line at a stem, on its plane at a transom."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

import numpy as np

from patterns.errors import Problem
from patterns.fairing.curves import FairCurve
from patterns.fairing.keel import BEYOND, foot
from patterns.fairing.paths import FairedPath
from patterns.fairing.possible import possible
from patterns.hull.curved import hollow, leaning
from patterns.hull.planes import FloatArray
from patterns.table.mirror import Seen, turned_design, turned_offsets

if TYPE_CHECKING:
    from patterns.design.file import Design
    from patterns.table.offsets import Offsets, Place

__all__ = ["ASTRAY", "blunt_from", "landing", "off_transom", "stands_at"]

ASTRAY = 12.0  # mm from the profile line, or the transom, beyond which a line does not end on it
SEARCH = 80.0  # mm along the profile line in which a line's own run is looked for
CROSSES = np.radians(12.0)  # least angle at which two lines cross clearly enough to say where
STEEP = np.tan(np.radians(15.0))  # slope of the first chord from which a blunt end is thought of
ROUND = 1.4  # first chord's slope over the second's; the root itself has 2.41, a hollow bow less than 1
LEAST = 6  # offsets; with fewer nothing can be said
MOST_STRETCH = 0.1  # of the length, by which a root may begin forward of the end; beyond it the bow is keen
CLEARLY = 1.0  # natural logarithm by which a root must be likelier than none


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


def blunt_from(x: FloatArray, y: FloatArray, *, noise: float) -> float | None:
    """How far forward of the fore end the root begins that half-breadths grow with, mm; None on a keen bow.

    A round bow's half-breadth grows as the root of the distance from its foremost point, which lies within the
    stem's half siding: a little forward of the line's own end.  How far, the offsets say (see `possible`).

    Args:
        x, y: shape (n,), places and half-breadths, the fore end first, mm.
        noise: standard deviation of an offset's own error, mm.
    """
    if len(x) < LEAST:
        return None
    first, second = np.diff(y[:3]) / np.diff(x[:3])
    if first < STEEP or first < ROUND * second:
        return None
    likely = possible(x, y, noise=np.full(len(x), noise), blunt=True).stretches()
    best = max(likely, key=lambda stretch: likely[stretch])
    if best > MOST_STRETCH or likely[best] < likely[np.inf] + CLEARLY:
        return None
    return _likeliest(likely, best) * float(x[-1] - x[0])


def _likeliest(likely: Mapping[float, float], best: float) -> float:
    """The likeliest stretch between those that were looked at, by a parabola over its logarithm; 0 stays 0."""
    looked = sorted(stretch for stretch in likely if 0.0 < stretch < np.inf)
    i = looked.index(best) if best > 0.0 else 0
    if not 0 < i < len(looked) - 1:
        return best
    near = looked[i - 1 : i + 2]
    at, high = np.log(near) - np.log(best), np.array([likely[stretch] for stretch in near])
    bent, slope, _ = np.polyfit(at, high, 2)
    moved = float(np.clip(-0.5 * slope / bent, at[0], at[2])) if bent < 0.0 else 0.0
    return min(best * float(np.exp(moved)), MOST_STRETCH)


def off_transom(offsets: Offsets, design: Design) -> list[Problem]:
    """The lines whose ends at a transom, as typed, do not lie on it: one plane, or one cylinder."""
    found = []
    if design.after_end.kind == "transom":
        found += _off_stern(offsets, design, Seen())
    if design.fore_end.kind == "transom":
        found += _off_stern(turned_offsets(offsets), turned_design(design), Seen(back=True))
    return found


def _off_stern(offsets: Offsets, design: Design, seen: Seen) -> list[Problem]:
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
            f"{row.name} ends {abs(away):.0f} mm {seen.way(float(away))} of the {seen.transom}'s {face}",
            f"correct its distance aft or its height at the {seen.stern}, or the {seen.transom}'s rake",
            code="end-off-transom",
        )
        for row, away in zip(rows, off, strict=True)
        if abs(away) > ASTRAY
    ]
