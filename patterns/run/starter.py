"""A new design folder: to fill in, each key explained, for each type of boat and for a repair; or the demo."""

from __future__ import annotations

from collections.abc import Mapping
from importlib import resources
from pathlib import Path

from patterns.design.keys import key_words
from patterns.design.kinds import kinds
from patterns.errors import DesignError, Problem
from patterns.files.batch import cannot_write
from patterns.run.demo import demo_files

__all__ = ["DEMO", "KEYS", "REPAIR", "REPAIR_FILES", "SORTS", "STARTER_FILES", "start_folder"]

SORTS: Mapping[str, str] = {
    "hard chine": "hard_chine",
    "several chines": "several_chines",
    "round bilge": "round_bilge",
}
STARTER_FILES = ("design.toml", "offsets.csv", "stem.csv")
KEYS = "keys.txt"  # every key of the design file in words, to be read beside it
DEMO = "demo"  # boats that are complete
REPAIR, REPAIR_FILES = "broken frame", ("design.toml", "points.csv")


def start_folder(folder: Path, *, sort: str = "hard chine") -> tuple[Path, ...]:
    """Write a starter's files into a folder, which is made if need be.

    Args:
        sort: of boat, one of :data:`SORTS`; or :data:`REPAIR` or :data:`DEMO`.
    Returns:
        The files that were written.
    Raises:
        DesignError: files of those names are there already; none is touched.
        PatternsError: the folder cannot be written; what was begun is taken away again.
    """
    files = demo_files() if sort == DEMO else _to_fill_in(sort)
    standing = [folder / name for name in files if (folder / name).exists()]
    if standing:
        raise DesignError(
            Problem(
                str(path),
                "already exists and was not changed",
                "name another folder",
                code="folder-exists",
            )
            for path in standing
        )
    written: list[Path] = []
    try:
        for name, content in files.items():
            (folder / name).parent.mkdir(parents=True, exist_ok=True)
            written.append(folder / name)
            (folder / name).write_bytes(content)
    except OSError as error:
        for path in written:
            path.unlink(missing_ok=True)
        raise cannot_write(folder, error) from error
    return tuple(written)


def _to_fill_in(sort: str) -> Mapping[str, bytes]:
    """The files of a starter by their names."""
    starter = resources.files("patterns") / "starter" / {**SORTS, REPAIR: "broken_frame"}[sort]
    files = {
        name: (starter / name).read_bytes() for name in (REPAIR_FILES if sort == REPAIR else STARTER_FILES)
    }
    design = files["design.toml"].decode()
    files["design.toml"] = (design if sort == REPAIR else _with_members(design, sort)).encode()
    files[KEYS] = "\n".join(key_words(repair=sort == REPAIR)).encode()
    return files


def _with_members(design: str, sort: str) -> str:
    """A starter's design file with each kind of member's own part, where the starter marks its place.

    ``#: frame`` is where that kind's part is put, and ``#: others`` where the parts of kinds without a mark are.
    """
    texts = {kind.name: kind.starter_for(sort) for kind in kinds()}
    for name, text in texts.items():
        if f"#: {name}\n" in design:
            design = design.replace(f"#: {name}\n\n", f"{text}\n\n" if text else "")
            texts[name] = ""
    others = "".join(f"{text}\n\n" for text in texts.values() if text)
    return design.replace("#: others\n\n", others)
