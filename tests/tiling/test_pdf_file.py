"""The file itself: sizes, how it asks to be printed, its font and names; equal input gives equal bytes."""

from __future__ import annotations

import hashlib
import io
import re
import tracemalloc
from pathlib import Path
from typing import BinaryIO

import pypdfium2 as pdfium
import pytest
from pypdf import PdfReader

from tests.tiling.readback import read
from tests.tiling.rendering import blank_edge
from tests.tiling.samples import plate, small_job
from tiling.job import write_pdf
from tiling.paper import Page, parse_paper
from tiling.pdf.pdf_file import LABELS, Entry, Link, PdfFile
from tiling.text.lines import plain

# ISO 216:2007 for A sizes (mm); ASME Y14.1 sizes A and B, and legal as common practice (in).  A point is 1/72 in.
SIZES = {
    "A5": (148 / 25.4 * 72, 210 / 25.4 * 72),
    "A4": (595.2756, 841.8898),
    "A3": (841.8898, 1190.5512),
    "A2": (420 / 25.4 * 72, 594 / 25.4 * 72),
    "letter": (612.0, 792.0),
    "legal": (612.0, 1008.0),
    "tabloid": (792.0, 1224.0),
}


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("pdf") / "job.pdf"
    write_pdf(small_job(), path)
    return path


@pytest.mark.slow
@pytest.mark.parametrize(("name", "size"), SIZES.items())
@pytest.mark.parametrize("landscape", [False, True])
def test_every_page_has_exactly_the_papers_size(
    tmp_path: Path, name: str, size: tuple[float, float], landscape: bool
) -> None:
    path = tmp_path / "size.pdf"
    page = Page(paper=parse_paper(name), landscape=landscape)
    write_pdf(small_job(page=page, pieces=(plate(),)), path)
    wanted = size[::-1] if landscape else size
    for page_found in PdfReader(path).pages:
        box = [float(v) for v in page_found.mediabox]
        assert box[:2] == [0.0, 0.0]
        assert box[2:] == pytest.approx(wanted, abs=0.0005)


def test_letter_is_whole_points(tmp_path: Path) -> None:
    path = tmp_path / "letter.pdf"
    write_pdf(small_job(page=Page(paper=parse_paper("letter")), pieces=(plate(),)), path)
    assert b"/MediaBox [0 0 612 792]" in path.read_bytes()


def test_the_file_asks_to_be_printed_unscaled_on_one_side(made: Path) -> None:
    # ISO 32000-1:2008, table 150: PrintScaling, Duplex, PickTrayByPDFSize, NumCopies
    preferences = PdfReader(made).trailer["/Root"]["/ViewerPreferences"]
    assert preferences["/PrintScaling"] == "/None"
    assert preferences["/Duplex"] == "/Simplex"
    assert bool(preferences["/PickTrayByPDFSize"]) is True
    assert int(preferences["/NumCopies"]) == 1


def test_the_file_is_version_1_7_without_user_units_on_one_size_of_page(made: Path) -> None:
    data = made.read_bytes()
    assert data.startswith(b"%PDF-1.7\n")
    assert b"UserUnit" not in data
    assert len({tuple(page.mediabox) for page in PdfReader(made).pages}) == 1


def test_the_font_is_embedded_as_a_subset_and_nothing_else_is_used(made: Path) -> None:
    for page in PdfReader(made).pages:
        for name, font in page["/Resources"]["/Font"].items():
            font = font.get_object()
            assert re.fullmatch(r"/[A-Z]{6}\+.+", font["/BaseFont"]), name
            program = font["/FontDescriptor"]["/FontFile2"].get_data()
            assert program[:4] == b"\0\1\0\0"  # a TrueType font program
            assert len(program) < 120_000


def test_each_label_is_the_name_printed_on_the_page(made: Path) -> None:
    sheets = read(made)
    assert len({sheet.label for sheet in sheets}) == len(sheets)
    for sheet in sheets:
        assert f"{sheet.label} – page " in sheet.text


def test_the_outline_leads_to_every_page_once(made: Path) -> None:
    reader = PdfReader(made)
    found: list[tuple[str, int]] = []

    def walk(entries: list[object]) -> None:
        for entry in entries:
            if isinstance(entry, list):
                walk(entry)
            else:
                found.append((entry.title, reader.get_destination_page_number(entry)))  # type: ignore[attr-defined]

    walk(reader.outline)
    for number, label in enumerate(reader.page_labels):
        assert (label, number) in found


def test_equal_input_gives_equal_bytes_and_other_input_another_identity(tmp_path: Path) -> None:
    digests, identities = [], []
    for index, title in enumerate(("Practice boat", "Practice boat", "Another boat")):
        path = tmp_path / f"{index}.pdf"
        write_pdf(small_job(title=title, pieces=(plate(),)), path)
        digests.append(hashlib.sha256(path.read_bytes()).hexdigest())
        identities.append(bytes(PdfReader(path).trailer["/ID"][0].original_bytes))
    assert digests[0] == digests[1] != digests[2]
    assert identities[0] == identities[1] != identities[2]


