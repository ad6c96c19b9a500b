"""Writing a set of files so that nothing is lost: whole or not at all, and never over another's work.

A small list of what was written, with a digest of each file, lies beside the files.  A file that is not on it,
or that has been changed since, is not written over unless that is asked for.
"""

from __future__ import annotations

import errno
import json
import unicodedata
from collections.abc import Collection, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from patterns.errors import DesignError, PatternsError, Problem
from patterns.files.staging import digest, opened_workshop, put_in_place, settled

__all__ = ["Batch", "batch", "cannot_write", "left_over", "put_back", "safe_name"]

LIST = ".written.json"

# Names that mean a device wherever they stand in Windows, whatever follows their first dot (from memory).
DEVICES = {"con", "prn", "aux", "nul", *(f"{port}{n}" for port in ("com", "lpt") for n in "0123456789¹²³")}

CURES = {
    "ENOSPC": "make room on that drive, or name another folder with --output",
    "EDQUOT": "make room on that drive, or name another folder with --output",
    "EFBIG": "make room on that drive, or name another folder with --output",
    "EROFS": "the drive can only be read; name another folder with --output",
    "EACCES": "the folder may be read-only, or a program holds one of the files open: close it, or name another "
    "folder with --output",
    "EPERM": "the folder may be read-only, or a program holds one of the files open: close it, or name another "
    "folder with --output",
    "EBUSY": "a program holds one of the files open: close it and run again",
    "EXDEV": "parts of the folder lie on different drives; name another folder with --output",
    "EISDIR": "a folder of that name is in the way; move it, or name another folder with --output",
    "ENOTDIR": "a file of that name is in the way; move it, or name another folder with --output",
    "ENAMETOOLONG": "the folder's path is too long; name a shorter one with --output",
}


def cannot_write(path: Path, error: OSError) -> PatternsError:
    """What to say of a failure of the drive: what could not be written, why, and what helps."""
    cure = CURES.get(errno.errorcode.get(error.errno or 0, ""), "")
    which = error.filename if isinstance(error.filename, str) else path
    said = f"{which}: cannot be written: {error.strerror or error}"
    return PatternsError(f"{said}; {cure}; what was there before is left as it was" if cure else said)


def safe_name(words: str, *, longest: int = 80) -> str:
    """A file name from words: letters, digits, spaces, dots and hyphens are kept, the rest becomes a hyphen.

    Args:
        longest: in bytes; file systems allow 255 for the whole name.
    """
    words = unicodedata.normalize("NFC", words)
    kept = "".join(c if c.isalnum() or c in " -_." else "-" for c in words.strip())
    kept = " ".join(kept.split()).strip(". ")
    while len(kept.encode(errors="replace")) > longest:
        kept = kept[:-1]
    kept = kept.rstrip(". ")
    if kept.partition(".")[0].rstrip().casefold() in DEVICES:
        kept = f"-{kept}"
    return kept or "boat"


@dataclass(frozen=True, slots=True, kw_only=True)
class Batch:
    """A folder in the making: files are written here and moved into place together.

    Attributes:
        workshop: the folder in which they are written.
        names: what has been written so far; it grows.
        own: files beside it that are the program's alone: not listed, and written over unasked.
    """

    workshop: Path
    names: list[str] = field(default_factory=list)
    own: list[str] = field(default_factory=list)

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

    def keep(self, name: str, content: bytes) -> None:
        """Write a file that is the program's alone."""
        self.own.append(name)
        (self.workshop / name).write_bytes(content)

    def write(self, name: str, text: str) -> None:
        """Write a text file, UTF-8."""
        self.path(name).write_text(text, encoding="utf-8", newline="")


def _written_before(folder: Path) -> dict[str, list[str]]:
    """By name, the digests that an earlier run's file may have."""
    try:
        listed = json.loads((folder / LIST).read_text(encoding="utf-8"))
    except (OSError, ValueError, RecursionError):
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
        if name not in names and (folder / name).is_file() and digest(folder / name) in digests
    )


@contextmanager
def batch(folder: Path, *, replace: bool = False) -> Iterator[Batch]:
    """Write files into a folder: all are finished before the first is put in its place.

    A failure leaves the folder as it was, even one that comes while files are being moved.  Each file is moved in
    one step, so none is ever half written; of a run that is killed while it moves them the next undoes the moves.

    Args:
        replace: files that were not written by an earlier run, or were changed since, may be written over.
    Raises:
        DesignError: such files stand in the way (all of them are named).
        PatternsError: the folder cannot be written.
    """
    try:
        with opened_workshop(folder) as workshop:
            work = Batch(workshop=workshop)
            yield work
            _put_in_place(work, folder, replace=replace)
    except OSError as error:
        raise cannot_write(folder, error) from error


def put_back(folder: Path) -> bool:
    """Put the former set back where a run was killed while it moved its files; whether there was one.

    Raises:
        PatternsError: the folder cannot be written.
    """
    try:
        return settled(folder)
    except OSError as error:
        raise cannot_write(folder, error) from error


def _put_in_place(work: Batch, folder: Path, *, replace: bool) -> None:
    before = _written_before(folder)
    in_the_way = [
        Problem(
            str(folder / name),
            "was not written by an earlier run, or was changed since",
            "move it away, choose another folder with --output, or use --force",
            code="foreign-file",
        )
        for name in work.names
        if (folder / name).exists() and digest(folder / name) not in before.get(name, [])
    ]
    if in_the_way and not replace:
        raise DesignError(in_the_way)
    fresh = {name: [digest(work.workshop / name)] for name in work.names}
    (work.workshop / LIST).write_text(json.dumps(before | fresh, indent=0), encoding="utf-8")
    put_in_place(work.workshop, folder, (*work.names, *work.own, LIST))
