"""The boat in space: its data against the pieces themselves, its page in a real browser against other ways."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Iterator
from importlib import resources
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely

from patterns.boat import Boat, load_boat
from patterns.hull.curved import Curved
from patterns.pattern import Body, Pattern
from patterns.picture.page import picture_page
from patterns.picture.solids import solid_pieces, thinned_in_space
from patterns.picture.space import data_of, space_part
from patterns.shop.in_space import space_lines
from patterns.subject import BoatSubject
from tests.browser import Browser, Tab
from tests.demo import demo_boat, demo_patterns, round_demo, round_demo_patterns
from tests.patterns.pictures import doubtful_design

DEMOS = [(demo_boat, demo_patterns), (round_demo, round_demo_patterns)]
PATCHES = re.compile(r"--([a-z0-9]+): (#[0-9a-f]{6})")


def wood_of(pattern: Pattern) -> list[Body]:
    return [body for body in (pattern.body, *pattern.slabs) if body is not None]


def corners_of(body: Body) -> np.ndarray:
    """The vertices of both faces in the boat, (n, 3), by the face's own way into space."""
    faces = (body.moulded, body.plane), (body.other, body.plane.moved(body.depth))
    return np.vstack([plane.space(shapely.get_coordinates(area)) for area, plane in faces])


def numbers_of(shape: dict[str, Any]) -> np.ndarray:
    """Every point of a shape, (n, 3)."""
    flat = [at for pair in shape["rings"] for at in pair] if "rings" in shape else [
        shape.get("bar") or shape["skin"]
    ]  # fmt: skip
    return np.concatenate([np.array(at, dtype=float) for at in flat]).reshape(-1, 3)


@pytest.mark.slow
@pytest.mark.parametrize(("boat", "patterns"), DEMOS)
def test_every_piece_fills_its_own_box_and_all_are_in_the_boats(boat: Any, patterns: Any) -> None:
    """Whole mm, outlines thinned by 0.8 mm: each box agrees with that of the wood's own corners within 2 mm."""
    hull = np.vstack([line.points for line in space_lines(boat())])
    wood = np.vstack([corners_of(body) for each in patterns() for body in wood_of(each)])
    rails = np.vstack([run.corners.reshape(-1, 3) for run in boat().runs])
    low, high = (fit([fit(part, axis=0) for part in (hull, wood, rails)], axis=0) for fit in (np.min, np.max))
    pieces = solid_pieces(boat(), patterns())
    assert len({piece.name for piece in pieces}) == len(pieces)
    for piece in pieces:
        points = np.vstack([numbers_of(dict(shape)) for shape in piece.shapes])
        assert np.isfinite(points).all()
        assert (points >= low - 2.0).all(), piece.name
        assert (points <= high + 2.0).all(), piece.name
        own = wood_of(patterns()[piece.pattern]) if piece.pattern >= 0 else []
        if own:
            corners = np.vstack([corners_of(body) for body in own])
            assert points.min(axis=0) == pytest.approx(corners.min(axis=0), abs=2.0), piece.name
            assert points.max(axis=0) == pytest.approx(corners.max(axis=0), abs=2.0), piece.name
    shown = {piece.pattern for piece in pieces}
    assert {number for number, each in enumerate(patterns()) if wood_of(each)} <= shown


@pytest.mark.slow
def test_a_face_in_the_data_has_the_area_of_the_pieces_face() -> None:
    """The area by the cross products of its outlines in space (the shoelace rule) against the wood's own."""
    compared = 0
    for piece in solid_pieces(demo_boat(), demo_patterns()):
        body = demo_patterns()[piece.pattern].body if piece.pattern >= 0 else None
        if body is None or isinstance(body.plane, Curved) or len(piece.shapes) > 1:
            continue
        area = np.zeros(3)
        for one, _ in piece.shapes[0]["rings"]:  # type: ignore[attr-defined]
            ring = np.array(one, dtype=float).reshape(-1, 3)
            area += 0.5 * np.cross(ring, np.roll(ring, -1, axis=0)).sum(axis=0)
        wanted = float(body.moulded.area)
        slack = 2.0 * float(body.moulded.length) + 100.0  # a rim of what is rounded and thinned
        assert float(np.linalg.norm(area)) == pytest.approx(wanted, abs=slack), piece.name
        compared += 1
    assert compared > 25


