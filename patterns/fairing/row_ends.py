"""Where a round bilge's rows end: on the rabbet at a stem, on a transom, or, as buttocks do, on the sheer."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from patterns.errors import Problem
from patterns.fairing.cells import FairedCell, View
from patterns.fairing.curves import Profile, SpaceLine
from patterns.hull.curved import hollow
from patterns.hull.planes import FloatArray
from patterns.measure import format_length
from patterns.table.levels import LevelRow
from patterns.table.sidings import OFF_SIDING
from patterns.table.transom_checks import OFF_END
from patterns.table.values import BOW, STERN, Place

if TYPE_CHECKING:
    from patterns.design.file import Design
    from patterns.table.offsets import Offsets

__all__ = ["RowEnd", "end_cells", "end_findings", "stem_ends"]

LEVEL = 0.02  # least slope of the rabbet that counts: where it is flatter, a row's end cannot be placed on it
LOOKED = 801  # places of the profile line at which a row's crossing is looked for
MOST_LEAN = 0.3  # of the transom's height that its ends must be apart, so that they give its rake


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RowEnd:
    """The fore end of a waterline or a diagonal at a stem.

    Attributes:
        level, column: the row, and the table's column of its end.
        typed: shape (3,), the end as typed, mm.
        true: shape (3,), where the row's plane meets the faired rabbet; None where the rabbet does not reach it.
        slack: mm aft by which the end moves for each mm that the rabbet's height is off.
    """

    level: LevelRow
    column: int
    typed: FloatArray
    true: FloatArray | None
    slack: float


def stem_ends(levels: Sequence[LevelRow], profile: Profile, design: Design) -> list[RowEnd]:
    """The fore ends that the table gives and that belong on the stem's rabbet."""
    if design.fore_end.kind != "stem":
        return []
    ends = []
    for level in levels:
        i = level.row.column(BOW)
        typed = level.points()[i]
        if level.view == "height" or not np.isfinite(typed).all():
            continue
        t = _meeting(level, profile)
        slack = 0.0
        if t is not None:
            x_by_t, _, z_by_t = (abs(float(v)) for v in profile.at(t, 1))
            slack = x_by_t / max(z_by_t, LEVEL * x_by_t)
        true = None if t is None else profile.at(t)
        ends.append(RowEnd(level=level, column=i, typed=typed, true=true, slack=slack))
    return ends


def _meeting(level: LevelRow, profile: Profile) -> float | None:
    """The profile's parameter where it first meets the row's plane, from the stem's head on."""
    t = np.linspace(profile.start, profile.end, LOOKED)
    t = t[: int(profile.at(t)[:, 2].argmin()) + 1]

    def over(at: FloatArray) -> FloatArray:
        body = profile.at(at)[..., 1:] - level.start
        return np.asarray(body[..., 0] * level.along[1] - body[..., 1] * level.along[0])

    crossed = np.nonzero(np.diff(np.signbit(over(t))))[0]
    if not len(crossed):
        return None
    low, high = float(t[crossed[0]]), float(t[crossed[0] + 1])
    for _ in range(40):
        middle = 0.5 * (low + high)
        same = np.signbit(over(np.array(middle))) == np.signbit(over(np.array(low)))
        low, high = (middle, high) if same else (low, middle)
    return 0.5 * (low + high)


def end_cells(ends: Sequence[RowEnd]) -> list[FairedCell]:
    """The ends on the rabbet as cells of the as-faired table."""
    cells = []
    for end in ends:
        if end.true is None:
            continue
        x = float(end.true[0])
        along = float((end.true[1:] - end.level.start) @ end.level.along)
        places: tuple[tuple[View, float, float, Place | None], ...] = (
            ("position", float(end.typed[0]), x, end.level.row.x_places[end.column]),
            (end.level.view, float(end.level.values[end.column]), along, end.level.places[end.column]),
        )
        for view, typed, true, place in places:
            cells.append(
                FairedCell(
                    line=end.level.name, view=view, label=BOW, x=x, offset=typed, faired=true, move=true - typed,
                    load=float("nan"), place=place,
                )
            )  # fmt: skip
    return cells


