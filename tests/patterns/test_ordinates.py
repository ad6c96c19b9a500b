"""Long pieces by ordinates: closed forms, the batten's accuracy by a spline of another library, what is printed."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterator
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.interpolate import CubicSpline
from shapely.geometry import Polygon

from patterns.boat import load_boat
from patterns.drawing.frame_up import FrameUp
from patterns.drawing.ordinate_page import ordinate_pages
from patterns.drawing.ordinate_windows import windows_of
from patterns.drawing.ordinates import LONG, MOST_OUT, Ordinates, laid_off
from patterns.drawing.places import places_on
from patterns.hull.planes import FloatArray
from patterns.measure.ordinates import INCHES, MILLIMETRES, OrdinateRule
from patterns.members import all_patterns
from patterns.pattern import Hole, Kind, Line, Pattern
from patterns.run.page_request import PageRequest
from patterns.run.printed import Printing
from patterns.shop.ordinate_table import ordinate_table
from patterns.wood.piece import Hand
from tests.demo import DEMO, demo_patterns
from tiling.layout.page_layout import lay_out

Edge = Callable[[FloatArray], FloatArray]


def strip_of(
    upper: Edge, lower: Edge, *, length: float = 3000.0, rule: OrdinateRule = MILLIMETRES, turn: float = 0.0
) -> Pattern:
    """A piece between two edges with square ends, turned on its drawing."""
    x = np.linspace(0.0, length, int(length / 4.0) + 1)
    outline = np.vstack([np.column_stack([x, lower(x)]), np.column_stack([x, upper(x)])[::-1]])
    c, s = np.cos(turn), np.sin(turn)
    outline = outline @ np.array([[c, s], [-s, c]]) + [40.0, -17.0]
    return Pattern(
        name="strip",
        member="strake",
        stock="6 mm plywood",
        thickness=6.0,
        laminations=1,
        quantity="1",
        hand=Hand.CENTRE,
        face="inside face",
        sides=("AFT", "FORWARD", "UP"),
        half=False,
        lines=(Line(kind=Kind.SAW, points=outline, closed=True),),
        facts=("6 mm plywood",),
        siding=1.0,
        rule=rule,
    )


def level(height: float) -> Edge:
    return lambda x: np.full_like(x, height)


def arc(radius: float, top: float, middle: float) -> Edge:
    """A circle's upper arc with its highest point at a place."""
    return lambda x: top - radius + np.sqrt(radius**2 - (x - middle) ** 2)


def must(laid: Ordinates | None) -> Ordinates:
    assert laid is not None
    return laid


@pytest.mark.parametrize("rule", [MILLIMETRES, INCHES])
def test_the_ordinates_of_an_arc_are_those_of_the_circle_to_the_rule_s_least_part(rule: OrdinateRule) -> None:
    edge = arc(9000.0, 300.0, 1500.0)
    laid = must(laid_off(strip_of(edge, level(0.0), rule=rule)))
    upper, lower = laid.edges
    [(x, y)] = upper.sweeps
    assert np.abs(y - edge(x)).max() <= 0.5 * rule.grain + 1e-3  # 1e-3: the outline is chords of 4 mm
    assert np.abs(y / rule.grain - np.round(y / rule.grain)).max() < 1e-6
    assert np.diff(x).max() <= rule.step + 1e-6
    [(_, flat)] = lower.sweeps
    assert np.abs(flat).max() == 0.0
    assert laid.girth[1] == pytest.approx(float(edge(np.array([laid.girth[0]]))[0]), abs=1e-3)
    assert abs(laid.girth[0] - 1500.0) <= rule.step


def sprung(laid: Ordinates, edges: tuple[Edge, Edge]) -> float:
    """The greatest distance, mm, of natural splines (scipy) through the printed ordinates from the true edges."""
    worst = 0.0
    for line, edge in zip(laid.edges, edges, strict=True):
        for x, y in line.sweeps:
            fine = np.linspace(x[0], x[-1], 4001)
            worst = max(worst, float(np.abs(CubicSpline(x, y, bc_type="natural")(fine) - edge(fine)).max()))
    return worst


