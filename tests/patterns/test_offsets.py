"""The table of offsets and the stem's points: as spreadsheets save them, and every bad cell told."""
# ruff: noqa: E501 - one fault a line

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from patterns.errors import DesignError
from patterns.measure import Notation, exact_length, format_length
from patterns.table.folder import read_folder
from patterns.table.offsets import (
    Offsets,
    Place,
    TableFiles,
    TableStyle,
    column_letters,
    draft_offsets,
    read_offsets,
)
from tests.patterns.folders import (
    DESIGN,
    STEM,
    TABLE,
    changed,
    codes_of,
    places_of,
    problems_in,
    says,
    write_folder,
)

EIGHTHS = Notation.FEET_INCHES_EIGHTHS
INCH = 25.4


def read(folder: Path, table: str | bytes = TABLE, *, notation: Notation = EIGHTHS) -> Offsets:
    write_folder(folder, table=table)
    return read_offsets(folder / "offsets.csv", notation=notation, stem=folder / "stem.csv")


def same(one: Offsets, other: Offsets) -> bool:
    """Whether two tables hold the same lengths, wherever their cells stand."""
    return (
        one.stations == other.stations
        and np.array_equal(one.station_x, other.station_x)
        and list(one.lines) == list(other.lines)
        and all(
            np.array_equal(getattr(one.lines[name], axis), getattr(other.lines[name], axis), equal_nan=True)
            for name in one.lines
            for axis in "xyz"
        )
    )


def test_the_table_comes_out_in_mm_with_its_places(tmp_path: Path) -> None:
    offsets = read(tmp_path)
    assert offsets.stations == ("1", "2", "3", "4", "5", "6")
    np.testing.assert_allclose(offsets.station_x, np.array([12, 36, 60, 84, 108, 132]) * INCH)
    assert list(offsets.lines) == ["keel", "chine", "sheer"]
    sheer = offsets.lines["sheer"]
    assert sheer.labels == ("bow", "1", "2", "3", "4", "5", "6", "stern")
    assert sheer.x[0] == pytest.approx(1.6875 * INCH)
    assert sheer.x[-1] == pytest.approx((13 * 12 + 5 + 9 / 16) * INCH)
    assert sheer.z[2] == pytest.approx(28.5 * INCH)
    assert sheer.y[2] == pytest.approx((17 + 11 / 16) * INCH)
    assert str(sheer.z_places[2]) == "offsets.csv, row 8, column E (station 2)"
    assert str(sheer.x_places[-1]) == "offsets.csv, row 5, column J (stern)"
    keel = offsets.lines["keel"]
    assert np.isnan(keel.x[0])
    assert np.isnan(keel.z[:2]).all()
    assert not keel.complete[:2].any()
    assert keel.complete[2:].all()


def test_the_stem_comes_out_head_first_whichever_way_it_was_written(tmp_path: Path) -> None:
    stem = read(tmp_path).stem
    assert stem is not None
    assert stem.measured == ("aft",) * 6 + ("height",) * 3
    assert stem.x[0] == pytest.approx(1.6875 * INCH)
    assert stem.z[-1] == pytest.approx(4.625 * INCH)
    assert str(stem.places[0]) == "stem.csv, row 2, column C (aft)"
    assert str(stem.places[-1]) == "stem.csv, row 10, column B (height)"
    head, *rows = STEM.splitlines()
    upward = "\n".join([head, *reversed(rows)])
    write_folder(tmp_path, stem=upward)
    other = read_offsets(tmp_path / "offsets.csv", notation=EIGHTHS, stem=tmp_path / "stem.csv").stem
    assert other is not None
    np.testing.assert_array_equal(other.x, stem.x)
    assert other.places[0].row == 10


def test_a_stem_may_have_its_columns_in_any_order_and_mark_knuckles(tmp_path: Path) -> None:
    stem = "height,knuckle,aft,measured\n2-9-5,,0-1-5,aft\n1-0-0,yes,0-9-0,aft\n0-6-0,no,2-0-0,height\n"
    write_folder(tmp_path, stem=stem)
    points = read_offsets(tmp_path / "offsets.csv", notation=EIGHTHS, stem=tmp_path / "stem.csv").stem
    assert points is not None
    assert points.knuckle == (False, True, False)
    np.testing.assert_allclose(points.z, np.array([33.625, 12, 6]) * INCH)


