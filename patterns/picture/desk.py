"""The picture at the desk: the same page written by itself, again and again while the table is put right."""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path

from patterns.errors import PatternsError, Problem, RequestError
from patterns.pattern import Pattern
from patterns.picture.page import MADE_BY, PagePart, picture_page
from patterns.picture.sections import problems_part

__all__ = ["write_picture"]


def write_picture(
    path: Path,
    title: str,
    parts: Sequence[PagePart],
    patterns: Sequence[Pattern] = (),
    *,
    problems: Sequence[Problem] = (),
) -> str:
    """Write the page to a file of its own; what was written, in words.

    Args:
        title: the boat's name.
        parts: what is shown before the patterns.
        problems: why pieces cannot be made.
    Raises:
        RequestError: a file that is no such page is there; it is left as it is.
        PatternsError: the file cannot be written.
    """
    if problems:
        parts = (problems_part(problems), *parts)
    temporary = path.with_name(f".{path.name}.being-written")
    try:
        if path.exists() and not _ours(path):
            raise RequestError(
                f"--picture {path}: exists and is not a picture that scrieve made; name another file"
            )
        path.parent.mkdir(parents=True, exist_ok=True)
        text = picture_page(title, parts=parts, patterns=patterns)
        temporary.write_text(text, encoding="utf-8", newline="")
        os.replace(temporary, path)
    except OSError as error:
        raise PatternsError(f"{path}: cannot be written: {error.strerror or error}") from error
    finally:
        temporary.unlink(missing_ok=True)
    return f"wrote {path}"


def _ours(path: Path) -> bool:
    """Whether an earlier run wrote it."""
    start = MADE_BY.encode()
    with path.open("rb") as stream:
        return stream.read(len(start)) == start
