"""One offset changed and run again: which patterns changed and by how much, and which pages to print again."""

from __future__ import annotations

import copy
import json
import re
import shutil
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from patterns import make
from patterns.cli import main
from patterns.run.page_request import PageRequest
from patterns.shop.compared import changes, compared_words, last_run
from tests.patterns.folders import DESIGN, TABLE, changed, write_folder


def _pattern(name: str, **more: Any) -> dict[str, Any]:
    square = [[0.0, 0.0], [100.0, 0.0], [100.0, 100.0], [0.0, 100.0]]
    return {
        "name": name, "stock": "ply", "thickness_mm": 18.0, "laminations": 1, "quantity": "1", "face": "after",
        "outlines": [{"closed": True, "points": square}],
        "lines": {"reference line": [{"closed": False, "points": [[0.0, 50.0], [100.0, 50.0]], "name": "WL"}]},
        "holes": [{"purpose": "register hole", "at": [50.0, 50.0], "diameter_mm": 6.0}],
        "marks": [{"name": "sheer 12.5 mm", "at": [0.0, 0.0], "about": {"kind": "sheer", "names": []}}],
        "bevels": [{"edge": "side", "where": "top", "at": [100.0, 50.0], "bevel_deg": 80.0}],
        "facts": ["18 mm thick", "lies on frame 3: 30.1 mm"],
        "known": [{"kind": "wood", "names": ["ply"]}, {"kind": "lies-on", "names": ["frame 3"]}],
        "printed": {"mark": "AAAAA", "pages": [5, 6]},
        **more,
    }  # fmt: skip


def _compared(old: dict[str, Any], new: dict[str, Any]) -> Any:
    found = changes({old["name"]: old}, [new])
    assert found is not None
    return found[0]


def _shifted(by: float) -> dict[str, Any]:
    """The square with its right side moved outward."""
    new = _pattern("frame 3", printed={"mark": "CCCCC", "pages": [7, 8]})
    points = copy.deepcopy(new["outlines"][0]["points"])
    points[1][0] += by
    points[2][0] += by
    return {**new, "outlines": [{"closed": True, "points": points}]}


@pytest.mark.parametrize(
    ("by", "kind"), [(0.0, "anew"), (0.04, "little"), (0.11, "changed"), (2.5, "changed")]
)
def test_the_largest_move_of_an_outline_is_told_in_mm(by: float, kind: str) -> None:
    change = _compared(_pattern("frame 3"), _shifted(by))
    assert change.kind == kind
    assert change.moved == pytest.approx(by, abs=1e-9)
    assert change.pages == (7, 8)


def test_vertices_that_only_slide_along_their_line_are_no_move() -> None:
    new = _pattern("frame 3")
    points = new["outlines"][0]["points"]
    more = [*points[:2], [100.0, 33.3], [100.0, 71.0], *points[2:]]
    change = _compared(_pattern("frame 3"), {**new, "outlines": [{"closed": True, "points": more}]})
    assert change.moved == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"stock": "oak"}, "another stock"),
        (
            {"holes": [{"purpose": "register hole", "at": [53.0, 54.0], "diameter_mm": 6.0}]},
            "holes by 5.0 mm",
        ),
        ({"holes": []}, "other holes"),
        ({"known": [{"kind": "wood", "names": ["ply"]}]}, "other things said of it"),
        (
            {
                "facts": ["18 mm thick", "lies on frame 4: 30.1 mm"],  # the figure of a name is its own
                "known": [{"kind": "wood", "names": ["ply"]}, {"kind": "lies-on", "names": ["frame 4"]}],
            },
            "other things said of it",
        ),
        (
            {"marks": [{"name": "scarf", "at": [0.0, 0.0], "about": {"kind": "scarf", "names": []}}]},
            "other places marked",
        ),
        ({"marks": []}, "other places marked"),
        (
            {"bevels": [{"edge": "side", "where": "top", "at": [101.0, 50.0], "bevel_deg": 77.0}]},
            "bevels by 3.0°",
        ),
        ({"lines": {}}, "other lines"),
    ],
)
def test_what_else_changed_is_named(more: dict[str, Any], words: str) -> None:
    new = _pattern("frame 3", **more)
    change = _compared(_pattern("frame 3"), new)
    assert change.kind == "changed"
    assert words in "\n".join(compared_words([change], first_pages=3))


def test_figures_in_words_follow_the_lines_and_are_no_change_of_their_own() -> None:
    new = _pattern("frame 3", facts=["18 mm thick", "lies on frame 3: 30.2 mm"])
    assert _compared(_pattern("frame 3"), new).kind == "same"


