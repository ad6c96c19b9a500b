"""Models against closed forms: lifts of the parabolic hull, volumes that floating gives, slots that mate."""

from __future__ import annotations

import pytest
import shapely

from patterns.errors import RequestError
from patterns.hull.hydrostatics import float_hull
from patterns.model.lifts import lifts_of
from patterns.model.slotted import backbone, section_piece, slotted_pieces, whole_section
from patterns.model.solid import HullSolid, solid_of
from tests.demo import demo_boat, round_demo
from tests.patterns.floating_hulls import exact_hull
from tests.patterns.test_hydrostatics import B, L, T, parabola


@pytest.fixture(scope="module")
def parabolic() -> HullSolid:
    return solid_of(exact_hull(parabola, -0.5 * L, 0.5 * L))


def half_area(z: float) -> float:
    """Of the parabolic hull's level section, one side: two thirds of length times half-breadth there."""
    return 2.0 / 3.0 * L * 0.5 * B * (1.0 - (z / T) ** 2)


def test_level_sections_of_the_parabolic_hull_have_their_closed_form(parabolic: HullSolid) -> None:
    for z in (-200.0, -120.0, -10.0, 40.0):
        assert parabolic.level(z).area == pytest.approx(half_area(z), rel=4e-4)


@pytest.mark.slow
def test_the_stack_is_the_hulls_volume_and_saws_all_of_it(parabolic: HullSolid) -> None:
    """Half the hull from her keel to a height: the integral of the closed form of her level sections.

    A stack sawn to the larger face of each board holds the hull; to the smaller, it lies within: the hull is
    between the sums, and the trapezoidal sum is off by the known second difference.
    """
    board = 50.0
    lifts = lifts_of(parabolic, board)
    assert len(lifts) == 6
    whole = 0.5 * L * B * 2.0 / 3.0 * (300.0 - (50.0**3 + T**3) / (3.0 * T**2))
    assert parabolic.volume(-T, 50.0) == pytest.approx(whole, rel=1e-3)
    sawn = sum(lift.sawn.area * board for lift in lifts)
    within = sum(min(lift.lower.area, lift.upper.area) * board for lift in lifts)
    assert within < whole < sawn
    halves = sum(0.5 * (lift.lower.area + lift.upper.area) * board for lift in lifts)
    # The trapezoidal rule on a parabola is short by h^2 / 12 of its slope's change: exact for this hull.
    short = board**2 / 12.0 * L * B * 2.0 / 3.0 / T**2 * (50.0 + T)
    assert halves == pytest.approx(whole - short, rel=1e-3)


@pytest.mark.slow
def test_a_hull_that_is_widest_within_a_board_is_sawn_to_her_widest(parabolic: HullSolid) -> None:
    """One board from -100 to 50 mm about the level of greatest breadth, at 0."""
    lift = next(lift for lift in lifts_of(parabolic, 150.0) if lift.low < 0.0 < lift.high)
    assert lift.sawn.area > max(lift.lower.area, lift.upper.area)
    assert lift.sawn.area == pytest.approx(half_area(0.0), rel=1e-3)


@pytest.mark.slow
@pytest.mark.parametrize("boat", [demo_boat, round_demo])
def test_the_solid_below_a_waterline_is_what_floats(boat) -> None:  # type: ignore[no-untyped-def]
    """Level slices against volumes by the divergence theorem, below the sheer's lowest place."""
    hull = boat().hull
    solid = solid_of(hull)
    height = solid.low + 0.45 * (solid.high - solid.low)
    due = float_hull(hull, height, density=1000.0)
    assert 2e-9 * solid.volume(solid.low, height) == pytest.approx(due.volume, rel=2e-3)


@pytest.mark.slow
def test_too_many_boards_and_too_few_are_refused(parabolic: HullSolid) -> None:
    for board in (1.0, 400.0):
        with pytest.raises(RequestError):
            lifts_of(parabolic, board)


@pytest.mark.slow
def test_a_section_of_the_parabolic_hull_has_its_closed_form(parabolic: HullSolid) -> None:
    """Across her middle: the integral of the half-breadth from keel to sheer; a board's smaller face counts."""
    area = B * (300.0 - (50.0**3 + T**3) / (3.0 * T**2))
    assert whole_section(parabolic, 0.0, 0.0).area == pytest.approx(area, rel=4e-4)
    x, thick = 1000.0, 30.0
    share = 1.0 - (2.0 * (x + 0.5 * thick) / L) ** 2
    assert whole_section(parabolic, x, thick).area == pytest.approx(share * area, rel=4e-4)


@pytest.mark.slow
@pytest.mark.parametrize("boat", [demo_boat, round_demo])
def test_slots_mate(boat) -> None:  # type: ignore[no-untyped-def]
    """Pushed together, a section's wood and the middle board's fill the line where they cross once, and no more."""
    thick = 24.0
    made = boat()
    solid = solid_of(made.hull)
    middle, *sections = slotted_pieces(made, solid, thick, "card")
    board = shapely.union_all([shapely.Polygon(ring) for ring in middle.outlines])
    at = dict(zip(made.offsets.stations, made.offsets.station_x, strict=True))
    assert len(sections) >= 4
    full = backbone(solid)
    for piece in sections:
        x = float(at[piece.name.removeprefix("section at station ")])
        assert len(piece.outlines) == 1
        section = shapely.Polygon(piece.outlines[0])
        for off in (-0.45, 0.0, 0.45):
            ours = section.intersection(shapely.LineString([(off * thick, -1e5), (off * thick, 1e5)]))
            theirs = board.intersection(shapely.LineString([(x + off * thick, -1e5), (x + off * thick, 1e5)]))
            assert theirs.bounds[3] == pytest.approx(
                ours.bounds[1], abs=0.01
            )  # the one ends where the other begins
            whole = full.intersection(shapely.LineString([(x + off * thick, -1e5), (x + off * thick, 1e5)]))
            assert theirs.length + ours.length == pytest.approx(whole.length, rel=0.04)
        # Nothing of it is outside of the hull, at either face.
        for face in (x - 0.5 * thick, x + 0.5 * thick):
            half = whole_section(solid, face, 0.0)
            assert section.difference(half.buffer(0.01)).area < 1.0


@pytest.mark.slow
def test_a_slot_is_as_wide_as_the_board_and_half_as_deep(parabolic: HullSolid) -> None:
    section = whole_section(parabolic, 0.0, 0.0)
    slotted = section_piece(section, 20.0)
    assert section.area - slotted.area == pytest.approx(20.0 * 150.0, rel=0.03)
    slot = section.difference(slotted)
    assert slot.bounds[2] - slot.bounds[0] == pytest.approx(20.0)
    assert slot.bounds[3] == pytest.approx(-T + 150.0, abs=0.5)
