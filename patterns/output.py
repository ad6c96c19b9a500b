"""Writing a set of files so that nothing is lost: whole or not at all, and never over somebody else's work.

A small list of what was written, with a digest of each file, lies beside the files.  A file that is not on it,
or that has been changed since, is not written over unless that is asked for.
"""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import tempfile
from collections.abc import Collection, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from patterns.errors import DesignError, PatternsError, Problem

__all__ = ["Batch", "batch", "left_over", "safe_name"]

LIST = ".written.json"


def safe_name(words: str, *, longest: int = 80) -> str:
    """A file name from words: letters, digits, spaces, dots and hyphens are kept, the rest becomes a hyphen."""
    kept = "".join(c if c.isalnum() or c in " -_." else "-" for c in words.strip())
    kept = " ".join(kept.split()).strip(". ")
    while len(kept.encode()) > longest:
        kept = kept[:-1]
    return kept.rstrip(". ") or "boat"


@dataclass(frozen=True, slots=True, kw_only=True)
class Batch:
    """A folder in the making: files are written here and moved into place together.

    Attributes:
        workshop: the folder in which they are written.
        names: what has been written so far; it grows.
    """

    workshop: Path
    names: list[str] = field(default_factory=list)

    def path(self, name: str) -> Path:
        """Where to write the file of that name (a folder's name may be part of it).

        Raises:
            PatternsError: a file of that name is in the batch already.
        """
        if name.casefold() in (known.casefold() for known in self.names):
            raise PatternsError(f"two files would be called {name}")
        self.names.append(name)
        path = self.workshop / name
        path.parent.mkdir(parents=True, exist_ok=True)
        return path

    def write(self, name: str, text: str) -> None:
        """Write a text file, UTF-8."""
        self.path(name).write_text(text, encoding="utf-8", newline="")


def _digest(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()


def _written_before(folder: Path) -> dict[str, list[str]]:
    """By name, the digests that an earlier run's file may have."""
    try:
        listed = json.loads((folder / LIST).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    if not isinstance(listed, dict):
        return {}
    return {
        str(name): [str(d) for d in digests] for name, digests in listed.items() if isinstance(digests, list)
    }


def left_over(folder: Path, names: Collection[str]) -> tuple[str, ...]:
    """Files of earlier runs, unchanged since, that are not among the names."""
    return tuple(
        name
        for name, digests in _written_before(folder).items()
        if name not in names and (folder / name).is_file() and _digest(folder / name) in digests
    )


@contextmanager
def batch(folder: Path, *, replace: bool = False) -> Iterator[Batch]:
    """Write files into a folder: all are finished before the first is put in its place.

    A failure before that leaves the folder as it was; each file is moved in one step, so none is ever half written.

    Args:
        replace: files that were not written by an earlier run, or were changed since, may be written over.
    Raises:
        DesignError: such files stand in the way (all of them are named).
        PatternsError: the folder cannot be written.
    """
    try:
        folder.parent.mkdir(parents=True, exist_ok=True)
        workshop = Path(tempfile.mkdtemp(prefix=".being-written-", dir=folder.parent))
    except OSError as error:
        raise PatternsError(f"{folder}: cannot be written: {error.strerror or error}") from error
    try:
        work = Batch(workshop=workshop)
        try:
            yield work
        except OSError as error:
            raise PatternsError(f"{folder}: cannot be written: {error.strerror or error}") from error
        _put_in_place(work, folder, replace=replace)
    finally:
        shutil.rmtree(workshop, ignore_errors=True)


def _put_in_place(work: Batch, folder: Path, *, replace: bool) -> None:
    before = _written_before(folder)
    try:
        in_the_way = [
            Problem(
                str(folder / name),
                "was not written by an earlier run, or was changed since",
                "move it away, choose another folder with --into, or say --replace",
            )
            for name in work.names
            if (folder / name).exists() and _digest(folder / name) not in before.get(name, [])
        ]
        if in_the_way and not replace:
            raise DesignError(in_the_way)
        folder.mkdir(parents=True, exist_ok=True)
        for name in work.names:
            (folder / name).parent.mkdir(parents=True, exist_ok=True)
        fresh = {name: _digest(work.workshop / name) for name in work.names}
        # While files are being moved both the old and the new ones are ours.
        _list(work, folder, before | {name: [*before.get(name, []), new] for name, new in fresh.items()})
        for name in work.names:
            os.replace(work.workshop / name, folder / name)
        _list(work, folder, before | {name: [new] for name, new in fresh.items()})
    except OSError as error:
        raise PatternsError(f"{folder}: cannot be written: {error.strerror or error}") from error


def _list(work: Batch, folder: Path, listed: Mapping[str, list[str]]) -> None:
    (work.workshop / LIST).write_text(json.dumps(listed, indent=0), encoding="utf-8")
    os.replace(work.workshop / LIST, folder / LIST)
