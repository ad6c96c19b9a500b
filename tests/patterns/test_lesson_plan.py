"""The lesson's papers: four pages, times that add up, every group on the sheet for marks."""

from __future__ import annotations

import io
import re

import pytest
from pypdf import PdfReader

from patterns.lesson.lesson_plan import CHECKS, Lesson, write_lesson
from tiling.paper import Page, parse_paper

NAMES = tuple(f"Bench {number}" for number in range(1, 16))


def pages_of(paper: str, pages: int) -> list[str]:
    lesson = Lesson(
        title="Chalk and String", mark="A2VXY", names=NAMES, pages=pages, grids=2, wrong=2, angles=True,
        bends=("sheer: a batten", "chine: a batten"), scale="", cautions=("Glasses on.",),
    )  # fmt: skip
    stream = io.BytesIO()
    count = write_lesson(stream, lesson, page=Page(paper=parse_paper(paper)))
    read = [page.extract_text() for page in PdfReader(stream).pages]
    assert len(read) == count
    return read


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_a_class_of_fifteen_has_one_page_of_each_kind(paper: str) -> None:
    plan, checks, board, words = pages_of(paper, 12)
    assert "Lesson plan" in plan
    assert "fair" in board
    assert "bevel" in words
    assert "Glasses on." in words
    assert all(name in checks for name in NAMES)
    assert sum(points for _, _, points in CHECKS) == 30


@pytest.mark.parametrize("pages", [4, 28])
def test_the_times_add_up_and_taping_grows_with_the_pages(pages: int) -> None:
    """Three minutes a page and two, to five minutes upward."""
    plan = pages_of("a4", pages)[0]
    rows = [tuple(map(int, found)) for found in re.findall(r"^(\d+)\s+(\d+)\s+(\d+)\s", plan, re.MULTILINE)]
    assert [row[0] for row in rows] == list(range(1, 11))
    total = re.search(r"(\d+)\s+(\d+)\s+minutes in all", plan, re.MULTILINE)
    assert total is not None
    assert (int(total[1]), int(total[2])) == (sum(row[1] for row in rows), sum(row[2] for row in rows))
    assert rows[5][1:] == (-(-3 * pages // 5) * 5, -(-2 * pages // 5) * 5)
