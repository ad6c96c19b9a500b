"""The hull afloat held against the plan: doubts by their codes, quantities with units, and wrong rows that show."""

from __future__ import annotations

import io
import shutil
from dataclasses import replace
from pathlib import Path

import numpy as np
import pypdf
import pytest
from click.testing import CliRunner

from patterns.boat import Boat, load_boat
from patterns.cli import main
from patterns.design.file import DESIGN_FILE
from patterns.design.hydrostatics_models import PLAN_KEYS, HydrostaticsSpec
from patterns.design.water_quantities import KG_PER_LB, Displaced, WaterlineShare
from patterns.errors import DesignError, PatternsError
from patterns.hull.hydrostatics_words import CAUTION, rows
from patterns.hull.plan_hydrostatics import KINDS, hydrostatics_of
from patterns.measure import Notation, exact_length, format_length
from patterns.shop.loft_book import write_loft_book
from tests.demo import DEMO, demo_boat
from tests.patterns.analytic_boats import ROUNDINGS, analytic_boat, write_table
from tests.patterns.folders import changed
from tiling.paper import Page, parse_paper

SECTION = "[hydrostatics]"


def spoiled(
    folder: Path, *, table: tuple[str, str] | None = None, design: tuple[str, str] | None = None
) -> Path:
    """The demo's own three files, with one place of the table or of the design changed."""
    for name in ("design.toml", "offsets.csv", "stem.csv"):
        shutil.copy(DEMO / name, folder)
    for name, change in (("offsets.csv", table), ("design.toml", design)):
        if change:
            text = (folder / name).read_text("utf-8")
            (folder / name).write_text(changed(text, *change), encoding="utf-8")
    return folder


def codes(boat: Boat) -> list[str]:
    return [problem.code for problem in boat.warnings if "hydrostatics" in problem.place]


def refused(folder: Path) -> list[str]:
    with pytest.raises(DesignError) as caught:
        load_boat(folder)
    return [problem.code for problem in caught.value.problems]


def with_plan(**figures: object) -> HydrostaticsSpec:
    return HydrostaticsSpec.model_validate({"designed_waterline": "0-11-0", **figures})


def doubts(**figures: object) -> list[tuple[str, str]]:
    """Place and code of every doubt that the demo raises beside these figures of a plan."""
    boat = demo_boat()
    others = tuple(part for part in boat.design.wanted if not isinstance(part, HydrostaticsSpec))
    design = boat.design.model_copy(update={"wanted": (*others, with_plan(**figures))})
    found = hydrostatics_of(design, boat.hull, boat.offsets.notation)
    assert found.figures is not None
    return [(problem.place, problem.code) for problem in found.doubts]


@pytest.mark.slow
def test_the_demo_agrees_with_its_plan() -> None:
    spec = demo_boat().design.all(HydrostaticsSpec)[0]
    assert sum(getattr(spec, key) is not None for key in PLAN_KEYS) >= 3
    assert not codes(demo_boat())


@pytest.mark.slow
def test_every_figure_of_the_plan_is_compared() -> None:
    found = demo_boat().hydrostatics
    assert found is not None
    same: dict[str, object] = {
        "displacement": f"{found.mass:.4f} kg",
        "centre_of_buoyancy": f"{found.centre_aft:.3f} mm",
        "waterline_length": f"{found.length:.3f} mm",
        "waterline_breadth": f"{found.breadth:.3f} mm",
        "waterplane": f"{found.waterplane:.6f} m2",
        "greatest_section": f"{found.section:.6f} m2",
        "wetted_surface": f"{found.wetted:.6f} m2",
        "prismatic": found.prismatic,
        "block": found.block,
    }
    assert set(same) == set(PLAN_KEYS) == set(KINDS)
    assert not doubts(**same)
    for key in PLAN_KEYS:
        apart = 1.0 + (2.0 if key in ("centre_of_buoyancy", "prismatic", "block") else 1.1) * KINDS[key].band
        other = same[key]
        if isinstance(other, str):
            number, unit = other.split()
            other = f"{float(number) * apart:.6f} {unit}"
        else:
            other = float(found.prismatic if key == "prismatic" else found.block) + 1.1 * KINDS[key].band
        assert doubts(**{key: other}) == [(f"{DESIGN_FILE}, {SECTION}, key {key}", "hydrostatics-differ")], (
            key
        )


