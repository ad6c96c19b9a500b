"""What the table of offsets and the design must agree on; nothing here needs the lines faired."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

import numpy as np

from patterns.design.deck_models import beside_frame
from patterns.design.file import DESIGN_FILE, Design
from patterns.design.models import LineSpec
from patterns.design.plausible import pieces_of, size_doubts
from patterns.design.refs import places_in
from patterns.design.stock_doubts import stock_doubts
from patterns.errors import Problem
from patterns.measure import format_length, parse_length
from patterns.measure.along import station_named
from patterns.measure.nearest import nearest, written
from patterns.table.deck_places import deck_place_problems
from patterns.table.end_checks import end_problems, end_warnings
from patterns.table.exchanged import at_fault, order_problems
from patterns.table.level_bottom import level_bottom_problems
from patterns.table.levels import level_names, level_problems, level_warnings
from patterns.table.plausible import boat_length, greatest_breadth, proportion_doubts
from patterns.table.sidings import siding_doubts
from patterns.table.sizes import size_problems
from patterns.table.stands import stand_doubts, stand_problems
from patterns.table.values import BOW, STERN, LineOffsets, Offsets, Place

__all__ = ["table_problems", "table_warnings"]

LEAST_POINTS = 4


def table_problems(
    offsets: Offsets, design: Design, *, unread: Collection[Place] = frozenset()
) -> list[Problem]:
    """Everything in which the table and the design disagree.

    Args:
        unread: cells whose own trouble has been told already; they are not told as missing.
    """
    stems = _stems(design)
    known = [(spec, offsets.lines[spec.name]) for spec in design.lines if spec.name in offsets.lines]
    found = [*_absent(offsets, design)]
    free = [name for name in offsets.lines if name not in {spec.name for spec in design.lines}]
    for spec, line in known:
        keel = spec is design.lines[0]
        found += _rows(line, offsets, free)
        empty = list(_empty_rows(line, unread))
        found += empty
        if empty:  # what follows from a row that is not typed yet is not worth naming cell by cell
            found += _gaps(line, unread)
            continue
        found += _pairs(line, unread)
        found += _missing(line, spec, offsets, unread, own=stems if keel else ())
        found += _beyond(line, offsets)
        found += _too_few(line, spec, offsets, unread)
    found += level_bottom_problems(offsets, design)
    found += _within_keel(offsets, design)
    order, offsets = order_problems(offsets, design)
    found += order
    found += _stations(offsets, design)
    found += size_problems(offsets, design)
    found += stand_problems(offsets, design)
    found += deck_place_problems(offsets, design)
    found += end_problems(offsets, design)
    found += level_problems(offsets, design, unread=unread)
    return found


def table_warnings(offsets: Offsets, design: Design) -> list[Problem]:
    """What is doubtful in table and design, but not wrong."""
    used = {spec.name for spec in design.lines} | level_names(design)
    unused = [
        Problem(
            _where(line, offsets),
            f'no line of the design is called "{name}"',
            "its rows are not used",
            code="unused-rows",
        )
        for name, line in (*offsets.lines.items(), *offsets.diagonals.items())
        if name not in used
    ]
    length, breadth = boat_length(offsets, design), greatest_breadth(offsets, design)
    return [
        *unused,
        *proportion_doubts(offsets, design),
        *siding_doubts(offsets, design),
        *level_warnings(offsets, design),
        *end_warnings(offsets, design),
        *stand_doubts(offsets, design),
        *size_doubts(design, length=length, breadth=breadth),
        *stock_doubts(design),
    ]


def _stems(design: Design) -> tuple[str, ...]:
    """The ends at which a stem stands."""
    ends = (BOW, design.fore_end), (STERN, design.after_end)
    return tuple(label for label, end in ends if end.kind == "stem")


def _where(line: LineOffsets, offsets: Offsets) -> str:
    """The file and the row of a line's heights, or of its half-breadths."""
    place = line.z_places[0] or line.y_places[0]
    return offsets.file if place is None else f"{place.file}, row {place.row}"


def _absent(offsets: Offsets, design: Design) -> Iterator[Problem]:
    """Lines of the design that the table has not."""
    free = [name for name in offsets.lines if name not in {spec.name for spec in design.lines}]
    for spec in design.lines:
        if spec.name not in offsets.lines:
            guess = nearest(spec.name, free) or f"its lines are {written(offsets.lines)}"
            yield Problem(
                f'design.toml, line "{spec.name}"',
                f"{offsets.file} has no rows of this line",
                guess,
                code="missing-row",
            )


def _rows(line: LineOffsets, offsets: Offsets, free: Sequence[str]) -> Iterator[Problem]:
    for block, places in (("height", line.z_places), ("half-breadth", line.y_places)):
        if places[0] is None:
            strange = ", ".join(f'"{name}" ({_where(offsets.lines[name], offsets)})' for name in free)
            guess = f"; or does the row of {strange} belong to it?" if strange else ""
            yield Problem(
                offsets.file,
                f'"{line.name}" has no row "{block}"',
                f"add a row {block},{line.name},...{guess}",
                code="missing-row",
            )


