"""Whether the table's lines end where the design says: on the stem's rabbet and on the transom's plane."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np

from patterns.design.file import Design
from patterns.errors import Problem
from patterns.table.end_blame import height_at_fault, height_on, rabbet_at_fault
from patterns.table.line_ends import ends_as_stem, line_ends
from patterns.table.mirror import Seen, turned_design, turned_offsets
from patterns.table.rabbet_points import RabbetPoints, rabbet_points
from patterns.table.sidings import stem_doubts
from patterns.table.transom_checks import OFF_END, transom_problems
from patterns.table.typed_ends import TypedEnd, height_off, height_words, length_words, line_ends_at
from patterns.table.values import BOW, LineOffsets, Offsets, turned_at

__all__ = ["end_problems", "end_warnings", "rabbet_of"]


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


def end_problems(offsets: Offsets, design: Design) -> Iterator[Problem]:
    """Lines that do not end on their stem's rabbet or on their transom's plane, at the bow and at the stern."""
    yield from _both_ends(offsets, design, stem=_stem_problems, transom=transom_problems)


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
    for end in line_ends_at(offsets, design, BOW):
        if end.name == keel:
            continue
        x, z = float(end.at[0]), float(end.at[2])
        reach = rabbet.reach(x, z)
        if reach.distance > allowed + 0.5 * reach.bulge:
            wanted = height_on(rabbet, x, z)
            if wanted is not None and height_at_fault(end.line, end.column, wanted):
                yield height_off(end, wanted, offsets, design, seen)
                continue
            wrong = None if offsets.stem is None else rabbet_at_fault(rabbet, x, z, allowed=allowed)
            if wrong is not None:
                if wrong not in blamed:
                    yield _rabbet_off(rabbet, wrong, end, offsets, design, seen)
                blamed.add(wrong)
                continue
            yield Problem(
                str(end.place),
                f'the {seen.bow} end of "{end.name}" ({length_words(seen.aft(x), offsets)} aft, '
                f"{height_words(z, offsets, design)}) lies {length_words(reach.distance, offsets)} off "
                f"the {seen.stem}'s rabbet",
                f"the nearest place on it is {length_words(seen.aft(reach.near[0]), offsets)} aft, "
                f"{height_words(reach.near[1], offsets, design)}",
                code="end-off-stem",
            )
    head, last = rabbet.at[0], rabbet.at[-1]
    if design.bow.foot <= head[0] or design.bow.foot >= last[0]:
        yield Problem(
            f'design.toml, end "{seen.bow}", key foot',
            f"{length_words(seen.aft(design.bow.foot), offsets)} aft is not on the profile line",
            f"it runs from {length_words(seen.aft(float(head[0])), offsets)} to "
            f"{length_words(seen.aft(float(last[0])), offsets)} aft",
            code="foot-off-profile",
        )


def _rabbet_off(
    rabbet: RabbetPoints, wrong: int, end: TypedEnd, offsets: Offsets, design: Design, seen: Seen
) -> Problem:
    """A point of the rabbet that a line's end and the points beside it contradict."""
    x, z = (float(v) for v in rabbet.at[wrong])
    return Problem(
        str(rabbet.places[wrong]),
        f"this point of the rabbet ({length_words(seen.aft(x), offsets)} aft, {height_words(z, offsets, design)}) "
        f'disagrees with the points beside it and with the {seen.bow} end of "{end.name}"',
        f"compare it with the plan: the rabbet passes {length_words(seen.aft(float(end.at[0])), offsets)} aft, "
        f"{height_words(float(end.at[2]), offsets, design)}, where that line ends",
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
        f"{length_words(seen.aft(float(x)), offsets)} aft, {height_words(float(z), offsets, design)}"
        for x, z in rabbet.at[widest : widest + 2]
    ]
    count = len(line_ends(offsets, design, BOW))
    return Problem(
        f'design.toml, end "{seen.bow}", key profile',
        f"no profile is given: above the keel's first height the rabbet has {count} "
        f"{'point' if count == 1 else 'points'}, the ends of the lines, and between ({ends[0]}) and ({ends[1]}) "
        f"it has none for {length_words(float(length[widest]), offsets)}",
        "measure more points of the rabbet there on the plan, and name their file with profile",
        code="no-stem-profile",
    )
