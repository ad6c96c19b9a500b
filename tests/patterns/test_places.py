"""One rule for all coordinates of the data: every outline and hull edge lies where its piece is in the boat."""

from __future__ import annotations

import json
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely

from patterns.boat import Boat, load_boat
from patterns.hull.curved import Curved
from patterns.hull.planes import FloatArray
from patterns.members import all_patterns
from patterns.pattern import Kind, Pattern
from patterns.repair.repair import load_repair
from patterns.repair.subject import RepairSubject
from patterns.run.job import with_other_faces
from patterns.shop.results import pattern_data
from tests.demo import DEMO, demo_boat, demo_patterns
from tests.patterns.end_boats import write_double_ender, write_pram

NEAR = 0.02  # mm


def data_of(pattern: Pattern) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(json.dumps(pattern_data(pattern)))
    return found


def in_the_boat(data: dict[str, Any], points: Iterable[Any]) -> FloatArray:
    """Points of the drawing in the boat, (n, 3), by nothing but what the data says."""
    plane = data["plane"]
    xy = np.asarray(points)
    found: FloatArray = (
        np.array(plane["origin_mm"]) + xy[:, :1] * np.array(plane["u"]) + xy[:, 1:] * np.array(plane["v"])
    )
    return found


def placed(patterns: Iterable[Pattern]) -> list[tuple[Pattern, dict[str, Any]]]:
    """Those with a plane in the boat that is flat: what is unrolled has another rule, tested with it."""
    return [
        (pattern, data_of(pattern))
        for pattern in patterns
        if pattern.plane is not None and not isinstance(pattern.plane, Curved)
    ]


def check_bodies(patterns: Iterable[Pattern]) -> int:
    """Each face that is drawn is the face of the piece's own wood in the boat."""
    seen = 0
    for pattern, data in placed(patterns):
        if pattern.body is None or pattern.slabs:  # of a stem or a half lap the wood is more than one body
            continue
        lines = pattern.of_kind(Kind.FACE) or pattern.of_kind(Kind.SAW)
        points = in_the_boat(data, np.vstack([line.points for line in lines]))
        body = pattern.body
        off = np.abs(body.plane.height_over(points))
        assert np.ptp(off) < NEAR, pattern.name
        assert off.max() < pattern.thickness, pattern.name  # less where its face is planed in the boat
        if off.max() < NEAR:
            on = shapely.distance(shapely.boundary(body.moulded), shapely.points(body.plane.flat(points)))
            # What is drawn leaves room at notches, which the wood itself has not; all else is its own edge.
            assert np.quantile(on, 0.6) < NEAR, pattern.name
        seen += 1
    return seen


def check_edges(boat: Boat, patterns: Iterable[Pattern]) -> int:
    """Each hull edge of either face is where the inside of planking crosses that face."""
    from patterns.hull.sections import cut_hull

    seen = 0
    for pattern, data in placed(patterns):
        athwart = (
            pattern.plane is not None
            and abs(float(pattern.plane.u[1])) > 0.5
            and abs(pattern.plane.rake) < 1.0
        )
        if pattern.member not in ("frame", "futtock", "gusset", "floor timber", "transom") or not athwart:
            continue
        assert pattern.plane is not None
        for edge in data["hull_edges"]:
            if edge["strake"] == "deck":
                continue
            here = edge["face"] == "moulded face"
            plane = pattern.plane if here else pattern.plane.moved(pattern.siding * pattern.thickness)
            points = in_the_boat(data, edge["points"])
            points = points if here else points + pattern.siding * pattern.thickness * pattern.plane.normal
            section = cut_hull(boat.hull, plane)
            trace = shapely.LineString(section.long_traces[edge["strake"]].uv)
            assert shapely.distance(trace, shapely.points(plane.flat(points))).max() < NEAR, pattern.name
            seen += 1
    return seen


def check_inside(boat: Boat, patterns: Iterable[Pattern]) -> int:
    """Each outline lies in the boat's own room, with what a stem and legs reach beyond it."""
    lines = [boat.hull.profile, *boat.hull.lines.values()]
    points = np.vstack([line.at(np.linspace(line.start, line.end, 200)) for line in lines])
    low, high = points.min(axis=0) - 200.0, points.max(axis=0) + 200.0
    low[1], high[1] = -high[1], high[1]
    seen = 0
    for pattern, data in placed(patterns):
        for outline in data["outlines"]:
            at = in_the_boat(data, outline["points"])
            assert (at > low).all(), (pattern.name, at.min(axis=0))
            assert (at < [high[0], high[1], high[2] + 1500.0]).all(), (pattern.name, at.max(axis=0))
            seen += 1
    return seen


@pytest.mark.slow
def test_the_demo_s_pieces_are_in_their_places() -> None:
    boat, patterns = demo_boat(), demo_patterns()
    assert check_bodies(patterns) > 25
    assert check_edges(boat, patterns) > 60
    assert check_inside(boat, patterns) > 40
    names = {pattern.name for pattern, _ in placed(patterns)}
    assert {"breasthook", "quarter knee"} <= {name.split(",")[0] for name in names}


@pytest.mark.slow
@pytest.mark.parametrize("write", [write_pram, write_double_ender])
def test_the_pieces_of_the_other_end_are_in_their_places(tmp_path: Path, write: Any) -> None:
    boat = load_boat(write(tmp_path))
    patterns = all_patterns(boat)
    assert check_bodies(patterns) > 3
    assert check_edges(boat, patterns) > 3
    assert check_inside(boat, patterns) > 3


@pytest.mark.slow
def test_the_other_face_is_at_the_other_side_of_the_wood() -> None:
    for pattern in with_other_faces(demo_patterns()):
        if not pattern.name.endswith(", other face") or pattern.plane is None or pattern.body is None:
            continue
        if pattern.member in ("stem", "breasthook"):  # a slab of it, and what the crown's planing leaves
            continue
        if isinstance(pattern.plane, Curved):
            continue
        points = in_the_boat(data_of(pattern), np.vstack([line.points for line in pattern.of_kind(Kind.SAW)]))
        over = np.abs(pattern.body.plane.height_over(points)) / pattern.thickness
        assert np.abs(over - 1.0).max() < 0.001, pattern.name


@pytest.mark.slow
def test_a_repair_s_port_pieces_are_to_port() -> None:
    repair = load_repair(DEMO / "broken_frame")
    seen = 0
    for pattern, data in placed(RepairSubject(repair).patterns()):
        sides = [side for side in ("port", "starboard") if side in pattern.name.split()]
        if len(sides) != 1 or not data["hull_edges"]:
            continue
        way = -1.0 if sides[0] == "port" else 1.0
        saw = np.vstack([np.asarray(line["points"]) for line in data["outlines"]])
        assert (way * in_the_boat(data, saw)[:, 1]).min() > -60.0, pattern.name
        edges = [np.asarray(edge["points"]) for edge in data["hull_edges"] if edge["face"] == "moulded face"]
        assert (way * in_the_boat(data, np.vstack(edges))[:, 1]).min() > -1.0, pattern.name
        # The planking's edge is an edge of the piece that is drawn.
        near = shapely.distance(shapely.LineString(saw), shapely.points(np.vstack(edges)))
        assert np.quantile(near, 0.25) < 1.0, pattern.name
        seen += 1
    assert seen >= 3
