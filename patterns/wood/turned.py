"""A flat piece that was made with the boat turned end for end, as it is in the boat herself.

A piece that is drawn from the side keeps its plane, whose u runs aft, and its wood is mirrored there; any other
keeps its u and v, and its plane is turned.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely

from patterns.hull.cuts import Trace
from patterns.hull.hull import TURNED
from patterns.hull.planes import FloatArray, Plane
from patterns.hull.turned import turned_plane
from patterns.wood.ends import HullEnd, turned_text, turned_value
from patterns.wood.facts import Fact
from patterns.wood.features import XY, Scribed
from patterns.wood.labels import Against, Label, Landing, Nose, Trim
from patterns.wood.meeting import turned_meeting
from patterns.wood.piece import Face, Piece, View
from patterns.wood.placement import Mirrored, OnFace, mirrored
from patterns.wood.region import Region

__all__ = ["turned_fact", "turned_piece"]

FROM_THE_SIDE = (View.FROM_INBOARD, View.FROM_PORT)
OTHER_END = {"fore": "after", "after": "fore"}


def turned_piece(piece: Piece) -> Piece:
    """The piece with fore and aft exchanged; twice gives the same piece.

    Of its facts and labels those are turned that depend on the boat's ends (see `patterns.wood.ends`).
    """
    own = _Own(-1.0 if piece.view in FROM_THE_SIDE else 1.0)
    region = own.regions()
    placement = own.placement(piece.on)
    return replace(
        piece,
        name=turned_text(piece.name),
        part_of=turned_text(piece.part_of),
        placement=mirrored(placement) if isinstance(piece.placement, Mirrored) else placement,
        faces=(own.face(piece.faces[0], region), own.face(piece.faces[1], region)),
        steps=tuple(
            replace(step, before=region(step.before), after=region(step.after)) for step in piece.steps
        ),
        planed=None if piece.planed is None else (piece.planed[0], region(piece.planed[1])),
        layers=tuple(region(layer) for layer in piece.layers),
        meetings=tuple(
            turned_meeting(meeting, _label, lambda area: shapely.transform(area, own.points))
            for meeting in piece.meetings
        ),
        holes=tuple(replace(hole, at=own.place(hole.at)) for hole in piece.holes),
        distances=tuple(
            replace(d, fact=turned_fact(d.fact), start=own.place(d.start), end=own.place(d.end))
            for d in piece.distances
        ),
        facts=tuple(turned_fact(fact) for fact in piece.facts),
        grain=own.place(piece.grain),
    )


@dataclass(frozen=True, slots=True)
class _Own:
    """What becomes of a piece's own coordinates.

    Attributes:
        along: -1 where u changes its sign, 1 where it stays.
    """

    along: float

    def points(self, uv: FloatArray) -> FloatArray:
        changed: FloatArray = uv * np.array([self.along, 1.0])
        return changed

    def place(self, at: XY) -> XY:
        return self.along * at[0], at[1]

    def placement(self, on: OnFace) -> OnFace:
        """Its normal is that of u and v: turned with both of them, and turned back with one."""
        face = turned_plane(on.face)
        if self.along < 0.0:  # a plane: only what lies athwartships is curved
            face = Plane(origin=face.origin, u=-face.u + 0.0, v=face.v)
        return OnFace(face, -self.along * on.sense)

    def regions(self) -> Callable[[Region], Region]:
        """Turns regions; one that is shared stays shared."""
        done: dict[int, Region] = {}

        def region(of: Region) -> Region:
            if id(of) not in done:
                moved = of.mapped(self.points)
                done[id(of)] = replace(moved, palette=tuple(_label(label) for label in of.palette))
            return done[id(of)]

        return region

    def face(self, face: Face, region: Callable[[Region], Region]) -> Face:
        return replace(
            face,
            region=region(face.region),
            sources={_label(label): self.source(source) for label, source in face.sources.items()},
            notes=tuple(
                replace(n, fact=turned_fact(n.fact), at=self.place(n.at), towards=self.place(n.towards))
                for n in face.notes
            ),
            lands=tuple(
                replace(
                    each,
                    fact=turned_fact(each.fact),
                    at=self.place(each.at),
                    towards=self.place(each.towards),
                )
                for each in face.lands
            ),
            scribed=self.lines(face.scribed),
            joints=self.lines(face.joints),
        )

    def lines(self, scribed: Sequence[Scribed]) -> tuple[Scribed, ...]:
        return tuple(replace(s, fact=turned_fact(s.fact), points=self.points(s.points)) for s in scribed)

    def source(self, source: Trace) -> Trace:
        return replace(source, uv=self.points(source.uv), normal=source.normal * TURNED)


def turned_fact(fact: Fact) -> Fact:
    """A fact as it is with the boat turned end for end: the same kind, its values turned."""
    return Fact(fact.kind, {name: turned_value(value) for name, value in fact.values.items()})


def _label(label: Label) -> Label:
    if isinstance(label, Against):
        return Against(turned_text(label.piece))
    if isinstance(label, Landing):
        on = turned_value(label.on)
        return Landing(on if isinstance(on, HullEnd) else label.on)
    if isinstance(label, Nose):
        on = turned_value(label.on)
        return Nose(on) if isinstance(on, HullEnd) else label
    return replace(label, end=OTHER_END.get(label.end, label.end)) if isinstance(label, Trim) else label
