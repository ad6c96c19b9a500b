"""What is drawn along a strip of a page, against shapely."""

from __future__ import annotations

import numpy as np
import shapely

from tiling.drawing import Path, Stroke
from tiling.drawing.affine import Affine
from tiling.pages.obstacles import SHORT, Obstacles
from tiling.pdf.clipping import BROADEST, cut

FIRM = Stroke(width=0.5)
STRIPS = (((95.0, 10.0, 99.0, 190.0), True), ((10.0, 140.0, 190.0, 144.0), False))


def test_a_stretch_is_clear_where_no_box_lies_and_no_stroke_runs() -> None:
    rng = np.random.default_rng(11)
    place = Affine.shift(-20.0, 35.0)
    on_grid = place.inverse()
    answers = []
    for _ in range(60):
        starts = rng.uniform(0.0, 200.0, (12, 2))
        ways = rng.normal(0.0, rng.choice([2.0, 60.0], (12, 1)), (12, 2))
        paths = [
            Path(points=on_grid.apply(np.array([a, a + b])), stroke=FIRM)
            for a, b in zip(starts, ways, strict=True)
        ]
        strokes = cut(paths)
        corners = on_grid.apply(rng.uniform(0.0, 200.0, (3, 2)))
        boxes = np.hstack([corners, np.add(corners, (9.0, 4.0))]).T
        taken = Obstacles(boxes, strokes, np.flatnonzero(strokes.real), place)
        lines = shapely.linestrings(place.apply(strokes.points)[: 2 * len(paths)].reshape(-1, 2, 2))
        words = shapely.box(*(boxes + np.array([[-20.0], [35.0], [-20.0], [35.0]])))
        for (strip, upright), clear in zip(STRIPS, taken.along(STRIPS), strict=True):
            x0, y0, x1, y1 = strip
            for start in range(10, 180, 17):
                end = start + 13.0
                box = shapely.box(x0, start, x1, end) if upright else shapely.box(start, y0, end, y1)
                ends = shapely.bounds(lines)
                short = (ends[:, 2:] - ends[:, :2]).max(axis=1) < SHORT
                reach = shapely.box(*(ends + np.array([-1.0, -1.0, 1.0, 1.0]) * 0.5 * FIRM.width).T)
                answers.append(clear(start, end))
                if clear(start, end):
                    assert not shapely.intersects(words, box).any()
                    assert not shapely.intersects(lines, box).any()
                    continue
                touched = shapely.intersects(words, box).any()
                touched |= (short & shapely.intersects(reach, box)).any()
                assert touched or (shapely.distance(lines, box) <= 2.0 * BROADEST).any()
    assert 0.1 < np.mean(answers) < 0.9
