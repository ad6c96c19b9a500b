"""Areas with labelled edges: none without a label, none off its source, over random cuts, unions and growths."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import Point, Polygon

from patterns.wood.labels import Against, Centre, Deck, Free, Label, Level, Planking, Rounded, Trim
from patterns.wood.region import ON, Region, labelled

Operation = tuple[str, Region]
SIDES: tuple[Label, ...] = (Planking("bottom"), Planking("side"), Deck(), Centre())


def _star(seed: int, count: int, label: Label | None = None) -> Region:
    """A random outline of many short sides, none of them crossing; its sides labelled in turn without a label."""
    rng = np.random.default_rng(seed)
    angle = np.sort(rng.uniform(0.0, 2.0 * np.pi, count))
    if np.diff(angle, append=angle[0] + 2.0 * np.pi).max() > 3.0:  # the middle must lie inside
        angle = np.linspace(0.0, 2.0 * np.pi, count, endpoint=False)
    away = rng.uniform(40.0, 160.0, count)
    middle = rng.uniform(-120.0, 120.0, 2)
    points = middle + away[:, None] * np.stack([np.cos(angle), np.sin(angle)], axis=-1)
    if label is not None:
        return Region.of(Polygon(points), label)
    return Region.within(points, [SIDES[i % len(SIDES)] for i in range(count)])


def _square(size: float = 100.0) -> Region:
    points = np.array([[0.0, 0.0], [size, 0.0], [size, size], [0.0, size]])
    return Region.within(points, SIDES)


def _off(region: Region, *sources: Region) -> float:
    """The farthest that a midpoint lies from the nearest segment with its label in any of the sources."""
    worst = 0.0
    for label in set(region.labels):
        lines = shapely.union_all([source.lines(label) for source in sources])
        middles = region.segments.mean(axis=1)[[each == label for each in region.labels]]
        worst = max(worst, float(shapely.distance(lines, shapely.points(middles)).max()))
    return worst


stars = st.integers(0, 10**6), st.integers(5, 150)


@given(*stars, st.lists(st.tuples(st.sampled_from("-+&"), st.integers(0, 10**6)), min_size=1, max_size=5))
def test_every_stretch_keeps_the_label_of_its_source_over_cuts_unions_and_intersections(
    seed: int, count: int, steps: list[tuple[str, int]]
) -> None:
    region = first = _star(seed, count)
    sources = [first]
    for number, (how, other_seed) in enumerate(steps):
        other = _star(other_seed, 4 + other_seed % 90, Against(f"{number}"))
        before, sources = region, [*sources, other]
        match how:
            case "-":
                region = before.minus(other)
                assert region.area.area == pytest.approx(
                    before.area.area - before.area.intersection(other.area).area, abs=1e-6
                )
            case "+":
                region = before.joined(other)
                assert region.area.area + before.both(other).area.area == pytest.approx(
                    before.area.area + other.area.area, abs=1e-6
                )
            case _:
                region = before.both(other)
                assert region.area.area == pytest.approx(
                    before.area.area - before.minus(other).area.area, abs=1e-6
                )
        assert len(region.codes) == len(region.segments)
        assert _off(region, *sources) <= ON
    total = sum(stretch.length for stretch in region.stretches())
    assert total == pytest.approx(float(region.area.length), abs=1e-6)


@given(*stars, st.floats(0.5, 30.0))
def test_a_grown_area_has_its_sides_under_their_labels_at_the_distance_and_arcs_between(
    seed: int, count: int, distance: float
) -> None:
    region = _star(seed, count)
    grown = region.grown(distance)
    assert grown.area.area >= region.area.area
    middles = grown.segments.mean(axis=1)
    for label in set(grown.labels) - {Rounded()}:
        here = middles[[each == label for each in grown.labels]]
        away = shapely.distance(region.lines(label), shapely.points(here))
        assert (away >= 0.98 * distance).all()
        assert (away <= 1.01 * distance + ON).all()


@given(st.integers(3, 12), st.floats(1.0, 20.0))
def test_growing_a_convex_area_adds_the_strips_beside_its_sides_and_one_circle(
    count: int, distance: float
) -> None:
    """Steiner's formula (from memory): A + P r + pi r^2; the straight sides keep their lengths and labels."""
    angle = np.linspace(0.0, 2.0 * np.pi, count, endpoint=False)
    region = Region.within(
        100.0 * np.stack([np.cos(angle), np.sin(angle)], axis=-1), [Against(f"{i}") for i in range(count)]
    )
    grown = region.grown(distance)
    steiner = region.area.area + region.area.length * distance + np.pi * distance**2
    assert grown.area.area == pytest.approx(steiner, rel=1e-3)
    side = 200.0 * np.sin(np.pi / count)
    for i in range(count):
        [stretch] = grown.stretches(Against(f"{i}"))
        assert stretch.length == pytest.approx(side, abs=1e-6)
    assert len(grown.stretches(Rounded)) == count


