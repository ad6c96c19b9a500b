"""The book writer, read back: nothing of a table is lost over its pages, all words stand within the page."""

from __future__ import annotations

import io
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pypdf import PdfReader, PdfWriter
from pypdf.generic import DecodedStreamObject, NameObject

from tests.tiling.readback import Said, Sheet, read
from tiling.books.book import Book, Cover
from tiling.books.table_columns import BookRow, Column
from tiling.drawing import Disc, Drawing, Note, Stroke
from tiling.drawing import Path as Line
from tiling.paper import PAPERS, Page
from tiling.proof import prove
from tiling.text.typeface import size_for, text_width

COVER = Cover(title="Test Boat", subject="book", mark="ABCDE", creator="test")


def written(fill: object, *, paper: str = "a4") -> bytes:
    stream = io.BytesIO()
    book = Book(stream, COVER, Page(paper=PAPERS[paper]))
    fill(book)  # type: ignore[operator]
    book.finish()
    return stream.getvalue()


def pages(data: bytes, folder: Path) -> list[Sheet]:
    path = folder / "book.pdf"
    path.write_bytes(data)
    return read(path)


def width(said: Said) -> float:
    return text_width(said.text, said.size / size_for(1.0))


def within(sheets: list[Sheet]) -> bool:
    return all(
        said.at[0] > 0.0 and said.at[0] + width(said) < sheet.width and 0.0 < said.at[1] < sheet.height
        for sheet in sheets
        for said in sheet.said
    )


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_a_long_table_is_whole_and_its_heading_stands_on_every_page(paper: str, tmp_path: Path) -> None:
    rows = [BookRow(title="frame 3")] + [BookRow(cells=(f"row {i}", f"{i * 1.5:.1f}")) for i in range(150)]

    def fill(book: Book) -> None:
        book.chapter("Bevels")
        book.table([Column(head="place here"), Column(head="angle", align="right")], rows)

    sheets = pages(written(fill, paper=paper), tmp_path)
    assert len(sheets) > 2
    said = [word.text for sheet in sheets for word in sheet.said]
    assert [text for text in said if text.startswith("row ")] == [f"row {i}" for i in range(150)]
    assert [text for text in said if text in {f"{i * 1.5:.1f}" for i in range(150)}] == [
        f"{i * 1.5:.1f}" for i in range(150)
    ]
    for number, sheet in enumerate(sheets):
        words = [word.text for word in sheet.said]
        assert "place here" in words
        assert ("frame 3" if number == 0 else "frame 3 (continued)") in words
        assert f"page {number + 1} of {len(sheets)}" in words
        # No row runs into the line of words at the foot.
        foot = min(word.at[1] for word in sheet.said)
        assert min(w.at[1] for w in sheet.said if w.at[1] > foot + 0.1) > foot + 5.0
    assert within(sheets)


def test_a_few_rows_stay_with_their_title(tmp_path: Path) -> None:
    """Sections of 4 rows are never parted over two pages."""
    rows = []
    for i in range(40):
        rows += [BookRow(title=f"piece {i}"), *(BookRow(cells=(f"{i}.{k}",)) for k in range(4))]
    sheets = pages(written(lambda book: (book.chapter("C"), book.table([Column(head="x")], rows))), tmp_path)
    assert len(sheets) > 3
    for sheet in sheets:
        said = [word.text for word in sheet.said]
        for i in range(40):
            held = [f"{i}.{k}" in said for k in range(4)]
            assert all(held) == any(held) == (f"piece {i}" in said)


def test_figures_stand_flush_right(tmp_path: Path) -> None:
    rows = [BookRow(cells=("a", text)) for text in ("1.5", "1000.5", "-20.25")]
    sheets = pages(
        written(
            lambda book: (
                book.chapter("C"),
                book.table([Column(head="x"), Column(head="mm", align="right")], rows),
            )
        ),
        tmp_path,
    )
    ends = [s.at[0] + width(s) for s in sheets[0].said if s.text in ("mm", "1.5", "1000.5", "-20.25")]
    assert len(ends) == 4
    assert np.ptp(ends) < 0.01


