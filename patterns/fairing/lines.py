"""From the table of offsets to fair lines in space."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from patterns.errors import DesignError, Problem
from patterns.fairing.cells import FairedCell
from patterns.fairing.curves import FairCurve, Profile, SpaceLine
from patterns.fairing.ends import off_transom
from patterns.fairing.keel import (
    chain,
    foot,
    half_siding,
    keel_points,
    make_profile,
    profile_line,
    stem_points,
)
from patterns.fairing.line import make_line
from patterns.fairing.paths import FairedPath
from patterns.fairing.round import is_round, make_round
from patterns.fairing.suspects import Suspect, suspects_of, suspects_on_profile
from patterns.hull.girth import Girth

if TYPE_CHECKING:
    from patterns.design.file import Design
    from patterns.table.offsets import Offsets

__all__ = ["FairedCell", "Lines", "fair_lines"]


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
    """

    profile: Profile
    lines: tuple[SpaceLine, ...]
    rows: tuple[FairedCell, ...]
    suspects: tuple[Suspect, ...]
    warnings: tuple[Problem, ...]
    girth: Girth | None = None


def _make_profile(
    offsets: Offsets, design: Design
) -> tuple[Profile, FairedPath, list[FairedCell], list[Suspect], list[Problem]]:
    """The profile line of stem and keel, with its own cells, suspects and warnings."""
    allow, ends = design.fairing.allow, design.fairing.ends
    spec = design.lines[0]
    keel = offsets.lines[spec.name]
    others = [offsets.lines[line.name] for line in design.lines[1:]]
    turned = {word.removeprefix("station ").strip() for word in spec.knuckles}
    stem = stem_points(offsets.stem) if offsets.stem is not None else []
    points = chain(stem, keel_points(keel, tuple(turned)))
    made = make_profile(spec.name, points, allow=allow, ends=ends, straight=spec.straight)
    path = made.path
    bare = profile_line(spec.name, made, FairCurve(knots=path.t[[0, -1]], coefficients=np.zeros((1, 4))))

    own = np.nonzero(np.isfinite(keel.x) & np.isfinite(keel.y))[0]
    at_station = [int(i) for i in own if keel.labels[i] != "bow"]
    keel_t = bare.t_at_x(keel.x[at_station])
    stem_t, stem_y = [], []
    for row in (keel, *others):
        if row.labels[0] == "bow" and np.isfinite(row.x[0]) and np.isfinite(row.y[0]):
            z = row.z[0] if np.isfinite(row.z[0]) else float(bare.at(bare.t_at_x(row.x[0]))[2])
            stem_t.append(foot(path, float(row.x[0]), float(z)))
            stem_y.append(float(row.y[0]))
    y, faired = half_siding(
        path,
        stem_t=np.array(stem_t),
        stem_y=np.array(stem_y),
        keel_t=keel_t,
        keel_y=keel.y[at_station],
        allow=allow,
        ends=ends,
    )
    cells = list(made.cells)
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
        suspects += suspects_of(
            offsets, spec.name, "half-breadth", x=keel_t, y=keel.y[at_station], columns=tuple(at_station),
            allow=allow, ends=ends,
        )  # fmt: skip
    return profile_line(spec.name, made, y), path, cells, suspects, list(made.warnings)


def fair_lines(offsets: Offsets, design: Design) -> Lines:
    """Fair every line of the table.

    The keel's heights and the stem's points make the profile line; every other line is faired in both views,
    its fore end on the profile line.  Suspects are faired as typed: the batten holds each offset within the
    allowed move, right or wrong, until the builder corrects the table.

    Raises:
        DesignError: where lines do not end on the profile line or the transom.
    """
    profile, path, rows, suspects, warnings = _make_profile(offsets, design)
    errors: list[Problem] = []
    lines = []
    landings = np.zeros(len(design.lines) - 1)
    for k, spec in enumerate(design.lines[1:]):
        made = make_line(
            offsets.lines[spec.name], spec, offsets=offsets, profile=profile, path=path, design=design
        )
        lines.append(made.line)
        landings[k] = made.landing
        rows += made.cells
        suspects += made.suspects
        warnings += made.warnings
        errors += made.errors
    profile = profile.extended(min(float(landings.min(initial=0.0)), profile.start))
    errors += off_transom(offsets, design)
    if errors:
        raise DesignError([*errors, *(suspect.problem() for suspect in suspects)])
    girth = None
    if is_round(design):
        made_round = make_round(offsets, design, profile=profile, sheer=lines[-1])
        girth = made_round.girth
        rows += made_round.cells
        warnings += made_round.warnings
    return Lines(
        girth=girth,
        profile=profile,
        lines=tuple(lines),
        rows=tuple(rows),
        suspects=tuple(suspects),
        warnings=tuple(warnings),
    )
