"""Sizes beyond any plan, damaged files, what no keyboard writes: one clear message for each, and exit status 1."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner

from patterns.boat import load_boat
from patterns.cli import main
from patterns.errors import DesignError, first_lines
from patterns.table.folder import read_folder
from tests.patterns.plane_boat import write_plane_boat

Change = Callable[[str], str]


def first(old: str, new: str) -> Change:
    def change(text: str) -> str:
        assert old in text
        return text.replace(old, new, 1)

    return change


def more(new: str) -> Change:
    return lambda text: text + new


def cell(value: str) -> Change:
    """Another value for the height of the sheer at station 2."""
    return first("664.000000000", value)


def columns(count: int) -> Change:
    def change(text: str) -> str:
        head, *rows = text.splitlines()
        wide = [head.removesuffix("stern") + ",".join(f"x{i}" for i in range(count)) + ",stern"]
        wide += [
            f"{row.rpartition(',')[0]},{','.join(['zz'] * count)},{row.rpartition(',')[2]}" for row in rows
        ]
        return "\n".join(wide) + "\n"

    return change


def near(step: float) -> Change:
    """All stations so many mm apart."""

    def change(text: str) -> str:
        head, _, *rows = text.splitlines()
        at = ",".join(f"{600.0 + i * step:.4f}" for i in range(6))
        return "\n".join([head, f"position,,,{at},", *rows]) + "\n"

    return change


def stem_points(count: int) -> Change:
    return lambda text: text + "".join(f"aft,{30 - 0.001 * i:.3f},{500 + i},\n" for i in range(count))


NAME = 'name = "Plane Boat"'
CASES: list[tuple[str, Change, str]] = [
    ("offsets.csv", cell("1" * 400), "too-long"),
    ("offsets.csv", cell("1" * 5_000), "too-long"),
    ("offsets.csv", cell("0." + "1" * 5_000), "too-long"),
    ("offsets.csv", cell("1" * 200_000), "too-long"),
    ("offsets.csv", near(0.01), "stations-too-near"),
    ("offsets.csv", near(1.0), "stations-too-near"),
    ("offsets.csv", columns(5_000), "too-many-columns"),
    ("offsets.csv", more("height,x,1\n" * 100_000), "too-many-rows"),
    ("offsets.csv", more("#" * 3_000_000), "large-file"),
    ("offsets.csv", cell("\x1b[2J"), "control-character"),
    ("offsets.csv", cell("66\x084"), "control-character"),
    ("offsets.csv", first(",1,", "," + "h" * 100_000 + ","), "too-long"),
    ("stem.csv", stem_points(4_000), "too-many-rows"),
    ("stem.csv", more("aft," + "1" * 5_000 + ",0,\n"), "too-long"),
    ("design.toml", first(NAME, NAME + "\nsize = " + "1" * 5_000), "too-long"),
    ("design.toml", more("\ndeep = " + "[" * 5_000 + "]" * 5_000 + "\n"), "deep-nesting"),
    ("design.toml", more("\ndeep = " + "{a = " * 5_000 + "1" + "}" * 5_000 + "\n"), "deep-nesting"),
    ("design.toml", more("#" * 2_000_000), "large-file"),
    ("design.toml", more('\n[[frame]]\nname = "x"\n' * 5_000), "too-many-entries"),
]


@pytest.mark.slow
@pytest.mark.parametrize(("file", "change", "code"), CASES)
def test_a_size_beyond_any_plan_is_one_problem(tmp_path: Path, file: str, change: Change, code: str) -> None:
    folder = write_plane_boat(tmp_path / "boat")
    text = change((folder / file).read_text(encoding="utf-8"))
    (folder / file).write_text(text, encoding="utf-8")
    with pytest.raises(DesignError) as caught:
        read_folder(folder)
    (problem,) = caught.value.problems
    assert problem.code == code
    assert problem.place.startswith(file)
    assert problem.want
    assert len(str(problem)) < 400


UNCODED: list[tuple[str, Change]] = [
    ("offsets.csv", cell("nan")),
    ("offsets.csv", cell("inf")),
    ("offsets.csv", cell("-inf")),
    ("offsets.csv", cell("1e400")),
    ("offsets.csv", cell("9" * 30)),
    ("offsets.csv", lambda _: "\x00\x01\x02"),
    ("design.toml", first(NAME, "name = nan")),
    ("design.toml", first(NAME, "name = inf")),
    ("design.toml", first(NAME, "name = 0x" + "f" * 6_000)),
    ("design.toml", first(NAME, "name = " + "[" * 300 + "]" * 300)),
    ("design.toml", first(NAME, f'name = "{"x" * 100_000}"')),
    ("design.toml", first(NAME, NAME + "\n" + "k" * 100_000 + " = 1")),
    ("design.toml", first(NAME, NAME + '\n"a\\u001b[2J" = 1')),
    ("design.toml", first("laminations = 1\n", f"laminations = {'9' * 4_000}\n")),
    ("design.toml", first("12 deg", "9" * 5_000 + " deg")),
    ("design.toml", first("2500 mm", "9" * 30 + " mm")),
    ("design.toml", more("\n[boat" + ".a" * 5_000 + "]\n")),
]


@pytest.mark.slow
@pytest.mark.parametrize(("file", "change"), UNCODED)
def test_what_no_plan_has_is_told_in_one_short_line(tmp_path: Path, file: str, change: Change) -> None:
    folder = write_plane_boat(tmp_path / "boat")
    text = change((folder / file).read_text(encoding="utf-8"))
    (folder / file).write_text(text, encoding="utf-8")
    result = CliRunner().invoke(main, ["check", str(folder)])
    assert result.exit_code == 1
    assert isinstance(result.exception, SystemExit)
    assert len(result.stderr.splitlines()) == 2
    assert max(map(len, result.stderr.splitlines())) < 700
    assert all(sign.isprintable() for line in result.stderr.splitlines() for sign in line)


@pytest.mark.parametrize("file", ["offsets.csv", "stem.csv", "design.toml"])
@pytest.mark.parametrize("data", [bytes(range(256)) * 50, b"PK\x03\x04" + b"\x00" * 500, b"\xff\xfe\x00\xd8"])
def test_a_binary_file_is_one_problem(tmp_path: Path, file: str, data: bytes) -> None:
    folder = write_plane_boat(tmp_path / "boat")
    (folder / file).write_bytes(data)
    with pytest.raises(DesignError) as caught:
        read_folder(folder)
    (problem,) = caught.value.problems
    assert problem.place.startswith(file)


@pytest.mark.slow
def test_a_list_of_problems_is_cut_and_says_how_many_more_there_are(tmp_path: Path) -> None:
    folder = write_plane_boat(tmp_path / "boat")
    text = (folder / "offsets.csv").read_text(encoding="utf-8")
    (folder / "offsets.csv").write_text(columns(150)(text), encoding="utf-8")
    with pytest.raises(DesignError) as caught:
        read_folder(folder)
    count = len(caught.value.problems)
    assert count > 1_000  # the error keeps them all
    result = CliRunner().invoke(main, ["check", str(folder)])
    assert result.exit_code == 1
    lines = result.stderr.splitlines()
    assert lines[0].startswith(f"{count:,} ")
    assert lines[-1].strip() == f"and {count - 40:,} more"
    assert len(lines) == 42


def test_a_short_list_is_printed_whole() -> None:
    lines = [f"line {i}" for i in range(40)]
    assert list(first_lines(lines)) == lines
    assert list(first_lines([*lines, "one"]))[40:] == ["and 1 more"]


def test_a_folder_whose_name_is_too_long_is_told(tmp_path: Path) -> None:
    result = CliRunner().invoke(main, ["check", str(tmp_path / ("x" * 5_000))])
    assert isinstance(result.exception, SystemExit)
    assert result.exit_code in (1, 2)


@pytest.mark.slow
def test_stations_so_near_that_no_batten_lies_in_them_are_told(tmp_path: Path) -> None:
    """The offsets of two stations 400 mm apart at places 8 mm apart: the faired line would leave the boat."""
    folder = write_plane_boat(tmp_path / "boat")
    text = (folder / "offsets.csv").read_text(encoding="utf-8").replace("2400.000000000", "1808.0")
    (folder / "offsets.csv").write_text(text, encoding="utf-8")
    design = (folder / "design.toml").read_text(encoding="utf-8").replace("straight = true\n", "")
    (folder / "design.toml").write_text(design, encoding="utf-8")
    with pytest.raises(DesignError) as caught:
        load_boat(folder)
    assert "wild-line" in [problem.code for problem in caught.value.problems]


def test_a_keel_that_is_not_straight_where_it_is_declared_so_is_doubted(tmp_path: Path) -> None:
    folder = write_plane_boat(tmp_path / "boat")
    text = first("28.000000000", "8.0")((folder / "offsets.csv").read_text(encoding="utf-8"))
    (folder / "offsets.csv").write_text(text, encoding="utf-8")
    found = [warning for warning in load_boat(folder).warnings if warning.code == "off-straight"]
    assert "offsets.csv, row 6, column E (station 2)" in [warning.place for warning in found]