@settings(max_examples=10)
@given(
    st.lists(st.tuples(*[st.text(st.characters(codec="ascii"), max_size=60)] * 3), min_size=1, max_size=30)
)
def test_no_cell_reaches_into_the_next_column(cells: list[tuple[str, str, str]]) -> None:
    """Words of any length are broken or elided: on one base line no two overlap, and none leaves the page."""
    import tempfile

    columns = [
        Column(head="one", wraps=True),
        Column(head="two", wraps=True),
        Column(head="three", wraps=True),
    ]
    data = written(lambda book: (book.chapter("C"), book.table(columns, [BookRow(cells=c) for c in cells])))
    with tempfile.TemporaryDirectory() as folder:
        sheets = pages(data, Path(folder))
    assert within(sheets)
    for sheet in sheets:
        lines: dict[float, list[tuple[float, float]]] = {}
        for said in sheet.said:
            if said.text.strip():
                lines.setdefault(round(said.at[1], 2), []).append((said.at[0], said.at[0] + width(said)))
        for line in lines.values():
            line.sort()
            assert all(b[0] > a[1] for a, b in pairwise(line))


def test_a_broad_table_is_parted_with_its_first_column_before_each_part(tmp_path: Path) -> None:
    heads = [f"station {i}" for i in range(25)]
    rows = [BookRow(cells=("keel", *(f"10-11-{i}+" for i in range(25))))]
    columns = [Column(head="line"), *(Column(head=head, align="right") for head in heads)]
    sheets = pages(written(lambda book: (book.chapter("C"), book.table(columns, rows))), tmp_path)
    said = [word.text for sheet in sheets for word in sheet.said]
    assert [text for text in said if text in heads] == heads
    assert [text for text in said if text.startswith("10-11-")] == [f"10-11-{i}+" for i in range(25)]
    assert said.count("keel") == said.count("line") > 1
    assert within(sheets)


def test_a_picture_keeps_its_scale_and_one_too_large_is_drawn_smaller(tmp_path: Path) -> None:
    def drawing(wide: float) -> Drawing:
        line = Line(points=np.array([[0.0, 0.0], [wide, 30.0]]), stroke=Stroke(width=0.7))
        return Drawing(
            paths=(line,),
            discs=(Disc(centre=(0.0, 0.0), radius=1.0),),
            notes=(Note(text="end", target=(wide, 30.0), towards=(-1.0, 0.0)),),
        )

    for wide, wanted in ((100.0, 100.0), (2000.0, None)):
        sheets = pages(written(lambda book, w=wide: (book.chapter("C"), book.picture(drawing(w)))), tmp_path)
        run = next(line.points for line in sheets[0].lines if abs(line.width - 0.7) < 1e-6)
        size = run[1] - run[0]
        assert size[1] / size[0] == pytest.approx(30.0 / wide, abs=1e-3)
        if wanted is not None:
            assert size[0] == pytest.approx(wanted, abs=0.002)
        assert within(sheets)
        assert run[:, 0].min() > 0.0
        assert run[:, 0].max() < sheets[0].width


def test_equal_books_are_equal_bytes_and_the_outline_leads_to_the_chapters() -> None:
    def fill(book: Book) -> None:
        for name in ("Lines", "Offsets"):
            book.chapter(name, words="Some words. " * 40)
            book.heading("Heights")
            book.table([Column(head="a")], [BookRow(cells=("x",))] * 80)

    data = written(fill)
    assert data == written(fill)
    reader = PdfReader(io.BytesIO(data))
    chapters = [entry for entry in reader.outline if not isinstance(entry, list)]
    assert [entry.title for entry in chapters] == ["Lines", "Offsets"]
    for entry in chapters:
        number = reader.get_destination_page_number(entry)
        assert reader.pages[number].extract_text().startswith(entry.title)


def test_a_book_is_proved_by_its_own_record(tmp_path: Path) -> None:
    """Pages without rulers too: a figure exchanged is found."""

    def fill(book: Book) -> None:
        book.chapter("Offsets")
        book.table([Column(head="row"), Column(head="mm", align="right")], [BookRow(cells=("keel", "117.5"))])

    path = tmp_path / "book.pdf"
    path.write_bytes(written(fill))
    assert prove(path).findings == []
    writer = PdfWriter(clone_from=path)
    content = DecodedStreamObject()
    before = writer.pages[0].get_contents()
    assert before is not None
    content.set_data(before.get_data().replace(b"(117.5)", b"(171.5)"))
    writer.pages[0][NameObject("/Contents")] = writer._add_object(content)
    writer.write(path)
    assert any("117.5" in finding for finding in prove(path).findings)
