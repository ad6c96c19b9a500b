"""The page for a screen, read without a browser: words, shapes, its policy, and what no name can do to it."""

from __future__ import annotations

import base64
import hashlib
import math
import re
import xml.etree.ElementTree as ElementTree
from collections import Counter
from html.parser import HTMLParser
from pathlib import Path

import numpy as np
import pytest
import shapely
from click.testing import CliRunner
from hypothesis import given
from hypothesis.strategies import text

from patterns.boat import load_boat
from patterns.cli import main
from patterns.drawing.of_pattern import draw
from patterns.pattern import Kind
from patterns.picture.maps import map_plate, taped
from patterns.picture.markup import Markup, joined, shown, tag
from patterns.picture.page import MADE_BY, picture_page
from patterns.picture.plates import FINE
from patterns.subject import BoatSubject
from patterns.text.bevels import bevel_words
from tests.patterns.folders import write_folder
from tests.patterns.pictures import (
    CHOSEN,
    HOSTILE,
    demo,
    doubtful_design,
    hostile_page,
    page_of,
    paths_of,
    printed_of,
)  # fmt: skip
from tiling.drawing import ROOM
from tiling.paper import Page, parse_paper
from tiling.planning.plan import Piece, plan_pieces

VOID = {"meta"}
# Elements and attributes that load, send or run something (HTML Living Standard, chapter 4; from memory).
FORBIDDEN = {
    "img",
    "iframe",
    "object",
    "embed",
    "link",
    "base",
    "form",
    "input",
    "audio",
    "video",
    "image",
    "a:ping",
}
ADDRESSES = {"src", "srcset", "action", "formaction", "xlink:href", "background", "poster", "data", "style"}


class Reader(HTMLParser):
    """Elements, their attributes and their words, by the standard library's reader of HTML."""

    def __init__(self, page: str) -> None:
        super().__init__(convert_charrefs=True)
        self.found: list[tuple[str, dict[str, str]]] = []
        self.words: list[tuple[str, str]] = []
        self.open: list[str] = []
        self.comments: list[str] = []
        self.feed(page)
        self.close()

    def handle_starttag(self, name: str, attributes: list[tuple[str, str | None]]) -> None:
        self.found.append((name, {key: value or "" for key, value in attributes}))
        if name not in VOID:
            self.open.append(name)

    def handle_endtag(self, name: str) -> None:
        assert self.open[-1:] == [name]
        self.open.pop()

    def handle_data(self, data: str) -> None:
        self.words.append((self.open[-1] if self.open else "", data))

    def handle_comment(self, data: str) -> None:
        self.comments.append(data)


@pytest.fixture(scope="module")
def page() -> str:
    return page_of(*demo())


@pytest.fixture(scope="module")
def reader(page: str) -> Reader:
    return Reader(page)


@pytest.mark.slow
def test_every_element_is_closed_in_its_order_and_every_name_is_the_only_one(reader: Reader) -> None:
    assert reader.open == []
    names = Counter(attributes["id"] for _, attributes in reader.found if "id" in attributes)
    assert set(names.values()) == {1}
    ways = {a["href"].removeprefix("#") for _, a in reader.found if "href" in a}
    assert ways <= set(names)


@pytest.mark.slow
def test_every_picture_is_well_formed_for_a_reader_of_xml(page: str) -> None:
    pictures = re.findall(r"<svg .*?</svg>", page)
    assert len(pictures) > 20
    for picture in pictures:
        ElementTree.fromstring(picture)


@pytest.mark.slow
def test_the_same_boat_gives_the_same_bytes(page: str) -> None:
    assert page_of(*demo()) == page


@pytest.mark.slow
def test_bevels_are_told_in_the_words_of_the_paper(page: str, reader: Reader) -> None:
    """In every pattern as many as it has readings, in their order, in a list and at their places."""
    _, patterns = demo()
    links = [text for name, text in reader.words if name == "a"]
    titles = [text for name, text in reader.words if name == "title"]
    wanted = [bevel_words(r.bevel, land=r.land) for p in patterns for r in p.readings]
    assert len(wanted) > 10
    for told in (links, titles):
        bevels = [text for text in told if any(text.endswith(words) for words in wanted)]
        assert len(bevels) == len(wanted)
        assert all(text.endswith(words) for text, words in zip(bevels, wanted, strict=True))


def _vertices(data: str) -> list[np.ndarray]:
    """The vertices of path data with an absolute start and relative steps (SVG 1.1, section 8.3)."""
    runs = []
    for part in re.findall(r"M[^M]*", data):
        numbers = np.array([int(n) for n in re.findall(r"-?\d+", part)], dtype=float).reshape(-1, 2)
        runs.append(np.cumsum(numbers, axis=0) / FINE)
    return runs