def test_a_cut_wins_where_both_have_an_edge_and_the_first_operand_in_a_union() -> None:
    wood = _square()
    shelf = Region.of(
        shapely.box(20.0, 0.0, 40.0, 30.0), Against("stringer")
    )  # its foot lies on the bottom's edge
    beside = Region.of(shapely.box(100.0, 0.0, 150.0, 100.0), Against("stringer"))
    assert {s.label for s in wood.minus(beside).stretches()} == {
        Planking("bottom"), Against("stringer"), Deck(), Centre()
    }  # fmt: skip
    notched = wood.minus(shelf)
    assert [stretch.length for stretch in notched.stretches(Planking("bottom"))] == [60.0, 20.0]
    [bed] = notched.stretches(Against)
    assert bed.length == 80.0
    lying = Region.of(shapely.box(20.0, 0.0, 40.0, 100.0), Free())
    assert sum(s.length for s in wood.joined(lying).stretches(Planking("bottom"))) == 100.0
    assert not wood.joined(lying).stretches(Free)
    assert sum(s.length for s in wood.both(lying).stretches(Planking("bottom"))) == 20.0


def test_of_two_cuts_with_one_edge_the_later_one_wins() -> None:
    cuts = [
        Region.of(shapely.box(20.0, -1.0, 40.0, 30.0), Against("first")),
        Region.of(shapely.box(40.0, -1.0, 60.0, 50.0), Against("second")),
        Region.of(shapely.box(20.0, 30.0, 40.0, 50.0), Against("third")),
    ]
    left = _square().minus(*cuts)
    assert sum(s.length for s in left.stretches(Against("first"))) == 30.0
    assert sum(s.length for s in left.stretches(Against("third"))) == 40.0


def test_stretches_run_with_the_wood_on_their_left_whatever_way_the_ring_runs() -> None:
    points = np.array([[0.0, 0.0], [100.0, 0.0], [100.0, 100.0], [0.0, 100.0]])
    turned = Region.within(points[::-1], [SIDES[2], SIDES[1], SIDES[0], SIDES[3]])
    for region in (_square(), turned):
        [bottom] = region.stretches(Planking("bottom"))
        assert bottom.points.tolist() == [[0.0, 0.0], [100.0, 0.0]]
        [deck] = region.stretches(Deck)
        assert deck.points.tolist() == [[100.0, 100.0], [0.0, 100.0]]
    holed = _square().minus(Region.of(Point(50.0, 50.0).buffer(10.0), Free()))
    [hole] = holed.stretches(Free)
    assert hole.closed
    assert Polygon(hole.points).exterior.is_ccw is False


def test_a_run_across_the_start_of_a_ring_is_one() -> None:
    points = np.array([[50.0, 0.0], [100.0, 0.0], [100.0, 100.0], [0.0, 100.0], [0.0, 0.0]])
    bottom = Planking("bottom")
    region = Region.within(points, [bottom, Deck(), Deck(), Deck(), bottom])
    assert [stretch.length for stretch in region.stretches(bottom)] == [100.0]


@given(st.floats(2.0, 40.0))
def test_rounding_leaves_the_sides_their_labels_and_takes_the_corners_off(radius: float) -> None:
    """The corners' area: (4 - pi) r^2, a circle in its square."""
    eased = _square().rounded(radius)
    assert eased.area.area == pytest.approx(1e4 - (4.0 - np.pi) * radius**2, abs=2e-3 * radius**2)
    for side in SIDES:
        [stretch] = eased.stretches(side)
        assert stretch.length == pytest.approx(100.0 - 2.0 * radius, abs=0.2 * radius)
    assert len(eased.stretches(Rounded)) == 4


