"""Quarter knees and hanging knees between the real faces of what they tie, on the boat of planes."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import shapely

from patterns.assembly.contacts import contacts
from patterns.assembly.plate import plates
from patterns.boat import Boat, load_boat
from patterns.errors import DesignError
from patterns.hull.cuts import Trace
from patterns.hull.planes import FloatArray
from patterns.joinery.passages import Passages
from patterns.joinery.two_faced_knees import two_faced_knee
from patterns.members import all_patterns
from patterns.pattern import Body, Pattern
from patterns.wood.labels import Against, Free, Landing, Trim
from patterns.wood.meeting import Joinery, Loss, Meeting
from tests.once import made_of
from tests.patterns.plane_boat import RAKE, SIDE_NORMAL, SIDE_T, TRANSOM_X0, side_over
from tests.patterns.test_deck import CROWN, TIMBERS, crowned_boat, deck_over

KNEES = """
[[knee]]
kind = "quarter knee"
along_clamp = "250 mm"
along_transom = "220 mm"
throat = "100 mm"
toe = "32 mm"
sided = "36 mm"
stock = "ply"
laminations = 2
[[knee]]
kind = "quarter knee"
name = "level knee"
lies = "level"
along_clamp = "200 mm"
along_transom = "180 mm"
throat = "90 mm"
toe = "30 mm"
sided = "20 mm"
stock = "ply"
bolts_clamp = ["90 mm"]
[[knee]]
kind = "hanging knee"
under = "fore beam"
along_beam = "150 mm"
down_side = "180 mm"
throat = "90 mm"
toe = "28 mm"
sided = "18 mm"
stock = "ply"
[[knee]]
kind = "hanging knee"
name = "knee in the corner"
under = "shallow beam"
along_beam = "150 mm"
down_side = "180 mm"
throat = "90 mm"
toe = "28 mm"
sided = "20 mm"
stock = "ply"
[[beam]]
name = "shallow beam"
at = "2200 mm"
sided = "20 mm"
moulded = "30 mm"
underside = "parallel to the crown"
ends = "at the clamp"
stock = "fir"
"""
TRANSOM_OUT = np.array([np.cos(RAKE), 0.0, -np.sin(RAKE)])


def transom_over(points: FloatArray) -> FloatArray:
    """How far points stand abaft the framing's forward face: panel 18 and framing 20 within the after face."""
    return (points - np.array([TRANSOM_X0, 0.0, 0.0])) @ TRANSOM_OUT + 38.0


@pytest.fixture(scope="module")
def boat(tmp_path_factory: pytest.TempPathFactory) -> Boat:
    return load_boat(crowned_boat(tmp_path_factory.mktemp("knees"), more=TIMBERS + KNEES))


@pytest.fixture(scope="module")
def patterns(boat: Boat) -> dict[str, Pattern]:
    return {pattern.name: pattern for pattern in all_patterns(boat)}


def corners(body: Body) -> tuple[FloatArray, FloatArray]:
    """The outline's points of both faces, in the boat."""
    found = []
    for plane, area in ((body.plane, body.moulded), (body.plane.moved(body.depth), body.other)):
        assert isinstance(area, shapely.Polygon)
        found.append(plane.space(np.asarray(area.exterior.coords)))
    return found[0], found[1]


def body_of(patterns: dict[str, Pattern], name: str) -> Body:
    body = patterns[name].body
    assert body is not None
    return body


@pytest.mark.slow
@pytest.mark.parametrize("name", ["quarter knee", "level knee"])
def test_a_quarter_knee_lands_on_clamp_and_framing_on_both_faces(
    patterns: dict[str, Pattern], name: str
) -> None:
    for points in corners(body_of(patterns, name)):
        for over in (side_over(points) + SIDE_T + 20.0, transom_over(points)):
            assert over.max() == pytest.approx(0.0, abs=0.01)
            assert (np.abs(over) < 0.01).sum() >= 2


