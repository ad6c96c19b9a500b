"""Quarter knees: in the transom's upper corners, between the clamps and the transom's inner face."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import partial
from typing import Any, Literal

import numpy as np
from pydantic import Field

from patterns.boat import Boat
from patterns.design.agreement import clamps, deck_problems, throat_problems
from patterns.design.bounds import knee_bounds
from patterns.design.entries import Parts
from patterns.design.kind import Table
from patterns.design.missing import Missing, Stage
from patterns.design.models import Design, TransomEnd
from patterns.design.quantities import Length, Lengths, Words
from patterns.design.shared_keys import KneeKeys
from patterns.design.toml_file import DESIGN_FILE
from patterns.drawing.piece_maker import PieceMaker
from patterns.errors import PatternsError, Problem
from patterns.flat.shapes import outline_of
from patterns.hull.cuts import Trace
from patterns.hull.deck_heights import deck_over
from patterns.hull.planes import FloatArray, Plane, cross
from patterns.joinery.clamp_faces import clamp_line, clamp_of, clamp_rails, clamp_trace
from patterns.joinery.named_pieces import transom_whole
from patterns.joinery.two_faced_knees import (
    TWO_FACED_WORDS,
    TwoFaced,
    knee_planes,
    two_faced_knee,
    two_faced_piece,
)
from patterns.joinery.wood import Wanted
from patterns.member_kind import MemberKind
from patterns.text.angles import angle_words, half_degrees
from patterns.text.wood_facts import Template
from patterns.wood.ends import HullEnd
from patterns.wood.facts import Fact
from patterns.wood.labels import Deck, Landing
from patterns.wood.meeting import Joinery, Mate, Meeting, Slack
from patterns.wood.piece import Piece, View
from patterns.wood.placement import OnFace
from patterns.wood.work_stage import WorkStage

__all__ = ["KIND", "WORDS", "pieces", "quarter_knee_piece", "transom_inside"]

SQUARE = 0.05  # mm; what is less is none
AFT_OF_END = 500.0  # mm; the clamp's lines are carried on by less
BROADEST = 4_000.0  # mm; the half-breadth of no boat's transom is more


class QuarterKneeSpec(KneeKeys):
    """The knee in the transom's upper corner, between the clamp and the transom's inner face."""

    kind: Literal["quarter knee"] = Field(description="Which knee it is.")
    name: Words = Field(default="quarter knee", description="Its name, if it is not simply its kind.")
    lies: Literal["under the deck", "level"] = Field(
        default="under the deck",
        description="under the deck: its top goes through the deck's underside at the corner and both toes, e.g. "
        "high as the deck lets it; level: as high as the deck lets it.",
    )
    along_clamp: Length = Field(description="The length of the arm along the clamp.")
    along_transom: Length = Field(description="The length of the arm along the transom.")
    bolts_clamp: Lengths = Field(
        default=(), description='Where bolts go through the arm on the clamp, from the corner, as ["90 mm"].'
    )
    bolts_transom: Lengths = Field(default=(), description="The same for the arm on the transom.")


def pieces(boat: Boat) -> Iterator[Wanted]:
    """The quarter knees that the design asks for."""
    for spec in boat.design.all(QuarterKneeSpec):
        make = partial(_knee, boat, spec)
        yield f'knee "{spec.name}"', PieceMaker(boat=boat, make=make, words=WORDS)


def transom_inside(boat: Boat) -> Plane:
    """The forward face of the transom's wood under the deck: the framing's where there is one, else the panel's.

    Raises:
        PatternsError: the transom is curved.
    """
    spec = boat.design.stern
    if spec.radius is not None:
        raise PatternsError("the transom is curved; quarter knees are made for flat ones")
    return boat.hull.transom.moved(-(spec.panel + (spec.framing or 0.0)))


def _corner(boat: Boat, face: Plane) -> FloatArray:
    """Where the clamp's inner face, the transom and the deck's underside meet, (3,)."""
    return face.space(clamp_line(boat, face)[1])


def _top(boat: Boat, spec: QuarterKneeSpec, face: Plane) -> Plane:
    """The plane of its top: u outboard along the transom, v running aft, the wood along its normal, down.

    It goes through the deck's underside at the corner, and at both toes unless it is level.
    """
    corner = _corner(boat, face)
    deck = boat.hull.deck_underside(face)
    if deck is None:
        raise PatternsError("the deck does not reach the transom's inner face")
    if spec.lies == "level":
        u, v = np.array([0.0, 1.0, 0.0]), np.array([1.0, 0.0, 0.0])
    else:
        inboard = float(face.flat(corner)[0]) - spec.along_transom
        toe = face.space(np.array([inboard, float(np.interp(inboard, *deck.uv.T))]))
        upper = clamp_rails(boat)[:, 1]
        away = np.linalg.norm(upper - corner, axis=1)
        ahead = upper[:, 0] < corner[0]
        order = np.argsort(away[ahead])
        fore = np.array(
            [np.interp(spec.along_clamp, away[ahead][order], upper[ahead][order, k]) for k in range(3)]
        )
        u = corner - toe
        u = u / np.linalg.norm(u)
        v = corner - fore
        v = v - (v @ u) * u
        v = v / np.linalg.norm(v)
    return Plane(origin=corner - corner[1] / u[1] * u, u=u, v=v)  # u counts from the centreline


def _between(boat: Boat, spec: QuarterKneeSpec, top: Plane, face: Plane) -> TwoFaced:
    """The knee whose top lies in a plane."""
    planes = knee_planes(top, spec.sided, spec.laminations)
    return two_faced_knee(
        [(_aftermost(clamp_trace(boat, plane), spec), _on_transom(plane, face)) for plane in planes],
        arms=(spec.along_clamp, spec.along_transom),
        on=("the clamp", "the transom"),
        labels=(Landing("clamp"), Landing(HullEnd.TRANSOM)),
        throat=spec.throat,
        toe=spec.toe,
    )


def _aftermost(trace: Trace, spec: QuarterKneeSpec) -> Trace:
    """The after end of the clamp, well past the knee's arm."""
    far = int(np.argmax(np.hypot(*(trace.uv - trace.uv[0]).T) > 2.0 * spec.along_clamp + AFT_OF_END))
    return trace.between(0.0, float(far)) if far else trace


