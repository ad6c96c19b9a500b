"""What is doubtful about the made pieces: what cannot be put together, or what little wood would be left of."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from patterns.assembly.intended import known_meetings
from patterns.assembly.joined import loose_frames, unheld
from patterns.assembly.planing import planings
from patterns.assembly.slabs import NEAR, Slab, slabs_of
from patterns.assembly.touches import Touch, deepest_in, run_overlaps, touches
from patterns.assembly.wood_left import least_wood
from patterns.boat import Boat
from patterns.codes.assembly import OF_PIECES
from patterns.design.confirmed import needless, unconfirmed
from patterns.design.parts import DESIGN_FILE
from patterns.errors import PatternsError, Problem
from patterns.pattern import Pattern
from patterns.timbers.measured import measured
from patterns.timbers.run import Run
from patterns.wood.meeting import Mate

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
    met = list(touches(slabs))
    meant = _depths(boat, patterns)
    try:
        runs: Sequence[Run] = boat.runs
    except PatternsError:  # one cannot be laid, which is an error by itself
        runs = ()
    found = [
        *_loose(slabs, met),
        *_unheld(slabs, met, runs),
        *_overlaps(met, meant),
        *_in_runs(slabs, runs, meant),
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


def _loose(slabs: Sequence[Slab], met: Sequence[Touch]) -> Iterator[Problem]:
    for loose in loose_frames(slabs, met):
        nearest = f"; the {loose.nearest} ends {loose.gap:.0f} mm away" if loose.gap > NEAR else ""
        yield Problem(
            f"{DESIGN_FILE}, {loose.frame}",
            f"nothing joins {' and '.join(loose.pieces)} to the rest of the frame{nearest}",
            "lengthen what should join them, or add a floor timber, a gusset or a piece across",
            code="frame-not-joined",
            pieces=loose.pieces,
        )


def _unheld(slabs: Sequence[Slab], met: Sequence[Touch], runs: Sequence[Run]) -> Iterator[Problem]:
    for name in unheld(slabs, met, runs):
        yield Problem(
            f"{DESIGN_FILE}, {name}",
            "it touches no other piece, and neither planking nor deck",
            "check where it lies",
            code="piece-not-held",
            pieces=(name,),
        )


def _overlaps(met: Sequence[Touch], meant: Mapping[frozenset[Mate], float]) -> Iterator[Problem]:
    """Flat pieces in flat pieces; of a pair of pieces the deepest place."""
    deepest: dict[frozenset[Mate], Touch] = {}
    for touch in met:
        a, b = touch.slabs
        pair: frozenset[Mate] = frozenset((a.name, b.name))
        if (
            touch.overlap > NEAR + meant.get(pair, 0.0)
            and touch.overlap > deepest.get(pair, touch).overlap - NEAR
        ):
            deepest[pair] = touch
    for touch in deepest.values():
        a, b = touch.slabs
        words = f"it wants the same place as {b.name}"
        if a.name == b.name:
            words = "it crosses the centreline into its own mirror"
        names = tuple(dict.fromkeys((a.name, b.name)))
        yield _overlap(names, f"{words}, {touch.overlap:.0f} mm deep", touch.at)


def _in_runs(
    slabs: Sequence[Slab], runs: Sequence[Run], meant: Mapping[frozenset[Mate], float]
) -> Iterator[Problem]:
    """Long timbers in flat pieces that are not cut for them, and in each other."""
    for run in runs:
        deepest: dict[str, tuple[float, np.ndarray[tuple[int], np.dtype[np.float64]]]] = {}
        for slab in slabs:
            if slab.port:
                continue
            depth, at = deepest_in(run, slab.face_rims)
            allowed = NEAR + meant.get(frozenset((slab.name, run.name)), 0.0)
            if depth > max(allowed, deepest.get(slab.name, (0.0, at))[0]):
                deepest[slab.name] = depth, at
        for name, (depth, at) in deepest.items():
            yield _overlap(
                (name, run.name), f"it wants the same place as the {run.name}, {depth:.0f} mm deep", at
            )
    for first, second, depth, at in run_overlaps(runs):
        words = f"it wants the same place as the {second.name}, {depth:.0f} mm deep"
        yield _overlap((first.name, second.name), words, at)


def _overlap(pieces: tuple[str, ...], what: str, at: np.ndarray[tuple[int], np.dtype[np.float64]]) -> Problem:
    x, y, z = at
    return Problem(
        f"{DESIGN_FILE}, {pieces[0]}",
        f"{what}, {x:.0f} mm aft, {abs(y):.0f} mm out, {z:.0f} mm up",
        "move one of them, change its size, or cut one for the other",
        code="pieces-overlap",
        pieces=pieces,
    )


def _depths(boat: Boat, patterns: Sequence[Pattern]) -> Mapping[frozenset[Mate], float]:
    """How deep each two pieces may lie in each other by design, mm."""
    deep: dict[frozenset[Mate], float] = {}
    for meeting in known_meetings(boat, patterns):
        if meeting.slack is not None:
            deep[meeting.pair] = max(meeting.slack.deep, deep.get(meeting.pair, 0.0))
    return deep


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
    for planing in planings(boat.hull, runs):
        run = planing.run
        if planing.depth > PLANED * min(run.deep, run.across):
            yield Problem(
                f'{DESIGN_FILE}, timber "{run.name}"',
                f"it runs {planing.depth:.0f} mm into the {planing.strake} {planing.at:.0f} mm aft",
                "make it narrower, or end it before that place",
                code="planed-away",
                pieces=(f"{run.name}, ends",),
            )
