"""What the boat is made of, as the design file says it.  Lengths are mm, angles radians.

Each class is one table of the file and each field one key; what changes the shape and cannot be known from
elsewhere has no default.
"""

from __future__ import annotations

from typing import Annotated, Literal, TypeVar

from pydantic import Field, StrictBool

from patterns.design.confirmed import Confirmed
from patterns.design.ended_keys import EndedKeys, Where, frame_names
from patterns.design.frame_models import FrameMake
from patterns.design.part import Part
from patterns.design.quantities import (
    Angle,
    At,
    Laminations,
    Length,
    Move,
    Names,
    NotNegative,
    Pair,
    Planking,
    Positions,
    Rake,
    Rate,
    Wood,
    Words,
)
from patterns.design.refs import Ref
from patterns.design.shared_keys import SidedKeys
from patterns.design.stem_models import StemEnd
from patterns.design.table_models import TableSpec
from patterns.errors import PatternsError

__all__ = [
    "BoatSpec",
    "DeckSpec",
    "Design",
    "FairingSpec",
    "FrameSpec",
    "KeelSpec",
    "LaidDeck",
    "LaidSpec",
    "LineSpec",
    "MarksSpec",
    "Part",
    "StemEnd",
    "StrakeSpec",
    "TableSpec",
    "TimberSpec",
    "TransomEnd",
]


Wanted = TypeVar("Wanted", bound=Part)


class BoatSpec(Part):
    """The boat."""

    name: Words = Field(description="The boat's name, lettered on every pattern.")
    without: Names = Field(
        default=(),
        description='Members that the boat does without on purpose, as check calls them: ["stem knee"]; it is '
        "silent about them then.",
    )
    confirmed: Confirmed = Field(
        default=(),
        description="Doubts that you have looked at and that are right as they are, by the code that check "
        'prints: ["thin-planking"]; check no longer reports them.',
    )


class FairingSpec(Part):
    """How the table is faired."""

    allow: Move = Field(
        default=1.5875,
        description='The farthest that fairing may move an offset, e.g. "1/16 in"; "0" holds every offset.',
    )
    ends: Literal["free", "natural"] = Field(
        default="free",
        description="The batten's ends: free runs on past the last duck as a real batten does; natural "
        "leaves them without moment.",
    )


class LineSpec(Part):
    """One line of the hull, from the centreline up; the first is the keel, the last the sheer."""

    name: Words = Field(description="The line's name, as the table's rows have it.")
    straight: StrictBool = Field(
        default=False, description="The line is straight on purpose, so that two points are enough."
    )
    knuckles: Names = Field(
        default=(), description='Stations where the line turns on purpose, as ["station 3"].'
    )


class TransomEnd(Part):
    """A transom, flat or curved, at the stern or at a pram's bow; the table's points lie on its outer face."""

    at: Literal["bow", "stern"] = Field(description="Which end this is.")
    kind: Literal["transom"] = Field(description="What is at this end.")
    rake: Rake = Field(
        description="The transom's rake, positive where its top leans out of the boat (aft at the stern, "
        'forward at the bow), e.g. "12 deg"; or "from the table", which takes it '
        "from the lines' ends."
    )
    radius: Length | None = Field(
        default=None,
        description="The radius of a curved transom's after face, measured square to the rake; left out, it "
        "is flat.",
    )
    panel: Wood = Field(description="The thickness of the transom's panel.")
    stock: Words = Field(description="The panel's wood, as named in the cut list.")
    laminations: Laminations = Field(default=1, description="How many laminations make up the panel.")
    framing: Wood | None = Field(
        default=None,
        description="The thickness of the framing inside of the panel; left out if there is none.",
    )
    framing_moulded: Wood | None = Field(
        default=None, description="The depth of the framing inward from the planking and down from the deck."
    )
    framing_stock: Words | Literal[""] = Field(default="", description="The framing's wood.")
    centre_post: Wood | None = Field(
        default=None, description="The breadth of the framing's centre post; left out if there is none."
    )
    post_dovetail: Wood | None = Field(
        default=None,
        description="Where the framing is half lapped: how much the centre post is narrowed on each side at the "
        "shoulders of its laps in the rails, which run out to its whole breadth over framing_moulded; left out, "
        "the laps are as wide as the post.",
    )
    framing_joints: Literal["butt", "half lap"] | None = Field(
        default=None,
        description="How the framing's rails, stiles and centre post join: butt, stiles and post standing between "
        "the rails; half lap, the rails keeping the half against the panel. Left out, the framing is one ring.",
    )
    dowel: Wood | None = Field(
        default=None,
        description="The diameter of dowels through framing and panel; left out if there are none.",
    )
    dowel_spacing: Length | None = Field(
        default=None, description="The largest distance between neighbouring dowels."
    )
    dowel_edge: Wood | None = Field(
        default=None, description="How far the dowels' centres keep from every edge and joint."
    )


class StrakeSpec(Part):
    """One strake of planking between two neighbouring lines, from the keel up."""

    name: Words = Field(description="The strake's name, as bottom or side.")
    between: Annotated[Pair, Ref("line")] = Field(
        description='Its lower line and its upper line, as ["keel", "chine"].'
    )
    planking: Planking = Field(description="The planking's thickness, square to its surface.")
    sections: Literal["straight", "developable", "round"] = Field(
        description="How the strake runs from line to line: straight at every station, or as a sheet bends, "
        "along rulings that have one tangent plane (developable), or as a round bilge, faired from the table's "
        "waterlines, buttocks and diagonals (round)."
    )


