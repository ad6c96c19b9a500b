"""Models from end to end: every piece once, at its size, under a number that the key explains."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

from patterns.cli import main
from patterns.model.packed import packed
from patterns.model.piece import ModelPiece
from tests.demo import DEMO
from tests.tiling.readback import read
from tiling.proof import prove

CUT = 0.5  # mm, the breadth of a line to cut along


def square(wide: float, high: float, name: str = "piece") -> ModelPiece:
    corners = np.array([[0.0, 0.0], [wide, 0.0], [wide, high], [0.0, high]])
    return ModelPiece(name=name, count=1, stock="card", outlines=(corners,))


def drawn_length(drawings) -> float:  # type: ignore[no-untyped-def]
    total = 0.0
    for drawing in drawings:
        for path in drawing.paths:
            if path.stroke.width == CUT:
                ring = np.vstack([path.points, path.points[:1]]) if path.closed else path.points
                total += float(np.linalg.norm(np.diff(ring, axis=0), axis=1).sum())
    return total


def test_pieces_are_inside_their_pages_and_apart() -> None:
    sizes = [(10.0 + 7.0 * (i % 11), 15.0 + 9.0 * (i % 7)) for i in range(40)]
    packing = packed([square(*size) for size in sizes], 1.0, 180.0, 240.0)
    assert not packing.parted
    boxes = []
    for number, page in enumerate(packing.pages, start=1):
        for path in page.paths:
            low, high = path.points.min(axis=0), path.points.max(axis=0)
            assert (low >= 0.0).all()
            assert high[0] <= 180.0
            assert high[1] <= 240.0
            boxes.append((number, *low, *high))
    assert len(boxes) == 40
    for i, (page, x0, y0, x1, y1) in enumerate(boxes):
        for other, u0, v0, u1, v1 in boxes[:i]:
            assert page != other or x1 <= u0 or u1 <= x0 or y1 <= v0 or v1 <= y0
    assert sum(len(on) for on in packing.of_piece) == 40


@pytest.mark.parametrize("size", [(700.0, 90.0), (90.0, 700.0), (500.0, 420.0)])
def test_a_piece_longer_than_a_page_is_in_parts_that_make_all_of_it(size: tuple[float, float]) -> None:
    """The lines to cut add up to the outline's own length; the number is on each part with a letter."""
    packing = packed([square(*size)], 1.0, 180.0, 240.0)
    assert packing.parted
    assert drawn_length(packing.pages) == pytest.approx(2.0 * sum(size))
    names = sorted(note.text for page in packing.pages for note in page.notes)
    assert names == [f"1{letter}" for letter in "ABCDEFGHI"[: len(names)]]
    assert len(names) >= 3


@pytest.mark.slow
@pytest.mark.parametrize(("kind", "board"), [("parts", "3 mm"), ("lifts", "12 mm"), ("slots", "3 mm")])
def test_a_models_pages_prove_and_its_key_names_every_number(kind: str, board: str, tmp_path: Path) -> None:
    result = CliRunner().invoke(
        main,
        ["model", str(DEMO / "class"), "--type", kind, "--board", board, "--scale", "1:8", "--paper", "a4",
         "--output", str(tmp_path / "out")],
    )  # fmt: skip
    assert result.exit_code == 0, result.output
    (file,) = (tmp_path / "out").glob("*.pdf")
    proof = prove(file)
    assert proof.findings == []
    key, *sheets = read(file)
    count = int(re.search(r"(\d+) pieces", result.output)[1])  # type: ignore[index]
    on_pieces = {
        re.sub(r"[A-Z]$", "", said.text)
        for sheet in sheets
        for said in sheet.said
        if re.fullmatch(r"\d+[A-Z]?", said.text) and said.size > 6.0 and said.at[1] > 40.0
    }
    assert on_pieces == {str(number) for number in range(1, count + 1)}
    words = [said.text for said in key.said]
    assert all(str(number) in words for number in range(1, count + 1))


@pytest.mark.slow
def test_a_plank_of_the_model_is_as_long_as_the_boats(tmp_path: Path) -> None:
    """The side plank's outline at 1:8 has an eighth of its length at full size."""
    from patterns.boat import load_boat
    from patterns.design.strake_models import StrakePatternSpec
    from patterns.drawing.of_piece import pattern_of
    from patterns.members.strake import WORDS, strake_piece
    from patterns.model.parts import part_pieces
    from patterns.subject import load

    pieces = {piece.name: piece for piece in part_pieces(load(DEMO), 1.0 / 8.0)}  # type: ignore[arg-type]
    boat = load_boat(DEMO)
    spec = StrakePatternSpec.model_validate({"strake": "side", "stock": "x", "trim": "0 mm"})
    plank = pattern_of(boat, strake_piece(boat, spec), WORDS)
    assert pieces["side strake"].size == pytest.approx(np.array(plank.size()), abs=0.01)
    packing = packed([pieces["side strake"]], 1.0 / 8.0, 180.0, 240.0)
    (line,) = pieces["side strake"].outlines
    ring = np.vstack([line, line[:1]])
    assert drawn_length(packing.pages) == pytest.approx(
        float(np.linalg.norm(np.diff(ring, axis=0), axis=1).sum()) / 8.0, rel=1e-6
    )


@pytest.mark.parametrize(
    ("more", "word"), [(("--board", "thick"), "--board"), (("--board", "400 mm"), "--board")]
)
def test_what_cannot_be_is_refused_and_nothing_is_written(
    more: tuple[str, str], word: str, tmp_path: Path
) -> None:
    result = CliRunner().invoke(
        main, ["model", str(DEMO / "class"), *more, "--output", str(tmp_path / "out")]
    )
    assert result.exit_code == 2
    assert word in result.output
    assert not (tmp_path / "out").exists()
