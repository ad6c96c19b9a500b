"""The design file: what it comes to, and every slip told in words of the trade."""
# ruff: noqa: E501 - one slip a line

from __future__ import annotations

import math
from pathlib import Path

import pytest
from pydantic import ValidationError

from patterns.design.deck_models import BreasthookSpec
from patterns.design.file import draft_design, read_design
from patterns.design.parts import tables
from patterns.design.words import file_keys
from patterns.errors import DesignError, Problem
from patterns.measure import Notation
from patterns.members.transom_knee import TransomKneeSpec
from tests.patterns.folders import DESIGN, changed, codes_of, places_of, says, write_folder


def problems(folder: Path, design: str) -> tuple[Problem, ...]:
    """The problems of a design file by itself; it must have some."""
    with pytest.raises(DesignError) as caught:
        read_design(write_folder(folder, design=design))
    return caught.value.problems


def test_a_design_comes_out_in_mm_and_radians(tmp_path: Path) -> None:
    design = read_design(write_folder(tmp_path))
    assert design.boat.name == "Rushlight"
    assert design.table.notation is Notation.FEET_INCHES_EIGHTHS
    assert design.table.lines_to == "outside of planking"
    assert design.fairing.allow == pytest.approx(25.4 / 16)
    assert design.fairing.ends == "free"
    assert [line.name for line in design.lines] == ["keel", "chine", "sheer"]
    assert design.bow.sided == pytest.approx(38.1)
    assert design.bow.foot == pytest.approx(1066.8)
    assert design.bow.head == 50.0
    assert design.stern.rake == pytest.approx(math.radians(12.0))
    assert design.stern.centre_post == 90.0
    assert [strake.between for strake in design.strakes] == [("keel", "chine"), ("chine", "sheer")]
    assert design.deck is not None
    assert design.deck.crown == pytest.approx(50.8)
    assert design.deck.rise_ratio is None
    assert [timber.name for timber in design.timbers] == ["keel", "chine log", "clamp"]
    assert design.frames[0].siding_runs is None
    assert design.frames[0].rake == 0.0
    assert design.frames[1].rake == pytest.approx(math.radians(10.0))
    assert design.frames[1].at == "8-6-0"
    assert design.frames[1].laminations == 2
    assert design.all(TransomKneeSpec)[0].name == "transom knee"
    assert design.all(BreasthookSpec)
    assert list(design.waterlines) == pytest.approx([304.8])
    assert design.register == 6.0


def test_a_design_is_frozen(tmp_path: Path) -> None:
    design = read_design(write_folder(tmp_path))
    with pytest.raises(ValidationError):
        design.bow.sided = 50.0  # type: ignore[misc]


def test_other_ways_of_saying_it(tmp_path: Path) -> None:
    text = changed(DESIGN, 'rake = "12 deg"', 'rake = "from the table"')
    text = changed(text, 'crown = "2 in"', 'rise = "1/2 in per 1 ft"')
    text = changed(text, 'allow = "1/16 in"', 'allow = "0"')
    text = changed(text, '[marks]\nwaterlines = ["1-0-0"]\n', "")
    design = read_design(write_folder(tmp_path, design="\ufeff" + text.replace("\n", "\r\n")))
    assert design.stern.rake is None
    assert design.deck is not None
    assert design.deck.crown is None
    assert design.deck.rise_ratio == pytest.approx(1 / 24)
    assert design.fairing.allow == 0.0
    assert design.waterlines == ()


def test_an_open_boat_has_no_deck(tmp_path: Path) -> None:
    text = changed(DESIGN, 'thickness = "6 mm"\ncrown = "2 in"', 'kind = "none"')
    assert read_design(write_folder(tmp_path, design=text)).deck is None


def test_strakes_come_out_from_the_keel_up_however_they_are_written(tmp_path: Path) -> None:
    text = DESIGN.replace('"bottom"\nbetween = ["keel", "chine"]', '"x"\nbetween = ["chine", "sheer"]')
    text = text.replace('"side"\nbetween = ["chine", "sheer"]', '"bottom"\nbetween = ["keel", "chine"]')
    text = text.replace('"x"', '"side"')
    design = read_design(write_folder(tmp_path, design=text))
    assert [strake.name for strake in design.strakes] == ["bottom", "side"]


def test_every_key_says_what_it_is() -> None:
    for kind in tables().values():
        for model in kind.models.values():
            assert all(len(words) > 10 for words in file_keys(model).values()), model