def test_ordinates_are_set_closer_where_a_batten_between_the_usual_ones_would_be_out() -> None:
    """A bump of 12 mm over 400 mm: at 100 mm apart a spline misses it by more than half a millimetre."""

    def edge(x: FloatArray) -> FloatArray:
        return 250.0 + 12.0 * np.exp(-(((x - 1430.0) / 90.0) ** 2))

    laid = must(laid_off(strip_of(edge, level(0.0))))
    usual = np.arange(100.0, 2901.0, 100.0)
    fine = np.linspace(100.0, 2900.0, 5001)
    assert np.abs(CubicSpline(usual, edge(usual), bc_type="natural")(fine) - edge(fine)).max() > MOST_OUT
    [(x, _)] = laid.edges[0].sweeps
    assert np.diff(x).min() < 100.0
    assert sprung(laid, (edge, level(0.0))) < MOST_OUT


@pytest.mark.slow
@settings(max_examples=30)
@given(
    st.floats(1600.0, 6000.0),
    st.floats(-120.0, 120.0),
    st.floats(-25.0, 25.0),
    st.floats(0.5, 9.0),
    st.sampled_from([MILLIMETRES, INCHES]),
)
def test_a_spline_through_the_printed_figures_is_within_half_a_millimetre_of_the_edge(
    length: float, camber: float, wave: float, waves: float, rule: OrdinateRule
) -> None:
    def upper(x: FloatArray) -> FloatArray:
        part = x / length
        return 400.0 + camber * part * (1.0 - part) * 4.0 + wave * np.sin(waves * part)

    def lower(x: FloatArray) -> FloatArray:
        return 30.0 * (1.0 - np.cos(2.0 * np.pi * x / length))

    laid = must(laid_off(strip_of(upper, lower, length=length, rule=rule)))
    area = Polygon(laid.base.own(strip_of(upper, lower, length=length, rule=rule).lines[0].points))
    assert area.bounds[0] == pytest.approx(0.0, abs=1e-6)
    assert area.bounds[1] == pytest.approx(0.0, abs=1e-6)
    out = spline_out(laid, area)
    assert out < MOST_OUT
    assert out == pytest.approx(max(line.out for line in laid.edges), abs=0.05)


def heights(area: Polygon, x: FloatArray) -> FloatArray:
    """The lower and the upper edge of an area, (n, 2), one ray after the other."""
    found = [area.intersection(shapely.LineString([(at, -5.0), (at, 5000.0)])).bounds for at in x.tolist()]
    return np.array([[low, high] for _, low, _, high in found])


def spline_out(laid: Ordinates, area: Polygon) -> float:
    worst = 0.0
    for line, column in zip(laid.edges, (1, 0), strict=True):
        for x, y in line.sweeps:
            fine = np.linspace(x[0] + 1e-6, x[-1] - 1e-6, 250)
            off = CubicSpline(x, y, bc_type="natural")(fine) - heights(area, fine)[:, column]
            worst = max(worst, float(np.abs(off).max()))
    return worst


@pytest.mark.parametrize("turn", [0.0, 0.07, -0.2])
def test_the_base_line_touches_the_piece_from_below_however_it_is_drawn(turn: float) -> None:
    pattern = strip_of(arc(20000.0, 300.0, 1500.0), level(0.0), turn=turn)
    laid = must(laid_off(pattern))
    own = laid.base.own(pattern.lines[0].points)
    assert own.min(axis=0) == pytest.approx([0.0, 0.0], abs=1e-6)
    assert own[:, 1].max() < 302.0 + 3000.0 * 0.03
    assert laid.base.turn @ laid.base.turn.T == pytest.approx(np.eye(2))


def notched(x: FloatArray) -> FloatArray:
    return np.where((x > 1400.0) & (x < 1460.0), 270.0, 300.0)


