"""How findings are worded: subject, what is wrong, remedy.  All other tests ask for codes and values."""
# ruff: noqa: E501 - one sentence a line

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import shapely

from patterns.assembly.contacts import Contact
from patterns.assembly.plate import plates
from patterns.assembly.proof import Assembly, Fault
from patterns.errors import DesignError
from patterns.hull.planes import station_plane
from patterns.lesson.class_list import read_class
from patterns.pattern import Body
from patterns.repair.repair import load_repair
from patterns.shop.report import assembly_report
from tests.patterns.folders import DESIGN, STEM, TABLE, changed, problems_in, write_folder
from tests.patterns.repair_boats import by_half_breadth, rows, write_repair

OF_A_BOAT = [
    ("table", "2-4-4,2-2-0+", "2-4-4,", 'offsets.csv, row 8, column F (station 3): "sheer" has a half-breadth here and no height; give both or neither'),
    ("table", "1-1-1+,1-0-2+", "1-1-1+,3-Jan", 'offsets.csv, row 7, column G (station 4): "3-Jan" is a date: the spreadsheet has made one of the length; format the column as text in the spreadsheet first, then type the value again; or write it with spaces, e.g. 2 7 3'),
    ("table", "bow,1,2,3", "bow,1,,3", "offsets.csv, row 1, column E: this column has no heading; the first row holds block, line, bow, the stations' names from forward aft, stern"),
    ("table", "half-breadth,chine", "half-breadth,sheer", 'offsets.csv, row 11: the half-breadth of "sheer" is already in row 10; keep one row'),
    ("table", ",13-5-4+", ",13-8-4+", 'offsets.csv, row 5, column J (stern): the stern end of "sheer" is 13-8-4+ aft, off the transom; the transom through the other ends is 13-5-4+ aft at its height'),
    ("design", 'at = "station 3"', 'at = "station 7"', 'design.toml, frame "3", key at: the table has no station 7; its stations are 1, 2, 3, 4, 5, 6'),
    ("design", 'at = "8-6-0"', 'at = "18-6-0"', 'design.toml, frame "seat", key at: 18-6-0 aft is off the boat; she runs from 0-1-5+ to 13-5-4+'),
    ("design", 'rake = "12 deg"', 'rake = "9 deg"', 'design.toml, end "stern", key rake: the rake is 9.0 deg, but the stern ends in offsets.csv lie on a transom raked 12.0 deg ("keel" 13-1-0+ aft, "sheer" 13-5-4+ aft); correct one of them, or write "from the table"'),
    ("design", 'sided = "90 mm"', "sided = 90", 'design.toml, timber "keel", key sided: 90 is a bare number; write the length with its unit in quotes, e.g. "18 mm"'),
    ("design", 'kind = "keel"\nsided = "90 mm"\nmoulded', 'kind = "keel"\nsided = "90 mm"\nmolded', 'design.toml, timber "keel", key molded: is not a known key; is "moulded" meant?'),
    ("design", 'name = "Rushlight"', "name = Rushlight", "design.toml, line 2: no value can be read after the equals sign (lengths and words go in quotes); the line is: name = Rushlight"),
    ("design", 'name = "Rushlight"', 'name = "The "Rush" light"', """design.toml, line 2: the line holds more than one key and its value; the line is: name = "The "Rush" light"; put words that hold a quote in single quotes, e.g. 'the "Owl"'"""),
    ("design", 'throat = "110 mm"', 'throat = "260 mm"', 'design.toml, knee "transom knee", key throat: is deeper than an arm is long; make it less than both arms'),
    ("design", DESIGN[DESIGN.index('[[end]]\nat = "stern"') : DESIGN.index("[[strake]]")], "", 'design.toml: the stern is not given; write an [[end]] with at = "stern"'),
    ("stem", "aft,2-4-0", "off,2-4-0", 'stem.csv, row 3, column A (measured): "off" is not valid; write "aft" (measured aft at a height) or "height" (measured up at a distance)'),
    ("stem", "measured,height,aft", "measured,height", 'stem.csv, row 1: the column "aft" is missing; the first row holds measured, height, aft, knuckle'),
]  # fmt: skip


@pytest.mark.parametrize(("file", "old", "new", "sentence"), OF_A_BOAT, ids=[each[3] for each in OF_A_BOAT])
def test_of_a_boat(tmp_path: Path, file: str, old: str, new: str, sentence: str) -> None:
    text = {"table": TABLE, "design": DESIGN, "stem": STEM}[file]
    found = problems_in(write_folder(tmp_path, **{file: changed(text, old, new)}))
    assert sentence in [str(problem) for problem in found]