@pytest.mark.slow
def test_outlines_in_the_picture_are_those_of_the_shapes(page: str) -> None:
    """The saw line, brought back to its size, lies within 0.05 units of a telephone's screen of the true one."""
    _, patterns = demo()
    for number, pattern in enumerate(patterns, start=1):
        seen = _vertices(paths_of(page, f"p{number}")[-1])
        true = [line.points for line in pattern.of_kind(Kind.SAW)]
        low, high = np.vstack(true).min(axis=0), np.vstack(true).max(axis=0)
        left, right = np.vstack(seen).min(axis=0), np.vstack(seen).max(axis=0)
        scale = (right - left) / (high - low)
        assert scale[0] == pytest.approx(scale[1], rel=2e-3), pattern.name
        wide = shapely.MultiLineString(
            [np.column_stack([(t[:, 0] - low[0]), (high[1] - t[:, 1])]) * scale.mean() + left for t in true]
        )
        drawn = shapely.MultiLineString(seen)
        assert (
            shapely.hausdorff_distance(wide, drawn) < 4.0
        )  # closed lines have one side that is not written out
        for run in true:
            at = np.column_stack([(run[:, 0] - low[0]), (high[1] - run[:, 1])]) * scale.mean() + left
            assert max(drawn.distance(shapely.Point(p)) for p in at) < 0.05, pattern.name


@pytest.mark.slow
def test_the_maps_name_every_page_by_its_number_and_name(page: str, reader: Reader) -> None:
    boat, patterns = demo()
    printed = printed_of(patterns, boat=boat.design.boat.name)
    titles = [text for name, text in reader.words if name == "title"]
    number = 5
    for plan in printed.plans:
        for tile in plan.layout.tiles:
            assert f"page {number} of {printed.total}: {plan.piece.name} {tile.name}" in titles
            number += 1
    assert number == printed.total + 1


@pytest.mark.slow
def test_pieces_that_share_pages_are_named_on_their_own_ground() -> None:
    """Where a piece's name stands its own words are the nearest: those that the pages have in its room."""
    _, patterns = demo()
    page = Page(paper=parse_paper("a3"), landscape=False, margin=10.0, overlap=12.0)
    pieces = [Piece(made_from="formula", name=p.name, drawing=draw(p, boat="any")) for p in patterns]
    plan = next(plan for plan in plan_pieces(pieces, page, share="nested") if plan.piece.parts)
    (on,) = taped([plan], first=1)
    named = {p.label: p.at for p in map_plate(on, total=9).points if p.sign == "mark"}
    assert set(named) == set(on.names)
    assert len(named) > 1
    for name, at in named.items():
        words = [(note, " ".join(note.text.split()).casefold()) for note in plan.piece.drawing.notes]
        notes = [note for note, text in words if name.casefold() in text]
        (room,) = {note.room for note in notes}
        squares = plan.piece.drawing.rooms[room] + 0.5 * ROOM
        ground = [plan.layout.to_grid.at((float(x), float(y))) for x, y in squares]
        assert min(math.dist(at, place) for place in ground) < 1e-6


@pytest.mark.slow
def test_a_suspect_stands_where_it_was_typed_and_leads_to_where_the_batten_wants_it(tmp_path: Path) -> None:
    """An inch is an inch in the picture: its line is as long beside the boat's length as the move beside hers."""
    boat = load_boat(doubtful_design(tmp_path))
    found = Reader(picture_page("x", parts=BoatSubject(boat).seen()))
    assert len(boat.lines.suspects) == 2
    told = " ".join(text for _, text in found.words)
    for number, suspect in enumerate(boat.lines.suspects, start=1):
        assert f"Suspect {number}. {suspect}" in told
        assert suspect.problem().place in told
        assert any(a.get("href") == f"#s{number}" for _, a in found.found)
    page = picture_page("x", parts=BoatSubject(boat).seen())
    lines = [run for data in paths_of(page, "profile") for run in _vertices(data) if len(run) == 2]
    stations = [run[0, 0] for run in lines if run[0, 0] == run[1, 0]]
    unit = (boat.offsets.station_x[-1] - boat.offsets.station_x[0]) / (max(stations) - min(stations))
    move = re.search(r'id="s1".*?class="wanted" d="M0 0L0.00 (-?[\d.]+)"', page)
    assert move is not None
    suspect = boat.lines.suspects[0]
    assert suspect.view == "height"
    assert float(move[1]) * unit == pytest.approx(suspect.offset - suspect.wanted, abs=0.02 * unit)


# --------------------------------------------------------------------------------- nothing from outside, no harm


@pytest.mark.slow
def test_nothing_is_loaded_and_the_policy_names_the_very_script_and_looks(page: str, reader: Reader) -> None:
    for name, attributes in reader.found:
        assert name not in FORBIDDEN
        assert not ADDRESSES & set(attributes), attributes
        assert not any(key.startswith("on") for key in attributes)
        assert attributes.get("href", "#").startswith("#")
    policy = next(a["content"] for n, a in reader.found if a.get("http-equiv") == "Content-Security-Policy")
    assert policy.startswith("default-src 'none';")
    for name in ("style", "script"):
        inside = re.findall(f"<{name}>(.*?)</{name}>", page, re.S)
        assert len(inside) == 1
        digest = base64.b64encode(hashlib.sha256(inside[0].encode()).digest()).decode()
        assert f"{name}-src 'sha256-{digest}'" in policy
    assert not re.search(r"https?://(?!www\.w3\.org/2000/svg)", page)
    assert not re.search(r"url\(|@import", page)


