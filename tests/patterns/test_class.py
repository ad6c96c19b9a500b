"""A class set from end to end: counts, names, files, the proof, what is refused, what is printed again."""

from __future__ import annotations

import hashlib
import re
from functools import cache
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from pypdf import PdfReader

from patterns.cli import main
from tests.demo import DEMO
from tiling.proof import prove

CLASS = DEMO / "class"
OWNERS = (
    "Table Adze",
    "Table Bevel",
    "Table Chisel",
    "Table Drawknife",
    "Table Edge",
    "Table Ferrule",
    "Ottiline Brack, Pim Sallow",
)
WORKSHEETS = (2, 3, 3, 3, 2, 3, 2)
FILES = ("sets", "worksheets", "answers", "lesson")


def run(*arguments: str | Path) -> Result:
    return CliRunner().invoke(main, [str(argument) for argument in arguments])


def made_in(folder: Path, *more: str | Path, design: Path = CLASS) -> Result:
    result = run("class", design, "--only", "frame 2", "--paper", "a4", "--quick", "--output", folder, *more)
    assert result.exit_code == 0, result.output
    return result


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    folder = tmp_path_factory.mktemp("class") / "out"
    said = made_in(folder, "--price", "0.04 EUR", "--paper-mass", "80 g/m2").output
    return folder, said


@cache
def pages_of(path: Path) -> list[str]:
    """The words of every page, by pypdf's own reading; without the code of the file's own record on its first."""
    words = (" ".join(page.extract_text().split()) for page in PdfReader(path).pages)
    return [re.sub(r" record [0-9A-F]{6}\b", "", said) for said in words]


@pytest.mark.slow
def test_the_sheets_are_counted_and_priced_as_they_lie_in_the_files(made: tuple[Path, str]) -> None:
    folder, said = made
    count = {name: len(PdfReader(folder / f"{name}.pdf").pages) for name in FILES}
    found = re.search(r"(\d+) sets of (\d+), (\d+) worksheets of (\d+), (\d+) first pages, (\d+) of answers, "
                      r"\d+ of the lesson: "
                      r"(\d+) in all \((\S+) EUR at 0.04 EUR a sheet; (\S+) kg", said)  # fmt: skip
    assert found is not None, said
    sets, each, sheets, pages, first, answers, total = (int(group) for group in found.groups()[:7])
    assert (sets, sheets) == (len(OWNERS), sum(WORKSHEETS))
    assert count["sets"] == first + sets * each
    assert count["worksheets"] == sheets * pages
    assert count["answers"] == answers
    assert total == sum(count.values())
    assert float(found[8]) == pytest.approx(0.04 * total, abs=0.005)
    assert float(found[9]) == pytest.approx(total * 0.210 * 0.297 * 0.080, rel=5e-3)
    assert found[0].split(" (")[0] in " ".join(pages_of(folder / "sets.pdf")[:first])


@pytest.mark.slow
def test_every_page_names_its_owner_and_no_other(made: tuple[Path, str]) -> None:
    folder, said = made
    pages = pages_of(folder / "sets.pdf")
    each = int(re.search(r"sets of (\d+),", said)[1])  # type: ignore[index]
    first = len(pages) - each * len(OWNERS)
    for number, owner in enumerate(OWNERS, start=1):
        for page in pages[first + (number - 1) * each : first + number * each]:
            assert f"{owner} – set {number} of 7" in page
            assert not any(other in page for other in OWNERS if other != owner)
    sheets = pages_of(folder / "worksheets.pdf")
    whose = [owner for owner, count in zip(OWNERS, WORKSHEETS, strict=True) for _ in range(count)]
    per = len(sheets) // len(whose)
    for index, page in enumerate(sheets):
        number = index // per
        assert f"{whose[number]} – no. {number + 1} of {len(whose)}" in page


@pytest.mark.slow
def test_every_file_passes_its_proof(made: tuple[Path, str]) -> None:
    folder, _ = made
    for name in ("sets", "worksheets", "answers"):
        proof = prove(folder / f"{name}.pdf")
        assert proof.findings == []
        assert proof.pages == proof.total
        assert proof.rulers == 2 * proof.pages


@pytest.mark.slow
def test_the_mark_is_that_of_the_pattern_alone(made: tuple[Path, str], tmp_path: Path) -> None:
    """Names change no shape: a page of a set may be laid beside one of the pattern printed alone."""
    result = run(
        "patterns", CLASS, "--only", "frame 2", "--paper", "a4", "--quick", "--output", tmp_path / "p"
    )
    assert result.exit_code == 0, result.output
    (alone,) = (tmp_path / "p").glob("*.pdf")
    mark = re.search(r"Mark (\w{5}): ", pages_of(alone)[-1])
    assert mark is not None
    assert f"Mark {mark[1]}." in pages_of(made[0] / "sets.pdf")[-1]
    whole = re.search(r"mark (\w{5})", result.output)
    assert whole is not None
    assert f"mark {whole[1]}." in made[1]


@pytest.mark.slow
def test_the_same_list_gives_the_same_bytes(made: tuple[Path, str], tmp_path: Path) -> None:
    made_in(tmp_path, "--price", "0.04 EUR", "--paper-mass", "80 g/m2")
    for name in FILES:
        one, two = ((folder / f"{name}.pdf").read_bytes() for folder in (made[0], tmp_path))
        assert hashlib.sha256(one).digest() == hashlib.sha256(two).digest()


