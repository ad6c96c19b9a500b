"""The wood of a piece on a level between its two faces, and what it loses there."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from patterns.flat.polylines import lengths
from patterns.hull.planes import FloatArray, Plane
from patterns.hull.spaces import Beyond, cut_of
from patterns.wood.labels import Against, Label
from patterns.wood.meeting import CRUMB
from patterns.wood.piece import Piece, Step
from patterns.wood.region import Area, Region, Stretch, largest_of
from patterns.wood.section import hairless

__all__ = ["NEAR", "Slot", "level_between", "with_slots"]

EVEN = 161  # points along an edge that has not as many on both levels
NEAR = 1e-6  # mm; levels no farther apart are one
ALONG = 1.0 - 1e-9  # of a normal's part along the way into the wood: a plane level with the faces


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Slot:
    """What is cut out of a flat piece for another.

    Attributes:
        against: the other piece.
        space: between planes aslant to the faces.
        low, high: from and to which depth below the moulded face, mm.
    """

    against: str
    space: tuple[Beyond, ...]
    low: float
    high: float

    @classmethod
    def of(cls, piece: Piece, space: Sequence[Beyond], against: str) -> Slot | None:
        """The part of a space that lies between a piece's faces; None where there is none."""
        on, low, high = piece.on, 0.0, piece.stock.thickness
        aslant = []
        for half in space:
            along = float(half.normal @ on.siding)
            if abs(along) < ALONG:
                aslant.append(half)
                continue
            depth = float((half.at - on.face.origin) @ on.siding)
            low, high = (max(low, depth), high) if along > 0.0 else (low, min(high, depth))
        return cls(against=against, space=tuple(aslant), low=low, high=high) if high - low > NEAR else None

    def through(self, piece: Piece) -> bool:
        """Whether it goes from face to face."""
        return self.low < NEAR and self.high > piece.stock.thickness - NEAR

    def region(self, plane: Plane) -> Region:
        """Its area on a level."""
        return Region.of(cut_of(plane, self.space), Against(self.against))

    def area(self, plane: Plane) -> Area:
        """The same without labels."""
        return cut_of(plane, self.space)


def level_between(one: Region, two: Region, part: float) -> Region:
    """The wood on a level between two others; the nearer of them where their edges are not the same in one order.

    Args:
        part: of the way from the one to the other, 0 to 1.
    """
    pairs = [_matched(a, b) for a, b in zip(one.parts(), two.parts(), strict=False)]
    if len(one.parts()) != len(two.parts()) or None in pairs or len(pairs) != 1:
        return one if part < 0.5 else two
    points: list[FloatArray] = []
    labels: list[Label] = []
    for a, b in pairs[0] or ():
        counts = {len(a.points), len(b.points)}
        ends = [_spread(s.points) if len(counts) > 1 else s.points for s in (a, b)]
        points.append(((1.0 - part) * ends[0] + part * ends[1])[:-1])
        labels += [a.label] * len(points[-1])
    try:
        return Region.within(np.vstack(points), labels)
    except ValueError:  # it would cross itself
        return one if part < 0.5 else two


def _matched(one: Region, two: Region) -> list[tuple[Stretch, Stretch]] | None:
    """The edges of two outlines without holes that belong to one another, in order; None where they do not."""
    first, second = one.stretches(), two.stretches()
    if len(one.area.interiors) + len(two.area.interiors) or len(first) != len(second) or len(first) < 2:
        return None
    labels = [[s.label for s in each] for each in (first, second)]
    start = next((label for label in labels[0] if [each.count(label) for each in labels] == [1, 1]), None)
    if start is None:
        return None
    turned = [each[each.index(start) :] + each[: each.index(start)] for each in labels]
    if turned[0] != turned[1]:
        return None
    i, j = (each.index(start) for each in labels)
    return list(zip(first[i:] + first[:i], second[j:] + second[:j], strict=True))


def _spread(points: FloatArray) -> FloatArray:
    run = lengths(points)
    places = np.linspace(0.0, run[-1], EVEN)
    return np.stack([np.interp(places, run, points[:, k]) for k in (0, 1)], axis=-1)


def with_slots(piece: Piece, slots: Sequence[Slot]) -> Piece:
    """A piece with slots cut: those from face to face in both faces, the others at levels alone.

    A slot that does not go through leaves its face whole in the drawing; the piece's meeting has its halving.

    Raises:
        PatternsError: nothing is left.
    """
    on, thick = piece.on, piece.stock.thickness

    def plane(depth: float) -> Plane:
        return on.face.moved(on.sense * depth)

    def cut(region: Region, depth: float, holding: Sequence[Slot]) -> Region:
        cuts = [slot.region(plane(depth)) for slot in holding]
        if not cuts:
            return region
        left = hairless(region.minus(*cuts))
        parts = left.parts(least=CRUMB)
        return left if len(parts) > 1 and len(parts) == len(left.parts()) else _kept(left, parts)

    through = [slot for slot in slots if slot.through(piece)]
    faces = [
        replace(face, region=cut(face.region, depth, through))
        for face, depth in zip(piece.faces, (0.0, thick), strict=True)
    ]
    depths = {step.depth for step in piece.steps}
    for slot in slots:
        depths |= {d for d in (slot.low, slot.high) if NEAR < d < thick - NEAR}
    steps = [
        Step(
            depth=depth,
            before=cut(before, depth, [s for s in slots if s.low < depth - NEAR and depth <= s.high + NEAR]),
            after=cut(after, depth, [s for s in slots if s.low <= depth + NEAR and depth < s.high - NEAR]),
        )
        for depth in sorted(depths)
        for before, after in (_level(piece, depth),)
    ]
    each = thick / piece.stock.laminations
    planed = None
    if piece.planed is not None:
        low, region = piece.planed
        planed = (low, cut(region, low, [s for s in slots if s.low <= low < s.high]))
    return replace(
        piece,
        faces=(faces[0], faces[1]),
        steps=tuple(steps),
        layers=tuple(cut(layer, (i + 1) * each, through) for i, layer in enumerate(piece.layers)),
        planed=planed,
    )


def _kept(left: Region, parts: Sequence[Region]) -> Region:
    """What is left without its crumbs: in one, or, at a level between the faces, in several."""
    return parts[0].joined(*parts[1:]) if parts else largest_of(left)


def _level(piece: Piece, depth: float) -> tuple[Region, Region]:
    """The wood just before and just beyond a depth."""
    known = [step for step in piece.steps if abs(step.depth - depth) < NEAR]
    if known:
        return known[0].before, known[0].after
    (low, one), (high, two) = _about(piece, depth)
    found = level_between(one, two, (depth - low) / (high - low))
    return found, found


def _about(piece: Piece, depth: float) -> tuple[tuple[float, Region], tuple[float, Region]]:
    """The levels above and below a depth, with the wood that faces it."""
    first, last = (face.region for face in piece.faces)
    if piece.planed is not None and piece.planed[0] < depth:
        above: tuple[float, Region] = piece.planed
    else:
        above = (0.0, first)
    below = (piece.stock.thickness, last)
    for step in _steps_down(piece):
        if step.depth < depth:
            above = (step.depth, step.after)
        elif step.depth < below[0]:
            below = (step.depth, step.before)
    return above, below


def _steps_down(piece: Piece) -> Iterator[Step]:
    yield from sorted(piece.steps, key=lambda step: step.depth)
