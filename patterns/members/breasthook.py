"""The breasthook: the knee that ties both clamps to the stem under the deck."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from itertools import pairwise
from math import degrees
from typing import Any

import numpy as np

from patterns.boat import Boat
from patterns.drawing.piece_maker import PieceMaker
from patterns.errors import PatternsError
from patterns.flat.polylines import conic, lengths
from patterns.hull.cuts import Trace
from patterns.hull.deck_heights import deck_over
from patterns.hull.planes import FloatArray, Plane, plane_through, station_plane
from patterns.hull.sections import sheer_corner
from patterns.joinery.clamp_faces import clamp_of
from patterns.joinery.knee_shapes import xy
from patterns.joinery.named_pieces import stem_name
from patterns.joinery.wood import Wanted, wood_fact
from patterns.member_kind import MemberKind
from patterns.members.breasthook_keys import BREASTHOOK, BreasthookSpec
from patterns.members.quarter_knee import clamp_trace
from patterns.members.stem import after_face
from patterns.text.wood_facts import Template
from patterns.wood.ends import EndError, HullEnd, Way
from patterns.wood.facts import Fact
from patterns.wood.features import Distance, Note
from patterns.wood.labels import Against, Centre, Deck, Free, Label, Landing, Nose, Planking, Trim
from patterns.wood.meeting import Joinery, Meeting, Slack
from patterns.wood.piece import Face, Hand, Piece, Stock, View
from patterns.wood.placement import OnFace
from patterns.wood.region import Area, Region
from patterns.wood.work_stage import WorkStage

__all__ = ["KIND", "WORDS", "breasthook_pieces", "breasthook_plane", "pieces"]

PLANED = 90.0  # mm between the places at which it is said how much comes off for the crown
LEAST_PLANED = 0.25  # mm; less is no planing to speak of
LEAST_GAP = 0.05  # mm; less is none


def breasthook_plane(boat: Boat, length: float, off: float) -> tuple[Plane, FloatArray]:
    """The plane through the deck's underside at the stem and at the toes, square to the centreline plane.

    Args:
        length: from the stem's after face to the toes, along the plane, mm.
        off: from the inside of planking to the faces that it fits (the clamps' thickness), mm.
    Returns:
        The plane, its origin on the stem's after face and v running aft; and the toe's place (3,).
    """
    after = after_face(boat.hull, boat.design.bow.foot, boat.design.bow.moulded)
    height = float(boat.hull.profile.at(np.array(boat.hull.profile.start))[2])
    for _ in range(12):  # the deck's underside and the stem's after face, each by the other, to a hair
        x = float(np.interp(height, after[::-1, 1], after[::-1, 0]))
        deck = boat.hull.deck_underside(station_plane(x))
        if deck is None:
            raise EndError(HullEnd.STEM, "the deck does not reach the {end}'s {end.inside}")
        height = float(deck.uv[0, 1])
    fore = np.array([x, 0.0, height])
    reach = length
    for _ in range(4):  # the plane's slope changes its reach along x by very little
        toe = sheer_corner(boat.hull, station_plane(x + reach), deeper=off)
        reach *= length / float(np.hypot(toe[0] - fore[0], toe[2] - fore[2]))
    return plane_through(fore, toe), toe


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
    clamp = clamp_of(boat)
    off = clamp.deep if clamp is not None else 0.0
    through, _ = breasthook_plane(boat, spec.length, off)
    siding = through.normal if through.normal[2] < 0.0 else -through.normal
    # Flat, it is lowered until no wood stands in the deck; crowned, raised until all that is planed away is there.
    top = through
    for _ in range(2):
        low, high = _deck_range(boat, top, spec, siding)
        top = top.moved(float(siding @ top.normal) * -(high if spec.top == "crowned" else low))
    nose, _ = _nose(boat, top)
    top = Plane(origin=top.origin + nose * top.v, u=top.u, v=top.v)  # its length counts from the stem there
    each = spec.sided / spec.laminations
    planes = [top.moved(float(siding @ top.normal) * k * each) for k in range(spec.laminations + 1)]
    if not spec.each_lamination:
        return (_piece(boat, spec, planes, siding, name="breasthook", under=high - low, crown=0.0),)
    laminations = [
        _piece(
            boat,
            spec,
            planes[k : k + 2],
            siding,
            name=f"breasthook lamination {k + 1}",
            under=high - low,
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


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Face:
    """One face of the breasthook, its starboard half.

    Attributes:
        edge: the faying edge from the stem to the toe.
        nose: where the stem's after face crosses the centreline, v, mm.
        into: the nose's unit normal, into the stem, (3,).
        start: the outline from the centreline along the stem to the faying edge, (n, 2).
        lies_on: what the faying edge lies on.
        beside: what the edge from the nose's end to the faying edge lies on.
    """

    edge: Trace
    nose: float
    into: FloatArray
    start: FloatArray
    lies_on: Label
    beside: Label

    def region(self, inner: FloatArray) -> Region:
        """Its wood, ended by an inner edge from the toe to the throat.

        Raises:
            PatternsError: the inner edge crosses the others.
        """
        nose: Label = Nose(HullEnd.STEM)
        starts = [nose] if len(self.start) == 1 else [nose, self.beside]
        edge = [*starts, *[self.lies_on] * (len(self.edge) - 1), Trim("after"), *[Free()] * (len(inner) - 1)]
        outline = np.vstack([self.start, self.edge.uv, inner])
        apart = np.hypot(*(np.roll(outline, -1, axis=0) - outline).T) > 0.0
        labels = [label for label, kept in zip([*edge, Centre()], apart, strict=True) if kept]
        try:
            return Region.within(outline[apart], labels)
        except ValueError as error:
            raise PatternsError(
                "its inner edge crosses its sides; make its throat or its toe less"
            ) from error

    def sources(self) -> dict[Label, Trace]:
        """What its bevelled edges are cut of: the faying edge, and the nose, straight across."""
        across = np.array([[0.0, self.nose], [float(np.vstack([self.start, self.edge.uv])[1, 0]), self.nose]])
        nose = Trace(uv=across, normal=np.array([self.into, self.into]), r=np.array([0.0, 1.0]))
        return {self.lies_on: self.edge, Nose(HullEnd.STEM): nose}


def _face(boat: Boat, spec: BreasthookSpec, plane: Plane) -> _Face:
    nose, into = _nose(boat, plane)
    trace = _beside(boat, plane)
    order = np.argsort(trace.uv[:, 1])
    run = Trace(uv=trace.uv[order], normal=trace.normal[order], r=trace.r[order])
    v, index = run.uv[:, 1], np.arange(len(run))
    if v[0] > nose or v[-1] < spec.length:
        words = "the side beside it does not reach from the {end} to the toes; make it shorter"
        raise EndError(HullEnd.STEM, words)
    first = float(np.interp(nose, v, index))
    start = np.array([[0.0, nose]])
    half = 0.5 * boat.design.bow.sided
    if run.place(first)[0][0] < half:
        # The clamps end on the planes of the stem's sides: abaft the stem it fills the room between their ends.
        first = float(np.interp(half, run.uv[:, 0], index))
        start = np.array([[0.0, nose], [half, nose]])
    if spec.stem == "notched":
        ahead = run.between(0.0, first)
        if len(start) > 1 or ahead.uv[:, 0].min() >= half:
            raise EndError(
                HullEnd.STEM,
                f"the {{end}}, sided {2.0 * half:g} mm, fills the room between the sides at its {{end.inside}}: "
                'there is nothing to notch it round; write stem = "butted"',
            )
        first = float(np.interp(half, run.uv[: int(first) + 2, 0], index[: int(first) + 2]))
        start = np.array([[0.0, nose], [half, nose]])
    return _Face(
        edge=run.between(first, float(np.interp(spec.length, v, index))),
        nose=nose,
        into=into,
        start=start,
        lies_on=_lies_on(boat),
        beside=Landing(HullEnd.STEM) if spec.stem == "notched" else Against("clamp"),
    )


def _lies_on(boat: Boat) -> Label:
    """What its arms lie against."""
    return Landing("clamp") if clamp_of(boat) is not None else Planking(boat.hull.strakes[-1].name)


def _beside(boat: Boat, plane: Plane) -> Trace:
    """What its arms lie against: the clamp's inner face, or the inside of planking where there is no clamp."""
    if clamp_of(boat) is not None:
        return clamp_trace(boat, plane)
    side = boat.hull.strakes[-1]
    trace = side.along(plane, inset=side.inset, r_range=(-0.5, 1.5))
    if trace is None:
        raise PatternsError("the breasthook's plane does not meet the planking")
    return trace


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
    faces = [_face(boat, spec, plane) for plane in planes]
    # The inner edge is square, so it is one line on every face: that of the narrowest.
    narrow = min(faces, key=lambda face: float(face.edge.uv[-1, 0])).edge
    inner = _inner(narrow.uv, spec.throat, spec.toe)
    woods = [face.region(inner) for face in faces]
    first, last = faces[0], faces[-1]
    thickness = spec.sided * (len(planes) - 1) / spec.laminations
    stock = Stock(wood=spec.stock, thickness=thickness, laminations=len(planes) - 1)
    sense = float(np.sign(siding @ planes[0].normal))
    planed, gone = None, max(under - crown, 0.0) if spec.top == "crowned" else 0.0
    if gone > 0.0:
        level = _face(boat, spec, planes[0].moved(sense * min(gone, thickness)))
        planed = (gone, level.region(inner))
    why = "planed to the crown" if spec.top == "crowned" else "flat; pack it to the deck"
    return Piece(
        name=name,
        member="breasthook",
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
        meetings=tuple(_meetings(boat, name, f"its top is {why}")),
        distances=(Distance(fact=Fact("nose-to-toe"), start=(0.0, first.nose), end=xy(first.edge.uv[-1])),),
        facts=(
            wood_fact(stock, way="sided"),
            Fact("top-slopes", {"up": float(np.arctan2(planes[0].v[2], planes[0].v[0])), "going": Way.AFT}),
            Fact("top-and-deck", {"flat": spec.top == "flat", "under": under, "crown": crown}),
            Fact("fits-the-clamps" if clamp_of(boat) is not None else "fits-the-planking"),
            Fact(
                "toes",
                {f: float(x.edge.uv[-1, 0] - inner[0, 0]) for f, x in (("this", first), ("other", last))},
            ),
        ),
        grain=(1.0, 0.0),
    )


def _meetings(boat: Boat, name: str, why: str) -> Iterator[Meeting]:
    """How it fits the clamps and the stem, and its top the deck.

    Args:
        why: it need not touch the deck.
    """
    clamp, keys = clamp_of(boat), ("[breasthook]",)
    if clamp is not None:
        edges = Landing("clamp"), Against("clamp")
        yield Meeting(kind=Joinery.EDGE, lands=name, on=clamp.name, keys=keys, edges=edges)
    at_stem = Nose(HullEnd.STEM), Landing(HullEnd.STEM)
    yield Meeting(kind=Joinery.EDGE, lands=name, on=stem_name(boat.design.bow), keys=keys, edges=at_stem)
    yield Meeting(kind=Joinery.FACE, lands=name, on=Deck(), keys=keys, faces=(0,), slack=Slack(why=why))


def _stem_note(boat: Boat, face: _Face) -> Note:
    at = 0.5 * boat.design.bow.sided, face.nose
    return Note(fact=Fact("its-side", {"of": HullEnd.STEM}), at=at, towards=(0.0, -1.0))


def _deck_range(boat: Boat, plane: Plane, spec: BreasthookSpec, siding: FloatArray) -> tuple[float, float]:
    """How far the deck's underside stands over the plane, square to it, over its wood: the least and the most, mm.

    Less than 0 where the deck dips below the plane.
    """
    face = _face(boat, spec, plane)
    under = _face(boat, spec, plane.moved(float(siding @ plane.normal) * spec.sided))
    narrow = min((face, under), key=lambda one: float(one.edge.uv[-1, 0]))
    inner = _inner(narrow.edge.uv, spec.throat, spec.toe)
    ring = np.vstack([face.start, face.edge.uv, inner])
    middle = np.stack([np.zeros(9), np.linspace(face.nose, spec.throat, 9)], axis=-1)
    over = deck_over(boat.hull, plane, np.vstack([ring, middle])) * abs(float(siding[2]))
    return float(over.min()), float(over.max())


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
    up = degrees(v["up"])
    return f"Its top lies in a plane sloping {abs(up):.1f}° {'up' if up > 0 else 'down'} going {v['going']}"


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


def _nose(boat: Boat, plane: Plane) -> tuple[float, FloatArray]:
    """Where the stem's after face crosses the plane (v, mm), and the nose's unit normal (3,), into the stem."""
    after = after_face(boat.hull, boat.design.bow.foot, boat.design.bow.moulded)
    points = np.stack([after[:, 0], np.zeros(len(after)), after[:, 1]], axis=-1)
    over = plane.height_over(points)
    crossing = np.nonzero((over[:-1] <= 0.0) != (over[1:] <= 0.0))[0]
    if len(crossing) == 0:
        words = "its plane does not meet the {end}'s {end.inside}; is the {end} moulded too deep?"
        raise EndError(HullEnd.STEM, words)
    i = int(crossing[0])
    part = over[i] / (over[i] - over[i + 1])
    run = points[i + 1] - points[i]
    into = np.array([run[2], 0.0, -run[0]])
    into = into if into[0] < 0.0 else -into
    return float(plane.flat(points[i] + part * run)[1]), into / np.linalg.norm(into)


def _inner(edge: FloatArray, throat: float, toe: float) -> FloatArray:
    """The inner edge from the toe's inner corner to the throat on the centreline; no arm is narrower than its toe.

    It leaves the toe parallel to the faying edge and crosses the centreline squarely.
    """
    end = edge[-1] - np.array([toe, 0.0])
    if end[0] <= 0.0:
        raise PatternsError(
            f"its toes are {toe:g} mm wide and take up its whole breadth, {edge[-1, 0]:.0f} mm to each side; "
            "make the toe narrower or the piece longer"
        )
    along = edge[-1] - edge[0]
    reach = float(end[0] - (end[1] - throat) * along[0] / along[1])
    least = float(end[1] - end[0] * along[1] / along[0])
    if throat >= edge[-1, 1] or reach <= 0.0:
        raise PatternsError(
            f"its throat is {throat:g} mm, but its arms leave room only from {max(least, 0.0):.0f} to "
            f"{edge[-1, 1]:.0f} mm; give it one between"
        )
    return conic(end, np.array([reach, throat]), np.array([0.0, throat]))


KIND = MemberKind.made(BREASTHOOK, pieces, stage=WorkStage.DECK, at="stem")
