"""The lines of a half-typed table as plates: whatever is known of profile, plan and body plan."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from patterns.draft import Draft
from patterns.fairing.cells import FairedCell
from patterns.hull.planes import FloatArray
from patterns.measure import format_length
from patterns.picture.lines import BROAD, CAPITAL, LONG, Marked, marks, plate_of, scaled
from patterns.picture.markup import joined, tag
from patterns.picture.plates import PicturePlate, PicturePoint, drawn
from patterns.picture.sections import PagePart, part_of, suspects_part
from patterns.shop.views import CENTRE, GRID, LINE, PITCH, SECTION, spread
from patterns.table.levels import levels_of
from patterns.table.values import BOW, STERN, LineOffsets, Offsets
from tiling.drawing import XY, Drawing, Note, Path

__all__ = ["draft_parts", "draft_plates"]

VIEWS = (("profile", "Profile", "height"), ("plan", "Plan", "half-breadth"))
PAST = 4.0  # units by which the base line and the centreline run past the lines


def draft_parts(draft: Draft) -> tuple[PagePart, ...]:
    """The lines that are known so far, and the offsets that the batten doubts."""
    plates = draft_plates(draft)
    words = (
        "The lines that are typed so far. Dots are the offsets as typed. A ring with a number is a suspect; a "
        "cross is where the batten wants it. A line is drawn from its fourth offset on."
        if plates
        else "Nothing can be drawn yet. Type the stations' positions and four offsets of one line."
    )
    views = [joined(tag("h3", plate.title), drawn(plate)) for plate in plates]
    lines = part_of("lines", "Lines", tag("h2", "Lines"), tag("p", words), *views)
    if draft.lines is None or not draft.lines.runs:
        return (lines,)
    return lines, suspects_part(draft.lines.suspects)


def draft_plates(draft: Draft) -> tuple[PicturePlate, ...]:
    """Profile, plan and body plan, each where something of it is known."""
    if draft.offsets is None or draft.design is None or draft.lines is None:
        return ()
    length = _extent(draft.offsets)
    if length is None:
        return ()
    scale = LONG / length
    seen = Marked(
        offsets=draft.offsets, design=draft.design, rows=draft.lines.rows, suspects=draft.lines.suspects,
        widest=_widest(draft),
    )  # fmt: skip
    places: dict[str, list[PicturePoint]] = {"profile": [], "plan": [], "body": []}
    for view, point in (*marks(seen), *_unfaired(draft, draft.offsets)):
        places[view].append(point)
    plates = []
    for key, title, view in VIEWS:
        drawing = _drawing(draft, draft.offsets, view, scale)
        if places[key] or drawing.paths:
            plates.append(plate_of(key, title, drawing, [scaled(point, scale) for point in places[key]]))
    body = _body(draft, draft.offsets, seen.widest)
    if body is not None:
        drawing, own = body
        plates.append(
            plate_of("body", "Body plan", drawing, [scaled(point, own) for point in places["body"]])
        )
    return tuple(plates)


def _extent(offsets: Offsets) -> float | None:
    """The length over all places that have an offset, mm; None where fewer than two are known."""
    every = [
        x
        for line in (*offsets.lines.values(), *offsets.diagonals.values())
        for x in line.x[np.isfinite(line.x) & (np.isfinite(line.y) | np.isfinite(line.z))].tolist()
    ]
    every += [x for stem in (offsets.stem, offsets.sternpost) if stem is not None for x in stem.x.tolist()]
    length = float(np.ptp(every)) if every else 0.0
    return length if length > 0.0 else None


def _widest(draft: Draft) -> float:
    """Where the greatest half-breadth known so far is, mm aft."""
    assert draft.lines is not None
    cells = [row for row in draft.lines.rows if row.view == "half-breadth"]
    return max(cells, key=lambda row: row.faired).x if cells else 0.0


def _drawing(draft: Draft, offsets: Offsets, view: str, scale: float) -> Drawing:
    """The runs of one view over the stations and the base line, or the centreline."""
    assert draft.lines is not None
    runs = [(run.line, scale * run.points) for run in draft.lines.runs if run.view == view]
    paths = [Path(points=points, stroke=LINE) for _, points in runs]
    stations = [
        (name, scale * x)
        for name, x in zip(offsets.stations, offsets.station_x.tolist(), strict=True)
        if np.isfinite(x)
    ]
    every = [points for _, points in runs] + [scale * point for point in _typed(offsets, view)]
    if not every:
        return Drawing(paths=())
    (left, low), (right, high) = np.vstack(every).min(axis=0), np.vstack(every).max(axis=0)
    bottom = min(0.0, float(low))
    ends = np.array([[left - PAST, 0.0], [right + PAST, 0.0]])
    paths.append(Path(points=ends, stroke=GRID if view == "height" else CENTRE))
    paths += [Path(points=np.array([[x, bottom], [x, high]]), stroke=GRID) for _, x in stations]
    notes = [Note(text=name, target=(x, bottom), towards=(0.0, -1.0), height=CAPITAL) for name, x in stations]
    at = spread([float(points[-1, 1]) for _, points in runs], PITCH * CAPITAL)
    notes += [
        Note(text=name, target=(float(right) + PAST, y), towards=(1.0, 0.0), height=CAPITAL)
        for (name, _), y in zip(runs, at, strict=True)
    ]
    return Drawing(paths=tuple(paths), notes=tuple(notes))


def _typed(offsets: Offsets, view: str) -> Iterator[FloatArray]:
    """Every typed place of one view, (n, 2) each, mm."""
    for line in offsets.lines.values():
        values = line.z if view == "height" else line.y
        known = np.isfinite(line.x) & np.isfinite(values)
        if known.any():
            yield np.stack([line.x[known], values[known]], axis=1)
    for stem in (offsets.stem, offsets.sternpost):
        if view == "height" and stem is not None:
            yield np.stack([stem.x, stem.z], axis=1)


def _unfaired(draft: Draft, offsets: Offsets) -> Iterator[tuple[str, PicturePoint]]:
    """The offsets of lines that are not faired yet."""
    assert draft.lines is not None
    faired = {(row.line, row.view, row.label) for row in draft.lines.rows}
    for line in offsets.lines.values():
        for key, _, view in VIEWS:
            values, cells = (line.z, line.z_places) if view == "height" else (line.y, line.y_places)
            for label, x, value, cell in zip(
                line.labels, line.x.tolist(), values.tolist(), cells, strict=True
            ):
                if np.isfinite(x) and np.isfinite(value) and (line.name, view, label) not in faired:
                    where = label if label in (BOW, STERN) else f"station {label}"
                    typed = format_length(value, offsets.notation)
                    words = f"{line.name}, {view} at {where}: typed {typed}, not faired yet"
                    yield key, PicturePoint(at=(x, value), words=words, sign="offset", cell=cell)
    for name, stem in (("stem", offsets.stem), ("sternpost", offsets.sternpost)):
        known = zip(stem.x, stem.z, stem.places, strict=True) if stem is not None else ()
        for i, (x, z, cell) in enumerate(known, start=1):
            if not any(row.view == name and row.label == str(i) for row in draft.lines.rows):
                words = f"{name}, point {i}: not faired yet"
                yield "profile", PicturePoint(at=(float(x), float(z)), words=words, sign="offset", cell=cell)


def _body(draft: Draft, offsets: Offsets, widest: float) -> tuple[Drawing, float] | None:
    """The sections as far as both views are known at a station, and the scale; None where there is none."""
    sections = [
        (label, 1.0 if x <= widest else -1.0, points)
        for label, x in zip(offsets.stations, offsets.station_x.tolist(), strict=True)
        if np.isfinite(x)
        for points in _section(draft, offsets, label, x)
    ]
    if not sections:
        return None
    every = np.vstack([points for _, _, points in sections])
    scale = BROAD / max(2.0 * float(every[:, 0].max()), 1.0)
    paths = [Path(points=scale * points * [side, 1.0], stroke=SECTION) for _, side, points in sections]
    low, high = scale * float(every[:, 1].min()), scale * float(every[:, 1].max())
    paths.append(
        Path(points=np.array([[0.0, min(0.0, low) - PAST], [0.0, high + 2.5 * CAPITAL]]), stroke=CENTRE)
    )
    notes = []
    for way in (1.0, -1.0):
        tops: list[tuple[str, XY]] = [
            (label, (way * scale * float(points[-1, 0]), scale * float(points[-1, 1])))
            for label, side, points in sections
            if side == way
        ]
        at = spread([top[0] for _, top in tops], 1.2 * PITCH * CAPITAL)
        for (label, top), x in zip(tops, at, strict=True):
            target = (x, top[1] + 0.5 * CAPITAL)
            notes.append(Note(text=label, target=target, towards=(0.0, 1.0), height=CAPITAL))
    return Drawing(paths=tuple(paths), notes=tuple(notes)), scale


def _section(draft: Draft, offsets: Offsets, label: str, x: float) -> list[FloatArray]:
    """The points of one section that are known, from the keel up, (n, 2) each, mm, half-breadth and height.

    A line that crosses the station and is not known there parts the section in two.
    """
    assert draft.lines is not None
    assert draft.design is not None
    here: dict[tuple[str, str], FairedCell] = {
        (row.line, row.view): row for row in draft.lines.rows if row.label == label
    }
    runs: list[list[tuple[float, float]]] = [[]]
    for spec in draft.design.lines:
        across, high = here.get((spec.name, "half-breadth")), here.get((spec.name, "height"))
        if across is not None and high is not None:
            runs[-1].append((across.faired, high.faired))
        elif _crosses(offsets.lines.get(spec.name), x):
            runs.append([])
    levels = []
    for level in levels_of(offsets, draft.design):
        row = here.get((level.name, level.view))
        if row is not None:
            y, z = level.start + row.faired * level.along
            levels.append((float(y), float(z)))
    if levels:  # going out and up along a round section both together only grow
        runs = [sorted([*(point for run in runs for point in run), *levels], key=lambda point: sum(point))]
    return [np.array(run) for run in runs if len(run) > 1]


def _crosses(line: LineOffsets | None, x: float) -> bool:
    """Whether a line may cross a station: none of its ends says that it does not."""
    if line is None:
        return True
    return not (line.x[line.column(BOW)] > x or line.x[line.column(STERN)] < x)
