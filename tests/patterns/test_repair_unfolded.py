"""An edge that folds back, points without a place, figures in another unit: what is at fault is named."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest

from patterns.errors import DesignError, Problem
from patterns.repair.repair import load_repair
from tests.patterns.folders import codes_of, says
from tests.patterns.repair_boats import (
    NAILS,
    Method,
    by_half_breadth,
    by_nails,
    by_plumb,
    by_two_nails,
    rows,
    section,
    to_mm,
    write_repair,
)

A, B, C, LIES = 5, 6, 7, 8
MANY = (8, 8)


def _at(point: int) -> np.ndarray:
    """The true place of a point of `rows`: 1 to 8 on the bottom, 8 to 15 on the side."""
    edge, share = ("bottom", (point - 1) / 7) if point <= 8 else ("side", (point - 8) / 7)
    return section(0.0, edge, share)


def _refused(folder: Path, text: str) -> tuple[Problem, ...]:
    with pytest.raises(DesignError) as caught:
        load_repair(write_repair(folder, text))
    return caught.value.problems


def _changed(text: str, point: int, change: dict[int, str]) -> str:
    lines = text.splitlines()
    i = next(i for i, line in enumerate(lines) if line.startswith("starboard,") and f",{point}," in line[:22])
    cells = lines[i].split(",")
    for column, value in change.items():
        cells[column] = value
    return "\n".join([*lines[:i], ",".join(cells), *lines[i + 1 :]])


@pytest.mark.slow
@pytest.mark.parametrize(
    ("method", "point", "column", "more"),
    [
        (by_two_nails, 5, B, 100),
        (by_two_nails, 6, A, -200),
        (by_two_nails, 12, A, -100),
        (by_two_nails, 8, A, 150),
        (by_nails, 5, B, 100),
        (by_nails, 10, B, 200),
    ],
)
def test_the_wrong_distance_is_named_with_what_it_would_have_to_be(
    tmp_path: Path, method: object, point: int, column: int, more: int
) -> None:
    """Two circles about the nails meet at the point: the true distance is the closed form."""
    name = "AB"[column - A]
    true = float(np.hypot(*(_at(point) - np.array(NAILS[name]))))
    text = rows(method, say=to_mm, many=MANY)  # type: ignore[arg-type]
    folder = write_repair(tmp_path, _changed(text, point, {column: f"{round(true) + more} mm"}))
    try:
        said = [str(doubt) for doubt in load_repair(folder).doubts]
    except DesignError as error:
        said = [str(problem) for problem in error.problems]
    words = rf"column {'FGH'[column - A]} .*distance from S{name}.*would have to be about [^(]*\((\d+) mm\)"
    found = [float(match[1]) for line in said if (match := re.search(words, line))]
    found += [
        float(match[1])
        for line in said
        if (match := re.search(rf"[(]?(\d+) mm\) from S{name} would agree", line))
    ]
    assert found, said
    assert found[0] == pytest.approx(true, abs=8.0)


def test_two_distances_that_do_not_meet_are_told_apart(tmp_path: Path) -> None:
    text = rows(by_two_nails, say=to_mm, many=MANY)
    true = float(np.hypot(*(_at(11) - np.array(NAILS["B"]))))
    found = _refused(tmp_path, _changed(text, 11, {B: f"{round(true) + 400} mm"}))
    assert codes_of(found) == ["distances-do-not-meet", "edge-explained"]
    assert "column G " in found[1].place
    value = re.search(r"distance from SB.*would have to be about [^(]*\((\d+) mm\)", found[1].what)
    assert value is not None, found
    assert float(value[1]) == pytest.approx(true, abs=8.0)


def test_the_wrong_side_of_the_nails_is_named(tmp_path: Path) -> None:
    found = _refused(tmp_path, _changed(rows(by_two_nails, say=to_mm, many=MANY), 6, {LIES: "inboard"}))
    (explained,) = (problem for problem in found if problem.code == "edge-explained")
    assert says(explained, "point 6 ", "outboard", "inboard")


def test_two_rows_exchanged_are_named(tmp_path: Path) -> None:
    lines = rows(by_two_nails, say=to_mm, many=MANY).splitlines()
    i = next(i for i, line in enumerate(lines) if line.startswith("starboard,side,11,"))
    lines[i], lines[i + 1] = lines[i + 1], lines[i]
    found = _refused(tmp_path, "\n".join(lines))
    (explained,) = (problem for problem in found if problem.code == "edge-explained")
    assert says(explained, "rows of points 11 and 12", "exchanged")


@pytest.mark.slow
def test_two_slips_that_fold_the_edge_are_both_named(tmp_path: Path) -> None:
    text = rows(by_two_nails, say=to_mm, many=MANY)
    for point, column in ((4, B), (12, A)):
        true = float(np.hypot(*(_at(point) - np.array(NAILS["AB"[column - A]]))))
        text = _changed(text, point, {column: f"{round(true) + (100 if column == B else -100)} mm"})
    found = _refused(tmp_path, text)
    assert codes_of(found) == ["edge-folds-back", "edge-explained", "edge-explained"]
    assert sorted(int(str(one.place).split("row ")[1].split(",")[0]) for one in found[1:]) == [20, 28]


def _in_inches(text: str, chosen: str) -> str:
    """The same lengths in inches to a sixteenth as plain figures, in the rows that begin so."""
    out = []
    for line in text.splitlines():
        cells = line.split(",")
        if line.startswith(chosen) and line != text.splitlines()[0]:
            cells[A : A + 3] = [
                f"{round(float(cell.removesuffix(' mm')) / 25.4 * 16) / 16:g}" if cell else ""
                for cell in cells[A : A + 3]
            ]
        out.append(",".join(cell.removesuffix(" mm") for cell in cells))
    return "\n".join(out)


@pytest.mark.parametrize(
    ("method", "chosen", "scope"),
    [
        (by_half_breadth, "", "all points"),
        (by_two_nails, "", "all points"),
        (by_plumb, "starboard", "the starboard side"),
        (by_plumb, "starboard,side,12", "point 12"),
        (by_nails, "port,bottom,4", "point 4"),
    ],
)
def test_figures_in_inches_where_the_file_says_mm_are_named(
    tmp_path: Path, method: Method, chosen: str, scope: str
) -> None:
    """The closed form: 1 in is 25.4 mm, so the same point in both."""
    text = _in_inches(rows(method, say=to_mm, many=MANY), chosen)
    folder = write_repair(tmp_path, text, notation="mm")
    try:
        found = load_repair(folder).doubts
    except DesignError as error:
        found = tuple(one for one in error.problems if one.code == "edge-explained") or error.problems
    (cause,) = found
    assert cause.code in ("units-suspect", "edge-explained")
    assert says(cause, "look like inches", scope)


@pytest.mark.parametrize("method", [by_half_breadth, by_nails])
def test_sound_figures_are_not_thought_to_be_of_another_unit(tmp_path: Path, method: Method) -> None:
    text = rows(method, say=to_mm, many=MANY)
    for notation in ("mm", "inches"):
        own = _in_inches(text, "" if notation == "inches" else "nothing")
        assert not load_repair(write_repair(tmp_path, own, notation=notation)).doubts
