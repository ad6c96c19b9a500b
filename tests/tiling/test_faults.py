"""Faults seeded in finished files are found, harmless changes are not; a sample of `tests.bench.faults_bench`."""

from __future__ import annotations

from pathlib import Path
from random import Random

import pytest

from tests.bench.fault_files import SORTS, write_sort
from tests.bench.faults_bench import KINDS, findings_after
from tests.bench.harmless import HARMLESS
from tiling.proof import prove

SAMPLE = 8  # kinds on each page of the table, drawn anew for each sort


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    folder = tmp_path_factory.mktemp("faults")
    return {sort: write_sort(sort, folder) for sort in SORTS}


@pytest.mark.slow
def test_there_are_more_than_a_hundred_kinds() -> None:
    assert len(KINDS) > 100


@pytest.mark.slow
@pytest.mark.parametrize("sort", SORTS)
def test_a_file_of_every_sort_is_as_its_record_says(files: dict[str, Path], sort: str) -> None:
    proof = prove(files[sort])
    assert proof.findings == []
    assert proof.pages > 0


@pytest.mark.slow
@pytest.mark.parametrize("sort", SORTS)
def test_a_sample_of_faults_is_found(files: dict[str, Path], sort: str, tmp_path: Path) -> None:
    chance = Random(sort)
    seeded, missed = 0, []
    for kind in chance.sample(sorted(KINDS), 3 * SAMPLE):
        findings = findings_after(files[sort], KINDS[kind], chance, tmp_path / "changed.pdf")
        if findings is not None:
            seeded += 1
            missed += [kind] if not findings else []
    assert missed == []
    assert seeded >= SAMPLE


@pytest.mark.slow
@pytest.mark.parametrize("change", sorted(HARMLESS))
def test_a_harmless_change_raises_no_alarm(files: dict[str, Path], change: str, tmp_path: Path) -> None:
    sort = Random(change).choice(("sheets", "letter", "class", "model"))
    assert findings_after(files[sort], HARMLESS[change], Random(1), tmp_path / "changed.pdf") == []
