"""Data and tables say what the patterns say."""

from __future__ import annotations

import csv
import io
import json
import re
from pathlib import Path

import numpy as np
import pytest
import shapely

from patterns.boat import Boat, load_boat
from patterns.hull.planes import station_plane
from patterns.hull.sections import cut_hull
from patterns.measure import Notation, parse_length
from patterns.pattern import Kind, Pattern, from_the_other_face, redrawn
from patterns.shop.results import pattern_data, shapes_json
from patterns.shop.tables import as_faired, as_faired_stem, bevel_table, moves_table
from patterns.table.folder import read_folder
from tests.demo import DEMO, demo_boat, demo_patterns


@pytest.fixture(scope="module")
def boat() -> Boat:
    return demo_boat()


@pytest.fixture(scope="module")
def patterns() -> tuple[Pattern, ...]:
    return demo_patterns()


def _rows(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text)))


@pytest.mark.slow
def test_the_demo_has_frames_transom_stem_knee_and_breasthook(patterns: tuple[Pattern, ...]) -> None:
    members = [pattern.member for pattern in patterns]
    assert {"frame", "futtock", "gusset", "floor timber"} <= set(members)
    assert {"frame", "transom", "stem", "transom knee", "breasthook"} <= set(members)
    names = [pattern.name for pattern in patterns]
    assert len(set(names)) == len(names)


@pytest.mark.slow
def test_a_hull_edge_in_the_data_is_the_section_of_its_own_plane(
    boat: Boat, patterns: tuple[Pattern, ...]
) -> None:
    data = json.loads(shapes_json("boat", "MARK", [pattern_data(pattern) for pattern in patterns]))
    frame = next(p for p in data["patterns"] if p["name"] == "frame 2")
    for face, key in (("moulded face", "x_mm"), ("other face", "other_face_x_mm")):
        section = cut_hull(boat.hull, station_plane(frame["plane"][key]))
        for edge in frame["hull_edges"]:
            if edge["face"] == face and edge["strake"] != "deck":
                trace = shapely.LineString(section.traces[edge["strake"]].uv)
                assert shapely.distance(trace, shapely.points(edge["points"])).max() < 2e-3
    panel = next(p for p in data["patterns"] if p["name"] == "transom panel")
    assert panel["plane"]["rake_deg"] == pytest.approx(12.0)
    assert all(len(ring["points"]) > 3 for p in data["patterns"] for ring in p["outlines"])


@pytest.mark.slow
def test_distances_are_long_and_end_on_the_wood_or_its_corners(patterns: tuple[Pattern, ...]) -> None:
    """A distance that is to prove the taping runs over more than half of the piece."""
    for pattern in patterns:
        points = np.vstack([line.points for line in pattern.of_kind(Kind.SAW)])
        size = float(np.hypot(*np.ptp(points, axis=0)))
        lengths = [np.hypot(s.end[0] - s.start[0], s.end[1] - s.start[1]) for s in pattern.spans]
        assert max(lengths) > 0.5 * size, pattern.name
        for span in pattern.spans:
            for place in (span.start, span.end):
                near = np.hypot(*(points - place).T).min()
                assert near < 45.0 or place[0] == 0.0, (pattern.name, span.name)


@pytest.mark.slow
def test_as_faired_tables_read_again_as_a_design(boat: Boat, tmp_path: Path) -> None:
    """The corrected table goes in where the first one stood: faired again, it hardly moves."""
    text = (DEMO / "design.toml").read_text(encoding="utf-8")
    (tmp_path / "design.toml").write_text(text, encoding="utf-8")
    (tmp_path / "offsets.csv").write_text(as_faired(boat, boat.offsets.notation), encoding="utf-8")
    (tmp_path / "stem.csv").write_text(as_faired_stem(boat, boat.offsets.notation), encoding="utf-8")
    _, offsets, _ = read_folder(tmp_path)
    for name, line in offsets.lines.items():
        before = boat.offsets.lines[name]
        for new, old in ((line.y, before.y), (line.z, before.z)):
            assert (np.isnan(new) == np.isnan(old)).all()
            # 1/16 in allowed, and half of the 1/16 in to which the table is written.
            assert np.nanmax(np.abs(new - old)) <= 25.4 / 16 + 25.4 / 32 + 1e-6
    again = load_boat(tmp_path)
    first = np.mean([abs(row.move) for row in boat.lines.rows])
    assert np.mean([abs(row.move) for row in again.lines.rows]) < first + 0.05


