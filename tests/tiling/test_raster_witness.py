"""The second witness: pages drawn by pypdfium2 against the record's own drawing; filled shapes by closed forms."""

from __future__ import annotations

import math
from pathlib import Path
from random import Random

import numpy as np
import pytest

from tests.bench.fault_files import SORTS, write_sort
from tests.bench.faults_bench import KINDS, findings_after
from tests.bench.harmless import HARMLESS
from tiling.proof import prove
from tiling.proof.raster_witness import LEAST, _grown
from tiling.proof.shapes_filled import filled, inside
from tiling.text.font_tables import Glyphs
from tiling.text.typeface import font_file

CIRCLE = np.array([[math.cos(a), math.sin(a)] for a in np.linspace(0.0, 2.0 * math.pi, 200, endpoint=False)])

# What anybody would see on the print: each shows in any file that has something of its kind.
SEEN = (
    "stroke left out", "stroke doubled aside", "hole left out", "spot left out", "words left out", "words white",
    "words moved 20 mm", "words mirrored", "line white", "line thick", "rulers left out", "rulers doubled",
    "drawing moved 30 mm", "drawing mirrored", "a clip that is empty", "white patch on top", "black patch on top",
    "grey patch on top", "picture on top", "page empty", "half of the page left out", "mark left out",
    "form: empty", "other words added",
)  # fmt: skip


def test_a_filled_shape_has_as_many_points_as_its_area() -> None:
    """Source: the areas of a circle and of a ring."""
    pitch = 0.02
    assert len(filled([CIRCLE], pitch)) * pitch**2 == pytest.approx(math.pi, rel=0.01)
    ring = [CIRCLE, 0.5 * CIRCLE[::-1]]
    assert len(filled(ring, pitch)) * pitch**2 == pytest.approx(0.75 * math.pi, rel=0.02)
    same_way = [CIRCLE, 0.5 * CIRCLE]  # a hole by the even-odd rule alone
    assert len(filled(same_way, pitch, odd=True)) * pitch**2 == pytest.approx(0.75 * math.pi, rel=0.02)
    assert len(filled(same_way, pitch)) * pitch**2 == pytest.approx(math.pi, rel=0.02)


def test_points_are_inside_where_they_are_filled() -> None:
    points = np.array([[0.0, 0.0], [0.7, 0.0], [0.0, -0.99], [1.01, 0.0], [0.8, 0.8]])
    assert inside(points, [CIRCLE]).tolist() == [True, True, True, False, False]
    assert inside(points, [CIRCLE, 0.5 * CIRCLE], odd=True).tolist() == [False, True, True, False, False]
    ring = [CIRCLE, 0.5 * CIRCLE[::-1]]
    assert inside(filled(ring, 0.05), ring).all()


def test_outlines_of_letters_fill_the_boxes_that_the_font_gives_them() -> None:
    glyphs = Glyphs(font_file().read_bytes())
    found = 0
    for glyph in [glyphs.by_code[ord(letter)] for letter in "AHQg@é½Ω8,"]:
        points = np.concatenate(glyphs.outline(glyph))
        box = [*points.min(axis=0), *points.max(axis=0)]
        found += 1
        assert np.abs(np.array(box) - glyphs.box(glyph)).max() < 3.0  # of 2048 in an em; curves are broken up
    assert found == 10
    assert glyphs.outline(glyphs.by_code[ord(" ")]) == []


@pytest.mark.parametrize("radius", [1.0, 2.5, 4.0])
def test_a_square_grows_to_the_squares_within_a_radius(radius: float) -> None:
    stride, at = 64, (20, 30)
    number = _grown(1 << (at[0] * stride + at[1]), radius, stride)
    due = {
        (row, column)
        for row in range(40)
        for column in range(stride)
        if math.hypot(row - at[0], column - at[1]) <= radius
    }
    assert {divmod(bit, stride) for bit in range(number.bit_length()) if number >> bit & 1} == due


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    folder = tmp_path_factory.mktemp("pictures")
    return {sort: write_sort(sort, folder) for sort in SORTS}


@pytest.mark.slow
@pytest.mark.parametrize("sort", SORTS)
def test_pictures_of_a_file_of_every_sort_are_as_its_record_says(files: dict[str, Path], sort: str) -> None:
    proof = prove(files[sort], pictures=True)
    assert proof.findings == []
    assert proof.pictures == proof.pages > 0
    assert max(proof.seen.stray, proof.seen.missing) < LEAST


@pytest.mark.slow
@pytest.mark.parametrize("kind", SEEN)
def test_a_fault_that_anybody_would_see_is_seen_in_a_picture(
    files: dict[str, Path], kind: str, tmp_path: Path
) -> None:
    """The pictures alone are asked, of files with few pages first.  A patch on blank paper is not seen."""
    changed = tmp_path / "changed.pdf"
    found = (
        findings_after(files[sort], KINDS[kind], Random(kind), changed, pictures=True)
        for sort in ("roll", "test page", "letter")
    )
    assert any(found)


@pytest.mark.slow
@pytest.mark.parametrize("change", Random(1).sample(sorted(HARMLESS), 6))
def test_a_harmless_change_shows_in_no_picture(files: dict[str, Path], change: str, tmp_path: Path) -> None:
    changed = tmp_path / "changed.pdf"
    assert findings_after(files["roll"], HARMLESS[change], Random(1), changed, pictures=True) == []
