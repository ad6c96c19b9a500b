"""What a change does to everything that is made: python -m tests.bench.compare_commits BASE [HEAD] [case ...]

Both commits make the same designs in the same environment: the demos as they are at BASE, a skiff, a pram, a
double-ender, patterns on a roll, a scale model, whole patterns, other faces, a repair and a class.  Compared are
pieces, outlines, bevels, facts, words at places, marks, pages and, where all of it is the same, bytes.  Nothing is
stored: other versions of the libraries may draw the last digit otherwise, and both commits alike.  Without HEAD the
work tree is compared.
"""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
import tarfile
import tempfile
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import shapely
from pypdf import PdfReader

from tests.patterns.end_boats import write_double_ender, write_pram

ROOT = Path(__file__).parents[2]
MAIN = "from patterns.cli import main; main()"
DEMO = "demo_design"
OUTLINE, BEVEL = 0.001, 0.01  # mm and degrees up to which nothing is said


def _there(folder: str) -> Callable[[Path, Path], Path]:
    """A design of the base's own; of the work tree where the base has none, so that both know all of its keys."""
    return lambda base, _: base / folder if (base / folder).exists() else ROOT / folder


def _written(write: Callable[[Path], Path]) -> Callable[[Path, Path], Path]:
    return lambda _, folder: write(folder)


@dataclass(frozen=True, slots=True)
class Case:
    """One design and how it is made.

    Attributes:
        write: gives the design's folder, of the base's tree or written into an empty one.
        options: of the verb.
    """

    write: Callable[[Path, Path], Path]
    options: tuple[str, ...] = ("--quick",)
    verb: str = "patterns"


CASES: Mapping[str, Case] = {
    "demo": Case(_there(DEMO)),
    "demo, searched": Case(_there(DEMO), ()),
    "demo, whole": Case(_there(DEMO), ("--quick", "--whole")),
    "demo, other faces": Case(_there(DEMO), ("--quick", "--other-face")),
    "demo, roll": Case(_there(DEMO), ("--quick", "--paper", "24 in roll")),
    "demo, model": Case(_there(DEMO), ("--quick", "--scale", "1:4")),
    "round bilge": Case(_there(f"{DEMO}/round_bilge")),
    "repair": Case(_there(f"{DEMO}/broken_frame")),
    "class": Case(_there(f"{DEMO}/class"), ("--quick",), "class"),
    "skiff": Case(_there("tests/patterns/designs/skiff")),
    "pram": Case(_written(write_pram)),
    "double-ender": Case(_written(write_double_ender)),
}


def _checkout(commit: str, folder: Path) -> Path:
    """The files of a commit, in a folder of their own."""
    archive = subprocess.run(["git", "archive", commit], cwd=ROOT, check=True, capture_output=True).stdout
    with tarfile.open(fileobj=io.BytesIO(archive)) as tar:
        tar.extractall(folder, filter="data")
    return folder


def _made(tree: Path, case: Case, design: Path, into: Path) -> str:
    """Make the case by the code of a tree; returns what went wrong, or nothing.

    The output folder is the default one, moved: the option that names it has had more than one name.
    """
    paper = () if "--paper" in case.options else ("--paper", "a4")
    command = [sys.executable, "-c", MAIN, case.verb, str(design), *paper, *case.options]
    into.parent.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(dir=into.parent) as desk:
        known = {**os.environ, "PYTHONPATH": str(tree)}
        run = subprocess.run(command, cwd=desk, env=known, check=False, capture_output=True, text=True)
        for folder in Path(desk).iterdir():
            folder.rename(into)
    return run.stderr.strip() if run.returncode else ""


def _shapes(folder: Path) -> dict[str, dict[str, Any]]:
    found: dict[str, dict[str, Any]] = {}
    for path in folder.glob("shapes*.json"):
        for shape in json.loads(path.read_text(encoding="utf-8"))["patterns"]:
            found[shape["name"]] = shape
    return found


def _lines(shape: Mapping[str, Any]) -> Any:
    parts = [*shape["outlines"], *(line for lines in shape["lines"].values() for line in lines)]
    return shapely.multilinestrings(
        [shapely.linestrings([*p["points"], p["points"][0]] if p["closed"] else p["points"]) for p in parts]
    )


def _bevels(shape: Mapping[str, Any]) -> list[tuple[str, float, float, float]]:
    return sorted((each["edge"], *each["at"], each["bevel_deg"]) for each in shape["bevels"])


