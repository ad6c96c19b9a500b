"""The desk as the page sees it: what is typed is written, faired and judged by the same codes as `check`."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from patterns import check
from patterns.desk.look import look_at
from patterns.desk.spots import spots_by_place
from patterns.run.starter import SORTS, start_folder
from patterns.table.folder import draft_folder
from patterns.table.sheet_text import sheet_text
from tests.demo import DEMO
from tests.patterns.desks import Asked, served
from tests.patterns.folders import DESIGN, TABLE, changed, write_folder

SLIP = changed(TABLE, "2-0-4+", "2-1-4+")  # the sheer's height at station 4, one inch too much
CELL = next(
    (n, row.split(",").index("2-1-4+")) for n, row in enumerate(SLIP.splitlines(), 1) if "2-1-4+" in row
)


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Asked]:
    with served(write_folder(tmp_path)) as asked:
        asked.drawn()
        yield asked


def typed(
    desk: Asked, *cells: tuple[int, int, str], file: str = "offsets.csv", **more: Any
) -> tuple[int, Any]:
    base = desk.file(file)["digest"]
    answer = desk.do({"do": "cells", "file": file, "base": base, "cells": list(cells), **more})
    desk.drawn()
    return answer


def codes(look: dict[str, Any], sort: str) -> list[str]:
    return [finding["code"] for finding in look["findings"] if finding["sort"] == sort]


def test_a_slip_is_found_in_its_cell_and_gone_when_it_is_put_right(desk: Asked) -> None:
    assert codes(desk.drawn(), "suspect") == []
    assert typed(desk, (*CELL, "2-1-4+"))[0] == 200
    path = desk.server.desk.files.folder / "offsets.csv"
    assert path.read_text(encoding="utf-8") == SLIP
    suspects = [finding for finding in desk.drawn()["findings"] if finding["sort"] == "suspect"]
    assert ["offsets.csv", *CELL] in [finding["spot"] for finding in suspects]
    assert typed(desk, (*CELL, "2-0-4+"))[0] == 200
    assert path.read_text(encoding="utf-8") == TABLE
    assert codes(desk.drawn(), "suspect") == []


@pytest.mark.slow
def test_the_findings_are_those_of_check(tmp_path: Path) -> None:
    """The same problems with the same words, but for what only the made pieces show."""
    half = "\n".join(line for line in SLIP.splitlines() if not line.startswith("half-breadth,chine"))
    for table, design in (
        (SLIP, DESIGN),
        (half, DESIGN),
        (TABLE, changed(DESIGN, 'rake = "12 deg"', 'rake = "12 cm"')),
    ):
        folder = write_folder(tmp_path, table=table, design=design)
        found = check(folder)
        look = look_at(folder, {})
        of_pieces = set(found.of_pieces)
        wanted = {suspect.problem() for suspect in found.suspects}
        wanted |= {problem for problem in found.errors if found.draft is not None}
        wanted |= {problem for problem in found.warnings if problem not in of_pieces}
        got = {
            (finding.problem.place, finding.problem.what, finding.problem.code) for finding in look.findings
        }
        assert got == {(problem.place, problem.what, problem.code) for problem in wanted}


@pytest.mark.slow
@pytest.mark.parametrize("sort", [*SORTS, "broken frame"])
def test_a_fresh_folder_of_any_sort_lies_on_the_desk(tmp_path: Path, sort: str) -> None:
    start_folder(tmp_path / "new", sort=sort)
    with served(tmp_path / "new") as desk:
        look = desk.drawn()
        assert "failure" not in look
        assert codes(look, "missing")
        assert not look["whole"]


@pytest.mark.slow
def test_undo_brings_back_the_file_byte_for_byte(desk: Asked) -> None:
    path = desk.server.desk.files.folder / "offsets.csv"
    typed(desk, (2, 3, "9-0-0"), typing=1)
    typed(desk, (2, 3, "9-0-4"), typing=1)
    typed(desk, (2, 4, "8-0-0"), typing=2)
    for wanted in (TABLE.replace("1-0-0,3-0-0", "9-0-4,3-0-0", 1), TABLE):
        base = desk.file("offsets.csv")["digest"]
        assert desk.do({"do": "undo", "file": "offsets.csv", "base": base})[0] == 200
        desk.drawn()
        assert path.read_text(encoding="utf-8") == wanted
    assert desk.file("offsets.csv")["redo"] == 2


def test_another_programs_change_is_shown_and_refuses_what_was_typed_before_it(desk: Asked) -> None:
    path = desk.server.desk.files.folder / "offsets.csv"
    base = desk.file("offsets.csv")["digest"]
    path.write_text(SLIP, encoding="utf-8")
    status, answer = desk.do({"do": "cells", "file": "offsets.csv", "base": base, "cells": [[2, 3, "9"]]})
    assert status == 409
    assert answer["refused"]
    assert path.read_text(encoding="utf-8") == SLIP
    assert codes(desk.drawn(), "suspect")
    assert desk.file("offsets.csv")["rows"][CELL[0] - 1][1][CELL[1]] == "2-1-4+"


def test_a_change_from_outside_is_told_without_being_asked(desk: Asked) -> None:
    (desk.server.desk.files.folder / "offsets.csv").write_text(SLIP, encoding="utf-8")
    assert "offsets.csv" in desk.news(lambda known: "notice" in known)["notice"]["words"]
    assert codes(desk.drawn(), "suspect")


@pytest.mark.slow
def test_a_station_is_added_and_taken_away(desk: Asked) -> None:
    def act(**request: Any) -> None:
        base = desk.file("offsets.csv")["digest"]
        assert desk.do({"file": "offsets.csv", "base": base, **request})[0] == 200
        desk.drawn()

    act(do="add column", at=9, heading="7")
    assert desk.file("offsets.csv")["rows"][0][1][8:] == ["6", "7", "stern"]
    act(do="drop column", at=9)
    act(do="add row", at=99, cells=["height", "rubbing strake"])
    assert desk.file("offsets.csv")["rows"][-1][1] == ["height", "rubbing strake"]
    act(do="drop row", at=desk.file("offsets.csv")["rows"][-1][0])
    assert (desk.server.desk.files.folder / "offsets.csv").read_text(encoding="utf-8") == TABLE


@pytest.mark.slow
def test_a_file_that_is_no_table_leaves_the_desk_open(desk: Asked) -> None:
    (desk.server.desk.files.folder / "stem.csv").write_bytes(b"\xff\xfe\x00")
    desk.news(lambda known: "notice" in known)
    look = desk.drawn()
    assert "unreadable" in desk.file("stem.csv")
    assert codes(look, "error")


def test_every_cell_that_check_names_is_found(tmp_path: Path) -> None:
    """Each filled cell spoiled in turn: what is said of it marks that cell and no other."""
    rows = [line.split(",") for line in TABLE.splitlines()]
    tables = {"offsets.csv": sheet_text(TABLE.encode())}
    spots = spots_by_place(tables)
    for r, c in [(1, 3), (2, 9), (5, 4), (6, 2), (8, 3), (10, 8)]:
        spoiled = [list(row) for row in rows]
        spoiled[r][c] = "2-x-3"
        folder = write_folder(tmp_path, table="\n".join(",".join(row) for row in spoiled) + "\n")
        marked = [spots[error.place] for error in draft_folder(folder).problems if error.place in spots]
        assert (r + 1, c) in [(spot.row, spot.column) for spot in marked]


@pytest.mark.slow
def test_a_whole_boat_shows_her_lines_and_their_curvature() -> None:
    look = look_at(DEMO, {})
    assert look.whole
    assert [key for key, _, _ in look.views] == ["profile", "plan", "body", "curvature"]
    assert 'data-cell="' in look.views[0][2]
