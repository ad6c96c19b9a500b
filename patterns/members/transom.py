"""The transom: its panel and the framing behind it, each at its own distance."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

import numpy as np
import shapely

from patterns.boat import Boat
from patterns.flat.shapes import area_of
from patterns.hull.curved import Curved, own_face
from patterns.hull.planes import Plane
from patterns.hull.sections import cut_hull
from patterns.members.ringed import notches_in, ring_pattern
from patterns.members.rings import Ring, build_ring, section_area
from patterns.members.wood import Piece, lamination_words, rake_words
from patterns.pattern import Pattern

__all__ = ["pieces"]

FORWARD = -1.0  # a transom's table points lie on its after face; the wood runs forward from there


def pieces(boat: Boat) -> Iterator[Piece]:
    """The panel, and the framing if the design has one."""
    yield 'end "stern", panel', partial(_panel, boat)
    if boat.design.stern.framing is not None:
        yield 'end "stern", framing', partial(_framing, boat)


def face_words(moulded: Plane, other: Plane) -> tuple[str, ...]:
    """How the piece stands; of a bent one the radius, and how its pattern is used."""
    if not (isinstance(moulded, Curved) and isinstance(other, Curved)):
        return (rake_words(moulded.rake),)
    return (
        f"{rake_words(moulded.rake)}; curved, this face to a radius of {moulded.radius:.0f} mm",
        f"Laminate it over a mould of {min(moulded.radius, other.radius):.0f} mm radius, straight along the rake, "
        "with wood to spare; then wrap this pattern, which is unrolled, round the bent face and mark it",
    )


def _panel(boat: Boat) -> tuple[Pattern, ...]:
    spec = boat.design.stern
    after = boat.hull.transom
    inside = after.moved(FORWARD * spec.panel)
    panel_sections = cut_hull(boat.hull, after), cut_hull(boat.hull, inside)
    faces = section_area(panel_sections[0]), section_area(panel_sections[1])
    # The panel closes every notch, so it is one area on each face, without an inside.
    panel = Ring(
        sections=panel_sections,
        notches=((), ()),
        void=shapely.Polygon(),
        faces=faces,
        saw=area_of(np.asarray(faces[0].union(faces[1]).exterior.coords)),
    )
    pattern = ring_pattern(
        boat,
        panel,
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
        ),
    )
    return (pattern,)


def _framing(boat: Boat) -> tuple[Pattern, ...]:
    spec = boat.design.stern
    assert spec.framing is not None
    assert spec.framing_moulded is not None
    inside = own_face(boat.hull.transom.moved(FORWARD * spec.panel))
    fore = inside.moved(FORWARD * spec.framing)
    sections = cut_hull(boat.hull, inside), cut_hull(boat.hull, fore)
    ring = build_ring(
        sections,
        (notches_in(boat, sections[0]), notches_in(boat, sections[1])),
        dict.fromkeys((strake.name for strake in boat.hull.strakes), spec.framing_moulded),
        top=spec.framing_moulded,
        post=spec.centre_post,
    )
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
        facts=(
            lamination_words(spec.framing_stock, spec.framing, 1),
            *face_words(inside, fore),
            "Its after face lies against the inside of the panel",
        ),
    )
    return (pattern,)
