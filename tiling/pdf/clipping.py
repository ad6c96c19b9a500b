"""The strokes of a drawing cut up for its pages: each page carries only the segments that meet its window.

Every vertex is turned into text once for the whole drawing, in one call: on a page it is only copied.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from tiling.drawing import FloatArray, Path, Stroke
from tiling.drawing.affine import Affine
from tiling.drawing.simplification import thinned
from tiling.drawing.vertices import joined
from tiling.paper import Box

__all__ = ["BROADEST", "ClippedStrokes", "cut", "plain_state", "stroke_state"]

BROADEST = 0.5  # mm; half the broadest stroke


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ClippedStrokes:
    """A drawing's strokes, ready to be copied onto pages.

    Attributes:
        points: shape (n, 2), mm, thinned; closed paths end on their first vertex again.
        texts: each vertex as ``x y``.
        path_of: which path each segment belongs to; segment i runs from vertex i to i + 1.
        spans: the first and the last vertex of each path.
        real: shape (n - 1,): False between two paths.
        along: length along its path at each vertex, mm.
        boxes: shape (4, n - 1): least x, least y, greatest x, greatest y with half the stroke's breadth.
        states: the operators that set each path's stroke; empty where it is dashed, as those hang on the run.
    """

    paths: tuple[Path, ...]
    points: FloatArray
    texts: list[str]
    path_of: NDArray[np.intp]
    starts: NDArray[np.intp]
    spans: list[tuple[int, int]]
    real: NDArray[np.bool_]
    along: FloatArray
    boxes: FloatArray
    states: tuple[str, ...]

    def in_windows(self, windows: Sequence[Box]) -> list[NDArray[np.intp]]:
        """The segments that meet each window.

        Windows that share a row are looked through together, so that the work does not grow with the square
        of the number of pages.
        """
        found = [np.zeros(0, dtype=np.intp)] * len(windows)
        doubtful: list[
            tuple[int, NDArray[np.intp]]
        ] = []  # places among those found that may pass a window by
        by_row: dict[tuple[float, float], list[int]] = {}
        for index, (_, y0, _, y1) in enumerate(windows):
            by_row.setdefault((y0, y1), []).append(index)
        real = np.flatnonzero(self.real)
        boxes = self.boxes[:, real]
        for (y0, y1), members in by_row.items():
            here = np.flatnonzero((boxes[1] <= y1) & (boxes[3] >= y0))
            row, (left, low, right, high) = real[here], boxes[:, here]
            level = (low >= y0) & (high <= y1)
            for index in members:
                x0, x1 = windows[index][0], windows[index][2]
                seen = np.flatnonzero((left <= x1) & (right >= x0))
                found[index] = row[seen]
                within = level[seen] & (left[seen] >= x0) & (right[seen] <= x1)
                doubtful.append((index, np.flatnonzero(~within)))
        self._leave_passing(found, doubtful, windows)
        return found

    def _leave_passing(
        self,
        found: list[NDArray[np.intp]],
        doubtful: Sequence[tuple[int, NDArray[np.intp]]],
        windows: Sequence[Box],
    ) -> None:
        """Leave out of what was found the segments that pass a window by, though their boxes meet it."""
        if not doubtful:
            return
        segments = np.concatenate([found[index][places] for index, places in doubtful])
        counts = [len(places) for _, places in doubtful]
        x0, y0, x1, y1 = np.repeat(np.array([windows[index] for index, _ in doubtful]), counts, axis=0).T
        start_x, start_y = self.points[segments].T
        along_x, along_y = self.points[segments + 1].T - (start_x, start_y)
        sides = [
            along_x * (y - start_y) - along_y * (x - start_x)
            for x, y in ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
        ]
        room = BROADEST * np.hypot(along_x, along_y)
        passing = (np.minimum.reduce(sides) > room) | (np.maximum.reduce(sides) < -room)
        for (index, places), passes in zip(doubtful, np.split(passing, np.cumsum(counts)[:-1]), strict=True):
            if passes.any():
                found[index] = np.delete(found[index], places[passes])

    def operators(self, segments: NDArray[np.intp]) -> list[tuple[str, str]]:
        """Operators for the segments given, rising, with the layer of each stretch of paths that share one.

        Neighbours of one path become one run.  Clip and matrix are not part of the operators; each stretch sets
        its own strokes, so that it does not hang on one that may be left out.
        """
        if not len(segments):
            return []
        # segments of two paths are never neighbours: what joins the paths lies between them
        breaks = np.flatnonzero(segments[1:] - segments[:-1] != 1) + 1
        begins = segments[np.append(0, breaks)]
        firsts, owners = begins.tolist(), self.path_of[begins].tolist()
        lasts = (segments[np.append(breaks, len(segments)) - 1] + 1).tolist()
        found: list[tuple[str, str]] = []
        out: list[str] = []  # runs in one state are one path with one stroke at its end
        state, filled, layer, paint = "", -1, self.paths[owners[0]].layer, ""
        for first, last, which in zip(firsts, lasts, owners, strict=True):
            path = self.paths[which]
            if path.layer != layer:
                found.append((layer, "".join([*out, paint])))
                out, state, layer, paint = [], "", path.layer, ""
            if path.filled:
                if which == filled:
                    continue
                filled = which
                first, last = self.spans[which]
            wanted = self.states[which] or stroke_state(path.stroke, phase=float(self.along[first]))
            if wanted != state:
                out += (paint, wanted)
                state, paint = wanted, ""
            close = path.closed and (first, last) == self.spans[which]
            line = " l\n".join(self.texts[first + 1 : last + (0 if close else 1)])
            if close or path.filled:
                out.append(f"{paint}{self.texts[first]} m\n{line} l {'f' if path.filled else 's'}\n")
                paint = ""
            else:
                out.append(f"{self.texts[first]} m\n{line} l\n")
                paint = "S\n"
        return [*found, (layer, "".join([*out, paint]))]


def stroke_state(stroke: Stroke, *, phase: float = 0.0) -> str:
    """The operators that set breadth, grey and dashes.

    Args:
        phase: length from the line's true beginning, mm: dashes run on over runs and pages.
    """
    if not stroke.dash:
        return _full_state(stroke)
    grey = f"{stroke.grey:g}"
    period = sum(stroke.dash) * (1 if len(stroke.dash) % 2 == 0 else 2)
    dash = " ".join(f"{length:g}" for length in stroke.dash)
    return f"{stroke.width:g} w [{dash}] {phase % period:.3f} d 0 J {grey} G {grey} g\n"


@lru_cache(maxsize=256)
def plain_state(stroke: Stroke) -> str:
    """The same for a line that is drawn from its true beginning."""
    return stroke_state(stroke)


@lru_cache(maxsize=256)
def _full_state(stroke: Stroke) -> str:
    grey = f"{stroke.grey:g}"
    return f"{stroke.width:g} w [] 0 d 1 J {grey} G {grey} g\n"


def cut(paths: Sequence[Path], place: Affine | None = None) -> ClippedStrokes:
    """Make the strokes of a drawing ready for its pages.

    Args:
        place: from the drawing's coordinates to those of the windows.
    Raises:
        TilingError: a vertex is not a finite number; the message says which path's.
    """
    points, starts = joined(paths)
    if place is not None:
        points = place.apply(points)
    keep = thinned(points, starts)
    owner = (np.searchsorted(starts, np.arange(len(points)), side="right") - 1)[keep]
    points = points[keep]
    starts = np.searchsorted(owner, np.arange(len(paths)))
    real = owner[1:] == owner[:-1]
    step = np.where(real, np.hypot(*np.diff(points, axis=0).T), 0.0)
    total = np.append(0.0, np.cumsum(step))[: len(points)]
    half = 0.5 * np.array([path.stroke.width for path in paths])[owner[:-1]][:, None]
    low = np.minimum(points[:-1], points[1:]) - half
    high = np.maximum(points[:-1], points[1:]) + half
    texts = ("%.3f %.3f\n" * len(points) % tuple(points.ravel().tolist())).split("\n")
    return ClippedStrokes(
        paths=tuple(paths),
        points=points,
        texts=texts[:-1],
        path_of=owner[:-1],
        starts=starts,
        spans=list(zip(starts.tolist(), [*(starts[1:] - 1).tolist(), len(points) - 1], strict=True))
        if paths
        else [],
        real=real,
        along=total - total[starts][owner] if len(points) else total,
        boxes=np.vstack([low.T, high.T]),
        states=tuple("" if path.stroke.dash else _full_state(path.stroke) for path in paths),
    )
