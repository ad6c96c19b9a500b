"""The transom: its panel, and the framing and doubler on its inside, each at its own distance."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

from patterns.boat import Boat
from patterns.design.kind import Table
from patterns.design.models import TransomEnd
from patterns.design.transom_models import CutOutSpec, DoublerSpec
from patterns.drawing.piece_maker import PieceMaker
from patterns.hull.curved import Curved
from patterns.hull.planes import Plane
from patterns.joinery.flat_pieces import xy
from patterns.joinery.ringed import ring_piece
from patterns.joinery.transom_layout import FORWARD, FRAMING, Layout, layout_of
from patterns.joinery.transom_parts import Layer, on_panel, part_piece
from patterns.joinery.wood import Wanted, wood_fact
from patterns.member_kind import MemberKind
from patterns.members.transom_rules import fitted_rules, transom_bounds, transom_misses, transom_rules
from patterns.text.wood_facts import Lengths, Template, rake_words
from patterns.wood.ends import BoatEnd, EndText, HullEnd, Lean
from patterns.wood.facts import Fact
from patterns.wood.features import Hole, Note
from patterns.wood.labels import Against
from patterns.wood.meeting import Joinery, Meeting
from patterns.wood.piece import Piece, Stock
from patterns.wood.work_stage import WorkStage

__all__ = ["KIND", "WORDS", "pieces", "transom_pieces"]


def pieces(boat: Boat) -> Iterator[Wanted]:
    """The panel with the framing and the doubler, as far as the design has them."""
    if isinstance(boat.design.after_end, TransomEnd):
        place = EndText(BoatEnd.STERN, before='end "', after='"')
        yield place, PieceMaker(boat=boat, make=lambda: tuple(transom_pieces(boat)), words=WORDS)


def transom_pieces(boat: Boat) -> Iterator[Piece]:
    """The panel, the framing in one or piece by piece, the doubler.

    Raises:
        PatternsError: the framing has no inside, a piece of it vanishes, or dowels find no room.
    """
    layout = layout_of(boat)
    yield panel_piece(boat, layout)
    yield from _framing_pieces(boat, layout)
    yield from _doubler_pieces(boat, layout)


def face_facts(moulded: Plane, other: Plane) -> tuple[Fact, ...]:
    """How the piece leans; of a bent one the radius, and how its pattern is used."""
    if not (isinstance(moulded, Curved) and isinstance(other, Curved)):
        return (Fact("leans", {"rake": Lean(moulded.rake), "radius": None}),)
    return (
        Fact("leans", {"rake": Lean(moulded.rake), "radius": moulded.radius}),
        Fact("bent-over-a-mould", {"radius": min(moulded.radius, other.radius)}),
    )


def _cut_facts(boat: Boat) -> tuple[Fact, ...]:
    return tuple(
        Fact("cut-out", {"name": cut.name, "breadth": cut.breadth, "depth": cut.depth})
        for cut in boat.design.all(CutOutSpec)
    )


def _cut_notes(boat: Boat, layout: Layout) -> Iterator[Note]:
    """What each cut-out is for, in its starboard half."""
    top = float(layout.panel.sections[0].deck.uv[0, 1])
    for cut in boat.design.all(CutOutSpec):
        at = (0.25 * cut.breadth, top - cut.below - 0.5 * cut.depth)
        yield Note(fact=Fact("cut-out-here", {"name": cut.name}), at=at, bare=True)


def panel_piece(boat: Boat, layout: Layout) -> Piece:
    """The panel."""
    spec = boat.design.stern
    stock = Stock(wood=spec.stock, thickness=spec.panel, laminations=spec.laminations)
    piece = ring_piece(
        boat,
        layout.panel,
        sense=FORWARD,
        name=EndText(HullEnd.TRANSOM, after=" panel"),
        member="transom",
        stock=stock,
        facts=(
            wood_fact(stock),
            *face_facts(*(section.plane for section in layout.panel.sections)),
            Fact("panel-lapped-by-planking"),
            *_cut_facts(boat),
        ),
    )
    moulded, other = piece.faces
    moulded = replace(moulded, notes=(*moulded.notes, *_cut_notes(boat, layout)))
    return replace(
        piece,
        faces=(moulded, other),
        holes=tuple(_dowels(spec.dowel, layout)),
        part_of=EndText(HullEnd.TRANSOM),
    )


def _dowels(diameter: float | None, layout: Layout) -> Iterator[Hole]:
    for at in layout.dowels:
        yield Hole(at=xy(layout.on_panel(at)), diameter=diameter or 0.0, purpose="dowel")


def _framing_pieces(boat: Boat, layout: Layout) -> Iterator[Piece]:
    spec, ring = boat.design.stern, layout.framing
    if ring is None or spec.framing is None:
        return
    inside, fore = (section.plane for section in ring.sections)
    stock = Stock(wood=spec.framing_stock, thickness=spec.framing)
    facts = (
        wood_fact(stock),
        *face_facts(inside, fore),
        Fact("framing-against-the-panel", {"end": HullEnd.TRANSOM}),
        *_cut_facts(boat),
    )
    if spec.framing_joints is None:
        holes = (Hole(at=xy(at), diameter=spec.dowel or 0.0, purpose="dowel") for at in layout.dowels)
        piece = ring_piece(
            boat,
            ring,
            sense=FORWARD,
            name=FRAMING,
            member="transom",
            stock=stock,
            facts=facts,
        )
        doubler = Meeting(
            kind=Joinery.BUTT,
            lands=piece.name,
            on=EndText(HullEnd.TRANSOM, after=" doubler"),
            keys=("[doubler]",),
            edges=(Against("doubler"),),
        )
        yield replace(
            piece,
            holes=tuple(holes),
            part_of=EndText(HullEnd.TRANSOM),
            meetings=(*piece.meetings, on_panel(piece.name), doubler),
        )
        return
    layer = Layer(
        sections=ring.sections, passing=ring.passing, depth_left=ring.depth_left(), stock=stock, facts=facts
    )
    others = [*layout.parts, *([layout.doubler[-1]] if layout.doubler else [])]
    for part in layout.parts:
        yield part_piece(boat, layer, part, others, dowel=spec.dowel)


def _doubler_pieces(boat: Boat, layout: Layout) -> Iterator[Piece]:
    spec = next(iter(boat.design.all(DoublerSpec)), None)
    if spec is None or layout.doubler is None:
        return
    sections, passing, part = layout.doubler
    stock = Stock(wood=spec.stock, thickness=spec.thickness, laminations=spec.laminations)
    layer = Layer(
        sections=sections,
        passing=passing,
        depth_left={},
        stock=stock,
        facts=(
            wood_fact(stock),
            *face_facts(sections[0].plane, sections[1].plane),
            Fact("doubler-against-the-panel", {"end": HullEnd.TRANSOM}),
            *_cut_facts(boat),
        ),
    )
    yield part_piece(boat, layer, part, layout.parts, dowel=None)


def _leans(v: Mapping[str, Any], _: Lengths) -> str:
    rake = rake_words(v["rake"].aft)
    if v["radius"] is None:
        return rake
    return f"{rake}; curved, this face to a radius of {v['radius']:.0f} mm"


WORDS: Mapping[str, Template] = {
    "leans": _leans,
    "bent-over-a-mould": lambda v, _: (
        f"Laminate it over a mould of {v['radius']:.0f} mm radius, straight along the rake, "
        "with wood to spare; then wrap this pattern, which is unrolled, round the bent face and mark it"
    ),
    "cut-out": lambda v, _: (
        f"Cut-out for the {v['name']}: {v['breadth']:g} mm wide, {v['depth']:g} mm deep, square through"
    ),
    "panel-lapped-by-planking": lambda _, __: "Planking laps its edges; no timber passes through it",
    "framing-against-the-panel": lambda v, _: f"Its {v['end'].outside} lies against the inside of the panel",
    "doubler-against-the-panel": lambda v, _: (
        f"Its {v['end'].outside} lies against the inside of the panel, between the framing's pieces"
    ),
    "cut-out-here": lambda v, _: f"cut-out for the {v['name']}",
    "lap-shoulder": lambda v, _: (
        f"half lap with the {v['other']}: beyond this line cut {v['depth']:g} mm off the {v['face'].which} face"
    ),
    "shoulder": lambda _, __: "",
    "butts-on": lambda v, _: f"butts on the {v['part']}",
    "flip-point-to-farthest-corner": lambda _, __: "lower flip point to the farthest corner",
    "flip-point-to-flip-point": lambda _, __: "flip point to flip point",
    "farthest-corners": lambda _, __: "farthest corners",
}


KIND = MemberKind(
    name="transom",
    order=40,
    pieces=pieces,
    stage=WorkStage.TRANSOM,
    tables=(
        Table(
            name="end", model=TransomEnd, kinds=("transom",), named=False, sawn="panel", bounds=transom_bounds
        ),
        Table(name="doubler", model=DoublerSpec, many=False, named=False),
        Table(name="cut_out", model=CutOutSpec),
    ),
    rules=(
        transom_rules,
        fitted_rules,
    ),
    misses=transom_misses,
    at="transom",
)
