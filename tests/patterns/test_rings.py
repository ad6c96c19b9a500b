"""The ring: what is left of it at each timber."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from patterns.boat import load_boat
from patterns.hull.sections import cut_hull
from patterns.joinery.passages import passages
from patterns.joinery.rings import build_ring
from tests.patterns.plane_boat import write_plane_boat


@pytest.mark.slow
def test_a_timber_that_takes_nothing_from_the_wood_leaves_no_depth_to_report(tmp_path: Path) -> None:
    boat = load_boat(write_plane_boat(tmp_path))
    spec = boat.design.frames[0]
    moulded, other, _ = boat.frame_faces(spec)
    sections = cut_hull(boat.hull, moulded), cut_hull(boat.hull, other)
    passing = passages(boat, "ring", sections)
    notches = passing.notches
    depth = {strake.name: spec.moulded_side for strake in boat.hull.strakes}
    ring = build_ring(sections, passing, depth)
    outside = replace(notches[0][0], timber="stem", corners=notches[0][0].corners - [0.0, 500.0])
    again = replace(ring, passing=replace(passing, notches=((*notches[0], outside), notches[1])))
    left = again.depth_left()
    assert set(left) == set(ring.depth_left()) == {notch.timber for notch in notches[0]}
    assert np.isfinite(list(left.values())).all()
