"""The faces that lie on the scrieve board: every moulded face of frame, mould and transom with its bevels.

Each face is drawn as its true shape in its own plane: one that leans is as long up its plane as the piece is, so
that a leaning piece can be laid on it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from patterns.boat import Boat
from patterns.design.mould_models import MouldSpec
from patterns.hull.cuts import Trace
from patterns.hull.planes import FloatArray
from patterns.hull.sections import Section, cut_hull
from patterns.pattern import Pattern, Reading
from patterns.shop.set_up import MOULD, SetUpPiece, stands
from patterns.shop.views import every_height
from patterns.table.levels import levels_of

__all__ = ["BoardFace", "board_faces", "board_readings"]

LEANS = 1e-6  # radians


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BoardFace:
    """One face on the board.

    Attributes:
        stand: the piece and its plane.
        section: the hull cut by the face, inside of planking; of a mould less what lies on it.
        side: 1 to the right of the centreline (forward of the greatest breadth), -1 to the left.
        by: a length on the board over the length in the boat.
    """

    stand: SetUpPiece
    section: Section
    side: float
    by: float = 1.0

    @property
    def leans(self) -> bool:
        """Whether heights up the face are longer than plumb ones, or breadths longer than square ones."""
        return abs(self.stand.rake) > LEANS or abs(self.stand.cant) > LEANS

    def on_board(self, uv: FloatArray) -> FloatArray:
        """Points (n, 2) of the face as they lie on the board: from the centreline and from height 0, mm."""
        plane = self.section.plane
        across, up = uv[..., 0] - plane.centre, uv[..., 1] - plane.up_at_height(0.0)
        return self.by * np.stack([self.side * across, up], axis=-1)


def board_faces(boat: Boat, patterns: Sequence[Pattern], *, by: float = 1.0) -> tuple[BoardFace, ...]:
    """The faces of everything that is set up athwartships, from forward aft.

    Args:
        by: the board's scale.
    """
    thick = {f"mould {spec.name}": spec.ribbands + spec.bent_frames for spec in boat.design.all(MouldSpec)}
    found = []
    for stand in stands(boat, patterns):
        section = cut_hull(boat.hull, stand.plane, deeper=thick.get(stand.name, 0.0))
        side = 1.0 if stand.aft <= boat.hull.widest else -1.0
        found.append(BoardFace(stand=stand, section=section, side=side, by=by))
    return tuple(found)


def board_readings(boat: Boat, face: BoardFace) -> Iterator[Reading]:
    """The bevels of a face at its chines, its sheer and where the board's lines cross it, places on the board.

    A chine has two, each with its strake's name.  The words of a crossing name its line where the face leans: there
    it lies off the line that is drawn for upright faces.  A mould's edge is square, whatever the planking does.
    """
    if face.stand.member == MOULD:
        return
    plane = face.section.plane
    names = list(face.section.traces)
    for strake, trace in face.section.traces.items():
        uv = trace.uv
        siding = plane.turned(face.stand.siding * plane.normal, uv)
        bevel = trace.bevel(siding)
        places = [(float(len(uv) - 1), "" if strake == names[-1] else strake)]
        places += [(0.0, strake)] * (strake != names[0])
        places += [(at, name if face.leans else "") for name, at in _crossings(boat, face, trace)]
        for at, where in places:
            whole = int(min(np.floor(at), len(uv) - 2))
            point, _ = trace.place(at)
            here = float(np.interp(at, np.arange(len(uv)), bevel))
            out = uv[whole + 1] - uv[whole]
            out = np.array([face.side * out[1], -out[0]]) / np.hypot(*out)
            x, y = face.on_board(point)
            yield Reading(
                at=(float(x), float(y)),
                bevel=here,
                towards=(-float(out[0]), -float(out[1])),
                edge=strake,
                where=where,
            )


def _crossings(boat: Boat, face: BoardFace, trace: Trace) -> Iterator[tuple[str, float]]:
    """The broken indices at which waterlines, buttocks and diagonals cross a trace, with their names."""
    plane, uv = face.section.plane, trace.uv
    for name, z in every_height(boat):
        yield from ((name, at) for at in _changes(uv[:, 1] - plane.level(z, uv[:, 0])))
    for level in levels_of(boat.offsets, boat.design):
        if level.view == "half-breadth":
            continue  # it is one of the heights
        body = plane.space(uv)[:, [1, 2]] - level.start
        off = body[:, 0] * level.along[1] - body[:, 1] * level.along[0]
        yield from ((level.name, at) for at in _changes(off))


def _changes(off: FloatArray) -> Iterator[float]:
    """The broken indices at which a row of figures changes its sign, ends left out."""
    for i in np.nonzero((off[:-1] < 0.0) != (off[1:] < 0.0))[0].tolist():
        at = i + float(off[i] / (off[i] - off[i + 1]))
        if 0.0 < at < len(off) - 1:
            yield at
