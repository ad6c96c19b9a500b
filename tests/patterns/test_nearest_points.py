"""The nearest of many points, against a tree of a reference library."""

import numpy as np
import pytest
from scipy.spatial import cKDTree

from patterns.hull import nearest_points
from patterns.hull.nearest_points import NearestPoints


@pytest.mark.parametrize("most", [0, nearest_points.ALL])
def test_as_by_a_tree(monkeypatch: pytest.MonkeyPatch, most: int) -> None:
    monkeypatch.setattr(nearest_points, "ALL", most)
    monkeypatch.setattr(nearest_points, "TOGETHER", 900)
    rng = np.random.default_rng(7)
    points, places = rng.uniform(-3000.0, 3000.0, (300, 3)), rng.uniform(-4000.0, 4000.0, (50, 3))
    far, which = NearestPoints(points).query(places)
    wanted, index = cKDTree(points).query(places)
    assert which.tolist() == index.tolist()
    assert far == pytest.approx(wanted, abs=1e-9)
