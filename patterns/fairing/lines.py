"""From the table of offsets to fair lines in space."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from patterns.errors import DesignError, Problem
from patterns.fairing.bands import SpanBand
from patterns.fairing.cells import FairedCell
from patterns.fairing.column_findings import column_findings, doubted_together
from patterns.fairing.column_words import fault_problem
from patterns.fairing.curves import FairCurve, Profile, SpaceLine
from patterns.fairing.ends import off_transom
from patterns.fairing.half_siding import half_siding, with_sternpost
from patterns.fairing.keel import foot, make_profile, profile_line
from patterns.fairing.keel_bands import profile_warnings
from patterns.fairing.line import make_line, off_straight
from patterns.fairing.profile_points import (
    PathPoint,
    ProfileMade,
    chain,
    end_points,
    keel_points,
    stem_points,
)
from patterns.fairing.round import is_round, make_round
from patterns.fairing.suspects import Suspect, TypedRow, suspects_of, suspects_on_profile, written_to
from patterns.fairing.wild import wild_lines
from patterns.hull.girth import Girth
from patterns.table.line_ends import line_ends
from patterns.table.values import BOW, STERN, turned_at

if TYPE_CHECKING:
    from patterns.design.file import Design
    from patterns.table.offsets import Offsets

__all__ = ["FairedCell", "Lines", "fair_lines"]

OF_SPANS = frozenset(
    {"keel-band", "line-band", "surface-band"}
)  # how well a line is known between its offsets


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Lines:
    """The boat's lines, faired.

    Attributes:
        profile: keel and stem rabbet in one.
        lines: the other lines from the centreline up.
        rows: the as-faired table, a cell for each offset.
        suspects: offsets that the batten doubts; they are faired as typed all the same.
        warnings: what the builder should look at.
        girth: the surface of a round bilge between keel and sheer; None where the strakes lie between lines.
        bands: how well each span of each line is known.
        unjudged: codes of warnings that may be missing until the doubtful figures are right.
    """

    profile: Profile
    lines: tuple[SpaceLine, ...]
    rows: tuple[FairedCell, ...]
    suspects: tuple[Suspect, ...]
    warnings: tuple[Problem, ...]
    girth: Girth | None = None
    bands: tuple[SpanBand, ...] = ()
    unjudged: frozenset[str] = frozenset()


def _make_profile(
    offsets: Offsets, design: Design
) -> tuple[Profile, ProfileMade, list[FairedCell], list[Suspect], list[Problem]]:
    """The profile line of stem and keel, with its own cells, suspects and warnings."""
    allow, ends = design.fairing.allow, design.fairing.ends
    spec = design.lines[0]
    keel = offsets.lines[spec.name]
    others = [offsets.lines[line.name] for line in design.lines[1:]]
    turned = turned_at(spec.knuckles)
    stem, post = _stem_points(offsets, design)
    points = chain(stem, keel_points(keel, tuple(turned)), post)
    step = written_to(np.array([point.typed for point in points]), offsets.notation)
    made = make_profile(spec.name, points, allow=allow, ends=ends, straight=spec.straight, written=0.5 * step)
    path = made.path
    bare = profile_line(spec.name, made, FairCurve(knots=path.t[[0, -1]], coefficients=np.zeros((1, 4))))

    own = np.nonzero(np.isfinite(keel.x) & np.isfinite(keel.y))[0]
    stems = [label for label, points_there in (("bow", stem), ("stern", post)) if points_there]
    at_station = [int(i) for i in own if keel.labels[i] not in stems]
    keel_t = bare.t_at_x(keel.x[at_station])
    known: dict[str, tuple[list[float], list[float]]] = {label: ([], []) for label in ("bow", "stern")}
    for row in (keel, *others):
        for label in stems:
            end = row.column(label)
            x, z = row.x[end], row.z[end]
            if np.isfinite(x) and np.isfinite(row.y[end]):
                z = z if np.isfinite(z) else bare.at(bare.t_at_x(x))[2]
                known[label][0].append(foot(path, float(x), float(z)))
                known[label][1].append(float(row.y[end]))
    stem_t, stem_y = known["bow"]
    y, faired = half_siding(
        path,
        stem_t=np.array(stem_t),
        stem_y=np.array(stem_y),
        keel_t=keel_t,
        keel_y=keel.y[at_station],
        allow=allow,
        ends=ends,
    )
    if post:
        joint = float(keel_t[-1]) if len(keel_t) else made.joint
        y = with_sternpost(y, joint=joint, t=np.array(known["stern"][0]), y=np.array(known["stern"][1]))
    # The cell of a line's own end is that line's, not the profile's.
    cells = [cell for point, cell in zip(made.points, made.cells, strict=True) if not point.line]
    for i in own:
        at_t = float(bare.t_at_x(keel.x[i]))
        k = at_station.index(int(i)) if int(i) in at_station else None
        value = float(faired[k, 0]) if k is not None else float(y(at_t))
        cells.append(
            FairedCell(
                line=spec.name, view="half-breadth", label=keel.labels[i], x=float(keel.x[i]),
                offset=float(keel.y[i]), faired=value, move=value - float(keel.y[i]),
                load=float(faired[k, 1]) if k is not None else float("nan"), place=keel.y_places[i],
            )
        )  # fmt: skip
    suspects: list[Suspect] = []
    if not spec.straight:
        suspects = suspects_on_profile(offsets, spec.name, made, allow=allow, ends=ends)
        siding = TypedRow(
            line=spec.name, view="half-breadth", x=keel_t, y=keel.y[at_station], columns=tuple(at_station)
        )
        suspects += suspects_of(offsets, siding, design.fairing)
    down = design.table.heights == "down from set-up line"
    doubted = {suspect.place for suspect in suspects}
    warned = profile_warnings(made, spec.name, notation=offsets.notation, down=down, doubted=doubted)
    return profile_line(spec.name, made, y), made, cells, suspects, list(warned)


def _stem_points(offsets: Offsets, design: Design) -> tuple[list[PathPoint], list[PathPoint]]:
    """The points of the stems at bow and stern: their own, or else the lines' ends at them."""
    found = []
    for label, end, own in (
        (BOW, design.fore_end, offsets.stem),
        (STERN, design.after_end, offsets.sternpost),
    ):
        if own is not None:
            found.append(stem_points(own, post=label == STERN))
        else:
            found.append(end_points(line_ends(offsets, design, label)) if end.kind == "stem" else [])
    return found[0], found[1]


