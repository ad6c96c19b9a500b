"""What marks are made of: the values that were typed, and nothing of how the files are laid out."""

from __future__ import annotations

from pathlib import Path

from patterns.run.typed_values import typed_values
from tests.patterns.folders import DESIGN, STEM, TABLE, changed, write_folder

FILES = ("design.toml", "offsets.csv", "stem.csv")


def _typed(folder: Path, **files: str | bytes) -> str:
    folder.mkdir()
    return typed_values(write_folder(folder, **files), FILES)  # type: ignore[arg-type]


def test_every_typed_figure_counts(tmp_path: Path) -> None:
    found = [
        _typed(tmp_path / "as it is"),
        _typed(tmp_path / "table", table=changed(TABLE, "1-11-6+,2-2-5,", "1-11-6,2-2-5,")),
        _typed(tmp_path / "stem", stem=changed(STEM, "aft,1-1-0,0-10-6+,", "aft,1-1-0,0-10-7,")),
        _typed(tmp_path / "knuckle", stem=changed(STEM, "aft,1-1-0,0-10-6+,", "aft,1-1-0,0-10-6+,yes")),
        _typed(tmp_path / "design", design=changed(DESIGN, 'throat = "110 mm"', 'throat = "110.1 mm"')),
        _typed(tmp_path / "number", design=DESIGN.replace("laminations = 2", "laminations = 3")),
        _typed(tmp_path / "kind of value", design=DESIGN.replace("laminations = 2", 'laminations = "2"')),
    ]
    assert len(set(found)) == len(found)


def test_remarks_spaces_and_dashes_do_not_count(tmp_path: Path) -> None:
    plain = _typed(tmp_path / "as it is")
    spaced = changed(TABLE, "height,keel,,,0-4-2+,", "height, keel ,–,-,0-4-2+ ,").replace("\n", ",,\r\n")
    design = "# a remark\n" + changed(DESIGN, 'throat = "110 mm"', 'throat   =  " 110  mm"  # deep')
    assert _typed(tmp_path / "spaced", table=spaced.encode("utf-8-sig"), design=design) == plain


def test_what_only_keeps_check_quiet_does_not_count(tmp_path: Path) -> None:
    plain = _typed(tmp_path / "as it is")
    quiet = changed(DESIGN, "[boat]\n", '[boat]\nwithout = ["chine logs"]\nconfirmed = ["any-code"]\n')
    assert _typed(tmp_path / "quiet", design=quiet) == plain