def test_a_notch_is_printed_and_so_are_the_ends_and_nothing_is_left_between() -> None:
    pattern = strip_of(notched, level(0.0))
    laid = must(laid_off(pattern))
    ends = [window.end for window in laid.windows]
    assert ends == ["fore end", "", "after end"]
    notch = laid.windows[1]
    assert notch.x[0] < 1375.0
    assert notch.x[1] > 1485.0
    assert notch.x[1] - notch.x[0] < 300.0
    assert notch.edge == laid.edges[0].name
    assert notch.y[0] > 200.0  # the lower edge is fair there, and is no part of it
    for line, top in zip(laid.edges, (True, False), strict=True):
        for x in np.arange(1.0, 3000.0, 7.0):
            swept = any(xs[0] <= x <= xs[-1] for xs, _ in line.sweeps)
            height = float((notched(np.array([x])) if top else np.zeros(1))[0])
            assert swept or any(window.holds(float(x), height) for window in laid.windows)
    assert len(laid.edges[0].sweeps) == 2
    assert len(laid.edges[1].sweeps) == 1


def test_what_is_printed_is_the_piece_itself_where_it_is() -> None:
    holes = Hole(at=(1470.0, 265.0), diameter=6.0), Hole(at=(740.0, 100.0), diameter=6.0)
    pattern = replace(strip_of(notched, level(0.0)), holes=holes)
    laid = must(laid_off(pattern))
    outline = Polygon(laid.base.own(pattern.lines[0].points)).exterior
    windows = windows_of(pattern, laid)
    assert [len(window.holes) for window in windows] == [0, 1, 0]
    for window, (low, high) in zip(windows, (each.x for each in laid.windows), strict=True):
        sawn = np.vstack([line.points for line in window.of_kind(Kind.SAW)])
        assert max(outline.distance(shapely.Point(at)) for at in sawn) < 1e-6
        assert sawn[:, 0].min() >= low - 1e-6
        assert sawn[:, 0].max() <= high + 1e-6
        assert window.of_kind(Kind.BASE)
        assert window.rule is None
    assert [place.low for place in places_on(pattern, laid)] == [pytest.approx((700.0, 117.0), abs=1e-6)]


def test_short_pieces_strong_curves_and_those_that_ask_for_it_are_printed_whole() -> None:
    assert laid_off(strip_of(level(200.0), level(0.0), length=LONG - 1.0)) is None
    assert laid_off(strip_of(level(200.0), level(0.0), length=LONG + 1.0)) is not None
    long = strip_of(level(200.0), level(0.0))
    assert laid_off(replace(long, rule=None)) is None

    def teeth(x: FloatArray) -> FloatArray:
        return 200.0 + 30.0 * (np.floor(x / 90.0) % 2.0)

    assert laid_off(strip_of(teeth, level(0.0))) is None


def test_on_a_roll_and_in_a_model_nothing_is_taped_and_the_piece_is_whole() -> None:
    pattern = strip_of(arc(9000.0, 300.0, 1500.0), level(0.0))

    def names(request: PageRequest) -> list[str]:
        page = request.page(rolls=True)
        return [
            piece.name
            for piece in Printing(
                title="T", page=page, whole=False, source="", frame_up=FrameUp(()), lengths=str
            ).pieces([pattern])
        ]

    assert names(PageRequest(paper="a4")) == ["strip", "strip, fore end", "strip, after end"]
    assert names(PageRequest(paper="24 in roll")) == ["strip"]
    assert names(PageRequest(paper="a4", scale="1:4")) == ["strip"]


@pytest.mark.slow
@pytest.mark.parametrize("paper", ["a4", "letter", "a3"])
@pytest.mark.parametrize("length", [1600.0, 4500.0, 16000.0])
def test_each_page_of_ordinates_is_one_page_and_no_figure_is_lost(paper: str, length: float) -> None:
    pattern = strip_of(arc(length**2 / 800.0, 400.0, 0.5 * length), level(0.0), length=length)
    laid, page = must(laid_off(pattern)), PageRequest(paper=paper).page()
    drawings = ordinate_pages(pattern, laid, boat="T", page=page)
    assert all(len(lay_out(drawing, page).tiles) == 1 for drawing in drawings)
    said = [text for d in drawings for note in d.notes if note.figure for text, _ in note.figure.words]
    for line in laid.edges:
        for x, y in line.sweeps:
            assert all(said.count(laid.rule.words(float(each))) >= 1 for each in (*x, *y))
    assert len(drawings) == 1 or length > 10000.0


