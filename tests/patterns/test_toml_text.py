"""One value of a design file is changed, and nothing else: not a comment, not a space, not an entry's place."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from patterns.design.toml_text import TomlTextError, with_entry, with_value
from patterns.run.starter import SORTS, start_folder
from tests.demo import DEMO

EACH = 9  # keys of a file: one of these many is tried
FILES = [DEMO / "design.toml", DEMO / "round_bilge" / "design.toml", DEMO / "broken_frame" / "design.toml"]


def text_of(path: Path) -> str:
    return path.read_bytes().decode()


def keys_of(raw: dict[str, Any]) -> list[tuple[str, int, str]]:
    return [
        (table, number, key)
        for table, found in raw.items()
        for number, entry in enumerate(found if isinstance(found, list) else [found])
        for key in entry
    ]


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.parent.name)
def test_every_value_can_be_changed_and_changed_back(path: Path) -> None:
    text = text_of(path)
    raw = tomllib.loads(text)
    assert len(keys_of(raw)) > 30
    for table, number, key in keys_of(raw)[::EACH]:
        entries = raw[table] if isinstance(raw[table], list) else [raw[table]]
        changed = with_value(text, table, number, key, "another")
        old, new = text.splitlines(), changed.splitlines()
        differing = [n for n, (a, b) in enumerate(zip(old, new, strict=False)) if a != b]
        if len(old) == len(new):  # a value on one line
            assert len(differing) == 1
            line = new[differing[0]]
            assert line.split("=")[0] == old[differing[0]].split("=")[0]
            assert line.partition(" #")[2] == old[differing[0]].partition(" #")[2]
        was = entries[number][key]
        if not isinstance(was, dict):  # a table within its key's line
            assert tomllib.loads(with_value(changed, table, number, key, was)) == raw


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.parent.name)
def test_a_key_is_added_below_the_others_and_taken_out_again(path: Path) -> None:
    text = text_of(path)
    raw = tomllib.loads(text)
    for table, number in list(dict.fromkeys((table, number) for table, number, _ in keys_of(raw)))[::4]:
        more = with_value(text, table, number, "quite_new", ["a", "b"])
        assert len(more.splitlines()) == len(text.splitlines()) + 1
        assert with_value(more, table, number, "quite_new", None) == text


@given(
    words=st.text(st.characters(codec="utf-8", exclude_categories=("Cs",)), max_size=20),
    more=st.lists(st.text(st.characters(codec="utf-8", exclude_categories=("Cs",)), max_size=5), max_size=3),
)
def test_any_words_are_read_back_as_they_were_typed(words: str, more: list[str]) -> None:
    """By the standard library's reader; U+007F alone has no place in a string."""
    text = '[boat]\nname = "x" # her name\nlist = [\n  "]", # a bracket\n  "y"]\n[[line]]\n'
    if "\x7f" in words + "".join(more):
        with pytest.raises(TomlTextError):
            with_value(with_value(text, "boat", 0, "name", words), "boat", 0, "list", more)
        return
    changed = with_value(with_value(text, "boat", 0, "name", words), "boat", 0, "list", more)
    assert tomllib.loads(changed) == {"boat": {"name": words, "list": more}, "line": [{}]}
    assert " # her name\n" in changed


def test_values_over_several_lines_and_all_kinds_of_quotes_are_passed_over() -> None:
    text = (
        '[boat]\r\na = \'\'\'\r\nb = "no key"\r\n[no.table]\'\'\'\r\nb = """x\\"""""  # end\r\n'
        "c = [ # [\r\n  { d = '}' }, 1e3,\r\n]\r\n\"e\" = 'C:\\'\r\n[[frame]]\r\n[[frame]]\r\nname='2' # second\r\n"
    )
    raw = tomllib.loads(text)
    assert with_value(text, "boat", 0, "e", "new") == text.replace("'C:\\'", '"new"')
    assert with_value(text, "boat", 0, "b", "new") == text.replace('"""x\\"""""', '"new"')
    assert with_value(text, "frame", 1, "name", 3) == text.replace("'2'", "3")
    assert tomllib.loads(with_value(text, "frame", 0, "name", True))["frame"] == [
        {"name": True},
        {"name": "2"},
    ]
    assert tomllib.loads(with_value(text, "boat", 0, "c", None)) == {
        **raw, "boat": {key: value for key, value in raw["boat"].items() if key != "c"},
    }  # fmt: skip


@pytest.mark.parametrize("sort", SORTS)
def test_one_more_entry_comes_after_the_last_of_its_kind(tmp_path: Path, sort: str) -> None:
    start_folder(tmp_path / "boat", sort=sort)
    text = text_of(tmp_path / "boat" / "design.toml")
    for table in ("line", "frame", "quite_new"):
        more = with_entry(text, table, {"name": "x", "sided": ""}, many=True)
        raw = tomllib.loads(more)
        assert raw[table][-1] == {"name": "x", "sided": ""}
        assert raw[table][:-1] == tomllib.loads(text).get(table, [])
        assert [line for line in text.splitlines() if line not in more.splitlines()] == []
    assert tomllib.loads(with_entry(text, "other", {}, many=False))["other"] == {}
    with pytest.raises(TomlTextError):
        with_entry(text, "boat", {}, many=False)


@pytest.mark.parametrize(
    ("text", "table", "key"),
    [
        ("[boat", "boat", "name"), ("", "boat", "name"), ("boat = {name = 'x'}", "boat", "name"),
        ("[boat]\nname.first = 'x'\n", "boat", "name"), ("[[line]]\n", "boat", "x"),
    ],
)  # fmt: skip
def test_what_cannot_be_changed_alone_is_refused(text: str, table: str, key: str) -> None:
    with pytest.raises(TomlTextError):
        with_value(text, table, 0, key, "y")
