"""Whether the table's lines end where the design says: on the stem's rabbet and on the transom's plane."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from itertools import combinations

import numpy as np

from patterns.design.file import Design
from patterns.errors import Problem
from patterns.hull.curved import hollow, leaning
from patterns.measure import format_length
from patterns.table.end_blame import height_at_fault, height_on, rabbet_at_fault
from patterns.table.line_ends import ends_as_stem, line_ends
from patterns.table.mirror import Seen, turned_design, turned_offsets
from patterns.table.rabbet_points import RabbetPoints, rabbet_points
from patterns.table.sidings import stem_doubts
from patterns.table.values import BOW, STERN, FloatArray, LineOffsets, Offsets, Place, turned_at

__all__ = ["OFF_END", "end_problems", "end_warnings", "rabbet_of"]

OFF_END = 6.35  # mm, a quarter of an inch: an end farther off is a slip, not a rounded figure
OFF_RAKE = 3.175  # mm, an eighth of an inch over the transom's height
MOST_ROUND = 0.9  # of the radius that a curved transom's half-breadth may be; past it the sides turn forward


def rabbet_of(offsets: Offsets, design: Design) -> RabbetPoints | None:
    """The rabbet's points; without a file of the stem's own, the lines' ends.

    None while the keel's heights or the stem's file are not whole: nothing can be said by a part of them.
    """
    keel = offsets.lines.get(design.lines[0].name)
    stem = offsets.stem
    if stem is None and design.bow.profile is None:
        stem = ends_as_stem(offsets, design, BOW)
    if stem is None or keel is None or not _whole_heights(keel, design):
        return None
    knuckles = tuple(turned_at(design.lines[0].knuckles))
    return rabbet_points(stem, keel, knuckles)


def _whole_heights(keel: LineOffsets, design: Design) -> bool:
    """Whether the keel has a height wherever it is expected to have one."""
    known = np.nonzero(np.isfinite(keel.x) & np.isfinite(keel.z))[0]
    last = len(keel.labels) - 1
    if not len(known) or (design.after_end.kind == "transom" and known[-1] != last):
        return False
    stations = range(int(known[0]), last)
    return not np.any(np.isfinite(keel.y) & np.isnan(keel.z)) and all(i in known for i in stations)


def _words(mm: float, offsets: Offsets) -> str:
    return format_length(mm, offsets.notation)


def _height(mm: float, offsets: Offsets, design: Design) -> str:
    """A height as the table itself would give it."""
    down = design.table.heights == "down from set-up line"
    return f"{_words(-mm if down else mm, offsets)} {'down' if down else 'up'}"


def _ends(offsets: Offsets, design: Design, label: str) -> list[tuple[str, LineOffsets, int, Place]]:
    """The lines that have position and height at an end, with the position's cell."""
    found = []
    for spec in design.lines:
        line = offsets.lines.get(spec.name)
        if line is None:
            continue
        i = line.column(label)
        place = line.x_places[i]
        if place is not None and not np.isnan(line.x[i]) and not np.isnan(line.z[i]):
            found.append((spec.name, line, i, place))
    return found


def end_problems(offsets: Offsets, design: Design) -> Iterator[Problem]:
    """Lines that do not end on their stem's rabbet or on their transom's plane, at the bow and at the stern."""
    yield from _both_ends(offsets, design, stem=_stem_problems, transom=_transom_problems)


def end_warnings(offsets: Offsets, design: Design) -> Iterator[Problem]:
    """What is doubtful at a stem."""
    yield from _both_ends(
        offsets, design, stem=_stem_warnings, transom=lambda _offsets, _design, _seen: iter(())
    )


Check = Callable[[Offsets, Design, Seen], Iterator[Problem]]


def _both_ends(offsets: Offsets, design: Design, *, stem: Check, transom: Check) -> Iterator[Problem]:
    """A stem is looked at as at the bow, a transom as at the stern; else the boat is turned for it."""
    turned = turned_offsets(offsets), turned_design(design), Seen(back=True)
    if design.fore_end.kind == "stem":
        yield from stem(offsets, design, Seen())
    else:
        yield from transom(*turned)
    if design.after_end.kind == "transom":
        yield from transom(offsets, design, Seen())
    else:
        yield from stem(*turned)