@pytest.mark.slow
def test_as_faired_in_mm_agrees_with_the_moves(boat: Boat) -> None:
    moves = {(r["line"], r["view"], r["at"]): float(r["faired_mm"]) for r in _rows(moves_table(boat))}
    table = _rows(as_faired(boat, Notation.MM))
    seen = 0
    for row in table:
        if row["block"] in ("height", "half-breadth"):
            for label in ("bow", *boat.offsets.stations, "stern"):
                if row[label]:
                    value = parse_length(row[label], notation=Notation.MM)
                    assert value == pytest.approx(moves[row["line"], row["block"], label], abs=0.06)
                    seen += 1
    assert seen > 50


@pytest.mark.slow
def test_loads_of_the_moves_are_plain_figures_to_a_spreadsheet(boat: Boat) -> None:
    """No powers of ten, nothing with an apostrophe; an end has no load."""
    loads = [row["duck_load"] for row in _rows(moves_table(boat))]
    assert all(load == "" or re.fullmatch(r"-?\d+\.\d{3}", load) for load in loads)
    assert "" in loads
    assert [float(load) for load in loads if load] == pytest.approx(
        [row.load for row in boat.lines.rows if not np.isnan(row.load)], abs=6e-4
    )


@pytest.mark.slow
def test_every_bevel_reading_is_in_the_table_and_leaves_wood(patterns: tuple[Pattern, ...]) -> None:
    rows = _rows(bevel_table(patterns))
    assert len(rows) == sum(len(pattern.readings) for pattern in patterns)
    for row in rows:
        exact = abs(float(row["bevel_deg"]) - 90.0)
        if row["edge"] == "land":  # planed to a fixed line: the flatter the less is taken off
            said = float(row["for_the_gauge"].split("°")[0])
            assert -0.006 <= abs(said - 90.0) - exact < 0.51
            continue
        tilt = float(row["saw_tilt_deg"])
        assert tilt <= exact + 0.006  # the exact angle is written to 0.01 degree
        assert exact - tilt < 0.51


@pytest.mark.slow
def test_the_other_face_lies_on_the_same_register_holes(patterns: tuple[Pattern, ...]) -> None:
    for pattern in patterns:
        if not any(hole.purpose == "register hole" for hole in pattern.holes):
            continue
        other = from_the_other_face(pattern)
        for one, two in zip(pattern.holes, other.holes, strict=True):
            assert two.at == (-one.at[0], one.at[1])
        behind = [line.points for line in pattern.of_kind(Kind.OTHER)]
        shown = [line.points * [-1.0, 1.0] for line in other.of_kind(Kind.FACE)]
        assert all(np.allclose(a, b) for a, b in zip(behind, shown, strict=True))
        assert np.vstack([line.points for line in other.of_kind(Kind.SAW)])[:, 0].mean() < 0.0
        assert other.size() == pytest.approx(pattern.size())
        # Read on its own face: what is left of 180 degrees, but for the twist through the wood's thickness.
        both = {r.edge for r in pattern.readings} & {r.edge for r in other.readings}
        edge = next((e for e in ("side", "deck", "clamp", "bottom") if e in both), "")
        moulded = [r.bevel for r in pattern.readings if r.edge == edge]
        behind = [np.pi - r.bevel for r in other.readings if r.edge == edge]
        if moulded:  # a centre post has no bevelled edge
            assert np.degrees(abs(np.mean(moulded) - np.mean(behind))) < 1.5
        assert "face" in other.face
        assert other.face != pattern.face


@pytest.mark.slow
def test_turning_a_pattern_keeps_its_lengths(patterns: tuple[Pattern, ...]) -> None:
    pattern = patterns[0]
    quarter = np.array([[0.0, -1.0], [1.0, 0.0]])
    turned = redrawn(pattern, quarter)
    for a, b in zip(pattern.spans, turned.spans, strict=True):
        before = np.hypot(a.end[0] - a.start[0], a.end[1] - a.start[1])
        assert np.hypot(b.end[0] - b.start[0], b.end[1] - b.start[1]) == pytest.approx(before)


@pytest.mark.slow
def test_the_other_face_has_its_own_levels_and_corners(boat: Boat, patterns: tuple[Pattern, ...]) -> None:
    """On a raked piece the two faces meet a height at two places, and each face has corners of its own."""
    for pattern in patterns:
        if pattern.member not in ("frame", "transom"):
            continue
        other = from_the_other_face(pattern)
        assert other.plane is not None
        levels = {other.plane.up_at_height(height) for height in boat.design.waterlines}
        for line in (line for line in other.of_kind(Kind.REFERENCE) if line.name.startswith("WL")):
            assert min(abs(line.points[0, 1] - v) for v in levels) < 1e-9
        section = cut_hull(boat.hull, other.plane)
        for mark in other.marks:
            if mark.name.endswith("inside of planking"):
                corner = section.corner(mark.name.split(",")[0])
                assert corner is not None
                assert np.allclose([-mark.at[0], mark.at[1]], corner.at, atol=1e-6)
