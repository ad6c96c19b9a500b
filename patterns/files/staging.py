"""The folder in which files are written before they are moved into place, and what killed runs left of theirs.

A workshop is held by a lock on a file in it for as long as its run lives, so that another run can tell one that is
at work from one that was left behind.  Files are put in place by a journal in the workshop: as long as that lies
there the set is not whole, and whoever finds it left behind undoes the moves, so that the former set is back.
"""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import sys
import tempfile
from collections.abc import Collection, Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import asdict, dataclass
from pathlib import Path

from patterns.errors import PatternsError

__all__ = ["JOURNAL", "PREFIX", "Journal", "digest", "opened_workshop", "put_in_place", "settled"]

PREFIX = ".being-written-"
HELD = ".held"
FORMER = ".former"
JOURNAL = ".journal.json"


def digest(path: Path) -> str:
    """Of a file's content."""
    return hashlib.sha256(path.read_bytes()).hexdigest()


@dataclass(frozen=True, slots=True, kw_only=True)
class Journal:
    """What is being put in place.

    Attributes:
        folder: where, from the folder that the workshop lies in.
        fresh: the digest of each new file, by name.
        former: the digest of each file that is replaced, by name; a copy of it lies in the workshop.
        made: the folders that were made for it, from the same place, the outer ones first.
    """

    folder: str
    fresh: Mapping[str, str]
    former: Mapping[str, str]
    made: tuple[str, ...]


@contextmanager
def opened_workshop(folder: Path) -> Iterator[Path]:
    """A workshop on the drive of a folder, gone when it is left; what killed runs left there is undone.

    It lies in the folder itself where that is there already, for the folder beside it may be on another drive or
    read-only; else beside the folder, which is not made before there is something to put in it.

    Raises:
        OSError: it cannot be made.
    """
    settled(folder)
    place = folder if folder.is_dir() else _nearest(folder)
    workshop = Path(tempfile.mkdtemp(prefix=PREFIX, dir=place))
    try:
        with (workshop / HELD).open("wb") as held:
            with suppress(OSError):  # a drive without locks: nobody can take hold, nor clear it away
                _lock(held.fileno())
            try:
                yield workshop
            finally:
                if not (workshop / JOURNAL).exists():  # else the former files in it are still wanted
                    _empty(workshop)
    finally:
        _remove(workshop)


def settled(folder: Path) -> bool:
    """Clear what killed runs left in a folder and beside it; whether one was killed while it put its set in place.

    That set's moves are undone: its report was never read, so the former set is the one that may be printed.

    Raises:
        OSError: a former file cannot be put back.
    """
    undone = False
    for near in {folder, folder.parent}:
        for workshop in _workshops(near):
            if _is_left(workshop):
                undone = _undo(workshop) or undone
                _empty(workshop)
                _remove(workshop)
    return undone


def put_in_place(workshop: Path, folder: Path, names: Collection[str]) -> None:
    """Move files of a workshop into a folder as one set: a failure, or a kill, leaves the former set.

    Raises:
        PatternsError: another run is putting files in the same place.
        OSError: a file cannot be moved; all moves are undone then.
    """
    former = {name: digest(folder / name) for name in names if (folder / name).exists()}
    for name in former:
        _keep(folder / name, workshop / FORMER / name)
    wanted = {folder, *((folder / name).parent for name in names)}
    journal = Journal(
        folder=os.path.relpath(folder, workshop.parent),
        fresh={name: digest(workshop / name) for name in names},
        former=former,
        made=tuple(os.path.relpath(path, workshop.parent) for path in sorted(wanted) if not path.exists()),
    )
    _write(workshop, journal)
    try:
        _alone(workshop)
        for path in sorted(wanted):
            path.mkdir(parents=True, exist_ok=True)
        for name in names:
            os.replace(workshop / name, folder / name)
    except BaseException:
        with suppress(OSError):  # what the drive refuses now is undone by the next run
            _undo(workshop)
        raise
    (workshop / JOURNAL).unlink()  # from here on the new set is the one


