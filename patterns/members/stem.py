"""The stem: rabbeted, or an inner stem that is bevelled and an outer stem added after planking.

Drawn on its side, seen from port: aft is to the right.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial

import numpy as np
import shapely
from shapely.geometry import Polygon

from patterns.boat import Boat
from patterns.design.kind import Table
from patterns.design.stem_models import StemEnd
from patterns.errors import PatternsError
from patterns.flat.polylines import lengths
from patterns.flat.shapes import area_of, inside_points, largest, outline_of
from patterns.hull.hull import Hull
from patterns.hull.planes import FloatArray, centre_plane
from patterns.joinery.keel_faces import keel_top
from patterns.joinery.stem_lands import (
    Landing,
    after_face,
    bearding_lines,
    check_lands,
    chine_marks,
    land_line,
    landing_at,
    rabbet_and_apex,
    stem_run,
)
from patterns.joinery.stem_parts import StemPiece, with_its_parts
from patterns.joinery.stem_wood import Foot, abaft, foot_of, strip, with_head
from patterns.joinery.wood import Piece, level_lines, wood_words
from patterns.member_kind import MemberKind
from patterns.members.stem_rules import stem_bounds, stem_rules
from patterns.pattern import Body, Kind, Line, Mark, Pattern, Reading, Span
from patterns.text.bevels import MOST_APART

__all__ = [
    "KIND",
    "Landing",
    "Stem",
    "after_face",
    "bearding_lines",
    "landing_at",
    "pieces",
    "stem_of",
    "stem_run",
]

SIDES = ("AFT", "FORWARD", "UP")
SEEN = "port side, seen from port"
HAIR = 0.01  # mm
INBOARD = -1.0  # from the port side the wood runs against the plane's normal, which points to port


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Stem:
    """The stem's lines in the profile, (n, 2) of x and z, mm, from the head down and aft.

    Attributes:
        t: the profile line's parameters from the sheer to the foot.
        rabbet: the rabbet line there.
        apex: the inner corner of the rabbet in space, (n, 3), where it has one.
        face: the same with the spare length of the head.
        foot: how it meets the keel; its outline and its real after face.
    """

    spec: StemEnd
    hull: Hull
    t: FloatArray
    rabbet: FloatArray
    apex: FloatArray | None
    face: FloatArray
    foot: Foot


def stem_of(boat: Boat) -> Stem:
    """The lines of the stem at the bow.

    Raises:
        PatternsError: it does not meet the keel as the design asks.
    """
    hull, spec = boat.hull, boat.design.bow
    t = stem_run(hull, spec.foot)
    rabbet = hull.profile.at(t)[:, [0, 2]]
    apex = None
    if spec.construction == "rabbeted":
        rabbet, apex = rabbet_and_apex(hull, 0.5 * spec.sided, spec.foot)
        if apex[:, 1].min() <= 0.0:
            raise PatternsError(
                f"the rabbets of both sides meet inside of it: it must be sided more than "
                f"{spec.sided - 2.0 * float(apex[:, 1].min()):.0f} mm for this planking"
            )
    return Stem(
        spec=spec,
        hull=hull,
        t=t,
        rabbet=rabbet,
        apex=apex,
        face=with_head(rabbet, spec.head),
        foot=foot_of(spec, rabbet, None if spec.joint == "butt" else keel_top(boat)),
    )


def pieces(boat: Boat) -> Iterator[Piece]:
    """The stem's pieces: one when rabbeted, two when inner and outer, and the parts that these are made of."""
    if isinstance(boat.design.fore_end, StemEnd):
        yield 'end "bow"', partial(_stem, boat)


