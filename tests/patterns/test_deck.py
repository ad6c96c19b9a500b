"""The deck: its crown against published figures, and every piece under it against the one surface."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import shapely

from patterns.assembly.contacts import MEETS, OVERLAPS, contacts
from patterns.assembly.plate import Plate, plates
from patterns.boat import Boat, load_boat
from patterns.errors import DesignError
from patterns.hull.planes import FloatArray, Plane
from patterns.hull.surfaces import crown_radius
from patterns.members import all_patterns
from patterns.pattern import Body, Pattern
from tests.once import made_of
from tests.patterns.plane_boat import SIDE_NORMAL, SIDE_T, sheer, side_over, write_plane_boat

CROWN = 70.0
TIMBERS = """
[[beam]]
name = "fore beam"
at = "1300 mm"
sided = "20 mm"
moulded = "50 mm"
underside = "parallel to the crown"
ends = "at the clamp"
stock = "fir"
[[beam]]
name = "middle beam"
at = "aft of frame B"
sided = "22 mm"
moulded = "130 mm"
ends = "into the clamp"
end_depth = "8 mm"
stock = "fir"
laminations = 2
[[beam]]
name = "leaning beam"
at = "3000 mm"
rake = "14 deg"
siding_runs = "aft"
sided = "25 mm"
moulded = "190 mm"
ends = "to the planking"
stock = "fir"
[[beam]]
name = "half beam"
at = "2800 mm"
from_carling = "side carling"
sided = "20 mm"
moulded = "45 mm"
ends = "over the clamp"
end_depth = "20 mm"
stock = "fir"
[[beam]]
name = "butted half beam"
at = "2700 mm"
from_carling = "side carling"
from_end = "butted"
sided = "20 mm"
moulded = "45 mm"
ends = "at the clamp"
stock = "fir"
[[carling]]
name = "side carling"
between = ["middle beam", "leaning beam"]
half_breadth = ["330 mm", "380 mm"]
sided = "24 mm"
moulded = "60 mm"
stock = "fir"
[[king_plank]]
between = ["fore beam", "leaning beam"]
sided = "120 mm"
moulded = "20 mm"
stock = "fir"
[[support]]
name = "support"
between = ["middle beam", "leaning beam"]
half_breadth = ["150 mm", "170 mm"]
heights = ["590 mm", "600 mm"]
sided = "24 mm"
moulded = "40 mm"
stock = "fir"
"""


def crowned_boat(folder: Path, *, more: str = TIMBERS, deck: str = "", sheer_to: str = "") -> Path:
    """The boat of planes with a crowned deck and timbers under it."""
    write_plane_boat(folder, deck=deck or f'thickness = "6 mm"\ncrown = "{CROWN:g} mm"')
    text = (folder / "design.toml").read_text(encoding="utf-8")
    if sheer_to:
        text = text.replace('sheer_to = "underside of deck"', f'sheer_to = "{sheer_to}"')
    (folder / "design.toml").write_text(text + more, encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def boat(tmp_path_factory: pytest.TempPathFactory) -> Boat:
    return load_boat(crowned_boat(tmp_path_factory.mktemp("crowned")))


@pytest.fixture(scope="module")
def patterns(boat: Boat) -> dict[str, Pattern]:
    return {pattern.name: pattern for pattern in all_patterns(boat)}


def deck_over(points: FloatArray, widest: float) -> FloatArray:
    """How far points (n, 3) stand over the deck's surface, up and down, by the mould's own circle.

    Args:
        widest: the half-breadth at which the mould has its whole rise.
    """
    radius = (2 * widest) ** 2 / (8 * CROWN) + CROWN / 2
    x, y, z = points.T
    half, edge = np.array([sheer(v) for v in x]).T
    return np.asarray(z - edge - np.sqrt(radius**2 - y**2) + np.sqrt(radius**2 - half**2))


def faces_of(pattern: Pattern) -> dict[str, Plane]:
    assert pattern.plane is not None
    return {
        "moulded face": pattern.plane,
        "other face": pattern.plane.moved(pattern.siding * pattern.thickness),
    }


def deck_points(pattern: Pattern) -> FloatArray:
    """All points of the two faces' edges under the deck, in the boat."""
    found = []
    for edge in pattern.edges:
        if edge.strake == "deck":
            plane = faces_of(pattern)[edge.face]
            found.append(plane.space(edge.uv))
    return np.vstack(found)