def semicolons(text: str) -> str:
    return text.replace(",", ";")


def quoted(text: str) -> str:
    return "\n".join(",".join(f'"{cell}"' for cell in line.split(",")) for line in text.splitlines())


def commented(text: str) -> str:
    head, *rows = text.splitlines()
    return "\n".join(['# the boat\'s 5" keel, "odd quotes', "", head, ",,,,", "# half way", *rows, "", ""])


def ragged(text: str) -> str:
    return "\n".join(line.rstrip(",") for line in text.splitlines()) + "\n,,,,,,,,,,,,\n"


def spaced(text: str) -> str:
    """Spaces for dashes in the cells, so that no spreadsheet takes them for dates."""
    rows = [line.split(",") for line in text.splitlines()]
    return "\n".join(",".join([*row[:2], *(cell.replace("-", " ") for cell in row[2:])]) for row in rows)


def dashed(text: str) -> str:
    """A dash in each empty cell of the blocks of offsets."""
    rows = [line.split(",") for line in text.splitlines()]
    return "\n".join(
        ",".join([*row[:2], *(cell or "–" for cell in row[2:])])
        if row[1] and row[0] != "block"
        else ",".join(row)
        for row in rows
    )


@pytest.mark.parametrize(
    "data",
    [
        semicolons(TABLE).encode(),
        TABLE.replace(",", "\t").encode(),
        ("sep=;\n" + semicolons(TABLE)).encode(),
        quoted(TABLE).encode(),
        commented(TABLE).encode(),
        ragged(TABLE).encode(),
        spaced(TABLE).encode(),
        dashed(TABLE).encode(),
        dashed(TABLE).encode("cp1252"),
        TABLE.replace("\n", "\r\n").encode("utf-8-sig"),
        TABLE.replace("\n", "\r").encode(),
        TABLE.replace(",", "\t").encode("utf-16"),
        TABLE.replace(",1,2,3,4,5,6,", ",station 1,Station 2,3,4,5,6,").replace("bow", "Bow").encode(),
        TABLE.replace("height", "Heights").replace("half-breadth", "Half breadths").encode(),
    ],
    ids=[
        "semicolons",
        "tabs",
        "sep line",
        "quoted",
        "comments and blank rows",
        "ragged",
        "spaces for dashes",
        "dashes for empty",
        "dashes in cp1252",
        "BOM and CRLF",
        "lone CR",
        "UTF-16 with tabs",
        "headings spelled out",
        "blocks spelled out",
    ],
)
def test_every_way_of_saving_gives_the_same_table(tmp_path: Path, data: bytes) -> None:
    plain = read(tmp_path)
    assert same(read(tmp_path, data), plain)


def test_rows_are_counted_as_a_spreadsheet_counts_them(tmp_path: Path) -> None:
    """Two lines above the first row and two below it: row 8 becomes row 12."""
    offsets = read(tmp_path, commented(TABLE))
    place = offsets.lines["sheer"].z_places[2]
    assert place is not None
    assert place.row == 12


def in_millimetres(text: str, sign: str = ".") -> str:
    """The same table in mm."""

    def cell(words: str) -> str:
        mm = float(exact_length(words, notation=EIGHTHS))
        return f"{mm:.4f}".rstrip("0").rstrip(".").replace(".", sign)

    rows = [line.split(",") for line in text.splitlines()]
    return "\n".join(
        ";".join(
            row if row[0] == "block" else [*row[:2], *(cell(words) if words else "" for words in row[2:])]
        )
        for row in rows
    )


@pytest.mark.parametrize("sign", [".", ","])
def test_a_metric_table_with_points_or_decimal_commas(tmp_path: Path, sign: str) -> None:
    plain = read(tmp_path)
    write_folder(tmp_path, table=in_millimetres(TABLE, sign))
    metric = read_offsets(tmp_path / "offsets.csv", notation=Notation.MM)
    assert same(metric, plain)


def test_heights_down_and_full_breadths_are_turned_to_up_and_half(tmp_path: Path) -> None:
    plain = read(tmp_path)
    rows = []
    for line in TABLE.splitlines():
        cells = line.split(",")
        if cells[0] == "height":
            cells[2:] = [f"-{cell}" if cell else "" for cell in cells[2:]]
        if cells[0] == "half-breadth":
            cells[0] = "breadth"
            cells[2:] = [
                format_length(2 * float(exact_length(cell, notation=EIGHTHS)), EIGHTHS) if cell else ""
                for cell in cells[2:]
            ]
        rows.append(",".join(cells))
    write_folder(tmp_path, table="\n".join(rows))
    turned = read_offsets(
        tmp_path / "offsets.csv", notation=EIGHTHS, heights="down from set-up line", breadths="full"
    )
    assert same(turned, plain)


