"""Flat pieces on the centreline with square edges, drawn on their port side: knees on the keel, mast steps."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from patterns.hull.planes import centre_plane
from patterns.joinery.wood import Stocked, stock_of
from patterns.text.wood_facts import Template
from patterns.wood.facts import Fact
from patterns.wood.features import XY, Distance
from patterns.wood.meeting import Meeting
from patterns.wood.piece import Face, Hand, Piece, View
from patterns.wood.placement import OnFace

__all__ = ["PROFILE_WORDS", "profile_piece"]


def profile_piece(
    spec: Stocked,
    port: Face,
    *,
    name: str,
    member: str,
    distances: Sequence[Distance] = (),
    facts: Sequence[Fact] = (),
    grain: XY = (1.0, 0.0),
    meetings: Sequence[Meeting] = (),
) -> Piece:
    """A piece across the centreline, half of its siding on each side, by its outline in the profile.

    Args:
        spec: of its wood.
        port: its port side, in x and z, mm.
    """
    return Piece(
        name=name,
        member=member,
        stock=stock_of(spec),
        hand=Hand.CENTRE,
        view=View.FROM_PORT,
        placement=OnFace(centre_plane(-0.5 * spec.sided), -1.0),
        faces=(port, Face(region=port.region, sources={})),
        distances=tuple(distances),
        facts=tuple(facts),
        grain=grain,
        meetings=tuple(meetings),
    )


PROFILE_WORDS: Mapping[str, Template] = {
    "moulded face from port": lambda _, __: "port side, seen from port",
}