def _stem(boat: Boat) -> tuple[Pattern, ...]:
    stem = stem_of(boat)
    spec = stem.spec
    run = lengths(stem.hull.profile.at(stem.t)[:, [0, 2]])
    parts = max(int(np.ceil(run[-1] / MOST_APART)), 1)
    places = np.interp(np.linspace(0.04, 0.96, parts + 1) * run[-1], run, stem.t)
    landings = [landing_at(stem.hull, float(place), 0.5 * spec.sided) for place in places]
    if stem.apex is None:
        check_lands(landings, 0.5 * spec.sided)
    main = StemPiece(
        pattern=_main(boat, stem, landings),
        wood=stem.foot.wood,
        face=stem.face,
        forward=spec.outside if spec.construction == "rabbeted" else 0.0,
        aft=spec.moulded,
        scarfs=spec.scarfs,
        stagger=spec.stagger,
        strips=spec.strips,
    )
    if spec.construction == "rabbeted":
        return with_its_parts(stem.hull, spec, main, stem.t)
    outline = largest(area_of(strip(stem.face, spec.outside, 0.0)))
    outer = StemPiece(
        pattern=_outer_stem(boat, stem, outline, landings),
        wood=outline,
        face=stem.face,
        forward=spec.outside,
        aft=0.0,
        scarfs=spec.outer_scarfs,
        stagger=None,
        strips=spec.outer_strips,
    )
    return (
        *with_its_parts(stem.hull, spec, main, stem.t),
        *with_its_parts(stem.hull, spec, outer, stem.t),
    )


def _main(boat: Boat, stem: Stem, landings: list[Landing]) -> Pattern:
    """The rabbeted stem, or the inner one, as a whole."""
    spec, hull, rabbet = stem.spec, stem.hull, stem.rabbet
    half = 0.5 * spec.sided
    outline = stem.foot.wood
    if stem.apex is not None:
        extra = [
            Line(kind=Kind.RABBET, points=rabbet, name="rabbet line"),
            Line(kind=Kind.APEX, points=stem.apex[:, [0, 2]], name="apex"),
        ]
        name, more = "stem", [f"{spec.outside:g} mm of wood forward of the rabbet line"]
    else:
        extra, name = [], "inner stem"
        more = ["Its forward face is square across; plane the lands from that face back to the bearding line"]
    beards = inside_points(outline, bearding_lines(hull, half))
    beards.sort(key=lambda piece: -float(lengths(piece)[-1]))  # the longest is named
    body, slabs = _slabs(stem, outline, landings)
    return Pattern(
        name=name,
        member="stem",
        stock=spec.stock,
        thickness=spec.sided,
        laminations=spec.laminations,
        quantity="1",
        face=SEEN,
        sides=SIDES,
        half=False,
        lines=(
            Line(kind=Kind.SAW, points=outline_of(outline), closed=True),
            *extra,
            *(
                Line(kind=Kind.BEARDING, points=piece, name="" if k else "bearding line")
                for k, piece in enumerate(beards)
            ),
            *level_lines(boat, outline, centre_plane()),
        ),
        readings=tuple(_reading(landing) for landing in landings),
        marks=(
            *(_landing_marks(landings) if stem.apex is None else ()),
            *_end_marks(rabbet),
            *chine_marks(hull, rabbet),
        ),
        spans=(_chord(rabbet),),
        facts=(
            *wood_words(spec),
            *more,
            *_profile_words(boat),
            *stem.foot.words,
            *_wide_lands(stem, landings),
            "Both sides alike: prick every line through to the other side",
        ),
        plane=centre_plane(-half),
        siding=INBOARD,
        body=body,
        slabs=slabs,
    )


def _slabs(stem: Stem, outline: Polygon, landings: list[Landing]) -> tuple[Body, tuple[Body, ...]]:
    """The wood: a slab about the centreline, and one on each side of it that is planed to the lands.

    The middle one is as broad as the face is where it is narrowest (in a rabbeted stem, as the wood between the
    rabbets); of the wood beside it forward of a rabbet the part square to the rabbet line is given.
    """
    half = 0.5 * stem.spec.sided
    inner = min(landing.face for landing in landings) if stem.apex is None else float(stem.apex[:, 1].min())
    middle = Body(plane=centre_plane(-inner), depth=-2.0 * inner, moulded=outline, other=outline)
    faces = [abaft(outline, land_line(stem.hull, y)) for y in (inner, half)]
    side = Body(
        plane=centre_plane(inner), depth=-(half - inner), moulded=faces[0], other=faces[1], mirrored=True
    )
    if stem.apex is None:
        return middle, (side,)
    ahead = largest(area_of(strip(stem.face, stem.spec.outside, 0.0)).intersection(outline))
    fore = Body(plane=centre_plane(inner), depth=-(half - inner), moulded=ahead, other=ahead, mirrored=True)
    return middle, (side, fore)


