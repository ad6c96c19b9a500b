"""First places on a round bilge's surface: sound numbers from any profile, a wild one too."""

from __future__ import annotations

import numpy as np

from patterns.fairing.curves import Profile, SpaceLine, hermite, unite
from patterns.fairing.girth_start import first_places, measured


def _straight(name: str, kind: type[SpaceLine], fore: tuple[float, ...], aft: tuple[float, ...]) -> SpaceLine:
    """A straight line in space."""
    ends = np.array([0.0, float(np.linalg.norm(np.subtract(aft, fore)))])
    axes = []
    for a, b in zip(fore, aft, strict=True):
        slope = np.array([(b - a) / ends[1]])
        axes.append(hermite(ends, np.array([a, b]), slope, slope))
    knots, coefficients = unite(axes)
    return kind(name=name, knots=knots, coefficients=coefficients)


def test_a_profile_that_nowhere_bends_leaves_nothing_between_itself_and_the_sheer_at_its_head() -> None:
    """Its keel's line begins at the head itself, where the sheer is as well: no depth to divide by."""
    profile = _straight("keel", Profile, (0.0, 10.0, 500.0), (4000.0, 10.0, 0.0))
    sheer = _straight("sheer", SpaceLine, (0.0, 10.0, 500.0), (4000.0, 600.0, 520.0))
    assert isinstance(profile, Profile)
    start = first_places(measured([]), profile, sheer)
    assert np.isfinite(start.rabbet_r).all()
    assert np.allclose(start.rabbet_r, 0.0)  # all of it is keel
    assert start.fore == (0.0, 0.0)