@given(st.floats(0.0, 20000.0))
def test_lengths_by_a_rule_are_read_back_within_half_of_its_least_part(mm: float) -> None:
    assert abs(float(MILLIMETRES.words(mm)) - mm) <= 0.25 + 1e-9
    inches = sum(Fraction(part) for part in INCHES.words(mm).split())
    assert abs(float(inches) * 25.4 - mm) <= 25.4 / 128.0 + 1e-6


@pytest.mark.parametrize(
    ("mm", "metric", "inches"),
    [
        (0.0, "0", "0"),
        (25.4, "25.5", "1"),
        (466.4, "466.5", "18 23/64"),
        (6.35, "6.5", "1/4"),
        (100.0, "100", "3 15/16"),
    ],
)
def test_lengths_by_a_rule(mm: float, metric: str, inches: str) -> None:
    assert MILLIMETRES.words(mm) == metric
    assert INCHES.words(mm) == inches


def long_ones() -> Iterator[tuple[Pattern, Ordinates]]:
    for pattern in demo_patterns():
        laid = laid_off(pattern)
        if laid is not None:
            yield pattern, laid


@pytest.mark.slow
def test_the_demos_long_pieces_hold_the_promise_by_the_figures_of_the_table() -> None:
    """The CSV's own words, read as fractions, and splines of another library against the true outlines."""
    found = list(long_ones())
    assert {pattern.name for pattern, _ in found} == {"side strake", "king plank"}
    rows = list(csv.DictReader(io.StringIO(ordinate_table(found))))
    for pattern, laid in found:
        area = Polygon(laid.base.own(pattern.of_kind(Kind.SAW)[0].points))
        for line, column in zip(laid.edges, (1, 0), strict=True):
            own = [row for row in rows if row["pattern"] == pattern.name and row["what"] == line.name]
            at = np.array(
                [
                    [float(sum(map(Fraction, row[key].split()))) * 25.4 for key in ("along", "up")]
                    for row in own
                ]
            )
            for x, _ in line.sweeps:
                here = at[(at[:, 0] > x[0] - 0.1) & (at[:, 0] < x[-1] + 0.1)]
                assert len(here) == len(x)
                assert np.diff(here[:, 0]).max() < 101.7
                fine = np.linspace(here[0, 0] + 1e-6, here[-1, 0] - 1e-6, 900)
                off = CubicSpline(*here.T, bc_type="natural")(fine) - heights(area, fine)[:, column]
                assert np.abs(off).max() < MOST_OUT
                assert np.abs(off).max() <= line.out + 0.01


@pytest.mark.slow
def test_the_design_may_ask_for_all_pages(tmp_path: Path) -> None:
    for file in DEMO.glob("*.*"):
        (tmp_path / file.name).write_bytes(file.read_bytes())
    design = tmp_path / "design.toml"
    text = design.read_text(encoding="utf-8")
    design.write_text(
        text.replace('strake = "side"\n', 'strake = "side"\nprint = "whole"\n', 1), encoding="utf-8"
    )
    [whole] = [p for p in all_patterns(load_boat(tmp_path), only=["side strake"]) if p.name == "side strake"]
    assert whole.rule is None
    assert laid_off(whole) is None


def test_where_a_broad_piece_is_scarfed_each_edge_is_printed_and_no_page_is_without_one() -> None:
    pattern = strip_of(level(500.0), level(0.0))
    scarf = Line(kind=Kind.JOINT, points=np.array([[1440.0, -17.0], [1440.0, 483.0]]), name="scarf 1 begins")
    laid = must(laid_off(replace(pattern, lines=(*pattern.lines, scarf))))
    inner = [window for window in laid.windows if not window.end]
    assert {window.edge for window in inner} == {line.name for line in laid.edges}
    assert all(window.x[0] < 1400.0 < window.x[1] for window in inner)
    narrow = strip_of(level(100.0), level(0.0))
    own = must(laid_off(replace(narrow, lines=(*narrow.lines, scarf))))
    assert [window.edge for window in own.windows if not window.end] == [""]
    page = PageRequest(paper="a4").page()
    assert page.window[3] - page.window[1] > 100.0
    for window in windows_of(pattern, laid):
        assert window.of_kind(Kind.SAW)