@pytest.mark.parametrize(("breadth", "rise", "radius"), [(96, 3, 385.5), (48, 1.5, 192.75), (96, 4, 290.0)])
def test_the_mould_s_radius_is_the_published_one(breadth: float, rise: float, radius: float) -> None:
    """An 8 ft beam with 3/8 in of crown to the foot has 3 in.

    Source of the rule: J. Perryman in Classic Boat, quoted at forum.woodenboat.com, thread 14707; the radii by
    R = (c^2/4 + h^2) / (2h).
    """
    assert crown_radius(breadth, rise) == pytest.approx(radius, abs=1e-12)
    assert crown_radius(breadth, rise) == pytest.approx((breadth**2 / 4 + rise**2) / (2 * rise), abs=1e-9)


def test_the_mould_is_an_arc_and_no_bent_batten() -> None:
    """At the quarter of 48 in with 1.5 in of crown: arc 1.12610 in; a batten bent over three points 11/16 of it.

    Source: mvtardis.com 2014, of the batten: "the ends are too flat"; its deflection there by the beam formula
    11/16; the arc by its sagitta.  An arc seen from its ends holds one angle all along (inscribed angle), which is
    how two sticks and two nails draw it.
    """
    radius, rise = crown_radius(48.0, 1.5), 1.5
    y = np.linspace(-24.0, 24.0, 97)
    height = np.sqrt(radius**2 - y**2) - np.sqrt(radius**2 - 24.0**2)
    quarter = float(np.interp(12.0, y, height))
    assert quarter == pytest.approx(1.12610, abs=5e-6)
    assert quarter - 11 / 16 * rise == pytest.approx(rise / 16, abs=0.002)
    inner = slice(1, -1)
    angle = np.arctan2(height[inner], 24.0 + y[inner]) + np.arctan2(height[inner], 24.0 - y[inner])
    assert np.ptp(angle) < 1e-12


def test_the_deck_s_section_is_that_arc(boat: Boat) -> None:
    """The deck's own surface at a station, against the mould's circle."""
    widest = float(boat.hull.deck.sheer.at(np.array(boat.hull.deck.sheer.end))[1])
    for r in (0.0, 0.5, 1.0):
        points, _, _ = boat.hull.deck.shape(np.array([1500.0, 2500.0]), np.array([r]))
        assert np.abs(deck_over(points, widest)).max() < 1e-6


@pytest.mark.slow
@pytest.mark.parametrize(
    "name",
    [
        "frame A", "frame B", "transom panel", "transom framing", "fore beam", "middle beam", "leaning beam",
        "half beam", "butted half beam", "side carling", "king plank",
    ],
)  # fmt: skip
def test_every_top_lies_on_the_one_deck(boat: Boat, patterns: dict[str, Pattern], name: str) -> None:
    widest = float(boat.hull.deck.sheer.at(np.array(boat.hull.deck.sheer.end))[1])
    points = deck_points(patterns[name])
    assert len(points) > 12
    assert np.abs(deck_over(points, widest)).max() < 0.05


@pytest.mark.slow
def test_under_a_deck_given_to_its_top_every_top_lies_its_thickness_below(tmp_path: Path) -> None:
    """Square to the deck's surface: the nearest point of it is 6 mm away, by brute force."""
    made = load_boat(crowned_boat(tmp_path, sheer_to="top of deck"))
    deck = made.hull.deck
    for pattern in all_patterns(made):
        if pattern.name not in ("frame B", "leaning beam", "side carling", "half beam"):
            continue
        for point in deck_points(pattern)[5:60:9]:
            p, r, reach = point[0], 0.5, (80.0, 0.7)
            for _ in range(5):  # an ever finer grid about the nearest point
                ways = [at + far * np.linspace(-1.0, 1.0, 81) for at, far in zip((p, r), reach, strict=True)]
                grid = np.meshgrid(*ways, indexing="ij")
                away = np.linalg.norm(deck.shape(*grid)[0] - point, axis=-1)
                i, j = np.unravel_index(int(away.argmin()), away.shape)
                p, r, reach = float(ways[0][i]), float(ways[1][j]), (reach[0] / 20.0, reach[1] / 20.0)
            assert away.min() == pytest.approx(6.0, abs=1e-4), pattern.name


