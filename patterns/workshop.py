"""The folder in which files are written before they are moved into place, and what killed runs left of theirs.

A workshop is held by a lock on a file in it for as long as its run lives, so that another run can tell one that is
at work from one that was left behind, and clears only the latter away.
"""

from __future__ import annotations

import shutil
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

__all__ = ["FORMER", "PREFIX", "opened_workshop"]

PREFIX = ".being-written-"
HELD = ".held"
FORMER = ".former"


@contextmanager
def opened_workshop(folder: Path) -> Iterator[Path]:
    """A workshop on the drive of a folder, gone when it is left; what killed runs left there is cleared away.

    It lies in the folder itself where that is there already, for the folder beside it may be on another drive or
    read-only; else beside the folder, which is not made before there is something to put in it.

    Raises:
        OSError: it cannot be made.
    """
    place = folder if folder.is_dir() else _nearest(folder)
    for near in {place, folder.parent}:
        _clear_left(near)
    workshop = Path(tempfile.mkdtemp(prefix=PREFIX, dir=place))
    try:
        with (workshop / HELD).open("wb") as held:
            with suppress(OSError):  # a drive without locks: nobody can take hold, nor clear it away
                _lock(held.fileno())
            yield workshop
    finally:
        shutil.rmtree(workshop, ignore_errors=True)


def _nearest(folder: Path) -> Path:
    """The folder above, made where it is not there."""
    folder.parent.mkdir(parents=True, exist_ok=True)
    return folder.parent


def _clear_left(place: Path) -> None:
    try:
        left = [path for path in place.glob(f"{PREFIX}*") if path.is_dir() and not path.is_symlink()]
    except OSError:  # it need not be ours to read
        return
    for workshop in left:
        if _is_left(workshop):
            shutil.rmtree(workshop, ignore_errors=True)


def _is_left(workshop: Path) -> bool:
    """Whether nobody holds it any more; in doubt it is left alone."""
    try:
        with (workshop / HELD).open("r+b") as held:
            _lock(held.fileno())
        (workshop / HELD).unlink()  # on Windows refused while another has it open
    except FileNotFoundError:
        return not any(workshop.iterdir())  # killed before it could take hold
    except OSError:
        return False
    return True


def _lock(handle: int) -> None:
    """Take hold of an open file.

    Where files cannot be locked so, an open one cannot be removed.

    Raises:
        OSError: somebody else holds it, or the drive has no locks.
    """
    if sys.platform != "win32":
        import fcntl

        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
