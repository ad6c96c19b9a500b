"""What notches and gussets say against the points that they are measured from."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from patterns.design.parts import Parts
from patterns.design.repair_models import EdgeSpec, PieceSpec, RepairSpec
from patterns.design.repair_work_models import CENTRELINE, KeepClearSpec, NotchSpec, RepairGussetSpec
from patterns.errors import Problem
from patterns.measure.nearest import nearest, written
from patterns.repair.fairing import FairSide
from patterns.repair.places import Side

__all__ = ["work_problems"]


def work_problems(parts: Parts, spec: RepairSpec, sides: Mapping[Side, FairSide]) -> Iterator[Problem]:
    """Every notch and every gusset that cannot be placed."""
    for place, notch in parts.all(NotchSpec):
        yield from _on_centreline(place, spec, notch.at, given=_beside(notch))
        if notch.at != CENTRELINE:
            yield from _notch(place, notch, sides)
            yield from _too_deep(place, notch, parts, spec)
    for place, clear in parts.all(KeepClearSpec):
        for name, side in sides.items():
            there = [point.measured.name for point in side.points]
            if clear.side in (name, "both") and clear.at not in there:
                yield Problem(
                    f"{place}, key at",
                    f'the {name} side has no point "{clear.at}"',
                    nearest(clear.at, there) or written(there),
                    code="unknown-name",
                )
    for place, gusset in parts.all(RepairGussetSpec):
        yield from _on_centreline(place, spec, gusset.at, given=())
        if gusset.at == CENTRELINE and len(sides) < 2 and spec.sides == "each":
            yield Problem(
                f"{place}, key at",
                "one side only was measured",
                "a plate across the heels needs both",
                code="one-side-measured",
            )
        if gusset.at != CENTRELINE:
            yield from _gusset(place, gusset, sides)


def _beside(notch: NotchSpec) -> tuple[str, ...]:
    given = {"against": notch.against, "distance": notch.distance}
    return tuple(key for key, value in given.items() if value is not None)


def _on_centreline(place: str, spec: RepairSpec, at: str, *, given: tuple[str, ...]) -> Iterator[Problem]:
    if at != CENTRELINE:
        return
    if spec.centreline == "not known":
        yield Problem(
            f"{place}, key at",
            "the centreline is not known",
            "measure it from a point",
            code="centreline-unknown",
        )
    for key in given:
        yield Problem(
            f"{place}, key {key}",
            "does not belong to what lies on the centreline",
            "remove it",
            code="needless-key",
        )


def _made(sides: Mapping[Side, FairSide], side: str) -> dict[Side, FairSide]:
    return {name: fair for name, fair in sides.items() if side in (name, "both")}


def _notch(place: str, notch: NotchSpec, sides: Mapping[Side, FairSide]) -> Iterator[Problem]:
    if notch.against is None:
        yield Problem(
            f"{place}, key against",
            "is missing",
            "name the stretch of points.csv that the timber lies on",
            code="needed-key",
        )
        return
    made = _made(sides, notch.side)
    if not made:
        yield Problem(
            f"{place}, key side",
            f"the {notch.side} side was not measured",
            f"write {written(sides)}",
            code="side-not-measured",
        )
        return
    having = {
        name: side
        for name, side in made.items()
        if notch.against in [stretch.name for stretch in side.edge.stretches]
    }
    if not having:
        names = {stretch.name for side in made.values() for stretch in side.edge.stretches}
        yield Problem(
            f"{place}, key against",
            f'the points have no stretch "{notch.against}"',
            nearest(notch.against, names) or written(names),
            code="unknown-name",
        )
    for name, side in having.items():
        i = side.named(notch.at, notch.against)
        there = side.stretches_at(i) if i is not None else []
        if i is None:
            yield _no_point(place, notch.at, name, side)
        elif notch.against not in there:
            yield Problem(
                f"{place}, key at",
                f"{notch.at} of the {name} side does not lie on the {notch.against}",
                f"name a point of that stretch; this one lies on the {' and the '.join(there)}",
                code="notch-off-stretch",
            )
        elif notch.distance is None and i not in side.corners:
            yield Problem(
                f"{place}, key distance",
                f"is missing: point {notch.at} of the {name} side is neither a corner nor an end",
                'give how far up from it the middle of the notch lies, or "0"',
                code="needed-key",
            )


def _no_point(place: str, at: str, name: Side, side: FairSide) -> Problem:
    there = [point.measured.name for point in side.points]
    corners = [point.measured.corner for point in side.points if point.measured.corner]
    return Problem(
        f"{place}, key at",
        f'the {name} side has no point and no corner "{at}"',
        nearest(at, [*there, *corners]) or f"it has the points {written(there)}",
        code="unknown-name",
    )


def _too_deep(place: str, notch: NotchSpec, parts: Parts, spec: RepairSpec) -> Iterator[Problem]:
    own = [e.moulded for _, e in parts.all(EdgeSpec) if e.name == notch.against and e.moulded is not None]
    depths = [piece.moulded or next(iter(own), spec.moulded) for _, piece in parts.all(PieceSpec)] or [
        next(iter(own), spec.moulded)
    ]
    if notch.off >= min(depths):
        yield Problem(
            f"{place}, key off",
            f"{notch.off:g} mm is as deep as the frame, which is moulded {min(depths):g} mm there",
            "a notch leaves wood over it",
            code="notch-too-deep",
        )


def _gusset(place: str, gusset: RepairGussetSpec, sides: Mapping[Side, FairSide]) -> Iterator[Problem]:
    made = _made(sides, gusset.side)
    if not made:
        yield Problem(
            f"{place}, key side",
            f"the {gusset.side} side was not measured",
            f"write {written(sides)}",
            code="side-not-measured",
        )
    for name, side in made.items():
        i = side.named(gusset.at)
        if i is None:
            yield _no_point(place, gusset.at, name, side)
        elif i not in side.corners[1:-1]:
            yield Problem(
                f"{place}, key at",
                f"{gusset.at} of the {name} side is not a corner between two stretches",
                f'a gusset lies over a joint: name a corner, or write "{CENTRELINE}"',
                code="gusset-off-joint",
            )
