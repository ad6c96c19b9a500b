"""Flat patterns of strakes: laps, edges, scarfs and words, on the boat of planes and on bent sheets."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import shapely

from patterns.boat import Boat, load_boat
from patterns.design.file import read_design
from patterns.design.strake_models import StrakePatternSpec
from patterns.errors import DesignError
from patterns.hull.planes import FloatArray
from patterns.joinery.strake_flat import FlatStrake, lay_strake_flat
from patterns.members import all_patterns
from patterns.members.strake import WORDS, strake_piece
from patterns.pattern import Kind, Pattern
from patterns.text.wood_facts import FACTS
from patterns.wood.labels import Against, Deck, OnProfile, Trim
from patterns.wood.placement import Placement
from tests.patterns.analytic_boats import ROUNDINGS, analytic_boat, write_table
from tests.patterns.plane_boat import (
    BOTTOM_NORMAL,
    BOTTOM_T,
    RAKE,
    SIDE_NORMAL,
    SIDE_T,
    TRANSOM_X0,
    write_plane_boat,
)

WANTED = """
[[strake_pattern]]
strake = "bottom"
stock = "9 mm plywood"
trim = "10 mm"
laps = ["{laps}"]
[[strake_pattern]]
strake = "side"
stock = "6 mm plywood"
trim = "10 mm"
laps = ["{laps}"]
{more}
"""


def plane_boat(
    folder: Path, *, laps: str = "side over bottom", more: str = "", sections: str = "straight"
) -> Boat:
    write_plane_boat(folder)
    design = folder / "design.toml"
    text = design.read_text().replace('"straight"', f'"{sections}"')
    design.write_text(text + WANTED.format(laps=laps, more=more))
    return load_boat(folder)


def laid(boat: Boat, name: str) -> FlatStrake:
    spec = next(spec for spec in boat.design.all(StrakePatternSpec) if spec.strake == name)
    strake = next(strake for strake in boat.hull.strakes if strake.name == name)
    return lay_strake_flat(boat, spec, strake)


def pattern(boat: Boat, name: str) -> Pattern:
    return next(one for one in all_patterns(boat, only=[name]) if one.name == name)


def corner(*planes: tuple[FloatArray, FloatArray]) -> FloatArray:
    """The point on three planes, each given by a normal and a point."""
    normals = np.array([normal for normal, _ in planes])
    return np.linalg.solve(normals, np.array([normal @ point for normal, point in planes]))


ON_BOTTOM, ON_SIDE = np.array([0.0, 20.0, 40.0]), np.array([250.0, 20.0, 300.0])
TRANSOM = np.array([np.cos(RAKE), 0.0, -np.sin(RAKE)]), np.array([TRANSOM_X0, 0.0, 0.0])
DECK = np.array([0.03, 0.0, 1.0]), np.array([0.0, 0.0, 700.0])
STEM = np.array([0.22, 0.0, 0.16]), np.array([250.0, 0.0, 300.0])
SIDE_INSIDE = SIDE_NORMAL, ON_SIDE - SIDE_T * SIDE_NORMAL
BOTTOM_OUTSIDE, BOTTOM_INSIDE = (
    (BOTTOM_NORMAL, ON_BOTTOM),
    (BOTTOM_NORMAL, ON_BOTTOM - BOTTOM_T * BOTTOM_NORMAL),
)


def _same_shape(area: shapely.Polygon, corners: FloatArray) -> float:
    """How far an area's outline is from a flat polygon in space, laid upon it by their after edge, mm."""
    u = corners[1] - corners[0]
    u = u / np.linalg.norm(u)
    n = np.cross(u, corners[2] - corners[0])
    v = np.cross(n / np.linalg.norm(n), u)
    flat = np.stack([(corners - corners[0]) @ u, (corners - corners[0]) @ v], axis=-1)
    outline = np.asarray(area.exterior.coords)
    low = outline[int((outline @ [1.0, -0.6]).argmax())]
    high = outline[int((outline @ [1.0, 0.6]).argmax())]
    w = (high - low) / np.hypot(*(high - low))
    there = low + flat @ np.array([w, [-w[1], w[0]]])
    return float(shapely.hausdorff_distance(shapely.Polygon(there).exterior, area.exterior))


@pytest.mark.slow
@pytest.mark.parametrize("sections", ["straight", "developable"])
@pytest.mark.parametrize(
    ("laps", "below"), [("side over bottom", BOTTOM_OUTSIDE), ("bottom over side", BOTTOM_INSIDE)]
)
def test_the_sides_inside_face_ends_on_the_planes_that_it_meets(
    tmp_path: Path, laps: str, below: tuple[FloatArray, FloatArray], sections: str
) -> None:
    """A lapping side runs on to the bottom's outside, a covered one ends at its inside: corners of four planes."""
    flat = laid(plane_boat(tmp_path, laps=laps, sections=sections), "side")
    corners = np.array([
        corner(SIDE_INSIDE, below, TRANSOM),
        corner(SIDE_INSIDE, DECK, TRANSOM),
        corner(SIDE_INSIDE, DECK, STEM),
        corner(SIDE_INSIDE, below, STEM),
    ])  # fmt: skip
    assert _same_shape(flat.faces[0].area, corners) < 0.1
    assert not flat.bare