def _solids(patterns: dict[str, Pattern]) -> list[Plate]:
    return [
        solid
        for pattern in patterns.values()
        if pattern.body is not None
        and pattern.member in ("deck beam", "half beam", "carling", "king plank", "support")
        for solid in plates(pattern.name, pattern.body)
    ]


@pytest.mark.slow
def test_laps_fill_each_other_without_overlap_or_gap(patterns: dict[str, Pattern]) -> None:
    found = {(m.first, m.second): m for m in contacts(_solids(patterns))}
    joints = {
        frozenset((a.split(" (")[0], b.split(" (")[0])) for (a, b), m in found.items() if m.touching > 5
    }
    for pair in (
        ("fore beam", "king plank"), ("middle beam", "king plank"), ("leaning beam", "king plank"),
        ("middle beam", "side carling"), ("leaning beam", "side carling"), ("half beam", "side carling"),
        ("butted half beam", "side carling"), ("middle beam", "support"), ("leaning beam", "support"),
    ):  # fmt: skip
        assert frozenset(pair) in joints, pair
    assert max(m.overlap for m in found.values()) < OVERLAPS
    assert max(m.gap for m in found.values()) < MEETS


@pytest.mark.slow
def test_a_carling_that_stands_half_a_millimetre_off_is_seen(patterns: dict[str, Pattern]) -> None:
    carling = patterns["side carling"].body
    beam = patterns["middle beam"].body
    assert carling is not None
    assert beam is not None
    off = Body(
        plane=Plane(
            origin=carling.plane.origin + np.array([0.0, 0.5, -0.5]), u=carling.plane.u, v=carling.plane.v
        ),
        depth=carling.depth,
        moulded=carling.moulded,
        other=carling.other,
    )
    [met] = contacts([Plate(piece="carling", body=off), Plate(piece="beam", body=beam)])
    assert met.overlap > 0.4


def _points(body: Body) -> tuple[FloatArray, FloatArray]:
    """The corners of both faces, in the boat."""
    other = body.plane.moved(body.depth)
    return (
        body.plane.space(np.asarray(body.moulded.exterior.coords)),  # type: ignore[union-attr]
        other.space(np.asarray(body.other.exterior.coords)),  # type: ignore[union-attr]
    )


@pytest.mark.slow
@pytest.mark.parametrize(
    ("name", "off"),
    [("fore beam", 20.0), ("middle beam", 12.0), ("butted half beam", 20.0), ("leaning beam", 0.0)],
)
def test_ends_lie_on_the_clamp_or_the_planking(patterns: dict[str, Pattern], name: str, off: float) -> None:
    """The side is a plane: the outermost corners stand the planking and so much of the clamp within it."""
    body = patterns[name].body
    assert body is not None
    for points in _points(body):
        over = side_over(points) + SIDE_T + off
        assert over.max() == pytest.approx(0.0, abs=0.01)
        assert (np.abs(over) < 0.01).sum() >= 2
    assert patterns[name].plane is not None
    siding = patterns[name].siding * patterns[name].plane.normal  # type: ignore[union-attr]
    ends = [r for r in patterns[name].readings if r.edge in ("clamp", "side")]
    assert ends
    for reading in ends:
        assert np.degrees(reading.bevel) == pytest.approx(
            np.degrees(np.arccos(SIDE_NORMAL @ siding)), abs=0.05
        )


