"""What the deck's timbers must agree on between themselves and with frames, clamp and deck."""

from __future__ import annotations

from collections.abc import Iterator

from patterns.design.deck_knee_models import HangingKneeSpec, QuarterKneeSpec
from patterns.design.deck_models import BeamSpec, CarlingSpec, KingPlankSpec, SupportSpec, beside_frame
from patterns.design.models import DeckSpec, FrameSpec, LaidSpec
from patterns.design.parts import Parts
from patterns.errors import Problem
from patterns.words import nearest, written

__all__ = ["deck_rules"]


def deck_rules(parts: Parts) -> Iterator[Problem]:
    """Every disagreement of the deck's timbers that can be told from the design file alone."""
    yield from _decked(parts)
    yield from _one_name(parts)
    for place, beam in parts.all(BeamSpec):
        yield from _place(parts, place, beam)
        yield from _depth(place, beam)
        yield from _ends(parts, place, beam)
    yield from _half_beams(parts)
    lapped: list[tuple[str, CarlingSpec | KingPlankSpec]] = [
        *parts.all(CarlingSpec),
        *parts.all(KingPlankSpec),
    ]
    for place, piece in lapped:
        yield from _beams(parts, place, piece.between)
        if piece.let_in is not None and piece.let_in > piece.moulded:
            yield Problem(
                f"{place}, key let_in",
                "is more than moulded",
                f"make it at most {piece.moulded:g} mm",
                code="let-in-too-deep",
            )
    for place, support in parts.all(SupportSpec):
        yield from _held(parts, place, support)
    yield from _knees(parts)


def _decked(parts: Parts) -> Iterator[Problem]:
    deck = parts.one(DeckSpec)
    if deck is None or deck.kind != "none":
        return
    for model in (BeamSpec, CarlingSpec, KingPlankSpec):
        for place, piece in parts.all(model):
            if isinstance(piece, BeamSpec) and piece.top is not None:
                continue
            yield Problem(
                place,
                "its top is the deck's underside, and the design has no deck",
                "give the deck" + ("; or give the beam's top" if isinstance(piece, BeamSpec) else ""),
                code="no-deck",
            )


def _one_name(parts: Parts) -> Iterator[Problem]:
    """Laps are told by name, so that no beam may be called as a carling is."""
    seen: dict[str, str] = {}
    for table in ("beam", "carling", "king_plank", "support"):
        for place, piece in parts.entries.get(table, []):
            name = str(getattr(piece, "name", ""))
            if seen.get(name, table) != table:
                yield Problem(
                    place,
                    f'a {seen[name].replace("_", " ")} is called "{name}" too',
                    "rename one",
                    code="same-name",
                )
            seen.setdefault(name, table)


def _place(parts: Parts, place: str, beam: BeamSpec) -> Iterator[Problem]:
    beside = beside_frame(beam.at)
    if beside is None:
        return
    side, name = beside
    frames = parts.names.get("frame", [])
    if name not in frames:
        yield Problem(
            f"{place}, key at",
            f'there is no frame "{name}"',
            nearest(name, frames) or (f"frames: {written(frames)}" if frames else "the design has no frames"),
            code="unknown-name",
        )
    canted = [frame.name for _, frame in parts.all(FrameSpec) if frame.cant]
    if name in canted:
        yield Problem(
            f"{place}, key at",
            f'frame "{name}" is canted, and a beam runs straight across',
            "place it elsewhere",
            code="canted-frame",
        )
    if beam.rake:
        yield Problem(
            f"{place}, key rake",
            "a beam beside a frame has the frame's rake",
            "take it out",
            code="needless-key",
        )
    if beam.siding_runs is not None and (beam.siding_runs == "aft") != (side == "aft"):
        yield Problem(
            f"{place}, key siding_runs",
            f'"{beam.siding_runs}" runs into the frame that it stands {side} of',
            "take it out, or place the beam on the frame's other side",
            code="siding-into-frame",
        )


def _depth(place: str, beam: BeamSpec) -> Iterator[Problem]:
    if (beam.moulded is None) == (beam.bottom is None):
        both = beam.moulded is not None
        yield Problem(
            f"{place}, key moulded",
            "moulded and bottom both stand there" if both else "is missing",
            "keep one of them" if both else "give its depth under the deck, or the height of its bottom",
            code="conflicting-keys" if both else "needed-key",
        )
    if beam.top is not None and beam.bottom is None:
        yield Problem(
            f"{place}, key bottom",
            "is missing",
            "a beam with a level top has a level bottom too",
            code="needed-key",
        )
    if beam.top is not None and beam.bottom is not None and beam.top <= beam.bottom:
        yield Problem(
            f"{place}, key top",
            "is not above its bottom",
            "write heights above base",
            code="top-not-above-bottom",
        )
    if beam.bottom is not None and beam.underside != "straight":
        yield Problem(
            f"{place}, key underside",
            "its bottom is level already",
            "take one of the two out",
            code="conflicting-keys",
        )


