"""The full-size picture, read back by an XML parser and measured in mm."""

import re
import xml.etree.ElementTree as ElementTree
from dataclasses import replace

import numpy as np
import pytest

from tiling.drawing import Disc, Distance, Drawing, Note, Path, Stroke
from tiling.errors import TilingError
from tiling.svg import LAYERS, svg_text
from tiling.text.typeface import text_width

SVG = "{http://www.w3.org/2000/svg}"
CURVE = np.column_stack((np.linspace(-400.0, 700.0, 97), 150.0 * np.sin(np.linspace(0.0, 7.0, 97))))
DRAWING = Drawing(
    paths=(
        Path(points=CURVE, stroke=Stroke(width=0.5)),
        Path(
            points=np.array([(0.0, 0.0), (30.0, 0.0), (0.0, 50.0)]),
            stroke=Stroke(width=0.25, dash=(4.0, 2.0), grey=0.4),
            closed=True,
        ),
        Path(
            points=np.array([(9.0, 9.0), (12.0, 9.0), (9.0, 12.0)]),
            stroke=Stroke(width=0.18),
            closed=True,
            filled=True,
        ),
    ),
    discs=(
        Disc(centre=(100.0, -20.0), radius=3.0),
        Disc(centre=(110.0, -20.0), radius=2.5, filled=False, width=0.35),
    ),
    notes=(
        Note(text='side < bottom & "deck"\n78° under', target=(30.0, 0.0), leader=True),
        Note(text="a bell \x07 rings", target=(300.0, 40.0)),
    ),
    distances=(Distance(name="long", start=(-300.0, 20.0), end=(600.0, -35.0)),),
)


@pytest.fixture(scope="module")
def root():
    return ElementTree.fromstring(svg_text(DRAWING, title="Frame 3 <after face> & more").encode())


def numbers(text):
    return [float(number) for number in re.findall(r"-?\d+(?:\.\d+)?", text)]


def test_width_and_height_are_in_mm_and_the_view_box_counts_mm(root):
    _, _, width, height = numbers(root.get("viewBox"))
    assert root.get("width") == f"{width:.3f}mm"
    assert root.get("height") == f"{height:.3f}mm"


def test_every_vertex_is_where_the_drawing_has_it_with_y_turned(root):
    paths = list(root.iter(SVG + "path"))[: len(DRAWING.paths)]
    read = [np.array(numbers(each.get("d"))).reshape(-1, 2) for each in paths]
    shift = read[0][0] - CURVE[0] * (1, -1)  # one shift for all
    for points, path in zip(read, DRAWING.paths, strict=True):
        np.testing.assert_allclose(points, path.points * (1, -1) + shift, atol=0.0011)
    assert [each.get("d").endswith("Z") for each in paths] == [False, True, True]


def test_strokes_keep_their_width_dash_grey_and_filling(root):
    plain, dashed, filled = list(root.iter(SVG + "path"))[:3]
    assert (plain.get("stroke-width"), plain.get("stroke-dasharray"), plain.get("fill")) == (
        "0.5",
        None,
        None,
    )
    assert (dashed.get("stroke-width"), dashed.get("stroke-dasharray")) == ("0.25", "4 2")
    assert dashed.get("stroke") == "#666666"  # 0.4 of 255
    assert filled.get("fill") == "#000000"


def test_discs_and_targets_stand_at_their_true_distance(root):
    circles = list(root.iter(SVG + "circle"))
    assert [each.get("r") for each in circles[:2]] == ["3.000", "2.500"]
    assert circles[1].get("fill") is None
    assert circles[1].get("stroke-width") == "0.35"
    (a, b) = [(float(each.get("cx")), float(each.get("cy"))) for each in circles[-2:]]
    assert np.hypot(a[0] - b[0], a[1] - b[1]) == pytest.approx(DRAWING.distances[0].length, abs=0.002)


def test_words_are_escaped_and_held_to_their_width(root):
    assert root.find(SVG + "title").text == "Frame 3 <after face> & more"
    texts = list(root.iter(SVG + "text"))
    assert [each.text for each in texts] == ['side < bottom & "deck"', "78° under", "a bell □ rings"]
    for each in texts:
        assert float(each.get("textLength")) == pytest.approx(text_width(each.text, 3.5), abs=0.001)


def test_everything_stands_within_the_picture(root):
    _, _, width, height = numbers(root.get("viewBox"))
    for each in root.iter(SVG + "text"):
        assert 0 < float(each.get("x")) < width - float(each.get("textLength"))
        assert 0 < float(each.get("y")) < height
    for each in list(root.iter(SVG + "path"))[:3]:
        points = np.array(numbers(each.get("d"))).reshape(-1, 2)
        assert (points > 0).all()
        assert (points < (width, height)).all()


def test_characters_that_xml_forbids_do_not_break_the_file():
    text = svg_text(DRAWING, title="a\x00b\x0bc\ud800d\ufffee")
    assert ElementTree.fromstring(text.encode()).find(SVG + "title").text == "abcde"


def test_equal_drawings_give_equal_files():
    assert svg_text(DRAWING, title="x") == svg_text(DRAWING, title="x")


def test_an_empty_drawing_is_refused():
    with pytest.raises(TilingError, match="nothing is drawn"):
        svg_text(Drawing(), title="")


def test_what_is_cut_marked_and_said_lies_in_groups_of_their_own_colour():
    cut = replace(DRAWING, paths=(replace(DRAWING.paths[0], cut=True), *DRAWING.paths[1:]))
    root = ElementTree.fromstring(svg_text(cut).encode())
    groups = {group.get("id"): group for group in root.iter(SVG + "g")}
    assert {name: group.get("stroke") for name, group in groups.items()} == LAYERS
    assert len(list(groups["cut"].iter(SVG + "path"))) == 1
    assert len(numbers(groups["cut"][0].get("d"))) == 2 * len(CURVE)
    assert len(list(groups["text"].iter(SVG + "text"))) == len(list(root.iter(SVG + "text")))
    assert not list(groups["mark"].iter(SVG + "text"))
    black = ElementTree.fromstring(svg_text(DRAWING).encode())
    assert {group.get("stroke") for group in black.iter(SVG + "g")} == {LAYERS["text"]}