@pytest.mark.slow
def test_a_beam_over_the_clamp_lies_on_it_to_the_planking(boat: Boat, patterns: dict[str, Pattern]) -> None:
    """Its end is the deck's underside less 20 mm at the clamp's inner edge, one level for both faces."""
    body = patterns["half beam"].body
    assert body is not None
    widest = float(boat.hull.deck.sheer.at(np.array(boat.hull.deck.sheer.end))[1])
    beds, wanted = [], []
    for points in _points(body):
        over = side_over(points) + SIDE_T
        assert over.max() == pytest.approx(0.0, abs=0.01)
        bed = points[over > -19.9][:, 2].min()
        beds.append(bed)
        face = points[np.abs(over + 20.0) < 0.01]  # the clamp's inner face, from its bed down
        assert face[:, 2].max() == pytest.approx(bed, abs=0.01)
        assert face[:, 2].min() < bed - 15.0
        # Where the clamp's inner face, a plane, meets the deck: up along it from the bed.
        up = np.linspace(0.0, 40.0, 4001)
        along = face[face[:, 2].argmax()] + up[:, None] * np.array([0.0, 0.16, 1.0])
        wanted.append(float(along[np.abs(deck_over(along, widest)).argmin(), 2]) - 20.0)
    assert beds[0] == pytest.approx(beds[1], abs=1e-6)
    assert beds[0] == pytest.approx(min(wanted), abs=0.02)


@pytest.mark.slow
def test_moulded_is_the_least_depth_on_the_centreline(patterns: dict[str, Pattern]) -> None:
    for name, moulded in (("middle beam", 130.0), ("leaning beam", 190.0)):
        body = patterns[name].body
        assert body is not None
        depths = []
        for area in (body.moulded, body.other):
            cut = shapely.intersection(
                area, shapely.LineString([[61.0, -5e3], [61.0, 5e3]])
            )  # beside the plank
            depths.append(cut.length)
        drop = 61.0**2 / (2 * crown_radius(2 * 851.0, CROWN))  # of the crown from the centreline to there
        assert min(depths) == pytest.approx(moulded - drop, abs=0.05)
        assert max(depths) > min(depths)


@pytest.mark.slow
def test_no_face_ends_in_a_whisker(patterns: dict[str, Pattern]) -> None:
    """A face's outline nowhere runs out and back on itself: opened by a hair it is the same."""
    for pattern in patterns.values():
        if pattern.body is None:
            continue
        for area in (pattern.body.moulded, pattern.body.other):
            opened = area.buffer(-1e-3, join_style="mitre").buffer(1e-3, join_style="mitre")
            assert shapely.hausdorff_distance(area, opened) < 0.02, pattern.name


@pytest.mark.slow
def test_a_carling_s_face_has_the_half_breadths_asked_for(boat: Boat, patterns: dict[str, Pattern]) -> None:
    carling, fore, aft = (patterns[name] for name in ("side carling", "middle beam", "leaning beam"))
    inboard = sum(len(edge.uv) for edge in carling.edges if edge.face == "moulded face")
    points = deck_points(carling)[:inboard]
    after_face = max(faces_of(fore).values(), key=lambda plane: plane.origin[0])
    fore_face = min(faces_of(aft).values(), key=lambda plane: plane.origin[0])
    for face, wanted in ((after_face, 330.0), (fore_face, 380.0)):
        over = face.height_over(points)
        assert np.interp(0.0, over, points[:, 1]) == pytest.approx(wanted, abs=0.001)
    # Its outboard face is 24 mm away, square to it.
    assert carling.body is not None
    assert abs(carling.body.depth) == 24.0


@pytest.mark.slow
def test_a_carling_s_top_is_bevelled_by_the_crown(boat: Boat, patterns: dict[str, Pattern]) -> None:
    """The angle through the wood between its upright face and the deck, by the normal of the mould's circle."""
    widest = float(boat.hull.deck.sheer.at(np.array(boat.hull.deck.sheer.end))[1])
    radius = (2 * widest) ** 2 / (8 * CROWN) + CROWN / 2
    carling = patterns["side carling"]
    assert carling.plane is not None
    for reading in carling.readings:
        if reading.edge != "deck":
            continue
        point = carling.plane.space(np.array(reading.at))
        h = 1e-3
        slope_x = -(
            deck_over(point[None] + [[h, 0, 0]], widest) - deck_over(point[None] - [[h, 0, 0]], widest)
        )[0] / (2 * h)
        normal = np.array([-slope_x, point[1] / np.sqrt(radius**2 - point[1] ** 2), 1.0])
        normal /= np.linalg.norm(normal)
        assert np.degrees(reading.bevel) == pytest.approx(
            np.degrees(np.arccos(-carling.plane.normal @ normal)), abs=0.01
        )


