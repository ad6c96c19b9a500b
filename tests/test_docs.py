"""Generated papers are current."""

from __future__ import annotations

from tests.docs.papers import papers


def test_generated_papers_are_current() -> None:
    for path, text in papers().items():
        assert path.read_text(encoding="utf-8") == text, f"{path}: write it again: python -m tests.docs"
