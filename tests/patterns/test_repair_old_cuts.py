"""Where the old frame is cut for a scarf, and which face has the long point: lines on the strip by closed forms."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from shapely.geometry import Point

from patterns.errors import DesignError
from patterns.repair.old_cuts import old_cuts
from patterns.repair.pieces import shape_piece
from patterns.repair.places import SIDES
from patterns.repair.repair import Repair, load_repair
from patterns.repair.shapes import shapes_of
from patterns.repair.strip import strip_piece
from tests.patterns.folders import codes_of
from tests.patterns.repair_boats import write_repair
from tests.patterns.test_repair_pieces import _piece, _straight

RUN, SIDED, MOULDED, RATIO = (
    200.0,
    25.0,
    40.0,
    4.0,
)  # to point 3 from the heel, along a straight bottom at up 100


def _repair(folder: Path, **keys: str) -> Repair:
    more = _piece(kind="frame", name="graft", side="starboard", to_point="3", scarf="4:1", **keys)
    return load_repair(write_repair(folder, _straight(), more, spec='moulded = "40 mm"'))


@pytest.mark.parametrize(("long_point", "here"), [("", "this"), ("measured face", "other")])
def test_through_the_siding_each_face_has_its_line(tmp_path: Path, long_point: str, here: str) -> None:
    """The new piece's long point is at 200 + 4 x 25 mm on one face; there the old frame is cut back that far."""
    keys = {"long_point": long_point} if long_point else {}
    repair = _repair(tmp_path, scarf_through="siding", **keys)
    (cut,) = old_cuts(repair, "starboard", repair.edges_of["starboard"])
    places = {line.fact.values["face"]: line.points for line in cut.lines}
    other = "this" if here == "other" else "other"
    for face, at in ((here, RUN), (other, RUN + RATIO * SIDED)):
        assert places[face][:, 0] == pytest.approx(50.0 + at)
        assert places[face][:, 1].min() < 100.0 < 100.0 + MOULDED < places[face][:, 1].max()
    (shape,) = shapes_of(repair, repair.pieces[0][1])
    faces = shape_piece(repair, shape).faces
    begun = [any(line.fact.kind == "scarf-begins" for line in face.scribed) for face in faces]
    assert begun == [here == "this", here == "other"]  # planed down from the face that has no long point


def test_through_the_moulding_the_strip_has_the_slope_from_planking_to_inner_edge(tmp_path: Path) -> None:
    repair = _repair(tmp_path, scarf_through="moulding")
    strip = strip_piece(repair, "starboard", "strip", 0.0)
    (line,) = strip.faces[0].scribed
    assert line.points == pytest.approx(
        np.array([[50.0 + RUN, 100.0], [50.0 + RUN + RATIO * MOULDED, 100.0 + MOULDED]])
    )
    assert "old-frame-cut" in {fact.kind for fact in strip.facts}
    for at in line.points:  # the strip is as broad as the frame is moulded
        assert strip.saw().area.distance(Point(at)) < 1e-6


def test_a_long_point_without_a_scarf_through_the_siding_is_refused(tmp_path: Path) -> None:
    with pytest.raises(DesignError) as caught:
        _repair(tmp_path, scarf_through="moulding", long_point="other face")
    assert codes_of(caught.value.problems) == ["needless-key"]


def test_other_sides_and_whole_frames_have_no_cuts(tmp_path: Path) -> None:
    repair = load_repair(write_repair(tmp_path, _straight(), _piece(kind="frame")))
    assert not [cut for side in SIDES for cut in old_cuts(repair, side, repair.edges_of["starboard"])]
