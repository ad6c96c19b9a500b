"""A table's file edited in its own dialect: what is not touched keeps its bytes, what is reads as it was typed."""

from __future__ import annotations

import codecs
import csv
import io
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from patterns.run.starter import SORTS, start_folder
from patterns.table.sheet_text import SheetText, SheetTextError, sheet_text
from patterns.table.spreadsheet import read_sheet
from tests.demo import DEMO
from tests.patterns.folders import TABLE

DIALECTS = [
    (mark, codec, newline, separator)
    for mark, codec in (
        (b"", "utf-8"),
        (codecs.BOM_UTF8, "utf-8"),
        (codecs.BOM_UTF16_LE, "utf-16-le"),
        (codecs.BOM_UTF16_BE, "utf-16-be"),
    )
    for newline in ("\n", "\r\n", "\r")
    for separator in (",", ";", "\t")
]
NOTES = '# a comment, with a lone " quote; and signs\n\n'


def in_dialect(text: str, mark: bytes, codec: str, newline: str, separator: str) -> bytes:
    return mark + text.replace(",", separator).replace("\n", newline).encode(codec)


def rows_of(data: bytes, tmp_path: Path) -> dict[int, tuple[str, ...]]:
    """As `check` reads the file."""
    path = tmp_path / "table.csv"
    path.write_bytes(data)
    sheet, problems = read_sheet(path)
    assert not problems
    assert sheet is not None
    return {row.number: row.texts for row in sheet.rows}


@pytest.mark.parametrize(("mark", "codec", "newline", "separator"), DIALECTS)
def test_an_edit_keeps_the_dialect_and_every_other_row(
    tmp_path: Path, mark: bytes, codec: str, newline: str, separator: str
) -> None:
    before = in_dialect(NOTES + TABLE, mark, codec, newline, separator)
    text = sheet_text(before)
    assert text.data == before
    assert text.typed() == rows_of(before, tmp_path)
    # By hand, in bytes: the sheer's height at station 4.
    old, new = "2-0-4+".encode(codec), "2-1-4+".encode(codec)
    row = next(number for number, cells in text.typed().items() if cells[:2] == ("height", "sheer"))
    column = text.typed()[row].index("2-0-4+")
    after = text.with_cells({(row, column): " 2-1-4+ "}).data
    assert before.count(old) == 1
    assert after == before.replace(old, new)


@pytest.mark.parametrize("name", ["demo_design/offsets.csv", "demo_design/stem.csv", *SORTS])
def test_files_that_come_with_the_program_come_back_byte_for_byte(tmp_path: Path, name: str) -> None:
    folder = tmp_path / "new"
    if name in SORTS:
        start_folder(folder, sort=name)
    paths = [DEMO / name.partition("/")[2]] if name not in SORTS else sorted(folder.rglob("*.csv"))
    for path in paths:
        data = path.read_bytes()
        text = sheet_text(data)
        assert text.data == data
        assert text.typed() == rows_of(data, tmp_path)
        assert text.with_cells({}).data == data


CELLS = st.text(st.characters(codec="utf-8", exclude_categories=("Cc", "Cs", "Zl", "Zp")), max_size=12)


@given(words=CELLS, row=st.integers(1, 14), column=st.integers(0, 14), dialect=st.sampled_from(DIALECTS))
def test_whatever_is_typed_is_read_back_or_refused(
    words: str, row: int, column: int, dialect: tuple[bytes, str, str, str]
) -> None:
    """Against the standard library's reader, which knows nothing of comments."""
    text = sheet_text(in_dialect(TABLE, *dialect))
    try:
        after = text.with_cells({(row, column): words})
    except SheetTextError:
        # It would begin a comment, or part the first row otherwise.
        assert words.split()[0].startswith("#") or row == 1
        return
    meant = " ".join(words.split())
    mark, codec, newline, separator = dialect
    plain = after.data[len(mark) :].decode(codec).replace(newline, "\n")
    read = list(csv.reader(io.StringIO(plain, newline=""), delimiter=separator))
    read = [[" ".join(cell.split()) for cell in cells] for cells in read]
    assert (read[row - 1][column] if column < len(read[row - 1]) else "") == meant
    untouched = list(csv.reader(io.StringIO(TABLE)))
    assert [cells for n, cells in enumerate(read, 1) if n != row and cells] == [
        cells for n, cells in enumerate(untouched, 1) if n != row
    ]


def test_a_block_beyond_the_end_adds_rows_and_columns() -> None:
    text = sheet_text(b"block,line,bow,1,stern\nheight,keel,1,2,3\n")
    after = text.with_cells({(1, 5): "more", (3, 0): "height", (3, 5): "9"})
    assert after.data == b"block,line,bow,1,stern,more\nheight,keel,1,2,3\nheight,,,,,9\n"


def test_a_station_more_and_one_less() -> None:
    data = b"# stations: 1, 2\nblock,line,bow,1,stern\nheight,keel,1,2,3\nposition\n"
    more = sheet_text(data).with_column(4, "2", first=2)
    assert more.data == b"# stations: 1, 2\nblock,line,bow,1,2,stern\nheight,keel,1,2,,3\nposition\n"
    assert more.without_column(4).data == data


def test_a_row_more_and_one_less() -> None:
    for data in (b"a,b\nc,d\n", b"a,b\nc,d"):
        more = sheet_text(data).with_row(2, ["x", "y"])
        assert more.data.split(b"\n")[:3] == [b"a,b", b"x,y", b"c,d"]
        assert more.without_row(2).data == data
        assert sheet_text(data).with_row(9, ["x", "y"]).data.split(b"\n")[2] == b"x,y"


def test_letters_that_the_old_code_page_cannot_bring_back_make_a_utf_8_file() -> None:
    """`check` reads the old code page where all that is not ASCII is a dash or a quote."""
    table = "block,line,bow,1,stern\nheight,keel,–,2,3\n"
    data = table.encode("cp1252")
    text = sheet_text(data)
    assert text.with_cells({(2, 3): "5"}).data == data.replace(b"2", b"5")
    assert text.with_cells({(2, 3): "½"}).data == codecs.BOM_UTF8 + table.replace("2", "½").encode()


@pytest.mark.parametrize("data", [b"PK\x03\x04", b"a\0b", b'a,"b\n', b"\xff\xfe\x00", "è".encode("latin-1")])
def test_what_is_no_table_is_refused(data: bytes) -> None:
    with pytest.raises(SheetTextError):
        sheet_text(data)


def test_the_line_that_names_the_separator_stays() -> None:
    data = b"sep=;\r\nblock;line;bow;1;stern\r\nheight;keel;1,5;2;3\r\n"
    text: SheetText = sheet_text(data)
    assert text.typed()[3] == ("height", "keel", "1,5", "2", "3")
    assert text.with_cells({(3, 2): "1,75"}).data == data.replace(b"1,5", b"1,75")
