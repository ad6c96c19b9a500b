"""About how many pages drawings will take, found before any is laid: thousands of them are asked about."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from tiling.drawing import Drawing, FloatArray
from tiling.paper import Page

__all__ = ["about_pages"]

MOST_STEPS = 2_000_000  # along all strokes of a drawing; past them the strokes' length alone is told by
PER_PAGE = 4  # steps along a stroke on its way across a page


def about_pages(drawings: Iterable[Drawing], page: Page) -> int:
    """The pages that strokes meet where each drawing's lower left corner is a page's; the layout may take fewer."""
    return sum(_pages(drawing.needed(), page) for drawing in drawings)


def _pages(drawing: Drawing, page: Page) -> int:
    wide, tall = page.step
    pace = min(wide, tall) / PER_PAGE
    runs = [np.vstack([p.points, p.points[:1]]) if p.closed else p.points for p in drawing.paths]
    steps = [np.maximum(1, np.ceil(np.hypot(*np.diff(run, axis=0).T) / pace)) for run in runs]
    total = sum(float(step.sum()) for step in steps)
    if total > MOST_STEPS:
        return int(total / PER_PAGE)
    places = [_along(run, step.astype(np.intp)) for run, step in zip(runs, steps, strict=True)]
    places += [np.array([disc.centre], dtype=float) for disc in drawing.discs]
    if not places:
        return 0
    cells = np.floor((np.vstack(places) - drawing.bounds()[:2]) / (wide, tall)).astype(np.int64)
    return len(np.unique(cells, axis=0))


def _along(run: FloatArray, steps: np.ndarray) -> FloatArray:
    """Points along a run, each piece of it parted into so many steps."""
    piece = np.repeat(np.arange(len(steps)), steps)
    first = np.repeat(np.cumsum(steps) - steps, steps)
    share = ((np.arange(len(piece)) - first) / np.repeat(steps, steps))[:, np.newaxis]
    return np.asarray(run[piece] + share * (run[piece + 1] - run[piece]))
