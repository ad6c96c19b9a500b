"""Absurd but legal boats: the pieces are right, by their likeness to others or by their own formula, or refused."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from patterns import check
from patterns.findings import Findings
from patterns.pattern import Pattern
from tests.patterns.absurd_boats import AbsurdBoat, write_absurd
from tests.patterns.folders import changed

pytestmark = pytest.mark.slow


def made(folder: Path, boat: AbsurdBoat) -> Findings:
    """What is found of one; nothing of it is wrong."""
    findings = check(write_absurd(folder, boat))
    assert findings.errors == ()
    return findings


def piece(findings: Findings, name: str) -> Pattern:
    return next(pattern for pattern in findings.patterns if pattern.name == name)


@pytest.mark.parametrize("length", [18_000.0, 400.0])
def test_a_boat_of_any_length_is_its_like_at_another_scale(tmp_path: Path, length: float) -> None:
    """Every outline is that of the boat of 4 m, times the length: the table is exact, so nothing is rounded."""
    usual, other = (made(tmp_path / f"{size}", AbsurdBoat(length=size)) for size in (4000.0, length))
    assert {pattern.name for pattern in usual.patterns} == {pattern.name for pattern in other.patterns}
    compared = 0
    for pattern in usual.patterns:
        if pattern.body is None or pattern.member == "stem":  # the head of a stem is left long by so many mm
            continue
        compared += 1
        wide, high = (size * length / 4000.0 for size in pattern.size())
        assert piece(other, pattern.name).size() == pytest.approx((wide, high), rel=2e-3)
    assert compared >= 4


@pytest.mark.parametrize("chines", [1, 2])
def test_a_plumb_stem_is_the_limit_of_one_that_hardly_leans(tmp_path: Path, chines: int) -> None:
    plumb = made(tmp_path / "plumb", AbsurdBoat(stem=0.0, chines=chines))
    leaning = made(tmp_path / "leaning", AbsurdBoat(stem=np.radians(0.05), chines=chines))
    one, two = piece(plumb, "inner stem"), piece(leaning, "inner stem")
    assert one.size() == pytest.approx(two.size(), abs=0.7)  # 0.05 degrees over 700 mm
    assert len(one.readings) == len(two.readings) > 5
    for a, b in zip(one.readings, two.readings, strict=True):
        assert a.at == pytest.approx(b.at, abs=2.0)
        assert a.bevel == pytest.approx(b.bevel, abs=np.radians(0.3))
    assert plumb.status == leaning.status


@pytest.mark.parametrize("rake", [-12.0, 0.0, 25.0])
def test_a_transom_leans_as_its_rake_says(tmp_path: Path, rake: float) -> None:
    findings = made(tmp_path, AbsurdBoat(transom=np.radians(rake)))
    plane = piece(findings, "transom panel").plane
    assert plane is not None
    assert np.degrees(plane.rake) == pytest.approx(rake, abs=0.05)


def test_a_frame_with_tumblehome_is_as_broad_as_its_lines(tmp_path: Path) -> None:
    """The planking's inside lies in from the lines by its thickness; the sheer is narrower than the upper chine."""
    boat = AbsurdBoat(tumble=0.25, chines=2)
    frame = piece(made(tmp_path, boat), "frame 5")
    at = np.array([np.linspace(0.14, 0.95, 9)[4] * boat.length])
    chine, sheer = (float(boat.line(part, at)[0][0]) for part in (2.0 / 3.0, 1.0))
    assert sheer < chine - 15.0
    edges = {edge.strake: edge.uv for edge in frame.edges if edge.face == "moulded face"}
    widest, top = max(float(uv[:, 0].max()) for uv in edges.values()), edges["strake 3"]
    assert chine - 14.0 < widest < chine - 6.0  # in the corner both strakes take their share
    assert sheer - 9.5 < float(top[top[:, 1].argmax(), 0]) < sheer - 3.0  # the trace ends square to the sheer


def test_eight_chines_are_made_and_their_flat_corners_doubted(tmp_path: Path) -> None:
    findings = made(tmp_path, AbsurdBoat(chines=8))
    assert findings.status == 3
    assert {"flat-chine"} <= {problem.code for problem in findings.doubts}
    assert sum(pattern.template for pattern in findings.patterns) == 10  # keel, eight logs, clamp


@pytest.mark.parametrize(
    ("boat", "code", "key"),
    [
        (AbsurdBoat(off=0.01), "thin-wood", "key off"),
        (AbsurdBoat(chines=0), "planed-away", "key sided"),
        (AbsurdBoat(planking=60.0), "thick-planking", "key planking"),
    ],
)
def test_an_absurd_size_is_doubted_by_its_key(tmp_path: Path, boat: AbsurdBoat, code: str, key: str) -> None:
    findings = check(write_absurd(tmp_path, boat))
    named = [problem.place for problem in findings.doubts if problem.code == code]
    assert named
    assert all(place.endswith(key) for place in named)


@pytest.mark.parametrize(
    "boat", [AbsurdBoat(planking=60.0), AbsurdBoat(hollow=0.8), AbsurdBoat(stem=np.radians(-8.0))]
)
def test_planks_that_cannot_land_on_the_stem_are_refused_there(tmp_path: Path, boat: AbsurdBoat) -> None:
    """Planking of 60 mm on a stem of 40, a bow so hollow that its planks run along the stem, one that leans aft."""
    findings = check(write_absurd(tmp_path, boat))
    assert {(problem.place, problem.code) for problem in findings.errors} == {
        ('design.toml, end "bow"', "piece-not-made")
    }


def test_one_strake_on_a_plumb_stem_asks_for_a_developable_one_which_can_be_made(tmp_path: Path) -> None:
    """Straight sections all lie at one distance aft on a plumb stem: they give its height no planking."""
    folder = write_absurd(tmp_path, AbsurdBoat(stem=0.0, chines=0))
    (error,) = check(folder).errors
    assert (error.place, error.code) == ('design.toml, end "bow"', "piece-not-made")
    design = folder / "design.toml"
    text = design.read_text(encoding="utf-8")
    design.write_text(changed(text, 'sections = "straight"', 'sections = "developable"'), encoding="utf-8")
    assert check(folder).errors == ()
