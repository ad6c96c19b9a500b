"""The small pictures on the cards: everything that is made in its place, one piece of it dark.

The boat is seen from ahead, from port and from above; the pieces of one frame are seen as that lies in her, looking
forward.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from patterns.hull.planes import FloatArray
from patterns.pattern import Pattern
from tiling.planning.card import Site

__all__ = ["FrameUp"]

WIDE, TALL = 40.0, 26.0  # mm of paper; the most that a picture takes
COARSE = 0.2  # mm of paper; finer steps of an outline are not seen
ROUND, DOWN = np.radians(32.0), np.radians(30.0)  # how far from abeam, and from above, one looks
PORT = np.array([1.0, -1.0, 1.0])
BOAT = np.array(
    [
        [np.cos(ROUND), -np.sin(ROUND), 0.0],
        [np.sin(DOWN) * np.sin(ROUND), np.sin(DOWN) * np.cos(ROUND), np.cos(DOWN)],
    ]
)
FRAME = np.array([[0.0, 1.0, 0.0], [0.0, 0.0, 1.0]])


@dataclass(frozen=True)
class FrameUp:
    """All pieces in their places.

    Attributes:
        patterns: of everything that is made.
    """

    patterns: Sequence[Pattern]

    @cached_property
    def _boat(self) -> _Scene | None:
        return _Scene.of(self.patterns, BOAT)

    @cached_property
    def _wholes(self) -> dict[str, _Scene | None]:
        names = {pattern.part_of for pattern in self.patterns if pattern.part_of}
        return {
            name: _Scene.of([each for each in self.patterns if each.part_of == name], FRAME)
            for name in sorted(names)
        }

    def of_pieces(self, patterns: Sequence[Pattern]) -> Site | None:
        """Where pieces are in the boat; None where nothing is known of that."""
        return None if self._boat is None else self._boat.site(patterns)

    def of_part(self, pattern: Pattern) -> Site | None:
        """Where a piece is in what it is part of."""
        scene = self._wholes[pattern.part_of]
        return None if scene is None else scene.site([pattern])


@dataclass(frozen=True, kw_only=True, eq=False)
class _Scene:
    """A picture of many pieces: from the boat's mm to those of paper."""

    place: Callable[[FloatArray], FloatArray]
    lines: tuple[FloatArray, ...]
    size: tuple[float, float]

    @classmethod
    def of(cls, patterns: Sequence[Pattern], way: FloatArray) -> _Scene | None:
        """The picture on which the rows of ``way`` run to the right and up; None: there is nothing."""
        outlines = [outline @ way.T for pattern in patterns for outline in _both_sides(pattern)]
        if not outlines:
            return None
        every = np.vstack(outlines)
        low, high = every.min(axis=0), every.max(axis=0)
        scale = float((np.array([WIDE, TALL]) / np.maximum(high - low, 1e-6)).min())

        def place(points: FloatArray) -> FloatArray:
            return np.asarray((points @ way.T - low) * scale)

        lines = (_thinned((outline - low) * scale) for outline in outlines)
        wide, tall = ((high - low) * scale).tolist()
        return cls(
            place=place,
            lines=tuple(np.vstack([line, line[:1]]) for line in lines if len(line) > 1),
            size=(wide, tall),
        )

    def site(self, patterns: Sequence[Pattern]) -> Site | None:
        """The picture with those pieces dark; None where it does not know where they are."""
        dark = [_thinned(self.place(each)) for pattern in patterns for each in _both_sides(pattern)]
        dark = [outline for outline in dark if len(outline) > 1]
        return Site(around=self.lines, part=tuple(dark), size=self.size) if dark else None


def _both_sides(pattern: Pattern) -> list[FloatArray]:
    """Its outlines in the boat, on both sides where there are two."""
    outlines = list(pattern.in_boat)
    if pattern.half or pattern.turned_over:
        outlines += [outline * PORT for outline in pattern.in_boat]
    return outlines


def _thinned(outline: FloatArray) -> FloatArray:
    """The outline without the vertices that are nearer than can be seen to the one before."""
    way = np.cumsum(np.hypot(*np.diff(outline, axis=0, prepend=outline[:1]).T))
    keep = np.diff(way // COARSE, prepend=-1.0) != 0.0
    return np.asarray(outline[keep], dtype=float)
