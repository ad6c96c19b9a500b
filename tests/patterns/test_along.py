"""Places along the boat as the design names them, and the names in a fact."""

from __future__ import annotations

import numpy as np
import pytest

from patterns.measure.along import frame_named, station_named
from patterns.wood.ends import HullEnd
from patterns.wood.facts import Fact


@pytest.mark.parametrize(
    ("place", "station", "frame"),
    [
        ("station 3", "3", None),
        ("station frame 3", "frame 3", None),
        ("frame station 3", None, "station 3"),
        ("frame 3 aft", None, "3 aft"),
        ("stations 3", None, None),
        ("station ", None, None),
        ("aft of frame 3", None, None),
        ("2-7-3", None, None),
    ],
)
def test_a_place_names_a_station_or_a_frame_or_neither(
    place: str, station: str | None, frame: str | None
) -> None:
    assert station_named(place) == station
    assert frame_named(place) == frame


def test_the_names_in_a_fact_are_all_but_its_figures() -> None:
    values = {
        "other": "beam 3",
        "over": True,
        "count": 2,
        "depth": 12.5,
        "points": np.ones(3),
        "left": {"keel": 30.0, "chine log": 41.0},
        "face": ("fore", HullEnd.STEM, None),
    }
    names = ("beam 3", "True", "keel", "chine log", "fore", "stem", "None")
    assert Fact("lap", values).names == names
    assert Fact("lap", {**values, "depth": 13.0, "left": {"keel": 1.0, "chine log": 2.0}}).names == names
    assert Fact("lap", {**values, "over": False}).names != names
