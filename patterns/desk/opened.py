"""A desk from its opening to its closing, and which design was opened last."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path
from typing import Protocol

from patterns.desk.alive import answers
from patterns.desk.lock import DeskRunningError, held, running

__all__ = ["Shown", "last_opened", "opened"]

LAST = "last"  # the file with the folder that was opened last


class Shown(Protocol):
    """What is done with the address: it is printed, and a browser opened."""

    def __call__(self, address: str, *, running: bool) -> None:
        """Show the page; ``running`` where another desk serves it already."""


def opened(folder: Path, *, room: Path, show: Shown) -> None:
    """Open the desk of a folder until it is interrupted; or show the one that is open already.

    Args:
        room: the user's own folder for locks.
    Raises:
        PatternsError: the lock cannot be written.
    """
    there = running(folder, room=room, answers=answers)
    if there:
        show(there, running=True)
        return
    from patterns.desk.desk import Desk  # what draws boats is slow to start
    from patterns.desk.server import DeskServer

    desk = Desk(folder)
    with DeskServer(desk) as server:
        address = server.gate.address
        try:
            with held(folder, address, room=room, answers=answers):
                with suppress(OSError):  # a convenience
                    (room / LAST).write_text(str(folder.resolve()), encoding="utf-8")
                desk.open()
                try:
                    show(address, running=False)
                    server.serve_forever()
                except KeyboardInterrupt:
                    pass
                finally:
                    desk.close()
        except DeskRunningError as error:
            show(error.address, running=True)


def last_opened(room: Path) -> Path | None:
    """The design folder that was opened last; None where there is none any more."""
    try:
        folder = Path((room / LAST).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return None
    return folder if folder.is_dir() else None