def _ends(parts: Parts, place: str, beam: BeamSpec) -> Iterator[Problem]:
    clamps = [timber for _, timber in parts.all(LaidSpec) if timber.kind == "clamp"]
    if not clamps and beam.ends != "to the planking" and not _unread(parts, "timber"):
        yield Problem(
            f"{place}, key ends",
            "the design has no clamp for its ends",
            'write "to the planking", or give one',
            code="no-clamp",
        )
    cut = beam.ends in ("into the clamp", "over the clamp")
    if cut != (beam.end_depth is not None):
        yield Problem(
            f"{place}, key end_depth",
            "is missing" if cut else f'"{beam.ends}" cuts no clamp',
            "say how deep the clamp is cut for it" if cut else "take it out",
            code="needed-key" if cut else "needless-key",
        )
    if beam.end_depth is None:
        return
    if beam.ends == "into the clamp" and clamps and beam.end_depth >= clamps[0].off:
        yield Problem(
            f"{place}, key end_depth",
            "goes through the clamp",
            f"make it less than the clamp's {clamps[0].off:g} mm",
            code="end-depth-too-great",
        )
    if beam.ends == "over the clamp" and clamps and beam.end_depth >= clamps[0].along:
        yield Problem(
            f"{place}, key end_depth",
            "cuts the clamp in two",
            f"make it less than the clamp's {clamps[0].along:g} mm",
            code="end-depth-too-great",
        )


def _unread(parts: Parts, table: str) -> bool:
    """Whether an entry of a table could not be read, so that nothing may be said of what is missing."""
    return any(f", {table} " in problem.place for problem in parts.problems)


def _half_beams(parts: Parts) -> Iterator[Problem]:
    carlings = parts.names.get("carling", [])
    for place, beam in parts.all(BeamSpec):
        if beam.from_carling and beam.from_carling not in carlings:
            yield Problem(
                f"{place}, key from_carling",
                f'there is no carling "{beam.from_carling}"',
                nearest(beam.from_carling, carlings)
                or (f"carlings: {written(carlings)}" if carlings else "the design has no carlings"),
                code="unknown-name",
            )
        if not beam.from_carling and beam.let_in is not None:
            yield Problem(
                f"{place}, key let_in",
                "is for half beams",
                "write from_carling, or give let_in at the carling that lies in this beam",
                code="needless-key",
            )
        if beam.let_in is not None and beam.from_end == "butted":
            yield Problem(
                f"{place}, key let_in",
                "a butted end is not let in",
                "take one of the two out",
                code="conflicting-keys",
            )
        lapped = beam.from_carling and beam.from_end == "half lapped"
        if lapped and beam.let_in is None and beam.moulded is None:
            yield Problem(
                f"{place}, key let_in",
                "is missing",
                "say how deep its notch in the carling is",
                code="needed-key",
            )
        if lapped and beam.let_in is not None and beam.moulded is not None and beam.let_in >= beam.moulded:
            yield Problem(
                f"{place}, key let_in",
                "is not less than moulded",
                f"make it less than {beam.moulded:g} mm",
                code="let-in-too-deep",
            )


def _beams(parts: Parts, place: str, between: tuple[str, str]) -> Iterator[Problem]:
    """The two beams that a carling or king plank ends at."""
    beams = parts.names.get("beam", [])
    known = {beam.name: beam for _, beam in parts.all(BeamSpec)}
    for name in between:
        if name not in beams:
            yield Problem(
                f"{place}, key between",
                f'there is no beam "{name}"',
                nearest(name, beams) or (f"beams: {written(beams)}" if beams else "the design has no beams"),
                code="unknown-name",
            )
        elif name in known and (known[name].from_carling or known[name].top is not None):
            yield Problem(
                f"{place}, key between",
                f'"{name}" is no beam across the boat under the deck',
                "end it at a whole beam whose top is the deck's underside",
                code="not-a-whole-beam",
            )


def _knees(parts: Parts) -> Iterator[Problem]:
    beams = parts.names.get("beam", [])
    clamps = [timber for _, timber in parts.all(LaidSpec) if timber.kind == "clamp"]
    for place, knee in parts.all(QuarterKneeSpec):
        if knee.throat >= min(knee.along_clamp, knee.along_transom):
            yield Problem(
                f"{place}, key throat",
                "is deeper than an arm is long",
                "make it less than both arms",
                code="throat-too-deep",
            )
        if not clamps and not _unread(parts, "timber"):
            yield Problem(
                place, "it lands on the clamp, and the design has none", "give a clamp", code="no-clamp"
            )
        yield from _decked_knee(parts, place)
    for place, hanging in parts.all(HangingKneeSpec):
        if hanging.throat >= min(hanging.along_beam, hanging.down_side):
            yield Problem(
                f"{place}, key throat",
                "is deeper than an arm is long",
                "make it less than both arms",
                code="throat-too-deep",
            )
        if hanging.under not in beams:
            yield Problem(
                f"{place}, key under",
                f'there is no beam "{hanging.under}"',
                nearest(hanging.under, beams)
                or (f"beams: {written(beams)}" if beams else "the design has no beams"),
                code="unknown-name",
            )


def _decked_knee(parts: Parts, place: str) -> Iterator[Problem]:
    deck = parts.one(DeckSpec)
    if deck is not None and deck.kind == "none":
        yield Problem(
            place, "it lies under the deck, and the design has no deck", "give the deck", code="no-deck"
        )


def _held(parts: Parts, place: str, support: SupportSpec) -> Iterator[Problem]:
    """The two pieces that a support stands between."""
    there = [*parts.names.get("beam", []), *(f"frame {name}" for name in parts.names.get("frame", []))]
    for name in support.between:
        if name not in there:
            yield Problem(
                f"{place}, key between",
                f'there is no beam or frame "{name}"',
                nearest(name, there) or (f"there are {written(there)}" if there else "give beams first"),
                code="unknown-name",
            )
