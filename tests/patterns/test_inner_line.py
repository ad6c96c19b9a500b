"""A frame's inner edge by given points: where they say, whatever the mouldings."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import shapely

from patterns.boat import load_boat
from patterns.errors import DesignError
from patterns.pattern import Pattern
from tests.once import made_of
from tests.patterns.plane_boat import write_plane_boat


def frame_with(folder: Path, keys: str) -> Pattern:
    write_plane_boat(folder)
    design = folder / "design.toml"
    text = design.read_text(encoding="utf-8")
    head, mark, tail = text.partition("[[frame]]\n")
    assert mark
    design.write_text(f"{head}{mark}{keys}\n{tail}", encoding="utf-8")
    return next(
        pattern for pattern in made_of(load_boat(folder), "frame").values() if pattern.member == "frame"
    )


@pytest.mark.slow
def test_the_inner_edge_runs_through_the_given_points_on_both_faces(tmp_path: Path) -> None:
    points = [(0.0, 140.0), (110.0, 150.0), (130.0, 180.0), (150.0, 500.0)]
    said = ", ".join(f'["{y:g} mm", "{z:g} mm"]' for y, z in points)
    pattern = frame_with(tmp_path, f"inner_line = [{said}]")
    assert pattern.body is not None
    assert pattern.plane is not None
    for area in (pattern.body.moulded, pattern.body.other):
        outline = shapely.boundary(area)
        for y, z in points[1:]:
            assert shapely.distance(outline, shapely.Point(y, pattern.plane.up_at_height(z))) < 1e-6
        # Just inside of the line is open, just outside of it is wood.
        y, z = np.mean([points[1], points[2]], axis=0)
        assert not area.contains(shapely.Point(y - 2.0, z + 1.0))
        assert area.contains(shapely.Point(y + 2.0, z - 1.0))


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ('[["0 mm", "170 mm"]]', "one point makes no line"),
        ('[["0 mm", "170 mm"], ["300 mm", "120 mm"]]', "goes back in or down"),
        ('[["0 mm", "170"], ["300 mm", "190 mm"]]', "inner_line"),
    ],
)
def test_lines_that_will_not_do_are_told(tmp_path: Path, line: str, words: str) -> None:
    with pytest.raises(DesignError, match=words):
        frame_with(tmp_path, f"inner_line = {line}")