def fair_lines(offsets: Offsets, design: Design) -> Lines:
    """Fair every line of the table, and look for what is doubtful: cell by cell, and column by column.

    The keel's heights and the stem's points make the profile line; every other line is faired in both views,
    its fore end on the profile line.  Suspects are faired as typed: the batten holds each offset within the
    allowed move, right or wrong, until the builder corrects the table.

    Raises:
        DesignError: where lines do not end on the profile line or the transom.
    """
    columns = column_findings(offsets, design)
    try:
        lines = _faired(offsets, design)
    except DesignError as error:
        raise DesignError([*error.problems, *columns.problems]) from error
    suspects, spans = lines.suspects, lines
    left = None if columns.table is None else _put_right(columns.table, design)
    if left is not None:
        typed = {cell.place: cell.offset for cell in lines.rows}
        suspects = tuple(
            replace(suspect, offset=typed.get(suspect.place, suspect.offset)) for suspect in left.suspects
        )
        if not {problem.code for problem in columns.problems} <= set(design.boat.confirmed):
            spans = left
    others = [warning for warning in lines.warnings if warning.code not in OF_SPANS]
    together = doubted_together(columns.possible, suspects)
    possible = []
    if columns.possible is not None and suspects:
        possible.append(
            fault_problem(columns.possible, offsets, design, [], sure=False, together=bool(together))
        )
    wide = tuple(_wide_spans(spans, suspects, design))
    suspects = tuple(suspect for suspect in suspects if suspect not in together)
    return replace(
        lines,
        suspects=suspects,
        warnings=(*columns.problems, *others, *wide, *possible),
        unjudged=OF_SPANS | {"keel-corner"} if suspects or possible or columns.problems else frozenset(),
    )


def _wide_spans(lines: Lines, suspects: Sequence[Suspect], design: Design) -> Iterator[Problem]:
    """The warnings of spans in rows that have no doubted offset: one wrong figure widens every span of its row."""

    def row(line: str, view: str) -> tuple[str, str]:
        keel = design.lines[0].name  # its heights and the stem's points make one line
        return (line, view) if line != keel or view == "half-breadth" else (keel, "profile")

    rows = {str(band.place): row(band.line, band.view) for band in lines.bands if band.place is not None}
    doubted = {row(suspect.line, suspect.view) for suspect in suspects}
    for warning in lines.warnings:
        if warning.code in OF_SPANS and rows.get(warning.place) not in doubted:
            yield warning


def _put_right(table: Offsets, design: Design) -> Lines | None:
    """What is left to say when the columns that are wrong as a whole are put right; None if lines fail then.

    Args:
        table: the table put right.
    """
    try:
        return _faired(table, design)
    except DesignError:
        return None


def _faired(offsets: Offsets, design: Design) -> Lines:
    """The lines as typed, and the suspects of each by itself."""
    profile, along, rows, suspects, warnings = _make_profile(offsets, design)
    path = along.path
    if design.lines[0].straight:
        warnings += off_straight([row for row in rows if row.view == "height"], design.fairing.allow)
    errors: list[Problem] = []
    bands: list[SpanBand] = [*along.bands]
    lines, starts, ends = [], [profile.start], [profile.end]
    for spec in design.lines[1:]:
        made = make_line(
            offsets.lines[spec.name], spec, offsets=offsets, profile=profile, path=path, design=design
        )
        lines.append(made.line)
        starts += [] if made.landing is None else [made.landing]
        ends += [] if made.landing_aft is None else [made.landing_aft]
        rows += made.cells
        suspects += made.suspects
        bands += made.bands
        warnings += made.warnings
        errors += made.errors
    profile = profile.extended(min(starts), max(ends))
    errors += off_transom(offsets, design)
    errors += wild_lines(lines, offsets)
    if errors:
        raise DesignError([*errors, *(suspect.problem() for suspect in suspects)])
    girth = None
    if is_round(design):
        made_round = make_round(offsets, design, profile=profile, sheer=lines[-1])
        girth = made_round.girth
        rows += made_round.cells
        warnings += made_round.warnings
        suspects += made_round.suspects
        bands += made_round.bands
    return Lines(
        girth=girth,
        profile=profile,
        lines=tuple(lines),
        rows=tuple(rows),
        suspects=tuple(suspects),
        warnings=tuple(warnings),
        bands=tuple(bands),
    )
