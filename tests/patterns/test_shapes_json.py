"""`shapes.json` is what its schema says, and a curved face is where its description says."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from importlib.resources import files
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from pydantic import ValidationError

from patterns.boat import load_boat
from patterns.hull.curved import Curved
from patterns.members import all_patterns
from patterns.pattern import Pattern
from patterns.repair.repair import load_repair
from patterns.repair.subject import RepairSubject
from patterns.shop.results import as_printed, pattern_data, shapes_json
from patterns.shop.shapes_models import VERSION
from tests.demo import DEMO, clinker_demo_patterns, demo_patterns, round_demo_patterns
from tests.json_schema import violations
from tests.patterns.plane_boat import write_plane_boat

SCHEMA = json.loads((files("patterns") / "shop" / "shapes.schema.json").read_text(encoding="utf-8"))

DEMOS: dict[str, Callable[[], Sequence[Pattern]]] = {
    ".": demo_patterns,
    "round_bilge": round_demo_patterns,
    "clinker": clinker_demo_patterns,
    "skiff": lambda: all_patterns(load_boat(DEMO / "skiff")),
    "broken_frame": lambda: RepairSubject(load_repair(DEMO / "broken_frame")).patterns(),
    "class": lambda: all_patterns(load_boat(DEMO / "class")),
}


def _data(patterns: Sequence[Pattern], printed_at: str = "") -> Any:
    shapes = [{**pattern_data(pattern), "printed": as_printed("MARK", 3, 4)} for pattern in patterns]
    return json.loads(shapes_json("boat", "MARK", shapes, printed_at=printed_at))


def test_every_demo_is_tried() -> None:
    assert set(DEMOS) == {path.parent.relative_to(DEMO).as_posix() for path in DEMO.rglob("design.toml")}


@pytest.mark.slow
@pytest.mark.parametrize("demo", DEMOS)
def test_the_data_of_every_demo_is_what_the_schema_says(demo: str) -> None:
    for printed_at in ("", "1:4"):
        data = _data(DEMOS[demo](), printed_at)
        assert data["version"] == VERSION
        assert data["patterns"]
        assert list(violations(data, SCHEMA, SCHEMA)) == []


def test_what_is_not_in_the_schema_is_found_and_never_written() -> None:
    data = _data(())
    assert list(violations(data, SCHEMA, SCHEMA)) == []
    for spoiled in (
        {**data, "version": VERSION + 1},
        {**data, "colour": "green"},
        {**data, "patterns": [{"name": "frame 3"}]},
        {key: value for key, value in data.items() if key != "units"},
    ):
        assert list(violations(spoiled, SCHEMA, SCHEMA)) != []
    with pytest.raises(ValidationError):
        shapes_json("boat", "MARK", [{"name": "frame 3"}])


@pytest.mark.slow
def test_a_curved_face_is_in_the_boat_where_its_description_says(tmp_path: Path) -> None:
    seen = 0
    for pattern in all_patterns(load_boat(write_plane_boat(tmp_path, radius=1500.0))):
        face = pattern.plane
        if not isinstance(face, Curved):
            continue
        plane = pattern_data(pattern)["plane"]
        u, v, radius = np.array(plane["u"]), np.array(plane["v"]), plane["radius_mm"]
        xy = np.vstack([line.points for line in pattern.lines])
        x, y = xy[:, :1], xy[:, 1:]
        hollow = np.array([-1.0, 0.0, 0.0])  # a transom at the stern is hollow forward
        hollow = hollow - (hollow @ v) * v
        n = hollow / np.linalg.norm(hollow)
        there = np.array(plane["origin_mm"]) + radius * np.sin(x / radius) * u + y * v
        there = there + radius * (1.0 - np.cos(x / radius)) * n
        assert np.abs(there - face.space(xy @ np.linalg.inv(pattern.view).T)).max() < 0.001, pattern.name
        seen += 1
    assert seen >= 2
