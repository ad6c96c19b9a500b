"""The stem: rabbeted, or an inner stem that is bevelled and an outer stem added after planking.

Drawn on its side, seen from port: aft is to the right.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely.geometry import Polygon

from patterns.boat import Boat
from patterns.design.kind import Table
from patterns.design.stem_models import StemEnd
from patterns.drawing.piece_maker import PieceMaker
from patterns.errors import PatternsError
from patterns.flat.polylines import lengths
from patterns.flat.shapes import inside_points
from patterns.hull.hull import Hull
from patterns.hull.planes import FloatArray, centre_plane
from patterns.joinery.keel_faces import keel_top
from patterns.joinery.knee_shapes import xy
from patterns.joinery.named_pieces import keel_name, stem_name
from patterns.joinery.stem_lands import (
    StemLanding,
    after_face,
    bearding_lines,
    check_lands,
    chine_notes,
    land_line,
    landing_at,
    rabbet_and_apex,
    stem_run,
)
from patterns.joinery.stem_parts import StemPiece, with_its_parts
from patterns.joinery.stem_wood import Foot, abaft, foot_of, strip, with_head
from patterns.joinery.wood import Wanted, levels_scribed, sided_fact, stock_of
from patterns.member_kind import MemberKind
from patterns.members.stem_rules import stem_bounds, stem_rules
from patterns.text.bevels import reading_places
from patterns.text.stem_words import WORDS
from patterns.wood.ends import BoatEnd, EndText, HullEnd
from patterns.wood.facts import Fact
from patterns.wood.features import Distance, LandBevel, Note, Scribed
from patterns.wood.labels import Against, Free, Land, Trim
from patterns.wood.meeting import Joinery, Meeting, Seat
from patterns.wood.piece import Face, Hand, Papers, Piece, Step, Stock, View
from patterns.wood.placement import OnFace
from patterns.wood.region import Region, largest_of
from patterns.wood.work_stage import WorkStage

__all__ = [
    "KIND",
    "WORDS",
    "Stem",
    "StemLanding",
    "after_face",
    "bearding_lines",
    "landing_at",
    "pieces",
    "stem_of",
    "stem_pieces",
    "stem_run",
]

MOST_APART = 150.0  # mm along the profile between the places where its lands are looked at

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


def pieces(boat: Boat) -> Iterator[Wanted]:
    """The stem's pieces: one when rabbeted, two when inner and outer, and the parts that these are made of."""
    if isinstance(boat.design.fore_end, StemEnd):
        place = EndText(BoatEnd.BOW, before='end "', after='"')
        yield place, PieceMaker(boat=boat, make=lambda: tuple(stem_pieces(boat)), words=WORDS)


def stem_pieces(boat: Boat) -> Iterator[Piece]:
    """The stem at the bow, inner and outer, and the parts or the mould of each.

    Raises:
        PatternsError: the planking does not land on it, or it does not meet the keel as the design asks.
    """
    stem = stem_of(boat)
    spec = stem.spec
    run = lengths(stem.hull.profile.at(stem.t)[:, [0, 2]])
    parts = max(int(np.ceil(run[-1] / MOST_APART)), 1)
    places = np.interp(np.linspace(0.04, 0.96, parts + 1) * run[-1], run, stem.t)
    landings = [landing_at(stem.hull, float(place), 0.5 * spec.sided) for place in places]
    if stem.apex is None:
        check_lands(landings, 0.5 * spec.sided)
    on_keel, beside = _on_keel(boat, stem), _on_inner(stem)
    main = StemPiece(
        piece=replace(_main(boat, stem, landings), meetings=(*on_keel, *beside)),
        wood=stem.foot.wood,
        face=stem.face,
        forward=spec.outside if spec.construction == "rabbeted" else 0.0,
        aft=spec.moulded,
        scarfs=spec.scarfs,
        stagger=spec.stagger,
        strips=spec.strips,
    )
    yield from with_its_parts(stem.hull, spec, main, stem.t)
    if spec.construction == "rabbeted":
        return
    wood = strip(stem.face, spec.outside, 0.0)
    outer = StemPiece(
        piece=replace(_outer_stem(boat, stem, wood, landings), meetings=beside),
        wood=wood,
        face=stem.face,
        forward=spec.outside,
        aft=0.0,
        scarfs=spec.outer_scarfs,
        stagger=None,
        strips=spec.outer_strips,
    )
    yield from with_its_parts(stem.hull, spec, outer, stem.t)


