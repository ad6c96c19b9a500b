"""From a map to its pages and back: the links of a finished file as pypdf gives them."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from tests.tiling.readback import read
from tests.tiling.samples import A4, ring, small_job
from tiling.job import write_pdf
from tiling.pdf.pdf_file import Link, PdfFile

MM = 25.4 / 72.0


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("links") / "job.pdf"
    write_pdf(small_job(pieces=(ring("ring"), ring("hoop"))), path)
    return path


def links_of(reader: PdfReader, index: int) -> list[tuple[list[float], int]]:
    """Each link of a page: its box in mm, and the index of the page that it leads to."""
    numbers = {page.indirect_reference.idnum: i for i, page in enumerate(reader.pages)}  # type: ignore[union-attr]
    found: list[tuple[list[float], int]] = []
    for annotation in reader.pages[index].get("/Annots", []):
        link: Any = annotation.get_object()
        assert link["/Subtype"] == "/Link"
        assert list(link["/Border"]) == [0, 0, 0]  # nothing of it is printed
        assert link["/Dest"][1] == "/Fit"
        found.append(
            ([float(side) * MM for side in link["/Rect"]], numbers[list.__getitem__(link["/Dest"], 0).idnum])
        )
    return found


@pytest.mark.slow
def test_each_page_of_a_pattern_leads_to_the_page_with_its_map_and_that_one_back(made: Path) -> None:
    reader = PdfReader(made)
    labels = list(reader.page_labels)
    sheets = read(made)
    pages = [index for index, label in enumerate(labels) if label.startswith(("ring ", "hoop "))]
    assert len(pages) > 20
    for index in pages:
        ((box, to),) = links_of(reader, index)
        assert labels[to].startswith("cards")
        piece = labels[index].split()[0]
        assert piece in {said.text for said in sheets[to].said}  # the heading of its map
        assert index in {page for _, page in links_of(reader, to)}
        # the box holds the printed name, and lies on the page
        (line,) = [said for said in sheets[index].said if f" – {labels[index]} – " in said.text]
        assert box[0] <= line.at[0] < box[2]
        assert box[1] <= line.at[1] < line.at[1] + 3.5 <= box[3] + 0.01
        assert 0.0 <= box[0] < box[2] <= 210.0


@pytest.mark.slow
def test_each_cell_of_a_map_leads_to_the_page_whose_name_stands_in_it(made: Path) -> None:
    reader = PdfReader(made)
    labels = list(reader.page_labels)
    led_to, headed = [], []
    for index, sheet in enumerate(read(made)):
        if not labels[index].startswith("cards"):
            continue
        for (x0, y0, x1, y1), to in links_of(reader, index):
            inside = {
                said.text for said in sheet.said if x0 - 0.01 < said.at[0] < x1 and y0 < said.at[1] < y1
            }
            if any(text.startswith("page") for text in inside):  # the pages in a card's heading: to the first
                assert any(re.match(rf"pages? {to + 1}\b", text) for text in inside)
                headed.append(to)
                continue
            assert labels[to].split()[1] in inside
            led_to.append(to)
    pages = [index for index, label in enumerate(labels) if label.startswith(("ring ", "hoop "))]
    assert sorted(led_to) == pages
    assert len(headed) > 1


def test_where_only_some_pages_are_printed_no_link_leads_nowhere(tmp_path: Path) -> None:
    path = tmp_path / "some.pdf"
    write_pdf(small_job(pieces=(ring(),)), path, pages="ring A1, ring A2")
    reader = PdfReader(path)
    assert len(reader.pages) == 2
    assert [links_of(reader, index) for index in range(2)] == [[], []]


def test_links_lie_on_what_a_corrected_page_shows(tmp_path: Path) -> None:
    stretch = (1.004, 0.997)
    path = tmp_path / "stretched.pdf"
    with path.open("wb") as stream:
        pdf = PdfFile(stream, width=A4.width, height=A4.height, title="stretched", stretch=stretch)
        pdf.add_page("", label="1", links=[Link(box=(10.0, 20.0, 60.0, 30.0), page=1)])
        pdf.add_page("", label="2")
        pdf.finish()
    ((box, to),) = links_of(PdfReader(path), 0)
    assert to == 1
    x, y = 0.5 * A4.width, 0.5 * A4.height
    wanted = [x + (10 - x) * 1.004, y + (20 - y) * 0.997, x + (60 - x) * 1.004, y + (30 - y) * 0.997]
    assert box == pytest.approx(wanted, abs=0.005)


def test_a_link_to_a_page_that_never_comes_is_an_error(tmp_path: Path) -> None:
    with (tmp_path / "short.pdf").open("wb") as stream:
        pdf = PdfFile(stream, width=100.0, height=100.0, title="short")
        pdf.add_page("", label="1", links=[Link(box=(0.0, 0.0, 1.0, 1.0), page=3)])
        with pytest.raises(ValueError, match="page 4 of 1"):
            pdf.finish()
