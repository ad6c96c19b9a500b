"""The transom: its panel, and the framing and doubler on its inside, each at its own distance."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import partial

import numpy as np
import shapely

from patterns.boat import Boat
from patterns.design.kind import Table
from patterns.design.models import TransomEnd
from patterns.design.transom_models import CutOutSpec, DoublerSpec
from patterns.hull.curved import Curved
from patterns.hull.planes import Plane
from patterns.joinery.ringed import notches_in, ring_pattern
from patterns.joinery.transom_layout import FORWARD, Layout, layout_of
from patterns.joinery.transom_parts import Layer, part_pattern, part_readings
from patterns.joinery.transom_pieces import Part
from patterns.joinery.wood import Piece, lamination_words, rake_words
from patterns.member_kind import MemberKind
from patterns.members.transom_rules import fitted_rules, transom_bounds, transom_misses, transom_rules
from patterns.pattern import Hole, Kind, Line, Mark, Pattern

__all__ = ["KIND", "pieces"]

SAME = 0.05  # mm; a landing line nearer to the panel's own edge than this is that edge


def pieces(boat: Boat) -> Iterator[Piece]:
    """The panel with the framing and the doubler, as far as the design has them."""
    if isinstance(boat.design.after_end, TransomEnd):
        yield 'end "stern"', partial(_transom, boat)


def _transom(boat: Boat) -> tuple[Pattern, ...]:
    layout = layout_of(boat)
    return (_panel(boat, layout), *_framing(boat, layout), *_doubler(boat, layout))


def face_words(moulded: Plane, other: Plane) -> tuple[str, ...]:
    """How the piece stands; of a bent one the radius, and how its pattern is used."""
    if not (isinstance(moulded, Curved) and isinstance(other, Curved)):
        return (rake_words(moulded.rake),)
    return (
        f"{rake_words(moulded.rake)}; curved, this face to a radius of {moulded.radius:.0f} mm",
        f"Laminate it over a mould of {min(moulded.radius, other.radius):.0f} mm radius, straight along the rake, "
        "with wood to spare; then wrap this pattern, which is unrolled, round the bent face and mark it",
    )


def _cut_words(boat: Boat) -> tuple[str, ...]:
    return tuple(
        f"Cut-out for the {cut.name}: {cut.breadth:g} mm broad, {cut.depth:g} mm deep, square through"
        for cut in boat.design.all(CutOutSpec)
    )


def _cut_marks(boat: Boat, layout: Layout) -> Iterator[Mark]:
    """What each cut-out is for, in its starboard half."""
    top = float(layout.panel.sections[0].deck.uv[0, 1])
    for cut in boat.design.all(CutOutSpec):
        at = (0.25 * cut.breadth, top - cut.below - 0.5 * cut.depth)
        yield Mark(name=f"cut-out for the {cut.name}", at=at, word=True)


def _panel(boat: Boat, layout: Layout) -> Pattern:
    spec = boat.design.stern
    after, inside = (section.plane for section in layout.panel.sections)
    pattern = ring_pattern(
        boat,
        layout.panel,
        after,
        sense=FORWARD,
        name="transom panel",
        member="transom",
        stock=spec.stock,
        thickness=spec.panel,
        laminations=spec.laminations,
        facts=(
            lamination_words(spec.stock, spec.panel, spec.laminations),
            *face_words(after, inside),
            "Planking laps its edges; no timber passes through it",
            *_cut_words(boat),
        ),
    )
    siding = FORWARD * after.normal
    landed = [*layout.parts, *([layout.doubler[1]] if layout.doubler else [])]
    return replace(
        pattern,
        lines=(*pattern.lines, *_landing_lines(layout, landed)),
        readings=part_readings(layout.panel.sections[0], layout.panel.faces[0], siding),
        behind_readings=part_readings(layout.panel.sections[1], layout.panel.faces[1], -siding),
        holes=(
            *pattern.holes,
            *_dowels(spec.dowel, layout),
        ),
        marks=(
            *pattern.marks,
            *_cut_marks(boat, layout),
            *_landing_marks(layout, landed, "on the fore face"),
        ),
        behind_marks=(*pattern.behind_marks, *_landing_marks(layout, landed, "lands here")),
    )


def _dowels(diameter: float | None, layout: Layout) -> Iterator[Hole]:
    for at in layout.dowels:
        x, y = layout.on_panel(at)
        yield Hole(at=(float(x), float(y)), diameter=diameter or 0.0, purpose="dowel")


def _landing_lines(layout: Layout, landed: list[Part]) -> Iterator[Line]:
    """Where the pieces land on the panel's inside: their outlines, but for the panel's own edge."""
    if not landed:
        return
    outlines = shapely.union_all([
        shapely.transform(part.faces[0].boundary, layout.on_panel) for part in landed
    ])  # fmt: skip
    edge = layout.panel.faces[1].boundary.buffer(SAME)
    inner = shapely.difference(outlines, edge)
    if shapely.is_empty(inner):
        return
    for run in shapely.get_parts(shapely.line_merge(inner)):
        if run.length > 1.0:
            yield Line(kind=Kind.LANDING, points=np.asarray(run.coords))


def _landing_marks(layout: Layout, landed: list[Part], words: str) -> Iterator[Mark]:
    for part in landed:
        inside = part.faces[0].representative_point()
        x, y = layout.on_panel(np.array([inside.x, inside.y]))
        yield Mark(name=f"{part.name} {words}", at=(float(x), float(y)), word=True)


def _framing(boat: Boat, layout: Layout) -> Iterator[Pattern]:
    spec, ring = boat.design.stern, layout.framing
    if ring is None or spec.framing is None:
        return
    inside, fore = (section.plane for section in ring.sections)
    facts = (
        lamination_words(spec.framing_stock, spec.framing, 1),
        *face_words(inside, fore),
        "Its after face lies against the inside of the panel",
        *_cut_words(boat),
    )
    if spec.framing_joints is None:
        pattern = ring_pattern(
            boat,
            ring,
            inside,
            sense=FORWARD,
            name="transom framing",
            member="transom",
            stock=spec.framing_stock,
            thickness=spec.framing,
            laminations=1,
            facts=facts,
        )
        siding = FORWARD * inside.normal
        yield replace(
            pattern,
            readings=part_readings(ring.sections[0], ring.faces[0], siding),
            behind_readings=part_readings(ring.sections[1], ring.faces[1], -siding),
            holes=(
                *pattern.holes,
                *(
                    Hole(at=(float(x), float(y)), diameter=spec.dowel or 0.0, purpose="dowel")
                    for x, y in layout.dowels
                ),
            ),
        )
        return
    layer = Layer(
        sections=ring.sections,
        notches=ring.notches,
        depth_left=ring.depth_left(),
        stock=spec.framing_stock,
        thickness=spec.framing,
        laminations=1,
        facts=facts,
    )
    others = [*layout.parts, *([layout.doubler[1]] if layout.doubler else [])]
    for part in layout.parts:
        yield part_pattern(boat, layer, part, others, dowel=spec.dowel)


def _doubler(boat: Boat, layout: Layout) -> Iterator[Pattern]:
    spec = next(iter(boat.design.all(DoublerSpec)), None)
    if spec is None or layout.doubler is None:
        return
    sections, part = layout.doubler
    layer = Layer(
        sections=sections,
        notches=(notches_in(boat, sections[0]), notches_in(boat, sections[1])),
        depth_left={},
        stock=spec.stock,
        thickness=spec.thickness,
        laminations=spec.laminations,
        facts=(
            lamination_words(spec.stock, spec.thickness, spec.laminations),
            *face_words(sections[0].plane, sections[1].plane),
            "Its after face lies against the inside of the panel, between the framing's pieces",
            *_cut_words(boat),
        ),
    )
    yield part_pattern(boat, layer, part, layout.parts, dowel=None)


KIND = MemberKind(
    name="transom",
    order=40,
    pieces=pieces,
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