@pytest.mark.slow
@pytest.mark.parametrize(("name", "lies"), [("quarter knee", 0.02), ("level knee", 0.02)])
def test_a_quarter_knee_lies_close_under_the_deck_and_never_in_it(
    boat: Boat, patterns: dict[str, Pattern], name: str, lies: float
) -> None:
    widest = float(boat.hull.deck.sheer.at(np.array(boat.hull.deck.sheer.end))[1])
    body = body_of(patterns, name)
    over = deck_over(corners(body)[0], widest)
    assert over.max() <= 0.02
    assert over.max() >= -lies
    if name == "level knee":
        assert body.plane.normal == pytest.approx([0.0, 0.0, -1.0], abs=1e-12)


@pytest.mark.slow
@pytest.mark.parametrize("name", ["quarter knee", "level knee"])
def test_a_quarter_knee_s_bevels_are_those_of_the_planes(patterns: dict[str, Pattern], name: str) -> None:
    down = body_of(patterns, name).plane.normal
    assert down[2] < -0.9
    wanted = {"clamp": np.arccos(down @ SIDE_NORMAL), "transom": np.arccos(down @ TRANSOM_OUT)}
    for edge, bevel in wanted.items():
        here = [r.bevel for r in patterns[name].readings if r.edge == edge]
        behind = [r.bevel for r in patterns[name].behind_readings if r.edge == edge]
        assert len(here) >= 2
        assert np.degrees(np.abs(np.array(here) - bevel)).max() < 0.02
        assert np.degrees(np.abs(np.array(behind) - (np.pi - bevel))).max() < 0.02


@pytest.mark.slow
@pytest.mark.parametrize(
    ("name", "toe", "throat"), [("quarter knee", 32.0, 100.0), ("level knee", 30.0, 90.0)]
)
def test_throat_and_toe_are_the_least_of_both_faces(
    patterns: dict[str, Pattern], name: str, toe: float, throat: float
) -> None:
    """The inner edge is square, so both faces share it; the landing lines are the planes' own."""
    body = body_of(patterns, name)
    faces = [np.asarray(area.exterior.coords) for area in (body.moulded, body.other)]  # type: ignore[union-attr]
    shared = np.array([p for p in faces[0] if np.hypot(*(faces[1] - p).T).min() < 1e-9])
    assert len(shared) > 50
    nearest = {"side": np.inf, "transom": np.inf}
    depth = np.inf
    for plane in (body.plane, body.plane.moved(body.depth)):
        away = {}
        for key, normal, over in (
            ("side", SIDE_NORMAL, side_over(plane.space(shared)) + SIDE_T + 20.0),
            ("transom", TRANSOM_OUT, transom_over(plane.space(shared))),
        ):
            away[key] = -over / np.hypot(
                normal @ plane.u, normal @ plane.v
            )  # in the plane, square to the line
            nearest[key] = min(nearest[key], float(away[key].min()))
        lines = [np.array([n @ plane.u, n @ plane.v]) for n in (SIDE_NORMAL, TRANSOM_OUT)]
        ways = np.array([line / np.hypot(*line) for line in lines])
        # The corner lies where both distances vanish.
        offset = np.array([away["side"][0], away["transom"][0]]) + ways @ shared[0]
        corner = np.linalg.solve(ways, offset)
        depth = min(depth, float(np.hypot(*(shared - corner).T).min()))
    assert nearest["side"] == pytest.approx(toe, abs=0.02)
    assert nearest["transom"] == pytest.approx(toe, abs=0.02)
    assert depth <= throat + 0.01
    assert depth > throat - 12.0  # the least distance to the curve need not lie on the bisector


@pytest.mark.slow
@pytest.mark.parametrize(
    ("name", "beam"), [("hanging knee", "fore beam"), ("knee in the corner", "shallow beam")]
)
def test_a_hanging_knee_fits_beam_planking_and_clamp(
    boat: Boat, patterns: dict[str, Pattern], name: str, beam: str
) -> None:
    body = body_of(patterns, name)
    clamp = next(run for run in boat.runs if run.kind == "clamp")
    for points in corners(body):
        over = side_over(points) + SIDE_T
        assert over.max() == pytest.approx(0.0, abs=0.01)
        assert (np.abs(over) < 0.01).sum() >= 2
        assert clamp.depth(points).max() < 0.05
    solids = [*plates(name, body), *plates(beam, body_of(patterns, beam))]
    found = [m for m in contacts(solids) if m.touching > 50]
    assert len(found) == 2  # the port and the starboard knee, each under the whole beam
    assert max(m.overlap for m in found) < 0.02
    assert max(m.gap for m in found) < 0.02