BOW = 'design.toml, end "bow"'
SLIPS = [
    # lengths and angles
    ('sided = "90 mm"', "sided = 90", 'timber "keel", key sided', "bare-number", ""),
    ('sided = "90 mm"', 'sided = "90"', 'timber "keel", key sided', "length-unreadable", ""),
    ('sided = "90 mm"', "sided = true", 'timber "keel", key sided', "invalid-value", ""),
    ('sided = "90 mm"', 'sided = "-90 mm"', 'timber "keel", key sided', "out-of-range", ""),
    ('sided = "90 mm"', 'sided = "90 m"', 'timber "keel", key sided', "out-of-range", ""),
    ('sided = "90 mm"', 'sided = "90 mn"', 'timber "keel", key sided', "length-unreadable", ""),
    ('sided = "90 mm"', 'sided = "9,0 mm"', 'timber "keel", key sided', "length-unreadable", ""),
    ('planking = "9 mm"', 'planking = "9 in"', 'strake "bottom", key planking', "out-of-range", ""),
    ('allow = "1/16 in"', 'allow = "1 in"', "[fairing], key allow", "out-of-range", ""),
    ('rake = "12 deg"', 'rake = "12"', 'end "stern", key rake', "angle-unreadable", ""),
    ('rake = "12 deg"', 'rake = "78 deg"', 'end "stern", key rake', "out-of-range", ""),
    ('rake = "10 deg"', "rake = 10.0", 'frame "seat", key rake', "bare-number", ""),
    ('crown = "2 in"', 'rise = "2 in"', "[deck], key rise", "rate-unreadable", ""),
    ('["1-0-0"]', "[305]", "[marks], key waterlines, entry 1", "bare-number", ""),
    ('["1-0-0"]', '"1-0-0"', "[marks], key waterlines", "invalid-value", ""),
    # words
    ('lines_to = "outside of planking"\n', "", "[table], key lines_to", "missing-key", ""),
    ('sheer_to = "top of planking"\n', "", "[table], key sheer_to", "missing-key", ""),
    ('"outside of planking"', '"outside"', "[table], key lines_to", "invalid-choice", ""),
    ('"feet-inches-eighths"', '"feet-inches-eigths"', "[table], key notation", "invalid-choice", "feet-inches-eighths"),
    ('"straight"\n[[strake]]', '"bent"\n[[strake]]', 'strake "bottom", key sections', "invalid-choice", ""),
    ('siding_runs = "aft"', 'siding_runs = "backward"', 'frame "seat", key siding_runs', "invalid-choice", ""),
    ('"inner and outer"', '"rabetted"', 'end "bow", key construction', "invalid-choice", "rabbeted"),
    ('name = "Rushlight"', "name = 7", "[boat], key name", "invalid-value", ""),
    ('name = "Rushlight"', 'name = " "', "[boat], key name", "missing-key", ""),
    ("laminations = 3", 'laminations = "3"', 'end "bow", key laminations', "invalid-value", ""),
    ("laminations = 3", "laminations = 0", 'end "bow", key laminations', "invalid-value", ""),
    ('name = "keel"\n', 'name = "keel"\nstraight = "yes"\n', 'line "keel", key straight', "invalid-value", ""),
    ('name = "keel"\n', 'name = "keel"\nknuckles = "station 3"\n', 'line "keel", key knuckles', "invalid-value", ""),
    ('name = "keel"\n', 'name = "keel"\nknuckles = ["3"]\n', 'line "keel", key knuckles', "not-a-station", ""),
    ('at = "8-6-0"', 'at = "frame 4"', 'frame "seat", key at', "invalid-value", ""),
    # keys and tables
    ('outside = "30 mm"\n', "", 'end "bow", key outside', "missing-key", ""),
    ('stock = "12 mm oak"\n', "", 'end "bow", key stock', "missing-key", ""),
    ('moulded = "30 mm"', 'molded = "30 mm"', 'timber "keel", key molded', "unknown-key", "moulded"),
    ('[boat]\n', '[boat]\ncolour = "red"\n', "[boat], key colour", "unknown-key", ""),
    ("[breasthook]", "[breast_hook]", "design.toml", "unknown-table", "breasthook"),
    ("[breasthook]", "[[breasthook]]", "design.toml, breasthook", "not-a-table", ""),
    ('kind = "clamp"\n', "", 'timber number 3, key kind', "missing-key", ""),
    ('kind = "clamp"', 'kind = "clam"', 'timber "clam", key kind', "unknown-kind", "clamp"),
    ('kind = "stem"', 'kind = "post"', 'end "bow", key kind', "unknown-kind", ""),
    ('kind = "stem"\n', "", 'end "bow", key kind', "missing-key", ""),
    ('at = "stern"', 'at = "bow"', 'end "bow"', "end-given-twice", ""),
    ('at = "stern"', 'at = "aft"', 'end "aft", key at', "invalid-choice", ""),
    ('[deck]\nthickness = "6 mm"\ncrown = "2 in"\n', "", "design.toml", "missing-table", ""),
    # files
    ('"stem.csv"', '"../stem.csv"', 'end "bow", key profile', "outside-folder", ""),
    ('"offsets.csv"', '"/tmp/offsets.csv"', "[table], key file", "outside-folder", ""),
    ('"offsets.csv"', '"offsets.xlsx"', "[table], key file", "not-csv", ""),
    ('"stem.csv"', '"offsets.csv"', 'end "bow", key profile', "same-file", ""),
    # what the tables say of each other
    ('["keel", "chine"]', '["keel", "chin"]', 'strake "bottom", key between', "unknown-name", "chine"),
    ('["keel", "chine"]', '["chine", "keel"]', 'strake "bottom", key between', "upper-line-first", ""),
    ('["keel", "chine"]', '["keel", "sheer"]', 'strake "bottom", key between', "lines-not-neighbours", ""),
    ('["keel", "chine"]', '["keel"]', 'strake "bottom", key between', "invalid-value", ""),
    ('["keel", "chine"]', '["chine", "sheer"]', 'strake "side", key between', "strake-given-twice", ""),
    ('follows = "chine"', 'follows = "chines"', 'timber "chine log", key follows', "unknown-name", "chine"),
    ('follows = "chine"', 'follows = "sheer"', 'timber "chine log", key follows', "not-a-chine", ""),
    ('follows = "sheer"', 'follows = "chine"', 'timber "clamp", key follows', "clamp-off-sheer", ""),
    ('against = "side"\noff = "21', 'against = "bottom"\noff = "21', 'timber "clamp", key against', "strake-off-line", ""),
    ('against = "side"\noff = "21', 'against = "sides"\noff = "21', 'timber "clamp", key against', "unknown-name", "side"),
    ('name = "seat"', 'name = "3"', 'frame "3"', "same-name", ""),
    ('framing = "20 mm"\n', "", 'end "stern", key framing', "needed-key", ""),
    ('framing_stock = "20 mm mahogany"\n', "", 'end "stern", key framing_stock', "needed-key", ""),
    ('crown = "2 in"', 'crown = "2 in"\nrise = "1 in 24"', "[deck], key crown", "conflicting-keys", ""),
    ('crown = "2 in"\n', "", "[deck], key crown", "needed-key", ""),
    ('thickness = "6 mm"\n', "", "[deck], key thickness", "needed-key", ""),
    ('crown = "2 in"', 'crown = "2 in"\nkind = "none"', "[deck], key crown", "no-deck", ""),
    ('throat = "110 mm"', 'throat = "260 mm"', 'knee "transom knee", key throat', "throat-too-deep", ""),
    ('throat = "120 mm"', 'throat = "400 mm"', "[breasthook], key throat", "throat-too-deep", ""),
]  # fmt: skip


