"""A piece whose edges turn or step between its faces: flat bodies glued into one."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from patterns.assembly.plate import Plate, plates
from patterns.assembly.solids import Samples
from patterns.hull.planes import FloatArray
from patterns.pattern import Body

__all__ = ["Stack", "stacks"]

GLUED = 0.02  # mm; a sample no farther than this outside of the next body lies on the glue line


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Stack:
    """Bodies of one piece where they stand, all on one side."""

    bodies: tuple[Plate, ...]

    @property
    def piece(self) -> str:
        """See `Solid.piece`."""
        return self.bodies[0].piece

    @property
    def name(self) -> str:
        """See `Solid.name`."""
        return self.bodies[0].name

    @property
    def member(self) -> str:
        """The kind of member."""
        return self.bodies[0].member

    @property
    def port(self) -> bool:
        """It is the mirror of the piece on the port side."""
        return self.bodies[0].port

    @property
    def mirrored(self) -> bool:
        """The same piece stands on the other side too."""
        return self.bodies[0].body.mirrored

    def box(self) -> tuple[FloatArray, FloatArray]:
        """See `Solid.box`."""
        boxes = [plate.box() for plate in self.bodies]
        return np.min([low for low, _ in boxes], axis=0), np.max([high for _, high in boxes], axis=0)

    def depth(self, points: FloatArray) -> FloatArray:
        """See `Solid.depth`; near a glue line it tells less than the true depth."""
        deepest: FloatArray = np.max([plate.depth(points) for plate in self.bodies], axis=0)
        return deepest

    def surface(self, step: float) -> Samples:
        """See `Solid.surface`; without the glue lines."""
        points, normals = [], []
        for plate in self.bodies:
            found = plate.surface(step)
            outside = np.ones(len(found.points), dtype=bool)
            for other in self.bodies:
                if other is not plate:
                    outside &= other.depth(found.points) < -GLUED
            points.append(found.points[outside])
            normals.append(found.normals[outside])
        return Samples(points=np.vstack(points), normals=np.vstack(normals))


def stacks(
    piece: str, body: Body, slabs: tuple[Body, ...], member: str = ""
) -> tuple[Plate, ...] | tuple[Stack, ...]:
    """The piece, and its mirror where there is one on each side."""
    if not slabs:
        return plates(piece, body, member)
    parts = [plates(piece, part, member) for part in (body, *slabs)]
    if not all(
        part.mirrored for part in (body, *slabs)
    ):  # it lies across the centreline, some of it on each side
        return (Stack(bodies=tuple(plate for sides in parts for plate in sides)),)
    return tuple(Stack(bodies=sides) for sides in zip(*parts, strict=True))