@pytest.mark.slow
def test_names_that_mean_harm_add_no_element_and_no_attribute(reader: Reader) -> None:
    """The same elements with the same attributes as the harmless page, and the names in full as words."""
    page = hostile_page()
    page.encode("utf-8")
    found = Reader(page)
    assert found.open == []

    def bones(of: Reader) -> Counter[tuple[str, tuple[str, ...]]]:
        return Counter(
            (name, tuple(sorted(a)))
            for name, a in of.found
            if name not in ("p", "span", "b", "li", "h4", "text")
        )

    kept, had = bones(found), bones(reader)
    for bone in {*kept, *had}:
        if bone[0] in ("script", "style", "body", "html", "section", "article", "meta"):
            assert kept[bone] == had[bone], bone
    assert set(kept) <= set(had)
    words = " ".join(text for _, text in found.words)
    for bad in HOSTILE:
        assert shown(bad) in words
    assert found.comments == [MADE_BY.split("<!--")[1].split("-->")[0]]
    for sign in "\u2028\u202e\x00\x1b":
        assert sign not in page


def test_only_what_says_so_is_markup() -> None:
    assert tag("b", "<i>", title='"&') == '<b title="&quot;&amp;">&lt;i&gt;</b>'
    assert tag("b", tag("i", "x"), hidden=True, id=None) == "<b hidden><i>x</i></b>"
    assert joined("<", Markup("<br>")) == "&lt;<br>"
    assert shown("78\u00b0\u202e under\n\x07twice") == "78\u00b0 under twice"


@pytest.mark.slow
@given(text())
def test_any_words_come_out_of_the_markup_as_they_are_shown(words: str) -> None:
    """Read back by the standard library's reader of HTML, as contents and as an attribute."""
    found = Reader(tag("b", words, title=words))
    assert found.found == [("b", {"title": shown(words)})]
    assert "".join(part for _, part in found.words) == shown(words)
    assert found.open == []


# --------------------------------------------------------------------------------- written by the commands


@pytest.mark.slow
def test_fair_writes_the_lines_and_check_a_picture_where_it_is_told(
    tmp_path: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    design = str(write_folder(tmp_path_factory.mktemp("small")))
    made = CliRunner().invoke(main, ["fair", design, "--output", str(tmp_path / "out")])
    assert made.exit_code == 0, made.output
    assert 'id="lines"' in (tmp_path / "out" / "picture.html").read_text(encoding="utf-8")
    target = tmp_path / "deep" / "seen.html"
    for _ in range(2):  # again and again, while the table is put right
        made = CliRunner().invoke(main, ["check", design, "--picture", str(target)])
        assert made.exit_code == 3, made.output  # two spans are known badly
        assert f"wrote {target}" in made.output
    page = target.read_text(encoding="utf-8")
    assert 'id="patterns"' in page
    assert 'id="pages"' not in page
    other = tmp_path / "letter.html"
    other.write_text("<p>Dear aunt")
    made = CliRunner().invoke(main, ["check", design, "--picture", str(other)])
    assert made.exit_code == 2
    assert "letter.html" in made.output
    assert other.read_text() == "<p>Dear aunt"
    assert sorted(path.name for path in tmp_path.iterdir()) == ["deep", "letter.html", "out"]


@pytest.mark.slow
def test_a_table_whose_pieces_cannot_be_made_is_seen_all_the_same(tmp_path: Path) -> None:
    design = doubtful_design(tmp_path)
    table = design / "offsets.csv"
    wrong = (
        table.read_text(encoding="utf-8")
        .replace("1-0-4,0-11-4-", "1-1-4,0-11-4-")
        .replace("2-9-0-", "2-8-0-")
    )
    table.write_text(wrong.replace("2-6-4+", "2-5-4+"), encoding="utf-8")
    keys = design / "design.toml"
    text = keys.read_text(encoding="utf-8")
    keys.write_text(text.replace('moulded = "45 mm"', 'moulded = "4.5 mm"', 1), encoding="utf-8")
    target = tmp_path / "seen.html"
    said = CliRunner().invoke(main, ["check", str(design), "--picture", str(target)])
    assert said.exit_code == 1
    told = [text for _, text in Reader(target.read_text(encoding="utf-8")).words]
    assert "To put right" in told
    assert any("beam 2" in text for text in told)
    assert any(text.startswith("Suspect 1. ") for text in told)


@pytest.mark.slow
def test_a_design_without_lines_has_a_page_of_its_patterns() -> None:
    _, patterns = demo()
    found = Reader(picture_page("repair", patterns=patterns, printed=printed_of(patterns, boat="repair")))
    sections = [a["id"] for name, a in found.found if name == "section"]
    assert sections == ["patterns", "pages"]
    assert [text for name, text in found.words if name == "h3"][: len(CHOSEN)] == list(CHOSEN)
