"""Members that a builder would look for: told with their place, never errors, silent where none is meant.

Which members go together (a knee where a transom meets a keel, gussets over butted futtocks) is common practice,
no source.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from click.testing import CliRunner

from patterns.cli import main
from patterns.design.file import Design, read_design
from patterns.shop.missing import missing, unknown_names
from tests.demo import DEMO
from tests.patterns.folders import DESIGN, changed, write_folder

FUTTOCKS = (
    'stock = "18 mm plywood"\npieces = "bottom in halves"\njoint = "butt"\nthrough = "lower"\n[[frame]]'
)
WHOLE = DESIGN + '[set_up]\nline = "4-0-0"\n'
ALL = {"stem knee", "quarter knee", "beams"}  # what the small design has not, besides its set-up line


def _names(folder: Path, design: str) -> set[str]:
    return {found.name for found in missing(read_design(write_folder(folder, design=design)))}


def _without(text: str, start: str) -> str:
    """The design without the table that begins with those lines."""
    found = re.sub(rf"{re.escape(start)}.*?(?=\n\[|\Z)", "", text, count=1, flags=re.DOTALL)
    assert found != text
    return found


def test_the_small_design_misses_what_it_does_not_have(tmp_path: Path) -> None:
    assert _names(tmp_path, WHOLE) == ALL


@pytest.mark.parametrize(
    ("start", "name", "place"),
    [
        ('[[timber]]\nkind = "chine log"', "chine log", "design.toml, [[timber]]"),
        ('[[timber]]\nkind = "clamp"', "clamp", "design.toml, [[timber]]"),
        ('[[timber]]\nkind = "keel"', "keel", "design.toml, [[timber]]"),
        ("[[knee]]", "transom knee", 'design.toml, end "stern"'),
        ("[breasthook]", "breasthook", "design.toml, [breasthook]"),
        ("[set_up]", "set-up line", "design.toml, [set_up]"),
    ],
)
def test_a_member_taken_out_is_missed_at_its_place(tmp_path: Path, start: str, name: str, place: str) -> None:
    text = _without(WHOLE, start)
    if name == "keel":  # its knee cannot stand without it
        text = _without(text, "[[knee]]")
    if name == "clamp":
        text = _without(text, "[breasthook]")
    found = {one.name: one for one in missing(read_design(write_folder(tmp_path, design=text)))}
    assert name in found
    assert found[name].place == place
    assert str(found[name]).startswith(place)


def test_what_could_not_be_made_anyway_is_not_missed(tmp_path: Path) -> None:
    bare = _without(_without(WHOLE, '[[timber]]\nkind = "keel"'), "[[knee]]")
    assert not {"stem knee", "transom knee"} & _names(tmp_path, bare)
    bare = _without(_without(WHOLE, '[[timber]]\nkind = "clamp"'), "[breasthook]")
    assert not {"breasthook", "quarter knee"} & _names(tmp_path, bare)


def test_frames_of_futtocks_want_gussets_and_a_floor(tmp_path: Path) -> None:
    text = changed(WHOLE, 'stock = "18 mm plywood"\n[[frame]]', FUTTOCKS)
    found = missing(read_design(write_folder(tmp_path, design=text)))
    said = {one.name: str(one) for one in found}
    assert said.keys() == ALL | {"gussets on frame 3", "floor on frame 3"}
    assert said["gussets on frame 3"].startswith('design.toml, frame "3": has no gussets')
    assert "at the chine" in said["gussets on frame 3"]


def test_none_meant_is_said_in_the_design_and_a_slip_there_is_told(tmp_path: Path) -> None:
    text = changed(
        WHOLE, 'name = "Rushlight"', 'name = "Rushlight"\nwithout = ["Stem knee", "quarter knees", "beams"]'
    )
    design: Design = read_design(write_folder(tmp_path, design=text))
    assert [found.name for found in missing(design)] == ["quarter knee"]
    (slip,) = unknown_names(design)
    assert '"quarter knees" is not missed here' in slip
    assert 'is "quarter knee" meant?' in slip


@pytest.mark.slow
def test_check_tells_them_and_they_are_no_errors(tmp_path: Path) -> None:
    result = CliRunner().invoke(main, ["check", str(write_folder(tmp_path))])
    assert result.exit_code == 3, result.output  # two spans are known badly; what is missing is a hint
    assert "4 things to consider, none of them an error:" in result.output
    assert 'design.toml, end "bow": no stem knee' in result.output


@pytest.mark.slow
@pytest.mark.parametrize("folder", [DEMO, DEMO / "round_bilge"])
def test_the_demos_miss_nothing(folder: Path) -> None:
    design = read_design(folder)
    assert not missing(design)
    assert not list(unknown_names(design))