def test_every_value_of_the_table_is_written_back_as_it_was_typed(tmp_path: Path) -> None:
    offsets = read(tmp_path)
    rows = {(row[0], row[1]): row[2:] for row in (line.split(",") for line in TABLE.splitlines()[1:])}
    for name, line in offsets.lines.items():
        for block, values in (("height", line.z), ("half-breadth", line.y)):
            back = ["" if np.isnan(value) else format_length(float(value), EIGHTHS) for value in values]
            assert back == rows[block, name]


def test_an_end_that_all_lines_share_may_stand_in_the_stations_row(tmp_path: Path) -> None:
    table = changed(TABLE, "11-0-0,\n", "11-0-0,13-1-0\n")
    table = changed(table, "13-1-0+", "")
    offsets = read(tmp_path, table)
    assert offsets.lines["keel"].x[-1] == pytest.approx(157 * INCH)
    assert offsets.lines["sheer"].x[-1] == pytest.approx(161.5625 * INCH)


@pytest.mark.parametrize(("column", "letters"), [(0, "A"), (25, "Z"), (26, "AA"), (701, "ZZ"), (702, "AAA")])
def test_columns_have_a_spreadsheets_letters(column: int, letters: str) -> None:
    assert column_letters(column) == letters


ROW_8 = "height,sheer,2-9-5+,2-7-7+,2-4-4,2-2-0+"
BAD_CELLS = [
    ("02/04/2004", "cell-is-date", ""),
    ("2/4/4", "cell-is-date", ""),
    ("04.04.2002", "cell-is-date", ""),
    ("04-Feb", "cell-is-date", ""),
    ("4. Feb", "cell-is-date", ""),
    ("Feb-04", "cell-is-date", ""),
    ("2002-04-04 00:00:00", "cell-is-date", ""),
    ("=2-4-4", "cell-is-formula", ""),
    ("+2-4-4", "cell-is-formula", ""),
    ("#NAME?", "cell-is-formula", ""),
    ("#VALUE!", "cell-is-formula", ""),
    ("########", "cell-too-narrow", ""),
    ("3.7E+04", "cell-rounded", ""),
    ("37659", "length-unreadable", ""),
    ("244", "length-unreadable", "2-0-4"),
    ("2-14-4", "length-unreadable", "14"),
    ("2-4-8", "length-unreadable", "8"),
    ("2-4-11+", "length-unreadable", ""),  # no date ends in a sign
    ("2-4-4 ?", "length-unreadable", ""),
    ("abc", "length-unreadable", ""),
    ("2-4", "length-unreadable", ""),
    ("cell", "length-unreadable", ""),
]


@pytest.mark.slow
@pytest.mark.parametrize(("cell", "code", "value"), BAD_CELLS, ids=[cell for cell, _, _ in BAD_CELLS])
def test_a_bad_cell_is_reported_with_its_place_and_what_is_wrong(
    tmp_path: Path, cell: str, code: str, value: str
) -> None:
    table = changed(TABLE, ROW_8, f"height,sheer,2-9-5+,2-7-7+,{cell},2-2-0+")
    [problem] = problems_in(write_folder(tmp_path, table=table))
    assert places_of([problem]) == [("offsets.csv, row 8, column E (station 2)", code)]
    assert cell in problem.what
    assert value in problem.what
    assert problem.want


def test_all_bad_cells_are_told_at_once_those_of_the_stem_too(tmp_path: Path) -> None:
    table = changed(TABLE, "2-4-4", "2-4-8")
    table = changed(table, "1-10-0", "1-10-O")
    table = changed(table, "9-0-0", "9-0")
    stem = changed(STEM, "0-7-3", "7 3/8")
    problems = problems_in(write_folder(tmp_path, table=table, stem=stem))
    assert set(codes_of(problems)) == {"length-unreadable"}
    assert [problem.place for problem in problems] == [
        "offsets.csv, row 2, column H (station 5)",
        "offsets.csv, row 8, column E (station 2)",
        "offsets.csv, row 10, column H (station 5)",
        "stem.csv, row 5, column C (aft)",
    ]