def test_an_edge_off_every_source_is_an_error_unless_a_label_is_given_for_it() -> None:
    with pytest.raises(ValueError, match="none of the edges"):
        labelled(shapely.box(0.0, 0.0, 90.0, 100.0), [_square()])
    trimmed = labelled(shapely.box(0.0, 0.0, 90.0, 100.0), [_square()], otherwise=Trim())
    assert [stretch.points[:, 0].tolist() for stretch in trimmed.stretches(Trim)] == [[90.0, 90.0]]


def test_parts_and_mapped_areas_keep_their_labels() -> None:
    halves = _square().minus(Region.of(shapely.box(-1.0, 40.0, 101.0, 60.0), Trim()))
    low, high = sorted(halves.parts(), key=lambda part: float(part.area.bounds[1]))
    assert {*low.labels} == {Planking("bottom"), Planking("side"), Trim(), Centre()}
    assert {*high.labels} == {Deck(), Planking("side"), Trim(), Centre()}
    flipped = low.mapped(lambda points: points * np.array([-1.0, 1.0]))
    [bottom] = flipped.stretches(Planking("bottom"))
    assert bottom.points.tolist() == [[-100.0, 0.0], [0.0, 0.0]]


def test_nothing_left_is_an_empty_region() -> None:
    assert _square().minus(_square(200.0)).is_empty
    assert not _square().minus(_square(200.0)).stretches()


def test_outlines_are_whole_rings_and_open_along_what_is_left_out() -> None:
    """A square with a square hole: two closed rings; without its centreline side one open run of three sides."""
    wood = _square().minus(Region.of(Polygon([(40, 40), (60, 40), (60, 60), (40, 60)]), Free()))
    assert [(stretch.closed, stretch.length) for stretch in wood.outlines()] == [(True, 400.0), (True, 80.0)]
    opened = wood.outlines(Centre)
    assert sorted((stretch.closed, stretch.length) for stretch in opened) == [(False, 300.0), (True, 80.0)]


def test_an_outline_that_crosses_itself_keeps_the_larger_part_and_its_labels() -> None:
    """A bow tie of two triangles with 8 x 4 and 4 x 2 mm; points given twice are one."""
    low, high = np.array([[0.0, 0.0], [0.0, 0.0], [8.0, 0.0]]), np.array([[2.0, 6.0], [6.0, 6.0]])
    region = Region.around((low, Deck(), Free()), (high, Level(), Trim("fore")))
    assert region.area.area == pytest.approx(16.0)
    assert {stretch.label: stretch.length for stretch in region.stretches()} == {
        Deck(): pytest.approx(8.0),
        Free(): pytest.approx(np.hypot(4.0, 4.0)),
        Trim("fore"): pytest.approx(np.hypot(4.0, 4.0)),
    }


def test_strips_along_nearly_one_line_are_not_filled_between() -> None:
    """Two closed strips, both with a needle's point at the same corner; a plain overlay gives 248,401 mm2."""
    corner = (736.91875, 739.175)
    rings = [
        [(734.91875, 3.175), corner, (755.91875, 3.175), (734.91875, 3.175)],
        [(734.91875, 3.175), corner, (61.918750000000045, 63.175), (734.91875, 3.175)],
    ]
    strips = [Region.of(shapely.LineString(ring).buffer(0.175, quad_segs=4), Free()) for ring in rings]
    areas = [strip.area.area for strip in strips]
    shared = strips[0].both(strips[1]).area.area
    assert strips[0].joined(strips[1]).area.area == pytest.approx(sum(areas) - shared, abs=0.01)
    assert strips[0].minus(strips[1]).area.area == pytest.approx(areas[0] - shared, abs=0.01)


def test_no_wood_is_lost_between_faces_whose_edges_run_along_each_other() -> None:
    """Two faces of a beam whose notch is 55 mm long and 1.16 mm deeper on one of them.

    A plain overlay of these loses 477 mm2 in one order of the two and nothing in the other.
    """
    data = (Path(__file__).parents[1] / "data" / "two_faces_at_a_hairs_angle.wkb").read_bytes()
    one, two = (Region.of(area, Free()) for area in shapely.from_wkb(data).geoms)
    together = one.area.area + two.area.area - one.both(two).area.area
    for joined in (one.joined(two), two.joined(one)):
        assert joined.area.area == pytest.approx(together, abs=1e-3)
        for face in (one, two):
            assert face.minus(joined).area.area == pytest.approx(0.0, abs=1e-3)
