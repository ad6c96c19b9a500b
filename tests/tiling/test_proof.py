"""The proof of a finished file: a true one passes, and each way of spoiling it is found and measured."""

from __future__ import annotations

import base64
import re
import zlib
from collections.abc import Callable
from pathlib import Path
from random import Random

import pytest
from pypdf import PdfReader, PdfWriter
from pypdf.errors import DependencyError
from pypdf.generic import DecodedStreamObject, DictionaryObject, FloatObject, NameObject

from tests.tiling.samples import plate, ring, small_job
from tiling.errors import TilingError
from tiling.job import write_pdf
from tiling.paper import Page, parse_paper
from tiling.proof import ALTERED, Proof, prove
from tiling.proof.pdf_reader import OTHER_CODE, open_file

AES = (
    "c-n<h%Wl&^6kX#T5+5*|ELarJ%bpp@iUds}@hFLswwtPpd0dyE)UKQfYWV|%fIk3<C0_swKw=3JpV40cHWgzhX^gVKmNheX?mg#R"
    "pW7Mr20P?V8g;(@dVduWgi&dpMp=g9kv@SrVj(g{@&3gbpm<k%Ju6R8w;Ms>>O|Tq*q{0tpiB#4BqS22k|`sdqB5aitYtWHk{YX%"
    "oJc2SP7FyE;lM3G&Zwi78Iau;JZr)4mW#q8g5rl$H%CW^H_DFJ+Lm%RrTm}L!b9QbC|P#12X3nGmFEEkhnM2zcU+@XA#vUH80O`o"
    "vH>@sbh~Y;7E{t<dIZIZe}WiA@nAahP=$4-J@mkqt|^-P3iN4o^Y!S@&le9CUvA%c`*M8s?bhQDm&c#J|BgSt`*Hc|&F30?mAaxy"
    "+YJqBMe)SD)$Z=XKj}ZKrN_O}4$q*dllH<ze{x8#b&<4gqwZv_ZsK*}bmcZFRHAr@GRj;+jFDIpZ5(hy!`Yc!VIr*6nh_8prH&^8"
    "J8gh+!zfU}AvHj7urVI?Q5KdF+99|`9S6?>;pt$lJS^4baDXza1aTIaF@j?%TngF}%2I_5v4I3*N;pqdIIAFua4d-CP7%zN<dy`s"
    "gC*%<;M!PpUO^sVBqDtMpfpKXf^u{nBf-e#rr5+%z7->h+KN#kw_=QL*K#U0F<<HFEO=1+cfZI>L|0Q+mi3%B`^oe<AQA3+=qQ8S"
    "3X>R>YfPO2Ww7KrHCkyNj7ntp{~2M#`-QD8&OAyRhGrsl<(oewIEy-+{%{ce1(4SuUj",
    "c-n<jy>1&v5N-qZ={JQ+<!1lpb^$_wWs<NF88ReWjp1T;cUERV-3iB&AiD^VCXbN9aOFB}${<aEba{v%MUodt69m~iQ6d8sIo{#+"
    "=J%VKZ@Bk-w%C`S*OR>;|N8jPL<$gX_;NCxifVq-bF*Hy%~}kfk7kGS@o-3MKI3lCh^n~mSRU~;uY?l^2g6-Gr*mElU1FYy>c!hj"
    "7S&_wY1N(=^@N)=q*6O6Uo86-i>b0nTBwah;A{~SGqCeUdte2LtWi=YcAyoaS1NO~F+vV0vgc?HcEanO@Q>T8rWaCFUo6vFyb@+a"
    "_WBOnE!?fE`HyQ;YV6m--d6LB(~=I`n-T@ePr>c;dWg~$!@H_ac->xgk;fhmJ=vz($z*pj9dUEszY$uAYO!4P+?Dr=dY*A?)9AGB"
    "JEn`t(f%J_|NN`@;oGmi`}BkP?az<DEZ$$!@85s2{^`k+&%XJ42);4hq`}>S7UM8a`?NVdy6WG|uLtPWtc}N)+zdv~iei3xrgw2|"
    "rhA9(w5KLfm+noJMNu7#sRmP{O=UEmG;5t81guq(!9>!D$}yS*D6O*~wR0M!j<I%;DI-7(=uE0TOIgP1Ws=TlCgT(mhdLJw$Ayxt"
    "OmL{cAahBkYlP^nR?gJSxlTyNV5mvw%u-pe3`(Vq@>qKv6AeTa`x2BZ2ktJ)s3IeIosx16tS)#0GFTsN?SnxJ#pOicQ2NE<u7~B-"
    "Z9iTXTo}NBrC^oLtdjvnjL2S<CQuCt3S}+&h^0fp#gLP6j%0AkXV2uKwK5I8vYC`m0hJs?EJ-E}1BjQUe6&>PUrSHUM3+7II(i?K"
    "BJ|dRwHZshyr<x()?}?RMK65<lL3t`Va^Jxw`9EOI8Q*-6S%(wTC1(d;$9{TWk*eOFOwP`$dr0$R|fMyRyO;A%y_+(^&Kr&g>3^<"
    "pEkJ_YO`N$J8blLK3%?JQT~pe&cv%J=U4|Dd?rw-uqS{sgn>Mn5S(=f|8G&2dEUhC?PV`;%rNdAb^X{O2}V!$_U6Zn$-l`+b5H",
)

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