def _stem_problems(offsets: Offsets, design: Design, seen: Seen) -> Iterator[Problem]:
    """Lines whose bow end is not on the rabbet, and a stem that ends off the boat."""
    rabbet = rabbet_of(offsets, design)
    if rabbet is None:
        return
    keel = design.lines[0].name
    blamed: set[int] = set()
    allowed = OFF_END + design.fairing.allow
    for name, line, i, place in _ends(offsets, design, BOW):
        if name == keel:
            continue
        x, z = float(line.x[i]), float(line.z[i])
        reach = rabbet.reach(x, z)
        if reach.distance > allowed + 0.5 * reach.bulge:
            wanted = height_on(rabbet, x, z)
            if wanted is not None and height_at_fault(line, i, wanted):
                yield _height_off(name, line, i, wanted, offsets, design, seen)
                continue
            wrong = None if offsets.stem is None else rabbet_at_fault(rabbet, x, z, allowed=allowed)
            if wrong is not None:
                if wrong not in blamed:
                    yield _rabbet_off(rabbet, wrong, name, line, i, offsets, design, seen)
                blamed.add(wrong)
                continue
            yield Problem(
                str(place),
                f'the {seen.bow} end of "{name}" ({_words(seen.aft(float(line.x[i])), offsets)} aft, '
                f"{_height(float(line.z[i]), offsets, design)}) lies {_words(reach.distance, offsets)} off "
                f"the {seen.stem}'s rabbet",
                f"the nearest place on it is {_words(seen.aft(reach.near[0]), offsets)} aft, "
                f"{_height(reach.near[1], offsets, design)}",
                code="end-off-stem",
            )
    head, last = rabbet.at[0], rabbet.at[-1]
    if design.bow.foot <= head[0] or design.bow.foot >= last[0]:
        yield Problem(
            f'design.toml, end "{seen.bow}", key foot',
            f"{_words(seen.aft(design.bow.foot), offsets)} aft is not on the profile line",
            f"it runs from {_words(seen.aft(float(head[0])), offsets)} to "
            f"{_words(seen.aft(float(last[0])), offsets)} aft",
            code="foot-off-profile",
        )


def _rabbet_off(
    rabbet: RabbetPoints,
    wrong: int,
    name: str,
    line: LineOffsets,
    i: int,
    offsets: Offsets,
    design: Design,
    seen: Seen,
) -> Problem:
    """A point of the rabbet that a line's end and the points beside it contradict."""
    x, z = (float(v) for v in rabbet.at[wrong])
    return Problem(
        str(rabbet.places[wrong]),
        f"this point of the rabbet ({_words(seen.aft(x), offsets)} aft, {_height(z, offsets, design)}) disagrees "
        f'with the points beside it and with the {seen.bow} end of "{name}"',
        f"compare it with the plan: the rabbet passes {_words(seen.aft(float(line.x[i])), offsets)} aft, "
        f"{_height(float(line.z[i]), offsets, design)}, where that line ends",
        code="rabbet-point-off",
    )


def _stem_warnings(offsets: Offsets, design: Design, seen: Seen) -> Iterator[Problem]:
    """A stem without a profile, and half-breadths at the stem that are not half its siding."""
    yield from stem_doubts(offsets, design, seen)
    rabbet = rabbet_of(offsets, design)
    if rabbet is not None and offsets.stem is None:
        yield _no_profile(rabbet, offsets, design, seen)


def _no_profile(rabbet: RabbetPoints, offsets: Offsets, design: Design, seen: Seen) -> Problem:
    """What it costs that the stem has no profile: how few points its rabbet has, and the gap that leaves most open.

    A gap leaves open about its length times the angle by which the straight pieces turn at its two ends.
    """
    step = np.diff(rabbet.at, axis=0)
    length = np.hypot(*step.T)
    turns = np.abs(np.diff(np.unwrap(np.arctan2(step[:, 1], step[:, 0]))))
    turn = np.concatenate([[0.0], turns, [0.0]])
    widest = int(np.argmax(length * (turn[:-1] + turn[1:])))
    ends = [
        f"{_words(seen.aft(float(x)), offsets)} aft, {_height(float(z), offsets, design)}"
        for x, z in rabbet.at[widest : widest + 2]
    ]
    count = len(line_ends(offsets, design, BOW))
    return Problem(
        f'design.toml, end "{seen.bow}", key profile',
        f"no profile is given: above the keel's first height the rabbet has {count} "
        f"{'point' if count == 1 else 'points'}, the ends of the lines, and between ({ends[0]}) and ({ends[1]}) "
        f"it has none for {_words(float(length[widest]), offsets)}",
        "measure more points of the rabbet there on the plan, and name their file with profile",
        code="no-stem-profile",
    )


