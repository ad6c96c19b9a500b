"""A small invented design that reads without a problem, to be spoiled in one place at a time."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from pathlib import Path

import pytest

from patterns.errors import DesignError, Problem
from patterns.table.folder import read_folder
from tests.patterns.design_parts import STRAKES

DESIGN = (
    """\
[boat]
name = "Rushlight"

[table]
file = "offsets.csv"
notation = "feet-inches-eighths"
heights = "up from base"
breadths = "half"
lines_to = "outside of planking"
sheer_to = "top of planking"

[fairing]
allow = "1/16 in"

[[line]]
name = "keel"
[[line]]
name = "chine"
[[line]]
name = "sheer"

[[end]]
at = "bow"
kind = "stem"
profile = "stem.csv"
sided = "1 1/2 in"
moulded = "60 mm"
construction = "inner and outer"
outside = "30 mm"
foot = "3-6-0"
stock = "12 mm oak"
laminations = 3

[[end]]
at = "stern"
kind = "transom"
rake = "12 deg"
panel = "18 mm"
stock = "18 mm plywood"
framing = "20 mm"
framing_moulded = "60 mm"
framing_stock = "20 mm mahogany"
centre_post = "90 mm"
"""
    + STRAKES
    + """
[deck]
thickness = "6 mm"
crown = "2 in"

[[timber]]
kind = "keel"
sided = "90 mm"
moulded = "30 mm"
lies = "inside planking"
[[timber]]
kind = "chine log"
follows = "chine"
against = "side"
off = "20 mm"
along = "45 mm"
[[timber]]
kind = "clamp"
follows = "sheer"
against = "side"
off = "21 mm"
along = "40 mm"

[[frame]]
name = "3"
at = "station 3"
sided = "18 mm"
moulded_side = "70 mm"
moulded_bottom = "90 mm"
stock = "18 mm plywood"
[[frame]]
name = "seat"
at = "8-6-0"
rake = "10 deg"
sided = "36 mm"
moulded_side = "71 mm"
moulded_bottom = "91 mm"
siding_runs = "aft"
stock = "18 mm plywood"
laminations = 2

[[knee]]
kind = "transom knee"
sided = "37 mm"
laminations = 2
along_keel = "300 mm"
up_transom = "250 mm"
throat = "110 mm"
toe = "41 mm"
stock = "18 mm plywood"

[breasthook]
length = "320 mm"
sided = "38 mm"
laminations = 2
throat = "120 mm"
toe = "45 mm"
stock = "18 mm plywood"

[marks]
waterlines = ["1-0-0"]
"""
)

TABLE = """\
block,line,bow,1,2,3,4,5,6,stern
position,,,1-0-0,3-0-0,5-0-0,7-0-0,9-0-0,11-0-0,
position,keel,,,,,,,,13-1-0+
position,chine,0-6-6,,,,,,,13-3-0+
position,sheer,0-1-5+,,,,,,,13-5-4+
height,keel,,,0-4-2+,0-3-3+,0-3-0,0-3-1,0-3-6+,0-5-0+
height,chine,1-5-6+,1-5-1+,1-2-6+,1-1-1+,1-0-2+,1-0-1+,1-0-6+,1-2-4
height,sheer,2-9-5+,2-7-7+,2-4-4,2-2-0+,2-0-4+,2-0-0,2-0-3,2-2-1+
half-breadth,keel,,,0-0-6,0-0-6,0-0-6,0-0-6,0-0-6,0-0-6
half-breadth,chine,0-0-6,0-2-6+,0-11-3+,1-5-4,1-9-0,1-10-0,1-8-3,1-3-4
half-breadth,sheer,0-0-6,0-7-5,1-5-5+,1-11-6+,2-2-5,2-2-7+,2-1-1,1-6-4
"""

STEM = """\
measured,height,aft,knuckle
aft,2-9-5+,0-1-5+,
aft,2-4-0,0-2-3,
aft,1-10-0,0-4-3+,
aft,1-5-0,0-7-3,
aft,1-1-0,0-10-6+,
aft,0-10-0,1-2-4,
height,0-7-7,1-6-0,
height,0-5-5,2-0-0,
height,0-4-5,2-6-0,
"""


def changed(text: str, old: str, new: str) -> str:
    """The text with one place changed; the place must be there, and once only."""
    assert text.count(old) == 1, f"{old!r} stands {text.count(old)} times"
    return text.replace(old, new)


def write_folder(
    folder: Path, *, design: str = DESIGN, table: str | bytes = TABLE, stem: str | bytes = STEM
) -> Path:
    """A design folder with these files."""
    for name, content in (("design.toml", design), ("offsets.csv", table), ("stem.csv", stem)):
        data = content.encode() if isinstance(content, str) else content
        (folder / name).write_bytes(data)
    return folder


def digests(folder: Path) -> dict[str, str]:
    """A digest of every file below a folder, by its path from there."""
    return {
        str(path.relative_to(folder)): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def problems_in(folder: Path) -> tuple[Problem, ...]:
    """The problems of a folder; it must have some."""
    with pytest.raises(DesignError) as caught:
        read_folder(folder)
    return caught.value.problems


def codes_of(found: DesignError | Iterable[Problem]) -> list[str]:
    """Which findings there are, in their order."""
    return [problem.code for problem in _problems(found)]


def places_of(found: DesignError | Iterable[Problem]) -> list[tuple[str, str]]:
    """Where each finding is, and which it is, in their order."""
    return [(problem.place, problem.code) for problem in _problems(found)]


def says(problem: Problem, *values: str) -> bool:
    """Whether a finding gives these values (figures, names): they are in its words, whatever those are."""
    return all(value in f"{problem.what}; {problem.want}" for value in values)


def _problems(found: DesignError | Iterable[Problem]) -> Iterable[Problem]:
    return found.problems if isinstance(found, DesignError) else found
