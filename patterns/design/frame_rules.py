"""What the keys of frames and gussets must agree on, among themselves and with the other tables."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from typing import Protocol

from patterns.design.frame_models import GussetSpec
from patterns.design.models import FrameSpec
from patterns.design.parts import Parts
from patterns.design.set_up_models import LEG_KEYS, SetUpSpec
from patterns.errors import Problem
from patterns.words import nearest, written

__all__ = ["frame_problems", "limber_problems"]


class Limbered(Protocol):
    """A piece that may have limber holes."""

    @property
    def limber_holes(self) -> float | None: ...
    @property
    def limber_at(self) -> tuple[str, ...]: ...


def frame_problems(parts: Parts) -> Iterator[Problem]:
    """Every disagreement."""
    timbers = [str(getattr(timber, "name", "")) for _, timber in parts.entries.get("timber", [])]
    for place, frame in parts.all(FrameSpec):
        yield from _made(place, frame)
        yield from _inner_line(place, frame)
        yield from limber_problems(place, frame, timbers)
        dowels = {key: getattr(frame, key) for key in ("lap_dowel", "lap_dowels", "lap_dowel_edge")}
        yield from _together(place, dowels)
        if frame.lap_dowel is not None and frame.joint != "half lap":
            yield Problem(
                f"{place}, key lap_dowel",
                "there is no half lap",
                'write joint = "half lap", or take it out',
                code="needless-key",
            )
    for place, set_up in parts.all(SetUpSpec):
        yield from _together(place, {key: getattr(set_up, key) for key in LEG_KEYS})
        if set_up.cross_piece is not None and set_up.leg is None:
            yield Problem(
                f"{place}, key cross_piece",
                "there are no legs for it",
                f"give {', '.join(LEG_KEYS)}",
                code="cross-piece-without-legs",
            )
    frames = {frame.name: frame for _, frame in parts.all(FrameSpec)}
    for place, gusset in parts.all(GussetSpec):
        yield from _gussets(place, gusset, frames, parts.names.get("frame", []))


def _inner_line(place: str, frame: FrameSpec) -> Iterator[Problem]:
    points = frame.inner_line
    if not points:
        return
    where = f"{place}, key inner_line"
    if frame.pieces != "one ring" or frame.cant:
        yield Problem(
            where,
            "is for an upright or raked frame of one ring",
            "take it out, or say so",
            code="inner-line-in-pieces",
        )
    if len(points) < 2:
        yield Problem(
            where,
            "one point makes no line",
            "give two or more, each a half-breadth and a height",
            code="too-few-points",
        )
    for (y0, z0), (y1, z1) in pairwise(points):
        if y1 < y0 or z1 < z0:
            yield Problem(
                where,
                f"the point {y1:g}, {z1:g} mm goes back in or down",
                "give them from the centreline out and up",
                code="inner-line-turns-back",
            )


def _made(place: str, frame: FrameSpec) -> Iterator[Problem]:
    if frame.pieces == "one ring":
        for key in ("joint", "through"):
            if getattr(frame, key) is not None:
                yield Problem(
                    f"{place}, key {key}",
                    "a frame of one ring has no joints",
                    "say pieces, or take it out",
                    code="needless-key",
                )
        return
    if frame.joint is None:
        yield Problem(
            f"{place}, key joint",
            "is missing",
            'write "butt", "half lap" or "mitre": its pieces meet there',
            code="needed-key",
        )
    elif frame.joint != "mitre" and frame.through is None:
        yield Problem(
            f"{place}, key through",
            "is missing",
            'write "lower" or "upper": which piece of a joint runs through (in a half lap keeps the moulded face)',
            code="needed-key",
        )
    elif frame.joint == "mitre" and frame.through is not None:
        yield Problem(
            f"{place}, key through",
            "neither piece of a mitre runs through",
            "take it out",
            code="needless-key",
        )


def limber_problems(place: str, frame: Limbered, timbers: Sequence[str]) -> Iterator[Problem]:
    """What is wrong with the limber holes of one piece."""
    if (frame.limber_holes is None) != (not frame.limber_at):
        key = "limber_holes" if frame.limber_holes is None else "limber_at"
        yield Problem(
            f"{place}, key {key}",
            "is missing",
            "limber holes need both limber_holes and limber_at",
            code="needed-key",
        )
    for name in frame.limber_at:
        if name not in timbers:
            yield Problem(
                f"{place}, key limber_at",
                f'there is no timber "{name}"',
                nearest(name, timbers) or (f"timbers: {written(timbers)}" if timbers else ""),
                code="unknown-name",
            )


def _together(place: str, keys: Mapping[str, object]) -> Iterator[Problem]:
    """Keys of which all stand or none."""
    if any(value is not None for value in keys.values()):
        for key, value in keys.items():
            if value is None:
                yield Problem(
                    f"{place}, key {key}",
                    "is missing",
                    f"{', '.join(keys)} all stand there, or none of them",
                    code="needed-key",
                )


def _gussets(
    place: str, gusset: GussetSpec, frames: Mapping[str, FrameSpec], named: Sequence[str]
) -> Iterator[Problem]:
    keys = {key: getattr(gusset, key) for key in ("dowel", "dowels", "dowel_edge")}
    yield from _together(place, keys)
    for name in gusset.frames:
        if name not in named:
            yield Problem(
                f"{place}, key frames",
                f'there is no frame "{name}"',
                nearest(name, named) or (f"frames: {written(named)}" if named else ""),
                code="unknown-name",
            )
        elif name in frames and frames[name].pieces == "one ring":
            yield Problem(
                f"{place}, key frames",
                f'frame "{name}" is one ring and has no joints',
                "say pieces at that frame, or take it out here",
                code="no-joints",
            )
