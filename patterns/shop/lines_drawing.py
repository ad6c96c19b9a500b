"""The lines to sight along: profile, plan, body plan, and the curvature of every line."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from patterns.boat import Boat
from patterns.shop.curvature import bend_words, curvature_plot, curvatures
from patterns.shop.views import body_plan, plan, profile
from tiling.drawing import Drawing, Note

__all__ = ["lines_drawing"]

GAP = 30.0  # mm between the views
WORDS = 3.5


def lines_drawing(boat: Boat, *, scale: float = 0.1) -> Drawing:
    """The three views and the curvature plots, one above the other, at a scale.

    Dots are the offsets as they were typed, so a line that leaves its dots is seen at once; a suspect has a ring.
    """
    whole = profile(boat, scale, height=WORDS)
    right = whole.bounds()[2]
    body = body_plan(boat, scale, height=WORDS)
    whole = _beside(whole, body, right + 2.0 * GAP - body.bounds()[0], 0.0)
    whole = _above(whole, plan(boat, scale, height=WORDS))
    for bend in curvatures(boat):
        plot = curvature_plot(bend, scale, height=WORDS)
        words = f"{bend.line}, {bend.view}: {bend_words(bend)}"
        note = Note(text=words, target=(plot.bounds()[2], 0.0), towards=(1.0, 0.0), height=WORDS, reach=30.0)
        whole = _above(whole, plot.with_more(notes=[note]))
    return whole


def _above(whole: Drawing, more: Drawing) -> Drawing:
    return _beside(whole, more, 0.0, whole.bounds()[3] + GAP - more.bounds()[1])


def _beside(whole: Drawing, more: Drawing, across: float, up: float) -> Drawing:
    """Both drawings, the second one shifted."""
    shift = np.array([across, up])
    return whole.with_more(
        paths=(replace(path, points=path.points + shift) for path in more.paths),
        discs=(replace(disc, centre=(disc.centre[0] + across, disc.centre[1] + up)) for disc in more.discs),
        notes=(
            replace(note, target=(note.target[0] + across, note.target[1] + up), reach=30.0)
            for note in more.notes
        ),
    )
