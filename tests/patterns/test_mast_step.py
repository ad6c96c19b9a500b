"""Mast steps on the boat of planes, against closed forms."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import shapely

from patterns.assembly.contacts import contacts
from patterns.assembly.plate import plates
from patterns.boat import load_boat
from patterns.design.file import draft_design
from patterns.errors import DesignError
from patterns.pattern import Kind, Pattern
from tests.once import made_of
from tests.patterns.plane_boat import BOTTOM_NORMAL, BOTTOM_T, keel_z, write_plane_boat

STEP = """
[[mast_step]]
at = "1600 mm"
length = "300 mm"
height = "60 mm"
sided = "80 mm"
mortise_length = "70 mm"
mortise_breadth = "40 mm"
mortise_depth = "45 mm"
stock = "oak"
"""
KEEL_MOULDED, SLOPE = 30.0, -0.010


def keel_top_z(x: float) -> float:
    """Height of the keel's top: its moulding, square to it, above the line in which the bottom's insides meet.

    The bottom's outside meets the centreline plane along a line parallel to the keel line, 0.3 x 20 mm lower;
    its inside lies the planking's thickness square to the plane above that.
    """
    slope = np.hypot(1.0, SLOPE)
    outside = keel_z(x) - 0.30 * 20.0
    inside = outside + BOTTOM_T / abs(BOTTOM_NORMAL[2])
    return float(inside + KEEL_MOULDED * slope)


def made(folder: Path, keys: str = STEP) -> dict[str, Pattern]:
    design = write_plane_boat(folder) / "design.toml"
    design.write_text(design.read_text(encoding="utf-8") + keys, encoding="utf-8")
    return made_of(load_boat(folder), "frame", "mast step")


def outline(pattern: Pattern) -> shapely.Polygon:
    (line,) = pattern.of_kind(Kind.SAW)
    return shapely.Polygon(line.points)


def test_its_underside_is_the_keel_s_top_and_its_faces_are_square_to_base(tmp_path: Path) -> None:
    step = made(tmp_path)["mast step"]
    top = keel_top_z(1450.0) + 60.0  # the keel's top falls aft: the least height is at the fore face
    closed = shapely.Polygon(
        [(1450.0, keel_top_z(1450.0)), (1750.0, keel_top_z(1750.0)), (1750.0, top), (1450.0, top)]
    )
    assert shapely.hausdorff_distance(outline(step).exterior, closed.exterior) < 0.002
    assert step.thickness == 80.0
    # The keel's top falls 10 mm in 1 m: 0.57 degrees.
    assert any("fore face and underside 90.5°" in fact for fact in step.facts)
    assert any("after face and underside 89.5°" in fact for fact in step.facts)
    assert not any("hollow" in fact or "round" in fact for fact in step.facts)


def test_its_mortise_is_in_the_middle_of_its_top(tmp_path: Path) -> None:
    step = made(tmp_path)["mast step"]
    (line,) = (line for line in step.of_kind(Kind.REFERENCE) if line.piece == "mast")
    top = keel_top_z(1450.0) + 60.0
    box = shapely.box(1565.0, top - 45.0, 1635.0, top)
    assert shapely.hausdorff_distance(shapely.Polygon(line.points).exterior, box.exterior) < 0.002


@pytest.mark.slow
def test_a_mortise_without_a_depth_goes_through_to_the_keel(tmp_path: Path) -> None:
    step = made(tmp_path, STEP.replace('mortise_depth = "45 mm"\n', ""))["mast step"]
    (line,) = (line for line in step.of_kind(Kind.REFERENCE) if line.piece == "mast")
    low = line.points[line.points[:, 1] < line.points[:, 1].mean()]
    assert (low[:, 0].min(), low[:, 0].max()) == pytest.approx((1565.0, 1635.0))
    assert low[:, 1] == pytest.approx([keel_top_z(x) for x in low[:, 0]], abs=0.002)


@pytest.mark.slow
def test_it_stands_on_the_keel_and_in_nothing_else(tmp_path: Path) -> None:
    patterns = made(tmp_path)
    body = patterns["mast step"].body
    assert body is not None
    plane = body.plane
    corners = plane.space(np.asarray(body.moulded.exterior.coords))
    assert corners[:, 1] == pytest.approx(np.full(len(corners), -40.0))
    (own,) = plates("mast step", body)
    others = [plate for name in ("frame A", "frame B") for plate in plates(name, patterns[name].body)]  # type: ignore[arg-type]
    assert not [met for met in contacts([own, *others]) if "mast step" in (met.first, met.second)]


@pytest.mark.parametrize(
    ("key", "old", "new"),
    [
        ("mortise_length", '"70 mm"', '"300 mm"'),
        ("mortise_breadth", '"40 mm"', '"80 mm"'),
        ("mortise_depth", '"45 mm"', '"60 mm"'),
    ],
)
def test_a_mortise_leaves_wood_all_round(tmp_path: Path, key: str, old: str, new: str) -> None:
    design = write_plane_boat(tmp_path) / "design.toml"
    text = STEP.replace(f"{key} = {old}", f"{key} = {new}")
    design.write_text(design.read_text(encoding="utf-8") + text, encoding="utf-8")
    (problem,) = draft_design(tmp_path).problems
    assert problem.code == "too-great"
    assert problem.place == f"design.toml, mast_step number 1, key {key}"


@pytest.mark.slow
@pytest.mark.parametrize("at", ["250 mm", "3890 mm"])
def test_a_step_past_the_keel_s_end_cannot_be_made(tmp_path: Path, at: str) -> None:
    with pytest.raises(DesignError) as caught:
        made(tmp_path, STEP.replace("1600 mm", at))
    (problem,) = caught.value.problems
    assert "mast_step" in problem.place


@pytest.mark.slow
def test_a_step_needs_a_keel(tmp_path: Path) -> None:
    design = write_plane_boat(tmp_path) / "design.toml"
    text = design.read_text(encoding="utf-8")
    start = text.index('[[timber]]\nkind = "keel"')
    knee = text.index("[[knee]]")
    text = (
        text[:start] + text[text.index("[[timber]]", start + 1) : knee] + text[text.index("[breasthook]") :]
    )
    design.write_text(text + STEP, encoding="utf-8")
    with pytest.raises(DesignError) as caught:
        made_of(load_boat(tmp_path), "mast step")
    assert [problem.place for problem in caught.value.problems] == ['design.toml, mast_step "mast step"']