def _farthest_bevel(one: Mapping[str, Any], two: Mapping[str, Any]) -> float:
    """The greatest difference of bevels at places that both have, degrees."""
    worst = 0.0
    for edge, x, y, angle in _bevels(one):
        near = [(np.hypot(x - u, y - v), other) for name, u, v, other in _bevels(two) if name == edge]
        if near and min(near)[0] < 1.0:
            worst = max(worst, abs(angle - min(near)[1]))
    return worst


def _words(shape: Mapping[str, Any]) -> set[str]:
    marks = (mark["name"] for mark in shape["marks"])
    return {*shape["facts"], *marks, shape["face"], shape["quantity"], shape["stock"]}


def _pages(folder: Path) -> int:
    return sum(len(PdfReader(path).pages) for path in folder.rglob("*.pdf"))


def _compared(before: Path, after: Path) -> Iterator[str]:
    """Every difference between two finished folders, a line each."""
    one, two = _shapes(before), _shapes(after)
    gone, new = sorted(one.keys() - two.keys()), sorted(two.keys() - one.keys())
    if gone or new:
        yield f"pieces gone: {gone}; new: {new}"
    moved, turned, said, marked = [], [], [], []
    for name in sorted(one.keys() & two.keys()):
        a, b = one[name], two[name]
        off = float(shapely.hausdorff_distance(_lines(a), _lines(b)))
        if off > OUTLINE:
            moved.append((off, name))
        angle = _farthest_bevel(a, b)
        if angle > BEVEL or len(a["bevels"]) != len(b["bevels"]):
            turned.append((angle, f"{name} ({len(a['bevels'])} to {len(b['bevels'])})"))
        words = _words(a) ^ _words(b)
        if words:
            said.append((name, sorted(words)))
        if a.get("printed") != b.get("printed"):
            marked.append(name)
    for what, unit, found in (("lines moved", "mm", moved), ("bevels turned", "degrees", turned)):
        if found:
            most = ", ".join(f"{name} {value:.3f}" for value, name in sorted(found, reverse=True)[:4])
            yield f"{what} on {len(found)} of {len(two)} pieces, most ({unit}): {most}"
    if said:
        yield f"words on {len(said)} pieces, e.g. {said[0][0]}: {said[0][1][:4]}"
    if marked:
        yield f"marks or pages of {len(marked)} pieces, e.g. {marked[0]}"
    if _pages(before) != _pages(after):
        yield f"pages {_pages(before)} to {_pages(after)}"


def _same_bytes(before: Path, after: Path) -> list[str]:
    """The files that differ."""
    one, two = (
        {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}
        for folder in (before, after)
    )
    return sorted(name for name in one.keys() | two.keys() if one.get(name) != two.get(name))


def _differences(old: Path, new: Path, case: Case, design: Path, room: Path) -> list[str]:
    """What differs where both trees make a case, a line each."""
    made = room / "base", room / "head"
    wrong = [_made(tree, case, design, into) for tree, into in zip((old, new), made, strict=True)]
    failed = [
        f"{which} fails: {told.splitlines()[-1]}"
        for which, told in zip(("base", "head"), wrong, strict=True)
        if told
    ]
    if failed:
        return failed
    files = _same_bytes(*made)
    if not files:
        return []
    return [
        *_compared(*made),
        f"files with other bytes: {', '.join(files[:6])}{' ...' if len(files) > 6 else ''}",
    ]


def main(base: str, head: str = "", only: tuple[str, ...] = ()) -> int:
    """Compare two commits; returns how many cases differ."""
    differ = 0
    with tempfile.TemporaryDirectory() as place:
        room = Path(place)
        old = _checkout(base, room / "base")
        new = _checkout(head, room / "head") if head else ROOT
        for number, (name, case) in enumerate(CASES.items()):
            if only and name not in only:
                continue
            folder = room / f"design {number}"
            folder.mkdir()
            design = case.write(old, folder)
            lines = _differences(old, new, case, design, room / f"{number}")
            differ += bool(lines)
            print(f"{name}: {'the same' if not lines else ''}", flush=True)
            for line in lines:
                print(f"    {line}", flush=True)
    return differ


if __name__ == "__main__":
    given = sys.argv[1:]
    if not given:
        sys.exit(__doc__)
    sys.exit(min(1, main(given[0], given[1] if len(given) > 1 else "", tuple(given[2:]))))
