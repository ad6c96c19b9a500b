"""What a face cuts from the hull as it was measured: the inside of planking and its bevels, on one side or both."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from patterns.flat.polylines import lengths
from patterns.hull.cuts import Trace
from patterns.hull.planes import FloatArray, Plane, station_plane
from patterns.repair.fairing import HEEL
from patterns.repair.outline import Edge, EdgeStretch
from patterns.wood.labels import Label, Level, Planking
from patterns.wood.region import Edges

__all__ = ["MeasuredSection", "carried_on", "section_at"]

RUN_ON = 300.0  # mm by which an edge is carried on straight past both ends, to be cut off there
STEP = 30.0  # mm; a shorter stretch is a step between planks, cut with the bevel of the plank beside it


@dataclass(frozen=True, kw_only=True, eq=False)
class MeasuredSection:
    """A `SectionCut` of a frame faired from measured points; its sources have the bevels by gauge or by neighbours.

    Attributes:
        plane: the face.
        depth: of it behind the measured face, mm.
        behind: 1 where that way is aft, -1 where it is forward.
        edge: the inside of planking from heel to head, u outboard on its side; or (y, z) where it goes across.
    """

    plane: Plane
    depth: float
    behind: float
    edge: Edge

    @property
    def deck(self) -> None:
        """A frame alone has none."""
        return

    @cached_property
    def long(self) -> Edge:
        """Its edge carried on straight past both ends."""
        return carried_on(self.edge)

    @property
    def labels(self) -> tuple[Label, ...]:
        """What each stretch of the edge lies on: the planking, or between the heels nothing.

        Across, the two sides' stretches of one name are told apart by the side; port comes first.
        """
        names = [stretch.name for stretch in self.edge.stretches]
        found: list[Label] = []
        for i, (name, stretch) in enumerate(zip(names, self.edge.stretches, strict=True)):
            side = "" if names.count(name) == 1 else "starboard " if name in names[:i] else "port "
            found.append(Level() if _is_heel(stretch) else Planking(side + name))
        return tuple(found)

    @property
    def lines(self) -> Edges:
        """The edge, carried on, as the labelled line along which wood is cut."""
        stretches = self.long.stretches
        return Edges.of([(label, s.points) for label, s in zip(self.labels, stretches, strict=True)])

    @cached_property
    def traces(self) -> Mapping[str, Trace]:
        """The inside of planking by strake, carried on past both ends, where its bevel is known."""
        return {
            label.strake: self._trace(long)
            for label, own, long in zip(self.labels, self.edge.stretches, self.long.stretches, strict=True)
            if isinstance(label, Planking) and own.run[-1] >= STEP and np.isfinite(own.slope).all()
        }

    def _trace(self, stretch: EdgeStretch) -> Trace:
        """A stretch with the surface's normals: square to it the surface goes out by its slope."""
        slope = stretch.slope + 2.0 * stretch.hollow * self.depth
        out = stretch.out[:, :1] * self.plane.u + stretch.out[:, 1:] * self.plane.v
        normal = out - self.behind * slope[:, None] * self.plane.normal
        run = lengths(stretch.points)
        return Trace(
            uv=stretch.points,
            normal=normal / np.linalg.norm(normal, axis=-1, keepdims=True),
            r=run / run[-1],
        )


def section_at(edge: Edge, depth: float, behind: float) -> MeasuredSection:
    """The section whose edge lies on a plane at a depth behind the measured face, mm.

    Args:
        behind: 1 where one goes aft through the old wood from the measured face, -1 forward.
    """
    return MeasuredSection(plane=station_plane(behind * depth), depth=depth, behind=behind, edge=edge)


def _is_heel(stretch: EdgeStretch) -> bool:
    """The level line between two heels, which is no planking."""
    return stretch.name == HEEL and len(stretch.points) == 2 and not np.nan_to_num(stretch.slope).any()


def carried_on(edge: Edge) -> Edge:
    """The edge carried on straight past both ends."""
    stretches = list(edge.stretches)
    stretches[0] = _longer(stretches[0], tail=False)
    stretches[-1] = _longer(stretches[-1], tail=True)
    return replace(edge, stretches=tuple(stretches))


def _longer(stretch: EdgeStretch, *, tail: bool) -> EdgeStretch:
    i = -1 if tail else 0
    out = stretch.out[i]
    way = np.array([-out[1], out[0]]) * (1.0 if tail else -1.0)
    more = stretch.points[i] + RUN_ON * way

    def with_one(values: FloatArray) -> FloatArray:
        end = values[i][None]
        return np.concatenate([values, end] if tail else [end, values])

    return replace(
        stretch,
        points=np.vstack([stretch.points, more[None]] if tail else [more[None], stretch.points]),
        out=with_one(stretch.out),
        slope=with_one(stretch.slope),
        hollow=with_one(stretch.hollow),
    )