HEAD = "side,edge,point,method,from,a,b\n"
OF_POINTS = [
    (HEAD + "larboard,bottom,1,half-breadth,,0-1-0,0-2-0\n", 'points.csv, row 2, column A (side): "larboard" is not valid; write "port" or "starboard"'),
    (HEAD + "port,,1,half-breadth,,0-1-0,0-2-0\n", "points.csv, row 2, column B (edge): this row has no edge; every point has its edge's name and its own"),
    (HEAD + "port,bottom,1,nails,PA PX,0-9-4,1-6-2\n", 'points.csv, row 2, column E (from): "PX" is not a nail of the design; there are "PA", "PB", "PC", "SA", "SB" or "SC"'),
    (HEAD + "port,bottom,1,half-breadth,PA,0-1-0,0-2-0\n", 'points.csv, row 2, column E (from): "PA" is not valid for method half-breadth; write nothing: it is taken from the centreline and from base'),
]  # fmt: skip


@pytest.mark.parametrize(("text", "sentence"), OF_POINTS)
def test_of_a_repair_s_points(tmp_path: Path, text: str, sentence: str) -> None:
    with pytest.raises(DesignError) as caught:
        load_repair(write_repair(tmp_path, text))
    assert sentence in [str(problem) for problem in caught.value.problems]


OF_A_REPAIR = [
    ('[[piece]]\nkind = "sister"\n', 'key against: is missing; write "measured face" or "other face": the face that the sister lies on'),
    ('[[nail]]\nname = "the post"\nout = "0"\nup = "0"\n', 'the nail\'s name "the post" has a space in it; use a name without a space, e.g. A'),
    ('[[nail]]\nname = "Q"\nout = "1 in"\nup = "0"\n', 'the nail has no side; write side = "port" or side = "starboard"'),
]  # fmt: skip


@pytest.mark.parametrize(("more", "sentence"), OF_A_REPAIR)
def test_of_a_repair_s_design(tmp_path: Path, more: str, sentence: str) -> None:
    with pytest.raises(DesignError) as caught:
        load_repair(write_repair(tmp_path, rows(by_half_breadth), more))
    assert any(str(problem).endswith(sentence) for problem in caught.value.problems)


OF_A_CLASS = [
    ("name\nAda\nada\n", 'class.csv, row 3, column A (name): "ada" is already in row 2; sheets differ by the name alone: add an initial or a number'),
    ("name\nFerrow, Odalind\n", 'class.csv, row 2, column B: "Odalind" is in a column without a heading; write a name that contains a comma in quotes, e.g. "Ferrow, Odalind"'),
    ("name,worksheets\n,3\n", "class.csv, row 2, column A (name): the name is missing; write whose set it is, or remove the row"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "sentence"), OF_A_CLASS)
def test_of_a_class_list(tmp_path: Path, text: str, sentence: str) -> None:
    path = tmp_path / "class.csv"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(DesignError) as caught:
        read_class(path)
    assert sentence in [str(problem) for problem in caught.value.problems]


BOX = shapely.box(0.0, 0.0, 30.0, 30.0)
CUBE = Body(plane=station_plane(0.0), depth=30.0, moulded=BOX, other=BOX)


def test_of_the_assembly() -> None:
    apart = Fault(first="floor 4", second="frame 4 bottom", what="apart", size=0.0, at=(1200.0, 0.0, 90.0))
    met = Contact(
        solids=(plates("beam 2", CUBE)[0], plates("beam 3", CUBE)[0]),
        overlap=0.0,
        overlap_at=(0.0, 0.0, 0.0),
        touching=40,
        places=np.zeros((40, 3)),
        open=0,
        gap=0.0,
        gap_at=(0.0, 0.0, 0.0),
    )
    assembly = Assembly(
        meetings=(), contacts=(met,), faults=(apart,), unmeant=(met,), unheld=("support",), left_out=()
    )
    assert list(assembly_report(assembly)) == [
        "All pieces in their places: 1 joint measured at 5 mm or closer.",
        "  floor 4 and frame 4 bottom are meant to meet at 1200 mm aft, 0 mm out, 90 mm up, and do not touch there",
        "  beam 2 and beam 3 touch, though nothing in the design joins them",
        "  support: nothing holds it",
    ]
