"""The table's half-breadths at keel and stem against the sidings that the design gives to them.

The limits are common practice, no source.  A keel tapers to its stem and is hardly wider or narrower there, and
the planking lands on the keel's timber over its own thickness at least.  A boat may be otherwise: they are doubts.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from patterns.design.file import DESIGN_FILE, Design
from patterns.design.models import KeelSpec, StemEnd
from patterns.errors import Problem
from patterns.measure import with_unit
from patterns.table.mirror import Seen
from patterns.table.values import BOW, STERN, LineOffsets, Offsets, Place

__all__ = ["OFF_SIDING", "siding_doubts", "stem_doubts"]

OFF_SIDING = 1.6  # mm, a sixteenth of an inch
THINNEST, WIDEST = 0.6, 1.8  # the keel's half-breadth beside its stem, per half of the stem's siding
LANDING = 0.07  # the keel's half-breadth per siding of the keel timber; less is another unit
TWICE = (1.8, 2.2)


def siding_doubts(offsets: Offsets, design: Design) -> Iterator[Problem]:
    """The keel's half-breadths that fit neither stem nor keel timber."""
    keel = offsets.lines.get(design.lines[0].name)
    if keel is None:
        return
    inner = [i for i, label in enumerate(keel.labels) if label not in (BOW, STERN)]
    typed = [i for i in inner if np.isfinite(keel.y[i])]
    place = None if not typed else keel.y_places[typed[0]]
    if place is None:
        return
    found = list(_beside_stems(keel, typed, place, offsets, design))
    yield from found
    if not found:
        yield from _beside_timber(keel, typed, place, offsets, design)


def _beside_stems(
    keel: LineOffsets, typed: list[int], place: Place, offsets: Offsets, design: Design
) -> Iterator[Problem]:
    for end, near in ((design.fore_end, typed[0]), (design.after_end, typed[-1])):
        if not isinstance(end, StemEnd):
            continue
        half, there = 0.5 * end.sided, float(keel.y[near])
        if not THINNEST * half <= there <= WIDEST * half:
            yield Problem(
                f"{place.file}, row {place.row}",
                f'"{keel.name}" is {with_unit(there, offsets.notation)} out beside the stem at the {end.at}, '
                f"and half of that stem's siding is {with_unit(half, offsets.notation)}",
                _remedy(there, half),
                code="keel-siding",
            )
            return


def _beside_timber(
    keel: LineOffsets, typed: list[int], place: Place, offsets: Offsets, design: Design
) -> Iterator[Problem]:
    widest = float(np.max(keel.y[typed]))
    for timber in design.timbers:
        if not isinstance(timber, KeelSpec):
            continue
        siding = with_unit(timber.sided, offsets.notation)
        landing = 0.5 * timber.sided - widest
        if landing <= 0.0 or landing < _least_landing(design):
            leaves = (
                "no landing"
                if landing <= 0.0
                else f"a landing of only {with_unit(landing, offsets.notation)}"
            )
            yield Problem(
                f'{DESIGN_FILE}, timber "{timber.name}", key sided',
                f"{siding} leaves {leaves} for the planking: the keel's own breadth in {offsets.file} is "
                f"{with_unit(2.0 * widest, offsets.notation)}",
                f"check sided, and row {place.row} of {place.file}"
                + ("; halve that row if it holds whole breadths" if timber.sided > widest else ""),
                code="keel-landing",
            )
        elif 0.0 < widest < LANDING * timber.sided:
            yield Problem(
                f"{place.file}, row {place.row}",
                f'"{keel.name}" is {with_unit(widest, offsets.notation)} out at most, and its timber is '
                f"sided {siding}",
                "check the row for another unit",
                code="keel-siding",
            )


def _least_landing(design: Design) -> float:
    """The least landing of the planking on the keel's timber, mm; 0 where a stem vouches for the keel's row."""
    stems = any(isinstance(end, StemEnd) for end in (design.fore_end, design.after_end))
    return 0.0 if stems or not design.strakes else design.strakes[0].planking


def stem_doubts(offsets: Offsets, design: Design, seen: Seen) -> Iterator[Problem]:
    """Half-breadths at the stem that is looked at as the bow's, which are not half its siding."""
    half = 0.5 * design.bow.sided
    ends = []
    for spec in design.lines:
        line = offsets.lines.get(spec.name)
        if line is not None:
            i = line.column(BOW)
            place = line.y_places[i]
            if place is not None and np.isfinite([line.x[i], line.y[i], line.z[i]]).all():
                ends.append((spec.name, float(line.y[i]), place))
    off = [(name, y, place) for name, y, place in ends if abs(y - half) > OFF_SIDING]
    if len(off) > 1 and len(off) == len(ends) and all(_twice(y, half) for _, y, _ in off):
        yield Problem(
            offsets.file,
            f"every line is {with_unit(off[0][1], offsets.notation)} out at the {seen.stem}, which is its whole "
            f"siding and not half of it",
            "halve the rows if they hold whole breadths",
            code="whole-breadths",
        )
        return
    for name, y, place in off:
        yield Problem(
            str(place),
            f'"{name}" is {with_unit(y, offsets.notation)} out at the {seen.stem}, and the design has the '
            f"{seen.stem} sided {with_unit(2.0 * half, offsets.notation)}",
            f"half of that is {with_unit(half, offsets.notation)}"
            + ("; halve the row if it holds whole breadths" if _twice(y, half) else ""),
            code="stem-siding",
        )


def _remedy(there: float, half: float) -> str:
    """What to do about a keel's half-breadths that do not fit the half siding of its stem."""
    if _twice(there, half):
        return "halve the row if it holds whole breadths"
    if _twice(half, there):
        return "double the row if it holds half of the half-breadths"
    return "check the row for another unit"


def _twice(y: float, half: float) -> bool:
    return TWICE[0] * half <= y <= TWICE[1] * half
