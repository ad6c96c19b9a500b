"""The keys of the design file in words: all there, none without a meaning."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest
from click.testing import CliRunner

from patterns.cli import main
from patterns.design.keys import key_words
from patterns.design.parts import REPAIR_TABLES, tables
from tests.demo import DEMO


@pytest.mark.slow
def test_every_key_of_every_table_is_told_with_its_meaning() -> None:
    for name, kind in {**tables(), **REPAIR_TABLES}.items():
        said = "\n".join(key_words(name))
        for model in kind.models.values():
            assert model.__doc__, model
            for key, field in model.model_fields.items():
                assert field.description, (name, key)
                assert re.search(rf"^    {re.escape(field.alias or key)} \(", said, re.MULTILINE), (name, key)


@pytest.mark.slow
@pytest.mark.parametrize("folder", [DEMO, DEMO / "broken_frame"], ids=["boat", "repair"])
def test_every_key_of_the_demo_is_told(folder: Path) -> None:
    raw = tomllib.loads((folder / "design.toml").read_text(encoding="utf-8"))
    for table, given in raw.items():
        said = "\n".join(key_words(table))
        for entry in given if isinstance(given, list) else [given]:
            for key in entry:
                assert re.search(rf"^    {re.escape(key)} \(", said, re.MULTILINE), (table, key)


@pytest.mark.slow
def test_on_the_command_line() -> None:
    whole = CliRunner().invoke(main, ["keys"])
    assert whole.exit_code == 0
    assert all(f"[{name}]" in whole.output for name in (*tables(), *REPAIR_TABLES))
    one = CliRunner().invoke(main, ["keys", "frame"])
    assert one.output.startswith("[[frame]]")
    assert "[strake]" not in one.output
    wrong = CliRunner().invoke(main, ["keys", "frames"])
    assert wrong.exit_code == 2
    assert 'did you mean "frame"' in wrong.output or "frame" in wrong.output


@pytest.mark.slow
def test_a_repairs_keys_stand_alone(tmp_path: Path) -> None:
    """On the command line and beside a repair's starter: its own tables and no others."""
    own = CliRunner().invoke(main, ["keys", "--repair"]).output
    CliRunner().invoke(main, ["start", str(tmp_path), "--type", "broken frame"])
    beside = (tmp_path / "keys.txt").read_text(encoding="utf-8")
    for said in (own, beside):
        assert re.findall(r"^\[+(\w+)\]+ ", said, re.MULTILINE) == list(REPAIR_TABLES)
    gusset = CliRunner().invoke(main, ["keys", "gusset", "--repair"]).output
    assert gusset.startswith("[[gusset]]")
    assert gusset.count("[[gusset]]") == 1