@pytest.mark.slow
@pytest.mark.parametrize(
    ("old", "new", "place", "code", "meant"), SLIPS, ids=[f"{slip[2]}: {slip[1]}" for slip in SLIPS]
)
def test_a_slip_is_found_at_its_place(
    tmp_path: Path, old: str, new: str, place: str, code: str, meant: str
) -> None:
    text = changed(DESIGN, old, new) if DESIGN.count(old) == 1 else DESIGN.replace(old, new, 1)
    every = draft_design(write_folder(tmp_path, design=text)).problems
    start = place if place.startswith("design.toml") else f"design.toml, {place}"
    assert any(p.place == start and p.code == code and f'"{meant}' in f'"{p.want}' for p in every), every
    found = [str(problem) for problem in every]
    jargon = (
        "Input",
        "input",
        "Literal",
        "valid string",
        "pydantic",
        "union",
        "dictionary",
        "None",
        "instance",
    )
    assert not any(word in problem for problem in found for word in jargon), found


def test_one_slip_is_told_once(tmp_path: Path) -> None:
    """A slip in one table does not make others look wrong that lean on it."""
    for old, new, code in (
        ('planking = "9 mm"', "planking = 9", "bare-number"),
        ('sided = "18 mm"\nmoulded_side = "70 mm"', 'moulded_side = "70 mm"', "missing-key"),
        ('name = "chine"\n', 'name = "chine"\nstraight = 1\n', "invalid-value"),
        ('sided = "1 1/2 in"', 'sided = "38"', "length-unreadable"),
    ):
        assert codes_of(problems(tmp_path, changed(DESIGN, old, new))) == [code]