class DeckSpec(Part):
    """The deck, or that there is none."""

    kind: Literal["crowned", "none"] = Field(
        default="crowned", description="none: an open boat; its frames end at the sheer."
    )
    thickness: Planking | None = Field(
        default=None, description="The deck's thickness, square to its surface."
    )
    crown: NotNegative | None = Field(
        default=None, description='The rise of the common mould at the greatest breadth; "0" is a flat deck.'
    )
    rise_ratio: Rate | None = Field(
        default=None,
        alias="rise",
        description='Instead of crown: the rise per breadth, e.g. "1/2 in per 1 ft".',
    )


class LaidDeck(Part):
    """A deck that is there: what :class:`DeckSpec` comes to once it is checked."""

    thickness: float
    crown: float | None
    rise_ratio: float | None


class KeelSpec(EndedKeys):
    """The keel: a timber on the centreline, inside of the planking."""

    kind: Literal["keel"] = Field(description="What the timber is.")
    sided: Wood = Field(description="Its breadth athwartships, where it does not taper.")
    sided_fore: Wood | None = Field(
        default=None, description="Its breadth at its fore end, to which it tapers straight from taper_fore."
    )
    taper_fore: Annotated[Where | None, Ref("frame", reads=frame_names)] = Field(
        default=None, description="Where its taper forward begins: a station, a frame or a distance aft."
    )
    sided_aft: Wood | None = Field(
        default=None, description="Its breadth at its after end, to which it tapers straight from taper_aft."
    )
    taper_aft: Annotated[Where | None, Ref("frame", reads=frame_names)] = Field(
        default=None, description="Where its taper aft begins, given in the same way."
    )
    moulded: Wood = Field(description="Its depth in the profile.")
    lies: Literal["inside planking"] = Field(description="Where it lies.")


class LaidSpec(EndedKeys):
    """A timber that lies on the planking along a line: a chine log or a clamp."""

    kind: Literal["chine log", "clamp"] = Field(description="What the timber is.")
    follows: Annotated[Words, Ref("line")] = Field(description="The line that it runs along.")
    against: Annotated[Words, Ref("strake")] = Field(description="The strake that it lies against.")
    off: Wood = Field(description="Its thickness off the planking, square to it.")
    along: Wood = Field(description="Its width along the planking, across its run.")


TimberSpec = KeelSpec | LaidSpec


class FrameSpec(FrameMake, SidedKeys):
    """A built frame."""

    name: Words = Field(description="The frame's name or number.")
    at: At = Field(description='Where its moulded face is: a station, e.g. "station 3", or a distance aft.')
    rake: Angle = Field(default=0.0, description="Its rake, top aft positive.")
    cant: Angle = Field(
        default=0.0,
        description="How far its halves are turned about the vertical on the centreline, outboard ends "
        "aft positive.",
    )
    moulded_side: Wood = Field(description="Its least depth inward from the side's planking.")
    moulded_bottom: Wood = Field(description="Its least depth inward from the bottom's planking.")
    siding_runs: Literal["forward", "aft"] | None = Field(
        default=None,
        description="Which way its thickness runs from the moulded face; left out, away from the station of "
        "greatest breadth.",
    )


class MarksSpec(Part):
    """Marks that are drawn on the patterns besides what they need."""

    waterlines: Positions = Field(
        default=(), description='Heights above base that are drawn across the patterns, as ["1-0-0"].'
    )
    register_holes: Wood = Field(
        default=6.0, description="The diameter of the holes that register one face on the other."
    )


class Design(Part):
    """The whole design, checked.

    Attributes:
        wanted: every entry of a table that a kind of member reads, and of those that concern the whole design.
    """

    boat: BoatSpec
    table: TableSpec
    fairing: FairingSpec
    lines: tuple[LineSpec, ...]
    fore_end: StemEnd | TransomEnd
    after_end: StemEnd | TransomEnd
    strakes: tuple[StrakeSpec, ...]
    deck: LaidDeck | None
    marks: MarksSpec = MarksSpec()
    wanted: tuple[Part, ...] = ()

    @property
    def bow(self) -> StemEnd:
        """The stem at the bow.

        Raises:
            PatternsError: there is a transom.
        """
        if isinstance(self.fore_end, TransomEnd):
            raise PatternsError("it needs a stem at the bow, and this boat has a transom there")
        return self.fore_end

    @property
    def stern(self) -> TransomEnd:
        """The transom at the stern.

        Raises:
            PatternsError: there is a stem.
        """
        if isinstance(self.after_end, StemEnd):
            raise PatternsError("it needs a transom at the stern, and this boat has a stem there")
        return self.after_end

    def all(self, model: type[Wanted]) -> tuple[Wanted, ...]:
        """Every wanted piece of one kind, in the order of the file."""
        return tuple(part for part in self.wanted if isinstance(part, model))

    @property
    def frames(self) -> tuple[FrameSpec, ...]:
        """The sawn frames, in the order of the file."""
        return self.all(FrameSpec)

    @property
    def timbers(self) -> tuple[TimberSpec, ...]:
        """The keel and what lies in the corners of the planking, in the order of the file."""
        return tuple(part for part in self.wanted if isinstance(part, KeelSpec | LaidSpec))

    @property
    def keels(self) -> tuple[KeelSpec, ...]:
        """The keel; empty where there is none."""
        return self.all(KeelSpec)

    def laid(self, kind: str) -> tuple[LaidSpec, ...]:
        """The timbers of one kind that lie in a corner of the planking: "chine log" or "clamp"."""
        return tuple(timber for timber in self.all(LaidSpec) if timber.kind == kind)

    @property
    def waterlines(self) -> tuple[float, ...]:
        """Heights, mm, that are drawn across the patterns."""
        return self.marks.waterlines

    @property
    def register(self) -> float:
        """The diameter of register holes, mm."""
        return self.marks.register_holes
