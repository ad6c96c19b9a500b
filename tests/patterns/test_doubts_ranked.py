"""Errors, doubts and hints: their order, their exit status, and what they keep from being made."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from pypdf import PdfReader

from patterns import check, make
from patterns.cli import main
from patterns.errors import DoubtsError, Problem
from patterns.findings import Findings
from patterns.run.in_doubt import marked
from patterns.run.page_request import PageRequest
from tests.demo import DEMO, demo_patterns
from tests.patterns.folders import DESIGN, changed, write_folder

THIN = changed(DESIGN, 'moulded_side = "70 mm"', 'moulded_side = "22 mm"')
"""Frame 3 is moulded 22 mm at the side, and the clamp is let into it 21 mm."""

WRONG = Problem("design.toml", "wrong", code="unknown-key")
DOUBT = Problem("design.toml", "odd", code="thin-wood")
HINT = Problem("design.toml", "so", code="line-end-moved")


def run(*words: str | Path) -> Result:
    return CliRunner().invoke(main, [str(word) for word in words])


@pytest.mark.parametrize(
    ("findings", "status"),
    [
        (Findings(title="a"), 0),
        (Findings(title="a", warnings=(HINT,)), 0),
        (Findings(title="a", warnings=(HINT, DOUBT)), 3),
        (Findings(title="a", points=(HINT,)), 3),
        (Findings(title="a", errors=(WRONG,), warnings=(DOUBT,)), 1),
    ],
)
def test_the_status_is_that_of_the_gravest_finding(findings: Findings, status: int) -> None:
    assert findings.status == status
    assert set(findings.doubts) | set(findings.hints) == set(findings.warnings)


@pytest.mark.slow
def test_check_ends_with_the_status_of_its_findings(tmp_path: Path) -> None:
    assert run("check", DEMO).exit_code == check(DEMO).status == 0
    doubtful = write_folder(tmp_path, design=THIN)
    findings = check(doubtful)
    assert "little-wood-left" in {problem.code for problem in findings.of_pieces}
    done = run("check", doubtful)
    assert done.exit_code == findings.status == 3
    shown = done.stdout
    for problem in findings.doubts:
        assert problem.what in shown
        assert shown.index(problem.what) < shown.index("patterns can be made")
    wrong = write_folder(tmp_path, design=changed(DESIGN, 'panel = "18 mm"', 'panle = "18 mm"'))
    assert run("check", wrong).exit_code == check(wrong).status == 1


@pytest.mark.slow
def test_patterns_repeats_doubts_before_pages_and_marks_the_piece(tmp_path: Path) -> None:
    doubtful, into = write_folder(tmp_path, design=THIN), tmp_path / "out"
    made = make(doubtful, into, only=["frame 3"], request=PageRequest(paper="a4"), quick=True)
    first = next(i for i, line in enumerate(made.words) if "little-wood-left" in line)
    assert first < next(i for i, line in enumerate(made.words) if line.startswith("Rushlight:"))
    words = [page.extract_text() for page in PdfReader(into / "frame 3.pdf").pages]
    assert any("IN DOUBT" in page for page in words)
    sound = make(doubtful, into, only=["breasthook"], request=PageRequest(paper="a4"), quick=True)
    assert sound.folder == into
    assert not any("IN DOUBT" in page.extract_text() for page in PdfReader(into / "breasthook.pdf").pages)


@pytest.mark.slow
def test_strict_makes_nothing_of_a_design_in_doubt(tmp_path: Path) -> None:
    doubtful, into = write_folder(tmp_path, design=THIN), tmp_path / "out"
    with pytest.raises(DoubtsError) as caught:
        make(doubtful, into, strict=True, request=PageRequest(paper="a4"))
    assert "little-wood-left" in {problem.code for problem in caught.value.problems}
    done = run("patterns", doubtful, "--strict", "--paper", "a4", "--output", into)
    assert done.exit_code == 3
    assert not into.exists()
    allowed = run("patterns", doubtful, "--only", "breasthook", "--paper", "a4", "--quick", "--output", into)
    assert allowed.exit_code == 0
    assert (into / "breasthook.pdf").exists()


def test_a_piece_in_doubt_carries_its_codes_as_a_fact() -> None:
    doubts = [
        Problem("design.toml", "a", code="thin-wood", pieces=("frame 3",)),
        Problem("design.toml", "b", code="pieces-overlap", pieces=("breasthook", "keel")),
        Problem("design.toml", "c", code="line-end-moved", pieces=("transom knee",)),
    ]
    pieces = {pattern.name: pattern for pattern in marked(demo_patterns(), doubts)}
    told = {
        name: fact.values["codes"]
        for name, p in pieces.items()
        for fact in p.known
        if fact.kind == "in-doubt"
    }
    of_frame = [pattern.name for pattern in demo_patterns() if pattern.part_of == "frame 3"]
    assert len(of_frame) > 2
    assert told == {**dict.fromkeys(of_frame, ("thin-wood",)), "breasthook": ("pieces-overlap",)}
    assert all(len(pattern.facts) == len(pattern.known) for pattern in pieces.values())