def _transom_problems(offsets: Offsets, design: Design, seen: Seen) -> Iterator[Problem]:
    """Lines whose stern end is not on the transom's plane, and a rake that the table does not have."""
    ends = _ends(offsets, design, STERN)
    if len(ends) < 2:
        return
    typed = np.array([float(line.x[i]) for _, line, i, _ in ends])
    z = np.array([float(line.z[i]) for _, line, i, _ in ends])
    y = np.nan_to_num(np.array([float(line.y[i]) for _, line, i, _ in ends]))
    radius, given = design.stern.radius, design.stern.rake
    if radius is not None and float(y.max()) >= MOST_ROUND * radius:
        yield Problem(
            f'design.toml, end "{seen.stern}", key radius',
            f"{radius:.0f} mm is too small for a {seen.transom} {2.0 * float(y.max()):.0f} mm wide",
            f"write more than {float(y.max()) / MOST_ROUND:.0f} mm",
            code="transom-radius-small",
        )
        return
    # What follows looks at the plane that touches the curve on the centreline: the ends are brought out to it.
    behind = hollow(y, radius)
    behind = behind / math.cos(given if given is not None else leaning(typed, z, behind))
    x = typed + behind
    allowed = OFF_END + design.fairing.allow
    flat = float(np.ptp(z)) > 1.0
    slope, start = np.polyfit(z, x, 1) if flat else (0.0, float(x.mean()))
    fitted = math.atan(float(slope))
    left = float(np.abs(x - start - slope * z).max())
    one_plane = left * math.cos(fitted) <= allowed
    if given is not None:
        apart = float(np.ptp(z)) * abs(math.tan(given) - math.tan(fitted)) * math.cos(given)
        at_zero = x - z * math.tan(given)
        another = apart > OFF_RAKE + design.fairing.allow and left <= _spread_without_one(at_zero)
        if one_plane and flat and another:  # else one end by itself explains it better than another rake
            low, high = int(z.argmin()), int(z.argmax())
            yield Problem(
                f'design.toml, end "{seen.stern}", key rake',
                f"the rake is {math.degrees(given):.1f} deg, but the {seen.stern} ends in {offsets.file} lie on a "
                f"{seen.transom} raked {math.degrees(fitted):.1f} deg "
                f'("{ends[low][0]}" {_words(seen.aft(float(typed[low])), offsets)} aft, '
                f'"{ends[high][0]}" {_words(seen.aft(float(typed[high])), offsets)} aft)',
                'correct one of them, or write "from the table"',
                code="transom-rake-differs",
            )
            return
        wanted = float(np.median(at_zero)) + z * math.tan(given)
        for end, here, there in zip(ends, typed, wanted - behind, strict=True):
            if abs(here - there) * math.cos(given) > allowed:
                slope = math.tan(given) if radius is None else 0.0
                yield _off_plane(end, float(here), float(there), slope, offsets, design, seen)
        return
    if one_plane:
        return
    # The one end without which all others lie on one plane is the culprit; of three ends any might be.
    for (i, end), rest in zip(
        reversed(list(enumerate(ends))), combinations(range(len(ends)), len(ends) - 1), strict=True
    ):
        if len(rest) < 3:
            break
        others = list(rest)
        line = np.polyfit(z[others], x[others], 1)
        if np.all(np.abs(np.polyval(line, z[others]) - x[others]) <= allowed):
            there = float(np.polyval(line, z[i]) - behind[i])
            slope = float(line[0]) if radius is None else 0.0
            yield _off_plane(end, float(typed[i]), there, slope, offsets, design, seen)
            return
    stand = ", ".join(
        f'"{end[0]}" {_words(seen.aft(float(at)), offsets)}' for end, at in zip(ends, typed, strict=True)
    )
    yield Problem(
        offsets.file,
        f"the lines' {seen.stern} ends do not lie on one {'plane' if radius is None else 'curve'}: {stand} aft",
        f'correct the positions at the {seen.stern}, or give the rake in design.toml, e.g. "12 deg"',
        code="ends-not-on-transom",
    )


def _height_off(
    name: str, line: LineOffsets, i: int, wanted: float, offsets: Offsets, design: Design, seen: Seen
) -> Problem:
    """The height of a line's end that the line's own run and its stem or transom contradict."""
    at_bow = line.labels[i] == BOW
    where, face = (seen.bow, "rabbet") if at_bow else (seen.stern, seen.transom)
    return Problem(
        str(line.z_places[i]) if line.z_places[i] else offsets.file,
        f'the height of "{name}" at the {where}, {_height(float(line.z[i]), offsets, design)}, disagrees with its '
        f"own run and with the {face}",
        f"compare it with the plan: where the line ends, the {face} is about {_height(wanted, offsets, design)}",
        code="end-height-off",
    )


def _spread_without_one(at: FloatArray) -> float:
    """Half of how far apart values are without the one that is farthest off; infinite for fewer than three."""
    if len(at) < 3:
        return math.inf
    rest = np.delete(at, int(np.abs(at - np.median(at)).argmax()))
    return 0.5 * float(np.ptp(rest))


def _off_plane(
    end: tuple[str, LineOffsets, int, Place],
    here: float,
    there: float,
    slope: float,
    offsets: Offsets,
    design: Design,
    seen: Seen,
) -> Problem:
    """An end that is off the transom; at its height, where the line's own run shows that this is the wrong figure.

    Args:
        here, there: its distance aft, and the transom's at its height, mm.
        slope: how much farther aft the transom's plane is by mm up; 0 where it is curved.
    """
    name, line, i, place = end
    if slope:
        wanted = float(line.z[i]) + (here - there) / slope
        if height_at_fault(line, i, wanted):
            return _height_off(name, line, i, wanted, offsets, design, seen)
    return Problem(
        str(place),
        f'the {seen.stern} end of "{name}" is {_words(seen.aft(here), offsets)} aft, off the {seen.transom}',
        f"the {seen.transom} through the other ends is {_words(seen.aft(there), offsets)} aft at its height",
        code="end-off-transom",
    )