def test_new_and_gone_and_the_pages_to_print_again() -> None:
    before = {name: _pattern(name) for name in ("frame 3", "beam", "stem")}
    now = [
        {**_shifted(1.0), "name": "frame 3"},
        _pattern("stem", printed={"mark": "AAAAA", "pages": [9, 9]}),
        _pattern("knee", printed={"mark": "DDDDD", "pages": [10, 12]}),
    ]
    found = changes(before, now)
    assert found is not None
    said = list(compared_words(found, first_pages=4))
    assert "  changed: frame 3, its outline by 1.0 mm at most: pages 7 to 8" in said
    assert "  new: knee: pages 10 to 12" in said
    assert "  gone: beam" in said
    assert "  the same, and under the same marks: stem" in said
    assert said[-1].startswith("Print again: pages 7-8, 10-12 (--pages 7-8,10-12)")
    assert "pages 1 to 4" in said[-1]


@pytest.mark.parametrize(
    "text",
    [
        "",
        "{",
        "[]",
        "3",
        '{"patterns": 3}',
        '{"patterns": [{"name": "frame 3"}]}',
        "[" * 100_000,
        '{"patterns": [[]]}',
    ],
)
def test_results_that_cannot_be_read_are_no_hindrance(tmp_path: Path, text: str) -> None:
    (tmp_path / "shapes.json").write_text(text, encoding="utf-8")
    before = last_run(tmp_path / "shapes.json")
    assert before is None or changes(before, [_pattern("frame 3")]) is None


@pytest.fixture(scope="module")
def first_run(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The small design with what a first run wrote beside it, to be copied."""
    folder = write_folder(tmp_path_factory.mktemp("first"))
    assert "last run" not in _run(folder, folder / "out")
    return folder


def _run(folder: Path, out: Path, *more: str) -> str:
    result = CliRunner().invoke(
        main, ["patterns", str(folder), "--output", str(out), "--quick", "--paper", "a4", *more]
    )
    assert result.exit_code == 0, result.output
    return result.output


@pytest.mark.slow
def test_one_offset_changed_is_told_against_the_last_run(tmp_path: Path, first_run: Path) -> None:
    folder = shutil.copytree(first_run, tmp_path, dirs_exist_ok=True)
    again = _run(folder, tmp_path / "out")
    assert "As the last run: no pattern has changed, and no page need be printed again." in again
    marks = _marks(tmp_path / "out")

    write_folder(
        tmp_path, table=changed(TABLE, "1-11-6+,2-2-5,", "1-11-6+,2-2-7,")
    )  # a quarter inch at station 4
    said = _run(folder, tmp_path / "out")
    assert "Compared with the last run:" in said
    found = re.search(r"  changed: frame 3, its outline by ([\d.]+) mm at most.*: pages (\d+) to (\d+)", said)
    assert found
    assert 0.1 <= float(found[1]) < 6.0
    after = _marks(tmp_path / "out")
    unchanged = re.search(r"the same, and under the same marks: (.*)", said)
    assert unchanged
    assert {name for name in after if after[name] == marks.get(name)} == set(unchanged[1].split("; "))
    assert "transom knee" in unchanged[1]
    again_pages = re.search(r"Print again: pages ([\d, -]+) \(", said)
    assert again_pages
    assert re.search(rf"(^|[ ,]){found[2]}-", again_pages[1])


@pytest.mark.slow
def test_another_thickness_in_the_design_changes_what_it_touches_alone(
    tmp_path: Path, first_run: Path
) -> None:
    folder = shutil.copytree(first_run, tmp_path, dirs_exist_ok=True)
    write_folder(tmp_path, design=changed(DESIGN, 'throat = "110 mm"', 'throat = "112 mm"') + "# a remark\n")
    request = PageRequest(paper="a4", landscape=False, margin="10 mm", overlap="12 mm")
    make(folder, request=request, quick=True, into=tmp_path / "out")  # killed before it said what it made
    said = _run(folder, tmp_path / "out")
    assert "As the last run" in _run(folder, tmp_path / "out")
    changed_lines = re.findall(r"  changed: ([^,]*)", said)
    assert changed_lines == ["transom knee"]
    assert "off by less" not in said
    assert "laid or lettered anew" not in said


def _marks(out: Path) -> dict[str, str]:
    data = json.loads((out / "shapes.json").read_text(encoding="utf-8"))
    return {pattern["name"]: pattern["printed"]["mark"] for pattern in data["patterns"]}


@pytest.mark.slow
def test_some_pages_alone_compare_nothing_and_keep_the_last_results(tmp_path: Path, first_run: Path) -> None:
    folder = shutil.copytree(first_run, tmp_path, dirs_exist_ok=True)
    before = (tmp_path / "out" / "shapes.json").read_bytes()
    said = _run(folder, tmp_path / "out", "--only", "frame 3")
    assert "last run" not in said
    assert (tmp_path / "out" / "shapes.json").read_bytes() == before