def test_all_slips_are_told_at_once(tmp_path: Path) -> None:
    text = changed(DESIGN, 'planking = "9 mm"', "planking = 9")
    text = changed(text, 'moulded_side = "71 mm"', 'mouldedside = "71 mm"')
    text = changed(text, '"1-0-0"', '"1-12-0"')
    found = problems(tmp_path, text)
    assert sorted(codes_of(found)) == ["bare-number", "length-unreadable", "missing-key", "unknown-key"]
    meant = {problem.place.rsplit("key ", 1)[1] for problem in found if problem.code == "missing-key"}
    assert meant == {"moulded_side"}  # the unknown key leaves the right one missing


def test_only_a_bow_is_not_enough(tmp_path: Path) -> None:
    start, end = DESIGN.index('[[end]]\nat = "stern"'), DESIGN.index("[[strake]]")
    assert places_of(problems(tmp_path, DESIGN[:start] + DESIGN[end:])) == [("design.toml", "missing-table")]


def test_a_deck_may_not_be_spoken_of_where_there_is_none(tmp_path: Path) -> None:
    text = changed(DESIGN, 'thickness = "6 mm"\ncrown = "2 in"', 'kind = "none"')
    text = changed(text, 'sheer_to = "top of planking"', 'sheer_to = "top of deck"')
    assert places_of(problems(tmp_path, text)) == [("design.toml, [table], key sheer_to", "no-deck")]


def test_two_neighbouring_lines_need_a_strake(tmp_path: Path) -> None:
    start, end = DESIGN.index('[[strake]]\nname = "bottom"'), DESIGN.index('[[strake]]\nname = "side"')
    [problem] = problems(tmp_path, DESIGN[:start] + DESIGN[end:])
    assert (problem.place, problem.code) == ("design.toml", "no-strake-between")
    assert says(problem, '"keel"', '"chine"')


@pytest.mark.parametrize(
    ("old", "new", "line"),
    [
        ('name = "Rushlight"', "name = Rushlight", 2),
        ('name = "Rushlight"', 'name = "Rushlight', 2),
        ('name = "Rushlight"', 'name "Rushlight"', 2),
        ('name = "Rushlight"', 'name = "Rushlight"\nname = "Lantern"', 3),
        ('name = "Rushlight"', 'name = "Rushlight" 3', 2),
        ('name = "Rushlight"', 'name = "The "Rush" light"', 2),
        ("[fairing]", "[table]", 12),
        ("[fairing]", "fairing]", 12),
    ],
)
def test_a_file_that_is_no_toml_is_reported_with_its_line(
    tmp_path: Path, old: str, new: str, line: int
) -> None:
    found = problems(tmp_path, changed(DESIGN, old, new))
    assert places_of(found) == [(f"design.toml, line {line}", "invalid-toml")]


def test_a_file_in_another_encoding_is_told_with_its_line(tmp_path: Path) -> None:
    write_folder(tmp_path)
    (tmp_path / "design.toml").write_bytes(changed(DESIGN, "mahogany", "büche").encode("latin-1"))
    line = DESIGN[: DESIGN.index("mahogany")].count("\n") + 1
    assert places_of(draft_design(tmp_path).problems) == [(f"design.toml, line {line}", "not-utf-8")]


def test_a_folder_without_a_design(tmp_path: Path) -> None:
    assert places_of(draft_design(tmp_path).problems) == [("design.toml", "no-design")]
    missing = tmp_path / "missing"
    assert places_of(draft_design(missing).problems) == [(str(missing), "no-folder")]


def test_an_empty_file_tells_every_table_that_it_needs(tmp_path: Path) -> None:
    found = problems(tmp_path, "")
    assert places_of(found) == 6 * [("design.toml", "missing-table")]
    tables_of = [problem.what.split(" ")[0] for problem in found]
    assert tables_of == ["[boat]", "[table]", "[[line]]", "[[end]]", "[[strake]]", "[deck]"]
