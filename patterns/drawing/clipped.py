"""The lines of a pattern as far as they lie in a part of it that is printed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

import numpy as np
from shapely.geometry import Polygon

from patterns.flat.shapes import inside_points
from patterns.hull.planes import FloatArray
from patterns.pattern import Line

__all__ = ["lines_within"]


def lines_within(lines: Iterable[Line], area: Polygon) -> Iterator[Line]:
    """The parts of lines that lie within an area, all of them open; the longest of a line keeps its name."""
    for line in lines:
        points = line.points
        parts = inside_points(area, [np.vstack([points, points[:1]]) if line.closed else points])
        longest = max((len(part) for part in parts), default=0)
        for part in _rejoined(parts, points[0]) if line.closed else parts:
            yield replace(line, points=part, closed=False, name=line.name if len(part) >= longest else "")


def _rejoined(parts: Sequence[FloatArray], seam: FloatArray) -> list[FloatArray]:
    """The parts of a closed line, those that its own beginning parted joined."""
    starts = [part for part in parts if np.allclose(part[0], seam)]
    ends = [part for part in parts if np.allclose(part[-1], seam)]
    if not starts or not ends or starts[0] is ends[0]:
        return list(parts)
    rest = [part for part in parts if part is not starts[0] and part is not ends[0]]
    return [*rest, np.vstack([ends[0], starts[0][1:]])]
