"""Beams by the crown mould: parts that are printed, and what is marked by the mould, against circles."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely

from patterns.drawing.crown_mould import LEAST_BEAMS, MouldedBeam, crown_mould, moulded_beam, parts_of
from patterns.drawing.frame_up import FrameUp
from patterns.hull.planes import FloatArray
from patterns.measure.ordinates import INCHES, MILLIMETRES, OrdinateRule
from patterns.pattern import Kind, Line, Pattern, Reading, Span, redrawn
from patterns.run.page_request import PageRequest
from patterns.run.printed import Printing
from patterns.wood.facts import Fact
from patterns.wood.piece import Hand
from tests.demo import demo_patterns

RADIUS, DEEP = 5000.0, 50.0


def arc(x: FloatArray, radius: float = RADIUS) -> FloatArray:
    return np.asarray(np.sqrt(radius**2 - x**2) - radius)


def beam(
    name: str = "beam",
    *,
    reach: float = 700.0,
    notch: float = 60.0,
    straight: bool = False,
    hump: float = 0.0,
) -> Pattern:
    """Half a beam, notched on the centreline, its underside parallel to the top or level; a hump at the middle."""
    x = np.linspace(0.0, reach, 351)
    top = arc(x) + np.where(np.abs(x - 0.5 * reach) < 20.0, hump, 0.0)
    inner = RADIUS - DEEP
    low = np.full_like(x, -150.0) if straight else np.sqrt(inner**2 - x**2) - RADIUS
    ring: list[FloatArray] = [
        np.column_stack([x, low]),
        np.column_stack([x, top])[::-1][: int((reach - notch) / reach * 350.0) + 1],
        np.array([[notch, -20.0], [0.0, -20.0]]),
    ]
    level = float(low.min()) + 12.0
    tip = (reach, float(top[-1]))
    return Pattern(
        name=name,
        member="deck beam",
        stock="fir",
        thickness=20.0,
        laminations=1,
        quantity="1",
        hand=Hand.CENTRE,
        face="forward face",
        sides=("STARBOARD", "PORT", "UP"),
        half=True,
        lines=(
            Line(kind=Kind.SAW, points=np.vstack(ring)),
            Line(kind=Kind.CENTRE, points=np.array([[0.0, -200.0], [0.0, 10.0]])),
            Line(kind=Kind.REFERENCE, points=np.array([[0.0, level], [reach + 15.0, level]]), name="set line"),
        ),
        readings=(
            Reading(at=(0.5 * reach, float(arc(np.array(0.5 * reach)))), bevel=1.5, towards=(0.0, 1.0),
                    edge="deck", all_along=True),
        ),
        spans=(Span(name="check", start=(0.0, float(low[0])), end=tip),),
        facts=("fir",),
        known=(Fact("timber", {}),),
        siding=1.0,
        rule=MILLIMETRES,
        crown=RADIUS,
    )  # fmt: skip


def must(found: MouldedBeam | None) -> MouldedBeam:
    assert found is not None
    return found


def test_between_its_parts_a_beam_is_the_arc_and_a_line_parallel_to_it() -> None:
    found = must(moulded_beam(beam()))
    assert found.under == pytest.approx(DEEP, abs=0.01)
    (a, b), (c, d) = found.parts
    assert a == 0.0
    assert d == pytest.approx(700.0)
    assert b >= 60.0 + 30.0  # past the notch
    assert c <= 650.0
    assert all(at % MILLIMETRES.least == 0.0 for at in (b, c))


def test_a_level_underside_is_straight() -> None:
    assert must(moulded_beam(beam(straight=True))).under is None


@pytest.mark.parametrize("hump", [0.5, -0.5])
def test_an_edge_that_leaves_the_arc_is_printed(hump: float) -> None:
    found = moulded_beam(beam(reach=1200.0, hump=hump))
    assert any(low < 590.0 and high > 610.0 for low, high in must(found).parts)
    assert len(must(moulded_beam(beam(reach=1200.0, hump=0.1))).parts) == 2


def test_other_crowns_short_beams_and_those_that_ask_for_it_are_whole() -> None:
    assert moulded_beam(replace(beam(), crown=0.0)) is None
    assert moulded_beam(replace(beam(), crown=1.2 * RADIUS)) is None
    assert moulded_beam(beam(reach=300.0)) is None
    assert crown_mould([beam(f"beam {number}") for number in range(LEAST_BEAMS - 1)]) is None


@pytest.mark.parametrize("port", [False, True])
@pytest.mark.parametrize("rule", [MILLIMETRES, INCHES])
def test_parts_are_the_beam_s_own_and_lie_apart(port: bool, rule: OrdinateRule) -> None:
    whole = replace(beam(), rule=rule)
    whole = redrawn(whole, np.diag([-1.0, 1.0])) if port else whole
    found = must(moulded_beam(whole))
    assert found.way == (-1.0 if port else 1.0)
    parts = parts_of(whole, found, "crown mould")
    assert parts.size()[0] == pytest.approx(whole.size()[0])
    outline = shapely.LineString(whole.of_kind(Kind.SAW)[0].points)
    saw = [line.points for line in parts.of_kind(Kind.SAW)]
    inner = [points for points in saw if np.abs(points[:, 0]).min() < 1e-6]
    outer = [points for points in saw if np.abs(points[:, 0]).min() > 1e-6]
    assert inner
    assert len(outer) == 1
    for points in inner:  # where it was
        assert max(outline.distance(shapely.Point(at)) for at in points) < 1e-6
    shift = whole.of_kind(Kind.SAW)[0].points[:, 0] * found.way
    tip = float(shift.max())
    moved = outer[0] - [found.way * (float((outer[0][:, 0] * found.way).max()) - tip), 0.0]
    down = float(moved[:, 1].max() - arc(np.array(found.parts[-1][0])))
    assert (
        max(outline.distance(shapely.Point(at - [0.0, down])) for at in moved) < 1e-3
    )  # a chord's ends are on the arc
    assert np.vstack(outer)[:, 1].max() < np.vstack(inner)[:, 1].min() - 10.0
    # one bevel holds all along: it is read on the part that is left
    reading = parts.readings[0]
    assert shapely.LineString(outer[0]).distance(shapely.Point(reading.at)) < 0.1


def test_the_mould_is_the_arc_itself_and_reaches_every_part() -> None:
    beams = [beam(f"beam {reach:.0f}", reach=reach) for reach in (500.0, 700.0, 900.0)]
    mould = crown_mould(beams)
    assert mould is not None
    points = mould.pattern.of_kind(Kind.SAW)[0].points
    on_arc = points[np.abs(points[:, 1] - arc(points[:, 0])) < 1e-6]
    reach = max(each.parts[-1][0] for each in mould.beams.values())
    assert on_arc[:, 0].min() == 0.0
    assert on_arc[:, 0].max() > reach + 30.0
    assert (
        np.diff(np.sort(on_arc[:, 0])).max() ** 2 / (8.0 * RADIUS) < 0.001
    )  # its chords, by the circle's sagitta
    ticks = [mark for mark in mould.pattern.marks if mark.length]
    assert [mark.at[0] for mark in ticks] == [100.0 * number for number in range(1, len(ticks) + 1)]


def test_beams_are_printed_as_parts_after_their_mould_and_whole_where_nothing_is_taped() -> None:
    beams = [beam(f"beam {number}") for number in range(3)]

    def names(request: PageRequest, *, whole: bool = False) -> list[str]:
        printing = Printing(
            title="T",
            page=request.page(rolls=True),
            whole=whole,
            source="",
            frame_up=FrameUp(()),
            lengths=str,
        )
        return [piece.name for piece in printing.pieces(beams)]

    plain = [each.name for each in beams]
    assert names(PageRequest(paper="a4")) == ["crown mould", *plain]
    assert names(PageRequest(paper="a4"), whole=True) == plain
    assert names(PageRequest(paper="24 in roll")) == plain
    assert names(PageRequest(paper="a4", scale="1:4")) == plain


@pytest.mark.slow
def test_between_the_parts_of_the_demo_s_beams_the_mould_and_a_gauge_give_the_true_edges() -> None:
    """Marked by a circle through the top at the parts' ends and gauged from it, no edge is out by 0.25 mm."""
    mould = crown_mould(demo_patterns())
    assert mould is not None
    assert len(mould.beams) >= LEAST_BEAMS
    for pattern in demo_patterns():
        found = mould.beams.get(pattern.name)
        if found is None:
            continue
        outline = pattern.of_kind(Kind.SAW)[0].points * [found.way, 1.0]
        ring = shapely.Polygon(np.vstack([outline, outline[:1]]))
        for (_, a), (b, _) in zip(found.parts, found.parts[1:], strict=False):
            x = np.linspace(a, b, 60)
            rays = [
                ring.intersection(shapely.LineString([(at, -5e3), (at, 5e3)])).bounds for at in x.tolist()
            ]
            low, high = np.array(rays)[:, 1], np.array(rays)[:, 3]
            lie = high[[0, -1]] - arc(x[[0, -1]], pattern.crown)
            assert lie[0] == pytest.approx(lie[1], abs=0.25)
            assert np.abs(high - arc(x, pattern.crown) - lie.mean()).max() < 0.25
            assert found.under is not None
            gauged = np.hypot(x, low - (lie.mean() - pattern.crown))
            assert np.abs(pattern.crown - gauged - found.under).max() < 0.25
