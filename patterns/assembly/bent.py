"""A timber that runs fore and aft as a piece of wood to be measured against others."""

from __future__ import annotations

from dataclasses import dataclass

from patterns.assembly.solids import Samples, with_side
from patterns.hull.planes import FloatArray
from patterns.timbers.run import Run, mirror_of

__all__ = ["Bent", "bent"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Bent:
    """One timber where it lies; ``port``: it is the mirror of the run on the port side."""

    run: Run
    port: bool = False

    @property
    def piece(self) -> str:
        """See `Solid.piece`."""
        return self.run.name

    @property
    def name(self) -> str:
        """See `Solid.name`."""
        return with_side(self.piece, mirrored=self.run.mirrored, port=self.port)

    def box(self) -> tuple[FloatArray, FloatArray]:
        """See `Solid.box`."""
        low, high = self.run.box()
        if not self.port:
            return low, high
        low, high = low.copy(), high.copy()
        low[1], high[1] = -high[1], -low[1]
        return low, high

    def surface(self, step: float) -> Samples:
        """See `Solid.surface`."""
        points, normals = self.run.samples(step)
        if self.port:
            points, normals = mirror_of(points), mirror_of(normals)
        return Samples(points=points, normals=normals)

    def depth(self, points: FloatArray) -> FloatArray:
        """See `Solid.depth`."""
        return self.run.depth(mirror_of(points) if self.port else points)


def bent(run: Run) -> tuple[Bent, ...]:
    """The timber, and its mirror where there is one on each side."""
    return (Bent(run=run), Bent(run=run, port=True)) if run.mirrored else (Bent(run=run),)
