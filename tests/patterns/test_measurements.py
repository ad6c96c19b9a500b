"""The page of the measurements, and the blank measuring sheet: what stands on them, read back from the file."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from pypdf import PdfReader

from patterns.repair.measurements import TIMES, measurements_drawing, write_measurements
from patterns.repair.points import HEADINGS
from patterns.repair.repair import Repair, load_repair
from patterns.repair.seen import SCALE, measurements_part
from tests.patterns.repair_boats import METHODS, NAILS, rows, to_sixteenths, write_repair
from tiling.paper import Page, parse_paper


@pytest.fixture(scope="module")
def repair(tmp_path_factory: pytest.TempPathFactory) -> Repair:
    text = rows(METHODS, say=to_sixteenths, many=(8, 8))
    return load_repair(write_repair(tmp_path_factory.mktemp("repair"), text))


@pytest.mark.slow
def test_residuals_are_drawn_ten_times_as_long_and_everything_is_named(repair: Repair) -> None:
    drawing = measurements_drawing(repair, 0.2)
    said = [note.text for note in drawing.notes]
    for side in repair.sides.values():
        assert all(said.count(point.measured.name) == 2 for point in side.points)
    assert {"PA, SA", "PB, SB", "PC, SC", "plumb", "board"} <= set(said)
    starts = {
        tuple(np.round(path.points[0], 6)): path.points for path in drawing.paths if len(path.points) == 2
    }
    found = 0
    for side in repair.sides.values():
        for fixed, at in zip(side.points, side.at, strict=True):
            line = starts.get(tuple(np.round(0.2 * at, 6)))
            if line is not None:
                found += 1
                assert line[1] - line[0] == pytest.approx(TIMES * (fixed.at - at), abs=1e-6)
    assert found > 10


@pytest.mark.slow
def test_the_blank_sheet_has_the_columns_of_the_file(repair: Repair, tmp_path: Path) -> None:
    path = tmp_path / "measurements.pdf"
    with path.open("wb") as stream:
        assert write_measurements(stream, repair, page=Page(paper=parse_paper("a4")), mark="K7QXM") == 2
    sheet = PdfReader(path).pages[1].extract_text().split()
    assert [word for word in HEADINGS if word not in sheet] == []


@pytest.mark.slow
def test_the_screen_shows_the_lines_of_the_page(repair: Repair) -> None:
    """From every nail a tape to each point measured from it, on both; every point can be pointed at."""
    drawing = measurements_drawing(repair, SCALE)
    tapes = [path.points for path in drawing.paths if path.stroke.grey]
    measured = [
        (source, at)
        for side in repair.sides.values()
        for fixed, at in zip(side.points, side.at, strict=True)
        for source in fixed.measured.sources
    ]
    assert len(tapes) == len(measured)
    for line, (source, at) in zip(tapes, measured, strict=True):
        assert line[1] == pytest.approx(SCALE * at)
        if source[-1] in NAILS:
            assert line[0] == pytest.approx(SCALE * np.array(NAILS[source[-1]]), abs=0.3)
        else:
            away = line[1] - line[0]
            assert min(abs(away)) == pytest.approx(0.0, abs=0.3)
    plate = measurements_part(repair).markup
    assert (
        sum(
            plate.count(f"{side} {fixed.measured.name}:")
            for side in repair.sides
            for fixed in repair.sides[side].points
        )
        >= 30
    )
