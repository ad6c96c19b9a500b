"""The scrieve board: its lines are the frames' own, its bevels those of the planes, its file proves itself."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
import shapely
from click.testing import CliRunner

from patterns.boat import Boat, load_boat
from patterns.cli import main
from patterns.errors import RequestError
from patterns.pattern import Kind, Pattern
from patterns.run.job import chosen
from patterns.shop.board_faces import board_faces, board_readings
from patterns.shop.scrieve_board import scrieve_board
from tests.once import made_of
from tests.patterns.plane_boat import (
    BOTTOM_NORMAL,
    BOTTOM_T,
    SIDE_NORMAL,
    SIDE_T,
    bottom_over,
    side_over,
    write_plane_boat,
)
from tests.tiling.readback import read
from tiling.paper.scale import FULL_SIZE, Scale


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = write_plane_boat(tmp_path_factory.mktemp("board"))
    with (folder / "design.toml").open("a", encoding="utf-8") as design:
        design.write('[marks]\nwaterlines = ["200 mm", "400 mm"]\n')
    return folder


@pytest.fixture(scope="module")
def boat(folder: Path) -> Boat:
    return load_boat(folder)


@pytest.fixture(scope="module")
def made(boat: Boat) -> dict[str, Pattern]:
    return made_of(boat, "frame", "transom")


def test_the_faces_lie_on_the_planes(boat: Boat, made: dict[str, Pattern]) -> None:
    """Every point of a face, put back into the boat, lies inside of planking by its thickness."""
    faces = board_faces(boat, tuple(made.values()))
    assert [face.stand.name for face in faces] == ["frame A", "frame B", "transom framing", "transom panel"]
    for face in faces:
        for strake, over, thick in (("bottom", bottom_over, BOTTOM_T), ("side", side_over, SIDE_T)):
            points = face.section.plane.space(face.section.traces[strake].uv)
            assert over(points) == pytest.approx(-thick, abs=1e-5)


def test_its_lines_are_the_frames_moulded_faces(boat: Boat, made: dict[str, Pattern]) -> None:
    """The moulded faces' edges on planking, as the frames' own patterns draw them, lie on the board's lines."""
    board = scrieve_board(boat, tuple(made.values()), name="body plan", scale=FULL_SIZE, source="")
    assert board is not None
    lines = shapely.union_all(
        [shapely.linestrings(path.points) for path in board.piece.drawing.paths if not path.closed]
    )
    looked_at = 0
    for face in board_faces(boat, tuple(made.values())):
        pattern = made.get(face.stand.name)
        for edge in () if pattern is None else pattern.edges:
            if edge.face == "moulded face" and edge.strake != "deck":
                drawn = shapely.union_all(
                    [
                        shapely.linestrings(line.points)
                        for line in (*pattern.of_kind(Kind.FACE), *pattern.of_kind(Kind.SAW))
                    ]
                )
                assert float(shapely.distance(drawn, shapely.points(edge.uv)).max()) < 0.01
                away = shapely.distance(lines, shapely.points(face.on_board(edge.uv)))
                assert float(away.max()) < 0.01, (face.stand.name, edge.strake)
                looked_at += len(edge.uv)
    assert looked_at > 100


def test_bevels_are_those_of_the_planes(boat: Boat, made: dict[str, Pattern]) -> None:
    """The angle between the wood's way from the face and the planking's normal, at every line and at the chine."""
    [frame] = [each for each in board_faces(boat, tuple(made.values())) if each.stand.name == "frame A"]
    readings = list(board_readings(boat, frame))
    siding = frame.stand.siding * frame.section.plane.normal
    for strake, normal in (("bottom", BOTTOM_NORMAL), ("side", SIDE_NORMAL)):
        own = [reading for reading in readings if reading.edge == strake]
        assert own
        for reading in own:
            assert reading.bevel == pytest.approx(np.arccos(normal @ siding), abs=1e-6)
    heights = {round(reading.at[1], 3) for reading in readings}
    assert {200.0, 400.0} <= heights


def test_a_line_on_a_leaning_face_is_as_long_as_the_face(boat: Boat, made: dict[str, Pattern]) -> None:
    """On a face raked by 5 degrees a height of 400 mm lies 400 / cos 5 up, and says which line it is."""
    [frame] = [each for each in board_faces(boat, tuple(made.values())) if each.stand.name == "frame B"]
    [reading] = [each for each in board_readings(boat, frame) if each.where.startswith("400")]
    assert reading.at[1] == pytest.approx(400.0 / np.cos(np.radians(5.0)), abs=1e-6)


def test_at_a_scale_places_come_nearer(boat: Boat, made: dict[str, Pattern]) -> None:
    quarter = scrieve_board(
        boat, tuple(made.values()), name="body plan", scale=Scale(Fraction(1, 4)), source=""
    )
    whole = scrieve_board(boat, tuple(made.values()), name="body plan", scale=FULL_SIZE, source="")
    assert quarter is not None
    assert whole is not None
    for small, full in zip(quarter.piece.drawing.distances, whole.piece.drawing.distances, strict=True):
        assert 4.0 * small.length == pytest.approx(full.length)


def test_nothing_is_drawn_where_nothing_stands_across_the_boat(boat: Boat) -> None:
    assert scrieve_board(boat, (), name="body plan", scale=FULL_SIZE, source="") is None


def test_a_name_that_there_is_not_lists_it_too() -> None:
    with pytest.raises(RequestError, match="body plan"):
        chosen((), ("nosuch",), also=("body plan",))


@pytest.mark.slow
def test_it_is_printed_on_request_alone_and_proves_itself(folder: Path, tmp_path: Path) -> None:
    """One file is written, and it holds."""
    run = CliRunner().invoke
    out = tmp_path / "out"
    made = run(
        main, ["patterns", str(folder), "-o", str(out), "--only", "Body Plan", "--paper", "a4", "--quick"]
    )
    assert made.exit_code == 0, made.output
    assert [path.name for path in out.glob("*.pdf")] == ["Body Plan.pdf"]
    proved = run(main, ["prove", str(out / "Body Plan.pdf")])
    assert proved.exit_code == 0, proved.output
    assert len(read(out / "Body Plan.pdf")) > 4