def _empty_rows(line: LineOffsets, unread: Collection[Place]) -> Iterator[Problem]:
    """Rows of the form that nothing has been typed into yet."""
    for block, places, values in (
        ("heights", line.z_places, line.z),
        ("half-breadths", line.y_places, line.y),
    ):
        first = places[0]
        if first is not None and np.isnan(values).all() and not any(place in unread for place in places):
            yield Problem(
                f"{first.file}, row {first.row}",
                f'the {block} of "{line.name}" are missing',
                "type this row from the plan",
                code="missing-cells",
            )


def _gaps(line: LineOffsets, unread: Collection[Place]) -> Iterator[Problem]:
    """Blank cells between typed ones in the one row of a line that has been typed."""
    for places, values, block in (
        (line.z_places, line.z, "height"),
        (line.y_places, line.y, "half-breadth"),
    ):
        for i in _expected(line) if not np.isnan(values).all() else ():
            place = places[i]
            if np.isnan(values[i]) and place is not None and place not in unread:
                yield _runs_on(line, place, block)


def _runs_on(line: LineOffsets, place: Place, block: str) -> Problem:
    return Problem(
        str(place),
        f'the {block} of "{line.name}" is missing: the line runs on beyond this station',
        "a line is given at every station between its ends",
        code="missing-cell",
    )


def _pairs(line: LineOffsets, unread: Collection[Place]) -> Iterator[Problem]:
    """A height without a half-breadth, or a half-breadth without a height."""
    if line.z_places[0] is None or line.y_places[0] is None:
        return
    for i in range(len(line.labels)):
        for here, there, has, lacks in (
            (line.z[i], line.y[i], "height", "half-breadth"),
            (line.y[i], line.z[i], "half-breadth", "height"),
        ):
            place = (line.y_places if lacks == "half-breadth" else line.z_places)[i]
            if not np.isnan(here) and np.isnan(there) and place not in unread:
                yield Problem(
                    str(place),
                    f'"{line.name}" has a {has} here and no {lacks}',
                    "give both or neither",
                    code="missing-cell",
                )


def _missing(
    line: LineOffsets, spec: LineSpec, offsets: Offsets, unread: Collection[Place], *, own: Collection[str]
) -> Iterator[Problem]:
    """Ends without position or offsets, and gaps between filled stations.

    Args:
        own: the ends where a stem's own points go on from the keel.
    """
    for label in (BOW, STERN):
        i = line.column(label)
        if label in own:
            continue
        place, value = line.x_places[i], line.x[i]
        if np.isnan(value) and place not in unread:
            yield Problem(
                _where(line, offsets) if place is None else str(place),
                f'"{line.name}" has no position at the {label}',
                f"give the distance aft of its end in a row position,{line.name},...",
                code="missing-cell",
            )
        for places, values, block in (
            (line.z_places, line.z, "height"),
            (line.y_places, line.y, "half-breadth"),
        ):
            lacking = np.isnan(line.z[i]) and np.isnan(line.y[i])  # else it is told as a pair
            if lacking and places[i] is not None and places[i] not in unread and np.isnan(values[i]):
                yield Problem(
                    str(places[i]),
                    f'"{line.name}" has no {block} at the {label}',
                    "every line needs its end",
                    code="missing-cell",
                )
    if spec.straight:
        return
    for i in _expected(line):
        for places, block in ((line.z_places, "height"), (line.y_places, "half-breadth")):
            place = places[i]
            empty = np.isnan(line.z[i]) and np.isnan(line.y[i])
            other = (line.y_places if block == "height" else line.z_places)[i]
            if empty and place is not None and place not in unread and other not in unread:
                yield _runs_on(line, place, block)


def _expected(line: LineOffsets) -> list[int]:
    """The columns of stations that the line crosses: those between its ends, or between filled ones."""
    filled = np.nonzero(~(np.isnan(line.z) & np.isnan(line.y)))[0]
    if len(filled) == 0:
        return []
    first, last = int(filled[0]), int(filled[-1])
    low, high = line.x[first], line.x[last]
    return [
        i
        for i in range(first + 1, last)
        if line.labels[i] not in (BOW, STERN)
        and not np.isnan(line.x[i])  # a station whose place cannot be read is told as that alone
        and not line.x[i] <= low
        and not line.x[i] >= high
    ]


def _beyond(line: LineOffsets, offsets: Offsets) -> Iterator[Problem]:
    """Offsets at stations that lie beyond the line's own ends."""
    bow, stern = line.x[line.column(BOW)], line.x[line.column(STERN)]
    for i, label in enumerate(line.labels):
        place = line.z_places[i]
        if label in (BOW, STERN) or np.isnan(line.z[i]) or np.isnan(line.x[i]) or place is None:
            continue
        for end, outside, way in (
            (bow, line.x[i] <= bow, "forward"),
            (stern, line.x[i] >= stern, "aft"),
        ):
            if outside:
                name = BOW if way == "forward" else STERN
                yield Problem(
                    str(place),
                    f'"{line.name}" has a height here, but station {label} '
                    f"({format_length(float(line.x[i]), offsets.notation)}) lies {way} of the line's end "
                    f"at the {name} ({format_length(float(end), offsets.notation)})",
                    "correct the end's position, or leave the cell empty",
                    code="height-beyond-end",
                )