@pytest.mark.slow
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


@pytest.mark.slow
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
    assert any("are missing; found there" in found for found in proof.findings)


def test_a_removed_page_and_a_doubled_one_are_found(true_file: Path, tmp_path: Path) -> None:
    writer = PdfWriter(clone_from=true_file)
    gone = label_of(PdfReader(true_file), "ring B1")
    writer.remove_page(gone)
    writer.add_page(writer.pages[0])
    writer.write(tmp_path / "less.pdf")
    findings = prove(tmp_path / "less.pdf").findings
    assert f"page {gone + 1} (ring B1) is missing" in findings
    assert any("twice" in found for found in findings)


def test_a_resized_page_a_unit_of_its_own_and_a_lost_preference_are_found(
    true_file: Path, tmp_path: Path
) -> None:
    writer = PdfWriter(clone_from=true_file)
    writer.pages[1].mediabox.upper_right = (612, 792)
    writer.pages[2][NameObject("/UserUnit")] = FloatObject(2.0)
    del writer._root_object[NameObject("/ViewerPreferences")]
    writer.write(tmp_path / "changed.pdf")
    findings = "\n".join(prove(tmp_path / "changed.pdf").findings)
    assert "is 215.9 by 279.4 mm where 210 by 297 mm are due" in findings
    assert "unit of its own (2)" in findings
    assert "PrintScaling" in findings


@pytest.mark.slow
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
    with pytest.raises(TilingError, match="not a PDF"):
        prove(tmp_path / "no.pdf")
    with pytest.raises(TilingError, match="cannot be read"):
        prove(tmp_path / "none.pdf")
    blank = PdfWriter()
    blank.add_blank_page(200, 200)
    blank.write(tmp_path / "blank.pdf")
    with pytest.raises(TilingError, match="no record of its pages"):
        prove(tmp_path / "blank.pdf")


def findings_or_refusal(path: Path) -> list[str]:
    """What is said of a file, whether it is read or refused; anything but a refusal goes through."""
    try:
        return prove(path).findings
    except TilingError as error:
        return [str(error)]


@pytest.mark.slow
@pytest.mark.parametrize("how", ["RC4-128", "AES-128", "AES-256"])
def test_a_file_that_anybody_may_read_is_proved_though_it_is_encrypted(
    how: str, true_file: Path, tmp_path: Path
) -> None:
    for password, name in (("", "open.pdf"), ("secret", "closed.pdf")):
        writer = PdfWriter(clone_from=true_file)
        writer.encrypt(password, "owner", algorithm=how)
        writer.write(tmp_path / name)
    assert prove(tmp_path / "open.pdf").findings == []
    with pytest.raises(TilingError, match="without a password"):
        prove(tmp_path / "closed.pdf")


