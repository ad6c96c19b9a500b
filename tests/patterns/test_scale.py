"""A boat's patterns at a smaller scale: shapes shrink, strokes and words stay, names of files tell."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

from patterns.cli import main
from patterns.drawing.of_pattern import draw
from patterns.drawing.strokes import BEVELS
from patterns.pattern import Kind
from patterns.subject import load
from tests.patterns.folders import write_folder
from tiling.paper.scale import parse_scale


@pytest.fixture(scope="module")
def design(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_folder(tmp_path_factory.mktemp("design"))


@pytest.mark.slow
def test_lines_and_holes_shrink_strokes_ticks_and_bevels_stay(design: Path) -> None:
    scale = parse_scale("1:4")
    for pattern in load(design).patterns():
        full, small = draw(pattern, boat="x"), draw(pattern, boat="x", scale=scale)
        lines = len(pattern.lines)
        assert len(small.paths) == len(full.paths)
        shrunk = 0
        for big, little in zip(full.paths, small.paths, strict=True):
            assert little.stroke == big.stroke
            shrunk += bool(np.abs(4.0 * little.points - big.points).max() < 1e-9)
        assert shrunk >= lines
        for hole in pattern.holes:
            if hole.purpose != "flip point":
                radii = {disc.radius for disc in small.discs}
                assert any(abs(4.0 * radius - 0.5 * hole.diameter) < 1e-9 for radius in radii)
        ticks = [path for path in small.paths if path.layer == BEVELS]
        assert len(ticks) == len(pattern.readings)
        assert all(np.hypot(*(path.points[1] - path.points[0])) == pytest.approx(6.0) for path in ticks)
        assert [d.length for d in small.distances] == pytest.approx([d.length / 4.0 for d in full.distances])
        bevels = [note.text for note in full.notes if note.layer == BEVELS]
        assert bevels == [note.text for note in small.notes if note.layer == BEVELS]
        assert (
            min(note.height for note in small.notes) >= 2.5
        )  # ISO 3098's least height for notes, from memory
        assert any("NOT FULL SIZE" in note.text for note in small.notes)
        assert not any("NOT FULL SIZE" in note.text for note in full.notes)
        assert pattern.of_kind(Kind.SAW)


@pytest.mark.slow
def test_a_run_at_a_scale_tells_it_in_every_name(design: Path, tmp_path: Path) -> None:
    into = tmp_path / "out"
    said = CliRunner().invoke(
        main,
        [
            "patterns",
            str(design),
            "--output",
            str(into),
            "--scale",
            "3 in to the foot",
            "--paper",
            "a4",
            "--quick",
        ],
    )
    assert said.exit_code == 0, said.output
    assert any("at scale 1:4 (3 in to the foot), NOT FULL SIZE," in line for line in said.output.splitlines())
    names = [path.name for path in into.rglob("*") if path.is_file() and path.name != ".written.json"]
    assert "patterns scale 1-4.pdf" in names
    assert all("scale 1-4" in name for name in names)
    data = json.loads((into / "shapes scale 1-4.json").read_text())
    assert data["printed_at"] == "1:4"
    full = {pattern.name: pattern for pattern in load(design).patterns()}
    for entry in data["patterns"]:
        outline = full[entry["name"]].of_kind(Kind.SAW)[0].points
        assert entry["outlines"][0]["points"] == pytest.approx(outline, abs=1e-4)
    picture = next(path for path in into.rglob("*.svg")).read_text()
    assert "NOT FULL SIZE</title>" in picture
    proved = CliRunner().invoke(main, ["prove", str(into / "patterns scale 1-4.pdf")])
    assert proved.exit_code == 0, proved.output
    assert "drawn at scale 1:4: not full size" in proved.output


@pytest.mark.slow
def test_a_scale_that_cannot_be_read_is_told_with_the_forms(design: Path) -> None:
    said = CliRunner().invoke(main, ["patterns", str(design), "--scale", "0.25"])
    assert said.exit_code == 2
    assert "--scale: cannot read the scale '0.25'; write it as 1:4, 1/4 or 3 in to the foot" in said.output
