"""What operators paint, with closed forms: places through matrices and forms, looks, clips, layers, words."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tiling.pdf.graphics_state import STILL
from tiling.pdf.ink_record import packed, unpacked
from tiling.pdf.interpreter import ALONG, Interpreter
from tiling.pdf.operators import INLINE, LINES, operations
from tiling.pdf.page_content import Item, PageContent, Placed

SHEET = (0.0, 0.0, 200.0, 300.0)


class Named:
    """Names that stand for themselves."""

    def font(self, name: str) -> str:
        return name

    def placed(self, name: str) -> Placed:
        return Placed(kind=f"form {name}", matrix=(2.0, 0.0, 0.0, 2.0, 1.0, 0.0), layer="thing's")

    def layer(self, properties: Any) -> str:
        return f"layer {properties}"

    def settings(self, name: str) -> dict[str, Any]:
        return {"CA": 0.5, "ca": 0.25, "LW": 3.0, "BM": "Multiply"}

    def space(self, name: str) -> str:
        return name


def painted(operators: bytes) -> PageContent:
    return Interpreter(Named(), STILL, SHEET).run(operators)


def look(operators: bytes, which: int = -1) -> dict[str, Any]:
    found = painted(operators)
    return found.looks[found.items[which].look]


def test_operands_of_every_kind_are_read() -> None:
    data = b"[1 -.5 (a(b\\)c)d) <414> /N#41] 0 d % remark\n(x\\\n\\051\\n) Tj\n"
    data += b"<</A [1]/B true>> gs 1 2 m 3 4 l 5 6 l"
    found = list(operations(data))
    assert found[0] == (b"d", [[1.0, -0.5, b"a(b)c)d", b"A@", "NA"], 0.0])
    assert found[1] == (b"Tj", [b"x)\n"])
    assert found[2] == (b"gs", [{"A": [1.0], "B": True}])
    assert found[3:] == [(b"m", [1.0, 2.0]), (LINES, [3.0, 4.0, 5.0, 6.0])]
    assert next(operations(b"BI /W 1 ID xx\n EI q"))[0] == INLINE


@pytest.mark.parametrize("data", [b"1 2 ) m", b"[1 2", b"(abc", b"1 2 >> m", b"BI abc", b"[1 m]"])
def test_what_is_no_operator_is_refused(data: bytes) -> None:
    with pytest.raises(ValueError, match=r"."):
        list(operations(data))


@pytest.mark.parametrize("data", [b"1 m", b"Q", b"1 2 3 rg 4 w w", b"what", b"EMC", b"1 2 m 1 0 0 1 0 0 cm"])
def test_operators_that_cannot_be_carried_out_are_refused(data: bytes) -> None:
    with pytest.raises((ValueError, IndexError)):
        painted(data)


@given(st.floats(-math.pi, math.pi), st.floats(0.1, 10.0), st.floats(-100.0, 100.0), st.floats(-100.0, 100.0))
def test_places_go_through_all_matrices(turn: float, scale: float, x: float, y: float) -> None:
    """A turn, a scale and a shift, one within the other, against complex numbers."""
    c, s = math.cos(turn), math.sin(turn)
    found = painted(
        b"1 0 0 1 %.12f %.12f cm q %.12f %.12f %.12f %.12f 0 0 cm %.12f 0 0 %.12f 0 0 cm 0.5 w 1 0 m 3 4 l S Q"
        % (x, y, c, s, -s, c, scale, scale)
    )
    wanted = [complex(x, y) + complex(c, s) * scale * point for point in (1 + 0j, 3 + 4j)]
    assert found.points == pytest.approx(np.array([(p.real, p.imag) for p in wanted]), abs=1e-6)
    assert found.looks[0]["width"] == pytest.approx((0.5 * scale, 0.5 * scale), rel=1e-6)


def test_the_state_is_kept_and_restored() -> None:
    found = painted(b"0.7 w [3 1] 2 d 1 0 0 RG q 0 w [] 0 d 0 G 0 0 m 1 1 l S Q 0 0 m 2 2 l S")
    inner, outer = (found.looks[item.look] for item in found.items)
    assert (inner["width"], inner["stroke"], "dash" in inner) == ((0.0, 0.0), (0.0,), False)
    assert (outer["width"], outer["stroke"], outer["dash"], outer["phase"]) == (
        (0.7, 0.7), (1.0, 0.0, 0.0), (3.0, 1.0), 2.0,
    )  # fmt: skip


@pytest.mark.parametrize(
    "operators",
    [b"0.4 g", b"0.4 0.4 0.4 rg", b"0 0 0 0.6 k", b"/DeviceGray cs 0.4 sc", b"/DeviceRGB cs .4 .4 .4 scn"],
)
def test_a_grey_is_a_grey_however_it_is_written(operators: bytes) -> None:
    assert look(operators + b" 0 0 5 5 re f")["fill"] == pytest.approx((0.4,))


def test_everything_that_hides_ink_shows_in_its_look() -> None:
    line = b" 0 0 m 9 9 l S"
    plain = look(line)
    hidden = [
        look(b"1 G" + line), look(b"0 w" + line), look(b"/Odd gs" + line), look(b"[0 9] 0 d" + line),
        look(b"5 5 6 6 re W n" + line), look(b"5 5 m 9 9 l 9 0 l h W n" + line), look(b"0 0 0 0 re W n" + line),
        look(b"/OC /L1 BDC" + line + b" EMC"), look(b"/Pattern CS /P SCN" + line), look(b"90 i" + line),
    ]  # fmt: skip
    assert all(one != plain for one in hidden)
    assert hidden[2]["stroke alpha"] == 0.5
    assert hidden[2]["width"] == (3.0, 3.0)
    assert hidden[7]["layers"] == ["layer L1"]


def test_clips_meet_and_one_that_leaves_all_is_none() -> None:
    line = b" 0 0 m 9 9 l S"
    assert "clip" not in look(b"-1 -1 400 400 re W n" + line)
    assert look(b"10 10 50 50 re W n q 30 0 100 40 re W n" + line)["clip"] == (30.0, 10.0, 60.0, 40.0)
    assert "clip" not in look(b"q 10 10 50 50 re W n Q" + line)
    assert "clipped to" in look(b"0.8 0.6 -0.6 0.8 0 0 cm 10 10 50 50 re W n" + line)


def test_boxes_are_lines_and_a_fill_with_an_edge_is_both() -> None:
    box, lines = painted(b"1 2 3 4 re f"), painted(b"1 2 m 4 2 l 4 6 l 1 6 l h f")
    assert [item.what for item in box.items] == [item.what for item in lines.items] == ["f:ml3h"]
    assert box.points == pytest.approx(lines.points)
    assert [item.what for item in painted(b"0 0 m 1 0 l 1 1 l b*").items] == ["e:ml2h", "S:ml2h"]
    assert painted(b"0 0 m 1 0 l n 5 5 m W n").items == []


def test_words_are_held_where_they_begin_and_along_their_size() -> None:
    found = painted(
        b"2 0 0 2 10 20 cm BT /F 5 Tf 3 Ts 50 Tz 0 1 -1 0 7 8 Tm (ab) Tj (c) Tj 1 2 Td [(d) 0 (e) -9 (f)] TJ ET"
    )
    assert [item.what for item in found.items] == ["T:F:ab", "T+:F:c", "T:F:de\ue000-9\ue000f"]
    # text space (0, 3) turned by a quarter, moved to (7, 8), doubled, moved to (10, 20)
    assert found.points[0] == pytest.approx((10 + 2 * (7 - 3), 20 + 2 * 8))
    assert found.points[1] - found.points[0] == pytest.approx((0.0, 2 * ALONG * 2.5))
    assert found.points[2] - found.points[0] == pytest.approx((-2 * ALONG * 5, 0.0))


@pytest.mark.parametrize(
    ("operators", "key"),
    [
        (b"3 Tr", "mode"),
        (b"1 Tc", "spacing"),
        (b"1 Tw", "word spacing"),
        (b"1 g", "fill"),
        (b"1 Tr 1 G", "stroke"),
    ],
)
def test_words_that_look_otherwise_have_another_look(operators: bytes, key: str) -> None:
    words = b" BT /F 5 Tf (ab) Tj ET"
    assert look(operators + words).get(key) != look(words).get(key)


def test_words_that_clip_clip_what_follows() -> None:
    assert "clipped to" in look(b"BT 7 Tr /F 5 Tf (ab) Tj ET 0 0 m 1 1 l S")


def test_a_form_is_placed_by_its_own_matrix_in_its_layer() -> None:
    found = painted(b"3 0 0 3 0 0 cm /Sign Do")
    assert found.items[0].what == "X:form Sign"
    assert found.points[0] == pytest.approx((3.0, 0.0))
    assert found.points[1] - found.points[0] == pytest.approx((600.0, 0.0))
    assert found.looks[0]["layers"] == ["thing's"]


places = st.floats(-5000.0, 5000.0, allow_nan=False).map(lambda value: round(value, 3))


@given(st.lists(st.lists(st.tuples(places, places), min_size=1, max_size=9), max_size=6))
def test_a_record_comes_back_to_the_thousandth(shapes: list[list[tuple[float, float]]]) -> None:
    units = [
        PageContent(
            items=[Item("S:ml", 0, len(shape))], looks=[{"stroke": (0.0,), "width": (0.7, 0.7)}],
            points=np.array(shape).reshape(-1, 2),
        )
        for shape in shapes
    ]  # fmt: skip
    back = unpacked(packed(units))
    assert len(back) == len(units)
    for unit, again in zip(units, back, strict=True):
        assert [item.what for item in again.items] == ["S:ml"]
        assert again.points == pytest.approx(unit.points, abs=0.00051)