@pytest.mark.parametrize(
    ("factor", "unit", "names"),
    [
        (0.5, "kg", "whole breadths"),
        (2.0, "kg", "half-breadths"),
        (KG_PER_LB, "kg", "lb and kg"),
        (0.8, "kg", ""),
    ],
)
def test_a_ratio_names_its_slip(factor: float, unit: str, names: str) -> None:
    """A plan that gives so much of what the hull displaces."""
    boat = demo_boat()
    assert boat.hydrostatics is not None
    given = f"{boat.hydrostatics.mass * factor:.2f} {unit}"
    design = boat.design.model_copy(update={"wanted": (with_plan(displacement=given),)})
    (problem,) = hydrostatics_of(design, boat.hull, Notation.MM).doubts
    assert ("may" in problem.what) == bool(names)
    assert names in problem.what


@pytest.mark.slow
def test_whole_breadths_of_one_line_show(tmp_path: Path) -> None:
    """The chine's half-breadths typed in full: the boat displaces half as much again, and the plan differs."""
    row = next(
        line
        for line in (DEMO / "offsets.csv").read_text("utf-8").splitlines()
        if "half-breadth,chine" in line
    )
    feet = Notation.FEET_INCHES_EIGHTHS
    cells = row.split(",")
    doubled = [
        format_length(2.0 * float(exact_length(c, notation=feet)), feet) if c else "" for c in cells[4:]
    ]
    wrong = ",".join([*cells[:4], *doubled])
    boat = load_boat(spoiled(tmp_path, table=(row, wrong)))
    right = demo_boat().hydrostatics
    assert right is not None
    assert boat.hydrostatics is not None
    assert boat.hydrostatics.mass > 1.4 * right.mass
    assert codes(boat).count("hydrostatics-differ") >= 2


def scaled(folder: Path, row: tuple[str, ...], by: float) -> Boat:
    """An invented boat from her table in whole mm, the half-breadths of some lines times a factor."""
    write_table(analytic_boat(1), folder, ROUNDINGS[1], np.random.default_rng(1))
    path = folder / "offsets.csv"
    table = [line.split(",") for line in path.read_text("utf-8").splitlines()]
    for cells in table:
        if cells[0] == "half-breadth" and cells[1] in row:
            cells[3:] = [f"{by * float(cell):.3f}" if cell else "" for cell in cells[3:]]
    path.write_text("\n".join(map(",".join, table)) + "\n", encoding="utf-8")
    plan = 'designed_waterline = "230 mm"\ndisplacement = "178 kg"\nwaterline_breadth = "1062 mm"\n'
    with (folder / DESIGN_FILE).open("a", encoding="utf-8") as design:
        design.write(f"{SECTION}\n{plan}")
    return load_boat(folder)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("row", "by", "times"),
    [
        ((), 1.0, 1.0),
        (("chine",), 2.0, 1.93),
        (("chine", "sheer"), 2.0, 1.93),
        # As fair as the right one: no batten can doubt it.
        (("chine", "sheer"), 1.1, 1.09),
    ],
)
def test_a_wrong_row_shows_in_the_displacement(
    tmp_path: Path, row: tuple[str, ...], by: float, times: float
) -> None:
    boat = scaled(tmp_path, row, by)
    assert boat.hydrostatics is not None
    assert boat.hydrostatics.mass == pytest.approx(178.2 * times, rel=0.01)
    assert codes(boat) == ([] if by == 1.0 else ["hydrostatics-differ"] * 2)
    (words,) = [value for label, value in rows(boat.hydrostatics, Notation.MM) if label == "Displacement"]
    assert float(words.removesuffix(" kg")) == pytest.approx(178.2 * times, rel=0.015)