def _knee(boat: Boat, spec: QuarterKneeSpec) -> tuple[Piece, ...]:
    return (quarter_knee_piece(boat, spec),)


def quarter_knee_piece(boat: Boat, spec: QuarterKneeSpec) -> Piece:
    """One quarter knee, drawn as the starboard one from above.

    Raises:
        PatternsError: there is no clamp, or no such knee is to be had.
    """
    face = transom_inside(boat)
    top = _top(boat, spec, face)
    # The deck may dip below the plane somewhere over the knee: then it is lowered by so much.
    for _ in range(2):
        knee = _between(boat, spec, top, face)
        over = deck_over(boat.hull, top, outline_of(knee.woods[0].area))
        top = top.moved(-float(over.min()) * abs(float(top.normal[2])))
    knee = _between(boat, spec, top, face)
    gap = float(deck_over(boat.hull, top, outline_of(knee.woods[0].area)).max())
    arms = {"clamp": spec.along_clamp, "transom": spec.along_transom, "angle": knee.shape.angle}
    out, aft = (float(np.arcsin(way[2])) for way in (top.u, top.v))
    return two_faced_piece(
        knee,
        spec,
        view=View.FROM_ABOVE,
        on=OnFace(top, 1.0),
        lands=("clamp", "transom"),
        bolts=(spec.bolts_clamp, spec.bolts_transom),
        facts=(
            Fact("quarter-knee-arms", arms),
            Fact("quarter-knee-top", {"out": out, "aft": aft, "gap": gap}),
        ),
        meetings=tuple(_meetings(boat, spec, knee)),
    )