def _on_keel(boat: Boat, stem: Stem) -> tuple[Meeting, ...]:
    """How the foot meets the keel."""
    if not any(run.kind == "keel" for run in boat.runs):
        return ()
    spec, wood = stem.spec, stem.foot.wood
    heel = wood.lines(Against("keel"))
    kind = {"heel on the keel": Joinery.EDGE, "scarf": Joinery.SCARF}.get(spec.joint, Joinery.BUTT)
    seat = Seat(plane=centre_plane(), shape=wood.lines(Trim("foot")) if heel.is_empty else heel)
    keys = (f'end "{spec.at}", key joint',)
    return (Meeting(kind=kind, lands=stem_name(spec), on=keel_name(boat), keys=keys, seats=(seat,)),)


def _on_inner(stem: Stem) -> tuple[Meeting, ...]:
    """How the outer stem lies on the inner one and on the planking's edges: along the rabbet line."""
    spec = stem.spec
    if spec.construction == "rabbeted":
        return ()
    seat = Seat(plane=centre_plane(), shape=shapely.linestrings(stem.rabbet))
    outer, keys = EndText(HullEnd.STEM, before="outer "), (f'end "{spec.at}", key construction',)
    return (Meeting(kind=Joinery.EDGE, lands=outer, on=stem_name(spec), keys=keys, seats=(seat,)),)


def _main(boat: Boat, stem: Stem, landings: Sequence[StemLanding]) -> Piece:
    """The rabbeted stem, or the inner one, as a whole."""
    spec, hull, half = stem.spec, stem.hull, 0.5 * stem.spec.sided
    wood = stem.foot.wood
    more = Fact("ahead-of-rabbet", {"outside": spec.outside, "end": HullEnd.STEM})
    rabbet, breadths = [], []
    if stem.apex is None:
        more = Fact("lands-to-plane", {"end": HullEnd.STEM})
        breadths = [_breadth_note(landing) for landing in landings]
    else:
        rabbet = [
            Scribed(fact=Fact("rabbet-line"), points=stem.rabbet),
            Scribed(fact=Fact("apex"), points=stem.apex[:, [0, 2]]),
        ]
    beards = inside_points(wood.area, bearding_lines(hull, half))
    beards.sort(key=lambda piece: -float(lengths(piece)[-1]))  # the longest is named
    side, beside = _beside(stem, landings)
    inner = _least_half(stem, landings)
    return Piece(
        name=EndText(HullEnd.STEM, before="inner " if stem.apex is None else ""),
        member="stem",
        stock=stock_of(spec),
        hand=Hand.CENTRE,
        view=View.FROM_PORT,
        papers=Papers.OUTLINE,
        placement=OnFace(centre_plane(-half), INBOARD),
        faces=(
            Face(
                region=side,
                sources={},
                notes=(*breadths, _sheer(stem.rabbet), *chine_notes(hull, stem.rabbet)),
                scribed=(
                    *rabbet,
                    *(
                        Scribed(fact=Fact("bearding-line"), points=line, named=k == 0)
                        for k, line in enumerate(beards)
                    ),
                    *levels_scribed(boat, wood.area, centre_plane()),
                ),
                lands=_lands(landings, 0.5 * spec.sided),
            ),
            Face(region=side, sources={}),
        ),
        steps=(
            Step(depth=half - inner, before=beside, after=wood),
            Step(depth=half + inner, before=wood, after=beside),
        ),
        distances=(_chord(stem.rabbet),),
        facts=(
            sided_fact(spec),
            more,
            *_profile_facts(boat),
            *stem.foot.facts,
            *_wide_lands(stem, landings),
            Fact("sides-alike"),
        ),
    )


def _least_half(stem: Stem, landings: Sequence[StemLanding]) -> float:
    """The half-breadth within which the stem is whole: at the narrowest of its face, or between its rabbets, mm."""
    if stem.apex is None:
        return min(landing.face for landing in landings)
    return float(stem.apex[:, 1].min())


