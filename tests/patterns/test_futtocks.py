"""Frames in pieces on the boat of planes: the pieces together are the ring, and each joint lies where it must."""

from __future__ import annotations

from functools import cache
from itertools import combinations
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import numpy as np
import pytest
import shapely

from patterns.boat import load_boat
from patterns.errors import DesignError
from patterns.hull.planes import FloatArray, Plane
from patterns.joinery.make_pieces import named
from patterns.joinery.rings import straight_band
from patterns.pattern import Body, Kind, Pattern
from tests.once import made_of
from tests.patterns.plane_boat import (
    BOTTOM_NORMAL,
    BOTTOM_T,
    SIDE_NORMAL,
    SIDE_T,
    bottom_over,
    side_over,
    write_plane_boat,
)

FRAMES = ("frame A", "frame B")
WAYS = [
    ("bottom in halves", "butt", "lower", ""),
    ("bottom in halves", "butt", "upper", ""),
    ("bottom across", "mitre", "", "inner_radius = '50 mm'"),
    ("bottom in halves", "half lap", "lower", ""),
    ("bottom across", "half lap", "upper", "top_piece = '60 mm'"),
    ("bottom in halves", "butt", "lower", "top_piece = '60 mm'\ninner_radius = '40 mm'"),
    ("bottom in halves", "butt", "upper", "limber_holes = '24 mm'\nlimber_at = ['keel', 'chine log']"),
]


def made(folder: Path, keys: str) -> dict[str, Pattern]:
    """The boat's patterns with some more keys at both frames."""
    write_plane_boat(folder)
    design = folder / "design.toml"
    text = design.read_text(encoding="utf-8")
    design.write_text(text.replace("[[frame]]\n", f"[[frame]]\n{keys}\n"), encoding="utf-8")
    return made_of(load_boat(folder), "frame")


@cache
def _ring_with(keys: str) -> dict[str, Pattern]:
    with TemporaryDirectory() as folder:
        return made(Path(folder), keys)


def keys_of(way: tuple[str, str, str, str]) -> str:
    pieces, joint, through, more = way
    runs = f"through = '{through}'\n" if through else ""
    return f"pieces = '{pieces}'\njoint = '{joint}'\n{runs}{more}"


def pieces_of(patterns: dict[str, Pattern], frame: str) -> list[Pattern]:
    return [pattern for name, pattern in patterns.items() if name.startswith(f"{frame} ") and pattern.body]


def _both(area: Any, body: Body) -> Any:
    return area.union(shapely.transform(area, lambda uv: uv * [-1.0, 1.0])) if body.mirrored else area


def slices_of(pattern: Pattern) -> list[tuple[float, Any]]:
    """The areas of a piece, port and starboard, at both ends of each of its bodies: part of the siding, area."""
    assert pattern.body is not None
    assert pattern.plane is not None
    found = []
    for body in (pattern.body, *pattern.slabs):
        start = float(pattern.plane.height_over(body.plane.origin)) * pattern.siding / pattern.thickness
        deep = body.depth * pattern.siding / pattern.thickness
        found += [(start, _both(body.moulded, body)), (start + deep, _both(body.other, body))]
    return found


@pytest.fixture(scope="module", params=WAYS, ids=["-".join(way[:3]) for way in WAYS])
def way(request: pytest.FixtureRequest) -> tuple[str, str, str, str]:
    found: tuple[str, str, str, str] = request.param
    return found


@pytest.fixture(scope="module")
def patterns(way: tuple[str, str, str, str], tmp_path_factory: pytest.TempPathFactory) -> dict[str, Pattern]:
    return made(tmp_path_factory.mktemp("pieces"), keys_of(way))


@pytest.fixture(scope="module")
def rings(way: tuple[str, str, str, str]) -> dict[str, Pattern]:
    return _ring_with(way[3])


@pytest.mark.slow
@pytest.mark.parametrize("frame", FRAMES)
def test_the_pieces_together_are_the_ring_on_both_faces(
    patterns: dict[str, Pattern], rings: dict[str, Pattern], frame: str
) -> None:
    ring = rings[frame].body
    assert ring is not None
    for part, whole in ((0.0, ring.moulded), (1.0, ring.other)):
        areas = [
            area
            for piece in pieces_of(patterns, frame)
            for at, area in slices_of(piece)
            if abs(at - part) < 1e-9
        ]
        assert len(areas) >= 2
        assert shapely.union_all(areas).symmetric_difference(whole).area < 0.01
        assert sum(area.area for area in areas) == pytest.approx(whole.area, abs=0.02)


