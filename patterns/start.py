"""A new design folder with everything to fill in, each key explained."""

from __future__ import annotations

from importlib import resources
from pathlib import Path

from patterns.errors import DesignError, PatternsError, Problem

__all__ = ["STARTER_FILES", "start_folder"]

STARTER_FILES = ("design.toml", "offsets.csv", "stem.csv")


def start_folder(folder: Path) -> tuple[Path, ...]:
    """Write the starter's files into a folder, which is made if need be.

    Returns:
        The files that were written.
    Raises:
        DesignError: files of those names are there already; none is touched.
        PatternsError: the folder cannot be written.
    """
    standing = [folder / name for name in STARTER_FILES if (folder / name).exists()]
    if standing:
        raise DesignError(
            Problem(str(path), "is there already and is left as it is", "name another folder")
            for path in standing
        )
    starter = resources.files("patterns") / "starter"
    written = []
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for name in STARTER_FILES:
            (folder / name).write_bytes((starter / name).read_bytes())
            written.append(folder / name)
    except OSError as error:
        raise PatternsError(f"{folder}: cannot be written: {error.strerror or error}") from error
    return tuple(written)
