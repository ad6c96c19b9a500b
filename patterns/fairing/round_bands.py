"""How well the surface of a round bilge is known between neighbouring stations, by row and span.

The surface's own covariance says how far it may be off at any place, given how smooth this boat is; where the table
has no offsets it grows.  In the bow that is not enough: where offsets are far apart, a plain bow is known better
than its covariance says; a full or hollow one, whose battens bend more than usual, is known worse.  The factors
were set on invented boats with bows of any fullness (`tests/bench/round_bands_bench.py` measures them on others):
with them the surface is truer than 95 of 100 bands.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from patterns.errors import Problem
from patterns.fairing.band_words import column_called, near, plus_or_minus, wide_problem
from patterns.fairing.bands import SpanBand, too_wide, worst_of
from patterns.fairing.cross import CrossFaired
from patterns.fairing.curves import Profile
from patterns.fairing.girth_start import PlacedOffsets
from patterns.fairing.stiffness import STRETCHES
from patterns.hull.planes import FloatArray
from patterns.table.levels import LevelRow, LevelView
from patterns.table.values import BOW, STERN, Place

if TYPE_CHECKING:
    from patterns.table.offsets import Offsets

__all__ = ["band_warnings", "offsets_each", "surface_bands"]

LENGTHWISE, CROSSWISE = 7, 33  # places of each span that are looked at
BOW_PART = STRETCHES[0]  # of the length
# Half-widths in the bow.  An even one: mm, always and over the offsets that a station has, times a power of the
# deviation in mm.  An uneven one: deviations.
EVEN, POWER, UNEVEN = (2.0, 2.6), 0.45, 5.2
# Logarithms of how much more than usual the battens bend: up to which a bow is even, from which it is not.
LIMP = (0.1, 0.85)
ABAFT = (1.2, 7.0)  # deviations that make the half-width: always, and over the offsets that a station has
LINES_HELD = 0.4  # of the allowed move: how far keel and sheer, which are held, may be off themselves
FINEST = 0.15  # mm; the deviation of no surface is taken as less
APART = 150.0  # mm between the places that are named
SPARSE = 3.0  # offsets at a station, on average, below which the shape between them is partly a guess


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Row:
    """One row: its offsets' distances aft and places across, from forward aft, each (n,)."""

    name: str
    view: LevelView
    x: FloatArray
    r: FloatArray
    places: tuple[Place | None, ...]


def _rows(levels: Sequence[LevelRow], found: PlacedOffsets, r: FloatArray) -> list[_Row]:
    rows = []
    for level in levels:
        mine = [i for i, name in enumerate(found.names) if name == level.name]
        if mine:
            mine.sort(key=lambda i: float(found.points[i, 0]))
            rows.append(
                _Row(
                    name=level.name, view=level.view, x=found.points[mine, 0], r=r[mine],
                    places=tuple(found.places[i] for i in mine),
                )
            )  # fmt: skip
    return rows


def surface_bands(
    levels: Sequence[LevelRow],
    found: PlacedOffsets,
    faired: CrossFaired,
    *,
    profile: Profile,
    stations: Sequence[str],
    station_x: FloatArray,
    allow: float,
    rounding: float,
) -> tuple[SpanBand, ...]:
    """A band for each row in each span; the surface belongs to the row that is nearest.

    Args:
        found, faired: the offsets and the surface.
        profile: the rabbet, below which there is no surface.
        stations, station_x: names (n,) and positions (n,), mm.
        allow: the allowed move, mm.
        rounding: how far a good figure may be off, mm.
    """
    rows = _rows(levels, found, faired.r)
    girth = faired.girth
    edges = np.array([min(girth.fore), *station_x, max(girth.aft)])
    names = (BOW, *stations, STERN)
    each = max(offsets_each(found, stations), 1.0)
    bands = []
    for k in range(len(edges) - 1):
        p, r, points = _places(faired, profile, edges[k], edges[k + 1])
        if not len(p):
            continue
        crossing = [row for row in rows if row.x[-1] >= edges[k] - 1.0 and row.x[0] <= edges[k + 1] + 1.0]
        near = crossing or rows
        away = np.abs(r - np.array([np.interp(points[:, 0], row.x, row.r) for row in near]))
        owner = away.argmin(axis=0)
        fore = float(points[:, 0].mean()) < edges[0] + BOW_PART * (edges[-1] - edges[0])
        held = max(LINES_HELD * allow, FINEST)
        unsure = np.hypot(faired.unsure(p, r), held)
        half = _in_bow(unsure, faired.limp, each) if fore else (ABAFT[0] + ABAFT[1] / each) * unsure
        for j, row in enumerate(near):
            mine = np.nonzero(owner == j)[0]
            if not len(mine):
                continue
            worst = int(mine[half[mine].argmax()])
            first = int(np.clip(np.searchsorted(row.x, edges[k] + 1.0) - 1, 0, len(row.x) - 1))
            bands.append(
                SpanBand(
                    line=row.name, view=row.view, first=names[k], last=names[k + 1],
                    half_width=float(half[worst]), rounding=rounding, x=float(points[worst, 0]),
                    z=float(points[worst, 2]), place=row.places[first],
                )
            )  # fmt: skip
    return tuple(bands)


