"""The purchase list: areas of the boat of planes by closed forms, weights, and nothing left out in silence."""

from __future__ import annotations

import csv
from collections import Counter
from dataclasses import replace

import numpy as np
import pytest
import shapely

from patterns.boat import Boat, load_boat
from patterns.design.rack_models import StockSpec
from patterns.errors import DesignError
from patterns.hull.planes import FloatArray
from patterns.shop.purchase import purchase_of, purchase_table, weight_of
from patterns.shop.sheets import sheets_of
from patterns.shop.skins import outsides, skins_of
from patterns.shop.stock import NOT_NAMED, CutRow, StockCuts, cuts_of, stocks_of
from tests.demo import demo_boat, demo_patterns
from tests.patterns.plane_boat import (
    AFT,
    FOREFOOT_X,
    HALF,
    RAKE,
    SHEER_X,
    TRANSOM_X0,
    chine,
    keel_z,
    sheer,
    write_plane_boat,
)

RACK = """
[[stock]]
name = "9 mm plywood"
kind = "sheet"
thickness = "9 mm"
length = "2440 mm"
breadth = "1220 mm"
density = "600 kg/m3"
"""


def write(folder_factory: pytest.TempPathFactory, more: str) -> Boat:
    folder = write_plane_boat(folder_factory.mktemp("purchase"))
    with (folder / "design.toml").open("a", encoding="utf-8") as design:
        design.write(more)
    return load_boat(folder)


@pytest.fixture(scope="module")
def boat(tmp_path_factory: pytest.TempPathFactory) -> Boat:
    return write(tmp_path_factory, RACK)


def flat_area(*corners: tuple[float, float, float]) -> float:
    """The area of a flat polygon in space, m2."""
    points = np.array(corners)
    turned: FloatArray = np.cross(points, np.roll(points, -1, axis=0)).sum(axis=0)
    return 0.5e-6 * float(np.linalg.norm(turned))


FORE = (FOREFOOT_X, HALF, keel_z(FOREFOOT_X))
CHINE_AFT = (AFT["chine"], *chine(AFT["chine"]))
KEEL_AFT = (AFT["keel"], HALF, keel_z(AFT["keel"]))
SHEER_FORE, SHEER_AFT = ((x, *sheer(x)) for x in (SHEER_X, AFT["sheer"]))


def middle(at: tuple[float, float, float]) -> tuple[float, float, float]:
    return at[0], 0.0, at[2]


def test_planking_and_deck_are_as_large_as_the_planes_between_the_lines(boat: Boat) -> None:
    """Bottom: a triangle; side: four corners; deck without crown: four corners to the centreline.  Both sides."""
    found = {skin.name: skin for skin in skins_of(boat)}
    assert list(found) == ["bottom planking", "side planking", "deck"]
    expected = {
        "bottom planking": 2.0 * flat_area(FORE, CHINE_AFT, KEEL_AFT),
        "side planking": 2.0 * flat_area(FORE, SHEER_FORE, SHEER_AFT, CHINE_AFT),
    }
    for name, area in expected.items():
        assert found[name].area == pytest.approx(area, rel=1e-4), name
    # The deck's plane is level athwartships: its after edge lies in the transom's plane, at one height.
    deck = 2.0 * flat_area(middle(SHEER_FORE), SHEER_FORE, SHEER_AFT, middle(SHEER_AFT))
    assert found["deck"].area == pytest.approx(deck, rel=1e-4)


def test_the_transom_is_painted_as_large_as_it_is(boat: Boat) -> None:
    """Its corners lie in one plane, raked by 12 degrees."""
    for x, _, z in (KEEL_AFT, CHINE_AFT, SHEER_AFT):
        assert x == pytest.approx(TRANSOM_X0 + np.tan(RAKE) * z)
    area = 2.0 * flat_area(middle(KEEL_AFT), KEEL_AFT, CHINE_AFT, SHEER_AFT, middle(SHEER_AFT))
    transom = next(each for each in outsides(boat) if each.name == "outside of the transom")
    assert transom.area == pytest.approx(area, rel=1e-4)


def test_planking_is_bought_of_the_one_sheet_as_thick(boat: Boat) -> None:
    """Area over that of a sheet, rounded up; weight is area x thickness x density.  None of 6 mm: no number."""
    found = {skin.name: skin for skin in skins_of(boat)}
    bottom = found["bottom planking"]
    assert bottom.sheets == int(np.ceil(bottom.area / (2.44 * 1.22)))
    assert bottom.weight == pytest.approx(bottom.area * 0.009 * 600.0)
    assert found["side planking"].sheets is None
    assert found["side planking"].weight is None


def test_a_density_in_pounds_is_the_same(tmp_path_factory: pytest.TempPathFactory) -> None:
    """1 lb is 0.45359237 kg, 1 ft is 0.3048 m, by definition."""
    boat = write(tmp_path_factory, RACK.replace("600 kg/m3", "33 lb/ft3"))
    [spec] = boat.design.all(StockSpec)
    assert spec.density == pytest.approx(33.0 * 0.45359237 / 0.3048**3)