def _keep(path: Path, kept: Path) -> None:
    """Keep a former file by a second name until all is done; it stays in its place meanwhile."""
    kept.parent.mkdir(parents=True, exist_ok=True)
    try:
        os.link(path, kept)
    except OSError:  # a drive without second names
        shutil.copy2(path, kept)


def _write(workshop: Path, journal: Journal) -> None:
    """Write the journal in one step, after everything that it names is on the drive."""
    draft = workshop / f"{JOURNAL}.draft"
    with draft.open("w", encoding="utf-8") as file:
        json.dump(asdict(journal), file)
        file.flush()
        os.fsync(file.fileno())
    os.replace(draft, workshop / JOURNAL)


def _read(workshop: Path) -> Journal | None:
    """The journal, or None where no set was being put in place."""
    try:
        data = json.loads((workshop / JOURNAL).read_text(encoding="utf-8"))
        return Journal(
            folder=data["folder"], fresh=data["fresh"], former=data["former"], made=tuple(data["made"])
        )
    except (
        FileNotFoundError,
        ValueError,
        KeyError,
        TypeError,
    ):  # written in one step: a spoiled one is not ours
        return None


def _alone(workshop: Path) -> None:
    """See that no other run puts files in place here; of two that begin at once both give way."""
    for other in _workshops(workshop.parent):
        if other != workshop and (other / JOURNAL).exists():
            raise PatternsError(
                "another run is putting its files in this folder; let it finish, then run this one again"
            )


def _undo(workshop: Path) -> bool:
    """Put the former set back, as often as it takes; whether there was anything to undo.

    A file that somebody has changed since is left as it is.
    """
    journal = _read(workshop)
    if journal is None:
        return False
    folder = workshop.parent / journal.folder
    for name, fresh in journal.fresh.items():
        path, kept = folder / name, workshop / FORMER / name
        ours = path.is_file() and digest(path) == fresh
        if name not in journal.former:
            if ours:
                path.unlink()
        elif kept.exists() and (ours or not path.exists()):
            os.replace(kept, path)
    for made in reversed(journal.made):
        with suppress(OSError):  # not empty, or never made
            (workshop.parent / made).rmdir()
    (workshop / JOURNAL).unlink()
    return True


def _nearest(folder: Path) -> Path:
    """The folder above, made where it is not there."""
    folder.parent.mkdir(parents=True, exist_ok=True)
    return folder.parent


def _workshops(place: Path) -> list[Path]:
    """The workshops in a folder, at work or left behind."""
    try:
        return [path for path in place.glob(f"{PREFIX}*") if path.is_dir() and not path.is_symlink()]
    except OSError:  # the user may have no right to read it
        return []


def _is_left(workshop: Path) -> bool:
    """Whether no run holds it any more; in doubt it is left alone."""
    held = workshop / HELD
    try:
        with held.open("r+b") as file:
            _lock(file.fileno())
        held.rename(held)  # on Windows refused while another has it open
    except FileNotFoundError:
        return not any(workshop.iterdir())  # killed before it could take hold, or when all else was cleared
    except OSError:
        return False
    return True


def _empty(workshop: Path) -> None:
    """Remove all but the lock, so that a workshop half cleared is still known as left behind."""
    for path in workshop.iterdir():
        if path.is_dir():
            shutil.rmtree(path, ignore_errors=True)
        elif path.name != HELD:
            with suppress(OSError):
                path.unlink()


def _remove(workshop: Path) -> None:
    """Remove an empty workshop; one that is not is left, with its lock, for the next run."""
    with suppress(OSError):
        if [path.name for path in workshop.iterdir()] == [HELD]:
            (workshop / HELD).unlink()
        workshop.rmdir()


def _lock(handle: int) -> None:
    """Take hold of an open file.

    Where files cannot be locked so, an open one cannot be removed or renamed.

    Raises:
        OSError: somebody else holds it, or the drive has no locks.
    """
    if sys.platform != "win32":
        import fcntl

        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
