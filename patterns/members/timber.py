"""Long timbers: what is known of each for the bench; its papers are derived from the run that it lies on."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import partial
from math import ceil
from typing import Any

import numpy as np

from patterns.boat import Boat
from patterns.design.ended_keys import EndedKeys
from patterns.design.kind import Table
from patterns.design.models import KeelSpec, LaidSpec
from patterns.design.timber_models import DeckBattenSpec, RibbandSpec, RubbingRailSpec, StripSpec
from patterns.drawing.of_long_piece import face_names, papers_of
from patterns.joinery.crossings import crossings
from patterns.joinery.wood import Wanted
from patterns.member_kind import MemberKind
from patterns.members.timber_rules import (
    STARTER,
    keel_bounds,
    laid_bounds,
    laid_rules,
    running_rules,
    timber_misses,
)
from patterns.pattern import Pattern
from patterns.text.angles import angle_words
from patterns.text.bevels import bevel_words
from patterns.text.piece_rows import FLAT
from patterns.text.wood_facts import Lengths, Template, unfayed_words
from patterns.timbers.long_piece import LongPiece
from patterns.wood.facts import Fact
from patterns.wood.work_stage import WorkStage

__all__ = ["KIND", "WORDS", "pieces", "timber_piece"]

NARROWER = 0.05  # mm; so much less breadth is no taper yet
TURNED = np.radians(0.05)  # a smaller twist is none


def pieces(boat: Boat) -> Iterator[Wanted]:
    """Every timber that is cut for the boat; ribbands are trimmed where they lie."""
    for spec in boat.design.wanted:
        if isinstance(spec, EndedKeys) and not isinstance(spec, RibbandSpec):
            yield f'timber "{spec.name}"', partial(_timber, boat, spec.name)


def _timber(boat: Boat, name: str) -> tuple[Pattern, ...]:
    return (papers_of(boat, timber_piece(boat, name), WORDS),)


def timber_piece(boat: Boat, name: str) -> LongPiece:
    """One long timber.

    Raises:
        PatternsError: it cannot be laid.
    """
    piece = LongPiece(run=next(run for run in boat.runs if run.name == name))
    return replace(piece, facts=tuple(_facts(boat, piece)))


def _facts(boat: Boat, piece: LongPiece) -> Iterator[Fact]:
    run, sizes = piece.run, piece.sizes
    sizes_of_wood = {"across": run.across, "deep": run.deep, "laminations": run.laminations}
    yield Fact("timber", {"stock": run.stock, **sizes_of_wood})
    yield Fact("true-length", {"length": run.length})
    yield from _tapers(piece)
    yield Fact("wrap", {"pair": run.mirrored})
    for which, word in ((0, "After"), (1, "Fore")):
        cut = sizes.end_cut(which)
        on = {"on_back": cut.on_back, "on_edge": cut.on_edge, "long": cut.long}
        yield Fact("end-cut", {"end": word, "against": cut.against, **on})
    marks = crossings(boat, sizes)
    frames = [mark for mark in marks if mark.frame]
    if frames:
        places = {mark.name: mark.at for mark in frames}
        yield Fact("marks-along", {"edge": face_names(run)[1] if run.mirrored else None, "places": places})
    if any(np.isfinite(mark.bevel) for mark in marks):
        bevels = {mark.name: mark.bevel for mark in frames if np.isfinite(mark.bevel)}
        yield Fact("bevelled-edge", {"bevels": bevels})
    wide, place = sizes.widest
    if run.mirrored and wide > run.across + 0.5:
        yield Fact("stick-before-bevelling", {"wide": wide, "at": place})
    if sizes.unfayed is not None:
        yield Fact("unfayed", {"on": run.lies_on[3], "stretch": sizes.unfayed})
    for way in ("flat", "edgewise"):
        bend = sizes.bend(edgewise=way == "edgewise")
        yield Fact("bend", {"way": way, "radius": bend.radius, "at": bend.at})
    most, at = sizes.most_twist
    total = float(sizes.twists[-1])
    if abs(total) > TURNED or abs(most) > TURNED:
        yield Fact("twist", {"total": total, "most": most, "at": at})


def _tapers(piece: LongPiece) -> Iterator[Fact]:
    """How much narrower a keel is at its ends, and where it begins to be."""
    run = piece.run
    if run.mirrored:
        return
    # Of its sides, which an end may cut aslant.
    breadth, ends = (2.0 * rings[:, 1:3, 1].mean(axis=1) for rings in (run.rails, run.corners[[0, -1]]))
    full = np.nonzero(breadth > run.across - NARROWER)[0]
    if len(full) == 0:
        return
    middle = run.corners[:, 1:3].mean(axis=1)
    along = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(middle, axis=0), axis=1))])
    for word, end, place in zip(("after", "fore"), ends, full[[0, -1]], strict=True):
        if end < run.across - 1.0:
            x = float(run.rails[place, 1:3, 0].mean())
            begins = float(np.interp(-x, -middle[:, 0], along))
            yield Fact("tapers", {"end": word, "breadth": float(end), "from": begins})


def _timber_words(v: Mapping[str, Any], _: Lengths) -> str:
    stock = f"{v['stock']}, " if v["stock"] else ""
    size = f"{v['across']:g} x {v['deep']:g} mm"
    if v["laminations"] == 1:
        return f"{stock}{size}"
    return f"{stock}{size}: {v['laminations']} laminations of {v['deep'] / v['laminations']:g} mm"


def _unfayed_words(v: Mapping[str, Any], _: Lengths) -> str:
    words = unfayed_words(v["on"], v["stretch"])
    return words[0].upper() + words[1:]


def _end_words(v: Mapping[str, Any], _: Lengths) -> str:
    against = f"{v['against']}: " if v["against"] else ""
    return (
        f"{v['end']} end, {against}cut at {angle_words(v['on_back'])} on its back and "
        f"{angle_words(v['on_edge'])} on its edge ({v['long']:.0f} mm from the shortest corner to the longest)"
    )


def _marks_words(v: Mapping[str, Any], _: Lengths) -> str:
    edge = "starboard edge of its top" if v["edge"] is None else f"{v['edge']} at its back"
    places = ", ".join(f"{name} {at:.0f} mm" for name, at in v["places"].items())
    return f"Marks along the {edge}, from the after end: {places}"


def _bend_words(v: Mapping[str, Any], _: Lengths) -> str:
    if v["radius"] > FLAT:
        return f"Bends {v['way']}: none"
    return (
        f"Bends {v['way']} to a radius of {v['radius'] / 1000.0:.1f} m, {v['at']:.0f} mm from the after end"
    )


WORDS: Mapping[str, Template] = {
    "timber": _timber_words,
    "true-length": lambda v, lengths: (
        f"True length {lengths(v['length'])}, from its longest corner at one end to that at the other"
    ),
    "tapers": lambda v, _: (
        f"Tapers in breadth to {v['breadth']:.0f} mm at its {v['end']} end, beginning {v['from']:.0f} mm "
        "from the after end"
    ),
    "wrap": lambda v, _: (
        "Wrap a paper with its folds on the timber's corners; the heavy edge is the cut"
        + ("; for port wrap it print inward" if v["pair"] else "")
    ),
    "end-cut": _end_words,
    "marks-along": _marks_words,
    "bevelled-edge": lambda v, _: (
        "Bevelled edge, stock on the inner face: "
        + ", ".join(f"{name} {bevel_words(bevel)}" for name, bevel in v["bevels"].items())
    ),
    "stick-before-bevelling": lambda v, _: (
        f"Before bevelling the stick is up to {ceil(v['wide'])} mm wide, {v['at']:.0f} mm from its after end"
    ),
    "unfayed": _unfayed_words,
    "bend": _bend_words,
    "twist": lambda v, _: (
        f"Twists by {angle_words(v['total'])} in all, most {angle_words(v['most'])} in 1 m, "
        f"{v['at']:.0f} mm from the after end"
    ),
}


KIND = MemberKind(
    name="timber",
    order=160,
    pieces=pieces,
    stage=WorkStage.LONGITUDINALS,
    tables=(
        Table(name="timber", model=KeelSpec, kinds=("keel",), bounds=keel_bounds),
        Table(name="timber", model=LaidSpec, kinds=("chine log", "clamp"), bounds=laid_bounds),
        Table(name="timber", model=StripSpec, kinds=("stringer", "batten"), bounds=laid_bounds),
        Table(name="timber", model=DeckBattenSpec, kinds=("deck batten",), bounds=laid_bounds),
        Table(name="timber", model=RubbingRailSpec, kinds=("rubbing rail",), bounds=laid_bounds),
        Table(name="timber", model=RibbandSpec, kinds=("ribband",), bounds=laid_bounds),
    ),
    rules=(
        laid_rules,
        running_rules,
    ),
    misses=timber_misses,
    starter=STARTER,
)