@pytest.mark.slow
@pytest.mark.parametrize("frame", FRAMES)
def test_no_two_pieces_overlap(patterns: dict[str, Pattern], frame: str) -> None:
    """At each face, and on both sides of the middle where half laps change from one piece to the other."""
    for half in (0, 1):
        stacked = []
        for piece in pieces_of(patterns, frame):
            cuts = slices_of(piece)
            assert len(cuts) in (2, 4)
            stacked.append([area for _, area in (cuts if len(cuts) == 2 else cuts[2 * half : 2 * half + 2])])
        for one, two in combinations(stacked, 2):
            for a, b in zip(one, two, strict=True):
                assert a.intersection(b).area < 0.01


def _plane(pattern: Pattern, face: int) -> Plane:
    assert pattern.plane is not None
    return pattern.plane.moved(face * pattern.siding * pattern.thickness)


def _in_from(strake: str, plane: Plane, uv: FloatArray) -> FloatArray:
    """How far points of a plane lie in from the strake's inside face, measured in the plane, mm."""
    over, normal, thick = {
        "bottom": (bottom_over, BOTTOM_NORMAL, BOTTOM_T),
        "side": (side_over, SIDE_NORMAL, SIDE_T),
    }[strake]
    inside = over(plane.space(uv)) + thick
    distance: FloatArray = -inside / np.hypot(normal @ plane.u, normal @ plane.v)
    return distance


@pytest.mark.slow
def test_a_butt_between_members_that_nearly_run_straight_on_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The angle at which they meet is that of the two planes' traces on an upright frame."""
    traces = [np.array([-normal[2], normal[1]]) for normal in (BOTTOM_NORMAL, SIDE_NORMAL)]
    cosine = traces[0] @ traces[1] / np.prod([np.hypot(*trace) for trace in traces])
    meet = f"they meet at {np.degrees(np.arccos(cosine)):.0f}°"
    told = keys_of(("bottom in halves", "butt", "lower", ""))
    assert "feather" not in str([pattern.facts for pattern in made(tmp_path, told).values()])
    monkeypatch.setattr("patterns.joinery.futtocks.FEATHER", np.pi)
    facts = {name: " ".join(pattern.facts) for name, pattern in made(tmp_path, told).items()}
    assert meet in facts["frame A side"]
    assert "feather" not in facts["frame A bottom"]


@pytest.mark.slow
@pytest.mark.parametrize(
    ("through", "runs", "stops", "moulding"),
    [("lower", "bottom", "side", 90.0), ("upper", "side", "bottom", 70.0)],
)
def test_a_butted_futtock_ends_on_the_other_s_inner_edge(
    tmp_path: Path, through: str, runs: str, stops: str, moulding: float
) -> None:
    """Source: plane geometry; the moulding is the least on both faces, so it is just reached on one of them."""
    patterns = made(tmp_path, keys_of(("bottom in halves", "butt", through, "")))
    for frame in FRAMES:
        piece, mate = patterns[f"{frame} {stops}"], patterns[f"{frame} {runs}"]
        assert piece.body is not None
        assert mate.body is not None
        least = [
            float(_in_from(runs, _plane(piece, face), np.asarray(area.exterior.coords)).min())
            for face, area in enumerate((piece.body.moulded, piece.body.other))
        ]
        assert min(least) == pytest.approx(moulding, abs=0.01)
        # The one that runs through reaches the other's planking.
        reach = _in_from(stops, _plane(mate, 0), np.asarray(mate.body.moulded.exterior.coords))
        assert float(reach.min()) == pytest.approx(0.0, abs=0.01)


