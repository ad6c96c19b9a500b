"""A flat piece of wood in the boat: two labelled faces, what is on them, and everything that follows from these."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import Enum
from itertools import pairwise
from typing import Any

import numpy as np
import shapely
from shapely.geometry import Point

from patterns.flat import overlays
from patterns.flat.shapes import ON_CENTRE, both_halves
from patterns.hull.curved import Curved
from patterns.hull.cuts import Trace
from patterns.hull.planes import FloatArray, Plane
from patterns.wood.body import Body
from patterns.wood.facts import Fact
from patterns.wood.features import XY, Distance, Hole, LandBevel, Note, Scribed
from patterns.wood.labels import Against, Label
from patterns.wood.meeting import Loss, Meeting
from patterns.wood.opposite import opposite_rings
from patterns.wood.placement import Mirrored, OnFace, Placement, mirrored, mirrored_plane
from patterns.wood.region import Area, Region, largest_of
from patterns.wood.register import register_places
from patterns.wood.section import hairless, runs_under, wood_on_left

__all__ = ["EdgeRun", "Face", "Hand", "Papers", "Piece", "Role", "Step", "Stock", "View", "least_left"]

LEAST = 1.0  # mm; a shorter stretch of edge is none
SHARP = 2.0  # times what is left all round; a sharp corner is cut off at that
OTHER_HAND = {"port": "starboard", "starboard": "port"}


class Hand(Enum):
    """On which side of the boat a piece is; its value describes the starboard one of a pair.

    One across the centreline is given by its starboard half (`CENTRE`), or whole where its sides differ (`ACROSS`).
    """

    PORT = "port"
    STARBOARD = "starboard"
    PAIR = "pair"
    CENTRE = "centre"
    ACROSS = "across"


class View(Enum):
    """From where one looks at the moulded face; its value names the face in the templates."""

    ATHWARTSHIPS = "athwartships"  # along the boat, the way that the wood runs
    FROM_INBOARD = "from inboard"
    FROM_PORT = "from port"
    FROM_ABOVE = "from above"
    LAID_FLAT = "laid flat"  # a bent sheet as it lies on the floor


class Role(Enum):
    """What a piece is to the boat."""

    PIECE = "a piece of hers, made in one"
    ASSEMBLED = "a piece of hers, made of its parts"
    PART = "a part of a piece, which is given as a whole as well"
    TOOL = "what a piece is made on; no part of her"
    TRIAL = "of card, to be tried in the boat before any wood is cut; no part of her"
    LAYOUT = "a drawing of her pieces, to lay them on; no wood of its own"
    AWAY = "taken out of her again, and measured against no other piece"


class Papers(Enum):
    """What is drawn of a piece."""

    EACH_FACE = "each face on its own paper, both on the same register holes"
    ONE = "the edges of both faces on one paper"
    OUTLINE = "its outline as sawn, and what is scribed on it: both faces have the same marks"


@dataclass(frozen=True, slots=True, kw_only=True)
class Stock:
    """What a piece is made of: the wood in the builder's words, its whole thickness in mm, and its layers."""

    wood: str
    thickness: float
    laminations: int = 1


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class EdgeRun:
    """A stretch of edge on the surface that it was cut of.

    Attributes:
        run: the part of the label's source under it.
        siding: the way into the wood from the face: (3,), or (n, 3) where the face turns.
        left: the wood lies on the left of the run.
    """

    label: Label
    run: Trace
    siding: FloatArray
    left: bool

    @property
    def bevel(self) -> FloatArray:
        """The angle through the wood at each point of the run, radians, (n,)."""
        return self.run.bevel(self.siding)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Face:
    """One face of a piece; of a piece across the centreline its starboard half.

    Attributes:
        region: its wood, in the placement's u and v.
        sources: for the labels that have one, what those edges are cut of, in the order in which they are read.
        notes, scribed: what is written and drawn on it.
        joints: where the pieces meet that it is put together of.
        lands: the angles of its lands.
    """

    region: Region
    sources: Mapping[Label, Trace]
    notes: tuple[Note, ...] = ()
    scribed: tuple[Scribed, ...] = ()
    joints: tuple[Scribed, ...] = ()
    lands: tuple[LandBevel, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Step:
    """A level at which the wood's shape changes between the two faces, as at a half lap.

    Attributes:
        depth: below the moulded face, mm.
        before, after: the wood just on the moulded face's side of it, and just beyond it.
    """

    depth: float
    before: Region
    after: Region


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Piece:
    """One piece of the boat.

    Attributes:
        member: the kind of member, e.g. ``futtock``.
        part_of: what it is asked for by together with others, e.g. ``frame 3`` of its futtocks and gussets.
        placement: of its u, v and depth; the depth runs from the moulded face into the wood.
        faces: the moulded face and the other one.
        steps: levels between them, from the moulded face on.
        layers: the wood between each two laminations, where each of these is cut to its own shape.
        planed: how deep it may be planed from its moulded face once it is sawn, mm, and its wood on that level;
            only what is under it counts as its body.
        matched: its bevels are so steep that opposite points of its two edges are matched label by label.
        centreline: of a piece at the centreline, the v from and to which that is drawn.
        flips: of a piece across the centreline, the v of the two points about which a half is flipped.
        holes: shared with other pieces; register holes are derived.
        meetings: where it meets other pieces.  Halvings are not cut from its faces, which are given and drawn
            whole; the steps are as cut.
        moulded: which face the moulded one is, e.g. ``moulded`` or ``against the frame``.
        on_edge: the thickness of its board, mm, where its faces are the edges of that; else 0.
        papers: what is drawn of it.
        count: how many of it are made; of a pair, for each side.
        by_ordinates: it is a long sweep, and comes by ordinates where it is too long to be taped.
        crown: the radius of the deck's crown by which its top is sawn, mm; 0: it is printed whole.
        spare: what is left all round when it is sawn, to be trimmed on the boat, mm.
    """

    name: str
    member: str
    stock: Stock
    hand: Hand
    placement: Placement
    faces: tuple[Face, Face]
    steps: tuple[Step, ...] = ()
    layers: tuple[Region, ...] = ()
    planed: tuple[float, Region] | None = None
    matched: bool = False
    centreline: tuple[float, float] | None = None
    flips: tuple[float, ...] = ()
    holes: tuple[Hole, ...] = ()
    meetings: tuple[Meeting, ...] = ()
    distances: tuple[Distance, ...] = ()
    facts: tuple[Fact, ...] = ()
    grain: XY = (0.0, 0.0)
    moulded: str = "moulded"
    view: View = View.ATHWARTSHIPS
    on_edge: float = 0.0
    papers: Papers = Papers.EACH_FACE
    role: Role = Role.PIECE
    count: int = 1
    by_ordinates: bool = False
    crown: float = 0.0
    spare: float = 0.0
    part_of: str = ""

    @property
    def flat(self) -> bool:
        """It lies on a face, and is not a bent sheet."""
        placement = self.placement.of if isinstance(self.placement, Mirrored) else self.placement
        return isinstance(placement, OnFace)

    @property
    def on(self) -> OnFace:
        """The placement on its own face, before it is mirrored."""
        placement = self.placement.of if isinstance(self.placement, Mirrored) else self.placement
        assert isinstance(placement, OnFace)
        return placement

    @property
    def face_in_boat(self) -> Plane:
        """The plane of its moulded face where it is; of a mirrored piece its own u runs against that plane's."""
        return mirrored_plane(self.on.face) if isinstance(self.placement, Mirrored) else self.on.face

    @property
    def half(self) -> bool:
        """Its faces are given by their starboard halves."""
        return self.hand is Hand.CENTRE and self.view in (View.ATHWARTSHIPS, View.FROM_ABOVE)

    @property
    def square(self) -> bool:
        """All its edges are square: both faces are one area, whose outline says all."""
        return self.faces[0].region is self.faces[1].region and not self.steps

    @property
    def by_outline(self) -> bool:
        """Its outline as sawn says all of its edges."""
        return self.square or self.papers is Papers.OUTLINE

    @property
    def two_papers(self) -> bool:
        """Each face is drawn on its own paper, both on the same register holes."""
        return self.papers is Papers.EACH_FACE and not self.square

    def saw(self) -> Region:
        """What is sawn to: the net shape, with what is left to be trimmed."""
        net = self.net()
        if not self.spare:
            return net
        return largest_of(net.grown(self.spare, join_style="mitre", mitre_limit=SHARP))

    def net(self) -> Region:
        """The outer of its faces, point by point.

        What is marked by its outline is sawn square to the level that holds all others, and its lands are planed.
        """
        if self.papers is Papers.OUTLINE:
            return max(self._levels(), key=lambda level: float(level.area.area))
        if self.square:
            return self.faces[0].region
        return largest_of(self.faces[0].region.joined(*self.layers, self.faces[1].region))

    def edges(self, face: int) -> Iterator[EdgeRun]:
        """The stretches of edge that lie on a surface, with the bevels read from that face (0 or 1)."""
        if not self.faces[face].sources:
            return
        siding = self.on.siding if face == 0 else -self.on.siding
        turned = self.on.face.moved(self.on.sense * self.stock.thickness * face).turned
        for label, source in self.faces[face].sources.items():
            long = [s for s in self.faces[face].region.stretches(label) if s.length > LEAST]
            for run in runs_under(long, source):
                left = wood_on_left(long[0], source)
                yield EdgeRun(label=label, run=run, siding=turned(siding, run.uv), left=left)

    def as_cut(self, face: int) -> Region:
        """The wood of one face when its laps are cut."""
        wood = self.faces[face].region
        laps = [
            Region.of(cut.halving[0], Against(cut.against))
            for cut in self.cuts
            if cut.halving is not None and cut.halving[1] == face
        ]
        return largest_of(hairless(wood.minus(*laps))) if laps else wood

    def through(self) -> Any:
        """The area that is wood all the way through, its holes taken out."""
        regions = self.as_cut(0), *self.layers, self.as_cut(1)
        solid: Any = overlays.intersection(*[region.area for region in regions])
        for hole in self.holes:
            solid = overlays.difference(solid, Point(hole.at).buffer(0.5 * hole.diameter))
        return solid

    def register_holes(self, diameter: float) -> tuple[Hole, ...]:
        """Two holes through both faces, clear of every edge; none where the wood is too narrow."""
        wood, shift = self.through(), 0.0
        half = self.half or (self.view is View.ATHWARTSHIPS and self.hand is Hand.PAIR)
        if not half:  # nothing has holes of its own beyond u = 0
            shift = float(wood.bounds[0]) - 2.0 * diameter
            wood = shapely.transform(wood, lambda points: points - np.array([shift, 0.0]))
        return tuple(
            Hole(at=(float(u) + shift, float(v)), diameter=diameter)
            for u, v in register_places(wood, diameter=diameter)
        )

    def wood_left(self) -> dict[str, float]:
        """The least depth of wood at each cut for another piece, on either face, mm, by that piece's name."""
        return least_left([face.region for face in self.faces], self.cuts)

    @property
    def cuts(self) -> list[Loss]:
        """What it loses for other pieces."""
        return [cut for meeting in self.meetings for cut in meeting.cuts if cut.piece == self.name]

    def solid(self) -> tuple[Body, ...]:
        """The wood in space: between each two levels one body, or one for each of its separate parts.

        A bent piece has none, nor has what may be planed right through.
        """
        low, first = self.planed or (0.0, self.as_cut(0))
        if not self.flat or isinstance(self.on.face, Curved) or low >= self.stock.thickness:
            return ()
        levels = [first, *self._levels()[1:-1], self.as_cut(1)]
        depths = [low, *(step.depth for step in self.steps), self.stock.thickness]
        return tuple(
            Body(
                plane=self.face_in_boat.moved(self.on.sense * low) if low else self.face_in_boat,
                depth=self.on.sense * (high - low),
                moulded=moulded,
                other=other,
                mirrored=self.hand is Hand.PAIR or (self.half and not across),
                edge=self._edge(*levels[2 * number : 2 * number + 2]),
            )
            for number, (low, high) in enumerate(pairwise(depths))
            for across, areas in (self._whole(levels[2 * number].area, levels[2 * number + 1].area),)
            for moulded, other in _partners(*areas)
        )

    def _edge(self, one: Region, two: Region) -> tuple[tuple[FloatArray, FloatArray], ...]:
        """Opposite points of two levels, where they must be matched; none where there are several parts."""
        if not self.matched or len(one.parts()) > 1 or len(two.parts()) > 1:
            return ()
        return opposite_rings(one, two, tuple(self.faces[0].sources))

    def _whole(self, moulded: Area, other: Area) -> tuple[bool, tuple[Area, Area]]:
        """Whether a half runs across the centreline between two levels, and if so both halves of it.

        Where laps take the middle of a piece across, it is a pair there.
        """
        across = self.half and max(float(area.bounds[0]) for area in (moulded, other)) < ON_CENTRE
        if across:
            return True, (both_halves(moulded), both_halves(other))
        if isinstance(self.placement, Mirrored):
            moulded, other = (
                shapely.transform(a, lambda points: points * [-1.0, 1.0]) for a in (moulded, other)
            )
        return False, (moulded, other)

    def _levels(self) -> list[Region]:
        """The wood on the two sides of every level, from the moulded face to the other one."""
        between = [region for step in self.steps for region in (step.before, step.after)]
        return [self.faces[0].region, *between, self.faces[1].region]

    def mirrored(self) -> Piece:
        """The piece on the other side of the boat, in the same u and v; twice gives the same piece."""
        hand = Hand(OTHER_HAND.get(self.hand.value, self.hand.value))
        return replace(self, placement=mirrored(self.placement), hand=hand)

    def other_face(self) -> Piece:
        """The same piece described from its other face; its u and v are the same square across the wood."""
        thickness = self.stock.thickness
        steps = tuple(
            Step(depth=thickness - step.depth, before=step.after, after=step.before)
            for step in reversed(self.steps)
        )
        behind = OnFace(self.on.face.moved(self.on.sense * thickness), -self.on.sense)
        placement = mirrored(behind) if isinstance(self.placement, Mirrored) else behind
        return replace(
            self,
            placement=placement,
            faces=self.faces[::-1],
            steps=steps,
            layers=self.layers[::-1],
            meetings=tuple(meeting.from_the_other_face() for meeting in self.meetings),
        )


def least_left(faces: Sequence[Region], cuts: Sequence[Loss]) -> dict[str, float]:
    """The least depth of wood at each cut for another piece, on any of the faces, mm, by that piece's name."""
    left: dict[str, float] = {}
    for cut in cuts:
        for face in faces:
            bed, opposite = face.lines(Against(cut.against)), face.lines(*cut.left_to)
            if bed.is_empty or (opposite.is_empty and not np.isfinite(cut.at_most)):
                continue
            own = np.inf if opposite.is_empty else float(shapely.distance(bed, opposite))
            left[cut.against] = min(own, cut.at_most, left.get(cut.against, np.inf))
    return left


def _partners(moulded: Area, other: Area) -> Iterator[tuple[Area, Area]]:
    """The wood on two levels, each separate part with the one that lies under it; nothing where one has no wood."""
    parts, under = ([part for part in shapely.get_parts(a) if not part.is_empty] for a in (moulded, other))
    if len(parts) != len(under):
        parts, under = ([moulded], [other]) if parts and under else ([], [])
    for part in parts:
        shared = [float(overlays.intersection(part, each).area) for each in under]
        yield part, under.pop(int(np.argmax(shared)))
