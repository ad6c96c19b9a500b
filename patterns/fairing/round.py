"""A round bilge from its rows: the surface, the as-faired cells, and the offsets that will not lie on it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from patterns.errors import Problem
from patterns.fairing.bands import SpanBand
from patterns.fairing.cells import FairedCell
from patterns.fairing.cross import CrossFaired, cross_fair
from patterns.fairing.cross_doubts import cross_suspects
from patterns.fairing.curves import Profile, SpaceLine
from patterns.fairing.girth_start import PlacedOffsets, measured
from patterns.fairing.round_bands import band_warnings, offsets_each, surface_bands
from patterns.fairing.row_ends import end_cells, end_findings, stem_ends
from patterns.fairing.rows_astray import astray_problem, row_astray
from patterns.fairing.suspects import Suspect, written_to
from patterns.hull.girth import Girth, place_on
from patterns.measure import format_length
from patterns.table.levels import LevelRow, levels_of

if TYPE_CHECKING:
    from patterns.design.file import Design
    from patterns.table.offsets import Offsets

__all__ = ["RoundMade", "is_round", "make_round"]

LEAST_DOUBTED = 0.4  # mm; a slip bends a surface that is held truer than this out of all likeness
FAR_OUT = 300.0  # mm; a surface moved farther is no surface, and its figures say nothing
ROUGH = 0.05  # mm beyond the allowed move of which nothing is said


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RoundMade:
    """The surface and what was found on the way.

    Attributes:
        girth: the surface.
        cells: its part of the as-faired table.
        warnings: what the builder should look at.
        suspects: offsets that the others contradict; the surface has been pulled towards them all the same.
        bands: how well the surface is known near each row in each span.
    """

    girth: Girth
    cells: tuple[FairedCell, ...]
    warnings: tuple[Problem, ...]
    suspects: tuple[Suspect, ...]
    bands: tuple[SpanBand, ...]


def is_round(design: Design) -> bool:
    """Whether the boat has a round bilge."""
    return any(strake.sections == "round" for strake in design.strakes)


def make_round(offsets: Offsets, design: Design, *, profile: Profile, sheer: SpaceLine) -> RoundMade:
    """Cross-fair the rows between keel and sheer, which are faired already and held.

    Args:
        profile, sheer: the faired lines.
    """
    levels = levels_of(offsets, design)
    ends = stem_ends(levels, profile, design)
    found = measured(levels, {end.level.name for end in ends})
    allow = design.fairing.allow

    doubted = max(allow, LEAST_DOUBTED)

    def fit(rows: PlacedOffsets, allow: float = doubted) -> CrossFaired:
        return cross_fair(rows, profile=profile, sheer=sheer, stations=offsets.station_x, allow=allow)

    faired = fit(found, allow)
    looked_at = faired if allow == doubted else fit(found)
    astray_row = row_astray(levels, found, looked_at, fit, design, allow=doubted)
    if astray_row is not None:  # what the others show is faired; the row would spoil it
        levels = tuple(level for level in levels if level is not astray_row.level)
        ends = stem_ends(levels, profile, design)
        found = measured(levels, {end.level.name for end in ends})
        faired = fit(found, allow)
        looked_at = faired if allow == doubted else fit(found)
    cells = _cells(found, faired)
    astray = tuple(end_findings(levels, ends, offsets=offsets, design=design, profile=profile, sheer=sheer))
    off = _ends_off(levels, astray)
    wrong_level = [] if astray_row is None else [astray_problem(astray_row, design, offsets.notation)]
    bands = surface_bands(
        levels,
        found,
        faired,
        profile=profile,
        stations=offsets.stations,
        station_x=offsets.station_x,
        allow=allow,
        rounding=max(allow, 0.5 * written_to(found.values, offsets.notation)),
    )
    open_ = band_warnings(
        bands,
        offsets,
        each=offsets_each(found, offsets.stations),
        down=design.table.heights == "down from set-up line",
    )
    return RoundMade(
        bands=bands,
        girth=faired.girth,
        cells=(*end_cells(ends), *cells),
        warnings=(*wrong_level, *astray, *_beyond(cells, offsets, allow), *open_),
        suspects=tuple(
            suspect
            for suspect in cross_suspects(found, looked_at, fit, offsets, allow=doubted)
            if (suspect.line, suspect.label) not in off
        ),
    )


def _ends_off(levels: Sequence[LevelRow], astray: Sequence[Problem]) -> set[tuple[str, str]]:
    """The rows and columns of the ends whose positions are found wrong.

    Their offsets, good or not, do not belong where they are typed: the surface must not doubt them as well.
    """
    places = {problem.place for problem in astray}
    return {
        (level.name, label)
        for level in levels
        for label, place in zip(level.row.labels, level.row.x_places, strict=True)
        if place is not None and str(place) in places
    }


def _cells(found: PlacedOffsets, faired: CrossFaired) -> tuple[FairedCell, ...]:
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


def _beyond(cells: tuple[FairedCell, ...], offsets: Offsets, allow: float) -> tuple[Problem, ...]:
    """Offsets that could not be met within the allowed move: they disagree with the other views."""
    return tuple(
        Problem(
            str(cell.place),
            f"the {cell.view} of {cell.line} is moved by {abs(cell.move):.1f} mm, to "
            f"{format_length(cell.faired, offsets.notation)}, more than the {allow:.1f} mm allowed"
            if abs(cell.move) < FAR_OUT
            else f"the surface does not come near the {cell.view} of {cell.line}",
            "it disagrees with the rows that cross it there: look at the plan",
            code="offset-beyond-allowed",
        )
        for cell in sorted(cells, key=lambda cell: -abs(cell.move))
        if abs(cell.move) > allow + ROUGH
    )