@pytest.mark.slow
def test_page_by_page_and_apart_hold_the_same_pages(made: tuple[Path, str], tmp_path: Path) -> None:
    by_set = pages_of(made[0] / "sets.pdf")
    made_in(tmp_path / "pages", "--order", "by page", "--price", "0.04 EUR", "--paper-mass", "80 g/m2")
    by_page = pages_of(tmp_path / "pages" / "sets.pdf")
    first = next(i for i, page in enumerate(by_set) if "set 1 of 7" in page)
    assert sorted(by_page[first:]) == sorted(by_set[first:])
    assert [re.search(r"set (\d+) of", page)[1] for page in by_page[first : first + 7]] == list("1234567")  # type: ignore[index]
    made_in(tmp_path / "apart", "--apart")
    files = sorted((tmp_path / "apart" / "sets").iterdir())
    assert [file.stem for file in files] == [
        f"{n} {owner.replace(',', '-')}" for n, owner in enumerate(OWNERS, start=1)
    ]
    assert [page for file in files for page in pages_of(file)] == by_set[first:]
    listed = " ".join(pages_of(tmp_path / "apart" / "first pages.pdf"))
    assert all(owner in listed for owner in OWNERS)
    assert all(not prove(file).findings for file in files)


@pytest.mark.slow
def test_one_set_can_be_printed_again_as_it_was(made: tuple[Path, str], tmp_path: Path) -> None:
    made_in(tmp_path, "--for", "table chisel", "--for", "5")
    (file,) = tmp_path.glob("*.pdf")
    again = pages_of(file)
    whole = pages_of(made[0] / "sets.pdf")
    assert again == [page for page in whole if "set 3 of 7" in page or "set 5 of 7" in page]
    assert not prove(file).findings


@pytest.mark.slow
def test_a_model_class_says_its_scale_and_lofts_on_full_size_rulers(tmp_path: Path) -> None:
    said = made_in(tmp_path, "--scale", "1:4").output
    assert "at scale 1:4" in said
    assert "NOT FULL SIZE" in said
    (file,) = tmp_path.glob("sets*.pdf")
    assert "1-4" in file.name
    proof = prove(file)
    assert (proof.findings, proof.drawn_at) == ([], "1:4")
    pages = pages_of(file)
    assert all("NOT FULL SIZE" in page for page in pages)
    assert sum("Table Adze – set 1 of 7" in page for page in pages) == int(
        re.search(r"sets of (\d+),", said)[1]  # type: ignore[index]
    )
    for name in ("worksheets.pdf", "answers.pdf"):
        assert prove(tmp_path / name).drawn_at == "1:1"
        assert not any("NOT FULL SIZE" in page for page in pages_of(tmp_path / name))


HOSTILE = [
    "../../up and away",
    "CON",
    "a/b\\c:d*e?",
    "x" * 300,
    "Żółć ếữ",
    "..hidden",
    "(BT) Tj ET",
    "Ладья Щербакова-Їжак",
    "Ἀθηνᾶ Ὠκεανοῦ",
    "<script>1",
]


@pytest.mark.slow
def test_hostile_names_stay_in_their_folder_and_break_no_page(tmp_path: Path) -> None:
    names = tmp_path / "names.csv"
    names.write_text("name\n" + "\n".join(HOSTILE) + "\n", encoding="utf-8")
    out = tmp_path / "deep" / "out"
    made_in(out, "--list", names, "--apart")
    files = sorted((out / "sets").iterdir())
    assert len(files) == len(HOSTILE)
    assert all(re.fullmatch(r"\d+ .*\.pdf", file.name) and len(file.name.encode()) < 90 for file in files)
    assert {path.name for path in (tmp_path / "deep").iterdir()} == {"out"}
    counts = set()
    for number, file in enumerate(files, start=1):
        assert not prove(file).findings
        counts.add(len(PdfReader(file).pages))
        assert all(f"set {number} of {len(HOSTILE)}" in page for page in pages_of(file))
    assert len(counts) == 1
    assert not prove(out / "worksheets.pdf").findings


@pytest.mark.slow
@pytest.mark.parametrize(
    ("more", "status", "words"),
    [
        (("--list", "bad.csv"), 1, ["bad.csv, row 3", "row 4", "2 errors"]),
        (("--list", "none.csv"), 1, ["none.csv: the file was not found"]),
        (("--for", "Nobody"), 2, ["Nobody", "1 to 7"]),
        (("--loft", "shear"), 2, ["shear", "sheer"]),
        (("--price", "cheap"), 2, ["--price", "0.04"]),
        (("--paper-mass", "heavy"), 2, ["--paper-mass", "80 g/m2"]),
        (("--only", "frame 9"), 2, ["frame 9", "frame 2"]),
        (("--overlap", "180 mm"), 2, ["overlap"]),
    ],
)
def test_what_cannot_be_is_told_and_nothing_is_written(
    tmp_path: Path, more: tuple[str, str], status: int, words: list[str]
) -> None:
    (tmp_path / "bad.csv").write_text("name\nAda\nAda\nAda\n", encoding="utf-8")
    more = (more[0], str(tmp_path / more[1])) if more[0] == "--list" else more
    only = () if more[0] == "--only" else ("--only", "frame 2")
    result = run("class", CLASS, *only, "--paper", "a4", "--output", tmp_path / "out", *more)
    assert result.exit_code == status, result.output
    assert all(word in result.output for word in words), result.output
    assert "Traceback" not in result.output
    assert not (tmp_path / "out").exists()


@pytest.mark.slow
def test_a_set_of_thousands_of_pages_is_asked_about(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("patterns.run.job.MANY_PAGES", 3)
    asked = run("class", CLASS, "--only", "frame 2", "--paper", "a4", "--quick", "--output", tmp_path / "out")
    assert asked.exit_code == 2
    assert "--yes" in asked.output
    assert not (tmp_path / "out").exists()
    made_in(tmp_path / "out", "--yes")
