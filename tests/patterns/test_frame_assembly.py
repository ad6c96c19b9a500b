"""The drawing of a frame put together shows what its pieces are, and nothing else."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import shapely

from patterns.assembly.landings import landed_in
from patterns.boat import load_boat
from patterns.flat.shapes import area_of
from patterns.pattern import Kind, Pattern
from tests.once import made_of
from tests.patterns.plane_boat import write_plane_boat

GUSSET = """
[[gusset]]
frames = ["A"]
faces = "both"
thickness = "6 mm"
stock = "6 mm plywood"
arm = "150 mm"
{centre}inner = "straight"
margin = "12 mm"
station_line = "frame"
dowel = "5 mm"
dowels = 2
dowel_edge = "16 mm"
"""
FLOOR = """
[[floor]]
name = "A"
frame = "A"
face = "forward"
sided = "20 mm"
moulded = "120 mm"
arm = "200 mm"
top = "level"
stock = "20 mm oak"
"""


def made(folder: Path, pieces: str, joint: str, *more: str) -> dict[str, Pattern]:
    write_plane_boat(folder)
    design = folder / "design.toml"
    keys = f"pieces = '{pieces}'\njoint = '{joint}'\n" + ("" if joint == "mitre" else "through = 'lower'\n")
    head, mark, tail = (
        design.read_text(encoding="utf-8").replace("station 2", "station 5").partition("[[frame]]\n")
    )
    design.write_text(f"{head}{mark}{keys}assembly = true\n{tail}" + "".join(more), encoding="utf-8")
    boat = load_boat(folder)
    return {
        pattern.name: pattern
        for pattern in landed_in(boat, tuple(made_of(boat, "frame", "floor timber").values()))
    }


def half_of(pattern: Pattern) -> shapely.Polygon:
    """The area within a half's saw line, closed along the centreline."""
    return area_of(np.vstack([line.points for line in pattern.of_kind(Kind.SAW)]))


@pytest.mark.slow
@pytest.mark.parametrize("joint", ["mitre", "butt", "half lap"])
def test_its_outline_is_that_of_the_pieces_and_every_joint_is_drawn(tmp_path: Path, joint: str) -> None:
    patterns = made(tmp_path, "bottom in halves", joint)
    drawing = patterns["frame A assembly"]
    pieces = shapely.union_all([half_of(patterns[f"frame A {part}"]) for part in ("bottom", "side")])
    whole = half_of(drawing)
    assert shapely.symmetric_difference(whole, pieces).area < 20.0
    joints = drawing.of_kind(Kind.JOINT)
    assert len(joints) == (2 if joint == "half lap" else 1)
    for line in joints:  # it crosses the wood from its inner to its outer edge
        ends = shapely.points([line.points[0], line.points[-1]])
        assert shapely.distance(whole.exterior, ends).max() < 1.0
        assert whole.buffer(0.1).covers(shapely.LineString(line.points))


@pytest.mark.slow
def test_what_lies_on_the_frame_is_drawn_where_it_lies(tmp_path: Path) -> None:
    more = GUSSET.format(centre='centre_arm = "90 mm"\n')
    patterns = made(tmp_path, "bottom in halves", "butt", more, FLOOR)
    drawing = patterns["frame A assembly"]
    names = {line.name for line in drawing.of_kind(Kind.LANDING)}
    assert len(names) == 5  # a gusset on either face at chine and centreline, and the floor
    floor = next(line for line in drawing.of_kind(Kind.LANDING) if "floor A" in line.name)
    own = np.vstack([line.points for line in patterns["floor A"].of_kind(Kind.FACE)])
    assert shapely.hausdorff_distance(shapely.LineString(floor.points), shapely.LineString(own)) < 0.1


@pytest.mark.slow
def test_a_bottom_that_no_piece_makes_is_not_drawn(tmp_path: Path) -> None:
    patterns = made(tmp_path, "no bottom piece", "butt", FLOOR)
    drawing = patterns["frame A assembly"]
    assert "frame A bottom" not in patterns
    assert drawing.of_kind(Kind.JOINT) == ()
    assert shapely.symmetric_difference(half_of(drawing), half_of(patterns["frame A side"])).area < 20.0
    assert {edge.strake for edge in drawing.edges} <= {"side", "deck"}
    assert {reading.edge for reading in drawing.readings} <= {"side", "deck"}
