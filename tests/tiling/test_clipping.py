"""Thinning, and which segments each page carries."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from tiling.drawing import FloatArray, Path, Stroke
from tiling.drawing.simplification import thinned
from tiling.drawing.vertices import joined
from tiling.errors import TilingError
from tiling.pdf.clipping import cut, stroke_state

FIRM = Stroke(width=0.5)
MICRONS = st.integers(-900_000, 900_000).map(lambda n: n / 1000.0)


def worst(points: FloatArray, keep: NDArray[np.bool_]) -> float:
    """How far a vertex left out lies from what remains, by shapely."""
    return float(shapely.distance(shapely.points(points), shapely.LineString(points[keep])).max())


@settings(max_examples=25)
@given(
    st.lists(st.tuples(MICRONS, MICRONS), min_size=2, max_size=60),
    st.sampled_from([0.006, 0.5, 20.0]),
)
def test_no_vertex_left_out_is_farther_off_than_the_tolerance(
    places: list[tuple[float, float]], tolerance: float
) -> None:
    points = np.array(places)
    keep = thinned(points, np.array([0]), tolerance=tolerance)
    assert keep[0]
    assert keep[-1]
    if len(np.unique(points[keep], axis=0)) > 1:
        assert worst(points, keep) <= tolerance * (1.0 + 1e-9) + 1e-9


def test_each_polyline_is_thinned_by_itself() -> None:
    angle = np.linspace(0.0, 2.0, 400)
    runs = [np.column_stack([r * np.cos(angle), r * np.sin(angle)]) for r in (50.0, 700.0, 5000.0)]
    starts = np.array([0, 400, 800])
    together = thinned(np.vstack(runs), starts)
    for index, run in enumerate(runs):
        alone = thinned(run, np.array([0]))
        assert (together[400 * index : 400 * (index + 1)] == alone).all()
        assert worst(run, alone) <= 0.006


def test_a_straight_line_keeps_its_ends_only_and_a_closed_one_does_not_vanish() -> None:
    line = np.column_stack([np.linspace(0.0, 100.0, 50), np.linspace(0.0, 30.0, 50)])
    assert thinned(line, np.array([0])).sum() == 2
    square = np.array([[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [0.0, 10.0], [0.0, 0.0]])
    assert thinned(square, np.array([0])).all()


def test_an_arc_needs_as_many_vertices_as_its_sagitta_asks_for() -> None:
    """A chord of a circle is off by r (1 - cos(a / 2)): with 0.006 mm at r = 1000 mm, a is about 0.0069 rad."""
    angle = np.linspace(0.0, 1.5, 20_000)
    points = 1000.0 * np.column_stack([np.cos(angle), np.sin(angle)])
    least = 1.5 / (2.0 * math.acos(1.0 - 0.006 / 1000.0))
    kept = int(thinned(points, np.array([0])).sum())
    assert least <= kept <= 2.1 * least


def test_a_page_carries_what_meets_its_window_and_nothing_else() -> None:
    rng = np.random.default_rng(7)
    paths = [Path(points=rng.uniform(0.0, 600.0, (4, 2)), stroke=FIRM, closed=bool(n % 2)) for n in range(40)]
    windows = [(x, y, x + 120.0, y + 90.0) for x in (0.0, 108.0, 216.0) for y in (0.0, 78.0)]
    strokes = cut(paths)
    for window, segments in zip(windows, strokes.in_windows(windows), strict=True):
        taken = set(segments.tolist())
        box = shapely.box(*window)
        for index in np.flatnonzero(strokes.real).tolist():
            segment = shapely.LineString(strokes.points[index : index + 2])
            apart = shapely.distance(segment, box)
            if apart == 0.0:
                assert index in taken
            if apart > 2.0:
                assert index not in taken


def test_an_empty_drawing_and_a_window_beside_it_give_nothing() -> None:
    assert cut([]).operators(cut([]).in_windows([(0.0, 0.0, 1.0, 1.0)])[0]) == []
    far = cut([Path(points=np.array([[0.0, 0.0], [5.0, 5.0]]), stroke=FIRM)])
    assert far.operators(far.in_windows([(50.0, 50.0, 60.0, 60.0)])[0]) == []


def test_a_vertex_that_is_not_finite_is_named_by_its_path() -> None:
    good = Path(points=np.array([[0.0, 0.0], [5.0, 5.0]]), stroke=FIRM, closed=True)
    bad = Path(points=np.array([[0.0, 0.0], [math.inf, 5.0]]), stroke=FIRM)
    with pytest.raises(TilingError, match="path 2 "):
        joined([good, bad])


@pytest.mark.parametrize(("dash", "period"), [((4.0, 2.0), 6.0), ((3.0,), 6.0), ((1.0, 2.0, 3.0), 12.0)])
def test_a_phase_is_the_way_gone_less_whole_periods(dash: tuple[float, ...], period: float) -> None:
    # ISO 32000-1, 8.4.3.6: an odd pattern repeats after twice its sum
    for way in (0.0, 1.25, period - 0.5, 7.0 * period + 2.5):
        words = stroke_state(Stroke(width=0.25, dash=dash), phase=way).split()
        assert float(words[words.index("d") - 1]) == pytest.approx(way % period, abs=0.001)
