"""Several sets in one file: counts, whose page each is, the order, the proof, and that nothing is drawn twice."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest
from pypdf import PdfReader, PdfWriter
from pypdf.generic import ArrayObject, NameObject

from tests.tiling.readback import Sheet, read
from tests.tiling.samples import A4, plate, ring, small_job
from tiling.job import Job, write_pdf
from tiling.paper import Page, parse_paper
from tiling.paper.printers import Correction
from tiling.planning.plan import plan_pieces
from tiling.proof import prove
from tiling.sets import BEFORE, Order, Pack, SetsSummary, write_sets
from tiling.text.typeface import text_width

JOB = small_job(pieces=(ring("ring", 210.0, 150.0), plate()))
OWNERS = ("Odalind Ferrow", "Table 2", "Bas O'Þórs-Żółć")
HOSTILE = (
    ") Tj ET q 0 0 m 900 900 l S Q BT (",
    "<b>&amp;</b> \\ %PDF-1.4 endstream endobj",
    "x" * 400,
    "page 1 of 9 – set 2 of 7",
    "Ünsal Żółć Ωμέγα Дарья",
    "名前 🙂 \u202eabc",
    "../../etc/passwd",
    " . ",
)


def packs_of(owners: tuple[str, ...]) -> tuple[Pack, ...]:
    return tuple(Pack(number=number, owner=owner) for number, owner in enumerate(owners, start=1))


def written(
    folder: Path,
    owners: tuple[str, ...] = OWNERS,
    *,
    job: Job = JOB,
    order: Order = "by set",
    first: bool = True,
) -> tuple[Path, SetsSummary]:
    path = folder / "sets.pdf"
    packs = packs_of(owners)
    plans = plan_pieces(job.pieces, job.page, share=job.share)
    summary = write_sets(
        job, plans, path, packs, total=len(packs), order=order, listed=packs if first else ()
    )
    return path, summary


@pytest.fixture(scope="module")
def by_set(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, SetsSummary]:
    return written(tmp_path_factory.mktemp("sets"))


def owner_of(sheet: Sheet) -> str:
    """The line of a page that says whose it is, read without the writer's help."""
    found = [said.text for said in sheet.said if re.search(r" – set \d+ of \d+$", said.text)]
    assert len(found) == 1, found
    return found[0]


@pytest.mark.slow
def test_each_set_has_all_pages_and_its_owner_on_every_one(by_set: tuple[Path, SetsSummary]) -> None:
    path, summary = by_set
    sheets = read(path)
    assert len(sheets) == summary.pages == summary.first + len(OWNERS) * summary.each
    for place, owner in enumerate(OWNERS):
        own = sheets[summary.first + place * summary.each :][: summary.each]
        assert {owner_of(sheet) for sheet in own} == {f"{owner} – set {place + 1} of {len(OWNERS)}"}
        numbers = [re.search(r"page (\d+) of (\d+)", sheet.text) for sheet in own]
        assert [(int(n[1]), int(n[2])) for n in numbers if n] == [
            (number, summary.each) for number in range(1, summary.each + 1)
        ]
        marks = [re.findall(r"Mark (\w{5})", sheet.text) for sheet in own]
        assert marks[: summary.cards] == [["K7Q2P"]] * summary.cards
        assert all(len(mark) == 1 and mark != ["K7Q2P"] for mark in marks[summary.cards :])


@pytest.mark.slow
def test_a_page_of_a_set_is_the_page_that_is_printed_alone(
    by_set: tuple[Path, SetsSummary], tmp_path: Path
) -> None:
    """Every stroke of the pattern, vertex by vertex, as in a file of one set without owners."""
    path, summary = by_set
    write_pdf(JOB, tmp_path / "alone.pdf")
    alone = {sheet.label: sheet for sheet in read(tmp_path / "alone.pdf")}
    sheets = read(path)[summary.first : summary.first + summary.each]
    met = 0
    for sheet in sheets:
        twin = alone.get(sheet.label.removeprefix(f"{OWNERS[0]}: "))
        if twin is None or "cards" in sheet.label:
            continue
        met += 1
        own, other = ([line.points.tolist() for line in s.lines if not line.form] for s in (sheet, twin))
        assert own == other
    assert met == summary.each - summary.cards > 3