@pytest.mark.slow
def test_a_doubt_is_confirmed_by_its_code(tmp_path: Path) -> None:
    spoiled(tmp_path, design=('displacement = "930 lb" ', 'displacement = "700 lb" '))
    assert codes(load_boat(tmp_path)) == ["hydrostatics-differ"]
    text = (tmp_path / DESIGN_FILE).read_text("utf-8")
    name = 'name = "Half Past Seven" '
    text = changed(text, name, f'confirmed = ["hydrostatics-differ"]\n{name}')
    (tmp_path / DESIGN_FILE).write_text(text, encoding="utf-8")
    assert not codes(load_boat(tmp_path))


@pytest.mark.slow
@pytest.mark.parametrize(
    ("height", "code"),
    [
        ("2-4-0", "waterline-above-sheer"),
        ("6-0-0", "waterline-above-sheer"),
        ("0-2-0", "waterline-below-hull"),
    ],
)
def test_a_waterline_off_the_hull_is_refused(tmp_path: Path, height: str, code: str) -> None:
    key = 'designed_waterline = "0-11-0"'
    assert refused(spoiled(tmp_path, design=(key, f'designed_waterline = "{height}"'))) == [code]


def test_a_waterline_just_on_the_hull_has_figures(tmp_path: Path) -> None:
    """A hand's breadth of keel in the water, and water up to the sheer: finite figures both."""
    boat, plain = demo_boat(), with_plan()
    for height in (84.0, 680.0):
        spec = plain.model_copy(update={"designed_waterline": height})
        design = boat.design.model_copy(update={"wanted": (spec,)})
        found = hydrostatics_of(design, boat.hull, Notation.MM)
        assert found.figures is not None
        assert found.figures.mass > 0.0
        assert 0.0 < found.figures.prismatic < 1.0


def test_a_hull_like_no_boat_is_doubted(monkeypatch: pytest.MonkeyPatch) -> None:
    import patterns.hull.plan_hydrostatics as subject

    boat = demo_boat()
    assert boat.hydrostatics is not None
    for wrong, code in (
        (replace(boat.hydrostatics, section=boat.hydrostatics.section * 3.0), "prismatic-unlikely"),
        (replace(boat.hydrostatics, section=boat.hydrostatics.section * 0.7), "prismatic-unlikely"),
        (replace(boat.hydrostatics, gap=0.02), "hull-not-closed"),
    ):
        monkeypatch.setattr(subject, "float_hull", lambda *_, wrong=wrong, **__: wrong)
        assert [found for _, found in doubts()] == [code]


