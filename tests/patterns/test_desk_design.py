"""The design file at the desk: forms from the keys' own descriptions, findings beside their keys, comments kept."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path
from typing import Any

import pytest

from patterns.design.keys import key_texts
from patterns.design.parts import REPAIR_TABLES, tables
from patterns.desk.edits import edited
from patterns.desk.form import form_data
from patterns.desk.look import first_look
from patterns.desk.requests import FileRequest, read_request
from patterns.errors import PatternsError
from patterns.run.starter import SORTS, start_folder
from tests.demo import DEMO
from tests.patterns.desks import Asked, served
from tests.patterns.folders import DESIGN, changed, write_folder

NOTED = changed(DESIGN, 'rake = "12 deg"\n', 'rake = "12 deg"   # from the plan\n')


def edit(data: str, **request: Any) -> str:
    """The design file after an edit."""
    whole = {"file": "design.toml", "base": "", **request}
    asked = read_request(json.dumps(whole).encode())
    assert isinstance(asked, FileRequest)
    return edited(asked, data.encode()).decode()


def act(desk: Asked, **request: Any) -> int:
    """The same over the server; its status."""
    desk.drawn(settled=False)
    status, _ = desk.do({"file": "design.toml", "base": desk.file("design.toml")["digest"], **request})
    desk.drawn(settled=False)
    return status


@pytest.mark.slow
def test_a_key_is_set_in_its_place_and_what_is_wrong_with_it_is_found(tmp_path: Path) -> None:
    folder = write_folder(tmp_path, design=NOTED)
    with served(folder) as desk:
        assert act(desk, do="set key", table="end", number=1, key="rake", value="12 cm") == 200
        assert (folder / "design.toml").read_text(encoding="utf-8") == NOTED.replace(
            '"12 deg"   #', '"12 cm"   #'
        )
        places = [(each["place"], each["code"]) for each in desk.drawn(settled=False)["findings"]]
        assert ('design.toml, end "stern", key rake', "angle-unreadable") in places
        assert act(desk, do="undo") == 200
        assert (folder / "design.toml").read_text(encoding="utf-8") == NOTED


@pytest.mark.parametrize(
    ("table", "key", "value", "written"),
    [
        ("end", "laminations", "4", 4),
        ("end", "laminations", "four", "four"),  # check says what is wrong with it
        ("end", "moulded", "70 mm", "70 mm"),
        ("end", "sided", "", ""),
        ("line", "straight", "true", True),
        ("line", "knuckles", ["station 3", " ", "station 4"], ["station 3", "station 4"]),
        ("boat", "without", "stem knee\nkeel", ["stem knee", "keel"]),
        ("boat", "name", 'The "Owl" \\ #1', 'The "Owl" \\ #1'),
    ],
)
def test_a_value_is_written_as_its_key_takes_it(table: str, key: str, value: Any, written: Any) -> None:
    after = edit(NOTED, do="set key", table=table, number=0, key=key, value=value)
    raw, before = tomllib.loads(after), tomllib.loads(NOTED)
    entry = raw[table][0] if isinstance(raw[table], list) else raw[table]
    assert entry.pop(key) == written
    old = before[table][0] if isinstance(before[table], list) else before[table]
    old.pop(key, None)
    assert raw == before
    assert tomllib.loads(edit(after, do="set key", table=table, number=0, key=key, value=None)) == before


@pytest.mark.parametrize(("table", "kind"), [("frame", ""), ("timber", "clamp"), ("limits", "")])
def test_a_table_is_added_with_the_keys_that_it_needs(table: str, kind: str) -> None:
    after = edit(NOTED, do="add table", table=table, kind=kind)
    raw = tomllib.loads(after)
    entry = raw[table][-1] if isinstance(raw[table], list) else raw[table]
    needed = {key.name for key in key_texts(tables()[table].models[kind]) if key.required}
    assert set(entry) == needed | ({"kind"} if kind else set())
    assert [line for line in NOTED.splitlines() if line not in after.splitlines()] == []


@pytest.mark.parametrize(
    "wanted",
    [
        {"do": "add table", "table": "boat", "kind": ""}, {"do": "add table", "table": "nonsense", "kind": ""},
        {"do": "add table", "table": "timber", "kind": "x"}, {"do": "add table", "table": "nail", "kind": ""},
        {"do": "set key", "table": "frame", "number": 99, "key": "name", "value": "x"},
        {"do": "set key", "table": "nonsense", "number": 0, "key": "name", "value": "x"},
        {"do": "set key", "table": "boat", "number": 0, "key": "name", "value": "\x7f"},
        {"do": "set key", "table": "boat", "number": 0, "key": "x", "value": "y", "file": "offsets.csv"},
    ],
)  # fmt: skip
def test_what_the_design_file_cannot_take_is_refused(wanted: dict[str, Any]) -> None:
    with pytest.raises(PatternsError):
        edit(NOTED, **wanted)


@pytest.mark.parametrize("key", ["a = 1\nb", "a.b", "", 'a"', "\u00e4"])
def test_a_key_that_would_break_out_of_its_line_is_no_request(key: str) -> None:
    with pytest.raises(ValueError, match="pattern"):
        edit(NOTED, do="set key", table="boat", number=0, key=key, value="x")


def test_the_mark_of_utf_8_and_the_line_ends_stay() -> None:
    before = "\ufeff" + DESIGN.replace("\n", "\r\n")
    after = edit(before, do="set key", table="boat", number=0, key="name", value="Owl")
    assert after == before.replace("Rushlight", "Owl")


@pytest.mark.parametrize("sort", [*SORTS, "broken frame"])
def test_every_key_that_is_still_missing_has_its_field(tmp_path: Path, sort: str) -> None:
    start_folder(tmp_path / "new", sort=sort)
    form = form_data((tmp_path / "new" / "design.toml").read_bytes())
    fields = {
        f"{entry['place']}, key {key['key']}"
        for entry in form["entries"]
        for key in form["kinds"][entry["kind"]]["keys"]
    }
    look = first_look(tmp_path / "new", {})
    if look is None:
        assert sort == "broken frame"
        return
    asked = [each.problem.place for each in look.findings if each.problem.code == "missing-key"]
    assert asked
    assert set(asked) <= fields


def test_the_forms_show_every_value_of_the_demo_boats() -> None:
    """And every key of each is explained: none is unknown to the kind that it is shown under."""
    for path in (DEMO, DEMO / "round_bilge", DEMO / "broken_frame"):
        data = (path / "design.toml").read_bytes()
        raw, form = tomllib.loads(data.decode()), form_data(data)
        assert sum(len(found) if isinstance(found, list) else 1 for found in raw.values()) == len(
            form["entries"]
        )
        for entry in form["entries"]:
            known = {key["key"] for key in form["kinds"][entry["kind"]]["keys"]}
            assert set(entry["values"]) <= known


def test_every_kind_of_table_can_be_added_or_is_there() -> None:
    for source, kinds in ((DEMO, tables()), (DEMO / "broken_frame", REPAIR_TABLES)):
        data = (source / "design.toml").read_bytes()
        more = {(each["table"], each["kind"]) for each in form_data(data)["more"]}
        there = set(tomllib.loads(data.decode()))
        for table, kind in kinds.items():
            assert kind.many <= ((table, next(iter(kind.models))) in more)
            assert kind.many or (table in there) != ((table, "") in more)


def test_a_file_that_cannot_be_read_says_so() -> None:
    for data in (b"[boat", b"\xff", b"[" * 5000):
        assert "unreadable" in form_data(data)
