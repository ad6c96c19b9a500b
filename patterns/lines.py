"""From the table of offsets to fair lines in space."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from patterns.batten import Batten, Ends, Faired, batten, fair, straight
from patterns.cells import FairedCell, View
from patterns.curves import FairCurve, Profile, SpaceLine, space_line
from patterns.errors import DesignError, Problem
from patterns.keel import chain, foot, half_siding, keel_points, make_profile, profile_line, stem_points
from patterns.paths import FairedPath
from patterns.planes import FloatArray
from patterns.suspects import Suspect, suspects_of, suspects_on_profile

if TYPE_CHECKING:
    from patterns.design import Design, LineSpec
    from patterns.offsets import LineOffsets, Offsets, Place

__all__ = ["FairedCell", "Lines", "fair_lines"]

ASTRAY = 12.0  # mm from the profile line, or the transom, beyond which a line does not end on it
SEARCH = 80.0  # mm along the profile line in which a line's own run is looked for
BEYOND = 40.0  # mm by which the profile line may be run on above the stem's first point
CROSSES = np.radians(12.0)  # least angle at which two lines cross clearly enough to say where
STEEP = np.tan(np.radians(15.0))  # slope of the first chord from which a blunt end is thought of
BLUNT = 2.2  # first chord's slope over the second's; the root itself has 2.41, a keen bow below 2


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Lines:
    """The boat's lines, faired.

    Attributes:
        profile: keel and stem rabbet in one.
        lines: the other lines from the centreline up.
        rows: the as-faired table, a cell for each offset.
        suspects: offsets that the batten doubts; they are faired as typed all the same.
        warnings: what the builder should look at.
    """

    profile: Profile
    lines: tuple[SpaceLine, ...]
    rows: tuple[FairedCell, ...]
    suspects: tuple[Suspect, ...]
    warnings: tuple[Problem, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _View:
    """The cells of one line in one view that hold a value."""

    x: FloatArray
    y: FloatArray
    columns: tuple[int, ...]
    knuckles: tuple[int, ...]


def _view(row: LineOffsets, values: FloatArray, spec: LineSpec) -> _View:
    columns = np.nonzero(np.isfinite(row.x) & np.isfinite(values))[0]
    turned = {word.removeprefix("station ").strip() for word in spec.knuckles}
    return _View(
        x=row.x[columns],
        y=values[columns],
        columns=tuple(int(i) for i in columns),
        knuckles=tuple(k for k, i in enumerate(columns) if row.labels[i] in turned),
    )


def _fair(view: _View, spec: LineSpec, tolerance: FloatArray, ends: Ends) -> Faired:
    if spec.straight:
        return straight(view.x, view.y, tolerance=tolerance, knuckles=view.knuckles)
    return fair(view.x, view.y, tolerance=tolerance, ends=ends, knuckles=view.knuckles)


def _cells(row: LineOffsets, view: _View, faired: Faired, name: View) -> list[FairedCell]:
    places = row.z_places if name == "height" else row.y_places
    return [
        FairedCell(
            line=row.name,
            view=name,
            label=row.labels[i],
            x=float(view.x[k]),
            offset=float(view.y[k]),
            faired=float(faired.values[k]),
            move=float(faired.values[k] - view.y[k]),
            load=float(faired.loads[k]),
            place=places[i],
        )
        for k, i in enumerate(view.columns)
    ]


def _landing(heights: FairCurve, path: FairedPath, x: float, z: float) -> float:
    """The profile line's parameter where a line's own run meets it.

    The typed end is a guide only: where the line crosses the profile clearly its heights say the place;
    otherwise the profile's point nearest to the typed end is taken.
    """
    near = foot(path, x, z)

    def over(t: FloatArray) -> FloatArray:
        return heights(path.x(t)) - path.z(t)

    # The sheer may end a little above the stem's first point: the profile line runs on.
    low, high = max(near - SEARCH, path.t[0] - BEYOND), min(near + SEARCH, path.t[-1])
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


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _LineMade:
    line: SpaceLine
    landing: float
    cells: tuple[FairedCell, ...]
    suspects: tuple[Suspect, ...]
    warnings: tuple[Problem, ...]
    errors: tuple[Problem, ...]


def _where(*places: Place | None, otherwise: str) -> str:
    return next((str(place) for place in places if place is not None), otherwise)


def _off_straight(name: str, cells: Sequence[FairedCell], allow: float) -> list[Problem]:
    return [
        Problem(
            _where(cell.place, otherwise=f"line {name}"),
            f"{name} is declared straight, but its {cell.view} here lies {abs(cell.move):.1f} mm off",
            "correct the offset, or leave out straight",
        )
        for cell in cells
        if abs(cell.move) > allow + 1e-9
    ]


def _make_line(
    row: LineOffsets, spec: LineSpec, *, offsets: Offsets, profile: Profile, path: FairedPath, design: Design
) -> _LineMade:
    """Fair one line in both views and end it on the profile line."""
    allow, ends = design.fairing.allow, design.fairing.ends
    warnings: list[Problem] = []
    errors: list[Problem] = []
    high = _view(row, row.z, spec)
    heights = _fair(high, spec, np.full(len(high.x), allow), ends)
    cells = _cells(row, high, heights, "height")

    # The fore end: the faired heights meet the faired profile line.
    x_typed, z_typed = float(high.x[0]), float(high.y[0])
    near = foot(path, x_typed, z_typed)
    gap = float(np.hypot(path.x(near) - x_typed, path.z(near) - z_typed))
    end_place = _where(
        row.z_places[high.columns[0]], row.x_places[high.columns[0]], otherwise=f"line {row.name}"
    )
    if gap > ASTRAY:
        errors.append(
            Problem(
                end_place,
                f"{row.name} ends {gap:.0f} mm off the profile line, {x_typed:.0f} mm aft and "
                f"{z_typed:.0f} mm up",
                f"every line ends on the rabbet of stem and keel; at this height it stands "
                f"{float(path.x(near)):.0f} mm aft",
            )
        )
    landing = _landing(heights.curve, path, x_typed, float(heights.values[0]))
    x_end, y_end, z_end = (float(v) for v in profile.at(landing))
    if abs(float(heights.curve(x_end)) - z_end) > 1e-6:  # not by its own run: bend it to the nearest point
        tolerance = np.full(len(high.x), allow)
        tolerance[0] = 0.0
        to_end = _View(
            x=np.concatenate([[x_end], high.x[1:]]),
            y=np.concatenate([[z_end], high.y[1:]]),
            columns=high.columns,
            knuckles=high.knuckles,
        )
        heights = _fair(to_end, spec, tolerance, ends)
        cells = _cells(row, high, heights, "height")
    z_curve = heights.curve.starting(x_end)
    cells[0] = _ended(cells[0], x=x_end, faired=z_end)
    moved = float(np.hypot(x_end - x_typed, z_end - z_typed))
    if moved > max(2.5 * allow, 4.0) and not errors:
        warnings.append(
            Problem(
                end_place,
                f"{row.name} meets the faired profile line {moved:.1f} mm from the end that the table gives",
                "check the end's distance aft and its height, and the stem's points near it",
            )
        )

    # Half-breadths from there aft.
    broad = _view(row, row.y, spec)
    at, half = broad.x.copy(), broad.y.copy()
    tolerance = np.full(len(at), allow)
    own_end = abs(at[0] - x_typed) < 1e-9
    if own_end:
        at[0], half[0], tolerance[0] = x_end, y_end, 0.0
    else:
        at, half = np.insert(at, 0, x_end), np.insert(half, 0, y_end)
        tolerance = np.insert(tolerance, 0, 0.0)
    added = 0 if own_end else 1
    full = _View(x=at, y=half, columns=broad.columns, knuckles=tuple(k + added for k in broad.knuckles))
    fore = x_end if not spec.straight and not full.knuckles and blunt(at, half) else None
    if fore is not None:
        by_root = _View(x=np.sqrt(at - fore), y=half, columns=full.columns, knuckles=())
        breadths = _fair(by_root, spec, tolerance, ends)
    else:
        breadths = _fair(full, spec, tolerance, ends)
    shown = Faired(
        curve=breadths.curve,
        values=breadths.values[added:],
        moves=breadths.moves[added:],
        loads=breadths.loads[added:],
    )
    across = _cells(row, broad, shown, "half-breadth")
    if own_end:
        across[0] = _ended(across[0], x=x_end, faired=y_end)
    if spec.straight:
        warnings += _off_straight(row.name, [*cells[1:], *across[added ^ 1 :]], allow)
    position = FairedCell(
        line=row.name, view="position", label=row.labels[high.columns[0]], x=x_end, offset=x_typed,
        faired=x_end, move=x_end - x_typed, load=float("nan"), place=row.x_places[high.columns[0]],
    )  # fmt: skip
    suspects: list[Suspect] = []
    if not spec.straight:
        suspects += suspects_of(
            offsets, row.name, "height", x=high.x, y=high.y, columns=high.columns, allow=allow, ends=ends,
            knuckles=high.knuckles,
        )  # fmt: skip
        suspects += suspects_of(
            offsets, row.name, "half-breadth", x=at if fore is None else np.sqrt(at - fore),
            y=np.concatenate([half[:added], broad.y]), columns=(-1,) * added + broad.columns, allow=allow,
            ends=ends, knuckles=full.knuckles,
        )  # fmt: skip
    return _LineMade(
        line=space_line(
            row.name,
            y=breadths.curve,
            z=z_curve,
            fore=fore,
            knuckles=[float(at[k]) for k in full.knuckles],
        ),
        landing=landing,
        cells=(position, *cells, *across),
        suspects=tuple(suspects),
        warnings=tuple(warnings),
        errors=tuple(errors),
    )


def _ended(cell: FairedCell, *, x: float, faired: float) -> FairedCell:
    """The cell of a line's fore end, which the profile line holds."""
    return FairedCell(
        line=cell.line, view=cell.view, label=cell.label, x=x, offset=cell.offset, faired=faired,
        move=faired - cell.offset, load=float("nan"), place=cell.place,
    )  # fmt: skip


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
        made = _make_line(
            offsets.lines[spec.name], spec, offsets=offsets, profile=profile, path=path, design=design
        )
        lines.append(made.line)
        landings[k] = made.landing
        rows += made.cells
        suspects += made.suspects
        warnings += made.warnings
        errors += made.errors
    profile = profile.extended(min(float(landings.min(initial=0.0)), profile.start))
    errors += _off_transom(offsets, design, [profile, *lines])
    if errors:
        raise DesignError([*errors, *(suspect.problem() for suspect in suspects)])
    return Lines(
        profile=profile,
        lines=tuple(lines),
        rows=tuple(rows),
        suspects=tuple(suspects),
        warnings=tuple(warnings),
    )


def _off_transom(offsets: Offsets, design: Design, lines: Sequence[SpaceLine]) -> list[Problem]:
    """The lines that do not end on the transom's plane."""
    ends = np.array([line.at(line.end) for line in lines])
    x, z = ends[:, 0], ends[:, 2]
    rake = design.stern.rake
    if rake is None:
        if len(lines) < 3:
            return []
        fit = np.polyfit(z, x, 1)
        off = x - np.polyval(fit, z)
    else:
        off = x - z * np.tan(rake)
        off = off - np.median(off)
    problems = []
    for line, away in zip(lines, off, strict=True):
        if abs(away) > ASTRAY:
            row = offsets.lines[line.name]
            problems.append(
                Problem(
                    _where(row.x_places[-1], row.z_places[-1], otherwise=f"line {line.name}"),
                    f"{line.name} ends {abs(away):.0f} mm {'aft' if away > 0 else 'forward'} of the "
                    "transom's plane",
                    "correct its distance aft or its height at the stern, or the transom's rake",
                )
            )
    return problems