def test_a_date_in_a_table_of_millimetres_is_not_told_of_eighths(tmp_path: Path) -> None:
    table = in_millimetres(TABLE, ".").replace("304.8", "30.4.2008", 1)
    write_folder(tmp_path, table=table)
    [problem] = draft_offsets(
        TableFiles(table=tmp_path / "offsets.csv"), TableStyle(notation=Notation.MM)
    ).problems
    assert problem.code == "cell-is-date"
    assert "2 7 3" not in problem.want


def test_the_lines_names_may_be_written_with_capitals_and_more_spaces(tmp_path: Path) -> None:
    plain = read_folder(write_folder(tmp_path))[1]
    table = changed(TABLE, "position,chine", "position,  Chine")
    table = changed(table, "height,sheer", "height,SHEER")
    found = read_folder(write_folder(tmp_path, table=table))[1]
    assert list(found.lines) == list(plain.lines)
    for name, line in plain.lines.items():
        for one, other in zip(
            (line.x, line.y, line.z),
            (found.lines[name].x, found.lines[name].y, found.lines[name].z),
            strict=True,
        ):
            assert np.array_equal(one, other, equal_nan=True)


STATIONS_ROW = "position,,,1-0-0,3-0-0,5-0-0,7-0-0,9-0-0,11-0-0,\n"
BAD_TABLES = [
    (STATIONS_ROW, "", "offsets.csv", "missing-row"),
    ("5-0-0,7-0-0", "5-0-0,4-0-0", "offsets.csv, row 2, column G (station 4)", "stations-order"),
    ("5-0-0,7-0-0", "5-0-0,5-0-0", "offsets.csv, row 2, column G (station 4)", "stations-order"),
    ("5-0-0,7-0-0", "5-0-0,", "offsets.csv, row 2, column G (station 4)", "missing-cell"),
    ("1-0-0,3-0-0,5-0-0,7-0-0,9-0-0,11-0-0", ",,,,,", "offsets.csv, row 2", "missing-cells"),
    ("1-5-5+,1-11-6+", "-1-5-5+,1-11-6+", "offsets.csv, row 11, column E (station 2)", "negative-breadth"),
    ("bow,1,2,3", "bow,1,2,2", "offsets.csv, row 1, column F", "heading-twice"),
    ("bow,1,2,3", "bow,1,,3", "offsets.csv, row 1, column E", "column-without-heading"),
    ("bow,1", "1,bow", "offsets.csv, row 1", "end-column-misplaced"),
    (",6,stern", ",6,7", "offsets.csv, row 1", "column-missing"),
    ("block,line", "block,name", "offsets.csv, row 1", "first-row-headings"),
    ("half-breadth,keel", "half-bredth,keel", "offsets.csv, row 9", "unknown-block"),
    ("half-breadth,keel", "breadth,keel", "offsets.csv, row 9", "breadths-kind"),
    ("half-breadth,keel", ",keel", "offsets.csv, row 9", "unknown-block"),
    ("height,keel", "height,", "offsets.csv, row 6", "row-without-line"),
    ("half-breadth,chine", "half-breadth,sheer", "offsets.csv, row 11", "row-twice"),
    ("position,keel,,,", "position,keel,,1-0-0,", "offsets.csv, row 3, column D (station 1)", "position-not-at-end"),
    ("0-0-6\nhalf-breadth,chine", "0-0-6,1-1-1\nhalf-breadth,chine", "offsets.csv, row 9, column K", "cell-beyond-headings"),
    ("2-7-7+", '"2-7-7+', "offsets.csv, row 8", "quote-not-closed"),
]  # fmt: skip


@pytest.mark.slow
@pytest.mark.parametrize(
    ("old", "new", "place", "code"), BAD_TABLES, ids=[f"{bad[3]} {bad[1]}" for bad in BAD_TABLES]
)
def test_a_bad_table_is_reported_with_its_place(
    tmp_path: Path, old: str, new: str, place: str, code: str
) -> None:
    write_folder(tmp_path, table=changed(TABLE, old, new))
    draft = draft_offsets(TableFiles(table=tmp_path / "offsets.csv"), TableStyle(notation=EIGHTHS))
    assert (place, code) in places_of(draft.problems)
    with pytest.raises(DesignError):
        read_folder(tmp_path)


