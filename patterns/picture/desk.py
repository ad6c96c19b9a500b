"""The picture at the desk: the same page written by itself, again and again while the table is put right."""

from __future__ import annotations

import os
import time
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

from patterns.errors import PatternsError, Problem, RequestError
from patterns.pattern import Pattern
from patterns.picture.page import MADE_BY, PagePart, Rewritten, picture_page
from patterns.picture.sections import problems_part

__all__ = ["PictureFile"]

STAMP = '<svg xmlns="http://www.w3.org/2000/svg" width="{version}" height="1"/>'
VERSIONS = (
    20_000  # that a watched picture counts through; an image much wider is not shown everywhere (from memory)
)


@dataclass(slots=True, kw_only=True)
class PictureFile:
    """A page in a file of its own, made anew whenever it is asked for.

    Attributes:
        path: the page.
        watched: it is written again and again, and a browser that shows it loads it anew by itself.
        version: of the page that was written last, where it is watched.
    """

    path: Path
    watched: bool = False
    version: int = field(default_factory=lambda: int(time.time()) % VERSIONS)

    def write(
        self,
        title: str,
        parts: Sequence[PagePart],
        patterns: Sequence[Pattern] = (),
        *,
        problems: Sequence[Problem] = (),
    ) -> str:
        """Write the page; what was written, in words.

        Args:
            title: the boat's name.
            parts: what is shown before the patterns.
            problems: why pieces cannot be made.
        Raises:
            RequestError: a file that is no such page is there; it is left as it is.
            PatternsError: the file cannot be written.
        """
        if self.path.exists() and not _ours(self.path):
            raise RequestError(
                f"--picture {self.path}: exists and is not a picture that scrieve made; name another file"
            )
        if problems:
            parts = (problems_part(problems), *parts)
        rewritten = None
        if self.watched:
            self.version = 1 + self.version % VERSIONS
            rewritten = Rewritten(stamp=self._stamp.name, version=self.version)
        _write(self.path, picture_page(title, parts=parts, patterns=patterns, rewritten=rewritten))
        if self.watched:
            _write(self._stamp, STAMP.format(version=self.version))
        return f"wrote {self.path}"

    @property
    def _stamp(self) -> Path:
        """The little image beside a watched page, as many points wide as its version's number."""
        return self.path.with_name(f".{self.path.name}.version.svg")

    def close(self) -> None:
        """The page is not written any more; it stays as it is."""
        self._stamp.unlink(missing_ok=True)


def _write(path: Path, text: str) -> None:
    """Write a file beside its place, and move it there whole."""
    temporary = path.with_name(f".{path.name}.being-written")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        temporary.write_text(text, encoding="utf-8", newline="")
        os.replace(temporary, path)
    except OSError as error:
        raise PatternsError(f"{path}: cannot be written: {error.strerror or error}") from error
    finally:
        temporary.unlink(missing_ok=True)


def _ours(path: Path) -> bool:
    """Whether an earlier run wrote it.

    Raises:
        PatternsError: it cannot be read.
    """
    start = MADE_BY.encode()
    try:
        with path.open("rb") as stream:
            return stream.read(len(start)) == start
    except OSError as error:
        raise PatternsError(f"{path}: cannot be read: {error.strerror or error}") from error
