"""A round bilge from its rows: the surface, the as-faired cells, and the offsets that will not lie on it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from patterns.errors import Problem
from patterns.fairing.cells import FairedCell, View
from patterns.fairing.cross import CrossFaired, cross_fair
from patterns.fairing.cross_doubts import cross_suspects
from patterns.fairing.curves import Profile, SpaceLine
from patterns.fairing.girth_start import Measured, measured, on_rabbet
from patterns.fairing.suspects import Suspect
from patterns.hull.girth import Girth, place_on
from patterns.measure import format_length
from patterns.table.levels import Level, levels_of
from patterns.table.values import BOW, Place

if TYPE_CHECKING:
    from patterns.design.file import Design
    from patterns.table.offsets import Offsets

__all__ = ["RoundMade", "is_round", "make_round"]

OFF_END = 6.35  # mm, a quarter of an inch: an end farther off the rabbet is a slip, not a rounded figure
ROUGH = 0.05  # mm beyond the allowed move of which nothing is said


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RoundMade:
    """The surface and what was found on the way.

    Attributes:
        girth: the surface.
        cells: its part of the as-faired table.
        warnings: what the builder should look at.
        suspects: offsets that the others contradict; the surface has been pulled towards them all the same.
    """

    girth: Girth
    cells: tuple[FairedCell, ...]
    warnings: tuple[Problem, ...]
    suspects: tuple[Suspect, ...]
    faired: CrossFaired | None = None


def is_round(design: Design) -> bool:
    """Whether the boat has a round bilge."""
    return any(strake.sections == "round" for strake in design.strakes)


def make_round(offsets: Offsets, design: Design, *, profile: Profile, sheer: SpaceLine) -> RoundMade:
    """Cross-fair the rows between keel and sheer, which are faired already and held.

    Args:
        profile, sheer: the faired lines.
    """
    levels = levels_of(offsets, design)
    found = measured(levels, profile)
    allow = design.fairing.allow

    def fit(rows: Measured) -> CrossFaired:
        return cross_fair(rows, profile=profile, sheer=sheer, stations=offsets.station_x, allow=allow)

    faired = fit(found)
    ends, astray = _fore_ends(levels, profile, offsets)
    cells = (*ends, *_cells(found, faired))
    return RoundMade(
        faired=faired, girth=faired.girth, cells=cells, warnings=(*astray, *_beyond(cells, offsets, allow)),
        suspects=tuple(cross_suspects(found, faired, fit, offsets, allow=allow))
    )  # fmt: skip


def _cells(found: Measured, faired: CrossFaired) -> tuple[FairedCell, ...]:
    """Every offset beside the place where the surface crosses its own line of the body plan."""
    values = place_on(faired.girth, found.points[:, 0], faired.r, found.start, found.along)
    return tuple(
        FairedCell(
            line=found.names[i],
            view=found.views[i],
            label=found.labels[i],
            x=float(found.points[i, 0]),
            offset=float(found.values[i]),
            faired=float(values[i]),
            move=float(values[i] - found.values[i]),
            load=float("nan"),
            place=found.places[i],
        )
        for i in range(len(values))
    )


def _fore_ends(
    levels: Sequence[Level], profile: Profile, offsets: Offsets
) -> tuple[list[FairedCell], list[Problem]]:
    """The waterlines' fore ends where the rabbet stands at their heights, and ends that are typed far off it."""
    cells: list[FairedCell] = []
    astray: list[Problem] = []
    for level in levels:
        i = level.row.column(BOW)
        point = level.points()[i]
        if level.view != "half-breadth" or not np.isfinite(point).all() or not on_rabbet(profile, point):
            continue
        t = float(profile.t_at_height(point[2]))
        if not np.isfinite(t):
            continue
        x, y, _ = (float(v) for v in profile.at(t))
        where = level.row.x_places[i]
        ends: tuple[tuple[View, float, float, Place | None], ...] = (
            ("position", float(point[0]), x, where),
            ("half-breadth", float(point[1]), y, level.places[i]),
        )
        for view, typed, true, place in ends:
            cells.append(
                FairedCell(
                    line=level.name, view=view, label=BOW, x=x, offset=typed, faired=true, move=true - typed,
                    load=float("nan"), place=place,
                )
            )  # fmt: skip
        if abs(x - point[0]) > OFF_END:
            astray.append(
                Problem(
                    str(where),
                    f"the bow end of {level.name} is {format_length(float(point[0]), offsets.notation)} aft",
                    f"at its height the rabbet stands {format_length(x, offsets.notation)} aft: mend one of them",
                )
            )
    return cells, astray


def _beyond(cells: tuple[FairedCell, ...], offsets: Offsets, allow: float) -> tuple[Problem, ...]:
    """Offsets that could not be met within the allowed move: they disagree with the other views."""
    return tuple(
        Problem(
            str(cell.place),
            f"the {cell.view} of {cell.line} is moved by {abs(cell.move):.1f} mm, to "
            f"{format_length(cell.faired, offsets.notation)}, more than the {allow:.1f} mm allowed",
            "it disagrees with the rows that cross it there: look at the plan",
        )
        for cell in sorted(cells, key=lambda cell: -abs(cell.move))
        if abs(cell.move) > allow + ROUGH and cell.label != BOW
    )