def _meetings(boat: Boat, spec: QuarterKneeSpec, knee: TwoFaced) -> Iterator[Meeting]:
    """How its arms land on clamp and transom, and its top under the deck."""
    clamp = clamp_of(boat)
    assert clamp is not None
    others: tuple[Mate, ...] = (clamp.name, transom_whole())
    for label, on, key in zip(knee.on, others, ("along_clamp", "along_transom"), strict=True):
        keys = (f'knee "{spec.name}", key {key}',)
        yield Meeting(kind=Joinery.EDGE, lands=spec.name, on=on, keys=keys, edges=(label,))
    yield Meeting(
        kind=Joinery.FACE,
        lands=spec.name,
        on=Deck(),
        keys=(f'knee "{spec.name}", key lies',),
        faces=(0,),
        slack=Slack(why="its top is flat; pack it to the deck"),
    )


def _top_words(v: Mapping[str, Any], _: object) -> str:
    """How its top lies, and how far under the deck."""
    out, aft = half_degrees(v["out"]), half_degrees(v["aft"])
    if not out and not aft:
        words = "Its top is level"
    else:
        words = (
            f"Its top slopes {abs(out):g}° {'up' if out > 0 else 'down'} going outboard along the transom and "
            f"{abs(aft):g}° {'up' if aft > 0 else 'down'} going aft square to that"
        )
    return words + (
        f"; the deck's underside is up to {v['gap']:.1f} mm above it" if v["gap"] >= SQUARE else ""
    )


WORDS: Mapping[str, Template] = {
    **TWO_FACED_WORDS,
    "moulded face from above": lambda _, __: "top face (moulded) of the starboard one, seen from above",
    "other face from above": lambda _, __: "under face of the starboard one, seen from below",
    "quarter-knee-arms": lambda v, _: (
        f"Arms {v['clamp']:g} mm along the clamp, {v['transom']:g} mm along the transom; angle between them "
        f"{angle_words(v['angle'])}"
    ),
    "quarter-knee-top": _top_words,
}


def _on_transom(plane: Plane, face: Plane) -> Trace:
    """The transom's inner face cut by the knee's, from outboard inward."""
    along = cross(plane.normal, face.normal)
    along = along / np.linalg.norm(along)
    along = along if along[1] < 0.0 else -along
    # A point of both planes on the centreline, as both planes' origins are.
    toward = plane.v - (plane.v @ along) * along
    start = plane.origin
    at = start - float(face.height_over(start)) / float(toward @ face.normal) * toward
    points = at + np.linspace(-BROADEST, 0.0, 61)[:, None] * along
    return Trace(
        uv=plane.flat(points), normal=np.broadcast_to(face.normal, points.shape), r=np.linspace(0.0, 1.0, 61)
    )


def _rules(parts: Parts) -> Iterator[Problem]:
    """Its throat lies within its arms; it has a clamp to land on and a deck to lie under."""
    for place, knee in parts.all(QuarterKneeSpec):
        yield from throat_problems(place, knee.throat, (knee.along_clamp, knee.along_transom))
        if not clamps(parts) and "timber" not in parts.unread:
            what = "it lands on the clamp, and the design has none"
            yield Problem(place, what, "give a clamp", code="no-clamp")
        yield from deck_problems(parts, place, what="it lies under the deck")


def _misses(design: Design) -> Iterator[Missing]:
    """One at a transom at the stern, where there is a clamp."""
    end = design.after_end
    if isinstance(end, TransomEnd) and design.laid("clamp") and not design.all(QuarterKneeSpec):
        yield Missing(
            stage=Stage.TRANSOM,
            name="quarter knee",
            place=f'{DESIGN_FILE}, end "{end.at}"',
            what="no quarter knee ties the clamp to the transom's upper corner",
        )


KIND = MemberKind(
    name="quarter knee",
    order=130,
    pieces=pieces,
    stage=WorkStage.DECK,
    tables=(
        Table(name="knee", model=QuarterKneeSpec, kinds=("quarter knee",), sawn="sided", bounds=knee_bounds),
    ),
    rules=(_rules,),
    misses=_misses,
)