@pytest.mark.slow
def test_a_hanging_knee_stands_in_the_middle_of_its_beam(patterns: dict[str, Pattern]) -> None:
    knee, beam = body_of(patterns, "hanging knee"), body_of(patterns, "fore beam")
    middles = [body.plane.origin[0] + 0.5 * body.depth for body in (knee, beam)]
    assert middles[0] == pytest.approx(middles[1], abs=1e-9)
    siding = np.sign(knee.depth) * knee.plane.normal
    readings = [r for r in patterns["hanging knee"].readings if r.edge == "side"]
    for reading in readings:
        assert np.degrees(reading.bevel) == pytest.approx(
            np.degrees(np.arccos(SIDE_NORMAL @ siding)), abs=0.02
        )


@pytest.mark.slow
@pytest.mark.parametrize(
    ("old", "new", "place", "words"),
    [
        ('under = "fore beam"', 'under = "for beam"', "key under", 'no beam "for beam"'),
        ('throat = "100 mm"', 'throat = "230 mm"', "key throat", "deeper than an arm is long"),
        ('throat = "100 mm"', 'throat = "200 mm"', 'knee "quarter knee"', "leave room only from"),
        ('sided = "18 mm"', 'sided = "24 mm"', 'knee "hanging knee"', "make it no thicker"),
        ('lies = "level"', 'lies = "flat"', "key lies", "flat"),
    ],
)
def test_knees_that_cannot_be_are_told_with_their_place(
    tmp_path: Path, old: str, new: str, place: str, words: str
) -> None:
    assert old in KNEES
    folder = crowned_boat(tmp_path, more=TIMBERS + KNEES.replace(old, new, 1))
    with pytest.raises(DesignError) as caught:
        made_of(load_boat(folder), "quarter knee", "hanging knee")
    assert any(place in str(p) and words in str(p) for p in caught.value.problems), str(caught.value)


def test_the_crown_is_no_flat_deck() -> None:
    """So that the tests above, on a crowned deck, say something."""
    assert CROWN > 20.0


def test_a_notch_parts_a_landing() -> None:
    """A knee in a right angle, let over a timber between 60 and 80 mm up one arm: no edge is read in the notch."""
    across, up = (np.array([[-50.0, 0.0], [400.0, 0.0]]), np.array([[0.0, -50.0], [0.0, 400.0]]))
    traces = tuple(
        Trace(uv=uv, normal=np.array([out, out]), r=np.array([0.0, 1.0]))
        for uv, out in ((across, [0.0, -1.0, 0.0]), (up, [-1.0, 0.0, 0.0]))
    )
    notch = shapely.box(-5.0, 60.0, 12.0, 80.0)
    cut = Loss(piece="knee", against="stringer", areas=(notch, notch))
    stringer = Meeting(kind=Joinery.NOTCH, lands="stringer", on="knee", cuts=(cut,))
    labels = Landing("beam"), Landing("side")
    knee = two_faced_knee(
        [(traces[0], traces[1])] * 2,
        arms=(200.0, 200.0),
        on=("the beam", "the side"),
        labels=labels,
        throat=90.0,
        toe=30.0,
        passing=Passages(whole="knee", meetings=(stringer,)),
    )
    first, second = knee.landings(0)
    assert [run.uv[[0, -1], 0].tolist() for run in first] == [pytest.approx([0.0, 200.0])]
    assert [run.uv[[0, -1], 1].tolist() for run in second] == [
        pytest.approx([0.0, 60.0]),
        pytest.approx([80.0, 200.0]),
    ]
    assert set(knee.woods[0].labels) == {*labels, Against("stringer"), Free(), Trim()}
    # Closed form: the knee's own outline less the part of the notch that lies in it.
    whole = shapely.Polygon(knee.shape.outline).area
    assert knee.woods[0].area.area == pytest.approx(whole - 12.0 * 20.0, abs=1e-6)
