"""A built frame before it becomes patterns: its ring, its joints, and whose wood is whose."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from patterns.boat import Boat
from patterns.design.file import FrameSpec
from patterns.errors import PatternsError
from patterns.flat import overlays
from patterns.flat.shapes import ON_CENTRE, largest
from patterns.hull.sections import cut_hull
from patterns.joinery.joints import Joint, Share, joints_of, shares_of
from patterns.joinery.limbers import Limber, without_limbers
from patterns.joinery.ringed import notches_in
from patterns.joinery.rings import CRUMB, TOP, Ring, ring_wood
from patterns.wood.region import Region, largest_of
from patterns.wood.section import to_the_centreline

__all__ = ["Built", "Futtock", "built_of"]

ACROSS = "bottom across"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Futtock:
    """The wood of one piece, the starboard one or the starboard half of it.

    Attributes:
        share: what of the ring's plane is its own.
        wood: its wood on the moulded face and on the other.
        halves: its wood at half the thickness, in the moulded half and in the other; None without a half lap.
        across: it runs across the centreline, in one with its other half.
    """

    share: Share
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
    def name(self) -> str:
        """The strake's name, or that of a piece across under the deck."""
        return self.share.name

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
        futtocks: from the centreline up; without the bottom's where a floor timber takes its place.
    """

    spec: FrameSpec
    ring: Ring
    sense: float
    limbers: tuple[Limber, ...]
    joints: tuple[Joint, ...]
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
    joints = joints_of(ring)
    bottom = spec.pieces != "no bottom piece"
    shares = shares_of(ring, joints, kind=spec.joint, through=spec.through, bottom=bottom)
    middle = None
    if spec.joint == "half lap" and joints:
        plane = ring.sections[0].plane.moved(0.5 * sense * spec.sided)
        section = cut_hull(boat.hull, plane)
        middle = without_limbers(
            largest_of(ring_wood(section, notches_in(boat, section), ring.inside)), limbers
        )
    futtocks = []
    for i, share in enumerate(shares):
        if i == 0 and not bottom:
            continue
        faces = [
            _one(face.both(region), spec, share.name)
            for face, region in zip(ring.wood, share.regions, strict=True)
        ]
        between = None
        if middle is not None:
            halves = [_one(middle.both(region), spec, share.name) for region in share.regions]
            between = (halves[0], halves[1])
        across = share.name == TOP or (i == 0 and spec.pieces == ACROSS)
        futtocks.append(Futtock(share=share, wood=(faces[0], faces[1]), halves=between, across=across))
    return Built(spec=spec, ring=ring, sense=sense, limbers=limbers, joints=joints, futtocks=tuple(futtocks))
