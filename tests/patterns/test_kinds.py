"""Kinds of member as the design file knows them: what is derived from them, references and places."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

import patterns
from patterns.boat import load_boat
from patterns.design.file import draft_design
from patterns.design.kinds import kinds, member_tables, table_of
from patterns.design.parts import tables
from patterns.errors import DesignError, Problem
from patterns.run.starter import SORTS, start_folder
from tests.patterns.plane_boat import write_plane_boat
from tests.sources import nodes_of

ROOT = Path(patterns.__file__).parent
BEAM = (
    '[[beam]]\nname = "B 9"\nat = "1500 mm"\nsided = "20 mm"\nmoulded = "45 mm"\nends = "at the clamp"\n'
    'stock = "fir"\n'
)
FLOOR = (
    '[[floor]]\nname = "9"\nsided = "25 mm"\nmoulded = "120 mm"\narm = "300 mm"\ntop = "level"\n'
    'stock = "oak"\n'
)
STOCK = 'stock = "oak"\n'


def problems(folder: Path, more: str) -> tuple[Problem, ...]:
    design = write_plane_boat(folder) / "design.toml"
    design.write_text(design.read_text(encoding="utf-8") + more, encoding="utf-8")
    return draft_design(folder).problems


def test_each_kind_has_an_order_and_a_table_of_its_own() -> None:
    assert len(kinds()) > 10
    orders = [kind.order for kind in kinds()]
    assert orders == sorted(set(orders))
    asked = [(table.name, word) for table in member_tables() for word in table.kinds or ("",)]
    assert len(asked) == len(set(asked))
    for table in member_tables():
        assert table_of(table.model) == table
        assert set(table.kinds or ("",)) <= set(tables()[table.name].models)
        assert tables()[table.name].many == table.many
        if table.sawn:
            assert table.sawn in table.model.model_fields


def test_nothing_outside_its_own_files_imports_a_member() -> None:
    """Adding a member is adding its file: no list of modules anywhere."""
    for path in ROOT.rglob("*.py"):
        if path.parent.name == "members":
            continue
        for node in nodes_of(path):
            if isinstance(node, ast.ImportFrom):
                assert not str(node.module).startswith("patterns.members."), path
                assert node.module != "patterns.members" or [one.name for one in node.names] == [
                    "all_patterns"
                ]


@pytest.mark.parametrize(
    ("more", "key"),
    [
        (BEAM.replace("1500 mm", "aft of frame C"), "at"),
        (BEAM + 'from_carling = "none"\n', "from_carling"),
        (FLOOR + 'frame = "C"\nface = "after"\n', "frame"),
        (FLOOR + 'at = "2000 mm"\nlimber_holes = "20 mm"\nlimber_at = ["kee"]\n', "limber_at"),
        (
            '[[knee]]\nkind = "hanging knee"\nunder = "B"\nalong_beam = "150 mm"\ndown_side = "180 mm"\n'
            f'throat = "90 mm"\ntoe = "28 mm"\nsided = "18 mm"\n{STOCK}',
            "under",
        ),
        ('[[strake_pattern]]\nstrake = "sid"\nstock = "ply"\ntrim = "0"\nlaps = []\n', "strake"),
        (
            '[[timber]]\nkind = "rubbing rail"\nfollows = "shear"\nagainst = "side"\noff = "20 mm"\n'
            'along = "30 mm"\n',
            "follows",
        ),
        (
            '[[timber]]\nkind = "rubbing rail"\nfollows = "sheer"\nagainst = "side"\noff = "20 mm"\n'
            'along = "30 mm"\nto = "frame C"\n',
            "to",
        ),
        (
            '[[support]]\nname = "S"\nbetween = ["frame A", "frame C"]\nhalf_breadth = "200 mm"\n'
            f'heights = ["400 mm", "400 mm"]\nsided = "20 mm"\nmoulded = "40 mm"\n{STOCK}',
            "between",
        ),
        (
            '[[gusset]]\nframes = ["C"]\nfaces = "after"\nthickness = "6 mm"\nstock = "ply"\narm = "150 mm"\n'
            'inner = "straight"\nstation_line = "frame"\n',
            "frames",
        ),
        (
            '[[mould]]\nname = "M"\nat = "2000 mm"\nsided = "18 mm"\nmoulded = "90 mm"\nlets_in = ["log"]\n'
            f"{STOCK}",
            "lets_in",
        ),
    ],
)
def test_a_name_that_no_entry_has_is_found_in_every_key_that_names_one(
    tmp_path: Path, more: str, key: str
) -> None:
    found = problems(tmp_path, more)
    (unknown,) = (problem for problem in found if problem.code == "unknown-name")
    assert unknown.place.endswith(f", key {key}")


def test_a_name_that_an_entry_has_by_default_is_known(tmp_path: Path) -> None:
    """The keel is called keel although no name was typed; a frame is named with its word in a support."""
    more = FLOOR + 'at = "2000 mm"\nlimber_holes = "20 mm"\nlimber_at = ["keel", "chine log"]\n'
    assert not problems(tmp_path, more)


def test_the_name_of_an_entry_that_cannot_be_read_is_known(tmp_path: Path) -> None:
    """One slip is told once: what refers to the entry is not wrong."""
    more = BEAM.replace('sided = "20 mm"', 'sided = "twenty"') + (
        '[[knee]]\nkind = "hanging knee"\nunder = "B 9"\nalong_beam = "150 mm"\ndown_side = "180 mm"\n'
        f'throat = "90 mm"\ntoe = "28 mm"\nsided = "18 mm"\n{STOCK}'
    )
    assert [problem.code for problem in problems(tmp_path, more)] == ["length-unreadable"]


def test_tables_of_one_group_share_their_names(tmp_path: Path) -> None:
    support = (
        '[[support]]\nname = "B 9"\nbetween = ["frame A", "frame B"]\nhalf_breadth = "200 mm"\n'
        f'heights = ["400 mm", "400 mm"]\nsided = "20 mm"\nmoulded = "40 mm"\n{STOCK}'
    )
    assert [problem.code for problem in problems(tmp_path, BEAM + support)] == ["same-name"]


@pytest.mark.parametrize("more", [FLOOR + 'at = "station 40"\n', BEAM.replace("1500 mm", "station 40")])
def test_a_station_that_the_table_has_not_is_found_for_every_kind(tmp_path: Path, more: str) -> None:
    design = write_plane_boat(tmp_path) / "design.toml"
    design.write_text(design.read_text(encoding="utf-8") + more, encoding="utf-8")
    with pytest.raises(DesignError) as caught:
        load_boat(tmp_path)
    (problem,) = caught.value.problems
    assert problem.place.endswith(", key at")


@pytest.mark.parametrize("sort", SORTS)
def test_a_starter_has_no_mark_left(tmp_path: Path, sort: str) -> None:
    start_folder(tmp_path, sort=sort)
    assert "#:" not in (tmp_path / "design.toml").read_text(encoding="utf-8")
