"""Where the bevels of whole boats are read, and by which figure the whole set gives them."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np
import pytest
from pypdf import PdfReader

from patterns import PageRequest, make
from patterns.pattern import FaceEdge, Pattern, Reading
from patterns.text.bevels import MOST_OUT, figure_now, gauge_angle
from tests.demo import DEMO, demo_patterns, round_demo_patterns

ON = 0.01  # mm


def read_on(pattern: Pattern, edge: FaceEdge) -> dict[int, Reading]:
    """The readings of an edge of the hull by the number of its vertex."""
    found: dict[int, Reading] = {}
    for uv in (
        edge.uv,
        edge.uv @ pattern.view.T,
    ):  # the edge keeps its own coordinates where the drawing is turned
        for reading in pattern.readings:
            away = np.hypot(*(uv - reading.at).T)
            if reading.edge == edge.strake and not reading.where and away.min() < ON:
                found[int(away.argmin())] = reading
    return found


def edges_of(patterns: Sequence[Pattern]) -> Iterator[tuple[Pattern, FaceEdge]]:
    for pattern in patterns:
        for edge in pattern.edges:
            if edge.face == "moulded face":
                yield pattern, edge


@pytest.mark.slow
@pytest.mark.parametrize("boat", [demo_patterns, round_demo_patterns])
def test_every_edge_is_read_at_both_ends_and_rolled_between_them_is_nowhere_out(boat) -> None:  # type: ignore[no-untyped-def]
    """How far the other face's edge is out: the thickness times the difference of the two bevels' cotangents."""
    seen, worst = 0, 0.0
    for pattern, edge in edges_of(boat()):
        read = read_on(pattern, edge)
        if not read or any(reading.all_along for reading in read.values()):
            assert all(gauge_angle(float(bevel)).kind == "square" for bevel in edge.bevel), pattern.name
            continue
        places = sorted(read)
        assert places[0] == 0
        assert places[-1] == len(edge.uv) - 1
        run = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(edge.uv, axis=0).T))])
        rolled = np.interp(run, run[places], [read[place].bevel for place in places])
        out = pattern.thickness * np.abs(1.0 / np.tan(edge.bevel) - 1.0 / np.tan(rolled))
        worst, seen = max(worst, float(out.max())), seen + 1
    assert worst <= MOST_OUT + 1e-6
    assert seen >= 1


@pytest.mark.slow
def test_an_edge_that_is_square_all_along_is_said_to_be_so_once() -> None:
    square = 0
    for pattern in demo_patterns():
        for name in {reading.edge for reading in pattern.readings if reading.all_along}:
            own = [reading for reading in pattern.readings if reading.edge == name and not reading.where]
            assert len(own) == 1, (pattern.name, name)
            square += 1
    assert square >= 1


def words_of(file: Path) -> str:
    return " ".join(" ".join(page.extract_text() for page in PdfReader(file).pages).split())


@pytest.mark.slow
def test_the_whole_set_gives_bevels_from_square_where_that_is_chosen(tmp_path: Path) -> None:
    [piece] = [pattern for pattern in demo_patterns() if pattern.name == "floor 4"]
    angles = [gauge_angle(r.bevel, land=r.land) for r in piece.readings]
    wanted = {
        "through the wood": {f"{a.degrees:g}° {a.kind}" for a in angles if a.tilt},
        "from square": {f"{a.tilt:g}° {a.kind}" for a in angles if a.tilt},
    }
    assert len(wanted["from square"]) > 1
    marks = set()
    for figure in ("through the wood", "from square"):
        made = make(
            DEMO, tmp_path / figure, request=PageRequest(paper="a4", bevels=figure), only=[piece.name]
        )
        said = words_of(made.folder / made.files[0])
        sample = {"through the wood": "70° under", "from square": "20° under"}[figure]
        found = {f"{angle}° {kind}" for angle, kind in re.findall(r"([\d.]+)° (under|standing)", said)}
        assert found == wanted[figure] | {sample}
        marks |= set(re.findall(r"[Mm]ark ([A-Z0-9]{5})", said))
        assert figure_now() == "through the wood"
    assert len(marks) >= 4  # of the file and of the piece, each other ones