def _outer_stem(boat: Boat, stem: Stem, wood: Polygon, landings: list[Landing]) -> Pattern:
    spec = stem.spec
    outline = outline_of(wood)
    widest = max(landing.rabbet for landing in landings)
    narrowest = min(landing.rabbet for landing in landings)
    marks = [
        Mark(name=f"half siding at the back {landing.rabbet:.1f} mm", at=landing.at, towards=landing.towards)
        for landing in landings
    ]
    return Pattern(
        name="outer stem",
        member="stem",
        stock=spec.stock,
        thickness=2.0 * widest,
        laminations=1,
        quantity="1",
        face=SEEN,
        sides=SIDES,
        half=False,
        lines=(
            Line(kind=Kind.SAW, points=outline, closed=True),
            *level_lines(boat, wood, centre_plane()),
        ),
        marks=(*marks, *_end_marks(stem.rabbet)),
        spans=(_chord(stem.rabbet),),
        facts=(
            f"{spec.stock}, sided {2.0 * widest:.1f} mm at its back; added after planking",
            "Its back lands on the planed ends of the planks and the inner stem's face",
            *_profile_words(boat),
        ),
        plane=centre_plane(-widest),
        siding=INBOARD,
        body=Body(plane=centre_plane(-narrowest), depth=-2.0 * narrowest, moulded=wood, other=wood),
    )


def _profile_words(boat: Boat) -> list[str]:
    """What the pattern owes to a plan without a stem profile."""
    if boat.offsets.stem is not None:
        return []
    return [
        "No stem profile on the plan: the rabbet runs through the lines' ends; try a template on the boat"
    ]


def _wide_lands(stem: Stem, landings: list[Landing]) -> list[str]:
    """A word where the land takes up the whole depth, so that the after edge is narrower than the siding."""
    face = shapely.LineString(stem.face)
    wide = [
        land.at[1]
        for land in landings
        if face.distance(shapely.Point(_reading(land).at)) > stem.spec.moulded + HAIR
    ]
    if not wide:
        return []
    return [
        f"From height {min(wide):.0f} to {max(wide):.0f} mm the land takes up the whole depth of the piece"
    ]


def _reading(landing: Landing) -> Reading:
    at = (
        landing.at[0] + landing.bearding * landing.towards[0],
        landing.at[1] + landing.bearding * landing.towards[1],
    )
    return Reading(
        at=at,
        bevel=landing.bevel,
        towards=landing.towards,
        edge="land",
        where="land to stem's side",
        land=True,
    )


def _landing_marks(landings: list[Landing]) -> list[Mark]:
    return [
        Mark(
            name=f"half breadth of face {item.face:.1f} mm",
            at=item.at,
            towards=(-item.towards[0], -item.towards[1]),
        )
        for item in landings
    ]


def _end_marks(rabbet: FloatArray) -> list[Mark]:
    return [Mark(name="sheer", at=(float(rabbet[0, 0]), float(rabbet[0, 1])), towards=(-1.0, 0.0))]


def _chord(rabbet: FloatArray) -> Span:
    return Span(
        name="along the face, sheer to foot",
        start=(float(rabbet[0, 0]), float(rabbet[0, 1])),
        end=(float(rabbet[-1, 0]), float(rabbet[-1, 1])),
    )


KIND = MemberKind(
    name="stem",
    order=50,
    pieces=pieces,
    tables=(Table(name="end", model=StemEnd, kinds=("stem",), named=False, bounds=stem_bounds),),
    rules=(stem_rules,),
    at="stem",
)
