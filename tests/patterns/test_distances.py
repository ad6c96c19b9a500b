"""Holes against edges: places whose distances are plain arithmetic."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

from patterns.cli import main
from patterns.joinery.distances import hole_distances
from patterns.pattern import Hole, Kind, Line, Pattern
from patterns.wood.piece import Hand
from tests.patterns.plane_boat import write_plane_boat


def board(*holes: Hole) -> Pattern:
    """A board of 200 by 60 mm; its other face is 10 mm narrower at the top."""

    def outline(kind: Kind, top: float) -> Line:
        return Line(kind=kind, points=np.array([[0, 0], [200, 0], [200, top], [0, top]]), closed=True)

    return Pattern(
        name="board", member="frame", stock="oak", thickness=20.0, laminations=1, quantity="1", hand=Hand.CENTRE,
        face="forward", sides=("", "", "UP"), half=False, siding=1.0, holes=holes,
        lines=(outline(Kind.SAW, 60.0), outline(Kind.FACE, 60.0), outline(Kind.OTHER, 50.0)),
    )  # fmt: skip


def test_a_hole_is_measured_to_the_nearest_edge_of_either_face_and_to_the_next_hole() -> None:
    holes = (
        Hole(at=(30.0, 40.0), diameter=5.0, purpose="dowel hole"),
        Hole(at=(60.0, 12.0), diameter=5.0, purpose="dowel hole"),
        Hole(at=(31.0, 41.0), diameter=6.0),
        Hole(at=(100.0, 1.0), diameter=1.0, purpose="flip point"),
    )
    first, second, register = hole_distances(board(*holes))
    assert first.edge == pytest.approx(10.0)  # to the narrower face
    assert second.edge == pytest.approx(12.0)
    assert first.spacing == second.spacing == pytest.approx(np.hypot(30.0, 28.0))
    assert register.edge == pytest.approx(9.0)
    assert register.spacing == np.inf  # nothing is joined by a register hole


@pytest.mark.slow
def test_the_limits_of_the_design_are_kept_and_each_breach_is_named(tmp_path: Path) -> None:
    write_plane_boat(tmp_path)
    design = tmp_path / "design.toml"
    kept = design.read_text(encoding="utf-8")
    design.write_text(kept + '\n[limits]\nwood_left = "500 mm"\n', encoding="utf-8")
    refused = CliRunner().invoke(main, ["patterns", str(tmp_path), "--output", str(tmp_path / "out")])
    assert refused.exit_code == 1
    assert "leaves" in refused.output
    assert "key wood_left" in refused.output
    assert not (tmp_path / "out").exists()
    design.write_text(kept + '\n[limits]\nwood_left = "1 mm"\n', encoding="utf-8")
    assert CliRunner().invoke(main, ["check", str(tmp_path)]).exit_code == 3  # in doubt, not refused