@pytest.mark.parametrize(
    ("density", "code"),
    [("600", "invalid-value"), ("600 mm", "invalid-value"), ("6000 kg/m3", "out-of-range")],
)
def test_a_wrong_density_is_refused(
    tmp_path_factory: pytest.TempPathFactory, density: str, code: str
) -> None:
    with pytest.raises(DesignError) as caught:
        write(tmp_path_factory, RACK.replace("600 kg/m3", density))
    assert [problem.code for problem in caught.value.problems] == [code]


def stick(name: str, stock: str, size: tuple[float, float, float], hands: int = 1) -> CutRow:
    long, broad, thick = size
    return CutRow(
        piece=name,
        kind="batten",
        stock=stock,
        quantity="",
        hands=hands,
        laminations=1,
        thickness=thick,
        length=long,
        breadth=broad,
        bent=True,
    )


BOARD = StockSpec.model_validate(
    {
        "name": "fir",
        "kind": "board",
        "thickness": "20 mm",
        "length": "3000 mm",
        "breadth": "100 mm",
        "density": "500 kg/m3",
    }
)


def test_sticks_weigh_what_they_are(boat: Boat) -> None:
    """Two of 2 m x 50 mm x 20 mm at 500 kg/m3 are 2 kg."""
    cuts = StockCuts(name="fir", spec=BOARD, cuts=(stick("batten", "fir", (2000.0, 50.0, 20.0), hands=2),))
    assert weight_of(cuts) == pytest.approx(2.0)
    assert weight_of(replace(cuts, spec=BOARD.model_copy(update={"density": None}))) is None


def test_what_is_on_no_board_is_listed_with_its_cause(boat: Boat) -> None:
    cuts = (
        stick("fits", "fir", (2000.0, 50.0, 20.0)),
        stick("as broad as the board", "fir", (2900.0, 100.0, 20.0)),
        stick("long", "fir", (4000.0, 50.0, 20.0), hands=2),
        stick("thick", "fir", (2000.0, 50.0, 30.0)),
    )
    stocks = (
        StockCuts(name="fir", spec=BOARD, cuts=cuts),
        StockCuts(name="oak", spec=None, cuts=(stick("elsewhere", "oak", (1.0, 1.0, 1.0)),)),
        StockCuts(name=NOT_NAMED, spec=None, cuts=(stick("of what?", NOT_NAMED, (1.0, 1.0, 1.0)),)),
    )
    found = purchase_of(boat, stocks, sheets_of(stocks))
    assert {each.cut.piece: (each.count, each.cause) for each in found.not_laid} == {
        "long": (2, "larger"),
        "thick": (1, "thicker"),
        "elsewhere": (1, "stock-without-size"),
        "of what?": (1, "stock-not-named"),
    }


def test_with_a_scarf_long_pieces_are_laid_in_lengths(boat: Boat) -> None:
    """4 m of 3 m boards with a scarf of 8 x 20 mm: two lengths of (4000 + 160) / 2 mm each."""
    spec = BOARD.model_copy(update={"scarf_ratio": 8.0})
    stocks = (StockCuts(name="fir", spec=spec, cuts=(stick("long", "fir", (4000.0, 50.0, 20.0)),)),)
    [sheets] = sheets_of(stocks)
    assert [laid.area.bounds[2] - laid.area.bounds[0] for laid in sheets.nesting.laid] == pytest.approx(
        [2080.0, 2080.0]
    )
    assert not purchase_of(boat, stocks, (sheets,)).not_laid


@pytest.mark.slow
def test_everything_that_is_sawn_is_laid_or_listed() -> None:
    """On the demo boat: each piece lies on sheets as often as it is made, in all its lengths, or is listed."""
    boat = demo_boat()
    stocks = stocks_of(boat, cuts_of(boat, demo_patterns()))
    sheets = sheets_of(stocks)
    found = purchase_of(boat, stocks, sheets)
    laid = Counter(
        (piece.cut.piece, piece.which)
        for each in sheets
        for piece in (each.pieces[laid.shape] for laid in each.nesting.laid)
    )
    listed = {each.cut.piece for each in found.not_laid}
    for stock in stocks:
        for cut in stock.cuts:
            whole = all(laid[cut.piece, which] for which in range(1, cut.count + 1))
            assert whole != (cut.piece in listed), cut.piece
    rows = list(csv.DictReader(purchase_table(found).splitlines()))
    assert {row["what"] for row in rows} >= listed | {"deck", "bottom planking"}


@pytest.mark.slow
def test_a_strake_is_laid_as_the_sheets_that_it_is_scarfed_of() -> None:
    """The demo's side: on each side two panels, which together are the strake and its scarf once more."""
    boat = demo_boat()
    stocks = stocks_of(boat, cuts_of(boat, demo_patterns()))
    sheets = next(each for each in sheets_of(stocks) if each.stock.name == "6 mm plywood")
    panels = [laid for laid in sheets.nesting.laid if sheets.pieces[laid.shape].cut.piece == "side strake"]
    assert len(panels) == 4
    for panel in panels:
        assert shapely.box(0.0, 0.0, 2440.0, 1220.0).buffer(1e-6).contains(panel.area)