@pytest.mark.slow
@pytest.mark.parametrize(
    ("laps", "below"), [("side over bottom", BOTTOM_OUTSIDE), ("bottom over side", BOTTOM_INSIDE)]
)
def test_each_edge_lies_in_the_boat_on_what_its_label_says(
    tmp_path: Path, laps: str, below: tuple[FloatArray, FloatArray]
) -> None:
    boat = plane_boat(tmp_path, laps=laps)
    [spec] = [spec for spec in boat.design.all(StrakePatternSpec) if spec.strake == "side"]
    piece = strake_piece(boat, spec)
    inside, seen = piece.faces[0].region, 0.0
    for label, (normal, at) in {
        Against("bottom strake"): below,
        Deck(): DECK,
        Trim("after"): TRANSOM,
        OnProfile(): STEM,
    }.items():
        for stretch in inside.stretches(label):
            # A corner of two edges is where both are carried on straight to: it is looked at where they run.
            points = stretch.points[2:-2] if len(stretch.points) > 8 else stretch.points
            own = np.column_stack([points, np.zeros(len(points))])
            there = piece.placement.boat(own)
            assert np.abs((there - at) @ normal / np.linalg.norm(normal)).max() < 0.1, label
            assert np.abs((there - SIDE_INSIDE[1]) @ SIDE_NORMAL).max() < 0.01
            assert np.abs(piece.placement.own(there) - own).max() < 0.001
            seen += stretch.length
    assert seen == pytest.approx(inside.area.exterior.length, rel=0.02)
    assert {fact.kind for fact in piece.facts} <= {*FACTS, *WORDS}
    assert piece.solid() == ()
    outside = on_sheet_depth(piece.placement, piece.faces[1].region.stretches(Deck())[0].points)
    assert np.abs((outside - SIDE_INSIDE[1]) @ SIDE_NORMAL - SIDE_T).max() < 0.01


def on_sheet_depth(placement: Placement, points: FloatArray) -> FloatArray:
    """Places of the outside face in the boat: it lies the thickness outside of the inside one."""
    return placement.boat(np.column_stack([points, np.full(len(points), -SIDE_T)]))


@pytest.mark.slow
def test_the_lap_is_the_others_thickness_along_the_own_face(tmp_path: Path) -> None:
    """Between two planes at an angle A the far face of a plank of 9 mm is 9 / sin A farther on."""
    sine = np.linalg.norm(np.cross(BOTTOM_NORMAL, SIDE_NORMAL))
    flat = laid(plane_boat(tmp_path), "side")
    line = shapely.LineString(flat.landings["bottom"])
    edge = flat.faces[0].area.exterior
    middle = line.interpolate(0.5, normalized=True)
    assert edge.distance(middle) == pytest.approx(BOTTOM_T / sine, abs=0.02)


@pytest.mark.slow
def test_the_saw_line_lies_the_trim_outside_of_both_faces(tmp_path: Path) -> None:
    boat = plane_boat(tmp_path)
    piece, flat = pattern(boat, "side strake"), laid(boat, "side")
    saw = shapely.Polygon(piece.of_kind(Kind.SAW)[0].points)
    both = flat.faces[0].area.union(flat.faces[1].area)
    assert saw.contains(both)
    assert both.exterior.distance(saw.exterior) == pytest.approx(10.0, abs=1e-6)
    assert saw.exterior.length > both.exterior.length


@pytest.mark.slow
@pytest.mark.parametrize("seed", [2, 8])
def test_a_bent_strakes_edges_and_stations_keep_their_lengths(tmp_path: Path, seed: int) -> None:
    write_table(analytic_boat(seed), tmp_path, ROUNDINGS[0], np.random.default_rng(0))
    design = tmp_path / "design.toml"
    text = design.read_text().replace('"straight"', '"developable"')
    design.write_text(text + WANTED.format(laps="side over bottom", more=""))
    boat = load_boat(tmp_path)
    for strake in boat.hull.strakes:
        flat = laid(boat, strake.name)
        for true, on_flat in flat.edges:
            assert on_flat == pytest.approx(true, abs=0.1)
        x = 2000.0
        trace = strake.across(_station(x), inset=strake.inset)
        assert trace is not None
        own = trace.uv[(trace.r >= 0.0) & (trace.r <= 1.0)]
        girth = np.hypot(*np.diff(own, axis=0).T).sum()
        line = flat.line_where(_station(x).height_over)
        assert np.hypot(*np.diff(line, axis=0).T).sum() == pytest.approx(girth, abs=0.15)