def _in_bow(unsure: FloatArray, limp: float, each: float) -> FloatArray:
    """Half-widths in the bow, mm, from the surface's deviations, mm; few offsets do not show whether it is even.

    Args:
        limp: see `CrossFaired`.
        each: how many offsets a station has.
    """
    uneven = 1.0 if each < SPARSE else float(np.interp(limp, LIMP, (0.0, 1.0)))
    even = (EVEN[0] + EVEN[1] / each) * unsure**POWER
    return np.asarray((1.0 - uneven) * even + uneven * UNEVEN * unsure)


def _places(
    faired: CrossFaired, profile: Profile, fore: float, aft: float
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Places on the planked surface between two distances aft: p (n,), r (n,) and the points (n, 3)."""
    girth = faired.girth
    x, r = (
        v.ravel()
        for v in np.meshgrid(
            np.linspace(fore, aft, LENGTHWISE), np.linspace(0.0, 1.0, CROSSWISE), indexing="ij"
        )
    )
    p = girth.place(x, r)
    points = girth.shape(p, r)[0]
    rabbet = profile.at(profile.t_at_x(x))
    planked = (p >= 0.0) & (p <= 1.0) & (points[:, 1] >= rabbet[:, 1]) & (points[:, 2] >= rabbet[:, 2] - 1.0)
    return p[planked], r[planked], points[planked]


def offsets_each(found: PlacedOffsets, stations: Sequence[str]) -> float:
    """How many offsets a station has between keel and sheer, on average."""
    return sum(label in stations for label in found.labels) / len(stations)


def band_warnings(
    bands: Sequence[SpanBand], offsets: Offsets, *, each: float, down: bool
) -> Iterator[Problem]:
    """What a table with few offsets leaves open, and the spans that are known clearly worse than rounding explains.

    Args:
        each: how many offsets a station has between keel and sheer, on average.
        down: the table measures heights down.
    """
    if not bands:
        return
    if each < SPARSE:
        widths = [band.half_width for band in bands]
        yield Problem(
            offsets.file,
            f"the stations have {each:.1f} offsets on average between keel and sheer: the shape between them is "
            f"known to {plus_or_minus(float(np.median(widths)), offsets.notation)} in half of the spans, to "
            f"{plus_or_minus(max(widths), offsets.notation)} in the worst",
            f"add waterlines, buttocks or diagonals, up to {SPARSE:.0f} offsets at a station",
            code="surface-sparse",
        )
    worst = [bands[i] for i in worst_of(bands, lambda i, other: _near(bands[i], bands[other]))]
    rest = sum(too_wide(band) for band in bands) - len(worst)
    for band in worst:
        more = f" (and {rest} more such span{'s' if rest > 1 else ''})" if rest and band is worst[-1] else ""
        height = "" if band.z is None else near(-band.z if down else band.z, offsets.notation)
        found = wide_problem(
            offsets.file if band.place is None else str(band.place),
            (column_called(band.first), column_called(band.last)),
            f"the surface near {band.line}",
            band.half_width,
            f"{near(band.x, offsets.notation)} aft, {height} {'down' if down else 'up'}",
            code="surface-band",
            notation=offsets.notation,
        )
        yield replace(found, what=found.what + more)


def _near(one: SpanBand, other: SpanBand) -> bool:
    """Whether two spans are of one row, or so near that one more offset narrows both."""
    apart = np.hypot(one.x - other.x, (one.z or 0.0) - (other.z or 0.0))
    return one.line == other.line or bool(apart < APART)