def test_a_thinned_run_keeps_its_corners_and_no_left_out_point_is_off_it() -> None:
    t = np.linspace(0.0, 1.0, 400)
    run = np.column_stack([1000.0 * t, 200.0 * np.sin(5.0 * t), 50.0 * t**2, np.where(t < 0.5, 0.0, t - 0.5)])
    few = thinned_in_space(run)
    assert len(few) < 40
    assert (few[[0, -1]] == run[[0, -1]]).all()
    away = [
        min(
            float(np.linalg.norm(p - a - np.clip((p - a) @ (b - a) / ((b - a) @ (b - a)), 0, 1) * (b - a)))
            for a, b in pairwise(few)
        )
        for p in run
    ]
    assert max(away) <= 0.8


@pytest.mark.slow
def test_suspects_are_an_inch_from_where_the_batten_wants_them(tmp_path: Path) -> None:
    boat = load_boat(doubtful_design(tmp_path))
    found: Any = data_of(boat, (), space_lines(boat))["suspects"]
    assert len(found) == 2
    moves = [np.array(each["wanted"]) - np.array(each["typed"]) for each in found]
    for move, axis in zip(moves, (2, 1), strict=True):  # one height, one half-breadth
        assert abs(move[axis]) == pytest.approx(25.4, abs=4.0)
        assert [int(v) for i, v in enumerate(move) if i != axis] == [0, 0]
    text = space_part(boat, ()).markup
    assert "<script" in text


def test_scripts_are_small_and_ask_nothing() -> None:
    own = resources.files("patterns.picture")
    text = "".join((own / name).read_text(encoding="utf-8") for name in ("picture.js", "space.js"))
    assert len(text.encode()) < 60_000
    for word in ("fetch(", "XMLHttpRequest", "import(", "WebSocket", "innerHTML", "eval(", "http:", "https:"):
        assert word not in text.replace("http://www.w3.org/2000/svg", "")


def test_words_have_contrast_by_day_and_by_night() -> None:
    """The ratio of WCAG 2.2 (success criterion 1.4.3, level AA): 4.5 for words."""
    style = (resources.files("patterns.picture") / "picture.css").read_text(encoding="utf-8")
    schemes = [dict(PATCHES.findall(part)) for part in style.split("\n@media screen", 1)]
    assert all(scheme["paper"] != scheme["ink"] for scheme in schemes)
    for scheme in schemes:
        for name in ("ink", "red", "ink6"):
            assert contrast(scheme[name], scheme["paper"]) >= 4.5


def contrast(one: str, two: str) -> float:
    def luminance(colour: str) -> float:
        parts = [int(colour[i : i + 2], 16) / 255.0 for i in (1, 3, 5)]
        linear = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    low, high = sorted((luminance(one), luminance(two)))
    return (high + 0.05) / (low + 0.05)


# ---------------------------------------------------------------------- in a browser


@pytest.fixture(scope="module")
def file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("space") / "picture.html"
    subject = BoatSubject(demo_boat())
    page = picture_page(subject.title, parts=subject.seen(demo_patterns()), patterns=demo_patterns())
    path.write_text(page, encoding="utf-8", newline="")
    return path


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    browser = Browser()
    yield browser
    browser.close()


@pytest.fixture(scope="module")
def tab(browser: Browser, file: Path) -> Iterator[Tab]:
    tab = browser.tab(file)
    yield tab
    tab.close()


VIEW = "document.getElementById('boat-view').boat"


