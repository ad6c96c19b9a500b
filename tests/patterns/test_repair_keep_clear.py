"""Seams and old fastenings on the new frame: lines across both faces at places by closed forms."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from patterns.errors import DesignError
from patterns.repair.futtocks import in_pieces
from patterns.repair.pieces import shape_piece
from patterns.repair.repair import load_repair
from patterns.repair.shapes import shapes_of
from patterns.repair.strip import strip_piece
from patterns.wood.piece import Face
from tests.patterns.folders import codes_of
from tests.patterns.repair_boats import write_repair
from tests.patterns.test_repair_pieces import _straight

SEAMS = (
    '[[keep_clear]]\nname = "seam"\nat = "2"\ndistance = "30 mm"\n[[keep_clear]]\nname = "bolt"\nat = "7"\n'
)
MOULDED = 40.0


def _lines(face: Face) -> dict[str, np.ndarray]:
    clear = [line for line in face.scribed if line.fact.kind == "keep-clear"]
    return {str(line.fact.values["name"]): line.points for line in clear}


def _check(found: dict[str, np.ndarray], *, sign: float = 1.0) -> None:
    """The seam is 30 mm past point 2 on the level bottom, at 180 mm out; the bolt at point 7, 300 mm up."""
    assert found["seam"][:, 0] == pytest.approx(sign * 180.0)
    assert found["seam"][:, 1].min() <= 100.0 < 100.0 + MOULDED <= found["seam"][:, 1].max()
    assert found["bolt"][:, 1] == pytest.approx(300.0)
    assert sign * found["bolt"][:, 0].max() > 0


def test_lines_are_on_both_faces_and_on_the_strip(tmp_path: Path) -> None:
    repair = load_repair(write_repair(tmp_path, _straight(), SEAMS, spec='moulded = "40 mm"'))
    (shape,) = shapes_of(repair, repair.pieces[0][1])
    for face in shape_piece(repair, shape).faces:
        _check(_lines(face))
    _check(_lines(strip_piece(repair, "starboard", "strip", 0.0).faces[0]))


def test_on_a_frame_across_both_sides_each_has_its_lines(tmp_path: Path) -> None:
    port = "\n".join(line.replace("starboard", "port") for line in _straight().splitlines()[1:])
    text = f"{_straight()}\n{port}"
    repair = load_repair(write_repair(tmp_path, text, SEAMS, spec='moulded = "40 mm"'))
    (shape,) = shapes_of(repair, repair.pieces[0][1])
    clear = [line.points for line in shape_piece(repair, shape).faces[0].scribed]
    seams = sorted(float(points[0, 0]) for points in clear if np.ptp(points[:, 0]) < 1e-6)
    assert seams == pytest.approx([-180.0, 180.0])
    assert len(clear) == 4


def test_a_futtock_has_only_its_own(tmp_path: Path) -> None:
    more = SEAMS + '[[piece]]\nkind = "frame"\nmade_in = "futtocks"\njoints = ["4"]\n'
    repair = load_repair(write_repair(tmp_path, _straight(), more, spec='moulded = "40 mm"'))
    (shape,) = shapes_of(repair, repair.pieces[0][1])
    found = [set(_lines(shape_piece(repair, part).faces[0])) for part in in_pieces(repair, shape)]
    assert found == [{"seam"}, {"bolt"}]


def test_a_point_that_is_not_there_is_named(tmp_path: Path) -> None:
    with pytest.raises(DesignError) as caught:
        load_repair(write_repair(tmp_path, _straight(), SEAMS.replace('"7"', '"77"')))
    assert codes_of(caught.value.problems) == ["unknown-name"]
