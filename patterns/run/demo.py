"""The demo design: six invented boats in one folder, found where the source lies or where a wheel has put it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from importlib import metadata
from pathlib import Path

from patterns.errors import InternalError

__all__ = ["demo_files"]

NAME = "demo_design"
WRITTEN = {".csv", ".toml"}


def demo_files() -> Mapping[str, bytes]:
    """Every file of the demo design, by its path below the folder.

    Raises:
        InternalError: the installed package lacks them.
    """
    for folder in _places():
        if (folder / "design.toml").is_file():
            return {
                path.relative_to(folder).as_posix(): path.read_bytes()
                for path in sorted(folder.rglob("*"))
                if path.suffix in WRITTEN
            }
    raise InternalError(f"the folder {NAME} is missing from this installation; install scrieve again")


def _places() -> Iterator[Path]:
    """Where the folder may be: beside the package in its source, else among the installed data."""
    beside = Path(__file__).parents[2]
    yield beside / NAME
    yield beside / "share" / "scrieve" / NAME  # where pip put it into a folder of the user's choice
    try:
        installed = metadata.files("scrieve") or []
    except metadata.PackageNotFoundError:
        return
    for file in installed:
        if file.parts[-2:] == (NAME, "design.toml"):
            yield Path(str(file.locate())).parent