def by_turning(points: np.ndarray, ahead: float, above: float) -> np.ndarray:
    """Where points are seen, (n, 2), x right and y up: the boat is turned about her height, then tipped.

    Turned until the eye is to port of her, then tipped about the line across.
    """
    turn = -(0.5 * np.pi + ahead)  # the eye comes to lie on -y
    c, s = np.cos(turn), np.sin(turn)
    upright = points @ np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])
    c, s = np.cos(above), np.sin(above)
    tipped = upright @ np.array([[1.0, 0.0, 0.0], [0.0, c, -s], [0.0, s, c]]).T
    return tipped[:, [0, 2]]


@pytest.mark.slow
def test_corners_are_on_the_screen_where_another_projection_has_them(tab: Tab) -> None:
    """Up to one scale and one place for all of them, which are the view's own."""
    named = {pattern.name: pattern for pattern in demo_patterns()}
    bodies = [
        named[name].body for name in ("frame 3 side", "transom panel", "inner stem", "carling", "beam 6")
    ]
    points = np.vstack([corners_of(body) for body in bodies if body is not None])[::7]
    ahead, above = tab.run(f"{VIEW}.data.first")
    on = np.array(tab.run(f"{json.dumps(points.tolist())}.map({VIEW}.place)")) * [1.0, -1.0]
    wanted = by_turning(points, ahead, above)
    on, wanted = on - on.mean(axis=0), wanted - wanted.mean(axis=0)
    scale = float((on * wanted).sum() / (wanted * wanted).sum())
    assert scale > 0.05
    assert np.abs(on - scale * wanted).max() < 0.01


@pytest.mark.slow
def test_what_is_pointed_at_is_the_piece_whose_wood_is_there(tab: Tab) -> None:
    """Every piece that is found on the screen has its own wood under that place, by its outline there."""
    spots = tab.run(
        f"(() => {{const v = {VIEW}, found = [];"
        " for (let x = 20; x < 820; x += 13) for (let y = 20; y < 450; y += 11) {"
        " const id = v.at(x, y, 0); if (id >= 0) found.push([x, y, v.data.pieces[id].name]); } return found; })()"
    )
    named = {pattern.name: pattern for pattern in demo_patterns()}
    compared = 0
    for name in {spot[2] for spot in spots} & set(named):
        corners = [corners_of(body) for body in wood_of(named[name])]
        corners += [each * [1.0, -1.0, 1.0] for each in corners]
        hulls = []
        for each in corners:
            on = tab.run(f"{json.dumps(each.tolist())}.map({VIEW}.place)")
            hulls.append(shapely.MultiPoint(on).convex_hull.buffer(2.0))
        own = shapely.union_all(hulls)
        for x, y, _ in (spot for spot in spots if spot[2] == name):
            assert own.contains(shapely.Point(x, y)), (name, x, y)
            compared += 1
    assert compared > 100


@pytest.mark.slow
def test_a_piece_from_the_list_shows_its_card_and_leads_to_its_pattern(tab: Tab) -> None:
    name = "frame 6 side"
    number = next(i for i, p in enumerate(solid_pieces(demo_boat(), demo_patterns())) if p.name == name)
    tab.run(f"document.querySelectorAll('.members a')[{number}].click(); 1")
    assert tab.run(f"{VIEW}.chosen()") == number
    words = tab.run("document.querySelector('.card').textContent")
    pattern = next(p for p in demo_patterns() if p.name == name)
    assert name in words
    assert f"Quantity: {pattern.quantity}" in words
    tab.run("document.querySelector('.card a.go:last-child').click(); 1")
    tab.settle()
    shown = "[...document.querySelectorAll('article')].find(a => a.clientWidth)"
    assert tab.run(f"{shown}.querySelector('h3').textContent") == name
    tab.go("boat")


@pytest.mark.slow
def test_keys_turn_her_and_go_from_piece_to_piece(tab: Tab) -> None:
    tab.run("document.querySelector('#boat-view canvas').focus(); 1")
    corner = "[0, 500, 500]"
    before = tab.run(f"{VIEW}.place({corner})")
    tab.key("ArrowRight")
    tab.run(f"{VIEW}.draw(); 1")
    assert math.dist(before, tab.run(f"{VIEW}.place({corner})")) > 1.0
    tab.key("Escape")
    tab.key("n")
    tab.key("n")
    assert tab.run(f"{VIEW}.chosen()") == 1
    tab.key("0")
    assert tab.faults() == []


