"""The proof of a finished file: a true one passes, and each way of spoiling it is found and measured."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from pypdf import PdfReader, PdfWriter
from pypdf.generic import DecodedStreamObject, DictionaryObject, FloatObject, NameObject

from tests.tiling.samples import plate, ring, small_job
from tiling.errors import TilingError
from tiling.job import write_pdf
from tiling.paper import Page, parse_paper
from tiling.proof import Proof, prove

Change = Callable[[bytes], bytes]


@pytest.fixture(scope="module")
def true_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("proof") / "true.pdf"
    write_pdf(small_job(pieces=(ring(), plate(), ring("small ring", 210.0, 150.0))), path)
    return path


def label_of(reader: PdfReader, name: str) -> int:
    return reader.page_labels.index(name)


def spoiled(true_file: Path, folder: Path, name: str, change: Change) -> Proof:
    """The proof of the file after the operators of one page were changed."""
    writer = PdfWriter(clone_from=true_file)
    page = writer.pages[label_of(PdfReader(true_file), name)]
    before = page.get_contents()
    assert before is not None
    after = change(before.get_data())
    assert after != before.get_data()
    stream = DecodedStreamObject()
    stream.set_data(after)
    page[NameObject("/Contents")] = writer._add_object(stream)
    path = folder / "spoiled.pdf"
    writer.write(path)
    return prove(path)


def test_a_true_file_is_proved(true_file: Path) -> None:
    proof = prove(true_file)
    assert proof.findings == []
    assert proof.pages == proof.total == len(PdfReader(true_file).pages)
    assert proof.vertices > 500
    assert proof.seams > 20
    assert proof.words > 8
    assert proof.rulers == 2 * proof.pages
    assert max(proof.stroke_off, proof.seam_off, proof.words_off, proof.ruler_off) < 1e-6
    assert proof.scale == pytest.approx(1.0, abs=1e-9)


@pytest.mark.parametrize("landscape", [False, True])
@pytest.mark.parametrize("pages", [None, "2, 5-7"])
def test_letter_pages_and_chosen_pages_are_proved(tmp_path: Path, landscape: bool, pages: str | None) -> None:
    page = Page(paper=parse_paper("letter"), landscape=landscape)
    write_pdf(small_job(page=page), tmp_path / "out.pdf", pages=pages)
    proof = prove(tmp_path / "out.pdf")
    assert proof.findings == []
    assert proof.pages == (proof.total if pages is None else 4)


def test_another_program_s_copy_is_proved_as_well(true_file: Path, tmp_path: Path) -> None:
    PdfWriter(clone_from=true_file).write(tmp_path / "copy.pdf")
    assert prove(tmp_path / "copy.pdf").findings == []


def _shift(by: float) -> Change:
    def change(data: bytes) -> bytes:
        found = re.search(rb"1 0 0 1 (-?[\d.]+) (-?[\d.]+) cm", data)
        assert found is not None
        moved = b"1 0 0 1 %.9f %s cm" % (float(found[1]) + by, found[2])
        return data[: found.start()] + moved + data[found.end() :]

    return change


def test_a_tile_shifted_by_a_tenth_of_a_millimetre_is_found_and_measured(
    true_file: Path, tmp_path: Path
) -> None:
    proof = spoiled(true_file, tmp_path, "ring A2", _shift(0.1))
    assert any(
        "ring A2" in found and "+0.100 mm across and +0.000 mm up" in found for found in proof.findings
    )
    assert proof.stroke_off >= 0.1 - 1e-6


def test_a_scale_of_0_999_is_found(true_file: Path, tmp_path: Path) -> None:
    def change(data: bytes) -> bytes:
        scale = b"%.15g" % (72.0 / 25.4)
        return data.replace(scale, b"%.15g" % (0.999 * 72.0 / 25.4))

    proof = spoiled(true_file, tmp_path, "ring B1", change)
    assert any("scale across is 0.99900" in found for found in proof.findings)
    assert any("ruler of 150 mm is 149.850 mm" in found for found in proof.findings)
    assert proof.scale == pytest.approx(0.999, abs=1e-9)


def test_a_stroke_shifted_alone_is_found(true_file: Path, tmp_path: Path) -> None:
    def change(data: bytes) -> bytes:
        at = list(re.finditer(rb"\n(-?[\d.]+) (-?[\d.]+) l\n", data))[5]
        return data[: at.start()] + b"\n%.3f %s l\n" % (float(at[1]) + 0.02, at[2]) + data[at.end() :]

    proof = spoiled(true_file, tmp_path, "ring A2", change)
    assert any("1 of" in found and "vertices stand off" in found for found in proof.findings)


def test_a_stroke_left_out_is_found(true_file: Path, tmp_path: Path) -> None:
    def change(data: bytes) -> bytes:
        return re.sub(rb"S\n", b"n\n", data, count=1)

    proof = spoiled(true_file, tmp_path, "ring A2", change)
    assert any("strokes are missing" in found for found in proof.findings)


def test_a_stroke_added_is_found(true_file: Path, tmp_path: Path) -> None:
    def change(data: bytes) -> bytes:
        place = data.index(b" m\n")
        start = data.rindex(b"\n", 0, place) + 1
        first = data[start:place]
        rest = data[place:]
        end = data.index(b"S\n", start) + 2
        assert rest
        return data[:end] + data[start:end] + data[end:] if first else data

    proof = spoiled(true_file, tmp_path, "ring A2", change)
    assert any("strokes are too much" in found for found in proof.findings)


def test_a_match_mark_that_moved_is_found(true_file: Path, tmp_path: Path) -> None:
    def change(data: bytes) -> bytes:
        found = re.search(rb"q 1 0 0 1 (-?[\d.]+) (-?[\d.]+) cm /Mark Do Q", data)
        assert found is not None
        moved = b"q 1 0 0 1 %.4f %s cm /Mark Do Q" % (float(found[1]) - 0.1, found[2])
        return data[: found.start()] + moved + data[found.end() :]

    proof = spoiled(true_file, tmp_path, "ring A2", change)
    assert any("match mark" in found and "stands 0.100 mm off" in found for found in proof.findings)
    assert proof.seam_off == pytest.approx(0.1, abs=1e-6)


def test_a_changed_label_is_found_and_what_stands_there_is_told(true_file: Path, tmp_path: Path) -> None:
    reader = PdfReader(true_file)
    page = next(
        label for label, page in zip(reader.page_labels, reader.pages, strict=True)
        if label.startswith("ring") and "saw tilt" in page.extract_text()
    )  # fmt: skip

    def change(data: bytes) -> bytes:
        shows = re.findall(rb"\((?:[^()\\]|\\.)*\) Tj", data)
        return data.replace(shows[0], shows[1], 1) if shows[0] != shows[1] else data

    proof = spoiled(true_file, tmp_path, page, change)
    assert any("are missing; there stands" in found for found in proof.findings)


def test_a_removed_page_and_a_doubled_one_are_found(true_file: Path, tmp_path: Path) -> None:
    writer = PdfWriter(clone_from=true_file)
    gone = label_of(PdfReader(true_file), "ring B1")
    writer.remove_page(gone)
    writer.add_page(writer.pages[0])
    writer.write(tmp_path / "less.pdf")
    findings = prove(tmp_path / "less.pdf").findings
    assert f"page {gone + 1} (ring B1) is missing" in findings
    assert any("twice" in found for found in findings)


def test_a_resized_page_a_unit_of_its_own_and_a_lost_wish_are_found(true_file: Path, tmp_path: Path) -> None:
    writer = PdfWriter(clone_from=true_file)
    writer.pages[1].mediabox.upper_right = (612, 792)
    writer.pages[2][NameObject("/UserUnit")] = FloatObject(2.0)
    del writer._root_object[NameObject("/ViewerPreferences")]
    writer.write(tmp_path / "changed.pdf")
    findings = "\n".join(prove(tmp_path / "changed.pdf").findings)
    assert "is 215.9 by 279.4 mm where 210 by 297 mm are due" in findings
    assert "unit of its own (2)" in findings
    assert "PrintScaling" in findings


def test_a_font_that_is_not_in_the_file_is_found(true_file: Path, tmp_path: Path) -> None:
    writer = PdfWriter(clone_from=true_file)
    fonts = writer.pages[0]["/Resources"].get_object()["/Font"].get_object()  # type: ignore[union-attr,index]
    for font in fonts.values():
        described = font.get_object().get("/FontDescriptor")
        if isinstance(described and described.get_object(), DictionaryObject):
            described.get_object().pop("/FontFile2")
    writer.write(tmp_path / "bare.pdf")
    assert any("is not in the file" in found for found in prove(tmp_path / "bare.pdf").findings)


def test_other_files_are_told_apart(tmp_path: Path) -> None:
    (tmp_path / "no.pdf").write_bytes(b"hello")
    with pytest.raises(TilingError, match="no PDF"):
        prove(tmp_path / "no.pdf")
    with pytest.raises(TilingError, match="cannot be read"):
        prove(tmp_path / "none.pdf")
    blank = PdfWriter()
    blank.add_blank_page(200, 200)
    blank.write(tmp_path / "blank.pdf")
    with pytest.raises(TilingError, match="no record of its pages"):
        prove(tmp_path / "blank.pdf")