@pytest.mark.slow
def test_a_mitre_runs_from_the_planking_s_corner_to_the_inner_one(tmp_path: Path) -> None:
    """On the mitre the distances in from the two strakes have one ratio, which is that of the mouldings."""
    patterns = made(tmp_path, keys_of(("bottom across", "mitre", "", "")))
    side, bottom = patterns["frame A side"], patterns["frame A bottom"]
    assert side.body is not None
    assert bottom.body is not None
    ends = shapely.points(np.asarray(side.body.moulded.exterior.coords))
    shared = shapely.get_coordinates(ends[shapely.distance(bottom.body.moulded, ends) < 1e-6])
    assert len(shared) > 1
    plane = _plane(side, 0)
    off = np.stack([_in_from("bottom", plane, shared), _in_from("side", plane, shared)])
    ratio = off[0] / off[1]
    assert float(off[0].max() - off[0].min()) > 20.0
    assert float(np.ptp(ratio)) < 0.01
    # The inner corner stands at the mouldings, which are the least on both faces: here this face's are more.
    assert 90.0 - 1e-6 <= float(off[0].max()) <= 91.0
    assert 70.0 - 1e-6 <= float(off[1].max()) <= 75.0


@pytest.mark.slow
@pytest.mark.parametrize("through", ["lower", "upper"])
def test_a_half_lap_goes_through_half_the_siding(tmp_path: Path, through: str) -> None:
    patterns = made(tmp_path, keys_of(("bottom in halves", "half lap", through, "")))
    for frame in FRAMES:
        keeps, gives = ("bottom", "side") if through == "lower" else ("side", "bottom")
        one, two = patterns[f"{frame} {keeps}"], patterns[f"{frame} {gives}"]
        for piece in (one, two):
            assert piece.body is not None
            assert [body.depth for body in (piece.body, *piece.slabs)] == pytest.approx(
                [0.5 * piece.siding * piece.thickness] * 2
            )
        assert one.body is not None
        assert two.body is not None
        # In the moulded half the one is longer by the lap, in the other half the other is, and by the same area.
        lap = one.body.other.difference(one.slabs[0].moulded)
        same = two.slabs[0].moulded.difference(two.body.other)
        assert lap.area > 1000.0
        assert lap.symmetric_difference(same).area < 0.01


@pytest.mark.slow
def test_inner_corners_are_rounded_to_their_radius(tmp_path: Path) -> None:
    """An arc of radius r between two edges at an angle a stands r / sin(a/2) - r from their corner."""
    sharp = made(tmp_path / "sharp", "")["frame A"].body
    eased = made(tmp_path / "eased", "inner_radius = '45 mm'")["frame A"].body
    assert sharp is not None
    assert eased is not None
    more = eased.moulded.difference(sharp.moulded)
    fillet = max(
        (part for part in shapely.get_parts(more) if part.area > 1.0 and part.centroid.x > 100.0),
        key=lambda part: float(part.area),
    )
    points = np.asarray(fillet.exterior.coords)[:-1]
    deep = shapely.distance(eased.moulded.boundary, shapely.points(points))
    corner, nearest = points[int(deep.argmax())], float(deep.max())
    far = points[np.argsort(np.hypot(*(points - corner).T))] - corner
    ends = far[-1], far[:-1][np.hypot(*(far[:-1] - far[-1]).T) > 10.0][-1]
    angle = float(np.arccos(ends[0] @ ends[1] / np.hypot(*ends[0]) / np.hypot(*ends[1])))
    assert nearest == pytest.approx(45.0 / np.sin(0.5 * angle) - 45.0, abs=0.05)


def test_a_straight_inner_edge_keeps_the_least_depth_of_a_curved_one() -> None:
    """Off an arc that bulges outward the depth is least at its ends; off one that bulges inward in its middle."""
    x = np.linspace(0.0, 800.0, 81)
    for bulge in (-12.0, 12.0):
        edge = np.stack([x, bulge * np.sin(np.pi * x / 800.0)], axis=-1)
        inner = straight_band([edge], 70.0)
        top = inner.bounds[3]
        assert top == pytest.approx(70.0 + max(bulge, 0.0), abs=1e-9)
        assert all(inner.covers(shapely.Point(point)) for point in edge)


@pytest.mark.slow
def test_without_a_bottom_piece_only_the_sides_are_made(tmp_path: Path) -> None:
    patterns = made(tmp_path, keys_of(("no bottom piece", "butt", "upper", "assembly = false")))
    assert [name for name in patterns if name.startswith("frame")] == ["frame A side", "frame B side"]