@pytest.mark.slow
def test_a_support_s_ends_lie_on_the_beams_faces(patterns: dict[str, Pattern]) -> None:
    support = patterns["support"].body
    assert support is not None
    after_face = max(faces_of(patterns["middle beam"]).values(), key=lambda plane: plane.origin[0])
    fore_face = min(faces_of(patterns["leaning beam"]).values(), key=lambda plane: plane.origin[0])
    for points in _points(support):
        assert after_face.height_over(points).min() == pytest.approx(0.0, abs=1e-6)
        assert fore_face.height_over(points).max() == pytest.approx(0.0, abs=1e-6)
        assert points[:, 2].max() == pytest.approx(600.0, abs=0.5)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("old", "new", "place", "words"),
    [
        ('at = "aft of frame B"', 'at = "aft of frame C"', 'beam "middle beam", key at', 'no frame "C"'),
        ('at = "1300 mm"', 'at = "station 31"', 'beam "fore beam", key at', "no station 31"),
        ('at = "1300 mm"', 'at = "by the mast"', 'beam "fore beam", key at', "not a valid place along the boat"),
        ('ends = "into the clamp"\nend_depth = "8 mm"', 'ends = "into the clamp"', "key end_depth", "is missing"),
        ('end_depth = "8 mm"', 'end_depth = "20 mm"', "key end_depth", "goes through the clamp"),
        ('end_depth = "20 mm"', 'end_depth = "45 mm"', "key end_depth", "cuts the clamp in two"),
        ('from_carling = "side carling"\nsided', 'from_carling = "carling"\nsided', "from_carling", "no carling"),
        ('between = ["middle beam",', 'between = ["half beam",', "key between", "not a beam across the boat"),
        ('between = ["fore beam",', 'between = ["forebeam",', "key between", 'breasthook "forebeam"'),
        ('moulded = "130 mm"', 'moulded = "130 mm"\nbottom = "500 mm"', "key moulded", "are both given"),
        ('name = "support"', 'name = "side carling"', 'support "side carling"', "called"),
        ('moulded = "130 mm"', 'moulded = "12 mm"', 'beam "middle beam"', "runs out through the deck"),
        ('"330 mm", "380 mm"', '"330 mm", "1380 mm"', 'carling "side carling"', "past the side"),
        ('"330 mm", "380 mm"', '"330 mm"', "key half_breadth", "must be one half-breadth or two"),
        ('between = ["fore beam", "leaning beam"]', 'between = ["leaning beam", "fore beam"]',
         'king_plank "king plank"', "does not lie aft of"),
        ('moulded = "60 mm"', 'moulded = "60 mm"\nlet_in = "61 mm"', "key let_in", "more than moulded"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_told_with_its_place(
    tmp_path: Path, old: str, new: str, place: str, words: str
) -> None:
    assert old in TIMBERS
    folder = crowned_boat(tmp_path, more=TIMBERS.replace(old, new, 1))
    with pytest.raises(DesignError) as caught:
        made_of(load_boat(folder), "beam", "carling", "king plank", "support")
    assert any(place in str(p) and words in str(p) for p in caught.value.problems), str(caught.value)


def test_a_beam_beside_a_canted_frame_is_refused(tmp_path: Path) -> None:
    folder = crowned_boat(tmp_path)
    text = (folder / "design.toml").read_text(encoding="utf-8")
    assert 'rake = "5 deg"' in text
    (folder / "design.toml").write_text(text.replace('rake = "5 deg"', 'cant = "5 deg"'), encoding="utf-8")
    with pytest.raises(DesignError, match='frame "B" is canted'):
        load_boat(folder)