def _beside(stem: Stem, landings: Sequence[StemLanding]) -> list[Region]:
    """The wood on the stem's sides, and beside the middle that is whole; between the two it is planed to the lands.

    Of the wood forward of a rabbet the part square to the rabbet line is given.
    """
    wood, half = stem.foot.wood, 0.5 * stem.spec.sided
    levels = [abaft(wood, land_line(stem.hull, y)) for y in (half, _least_half(stem, landings))]
    if stem.apex is None:
        return levels
    ahead = largest_of(strip(stem.face, stem.spec.outside, 0.0, on_face=Land()).both(wood))
    return [level.joined(ahead) for level in levels]


def _outer_stem(boat: Boat, stem: Stem, wood: Region, landings: Sequence[StemLanding]) -> Piece:
    """The outer stem; its wood is counted where it is as broad all along, within its planed back."""
    spec = stem.spec
    widest = max(landing.rabbet for landing in landings)
    narrowest = min(landing.rabbet for landing in landings)
    stock = Stock(wood=spec.stock, thickness=2.0 * widest)
    none = Region.of(Polygon(), Free())
    breadths = [
        Note(
            fact=Fact("back-siding", {"half_breadth": landing.rabbet}), at=landing.at, towards=landing.towards
        )
        for landing in landings
    ]
    return Piece(
        name=EndText(HullEnd.STEM, before="outer "),
        member="stem",
        stock=stock,
        hand=Hand.CENTRE,
        view=View.FROM_PORT,
        papers=Papers.OUTLINE,
        placement=OnFace(centre_plane(-widest), INBOARD),
        faces=(
            Face(
                region=none,
                sources={},
                notes=(*breadths, _sheer(stem.rabbet)),
                scribed=tuple(levels_scribed(boat, wood.area, centre_plane())),
            ),
            Face(region=none, sources={}),
        ),
        steps=(
            Step(depth=widest - narrowest, before=none, after=wood),
            Step(depth=widest + narrowest, before=wood, after=none),
        ),
        distances=(_chord(stem.rabbet),),
        facts=(
            Fact("outer-wood", {"stock": stock.wood, "thickness": stock.thickness}),
            Fact("outer-back", {"end": HullEnd.STEM}),
            *_profile_facts(boat),
        ),
    )


def _profile_facts(boat: Boat) -> tuple[Fact, ...]:
    """What the piece owes to a plan without a stem profile."""
    return (Fact("no-stem-profile", {"end": HullEnd.STEM}),) if boat.offsets.stem is None else ()


def _wide_lands(stem: Stem, landings: Sequence[StemLanding]) -> Iterator[Fact]:
    """Where the land takes up the whole depth, so that the after edge is narrower than the siding."""
    face = shapely.LineString(stem.face)
    wide = [
        land.at[1]
        for land in landings
        if face.distance(shapely.Point(_land_bevel(land).at)) > stem.spec.moulded + HAIR
    ]
    if wide:
        yield Fact("wide-land", {"low": min(wide), "high": max(wide)})


def _lands(landings: Sequence[StemLanding], half_siding: float) -> tuple[LandBevel, ...]:
    """The angles of the lands: those from one to the next of which the land can be planed straight."""
    lands = [_land_bevel(landing) for landing in landings]
    at, bevel = np.array([land.at for land in lands]), np.array([land.bevel for land in lands])
    return tuple(lands[place] for place in reading_places(at, bevel, half_siding))


def _land_bevel(landing: StemLanding) -> LandBevel:
    return LandBevel(
        fact=Fact("land", {"end": HullEnd.STEM}),
        at=(
            landing.at[0] + landing.bearding * landing.towards[0],
            landing.at[1] + landing.bearding * landing.towards[1],
        ),
        bevel=landing.bevel,
        towards=landing.towards,
    )


def _breadth_note(landing: StemLanding) -> Note:
    return Note(
        fact=Fact("face-breadth", {"half_breadth": landing.face}),
        at=landing.at,
        towards=(-landing.towards[0], -landing.towards[1]),
    )


def _sheer(rabbet: FloatArray) -> Note:
    return Note(fact=Fact("sheer"), at=xy(rabbet[0]), towards=(-1.0, 0.0))


def _chord(rabbet: FloatArray) -> Distance:
    return Distance(fact=Fact("face-chord"), start=xy(rabbet[0]), end=xy(rabbet[-1]))


KIND = MemberKind(
    name="stem",
    order=50,
    pieces=pieces,
    stage=WorkStage.STEM_AND_KEEL,
    tables=(Table(name="end", model=StemEnd, kinds=("stem",), named=False, bounds=stem_bounds),),
    rules=(stem_rules,),
    at="stem",
)