@pytest.mark.slow
@pytest.mark.parametrize("frame", FRAMES)
def test_a_limber_hole_is_half_its_diameter_deep_beside_the_keel(tmp_path: Path, frame: str) -> None:
    """Its bottom lies half the diameter in from the bottom's planking, measured on the moulded face."""
    keys = "limber_holes = '24 mm'\nlimber_at = ['keel']\n"
    plain, holed = made(tmp_path / "a", "")[frame].body, made(tmp_path / "b", keys)[frame].body
    assert plain is not None
    assert holed is not None
    hole = plain.moulded.difference(holed.moulded)
    parts = [part for part in shapely.get_parts(hole) if part.area > 1.0 and part.centroid.x > 0.0]
    assert len(parts) == 1
    points = np.asarray(parts[0].exterior.coords)
    deep = _in_from("bottom", plain.plane, points)
    assert float(deep.max()) == pytest.approx(12.0, abs=0.01)
    assert float(points[:, 0].min()) == pytest.approx(45.0, abs=0.01)  # the keel's side
    # A square beside the keel less what its upright side takes of it, and a quarter round.
    slope = BOTTOM_NORMAL @ plain.plane.u / -(BOTTOM_NORMAL @ plain.plane.v)
    assert parts[0].area == pytest.approx(12.0**2 * (1.0 - 0.5 * slope + 0.25 * np.pi), abs=0.5)


@pytest.mark.slow
@pytest.mark.parametrize("frame", FRAMES)
def test_every_piece_says_its_hand_and_shows_both_faces(
    patterns: dict[str, Pattern], way: tuple[str, str, str, str], frame: str
) -> None:
    for pattern in pieces_of(patterns, frame):
        across = pattern.name.endswith("top") or (
            way[0] == "bottom across" and pattern.name.endswith("bottom")
        )
        assert pattern.half == across
        assert pattern.quantity == ("1" if across else "1 port + 1 starboard")
        assert pattern.of_kind(Kind.SAW)
        assert pattern.of_kind(Kind.FACE)
        assert pattern.of_kind(Kind.OTHER)
        assert pattern.readings
        assert pattern.grain != (0.0, 0.0)


def test_keys_that_do_not_go_together_are_told(tmp_path: Path) -> None:
    for keys, words in (
        ("pieces = 'bottom in halves'", "key joint: is missing"),
        ("joint = 'butt'", "key joint: a frame of one ring has no joints"),
        ("pieces = 'bottom across'\njoint = 'butt'", "key through: is missing"),
        ("pieces = 'bottom across'\njoint = 'mitre'\nthrough = 'lower'", "key through: neither piece"),
        ("limber_holes = '20 mm'", "key limber_at: is missing"),
        ("limber_holes = '20 mm'\nlimber_at = ['kel']", 'there is no timber "kel"'),
    ):
        with pytest.raises(DesignError) as caught:
            made(tmp_path / str(len(words)), keys)
        assert words in str(caught.value)


@pytest.mark.slow
def test_a_half_lap_where_no_two_pieces_meet_is_refused(tmp_path: Path) -> None:
    """With one chine and no bottom piece only the piece under the deck has something to lap."""
    way = ("no bottom piece", "half lap", "upper", "assembly = false")
    with pytest.raises(DesignError) as caught:
        made(tmp_path / "alone", keys_of(way))
    found = caught.value.problems
    assert {(problem.place.split(", ")[-1], problem.code) for problem in found} == {
        ("key joint", "half-lap-alone")
    }
    patterns = made(tmp_path / "topped", keys_of((*way[:3], f"{way[3]}\ntop_piece = '60 mm'")))
    side = patterns["frame A side"]
    assert side.slabs  # it is lapped to that
    low = [
        min(float(line.points[:, 1].min()) for line in side.of_kind(kind)) for kind in (Kind.FACE, Kind.OTHER)
    ]
    assert low[0] == pytest.approx(low[1], abs=25.0)  # and runs down to the bottom's planking on both faces


@pytest.mark.slow
def test_a_frame_s_name_means_all_its_pieces(tmp_path: Path) -> None:
    patterns = tuple(
        made(tmp_path, keys_of(("bottom in halves", "butt", "lower", "assembly = true"))).values()
    )
    assert [pattern.name for pattern in named(patterns, "Frame A")] == [
        "frame A bottom",
        "frame A side",
        "frame A assembly",
    ]
    assert [pattern.name for pattern in named(patterns, "frame A side")] == ["frame A side"]
    assert named(patterns, "frame") == tuple(p for p in patterns if p.name.startswith("frame "))
    assert not named(patterns, "fram")
    assert not named(patterns, " ")
