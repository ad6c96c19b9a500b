"""One desk for a folder: a small file with the running desk's address, which a second one opens instead."""

from __future__ import annotations

import hashlib
import json
import os
import secrets
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from patterns.files.batch import cannot_write

__all__ = ["DeskRunningError", "held", "running"]

TRIES = 3  # two desks may clear the same stale lock at once


class DeskRunningError(Exception):
    """Another desk is open on the folder.

    Attributes:
        address: of its page.
    """

    def __init__(self, address: str) -> None:
        self.address = address
        super().__init__(f"the desk is open already: {address}")


@contextmanager
def held(folder: Path, address: str, *, room: Path, answers: Callable[[str], bool]) -> Iterator[None]:
    """Be the one desk of a folder.  A lock whose desk does not answer any more is cleared.

    Args:
        address: of this desk's page; only the user may read the lock, for the address holds the token.
        room: the user's own folder for locks: a design folder may be shared, and its files copied elsewhere.
        answers: whether the desk at an address still runs.
    Raises:
        DeskRunningError: another one is.
        PatternsError: the lock cannot be written.
    """
    lock = _lock(folder, room)
    draft = room / f"{lock.stem}.{secrets.token_hex(4)}"
    try:
        room.mkdir(parents=True, exist_ok=True, mode=0o700)
        draft.touch(mode=0o600)
        draft.write_text(json.dumps({"address": address}), encoding="utf-8")
        _take(lock, draft, answers)
    except OSError as error:
        raise cannot_write(lock, error) from error
    finally:
        draft.unlink(missing_ok=True)
    try:
        yield
    finally:
        if _address(lock) == address:
            lock.unlink(missing_ok=True)


def running(folder: Path, *, room: Path, answers: Callable[[str], bool]) -> str:
    """The address of the desk that is open on a folder; empty where there is none."""
    address = _address(_lock(folder, room))
    return address if address and answers(address) else ""


def _lock(folder: Path, room: Path) -> Path:
    """The lock of a folder, by whatever name the folder is called."""
    return room / f"{hashlib.sha256(os.fsencode(folder.resolve())).hexdigest()[:32]}.json"


def _take(lock: Path, draft: Path, answers: Callable[[str], bool]) -> None:
    """Give the draft its place, unless a running desk has it."""
    for _ in range(TRIES):
        try:
            os.link(draft, lock)  # whole from its first moment, and never over another
            return
        except FileExistsError:
            there = _address(lock)
            if there and answers(there):
                raise DeskRunningError(there) from None
            lock.unlink(missing_ok=True)
    os.replace(draft, lock)


def _address(lock: Path) -> str:
    """The address in a lock; empty where it holds none."""
    try:
        found = json.loads(lock.read_text(encoding="utf-8"))
    except (OSError, ValueError, RecursionError):
        return ""
    address = found.get("address") if isinstance(found, dict) else None
    return address if isinstance(address, str) else ""
