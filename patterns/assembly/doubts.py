"""What is doubtful about the made pieces: what cannot be put together, or what little wood would be left of."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from patterns.assembly.intended import known_meetings, off_their_wholes, unheld
from patterns.assembly.joined import LooseFrame, loose_frames, meetings_there
from patterns.assembly.overlaps import Overlap, overlaps
from patterns.assembly.planing import planings_of
from patterns.assembly.slabs import NEAR, Slab, slabs_of
from patterns.assembly.wood_left import least_wood
from patterns.boat import Boat
from patterns.codes.assembly import OF_PIECES
from patterns.design.confirmed import needless, unconfirmed
from patterns.design.parts import DESIGN_FILE
from patterns.errors import PatternsError, Problem
from patterns.pattern import Pattern
from patterns.timbers.measured import measured
from patterns.timbers.run import Run
from patterns.wood.meeting import Mate, Meeting, OneOf

__all__ = ["piece_doubts"]

JUMP = np.radians(8.0)  # between two neighbouring places of an edge; common practice, no source
STEEP = np.radians(1.0)  # in 1 mm of the edge
PLANED = 0.5  # of a timber's own depth, or of its length; common practice, no source
SIDE = 1.0  # mm; a lower side is none


def piece_doubts(boat: Boat, patterns: Sequence[Pattern]) -> tuple[Problem, ...]:
    """Every doubt about the pieces that the user has not confirmed, and confirmations of this sort without one.

    Args:
        patterns: every pattern of the boat.
    """
    slabs = [slab for pattern in patterns for slab in slabs_of(pattern)]
    meetings = known_meetings(boat, patterns)
    try:
        runs: Sequence[Run] = boat.runs
    except PatternsError:  # a timber cannot be laid, which is an error by itself
        runs = ()
    found = [
        *_joints(slabs, runs, meetings, patterns),
        *_overlaps(slabs, runs, meetings),
        *_little_left(patterns),
        *_jumps(patterns),
        *_bends(runs),
        *_planed(boat, runs),
    ]
    confirmed = boat.design.boat.confirmed
    judged = [code for code in confirmed if code in OF_PIECES]
    return (
        *unconfirmed(found, confirmed),
        *needless(found, judged, place=f"{DESIGN_FILE}, [boat], key confirmed"),
    )


def _joints(
    slabs: Sequence[Slab], runs: Sequence[Run], meetings: Sequence[Meeting], patterns: Sequence[Pattern]
) -> Iterator[Problem]:
    """Frames that fall apart, pieces that nothing holds, and other meetings that are meant and are not there."""
    there = meetings_there(meetings, slabs, runs)
    named: set[Mate] = set()
    for loose in loose_frames(slabs, there):
        named |= {OneOf(loose.frame), *loose.pieces}
        yield _frame_apart(loose)
    for name in unheld(dict.fromkeys(slab.name for slab in slabs), there):
        named.add(name)
        yield Problem(
            f"{DESIGN_FILE}, {name}",
            "it meets no other piece, and no planking",
            "check where it lies",
            code="piece-not-held",
            pieces=(name,),
        )
    missed = [meeting for meeting in meetings if meeting not in there and not isinstance(meeting.on, OneOf)]
    for meeting in (*missed, *off_their_wholes(meetings, patterns)):
        if not named & meeting.pair:
            yield _apart(meeting)


def _frame_apart(loose: LooseFrame) -> Problem:
    nearest = f"; the {loose.nearest} ends {loose.gap:.0f} mm away" if loose.gap > NEAR else ""
    return Problem(
        f"{DESIGN_FILE}, {loose.frame}",
        f"nothing joins {' and '.join(loose.pieces)} to the rest of the frame{nearest}",
        "lengthen what should join them, or add a floor timber, a gusset or a piece across",
        code="frame-not-joined",
        pieces=loose.pieces,
    )


def _apart(meeting: Meeting) -> Problem:
    """A meeting that is meant where the two have no wood."""
    on = meeting.on.whole if isinstance(meeting.on, OneOf) else meeting.on
    return Problem(
        f"{DESIGN_FILE}, {' and '.join(meeting.keys) or meeting.lands}",
        f"the {meeting.lands} is meant to meet the {on}, and does not reach it",
        "change where they lie or how large they are, so that they touch",
        code="pieces-apart",
        pieces=tuple(str(mate) for mate in (meeting.lands, meeting.on) if isinstance(mate, str)),
    )


def _overlaps(slabs: Sequence[Slab], runs: Sequence[Run], meetings: Sequence[Meeting]) -> Iterator[Problem]:
    """Of each two pieces the deepest place, where they lie deeper in each other than is meant."""
    meant: dict[frozenset[Mate], float] = {}
    for meeting in meetings:
        if meeting.slack is not None:
            meant[meeting.pair] = max(meeting.slack.deep, meant.get(meeting.pair, 0.0))
    deepest: dict[frozenset[Mate], Overlap] = {}
    for each in overlaps(slabs, runs):
        pair: frozenset[Mate] = frozenset((each.first, each.second))
        if each.depth > max(NEAR + meant.get(pair, 0.0), deepest[pair].depth if pair in deepest else 0.0):
            deepest[pair] = each
    timbers = {run.name for run in runs}
    for each in deepest.values():
        x, y, z = each.at
        other = f"the {each.second}" if each.second in timbers else each.second
        what = f"it wants the same place as {other}"
        if each.first == each.second:
            what = "it crosses the centreline into its own mirror"
        yield Problem(
            f"{DESIGN_FILE}, {each.first}",
            f"{what}, {each.depth:.0f} mm deep, {x:.0f} mm aft, {abs(y):.0f} mm out, {z:.0f} mm up",
            "move one of them, change its size, or cut one for the other",
            code="pieces-overlap",
            pieces=tuple(dict.fromkeys((each.first, each.second))),
        )


def _little_left(patterns: Sequence[Pattern]) -> Iterator[Problem]:
    for pattern in patterns:
        left = least_wood(pattern)
        if left is None:
            continue
        beside = f" at the notch for the {left.notch}" if left.notch else ""
        yield Problem(
            f"{DESIGN_FILE}, {pattern.name}",
            f"only {left.width:.0f} mm of wood is left{beside}; elsewhere it is about {left.usual:.0f} mm wide",
            "make it deeper, or what is cut into it smaller",
            code="little-wood-left",
            pieces=(pattern.name,),
        )


def _jumps(patterns: Sequence[Pattern]) -> Iterator[Problem]:
    for pattern in patterns:
        for edge in pattern.edges:
            if len(edge.uv) < 2:
                continue
            turn = np.abs(np.diff(edge.bevel))
            apart = np.maximum(np.hypot(*np.diff(edge.uv, axis=0).T), 1e-6)
            worst = int(np.where(turn > JUMP, turn / apart, 0.0).argmax())
            if turn[worst] > JUMP and turn[worst] > STEEP * apart[worst]:
                before, after = np.degrees(edge.bevel[worst : worst + 2])
                yield Problem(
                    f"{DESIGN_FILE}, {pattern.name}",
                    f"its bevel on the {edge.strake} turns from {before:.0f}° to {after:.0f}° within "
                    f"{apart[worst]:.0f} mm",
                    "look at the lines there",
                    code="bevel-jump",
                    pieces=(pattern.name,),
                )
                break


def _bends(runs: Sequence[Run]) -> Iterator[Problem]:
    """Timbers whose inner side would fold: no wood bends to a radius less than its own size that way."""
    for run in runs:
        sizes = measured(run)
        for edgewise, size in ((False, run.deep), (True, run.across)):
            bend = sizes.bend(edgewise=edgewise)
            if bend.radius < size:
                way = "edgewise" if edgewise else "flat"
                yield Problem(
                    f'{DESIGN_FILE}, timber "{run.name}"',
                    f"it is {size:g} mm thick and bends {way} to a radius of {bend.radius:.0f} mm, "
                    f"{bend.at:.0f} mm from its after end",
                    "end it before that place, or make it smaller",
                    code="bend-sharper-than-wood",
                    pieces=(f"{run.name}, ends",),
                )


def _planed(boat: Boat, runs: Sequence[Run]) -> Iterator[Problem]:
    for run in runs:
        if run.kind != "keel":
            continue
        side = np.linalg.norm(run.corners[:, 2] - run.corners[:, 1], axis=1)
        gone = float(np.mean(side < SIDE))
        if gone > PLANED:
            yield Problem(
                f'{DESIGN_FILE}, timber "{run.name}", key sided',
                f"the planking comes in to its top on {100.0 * gone:.0f} % of its length, so that it has no side "
                "there",
                "make sided less, or moulded more",
                code="planed-away",
                pieces=(f"{run.name}, ends",),
            )
    for planing in planings_of(boat) if runs else ():
        run = planing.run
        if planing.depth > PLANED * min(run.deep, run.across):
            yield Problem(
                f'{DESIGN_FILE}, timber "{run.name}"',
                f"it runs {planing.depth:.0f} mm into the {planing.strake} {planing.at:.0f} mm aft",
                "make it narrower, or end it before that place",
                code="planed-away",
                pieces=(f"{run.name}, ends",),
            )