def _station(x: float):  # type: ignore[no-untyped-def]
    from patterns.hull.planes import station_plane

    return station_plane(x)


@pytest.mark.slow
def test_aft_is_to_the_right_and_up_is_up_as_seen_from_inside_the_starboard_side(tmp_path: Path) -> None:
    piece = pattern(plane_boat(tmp_path), "side strake")
    assert piece.sides == ("AFT", "FORWARD", "UP")
    stations = {
        line.name.split(":")[0]: line.points for line in piece.lines if line.name.startswith("station")
    }
    assert stations["station 2"][:, 0].mean() < stations["station 5"][:, 0].mean()
    assert stations["station 2"][0, 1] < stations["station 2"][-1, 1]
    (landing,) = (line.points for line in piece.lines if line.name == "inside of bottom")
    assert landing[:, 1].max() < stations["station 3"][-1, 1]


@pytest.mark.slow
def test_scarfs_lie_where_the_sheets_end(tmp_path: Path) -> None:
    more = 'sheets = ["2440 mm", "2440 mm"]\nscarf_ratio = "8:1"'
    piece = pattern(plane_boat(tmp_path, more=more), "side strake")
    fore = piece.of_kind(Kind.SAW)[0].points[:, 0].min()
    at = {line.name: line.points[:, 0] - fore for line in piece.lines if line.name.startswith("scarf")}
    assert at["scarf 1 ends"] == pytest.approx(np.full(2, 2440.0))
    assert at["scarf 1 begins"] == pytest.approx(np.full(2, 2440.0 - 48.0))


@pytest.mark.slow
def test_sheets_that_do_not_reach_are_told(tmp_path: Path) -> None:
    boat = plane_boat(tmp_path, more='sheets = ["2440 mm", "1220 mm"]\nscarf_ratio = "8:1"')
    with pytest.raises(DesignError, match=r"its sheets, less their scarfs, reach 3612 mm"):
        all_patterns(boat)


@pytest.mark.slow
def test_laps_forward_of_the_place_given_are_butted_at_the_line(tmp_path: Path) -> None:
    flat = laid(plane_boat(tmp_path, more='laps_from = "station 3"'), "side")
    assert flat.bare == {"bottom": (pytest.approx(1800.0), np.inf)}
    whole = laid(plane_boat(tmp_path / "whole"), "side")
    # Between the two the lap, as broad as it is on a flat side, is gone over the length of the chine there.
    gone = whole.faces[0].area.difference(flat.faces[0].area).area
    assert whole.faces[0].area.area - flat.faces[0].area.area == pytest.approx(gone, rel=1e-6)
    assert gone > 3000.0


@pytest.mark.slow
def test_a_strake_that_twists_is_not_laid_flat(tmp_path: Path) -> None:
    write_table(analytic_boat(3), tmp_path, ROUNDINGS[0], np.random.default_rng(0))
    design = tmp_path / "design.toml"
    design.write_text(design.read_text() + WANTED.format(laps="side over bottom", more=""))
    with pytest.raises(DesignError, match="a sheet bends one way only"):
        all_patterns(load_boat(tmp_path))


@pytest.mark.parametrize(
    ("laps", "more", "words"),
    [
        ("side over keel", "", 'not a chine of strake "bottom"'),
        ("side and bottom", "", "says no lap"),
        ("side over bottom", 'sheets = ["2 m", "3 m"]', "its sheets are scarfed together"),
        (
            "side over bottom",
            '[[strake_pattern]]\nstrake = "deck"\nstock = "ply"\ntrim = "0 mm"',
            'no strake "deck"',
        ),
        (
            "side over bottom",
            '[[strake_pattern]]\nstrake = "side"\nstock = "ply"\ntrim = "0 mm"\nlaps = ["bottom over side"]',
            'strake "side" has a pattern already',
        ),
    ],
)
def test_what_does_not_agree_is_told(tmp_path: Path, laps: str, more: str, words: str) -> None:
    write_plane_boat(tmp_path)
    design = tmp_path / "design.toml"
    design.write_text(design.read_text() + WANTED.format(laps=laps, more=more))
    with pytest.raises(DesignError) as caught:
        read_design(tmp_path)
    assert words in str(caught.value)


@pytest.mark.slow
def test_a_lap_that_would_be_a_feather_edge_on_most_of_its_line_is_refused_never_dropped() -> None:
    """Lands of a clinker boat: neighbouring strakes meet at a few degrees."""
    boat = load_boat(Path(__file__).parent / "designs" / "clinker")
    with pytest.raises(DesignError) as refused:
        all_patterns(boat)
    places = {problem.place for problem in refused.value.problems}
    assert places == {f'design.toml, strake_pattern "plank {number}"' for number in range(1, 7)}
