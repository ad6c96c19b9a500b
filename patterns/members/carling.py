"""Carlings: fore-and-aft timbers under the deck, let into the beams, their tops bevelled to the crown."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import partial
from typing import Any

import numpy as np
from shapely.geometry import Polygon

from patterns.boat import Boat
from patterns.design.deck_models import CarlingSpec
from patterns.design.entries import Parts
from patterns.design.kind import Table
from patterns.drawing.of_piece import pattern_of
from patterns.errors import Problem
from patterns.flat.polylines import lengths
from patterns.hull.cuts import Trace
from patterns.hull.planes import FloatArray, Plane
from patterns.joinery.cut_ends import end_cuts, end_sources, stretches
from patterns.joinery.deck_work import above, below
from patterns.joinery.fore_and_aft import Lengthwise, lengthwise_called
from patterns.joinery.hosts import Host
from patterns.joinery.let_in import let_in
from patterns.joinery.wood import Wanted, sided_fact, stock_of
from patterns.member_kind import MemberKind
from patterns.members.beam_rules import deck_timber_bounds, lapped_rules
from patterns.pattern import Pattern
from patterns.text.angles import angle_words, half_degrees
from patterns.text.wood_facts import Lengths, Template
from patterns.wood.facts import Fact
from patterns.wood.features import Distance
from patterns.wood.labels import Deck, Free, Label
from patterns.wood.piece import Face, Hand, Papers, Piece, View
from patterns.wood.placement import OnFace
from patterns.wood.region import Region, largest_of
from patterns.wood.work_stage import WorkStage

__all__ = ["KIND", "WORDS", "carling_piece", "fore_and_aft_piece", "pieces"]

SQUARE = 0.05  # mm or degrees; what is less is none


def pieces(boat: Boat) -> Iterator[Wanted]:
    """Every carling in the design."""
    for spec in boat.design.all(CarlingSpec):
        yield f'carling "{spec.name}"', partial(_carling, boat, spec)


def _carling(boat: Boat, spec: CarlingSpec) -> tuple[Pattern, ...]:
    return (pattern_of(boat, carling_piece(boat, spec), WORDS),)


def carling_piece(boat: Boat, spec: CarlingSpec) -> Piece:
    """One carling.

    Raises:
        PatternsError: it cannot be placed, or a notch cuts it in two.
    """
    carling = lengthwise_called(boat, spec.name)
    plane = carling.faces[0]
    runs = Fact("runs", {"angle": float(np.arctan2(plane.u[1], plane.u[0]))})
    return fore_and_aft_piece(
        boat,
        carling,
        member="carling",
        hand=Hand.PAIR,
        view=View.FROM_INBOARD,
        facts=(runs, Fact("port-one-is-mirror")),
    )


def fore_and_aft_piece(
    boat: Boat,
    laid: Lengthwise,
    *,
    member: str,
    hand: Hand,
    view: View,
    facts: Sequence[Fact],
    papers: Papers = Papers.EACH_FACE,
) -> Piece:
    """A timber that runs fore and aft.

    Raises:
        PatternsError: a notch cuts it in two.
    """
    spec, planes, ends = laid.spec, laid.faces, laid.ends
    butted = [laid.hosts[-k].whole if spec.end_kind(k) in ("butted", "notched") else "" for k in (0, 1)]
    faces = []
    for top, stretch in zip(laid.tops, stretches(planes, ends, on=(butted[0], butted[1])), strict=True):
        under = Region.of(above(laid.under), Free())
        wood = largest_of(Region.of(below(top.uv), laid.top).both(under, *stretch))
        sources: dict[Label, Trace] = {laid.top: top} if isinstance(laid.top, Deck) else {}
        faces.append(Face(region=wood, sources={**sources, **end_sources(wood, ends)}))
    blank = Piece(
        name=spec.name,
        member=member,
        stock=stock_of(spec),
        hand=hand,
        view=view,
        placement=OnFace(planes[0], -1.0),
        faces=(faces[0], faces[1]),
        distances=(_distance(faces[0].region.area),),
        facts=(sided_fact(spec), *facts, *_length_facts(laid, faces[0].region.area, ends)),
        grain=(1.0, 0.0),
        by_ordinates=spec.print == "by ordinates",
        papers=papers,
    )
    return let_in(boat, blank)


def _distance(face: Polygon) -> Distance:
    """From the forward end's top to the after end's top."""
    points: FloatArray = np.asarray(face.exterior.coords)[:-1]
    low = points[int((points[:, 0] - 0.2 * points[:, 1]).argmin())]
    high = points[int((points[:, 0] + 0.2 * points[:, 1]).argmax())]
    return Distance(
        fact=Fact("top-end-to-end"),
        start=(float(low[0]), float(low[1])),
        end=(float(high[0]), float(high[1])),
    )


def _length_facts(carling: Lengthwise, face: Polygon, ends: tuple[Plane, Plane]) -> Iterator[Fact]:
    """Length, end cuts, where the beams lie along it, and how far its top is off straight."""
    plane, top = carling.faces[0], carling.tops[0].uv
    x0, _, x1, _ = face.bounds
    inside = top[(top[:, 0] > x0) & (top[:, 0] < x1)]
    chord = inside[-1] - inside[0]
    off = ((inside - inside[0]) @ np.array([-chord[1], chord[0]])) / np.hypot(*chord)
    straight = {"above": float(off.max()), "below": float(-off.min())}
    yield Fact("length", {"length": x1 - x0, "along": float(lengths(inside)[-1]), **straight})
    yield end_cuts(plane, ends)
    if len(carling.hosts) > 2:
        places = {host.name: _along(plane, top, host) - x0 for host in carling.hosts[1:-1]}
        yield Fact("beams-crossed", {"places": places})


def _along(plane: Plane, top: FloatArray, host: Host) -> float:
    """Where the forward face of a piece crosses its top, u."""
    over = host.fore.height_over(plane.space(top))
    return float(np.interp(0.0, over, top[:, 0]))


def _runs_words(v: Mapping[str, Any], _: Lengths) -> str:
    if not half_degrees(v["angle"]):
        return "Runs parallel to the centreline"
    return f"Runs {angle_words(v['angle'])} {'out' if v['angle'] > 0 else 'in'} going aft"


def _length_words(v: Mapping[str, Any], lengths: Lengths) -> str:
    """Its length and how far its top is off the straight line of its ends; what rounds to nothing is left out."""
    parts = [f"up to {v[way]:.1f} mm {way}" for way in ("above", "below") if v[way] >= SQUARE]
    off = f"which is {' and '.join(parts)} the straight line of its ends" if parts else "which is straight"
    return f"Length over all {lengths(v['length'])}, {v['along']:.0f} mm along its top, {off}"


WORDS: Mapping[str, Template] = {
    "runs": _runs_words,
    "port-one-is-mirror": lambda _, __: "The port one is its mirror: its top is bevelled the other way",
    "length": _length_words,
    "beams-crossed": lambda v, _: (
        "Forward faces of what it crosses, level from its fore end: "
        + ", ".join(f"{name} {at:.1f} mm" for name, at in v["places"].items())
    ),
    "moulded face from port": lambda _, __: "port face (moulded), seen from port",
    "other face from port": lambda _, __: "starboard face, seen from starboard",
}


def _rules(parts: Parts) -> Iterator[Problem]:
    for place, carling in parts.all(CarlingSpec):
        yield from lapped_rules(parts, place, carling)


KIND = MemberKind(
    name="carling",
    order=100,
    pieces=pieces,
    stage=WorkStage.DECK,
    tables=(Table(name="carling", model=CarlingSpec, group="deck", bounds=deck_timber_bounds),),
    rules=(_rules,),
)
