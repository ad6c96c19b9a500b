"""What the keys of beams must agree on with each other and with frames, clamp and deck, and their usual sizes.

Apart from the beam's own file, which is about its wood and long enough; the keys are in
:mod:`patterns.design.deck_models`, because the table's checks and the laps of all deck timbers read them too.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from patterns.design.agreement import clamps as clamps_of
from patterns.design.agreement import deck_problems, either
from patterns.design.bounds import FAR, BoatSize, Bound, most_siding
from patterns.design.deck_models import (
    ENDS,
    BeamSpec,
    CarlingSpec,
    KingPlankSpec,
    SupportSpec,
    beside_frame,
    frame_said,
)
from patterns.design.entries import Parts
from patterns.design.kind import EntryKind, Table
from patterns.design.missing import Missing, Stage
from patterns.design.models import Design, FrameSpec
from patterns.design.toml_file import DESIGN_FILE
from patterns.errors import Problem
from patterns.measure.nearest import written

__all__ = ["BEAM", "deck_timber_bounds", "lapped_rules"]


def _rules(parts: Parts) -> Iterator[Problem]:
    """Every disagreement of a beam."""
    for place, beam in parts.all(BeamSpec):
        if beam.top is None:
            yield from deck_problems(
                parts,
                place,
                what="its top is the deck's underside",
                want="give the deck; or give the beam's top",
            )
        yield from _place(parts, place, beam)
        yield from _depth(place, beam)
        yield from _ends(parts, place, beam)
        yield from _half_beam(place, beam)


def lapped_rules(
    parts: Parts, place: str, piece: CarlingSpec | KingPlankSpec | SupportSpec
) -> Iterator[Problem]:
    """A timber fore and aft without a deck, let in too deep, or ended at what cannot hold such an end."""
    if not isinstance(piece, SupportSpec) or piece.heights is None:
        yield from deck_problems(parts, place, what="its top is the deck's underside")
    if piece.let_in is not None and piece.let_in > piece.moulded:
        yield Problem(
            f"{place}, key let_in",
            "is more than moulded",
            f"make it at most {piece.moulded:g} mm",
            code="let-in-too-deep",
        )
    known = {beam.name: beam for _, beam in parts.all(BeamSpec)}
    for name in piece.between if not isinstance(piece, SupportSpec) else ():
        if name in known and (known[name].from_carling or known[name].top is not None):
            yield Problem(
                f"{place}, key between",
                f'"{name}" is not a beam across the boat under the deck',
                "end it at a whole beam whose top is the deck's underside",
                code="not-a-whole-beam",
            )
    yield from _end_rules(parts, place, piece)


def _end_rules(
    parts: Parts, place: str, piece: CarlingSpec | KingPlankSpec | SupportSpec
) -> Iterator[Problem]:
    """Each end against the piece that it is at."""
    canted = [f"frame {frame.name}" for _, frame in parts.all(FrameSpec) if frame.cant]
    kinds = [piece.end_kind(which) for which in (0, 1)]
    for which, (name, kind) in enumerate(zip(piece.between, kinds, strict=True)):
        can = _ends_on(name)
        if which == 1 and name == "breasthook":
            yield Problem(
                f"{place}, key between",
                "ends at the breasthook, which is at the bow",
                "name its pieces from forward aft",
                code="end-impossible",
            )
        elif kind not in can:
            yield Problem(
                f"{place}, key ends",
                f'"{kind}" is not an end that {name} can have',
                f"write {written(can)} for that end",
                code="end-impossible",
            )
        if name in canted:
            yield Problem(
                f"{place}, key between",
                f"{name} is canted, and its end is square to an upright frame",
                "end it at another piece",
                code="canted-frame",
            )
    if ("housed" in kinds) != (piece.end_depth is not None):
        housed = "housed" in kinds
        yield Problem(
            f"{place}, key end_depth",
            "is missing" if housed else "no end of it is housed",
            "give how deep its housed end lies in the piece" if housed else "remove it",
            code="needed-key" if housed else "needless-key",
        )


def _ends_on(name: str) -> tuple[str, ...]:
    """The ends that a piece of a name can have."""
    if name == "breasthook":
        return ("housed",)
    if name == "transom":
        return ("butted", "housed", "half lapped")
    return ENDS if frame_said(name) else ("half lapped", "butted", "housed")


def _place(parts: Parts, place: str, beam: BeamSpec) -> Iterator[Problem]:
    beside = beside_frame(beam.at)
    if beside is None:
        return
    side, name = beside
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
            f'"{beam.siding_runs}" runs into the frame that it is {side} of',
            "take it out, or place the beam on the frame's other side",
            code="siding-into-frame",
        )


def _depth(place: str, beam: BeamSpec) -> Iterator[Problem]:
    deep = {"moulded": beam.moulded, "bottom": beam.bottom}
    yield from either(place, deep, "give its depth under the deck, or the height of its bottom")
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
    clamps = clamps_of(parts)
    if not clamps and beam.ends != "to the planking" and "timber" not in parts.unread:
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
            code="too-great",
        )
    if beam.ends == "over the clamp" and clamps and beam.end_depth >= clamps[0].along:
        yield Problem(
            f"{place}, key end_depth",
            "cuts the clamp in two",
            f"make it less than the clamp's {clamps[0].along:g} mm",
            code="too-great",
        )


def _half_beam(place: str, beam: BeamSpec) -> Iterator[Problem]:
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


def deck_timber_bounds(piece: BeamSpec | CarlingSpec | SupportSpec, scale: BoatSize) -> Iterator[Bound]:
    """The usual sizes of a beam, a carling or a support."""
    deep = min(0.25 * scale.breadth, (12.0 if isinstance(piece, BeamSpec) else 8.0) * piece.sided)
    yield Bound("sided", piece.sided, 0.5 * scale.thick, most_siding(scale), "planking and boat")
    yield Bound("moulded", piece.moulded, 0.3 * piece.sided, deep, "siding and breadth")
    if isinstance(piece, BeamSpec):
        yield Bound("end_depth", piece.end_depth, 0.1 * piece.sided, FAR, "its siding")


def _misses(design: Design) -> Iterator[Missing]:
    """Beams, where a deck lies on no frame's top piece either."""
    tops = any(frame.top_piece is not None for frame in design.frames)
    if design.deck is not None and not design.all(BeamSpec) and not tops:
        yield Missing(
            stage=Stage.DECK,
            name="beams",
            place=f"{DESIGN_FILE}, [[beam]]",
            what="the deck lies on no beam and on no frame's top piece",
        )


_STARTER: Mapping[str, str] = {
    "": """\
# One such table for every beam under the deck.
[[beam]]
name = "beam 2"
at = "aft of frame 2"              # against that face of the frame; or "station 2", or a distance aft
sided = "20 mm"
moulded = "45 mm"                  # its depth on the centreline
underside = "parallel to the crown"   # or "straight"
ends = "at the clamp"              # on its inner face
stock = "20 mm fir"
""",
    "round bilge": "",
}

BEAM = EntryKind(
    name="beam",
    order=90,
    tables=(Table(name="beam", model=BeamSpec, group="deck", bounds=deck_timber_bounds),),
    rules=(_rules,),
    misses=_misses,
    starter=_STARTER,
)