def test_every_object_lies_where_the_file_says(made: Path) -> None:
    data = made.read_bytes()
    start = int(data.rsplit(b"startxref\n", 1)[1].split()[0])
    assert data[start : start + 5] == b"xref\n"
    lines = data[start:].split(b"\n")
    count = int(lines[1].split()[1])
    entries = lines[2 : 2 + count]
    assert all(len(entry) == 19 for entry in entries)  # twenty bytes with the line's end
    used = 0
    for number, entry in enumerate(entries):
        if entry.split()[2] == b"n":
            at = int(entry[:10])
            assert data[at:].startswith(b"%d 0 obj\n" % number)
            used += 1
    assert used > 20


HOSTILE = [
    "Gig (1) \\ (two",
    ")))(((\\\\\\",
    "Лодка Ёлка",
    "木の船 ⛵",
    "עברית",
    "line\nfeed\ttab\0nul\x7f",
    "half \ud800 pair",
    "x" * 300,
    "many short words " * 30,
    "%%EOF endstream endobj",
    "",
]


@pytest.mark.slow
@pytest.mark.parametrize("title", HOSTILE)
def test_no_name_breaks_a_page(tmp_path: Path, title: str) -> None:
    path = tmp_path / "hostile.pdf"
    job = small_job(title=title, pieces=(plate(name=title), plate(name=title)))
    write_pdf(job, path)
    sheets = read(path)
    reader = PdfReader(path)
    assert len(reader.pages) == len(sheets)
    assert reader.metadata is not None
    assert plain(title) in str(reader.metadata.title)
    for index, sheet in enumerate(sheets):
        assert sheet.label
        assert blank_edge(path, index) >= job.page.margin - 0.7  # dots over a capital in the strip go so far


def test_nothing_is_printed_in_the_margin(made: Path) -> None:
    for index in range(len(PdfReader(made).pages)):
        assert blank_edge(made, index) >= small_job().page.margin - 0.3  # a line's half breadth and a pixel


def test_words_are_read_back_as_they_were_written(tmp_path: Path) -> None:
    path = tmp_path / "words.pdf"
    words = r"(a) \ b\) 7/8 1° é ½"
    with path.open("wb") as stream:
        pdf = PdfFile(stream, width=100.0, height=50.0, title="words")
        pdf.add_page(pdf.words(words, (10.0, 20.0), 3.5), label="one")
        pdf.finish([Entry(title="one", page=0)])
    (sheet,) = read(path)
    assert sheet.text == words
    assert sheet.said[0].at == pytest.approx((10.0, 20.0), abs=0.001)


def test_a_page_that_viewers_refuse_is_refused() -> None:
    # ISO 32000-1, annex C (from memory): 14,400 units a side, 5080 mm
    PdfFile(io.BytesIO(), width=500.0, height=5080.0, title="roll")
    with pytest.raises(ValueError, match="5080"):
        PdfFile(io.BytesIO(), width=500.0, height=5080.1, title="roll")


def _many(stream: BinaryIO, count: int) -> PdfFile:
    """Empty pages, each with a label of its own and a link to the next one."""
    pdf = PdfFile(stream, width=100.0, height=50.0, title="many")
    for index in range(count):
        ahead = [Link(box=(0.0, 0.0, 10.0, 10.0), page=index + 1)] if index + 1 < count else []
        pdf.add_page("", label=f"page {index} (of {count})", links=ahead)
    return pdf


@pytest.mark.slow
def test_thousands_of_pages_keep_their_labels_and_their_order(tmp_path: Path) -> None:
    count, path = 2 * LABELS + 3, tmp_path / "many.pdf"
    with path.open("wb") as stream:
        _many(stream, count).finish()
    wanted = [f"page {index} (of {count})" for index in range(count)]
    assert PdfReader(path).page_labels == wanted
    document = pdfium.PdfDocument(path)
    assert [document.get_page_label(index) for index in range(count)] == wanted


@pytest.mark.slow
def test_a_page_more_takes_a_few_bytes_of_memory(tmp_path: Path) -> None:
    """What is kept of a page until the end is the numbers of its objects and where they begin."""
    few, more = 2 * LABELS, 6 * LABELS
    held = []
    tracemalloc.start()
    for count in (few, few, more):  # the first time the font is read besides
        with (tmp_path / "many.pdf").open("wb") as stream:
            before = tracemalloc.get_traced_memory()[0]
            pdf = _many(stream, count)
            held.append(tracemalloc.get_traced_memory()[0] - before)
            pdf.finish()
            del pdf
    tracemalloc.stop()
    assert held[2] - held[1] < 40 * (more - few)
