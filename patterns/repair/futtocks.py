"""A frame in futtocks: mitred at the corners, or butted at points that are named, in one layer or in two."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np

from patterns.errors import PatternsError
from patterns.hull.planes import FloatArray
from patterns.repair.cutting import cut_at, joint_at
from patterns.repair.ends import FrameEnd
from patterns.repair.outline import Edge
from patterns.repair.repair import Repair
from patterns.repair.shapes import Shape, greatest_moulding, run_at, stand_of
from patterns.wood.labels import Trim
from patterns.wood.meeting import Joinery, Meeting

__all__ = ["butts_apart", "futtock_meetings", "in_pieces", "is_butted", "run_out"]

JOGGLE = 2.0  # mouldings; a stretch shorter than this is a step in the edge and no futtock of its own
TOUCH = 1.0  # mm along which two futtocks lie on each other at least
FUTTOCK = "futtock "
LAYERS = ("measured face", "other face")


def in_pieces(repair: Repair, shape: Shape) -> Iterator[Shape]:
    """The shape itself, or its futtocks."""
    match shape.spec.made_in:
        case "two layers":
            for layer, joints in enumerate((shape.spec.joints, shape.spec.joints_behind)):
                yield from _butted(repair, replace(shape, layer=layer), joints)
        case "futtocks" if shape.spec.joints:
            yield from _butted(repair, shape, shape.spec.joints)
        case "futtocks":
            yield from _mitred(repair, shape)
        case _:
            yield shape


def is_butted(shape: Shape) -> bool:
    """Whether it is a futtock that ends at butts, not at mitres."""
    return bool(shape.suffix) and bool(shape.spec.joints or shape.spec.joints_behind)


def butt_name(point: str) -> str:
    """What the cut of a butt is called."""
    return f"butt at {point}"


def _butted(repair: Repair, shape: Shape, joints: Sequence[str]) -> Iterator[Shape]:
    """The futtocks from butt to butt, each square to the edge."""
    assert shape.side is not None
    found = [(run_at(repair, shape.side, point), point) for point in joints]
    butts = sorted((run, point) for run, point in found if run is not None)
    ends: list[tuple[FrameEnd, FrameEnd]] = [
        (
            FrameEnd(cut=cut_at(shape.edge, run, upper=True, name=butt_name(point))),
            FrameEnd(cut=cut_at(shape.edge, run, upper=False, name=butt_name(point))),
        )
        for run, point in butts
    ]
    lowers = [shape.ends[0], *(lower for _, lower in ends)]
    uppers = [*(upper for upper, _ in ends), shape.ends[1]]
    for i, pair in enumerate(zip(lowers, uppers, strict=True)):
        yield replace(shape, ends=pair, suffix=_named(shape, i + 1, shape.layer))


def _mitred(repair: Repair, shape: Shape) -> Iterator[Shape]:
    """The futtocks cut at every corner that is more than a step in the edge."""
    edge = shape.edge
    deep = greatest_moulding(repair, shape.spec, edge)
    long = [k for k, stretch in enumerate(edge.stretches) if stretch.run[-1] > JOGGLE * deep]
    if not long:
        raise PatternsError(
            f"no stretch of the edge is longer than {JOGGLE * deep:.0f} mm, {JOGGLE:g} times the moulding, so "
            'there are no futtocks to cut; write made_in = "one piece" or "halves"'
        )

    def moulded(name: str) -> float:
        return repair.moulded(name, shape.spec)

    stand = stand_of(repair, shape.spec)
    faces = [edge.at_depth(depth) for depth in (stand.moulded, stand.other)]
    # Below a joint there may be a step, which does not count as a piece.
    joints = [
        replace(joint_at(faces, k, moulded), below=edge.stretches[last].name) for last, k in pairwise(long)
    ]
    made = [None, *joints, None]
    for k, lower, upper in zip(long, made, made[1:], strict=False):
        yield replace(shape, joints=(lower, upper), suffix=edge.stretches[k].name)


def _spans(repair: Repair, shape: Shape, joints: Sequence[str]) -> list[tuple[float, float]]:
    """The lengths along the edge from and to which each futtock of a layer runs."""
    assert shape.side is not None
    runs = sorted(run for point in joints if (run := run_at(repair, shape.side, point)) is not None)
    return list(pairwise([0.0, *runs, float(shape.edge.corner_runs[-1])]))


def butts_apart(repair: Repair, shape: Shape) -> float | None:
    """How far the butts of a double-sawn frame's two layers are apart along the edge at least, mm."""
    if shape.layer is None:
        return None
    here, there = (
        [low for low, _ in _spans(repair, shape, joints)[1:]]
        for joints in (shape.spec.joints, shape.spec.joints_behind)
    )
    return min(abs(one - other) for one in here for other in there)


def futtock_meetings(repair: Repair, shape: Shape, name: str) -> Iterator[Meeting]:
    """Where a butted futtock meets the next ones of its layer, and those of the other layer."""
    for end, other in zip(shape.ends, (-1, 1), strict=True):
        if end.cut.name in {butt_name(point) for point in (*shape.spec.joints, *shape.spec.joints_behind)}:
            near = f"{shape.name} {_named(shape, _number(shape) + other, shape.layer)}"
            lands, on = (name, near) if other < 0 else (near, name)
            yield Meeting(kind=Joinery.BUTT, lands=lands, on=on, edges=(Trim(end.cut.name),))
    if shape.layer is None:
        return
    layers = [_spans(repair, shape, joints) for joints in (shape.spec.joints, shape.spec.joints_behind)]
    low, high = layers[shape.layer][_number(shape) - 1]
    for j, (start, end_run) in enumerate(layers[1 - shape.layer]):
        if min(high, end_run) - max(low, start) > TOUCH:
            other_name = f"{shape.name} {_named(shape, j + 1, 1 - shape.layer)}"
            lands, on = (other_name, name) if shape.layer == 0 else (name, other_name)
            yield Meeting(kind=Joinery.FACE, lands=lands, on=on, faces=(1 - shape.layer,))


def _number(shape: Shape) -> int:
    return int(shape.suffix.removeprefix(FUTTOCK).partition(",")[0])


def _named(shape: Shape, number: int, layer: int | None) -> str:
    return f"{FUTTOCK}{number}" + ("" if layer is None else f", {LAYERS[layer]}")


def run_out(edge: Edge, grain: FloatArray) -> tuple[float, FloatArray]:
    """The greatest angle between the edge and the grain (2,), radians, and the place where it is, (2,)."""
    steps = [(np.diff(stretch.points, axis=0), stretch.points) for stretch in edge.stretches]
    worst, where = 0.0, edge.points[0]
    for step, points in steps:
        sine = np.abs(step[:, 0] * grain[1] - step[:, 1] * grain[0]) / np.hypot(*step.T)
        i = int(sine.argmax())
        if sine[i] > np.sin(worst):
            worst, where = float(np.arcsin(min(sine[i], 1.0))), 0.5 * (points[i] + points[i + 1])
    return worst, where