def end_findings(
    levels: Sequence[LevelRow],
    ends: Sequence[RowEnd],
    *,
    offsets: Offsets,
    design: Design,
    profile: Profile,
    sheer: SpaceLine,
) -> Iterator[Problem]:
    """Every end that is not where it belongs: in its distance aft, its half-breadth, or its row's height."""
    for end in ends:
        yield from _off_stem(end, offsets, design.fairing.allow)
    for label, kind in ((BOW, design.fore_end.kind), (STERN, design.after_end.kind)):
        for level in levels:
            point = level.points()[level.row.column(label)]
            if not np.isfinite(point).all():
                continue
            if kind == "transom":
                yield from _off_transom(level, label, point, offsets, design, profile, sheer)
            elif label == BOW and level.view == "height":
                yield from _off_sheer(level, point, offsets, sheer)


def _off_stem(end: RowEnd, offsets: Offsets, allow: float) -> Iterator[Problem]:
    level, i = end.level, end.column

    def words(mm: float) -> str:
        return format_length(mm, offsets.notation)

    if end.true is None:
        yield Problem(
            str(level.row.x_places[i]),
            f"{level.name} has a bow end {words(float(end.typed[0]))} aft, but the stem's rabbet does not reach "
            f"the height of {level.name}",
            f"remove the end, or correct the height of {level.name} in design.toml",
            code="row-end-beyond-rabbet",
        )
        return
    off = float(end.typed[0] - end.true[0])
    if abs(off) > OFF_END + 2.0 * allow * (1.0 + end.slack):
        yield Problem(
            str(level.row.x_places[i]),
            f"the bow end of {level.name} is {words(float(end.typed[0]))} aft, but the rabbet at its height is "
            f"{words(float(end.true[0]))} aft",
            f"correct the position, or the height of {level.name} in design.toml; the surface follows the rabbet",
            code="row-end-off-rabbet",
        )
    true = float((end.true[1:] - level.start) @ level.along)
    if abs(true - level.values[i]) > OFF_SIDING + allow:
        yield Problem(
            str(level.places[i]),
            f"the {level.view} of {level.name} at the bow is {words(float(level.values[i]))}, but the rabbet there "
            f"is {words(true)} out",
            "correct the offset; the surface follows the rabbet",
            code="row-end-off-siding",
        )


def _off_transom(
    level: LevelRow,
    label: str,
    point: FloatArray,
    offsets: Offsets,
    design: Design,
    profile: Profile,
    sheer: SpaceLine,
) -> Iterator[Problem]:
    """An end off the plane, or the curve, through the ends of keel and sheer."""
    spec = design.fore_end if label == BOW else design.after_end
    way = -1.0 if label == BOW else 1.0
    radius, rake = getattr(spec, "radius", None), getattr(spec, "rake", None)
    ends = np.array([line.at(line.start if label == BOW else line.end) for line in (profile, sheer)])
    rise = float(ends[1, 2] - ends[0, 2])
    if abs(rise) < MOST_LEAN * float(np.ptp(sheer.at(np.linspace(sheer.start, sheer.end, 9))[:, 1])):
        return
    lean = float(np.arctan((ends[1, 0] - ends[0, 0]) / rise)) if rake is None else way * float(rake)
    behind = way * hollow(np.array([*ends[:, 1], point[1]]), radius) / np.cos(lean)
    flat = np.array([*ends[:, 0], point[0]]) + behind - np.array([*ends[:, 2], point[2]]) * np.tan(lean)
    off = float(flat[2] - flat[:2].mean())
    if abs(off) * np.cos(lean) > OFF_END + design.fairing.allow + 0.5 * abs(float(flat[1] - flat[0])):
        yield Problem(
            str(level.row.x_places[level.row.column(label)]),
            f"the {label} end of {level.name} is {format_length(abs(off), offsets.notation)} "
            f"{'aft' if off > 0.0 else 'forward'} of the transom",
            f"correct its position: {format_length(float(point[0] - off), offsets.notation)} is on the transom",
            code="row-end-off-transom",
        )


def _off_sheer(level: LevelRow, point: FloatArray, offsets: Offsets, sheer: SpaceLine) -> Iterator[Problem]:
    """A buttock's fore end off the sheer, where the buttock begins."""
    line = sheer.at(np.linspace(sheer.start, sheer.end, LOOKED))
    away = float(np.sqrt(((line - point) ** 2).sum(axis=1).min()))
    if away > OFF_END + float(np.hypot(*np.diff(line[:2, :2], axis=0)[0])):
        yield Problem(
            str(level.row.x_places[level.row.column(BOW)]),
            f"the bow end of {level.name} is {format_length(away, offsets.notation)} off the sheer",
            "a buttock begins at the sheer: correct its position or its height at the bow",
            code="row-end-off-sheer",
        )
