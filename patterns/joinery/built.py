"""A built frame before it becomes patterns: its ring, its joints, and whose wood is whose."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from patterns.boat import Boat
from patterns.design.file import FrameSpec
from patterns.errors import PatternsError
from patterns.flat import overlays
from patterns.flat.shapes import ON_CENTRE, largest
from patterns.hull.sections import cut_hull
from patterns.joinery.joints import Joint, joints_of, members_of
from patterns.joinery.limbers import Limber, without_limbers
from patterns.joinery.passages import passages
from patterns.joinery.rings import CRUMB, TOP, Ring, ring_wood
from patterns.wood.labels import Against, Centre
from patterns.wood.meeting import Joinery, Meeting, NotMade, without
from patterns.wood.region import Region, largest_of
from patterns.wood.section import to_the_centreline

__all__ = ["Built", "Futtock", "built_of", "title_of", "whole_of"]

ACROSS = "bottom across"


def title_of(spec: FrameSpec, name: str) -> str:
    """What a piece of a frame is called."""
    return f"{whole_of(spec)} {name}"


def whole_of(spec: FrameSpec) -> str:
    """What all pieces of a frame are asked for by."""
    return f"frame {spec.name}"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Futtock:
    """The wood of one piece, the starboard one or the starboard half of it.

    Attributes:
        name: the strake's name, or that of a piece across under the deck.
        wood: its wood on the moulded face and on the other.
        halves: its wood at half the thickness, in the moulded half and in the other; None without a half lap.
        across: it runs across the centreline, in one with its other half.
    """

    name: str
    wood: tuple[Region, Region]
    halves: tuple[Region, Region] | None
    across: bool

    @property
    def faces(self) -> tuple[Any, Any]:
        """The areas of wood on the two faces."""
        return self.wood[0].area, self.wood[1].area

    @property
    def between(self) -> tuple[Any, Any] | None:
        """The areas of wood at half the thickness; None without a half lap."""
        return None if self.halves is None else (self.halves[0].area, self.halves[1].area)

    @property
    def saw(self) -> Any:
        """The outer of the two faces."""
        return largest(overlays.union(*self.faces))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Built:
    """A frame made of several pieces.

    Attributes:
        ring: the frame put together.
        limbers: its limber holes.
        joints: from the centreline up.
        meetings: of the futtocks with each other, which cut them; a futtock above a bottom that is not made has one
            with that.
        futtocks: from the centreline up; without the bottom's where a floor timber takes its place.
    """

    spec: FrameSpec
    ring: Ring
    sense: float
    limbers: tuple[Limber, ...]
    joints: tuple[Joint, ...]
    meetings: tuple[Meeting, ...]
    futtocks: tuple[Futtock, ...]

    def futtock(self, name: str) -> Futtock | None:
        """The one of a strake."""
        return next((piece for piece in self.futtocks if piece.name == name), None)


def _one(wood: Region, spec: FrameSpec, name: str) -> Region:
    trim = not spec.cant  # a canted half may end on either side of its plane's own centreline
    parts = wood.parts(least=CRUMB)
    if len(parts) != 1:
        raise PatternsError(
            f"its joints and notches leave {len(parts) or 'no'} loose pieces of the {name} piece; let the other "
            'member run through, or make it of "one ring"'
        )
    piece = parts[0]
    return to_the_centreline(piece) if trim and piece.area.bounds[0] < ON_CENTRE else piece


def built_of(
    boat: Boat, spec: FrameSpec, ring: Ring, *, sense: float, limbers: tuple[Limber, ...] = ()
) -> Built:
    """The pieces of a frame.

    Args:
        ring: the frame put together, limber holes cut.
        sense: 1 where the wood runs aft from the moulded face, -1 where forward.
    Raises:
        PatternsError: a joint cannot be drawn, or leaves a piece in parts.
    """
    joints, members = joints_of(ring), members_of(ring)
    bottom = spec.pieces != "no bottom piece"
    made = members if bottom else members[1:]
    meetings = tuple(_joint(spec, joint, made) for joint in joints if spec.joint is not None)
    middle = None
    if spec.joint == "half lap" and joints:
        plane = ring.sections[0].plane.moved(0.5 * sense * spec.sided)
        section = cut_hull(boat.hull, plane)
        passing = passages(boat, ring.passing.whole, [section])
        middle = without_limbers(largest_of(ring_wood(section, ring.inside, passing)), limbers)
    futtocks = []
    for name in made:
        wood, halves = (
            None if woods is None else _cut(woods, spec, name, meetings)
            for woods in (ring.wood, None if middle is None else (middle, middle))
        )
        assert wood is not None
        across = name == TOP or (name == members[0] and spec.pieces == ACROSS)
        futtocks.append(Futtock(name=name, wood=wood, halves=halves, across=across))
    return Built(
        spec=spec,
        ring=ring,
        sense=sense,
        limbers=limbers,
        joints=joints,
        meetings=(*meetings, *_on_the_centreline(spec, members[0])),
        futtocks=tuple(futtocks),
    )


def _joint(spec: FrameSpec, joint: Joint, made: Sequence[str]) -> Meeting:
    """How two futtocks meet, which cuts both.

    Where the lower one is not made there is nothing to lap: the one above it runs down to the planking in its full
    thickness.
    """
    kind, through = spec.joint, spec.through
    assert kind is not None
    alone = joint.below not in made
    if alone and kind == "half lap":
        kind, through = "butt", "upper"
    ends = joint.above, joint.below
    lands, on = ends if alone or through == "lower" else ends[::-1]
    return Meeting(
        kind=Joinery(kind),
        lands=title_of(spec, lands),
        on=NotMade(on) if alone else title_of(spec, on),
        keys=(f'frame "{spec.name}", key joint',),
        edges=(Against(lands), Against(on)),
        cuts=joint.losses(
            (title_of(spec, joint.below), title_of(spec, joint.above)),
            [joint.cut(kind, through, half=half) for half in (0, 1)],
        ),
    )


def _on_the_centreline(spec: FrameSpec, lowest: str) -> Iterator[Meeting]:
    """Where the bottom's halves meet."""
    if spec.pieces == "bottom in halves":
        name, keys = title_of(spec, lowest), (f'frame "{spec.name}", key pieces',)
        yield Meeting(kind=Joinery.BUTT, lands=name, on=name, keys=keys, edges=(Centre(),))


def _cut(
    woods: Sequence[Region], spec: FrameSpec, name: str, meetings: Sequence[Meeting]
) -> tuple[Region, Region]:
    """What of the ring's wood in the two halves of the thickness is one piece's."""
    first, second = (
        _one(without(wood, title_of(spec, name), half, meetings), spec, name)
        for half, wood in enumerate(woods)
    )
    return first, second