BAD_FILES = [
    (b"PK\x03\x04 a workbook", "offsets.csv", "not-csv"),
    (b"", "offsets.csv", "missing-rows"),
    (b"# only a remark\n,,,\n", "offsets.csv", "missing-rows"),
    (TABLE.replace("chine", "büge").encode("latin-1"), "offsets.csv, row 4", "not-utf-8"),
    (b"block\0line", "offsets.csv", "not-csv"),
]


@pytest.mark.parametrize(("data", "place", "code"), BAD_FILES)
def test_a_file_that_is_no_table_is_refused(tmp_path: Path, data: bytes, place: str, code: str) -> None:
    [problem] = problems_in(write_folder(tmp_path, table=data))
    assert places_of([problem]) == [(place, code)]
    assert "CSV UTF-8" in problem.want or code == "missing-rows"


def test_a_table_that_is_not_there_is_named(tmp_path: Path) -> None:
    write_folder(tmp_path)
    (tmp_path / "offsets.csv").unlink()
    (tmp_path / "stem.csv").unlink()
    assert places_of(problems_in(tmp_path)) == [
        ("offsets.csv", "missing-file"),
        ("stem.csv", "missing-file"),
    ]


BAD_STEMS = [
    ("measured,height", "measure,height", "row 1, column A", "unknown-heading"),
    ("measured,height", "measure,height", "row 1", "column-missing"),
    ("measured,height,aft", "measured,height", "row 1", "column-missing"),
    ("aft,2-4-0", "off,2-4-0", "row 3, column A (measured)", "invalid-choice"),
    ("aft,2-4-0", "aft,", "row 3, column B (height)", "missing-cell"),
    ("aft,2-4-0", "aft,2-14-0", "row 3, column B (height)", "length-unreadable"),
    ("0-2-3,", "0-2-3,perhaps", "row 3, column D (knuckle)", "invalid-choice"),
    ("aft,2-4-0", "aft,2-10-0", "row 3, column B (height)", "stem-points-order"),
    ("height,0-4-5,2-6-0", "height,0-5-5,2-0-0", "row 10, column B (height)", "stem-points-order"),
]


@pytest.mark.parametrize(("old", "new", "place", "code"), BAD_STEMS)
def test_a_bad_row_of_the_stem_is_reported(tmp_path: Path, old: str, new: str, place: str, code: str) -> None:
    problems = problems_in(write_folder(tmp_path, stem=changed(STEM, old, new)))
    assert (f"stem.csv, {place}", code) in places_of(problems)


@pytest.mark.parametrize("new", ["aft,0-10-1", "aft,2-10-0"])
def test_of_a_stems_points_the_one_out_of_order_is_blamed(tmp_path: Path, new: str) -> None:
    """Its neighbours, which are right, are not."""
    problems = problems_in(write_folder(tmp_path, stem=changed(STEM, "aft,1-10-0", new)))
    assert places_of(problems) == [("stem.csv, row 4, column B (height)", "stem-points-order")]


def test_two_points_are_no_stem(tmp_path: Path) -> None:
    [problem] = problems_in(write_folder(tmp_path, stem="\n".join(STEM.splitlines()[:3])))
    assert places_of([problem]) == [("stem.csv", "missing-points")]


def test_points_beside_decimal_commas_are_refused(tmp_path: Path) -> None:
    table = in_millimetres(TABLE, ",").replace("304,8;", "304.8;")
    write_folder(tmp_path, table=table)
    draft = draft_offsets(TableFiles(table=tmp_path / "offsets.csv"), TableStyle(notation=Notation.MM))
    assert places_of(draft.problems) == [("offsets.csv, row 2, column D (station 1)", "decimal-signs-mixed")]
    assert says(draft.problems[0], '"304.8"')


def test_a_place_without_a_heading() -> None:
    assert str(Place(file="offsets.csv", row=7, column=5)) == "offsets.csv, row 7, column F"


def test_a_folder_tells_the_problems_of_design_and_table_together(tmp_path: Path) -> None:
    design = changed(DESIGN, 'crown = "2 in"', "crown = 2")
    table = changed(TABLE, "2-4-4", "2-4-8")
    problems = problems_in(write_folder(tmp_path, design=design, table=table))
    assert [problem.place for problem in problems] == [
        "design.toml, [deck], key crown",
        "offsets.csv, row 8, column E (station 2)",
    ]
