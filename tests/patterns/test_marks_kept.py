"""The marks of a boat's patterns: by what was typed, and by the record that an earlier run left in the folder."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from pypdf import PdfReader

import patterns.run.printed
from patterns.cli import main
from patterns.drawing.of_pattern import draw
from patterns.run.job import job_of, with_other_faces
from patterns.run.page_request import PageRequest
from patterns.subject import load
from tests.demo import DEMO
from tests.patterns.folders import DESIGN, TABLE, changed, write_folder
from tests.tiling.shaken import shaken
from tiling.planning.piece_marks import marked_plans
from tiling.planning.plan import Job, Plan
from tiling.planning.previous_runs import PreviousRuns
from tiling.planning.reuse import next_record


def _job(
    folder: Path, *, paper: str = "a4", scale: str = "1:1", joint: str = "overlap", faces: bool = False
) -> Job:
    request = PageRequest(
        paper=paper, landscape=False, margin="10 mm", overlap="12 mm", scale=scale, joint=joint
    )
    subject = load(folder)
    every = subject.patterns()
    picked = with_other_faces(every) if faces else every
    return job_of(folder, subject, every, picked, request=request, page=request.page(rolls=True))


def _shaken(job: Job, by: float, seed: int) -> Job:
    return replace(job, pieces=tuple(shaken(piece, by=by, seed=seed) for piece in job.pieces))


def _marks(plans: tuple[Plan, ...]) -> dict[str, str]:
    return {plan.label: plan.mark for plan in plans}


@pytest.fixture(scope="module")
def job(tmp_path_factory: pytest.TempPathFactory) -> Job:
    """The small design, with the search for fewer pages."""
    return _job(write_folder(tmp_path_factory.mktemp("small")))


@pytest.fixture(scope="module")
def plans(job: Job) -> tuple[Plan, ...]:
    """Its patterns in a fresh folder."""
    return marked_plans(job)


@pytest.mark.slow
@pytest.mark.parametrize(("by", "seed"), [(1e-6, 2)])
def test_noise_of_libraries_changes_no_mark_and_no_page(
    job: Job, plans: tuple[Plan, ...], by: float, seed: int
) -> None:
    after = marked_plans(_shaken(job, by, seed))
    assert _marks(after) == _marks(plans)
    for one, other in zip(plans, after, strict=True):
        windows = (np.array([tile.window for tile in plan.layout.tiles]) for plan in (one, other))
        assert np.allclose(*windows, rtol=0.0, atol=10.0 * by)
        assert [seam.gives for seam in one.layout.seams] == [seam.gives for seam in other.layout.seams]


@pytest.mark.slow
@pytest.mark.parametrize(
    ("options", "folder"),
    [
        ({"paper": "24 in roll", "faces": True}, DEMO / "class"),
        ({"scale": "1:4", "paper": "letter"}, DEMO / "broken_frame"),
        ({"joint": "butt"}, DEMO / "broken_frame"),
    ],
    ids=["a roll, with other faces", "a model", "a repair, butt joints"],
)
def test_rolls_models_and_repairs_keep_theirs_too(options: dict[str, str], folder: Path) -> None:
    job = _job(folder, **options)  # type: ignore[arg-type]
    job = replace(job, pieces=job.pieces[:8])
    before = marked_plans(job)
    assert _marks(marked_plans(_shaken(job, 1e-6, 1))) == _marks(before)
    former = PreviousRuns.parse(next_record(job, before))
    after = marked_plans(replace(_shaken(job, 0.012, 2), former=former))
    assert _marks(after) == _marks(before)
    assert [plan.layout for plan in after] == [plan.layout for plan in before]
    moved = marked_plans(replace(_shaken(job, 0.05, 3), former=former))
    assert set(_marks(moved).values()).isdisjoint(_marks(before).values())


@pytest.mark.slow
def test_a_figure_changed_gives_other_marks_in_a_fresh_folder_and_few_in_the_old_one(
    job: Job, plans: tuple[Plan, ...], tmp_path: Path
) -> None:
    design = changed(DESIGN, 'throat = "110 mm"', 'throat = "112 mm"')
    other = _job(write_folder(tmp_path, design=design))
    assert other.mark != job.mark
    assert set(_marks(marked_plans(other)).values()).isdisjoint(_marks(plans).values())
    after = marked_plans(replace(other, former=PreviousRuns.parse(next_record(job, plans))))
    anew = [plan for plan in after if plan.kept is None]
    (knee,) = [plan for plan in anew if "transom knee" in _holds(plan)]
    # what shared pages with the knee is laid anew as well; all else keeps mark and pages
    shared = next(plan for plan in plans if "transom knee" in _holds(plan))
    assert {name for plan in anew for name in _holds(plan)} == set(_holds(shared))
    assert knee.mark not in _marks(plans).values()


def _holds(plan: Plan) -> list[str]:
    return [part.name for part in plan.piece.parts or (plan.piece,)]


Run = Callable[..., dict[str, str]]


@pytest.fixture
def run(tmp_path: Path) -> Run:
    """A run of the main job into one folder; the marks that it leaves there."""

    def made(folder: Path, *more: str) -> dict[str, str]:
        out = tmp_path / "out"
        asked = ["patterns", str(folder), "--output", str(out), "--quick", "--paper", "a4", *more]
        result = CliRunner().invoke(main, asked)
        assert result.exit_code == 0, result.output
        data = json.loads((out / "shapes.json").read_text(encoding="utf-8"))
        return {pattern["name"]: pattern["printed"]["mark"] for pattern in data["patterns"]}

    return made


def _said(file: Path) -> set[str]:
    """The marks on the pages of a file."""
    text = "\n".join(page.extract_text() for page in PdfReader(file).pages)
    return set(re.findall(r"[Mm]ark ([2-9A-Z]{5})", text))


@pytest.mark.slow
def test_a_folder_keeps_marks_and_reprints_pages_under_them(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "design"
    folder.mkdir()
    before = run(write_folder(folder))
    # other libraries, a tenth of the worst that is forgiven, and a figure that shapes one piece
    chance = np.random.default_rng(5)

    def drawn(*args, **more):  # type: ignore[no-untyped-def]
        drawing = draw(*args, **more)
        moved = (
            replace(path, points=path.points + chance.uniform(-0.002, 0.002, path.points.shape))
            for path in drawing.paths
        )
        return replace(drawing, paths=tuple(moved))

    monkeypatch.setattr(patterns.run.printed, "draw", drawn)
    design = changed(DESIGN, 'throat = "110 mm"', 'throat = "112 mm"')
    after = run(write_folder(folder, design=design))
    assert {name for name in before if after[name] != before[name]} == {"transom knee"}
    run(folder, "--pages", "frame 3 A3,transom knee A1")
    assert _said(tmp_path / "out" / "patterns pages frame 3 A3 and transom knee A1.pdf") >= {
        after["frame 3"],
        after["transom knee"],
    }
    run(folder, "--only", "frame 3")
    assert after["frame 3"] in _said(tmp_path / "out" / "frame 3.pdf")
    monkeypatch.undo()
    assert run(write_folder(folder)) == before  # and back


@pytest.mark.slow
def test_a_spoiled_set_of_a_class_is_printed_again_under_its_marks(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked = ["class", str(DEMO / "class"), "--output", str(tmp_path / "out"), "--paper", "a4", "--quick"]
    asked += ["--only", "frame 2"]
    first = CliRunner().invoke(main, asked)
    assert first.exit_code == 0, first.output
    chance = np.random.default_rng(6)

    def drawn(*args, **more):  # type: ignore[no-untyped-def]
        drawing = draw(*args, **more)
        return replace(
            drawing,
            paths=tuple(
                replace(path, points=path.points + chance.uniform(-0.01, 0.01, path.points.shape))
                for path in drawing.paths
            ),
        )

    monkeypatch.setattr(patterns.run.printed, "draw", drawn)
    again = CliRunner().invoke(main, [*asked, "--for", "1"])
    assert again.exit_code == 0, again.output
    (file,) = (tmp_path / "out").glob("again for *.pdf")
    assert _said(file)
    assert _said(file) <= _said(tmp_path / "out" / "sets.pdf")


@pytest.mark.slow
def test_a_remark_in_the_table_changes_no_mark(job: Job, tmp_path: Path) -> None:
    folder = write_folder(
        tmp_path, table=TABLE + "# measured on the floor\n", design=DESIGN + "\n# a remark\n"
    )
    other = _job(folder)
    assert other.mark == job.mark
    assert [piece.made_from for piece in other.pieces] == [piece.made_from for piece in job.pieces]