@pytest.mark.parametrize(
    ("key", "text", "value"),
    [
        ("displacement", "420 kg", Displaced(mass=420.0)),
        ("displacement", "0.42 t", Displaced(mass=420.0)),
        ("displacement", "1000 lb", Displaced(mass=453.59237)),
        ("displacement", "1 long tons", Displaced(mass=1016.0469088)),
        ("displacement", "0.41 m³", Displaced(volume=0.41)),
        ("displacement", "410 l", Displaced(volume=0.41)),
        ("displacement", "10 cu ft", Displaced(volume=0.28316846592)),
        ("waterplane", "100 sq ft", 9.290304),
        ("waterplane", "3.8 m^2", 3.8),
        ("water", "salt", 1025.0),
        ("water", "Fresh", 1000.0),
        ("water", "64 lb/ft3", 1025.18),
        ("water", "1.01 t/m3", 1010.0),
        ("centre_of_buoyancy", "54 %", WaterlineShare(0.54)),
        ("centre_of_buoyancy", "7-6-4", 2298.7),
        ("prismatic", 0.56, 0.56),
        ("prismatic", "0.56", 0.56),
    ],
)
def test_quantities_are_read_with_their_units(key: str, text: object, value: object) -> None:
    """Pound, foot and long ton by their definitions; 1 ft3 is 0.028316846592 m3, exactly."""
    read = getattr(with_plan(**{key: text}), key)
    if isinstance(value, Displaced):
        assert isinstance(read, Displaced)
        assert (read.mass or 0.0, read.volume or 0.0) == pytest.approx(
            (value.mass or 0.0, value.volume or 0.0)
        )
    elif isinstance(value, WaterlineShare):
        assert isinstance(read, WaterlineShare)
        assert read.part == pytest.approx(value.part)
    else:
        assert read == pytest.approx(value, rel=1e-5)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("key", "text"),
    [
        ("displacement", '"930"'),
        ("displacement", "930"),
        ("displacement", '"930 mm"'),
        ("displacement", '"0 kg"'),
        ("displacement", '"9e9 kg"'),
        ("displacement", f'"{"9" * 300} kg"'),
        ("displacement", "true"),
        ("waterplane", '"3.8 m"'),
        ("waterplane", '"3.8 ft3"'),
        ("water", '"brackish"'),
        ("water", '"1.025"'),
        ("water", '"500 kg/m3"'),
        ("centre_of_buoyancy", '"140 %"'),
        ("centre_of_buoyancy", "0.54"),
        ("centre_of_buoyancy", '"middle"'),
        ("prismatic", "56"),
        ("prismatic", '"often"'),
        ("prismatic", "nan"),
        ("block", "-0.4"),
        ("draught", '"200 mm"'),
    ],
)
def test_a_figure_that_cannot_be_read_is_told_with_its_key(tmp_path: Path, key: str, text: str) -> None:
    source = (DEMO / DESIGN_FILE).read_text("utf-8")
    head, _, tail = source.partition(f"{SECTION}\n")
    rest = tail.partition("\n\n")[2]
    spoiled(tmp_path)
    made = f'{head}{SECTION}\ndesigned_waterline = "0-11-0"\n{key} = {text}\n\n{rest}'
    (tmp_path / DESIGN_FILE).write_text(made, encoding="utf-8")
    with pytest.raises(DesignError) as caught:
        load_boat(tmp_path)
    (problem,) = caught.value.problems
    assert problem.place == f"{DESIGN_FILE}, {SECTION}, key {key}"
    assert problem.want


def test_rows_have_each_label_once_and_short_lines() -> None:
    found = demo_boat().hydrostatics
    assert found is not None
    for notation in Notation:
        said = rows(found, notation)
        assert len({label for label, _ in said}) == len(said) >= 16
        assert all(value and len(label) <= 30 and len(value) < 68 for label, value in said)
        assert not any("nan" in value or "e+" in value or "e-0" in value for _, value in said)
    assert dict(rows(found, Notation.MM))["Displacement"] == f"{found.mass:.0f} kg"
    assert dict(rows(found, Notation.FEET_INCHES))["Displacement"].startswith(
        f"{found.mass / KG_PER_LB:.0f} lb ("
    )


@pytest.mark.slow
def test_check_and_the_loft_book_show_the_figures() -> None:
    boat = demo_boat()
    assert boat.hydrostatics is not None
    said = rows(boat.hydrostatics, boat.offsets.notation)
    checked = CliRunner().invoke(main, ["check", "-v", str(DEMO)]).output
    stream = io.BytesIO()
    write_loft_book(
        stream,
        boat,
        (),
        page=Page(paper=parse_paper("a4"), landscape=False, margin=10.0, overlap=12.0),
        mark="TEST",
    )
    book = " ".join(page.extract_text() for page in pypdf.PdfReader(stream).pages)
    for label, value in said:
        assert f"{label:30} {value}" in checked
        assert value in book
    assert CAUTION in checked
    assert CAUTION in " ".join(book.split())


def test_a_hull_that_cannot_be_floated_is_a_doubt_and_its_patterns_are_made(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def no_answer(*_: object, **__: object) -> None:
        raise PatternsError("the water cuts the hull in two")

    monkeypatch.setattr("patterns.hull.plan_hydrostatics.float_hull", no_answer)
    boat = demo_boat()
    found = hydrostatics_of(boat.design, boat.hull, boat.offsets.notation)
    assert found.figures is None
    assert found.errors == ()
    assert [doubt.code for doubt in found.doubts] == ["hydrostatics-failed"]
