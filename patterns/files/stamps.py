"""Whether the files of a design folder were changed: their times and sizes, as the drive has them."""

from __future__ import annotations

import time
from collections.abc import Iterable, Mapping
from pathlib import Path

__all__ = ["PAUSE", "Stamps", "changed_names", "changes", "stamps_of"]

TYPED = frozenset({".csv", ".toml"})  # what a design folder is read from
PAUSE = 0.3  # seconds between two looks at the folder

Stamps = Mapping[str, tuple[int, int]]


def stamps_of(folder: Path) -> Stamps:
    """Time of change (ns) and size (bytes) of every table and design file in a folder, by name."""
    found = {}
    try:
        for path in folder.iterdir():
            if path.suffix.lower() in TYPED and not path.name.startswith("."):
                stat = path.stat()
                found[path.name] = (stat.st_mtime_ns, stat.st_size)
    except OSError:  # a file that is being replaced, or a drive that is away: the next look finds it
        return found
    return found


def changed_names(before: Stamps, now: Stamps) -> tuple[str, ...]:
    """The files that differ, are new or are gone."""
    return tuple(sorted(name for name in {*before, *now} if before.get(name) != now.get(name)))


def changes(folder: Path, since: Stamps) -> Iterable[tuple[str, ...]]:
    """Wait for changes without end: the names of each batch, once the folder is quiet again.

    Args:
        since: what has been read.
    """
    while True:
        time.sleep(PAUSE)
        now = stamps_of(folder)
        if now == since:
            continue
        while True:  # a spreadsheet writes a file in several steps
            time.sleep(PAUSE)
            later = stamps_of(folder)
            if later == now:
                break
            now = later
        names, since = changed_names(since, now), now
        if names:
            yield names