@pytest.mark.slow
def test_page_by_page_all_sets_of_a_page_lie_together(tmp_path: Path) -> None:
    path, summary = written(tmp_path, order="by page")
    sheets = read(path)[summary.first :]
    for start in range(0, len(sheets), len(OWNERS)):
        together = sheets[start : start + len(OWNERS)]
        assert len({re.search(r"page \d+ of \d+", sheet.text)[0] for sheet in together}) == 1  # type: ignore[index]
        assert [owner_of(sheet).split(" – ")[0] for sheet in together] == list(OWNERS)
    assert not prove(path).findings


@pytest.mark.slow
def test_the_list_tells_where_each_set_lies_in_the_file(by_set: tuple[Path, SetsSummary]) -> None:
    path, summary = by_set
    sheets = read(path)
    said = [said.text for sheet in sheets[: summary.first] for said in sheet.said]
    for place, owner in enumerate(OWNERS):
        first = summary.first + place * summary.each + 1
        assert owner in said
        assert f"{first}-{first + summary.each - 1}" in said
        assert owner_of(sheets[first - 1]).startswith(owner)
    assert all(BEFORE in sheet.text for sheet in sheets[: summary.first])


@pytest.mark.slow
@pytest.mark.parametrize(
    "page",
    [
        A4,
        Page(paper=parse_paper("a4"), landscape=True),
        Page(paper=parse_paper("a5")),
    ],
    ids=["a4", "a4 landscape", "a5"],
)
def test_the_owner_stands_clear_of_other_words_on_every_paper(page: Page, tmp_path: Path) -> None:
    job = replace(
        JOB,
        page=page,
        correction=Correction(
            printer="hall laser", paper=page.paper.name, short=(100.0, 99.6), long=(200.0, 200.7)
        ),
    )
    for each in (replace(job, correction=None), job):
        path, summary = written(tmp_path, (*OWNERS, *HOSTILE), job=each)
        stretch = (1.0, 1.0) if each.correction is None else each.correction.stretch(page)
        for sheet in read(path, slice(summary.first, None, summary.each)):
            line = next(said for said in sheet.said if re.search(r"set \d+ of \d+$", said.text))
            beside = [
                said
                for said in sheet.said
                if said is not line and abs(said.at[1] - line.at[1]) < 1.0 and said.at[0] > line.at[0]
            ]
            if page.names_up:  # it has its own line up the page
                own = [said for said in sheet.said if abs(said.at[0] - line.at[0]) < 1.0 and said.turn]
                assert own == [line]
                end = line.at[1] + text_width(line.text, 2.5) * stretch[1]
                assert end <= page.height - 9.0
                assert any("Mark K7Q2P" in said.text for said in sheet.said)
                continue
            assert len(beside) == 1
            if sheet.label.startswith(OWNERS[1]):  # a short name is whole on every paper
                assert line.text == f"{OWNERS[1]} – set 2 of {len(OWNERS) + len(HOSTILE)}" or each.correction
            end = line.at[0] + text_width(line.text, 3.5) * stretch[0]
            assert end <= beside[0].at[0] - 1.0
            assert beside[0].text.startswith("Mark K7Q2P")


@pytest.mark.slow
def test_hostile_names_break_no_page(tmp_path: Path) -> None:
    path, summary = written(tmp_path, HOSTILE)
    proof = prove(path)
    assert proof.findings == []
    assert proof.pages == proof.total == summary.first + len(HOSTILE) * summary.each
    sheets = read(path)
    lines = [len(sheet.lines) for sheet in sheets[summary.first :]]
    assert lines == lines[: summary.each] * len(HOSTILE)  # no name has drawn anything
    owners = [next(said for said in sheet.said if "set" in said.text and "of 8" in said.text) for sheet in
              sheets[summary.first :: summary.each]]  # fmt: skip
    assert len({owner.text.split(" – ")[-1] for owner in owners}) == len(HOSTILE)
    assert owners[0].text.startswith(") Tj ET q 0 0 m 900 900 l S Q BT (")
    assert "Ωμέγα Дарья" in owners[4].text
    assert len(PdfReader(path).page_labels) == summary.pages


@pytest.mark.slow
def test_the_proof_measures_every_set(by_set: tuple[Path, SetsSummary], tmp_path: Path) -> None:
    path, summary = by_set
    proof = prove(path)
    assert proof.findings == []
    assert proof.rulers == 2 * summary.pages
    write_pdf(JOB, tmp_path / "alone.pdf")
    one = prove(tmp_path / "alone.pdf")
    assert proof.vertices == len(OWNERS) * one.vertices
    assert proof.seams == len(OWNERS) * one.seams > 0