@pytest.mark.slow
def test_a_drag_turns_her_and_a_tap_on_a_telephone_chooses(browser: Browser, file: Path) -> None:
    tab = browser.tab(file, width=360, height=780, phone=True)
    assert tab.run("document.documentElement.scrollWidth") <= 360
    low = tab.run("document.querySelector('#boat-view').getBoundingClientRect().top")
    x, y = tab.run(
        f"(() => {{const v = {VIEW}; for (let x = 40; x < 320; x += 3) for (let y = 20; y < 200; y += 3)"
        " if (v.at(x, y, 0) === v.at(x + 3, y + 3, 0) && v.at(x, y, 0) > 0) return [x, y]; })()"
    )
    tab.tap(x + 14, low + y + 2)
    assert tab.run(f"{VIEW}.chosen()") >= 0
    before = tab.run(f"{VIEW}.place([0, 500, 500])")
    tab.touch("touchStart", (100, low + 100))
    for step in range(1, 6):
        tab.touch("touchMove", (100 + 20 * step, low + 100))
    tab.touch("touchEnd")
    tab.run(f"{VIEW}.draw(); 1")
    assert math.dist(before, tab.run(f"{VIEW}.place([0, 500, 500])")) > 5.0
    assert tab.faults() == []
    tab.close()


@pytest.mark.slow
def test_no_word_lies_over_a_saw_line(tab: Tab) -> None:
    """In the pattern of every third piece: each word's box, by the browser, against the outline as it is drawn."""
    for number in range(1, len(demo_patterns()) + 1, 3):
        tab.go(f"p{number}a")
        boxes, lines = tab.run(
            f"(() => {{const svg = document.querySelector('#p{number} svg');"
            "const words = [...svg.querySelectorAll('.pt text:not(.off)')].map(t => {"
            "const b = t.getBoundingClientRect(); return [b.x, b.y + 3, b.right, b.bottom - 4];});"
            "const path = [...svg.querySelectorAll('g[id] > path:not([stroke-dasharray])')].pop();"
            "const found = [], m = path.getScreenCTM(), long = path.getTotalLength();"
            "for (let i = 0; i <= 600; i += 1) {"
            "const p = path.getPointAtLength(long * i / 600).matrixTransform(m);"
            "found.push([p.x, p.y]); } return [words, found]; })()"
        )
        points = np.array(lines)
        for x0, y0, x1, y1 in boxes:
            inside = (points[:, 0] > x0) & (points[:, 0] < x1) & (points[:, 1] > y0) & (points[:, 1] < y1)
            assert not inside.any(), (number, x0, y0)
    tab.go("boat")


def test_the_view_is_of_the_boat_alone_where_no_piece_is_made() -> None:
    boat: Boat = demo_boat()
    data = data_of(boat, (), space_lines(boat))
    assert data["pieces"] == []
    assert len(json.dumps(data["lines"])) < 40_000


@pytest.mark.slow
def test_without_script_every_piece_is_in_the_fixed_drawing() -> None:
    markup = space_part(demo_boat(), demo_patterns()).markup
    drawing = re.findall(r"<svg .*?</svg>", markup)[0]
    _, _, wide, tall = (float(v) for v in re.findall(r'viewBox="([^"]*)"', drawing)[0].split())
    named = set(re.findall(r"<title>(.*?)</title>", drawing))
    assert named == {piece.name for piece in solid_pieces(demo_boat(), demo_patterns()) if not piece.skin}
    for data in re.findall(r' d="([^"]*)"', drawing):
        at = np.array([float(v) for v in re.findall(r"-?[\d.]+", data)]).reshape(-1, 2)
        assert (at >= 0.0).all()
        assert (at <= [wide, tall]).all()
