"""What the timbers beside the lines and the other tables must agree on."""

from __future__ import annotations

from collections.abc import Iterator

from patterns.design.models import FrameSpec, StrakeSpec
from patterns.design.parts import Parts
from patterns.design.timber_models import BesideSpec, RubbingRailSpec, RunningSpec
from patterns.errors import Problem
from patterns.words import nearest, written

__all__ = ["timber_problems"]


def timber_problems(parts: Parts) -> Iterator[Problem]:
    """Lines, strakes and frames that are not there; places said twice or not at all; scarfs said by halves."""
    for place, timber in parts.all(RunningSpec):
        yield from _lies(parts, place, timber)
        for key, where in (("from", timber.start), ("to", timber.to)):
            yield from _frame(parts, place, key, where)
    for place, strip in parts.all(BesideSpec):
        if (strip.distance is None) == (strip.part is None):
            both = strip.distance is not None
            yield Problem(
                f"{place}, key distance",
                "distance and part both stand there" if both else "is missing",
                "keep one of them" if both else 'give distance or part, as distance = "6 in" or part = 0.5',
                code="conflicting-keys" if both else "needed-key",
            )
    for place, rail in parts.all(RubbingRailSpec):
        lines = parts.names.get("line", [])
        if lines and rail.follows == lines[0]:
            yield Problem(
                f"{place}, key follows",
                "a rubbing rail lies below no keel",
                f'write "{lines[-1]}"',
                code="rail-at-keel",
            )


def _lies(parts: Parts, place: str, timber: RunningSpec) -> Iterator[Problem]:
    lines, strakes = parts.names.get("line", []), parts.names.get("strake", [])
    known = {strake.name: strake for _, strake in parts.all(StrakeSpec)}
    if timber.follows not in lines:
        guess = nearest(timber.follows, lines) or f"lines: {written(lines)}"
        yield Problem(
            f"{place}, key follows", f'there is no line "{timber.follows}"', guess, code="unknown-name"
        )
    if timber.against not in strakes:
        guess = nearest(timber.against, strakes) or f"strakes: {written(strakes)}"
        yield Problem(
            f"{place}, key against", f'there is no strake "{timber.against}"', guess, code="unknown-name"
        )
    elif timber.against in known and timber.follows in lines:
        strake = known[timber.against]
        beside = [name for name, other in known.items() if timber.follows in other.between]
        if timber.follows not in strake.between:
            yield Problem(
                f"{place}, key against",
                f'strake "{timber.against}" does not meet the line "{timber.follows}"',
                f"write {written(beside)}" if beside else "",
                code="strake-off-line",
            )
        elif isinstance(timber, RubbingRailSpec) and timber.follows != strake.between[1]:
            yield Problem(
                f"{place}, key against",
                f'strake "{timber.against}" lies above the line "{timber.follows}"',
                "name the strake below it: a rubbing rail hangs from its line",
                code="strake-above-line",
            )


def _frame(parts: Parts, place: str, key: str, where: str | None) -> Iterator[Problem]:
    if where is None or not where.startswith("frame "):
        return
    names = parts.names.get("frame", [])
    wanted = where.removeprefix("frame ")
    if wanted not in names:
        guess = nearest(wanted, names) or (
            f"frames: {written(names)}" if names else "the design has no frame"
        )
        yield Problem(f"{place}, key {key}", f'there is no frame "{wanted}"', guess, code="unknown-name")
        return
    canted = {frame.name for _, frame in parts.all(FrameSpec) if frame.cant}
    if wanted in canted:
        yield Problem(
            f"{place}, key {key}",
            f'frame "{wanted}" is canted',
            "name a station or a distance aft",
            code="canted-frame",
        )