@pytest.mark.slow
def test_the_proof_finds_a_page_under_another_name_and_a_page_that_is_lost(
    by_set: tuple[Path, SetsSummary], tmp_path: Path
) -> None:
    """A sheet of one owner's set carries another owner's line: it is twice there, and once missing."""
    path, summary = by_set
    writer = PdfWriter(clone_from=path)
    page, other = writer.pages[summary.first + 1], writer.pages[summary.first + summary.each + 1]
    shared = page[NameObject("/Contents")]
    theirs = other[NameObject("/Contents")]
    page[NameObject("/Contents")] = ArrayObject([shared[0], theirs[1]])
    writer.write(tmp_path / "mixed.pdf")
    said = "\n".join(prove(tmp_path / "mixed.pdf").findings)
    assert "page 2 of set 2 is in the file twice" in said
    assert "page 2 of set 1" in said
    assert "is missing" in said


@pytest.mark.slow
def test_the_proof_finds_a_changed_name(by_set: tuple[Path, SetsSummary], tmp_path: Path) -> None:
    path, summary = by_set
    writer = PdfWriter(clone_from=path)
    line = writer.pages[summary.first][NameObject("/Contents")][1].get_object()
    data = line.get_data()
    first = re.search(rb"\((.)(.)", data)
    assert first is not None
    line.set_data(data.replace(first[0], b"(" + first[2] + first[1], 1))
    writer.write(tmp_path / "changed.pdf")
    findings = prove(tmp_path / "changed.pdf").findings
    assert any("Odalind Ferrow" in finding and "is due" in finding for finding in findings)


@pytest.mark.slow
@pytest.mark.parametrize("order", ["by set", "by page"])
def test_the_links_of_a_set_stay_in_it(order: Order, tmp_path: Path) -> None:
    """From the cells of a map and the heading of a card to the pages of the same owner, and back from each page."""
    path, summary = written(tmp_path, order=order)
    reader = PdfReader(path)
    where = {page.indirect_reference.idnum: index for index, page in enumerate(reader.pages)}  # type: ignore[union-attr]
    whose = [re.search(r"set (\d+) of", sheet.text) for sheet in read(path)]
    count = 0
    for index, page in enumerate(reader.pages):
        for link in page.get("/Annots", []):
            to = where[link.get_object()["/Dest"][0].idnum]
            assert to != index
            assert whose[index] is not None
            assert whose[index][1] == whose[to][1]  # type: ignore[index]
            count += 1
    tiles = summary.each - summary.cards
    cells, cards = tiles - 1, 2  # a piece on one page has no map
    assert count == len(OWNERS) * (tiles + cells + cards)


@pytest.mark.slow
def test_a_set_alone_keeps_its_number_in_the_whole_list(tmp_path: Path) -> None:
    plans = plan_pieces(JOB.pieces, JOB.page, share="nested")
    path = tmp_path / "one.pdf"
    summary = write_sets(JOB, plans, path, packs_of(OWNERS)[1:2], total=3)
    assert summary.first == 0
    assert {owner_of(sheet) for sheet in read(path)} == {"Table 2 – set 2 of 3"}
    assert not prove(path).findings


@pytest.mark.slow
def test_a_set_more_costs_few_bytes_and_the_bytes_are_the_same_again(tmp_path: Path) -> None:
    (tmp_path / "again").mkdir()
    path, _ = written(tmp_path)
    again, _ = written(tmp_path / "again")
    assert path.read_bytes() == again.read_bytes()
    small = path.stat().st_size
    large, summary = written(tmp_path, tuple(f"Owner {n}" for n in range(1, 104)), first=False)
    less, _ = written(tmp_path / "again", tuple(f"Owner {n}" for n in range(1, 4)), first=False)
    assert large.stat().st_size - less.stat().st_size < 100 * (650 * summary.each + 400) < 100 * small


@pytest.mark.slow
def test_sets_for_a4_or_letter_leave_the_tray_alone(tmp_path: Path) -> None:
    path, _ = written(tmp_path, job=replace(JOB, page=Page(paper=parse_paper("a4 or letter"))))
    preferences = PdfReader(path).trailer["/Root"]["/ViewerPreferences"]
    assert (preferences["/PickTrayByPDFSize"], preferences["/PrintScaling"]) == (False, "/None")