@pytest.mark.parametrize("packed", AES)
def test_an_encryption_that_needs_another_library_is_named(
    packed: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Blank pages, encrypted by another program by AES with 128 and 256 bits, which anybody may read."""
    (tmp_path / "aes.pdf").write_bytes(zlib.decompress(base64.b85decode(packed)))
    with pytest.raises(TilingError, match="no record"):
        prove(tmp_path / "aes.pdf")

    def missing(*_: object) -> None:
        raise DependencyError("cryptography>=3.1 is required for AES algorithm")

    monkeypatch.setattr(PdfReader, "decrypt", missing)  # as it is where the library is not installed
    with pytest.raises(TilingError, match="cryptography"):
        prove(tmp_path / "aes.pdf")


@pytest.mark.parametrize("share", [0.05, 0.3, 0.6, 0.9, 0.99, 0.9999])
def test_a_file_that_is_cut_short_is_refused_or_found_wanting(
    true_file: Path, tmp_path: Path, share: float
) -> None:
    data = true_file.read_bytes()
    (tmp_path / "cut.pdf").write_bytes(data[: int(share * len(data))])
    assert findings_or_refusal(tmp_path / "cut.pdf")


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(12))
def test_damage_anywhere_ends_in_findings_or_a_clear_refusal(
    true_file: Path, tmp_path: Path, seed: int
) -> None:
    chance, data = Random(seed), bytearray(true_file.read_bytes())
    for _ in range(30):
        data[chance.randrange(len(data))] = chance.randrange(256)
    (tmp_path / "noise.pdf").write_bytes(bytes(data))
    assert findings_or_refusal(tmp_path / "noise.pdf")


def test_a_broken_list_of_places_is_repaired(true_file: Path, tmp_path: Path) -> None:
    data = true_file.read_bytes()
    start = data.rindex(b"startxref")
    (tmp_path / "repaired.pdf").write_bytes(data[:start] + b"startxref\n99\n%%EOF\n")
    assert prove(tmp_path / "repaired.pdf").findings == []


def test_an_altered_record_is_told_apart_from_an_altered_page(true_file: Path, tmp_path: Path) -> None:
    writer = PdfWriter(clone_from=true_file)
    (record,) = (each for each in writer.attachment_list if each.name == "ink-0.bin")
    stream = record.pdf_object["/EF"]["/F"].get_object()  # type: ignore[index]
    stream.set_data(stream.get_data().replace(b'"width":[0.7,0.7]', b'"width":[0.8,0.8]', 1))
    writer.write(tmp_path / "record.pdf")
    assert ALTERED in prove(tmp_path / "record.pdf").findings
    page = spoiled(true_file, tmp_path, "ring A2", lambda data: data.replace(b"0.7 w", b"0.8 w", 1))
    assert ALTERED not in page.findings
    assert any(
        "ring A2" in found and "0.80 mm wide where 0.70 mm are due" in found for found in page.findings
    )


def test_a_page_that_says_no_number_is_known_by_its_place(true_file: Path, tmp_path: Path) -> None:
    proof = spoiled(true_file, tmp_path, "ring A2", lambda data: data.replace(b" page ", b" pagf "))
    assert not any(
        "is missing" in found and "(ring A2)" in found.split(":")[0] for found in proof.findings[:1]
    )
    assert any("says no number" in found for found in proof.findings)
    assert any("ring A2" in found and "differs" in found for found in proof.findings)


def test_page_1_shows_the_code_of_the_record(true_file: Path) -> None:
    """By an independent reader: the words on the first page, and the digest in the file's own description."""
    reader = PdfReader(true_file)
    shown = [re.findall(r"record ([0-9A-F]{6})\b", page.extract_text()) for page in reader.pages]
    assert reader.metadata is not None
    digest = str(reader.metadata["/Keywords"]).removeprefix("record ")
    assert shown == [[digest[:6].upper()], *[[]] * (len(shown) - 1)]


def test_a_record_altered_with_its_digest_does_not_fit_the_code_on_page_1(
    true_file: Path, tmp_path: Path
) -> None:
    """Whoever exchanges the record and its digest has not exchanged the print."""
    writer = PdfWriter(clone_from=true_file)
    (record,) = (each for each in writer.attachment_list if each.name == "pages.json")
    stream = record.pdf_object["/EF"]["/F"].get_object()  # type: ignore[index]
    stream.set_data(stream.get_data().replace(b'"title":"', b'"title":"X', 1))
    writer.write(tmp_path / "record.pdf")
    digest = open_file(tmp_path / "record.pdf").record_digest()
    writer.add_metadata({"/Keywords": f"record {digest}"})
    writer.write(tmp_path / "record.pdf")
    findings = prove(tmp_path / "record.pdf").findings
    assert ALTERED not in findings
    assert [OTHER_CODE in finding for finding in findings] == [True]