def _too_few(
    line: LineOffsets, spec: LineSpec, offsets: Offsets, unread: Collection[Place]
) -> Iterator[Problem]:
    if line.z_places[0] is None or line.y_places[0] is None:
        return
    trouble = sum(
        any(place in unread for place in places)
        for places in zip(line.x_places, line.y_places, line.z_places, strict=True)
    )
    count = int(line.complete.sum()) + trouble
    least = 2 if spec.straight else LEAST_POINTS
    if count < least:
        yield Problem(
            _where(line, offsets),
            f'"{line.name}" has {count} {"point" if count == 1 else "points"}, fewer than {least}',
            "give more points"
            if spec.straight
            else "give more points, or write straight = true in its [[line]]",
            code="missing-cells",
        )


def _within_keel(offsets: Offsets, design: Design) -> Iterator[Problem]:
    """A line that is no farther out than the keel, but for its end at a stem; or a keel that is too far out."""
    keel = offsets.lines.get(design.lines[0].name)
    if keel is None:
        return
    blamed: set[int] = set()
    for spec in design.lines[1:]:
        line = offsets.lines.get(spec.name)
        if line is None:
            continue
        for i, label in enumerate(line.labels):
            if label in _stems(design) or not line.y[i] <= keel.y[i] or i in blamed:
                continue
            out, within = (format_length(float(row.y[i]), offsets.notation) for row in (line, keel))
            wanted = at_fault(keel, keel.y, line, line.y, i)
            if wanted is not None:
                blamed.add(i)
                yield Problem(
                    str(keel.y_places[i]),
                    f'"{keel.name}" is {within} out, and "{spec.name}" no farther ({out})',
                    "correct this half-breadth: its neighbours in the row want about "
                    f"{format_length(wanted, offsets.notation)}",
                    code="keel-beyond-line",
                )
                continue
            yield Problem(
                str(line.y_places[i]),
                f'"{spec.name}" is {out} out, no farther than "{keel.name}" ({within})',
                "away from the stem every line lies outboard of the keel",
                code="line-within-keel",
            )


def _stations(offsets: Offsets, design: Design) -> Iterator[Problem]:
    """Stations that the design speaks of and the table has not."""
    for spec in design.lines:
        for knuckle in spec.knuckles:
            where = f'design.toml, line "{spec.name}", key knuckles'
            named = station_named(knuckle)
            if named not in offsets.stations:
                yield _no_station(where, named or knuckle, offsets)
                continue
            line = offsets.lines.get(spec.name)
            if line is not None and np.isnan(line.z[line.column(named)]):
                yield Problem(
                    where,
                    f'"{spec.name}" does not cross {knuckle}',
                    "name a station where it has offsets",
                    code="knuckle-off-line",
                )
    ends = [
        float(line.x[line.column(label)])
        for line in offsets.lines.values()
        for label in (BOW, STERN)
        if line.name in {spec.name for spec in design.lines} and not np.isnan(line.x[line.column(label)])
    ]
    # Until every line above the keel has both its ends her length is not known.
    above = [offsets.lines.get(spec.name) for spec in design.lines[1:]]
    all_known = all(
        line is not None and np.isfinite([line.x[line.column(label)] for label in (BOW, STERN)]).all()
        for line in above
    )
    for called, _, piece in pieces_of(design):
        for key, at in places_in(piece):
            where = f"{DESIGN_FILE}, {called}, key {key}"
            station = station_named(at)
            if station is not None:
                if station not in offsets.stations:
                    yield _no_station(where, station, offsets)
                continue
            if not ends or not all_known or key != "at" or beside_frame(at) is not None:
                continue
            if not min(ends) < parse_length(at) < max(ends):
                low, high = (format_length(end, offsets.notation) for end in (min(ends), max(ends)))
                yield Problem(
                    where, f"{at} aft is off the boat", f"she runs from {low} to {high}", code="off-boat"
                )


def _no_station(where: str, name: str, offsets: Offsets) -> Problem:
    """A station that the design names and the table has not; where it alone is left out the table is at fault."""
    if name.isdecimal() and {str(int(name) - 1), str(int(name) + 1)} <= set(offsets.stations):
        return Problem(
            f"{offsets.file}, the row of headings",
            f"between the stations {int(name) - 1} and {int(name) + 1} there is no {name}, and {where} names it",
            "put its column back, with its offsets; or name another station there",
            code="station-column-missing",
        )
    return Problem(
        where,
        f"the table has no station {name}",
        f"its stations are {', '.join(offsets.stations)}",
        code="unknown-name",
    )
