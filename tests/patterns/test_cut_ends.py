"""The ends of what runs fore and aft: the angles at which they are cut, and the bevels read there."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import box

from patterns.hull.planes import Plane, station_plane
from patterns.joinery.cut_ends import end_cuts, end_sources, stretches
from patterns.joinery.fore_and_aft import fore_and_aft_plane
from patterns.wood.labels import Free, Trim
from patterns.wood.region import Region


def _plane(turn: float) -> Plane:
    """A plane that runs fore and aft and by an angle out, going aft."""
    start = np.array([1000.0, 300.0, 500.0])
    return fore_and_aft_plane(start, start + 800.0 * np.array([np.cos(turn), np.sin(turn), 0.0]))


@given(st.floats(-0.3, 0.3), st.floats(-0.3, 0.3))
def test_an_end_on_a_raked_face_is_cut_by_its_rake_and_by_the_turn_of_the_piece(
    rake: float, turn: float
) -> None:
    """Parallel to the centreline the lean is the rake; against upright faces the end is off square by the turn."""
    faces = station_plane(1000.0, rake=rake), station_plane(1800.0)
    straight, turned = end_cuts(_plane(0.0), faces).values, end_cuts(_plane(turn), faces).values
    assert straight["fore"] == {"lean": pytest.approx(rake), "off": pytest.approx(0.0, abs=1e-12)}
    assert turned["after"]["lean"] == pytest.approx(0.0, abs=1e-12)  # type: ignore[index]
    assert abs(turned["after"]["off"]) == pytest.approx(abs(turn))  # type: ignore[index]


@given(st.floats(-0.3, 0.3))
def test_the_bevels_of_the_two_ends_of_a_turned_piece_make_half_a_turn(turn: float) -> None:
    plane, ends = _plane(turn), (station_plane(1100.0), station_plane(1600.0))
    [stretch] = stretches((plane,), ends, on=("beam 1", "beam 2"))
    wood = Region.of(box(-1e4, 0.0, 1e4, 40.0), Free()).both(*stretch)
    sources = end_sources(wood, ends)
    assert list(sources) == [Trim("fore", "beam 1"), Trim("after", "beam 2")]
    fore, after = (float(source.bevel(-plane.normal)[0]) for source in sources.values())
    assert fore + after == pytest.approx(np.pi)
    assert abs(fore - 0.5 * np.pi) == pytest.approx(abs(turn), abs=1e-7)
