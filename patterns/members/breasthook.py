"""The breasthook: the knee that ties both clamps to the stem under the deck."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from functools import partial
from itertools import pairwise
from typing import Any

import numpy as np

from patterns.boat import Boat
from patterns.design.deck_models import BreasthookSpec
from patterns.drawing.piece_maker import PieceMaker
from patterns.flat.polylines import lengths
from patterns.hull.deck_heights import deck_over
from patterns.hull.planes import FloatArray, Plane
from patterns.joinery.breasthook_faces import HookFace, hook_face, hook_inner, hook_of
from patterns.joinery.clamp_faces import clamp_of
from patterns.joinery.knee_shapes import xy
from patterns.joinery.named_pieces import stem_name
from patterns.joinery.wood import Wanted, wood_fact
from patterns.member_kind import MemberKind
from patterns.members.breasthook_keys import BREASTHOOK
from patterns.text.angles import angle_words
from patterns.text.wood_facts import Template
from patterns.wood.ends import HullEnd, Way
from patterns.wood.facts import Fact
from patterns.wood.features import Distance, Note
from patterns.wood.labels import Against, Deck, Landing, Nose
from patterns.wood.meeting import Joinery, Meeting, Slack
from patterns.wood.piece import Face, Hand, Piece, Stock, View
from patterns.wood.placement import OnFace
from patterns.wood.region import Area
from patterns.wood.work_stage import WorkStage

__all__ = ["KIND", "WORDS", "breasthook_pieces", "pieces"]

PLANED = 90.0  # mm between the places at which it is said how much comes off for the crown
LEAST_PLANED = 0.25  # mm; less is no planing to speak of
LEAST_GAP = 0.05  # mm; less is none


def pieces(boat: Boat) -> Iterator[Wanted]:
    """The breasthook, if the design has one."""
    for spec in boat.design.all(BreasthookSpec):
        make = partial(breasthook_pieces, boat, spec)
        yield "[breasthook]", PieceMaker(boat=boat, make=make, words=WORDS)


def breasthook_pieces(boat: Boat, spec: BreasthookSpec) -> tuple[Piece, ...]:
    """The breasthook, or each of its laminations.

    Raises:
        PatternsError: the sides do not reach the plane, or the throat and toes leave no wood.
    """
    hook = hook_of(boat, spec)
    planes, siding, under = hook.planes, hook.siding, hook.high - hook.low
    each = spec.sided / spec.laminations
    if not spec.each_lamination:
        return (_piece(boat, spec, planes, siding, name="breasthook", under=under, crown=0.0),)
    laminations = [
        _piece(
            boat,
            spec,
            planes[k : k + 2],
            siding,
            name=f"breasthook lamination {k + 1}",
            under=under,
            crown=k * each,
        )
        for k in range(spec.laminations)
    ]
    glued = [
        Meeting(kind=Joinery.FACE, lands=under.name, on=over.name, faces=(0,))
        for over, under in pairwise(laminations)
    ]
    first, *rest = laminations
    return first, *(
        replace(each, meetings=(*each.meetings, face)) for each, face in zip(rest, glued, strict=True)
    )


def _piece(
    boat: Boat,
    spec: BreasthookSpec,
    planes: Sequence[Plane],
    siding: FloatArray,
    *,
    name: str,
    under: float,
    crown: float,
) -> Piece:
    """One stack of laminations, or one of them.

    Args:
        planes: its faces from the top one down.
        under: the most that is planed off for the crown, or by which the deck stands above its flat top, mm.
        crown: how far the first face lies below the whole breasthook's top, mm.
    """
    faces = [hook_face(boat, spec, plane) for plane in planes]
    # The inner edge is square, so it is one line on every face: that of the narrowest.
    narrow = min(faces, key=lambda face: float(face.edge.uv[-1, 0])).edge
    inner = hook_inner(narrow.uv, spec.throat, spec.toe)
    woods = [face.region(inner) for face in faces]
    first, last = faces[0], faces[-1]
    thickness = spec.sided * (len(planes) - 1) / spec.laminations
    stock = Stock(wood=spec.stock, thickness=thickness, laminations=len(planes) - 1)
    toes = {which: float(x.edge.uv[-1, 0] - inner[0, 0]) for which, x in (("this", first), ("other", last))}
    sense = float(np.sign(siding @ planes[0].normal))
    planed, gone = None, max(under - crown, 0.0) if spec.top == "crowned" else 0.0
    if gone > 0.0:
        level = hook_face(boat, spec, planes[0].moved(sense * min(gone, thickness)))
        planed = (gone, level.region(inner))
    return Piece(
        name=name,
        member="breasthook",
        part_of="" if len(planes) == len(hook_of(boat, spec).planes) else "breasthook",
        stock=stock,
        hand=Hand.CENTRE,
        view=View.FROM_ABOVE,
        placement=OnFace(planes[0], sense),
        faces=(
            Face(
                region=woods[0],
                sources=first.sources(),
                notes=(_stem_note(boat, first), *_planing_notes(boat, spec, planes[0], woods[0].area)),
            ),
            Face(region=woods[-1], sources=last.sources(), notes=(_stem_note(boat, last),)),
        ),
        layers=tuple(woods[1:-1]),
        planed=planed,
        matched=True,
        centreline=(0.0, spec.length),
        flips=(first.nose, spec.length),
        meetings=tuple(_meetings(boat, spec, name)),
        distances=(Distance(fact=Fact("nose-to-toe"), start=(0.0, first.nose), end=xy(first.edge.uv[-1])),),
        facts=(
            wood_fact(stock, way="sided"),
            _slope(planes[0]),
            Fact("top-and-deck", {"flat": spec.top == "flat", "under": under, "crown": crown}),
            Fact("fits-the-clamps" if clamp_of(boat) is not None else "fits-the-planking"),
            Fact("toes", toes),
        ),
        grain=(1.0, 0.0),
    )


def _slope(top: Plane) -> Fact:
    return Fact("top-slopes", {"up": float(np.arctan2(top.v[2], top.v[0])), "going": Way.AFT})


def _meetings(boat: Boat, spec: BreasthookSpec, name: str) -> Iterator[Meeting]:
    """How it fits the clamps and the stem, and its top the deck, which it need not touch on paper."""
    why = f"its top is {'planed to the crown' if spec.top == 'crowned' else 'flat; pack it to the deck'}"
    clamp, keys = clamp_of(boat), ("[breasthook]",)
    if clamp is not None:
        edges = Landing("clamp"), Against("clamp")
        yield Meeting(kind=Joinery.EDGE, lands=name, on=clamp.name, keys=keys, edges=edges)
    at_stem = Nose(HullEnd.STEM), Landing(HullEnd.STEM)
    yield Meeting(kind=Joinery.EDGE, lands=name, on=stem_name(boat.design.bow), keys=keys, edges=at_stem)
    yield Meeting(kind=Joinery.FACE, lands=name, on=Deck(), keys=keys, faces=(0,), slack=Slack(why=why))


def _stem_note(boat: Boat, face: HookFace) -> Note:
    at = 0.5 * boat.design.bow.sided, face.nose
    return Note(fact=Fact("its-side", {"of": HullEnd.STEM}), at=at, towards=(0.0, -1.0))


def _crown_words(v: Mapping[str, Any], _: object) -> str:
    if v["flat"]:
        if v["under"] < LEAST_GAP:
            return "Its top is flat and meets the deck's underside"
        return f"Its top is flat; the deck's underside is up to {v['under']:.1f} mm above it: pack that"
    if v["crown"] >= v["under"]:
        return "Lies whole under the crown that is planed above it"
    off = v["under"] - v["crown"]
    return f"Glued up, its top is planed to the deck's crown: up to {off:.1f} mm comes off, as marked"


def _slope_words(v: Mapping[str, Any], _: object) -> str:
    way = "up" if v["up"] > 0 else "down"
    return f"Its top lies in a plane sloping {angle_words(v['up'])} {way} going {v['going']}"


WORDS: Mapping[str, Template] = {
    "moulded face from above": lambda _, __: "top face (moulded), seen from above",
    "other face from above": lambda _, __: "under face, seen from below",
    "top-slopes": _slope_words,
    "top-and-deck": _crown_words,
    "fits-the-clamps": lambda _, __: "Fits the clamps' inner faces",
    "fits-the-planking": lambda _, __: "Fits the inside of planking",
    "toes": lambda v, _: (
        f"Toes {v['this']:.0f} mm on this face, {v['other']:.0f} mm on the other: the inner edge is square"
    ),
    "its-side": lambda v, _: f"{v['of']}'s side",
    "planed-off": lambda v, _: f"off {v['off']:.1f}",
    "nose-to-toe": lambda _, __: "nose to toe",
}


def _planing_notes(boat: Boat, spec: BreasthookSpec, top: Plane, half: Area) -> tuple[Note, ...]:
    """How much wood comes off for the crown, along the centreline, the faying edge and the inner edge."""
    if spec.top == "flat":
        return ()
    ring = np.asarray(half.exterior.coords)[:-1]
    run = lengths(np.vstack([ring, ring[:1]]))
    spaced = np.unique([int(np.abs(run[:-1] - far).argmin()) for far in np.arange(0.0, run[-1], PLANED)])
    places = np.vstack([
        ring[spaced], np.stack([np.zeros(2), np.linspace(ring[0, 1], spec.throat, 4)[1:-1]], axis=-1)
    ])  # fmt: skip
    off = -deck_over(boat.hull, top, places) * abs(float(top.normal[2]))
    return tuple(
        Note(fact=Fact("planed-off", {"off": float(amount)}), at=xy(place))
        for place, amount in zip(places, off, strict=True)
        if amount > LEAST_PLANED
    )


KIND = MemberKind.made(BREASTHOOK, pieces, stage=WorkStage.DECK, at="stem")
