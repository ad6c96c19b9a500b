"""Gussets and dowels on the boat of planes: a gusset is the section at its own distance, a dowel one place."""

from __future__ import annotations

import re
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
import shapely

from patterns.assembly.contacts import contacts
from patterns.assembly.plate import plates
from patterns.boat import load_boat
from patterns.errors import DesignError, PatternsError
from patterns.hull.planes import FloatArray, Plane
from patterns.joinery.gussets import arm_of
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

GUSSETS = """
[[gusset]]
frames = ["A", "B"]
faces = "{faces}"
thickness = "6 mm"
stock = "6 mm plywood"
arm = "150 mm"
centre_arm = "90 mm"
inner = "{inner}"
margin = "12 mm"
station_line = "{line}"
dowel = "5 mm"
dowels = {dowels}
dowel_edge = "16 mm"
"""
KEYS = "pieces = 'bottom in halves'\njoint = 'butt'\nthrough = 'lower'\nassembly = false\n"


def made(
    folder: Path,
    *,
    keys: str = KEYS,
    faces: str = "both",
    inner: str = "straight",
    line: str = "frame",
    dowels: int = 2,
) -> dict[str, Pattern]:
    write_plane_boat(folder)
    design = folder / "design.toml"
    text = design.read_text(encoding="utf-8").replace("[[frame]]\n", f"[[frame]]\n{keys}")
    text = text.replace("station 2", "station 5")  # broad enough for gussets at chine and centreline
    more = GUSSETS.format(faces=faces, inner=inner, line=line, dowels=dowels)
    design.write_text(text + more, encoding="utf-8")
    return made_of(load_boat(folder), "frame")


@pytest.fixture(scope="module")
def patterns(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Pattern]:
    return made(tmp_path_factory.mktemp("gussets"))


def body_of(pattern: Pattern) -> Body:
    assert pattern.body is not None
    return pattern.body


def in_from(plane: Plane, uv: FloatArray) -> FloatArray:
    """How far points of a plane lie in from the inside of bottom and side, measured in the plane, (2, n), mm."""
    points = plane.space(uv)
    found = []
    for over, normal, thick in (
        (bottom_over(points), BOTTOM_NORMAL, BOTTOM_T),
        (side_over(points), SIDE_NORMAL, SIDE_T),
    ):
        found.append(-(over + thick) / np.hypot(normal @ plane.u, normal @ plane.v))
    return np.stack(found)


def corner(plane: Plane) -> FloatArray:
    """The inside corner at the chine: where the two inside planes and the face meet."""
    rows = np.stack([BOTTOM_NORMAL, SIDE_NORMAL, plane.normal])
    right = np.array(
        [
            BOTTOM_NORMAL @ [0.0, 20.0, 40.0] - BOTTOM_T,
            SIDE_NORMAL @ [250.0, 20.0, 300.0] - SIDE_T,
            plane.normal @ plane.origin,
        ]
    )
    return plane.flat(np.linalg.solve(rows, right))


def faces_of(body: Body) -> list[tuple[Plane, Any]]:
    return [(body.plane, body.moulded), (body.plane.moved(body.depth), body.other)]


NAMES = [f"frame {frame} chine gusset, {side}" for frame in "AB" for side in ("forward", "after")]


@pytest.mark.slow
@pytest.mark.parametrize("name", NAMES)
def test_a_gusset_is_the_section_at_its_own_distance(patterns: dict[str, Pattern], name: str) -> None:
    """Source: the inside planes of bottom and side cut by the gusset's own two faces."""
    for plane, area in faces_of(body_of(patterns[name])):
        points = np.asarray(area.segmentize(2.0).exterior.coords)
        off = in_from(plane, points)
        assert float(off.min()) > -0.002
        for strake in (0, 1):
            # A good stretch of its outline lies on the strake, and its arm ends 150 mm from the corner.
            on = points[off[strake] < 0.002]
            assert len(on) > 20
            reach = float(np.hypot(*(on - corner(plane)).T).max())
            assert reach == pytest.approx(150.0, abs=8.0)
    plane, area = faces_of(body_of(patterns[name]))[0]
    frame = body_of(
        patterns[name.replace("chine gusset, forward", "side").replace("chine gusset, after", "side")]
    )
    if abs(plane.height_over(frame.plane.origin)) < 1e-9:  # against the moulded face the arms are 150 mm long
        points = np.asarray(area.exterior.coords)
        for strake in (0, 1):
            on = points[in_from(plane, points)[strake] < 0.002]
            assert float(np.hypot(*(on - corner(plane)).T).max()) == pytest.approx(150.0, abs=0.01)


@pytest.mark.slow
@pytest.mark.parametrize("name", [*NAMES, "frame A centre gusset, forward", "frame B centre gusset, after"])
def test_a_gusset_lies_against_its_face_of_the_frame(patterns: dict[str, Pattern], name: str) -> None:
    body = body_of(patterns[name])
    frame = body_of(patterns[f"{name[:7]} bottom"])
    ends = sorted([0.0, frame.depth])
    start = float(frame.plane.height_over(body.plane.origin))
    if name.endswith("forward"):
        assert (start, body.depth) == pytest.approx((ends[0], -6.0))
    else:
        assert (start, body.depth) == pytest.approx((ends[1], 6.0))


def _dowels(pattern: Pattern) -> FloatArray:
    return np.array([hole.at for hole in pattern.holes if hole.purpose == "dowel hole"])


@pytest.mark.slow
@pytest.mark.parametrize("frame", ["A", "B"])
def test_a_dowel_has_one_place_in_every_piece(patterns: dict[str, Pattern], frame: str) -> None:
    """Square through: what a dowel's places in two pieces differ by runs along the faces' normal, in the boat."""
    in_wood = {}
    for name in ("side", "bottom"):
        pattern = patterns[f"frame {frame} {name}"]
        in_wood[name] = body_of(pattern).plane.space(_dowels(pattern))
    normal = body_of(patterns[f"frame {frame} side"]).plane.normal
    for at, counts in (("chine", {"side": 2, "bottom": 2}), ("centre", {"bottom": 2})):
        for side in ("forward", "after"):
            pattern = patterns[f"frame {frame} {at} gusset, {side}"]
            places = body_of(pattern).plane.space(_dowels(pattern))
            assert len(places) == sum(counts.values())
            for name, count in counts.items():
                gap = places[:, None] - in_wood[name][None]
                aside = gap - (gap @ normal)[..., None] * normal
                assert int((np.linalg.norm(aside, axis=-1) < 1e-9).sum()) == count


@pytest.mark.slow
@pytest.mark.parametrize("frame", ["A", "B"])
def test_dowels_keep_their_distance_from_every_edge_and_from_each_other(
    patterns: dict[str, Pattern], frame: str
) -> None:
    for name, pattern in patterns.items():
        places = _dowels(pattern)
        if not name.startswith(f"frame {frame}") or not len(places):
            continue
        edges = [line.points for kind in (Kind.FACE, Kind.OTHER) for line in pattern.of_kind(kind)]
        closed = not pattern.half
        lines = [np.vstack([e, e[:1]]) if closed else e for e in edges]
        wood = shapely.MultiLineString(lines)
        assert min(wood.distance(shapely.Point(at)) for at in places) >= 16.0 - 1e-6
        apart = np.hypot(*(places[:, None] - places[None]).T)
        assert float(apart[~np.eye(len(places), dtype=bool)].min()) >= 16.0 - 1e-6


@pytest.mark.slow
def test_the_station_line_on_the_gusset_moves_the_frame_by_its_thickness(tmp_path: Path) -> None:
    """Frame A's wood runs forward from station 5, at 3000 mm; a gusset on its after face takes the line's place."""
    on_frame = body_of(made(tmp_path / "a")["frame A side"])
    on_gusset = made(tmp_path / "b", line="gusset")
    assert on_frame.plane.origin[0] == pytest.approx(3000.0)
    assert body_of(on_gusset["frame A side"]).plane.origin[0] == pytest.approx(2994.0)
    gusset = body_of(on_gusset["frame A chine gusset, after"])
    assert gusset.plane.moved(gusset.depth).origin[0] == pytest.approx(3000.0)
    # A gusset on the other face alone leaves the frame where it is.
    forward = made(tmp_path / "c", line="gusset", faces="forward")
    assert body_of(forward["frame A side"]).plane.origin[0] == pytest.approx(3000.0)


@pytest.mark.slow
def test_gussets_along_the_frame_show_no_wood_inside_of_it(tmp_path: Path) -> None:
    """With a straight inner edge they do: the corner between the arms is filled."""
    filled = {}
    for inner in ("straight", "along the frame"):
        patterns = made(tmp_path / inner.replace(" ", "-"), inner=inner)
        frame = body_of(patterns["frame A bottom"]).moulded.union(body_of(patterns["frame A side"]).moulded)
        gusset = body_of(patterns["frame A chine gusset, after"]).moulded
        filled[inner] = gusset.difference(frame).area
    assert filled["straight"] > 500.0
    assert filled["along the frame"] < 0.05


@pytest.mark.slow
@pytest.mark.parametrize(
    "joint", ["joint = 'butt'\nthrough = 'upper'", "joint = 'half lap'\nthrough = 'lower'"]
)
def test_a_frame_s_pieces_meet_and_do_not_overlap_in_the_boat(tmp_path: Path, joint: str) -> None:
    keys = f"pieces = 'bottom across'\n{joint}\ntop_piece = '60 mm'\nassembly = false\n"
    patterns = made(tmp_path, keys=keys, dowels=1)
    solids = [
        plate
        for name, pattern in patterns.items()
        if name.startswith("frame B ")
        for number, body in enumerate((body_of(pattern), *pattern.slabs))
        for plate in plates(f"{name}/{number}", body)
    ]
    found = {(m.first, m.second): m for m in contacts(solids)}
    assert all(m.overlap < 0.1 for m in found.values())
    assert all(m.gap <= 0.2 for m in found.values())
    pairs = {tuple(sorted((a.split("/")[0], b.split("/")[0]))) for (a, b), m in found.items() if m.touching}
    assert ("frame B bottom", "frame B side") in pairs
    assert ("frame B side", "frame B top") in pairs
    assert ("frame B chine gusset, forward", "frame B side") in pairs


@pytest.mark.slow
def test_gussets_that_cannot_be_are_told(tmp_path: Path) -> None:
    for keys, change, words in (
        (KEYS, {"dowels": 9}, "9 dowels cannot be 16 mm"),
        ("", {}, 'frame "A" is one ring and has no joints'),
    ):
        with pytest.raises(DesignError) as caught:
            made(tmp_path / str(len(words)), keys=keys, **change)  # type: ignore[arg-type]
        assert words in str(caught.value)


@pytest.mark.slow
def test_gussets_that_run_into_each_other_are_told_with_the_room_there_is(tmp_path: Path) -> None:
    """The bottom's length from the centreline to the chine is where two planes and the frame's face meet."""
    write_plane_boat(tmp_path)
    design = tmp_path / "design.toml"
    text = design.read_text(encoding="utf-8").replace("[[frame]]\n", f"[[frame]]\n{KEYS}")
    text = text.replace("station 2", "station 5")
    more = GUSSETS.format(faces="both", inner="straight", line="frame", dowels=2)
    more = more.replace('"150 mm"', '"330 mm"').replace('"90 mm"', '"340 mm"')
    design.write_text(text + more, encoding="utf-8")
    with pytest.raises(DesignError) as raised:
        made_of(load_boat(tmp_path), "frame")
    said = str(raised.value)
    found = re.search(
        r"gusset runs into its .* gusset; .* take up 670 mm of the bottom, which is (\d+) mm", said
    )
    assert found is not None, said
    x = load_boat(tmp_path).distance("station 5")
    normals = np.array([BOTTOM_NORMAL, SIDE_NORMAL])
    through = np.array([bottom_over(np.zeros(3)) + BOTTOM_T, side_over(np.zeros(3)) + SIDE_T])
    chine = np.linalg.solve(normals[:, 1:], -through - normals[:, 0] * x)
    apex = (-through[0] - BOTTOM_NORMAL[0] * x) / BOTTOM_NORMAL[2]
    assert float(found[1]) == pytest.approx(np.hypot(chine[0], chine[1] - apex), abs=0.6)


@pytest.mark.parametrize(
    ("arm", "advice"), [(20.0, "make it 70 mm or longer"), (950.0, "make it 900 mm or shorter")]
)
def test_the_advice_on_an_arm_that_does_not_reach_is_the_cure_and_names_the_joint(
    arm: float, advice: str
) -> None:
    """A flat bottom and a plumb side: an arm must reach past the depth of the side's wood, here 70 mm."""
    bottom = np.stack([np.linspace(-1000.0, 0.0, 11), np.zeros(11)], axis=-1)
    section = SimpleNamespace(traces={"bottom": SimpleNamespace(uv=bottom)})
    ring = SimpleNamespace(sections=(section,), sharp=shapely.box(-900.0, 90.0, -70.0, 500.0))
    joint = SimpleNamespace(name="chine", corner=np.zeros(2), inside=np.array([-70.0, 90.0]))
    built: Any = SimpleNamespace(ring=ring)
    with pytest.raises(PatternsError) as refused:
        arm_of(built, joint, "bottom", arm)  # type: ignore[arg-type]
    assert "gusset at the chine" in str(refused.value)
    assert advice in str(refused.value)
    good = arm_of(built, joint, "bottom", 70.0 if arm < 100.0 else 900.0)  # type: ignore[arg-type]
    assert good.toe[1] == pytest.approx(90.0)


@pytest.mark.slow
def test_the_advice_on_a_gusset_that_the_notches_leave_in_no_part_is_the_cure(tmp_path: Path) -> None:
    def with_arm(arm: float) -> None:
        folder = tmp_path / f"{arm:g}"
        write_plane_boat(folder)
        design = folder / "design.toml"
        text = design.read_text(encoding="utf-8").replace("[[frame]]\n", f"[[frame]]\n{KEYS}")
        more = re.sub(
            r"dowel.*\n|centre_arm.*\n",
            "",
            GUSSETS.format(faces="both", inner="straight", line="frame", dowels=1),
        )
        more = more.replace('arm = "150 mm"', f'arm = "{arm:g} mm"')
        design.write_text(text.replace("station 2", "station 5") + more, encoding="utf-8")
        made_of(load_boat(folder), "frame")

    with pytest.raises(DesignError) as refused:
        with_arm(5.0)
    advised = re.search(r"set arm to about (\d+) mm", str(refused.value))
    assert advised
    with_arm(float(advised[1]))


@pytest.mark.slow
@pytest.mark.parametrize(
    ("arms", "key"),
    [('arm = "80 mm"\ncentre_arm = "90 mm"', "arm"), ('arm = "150 mm"\ncentre_arm = "20 mm"', "centre_arm")],
)
def test_an_arm_too_short_for_its_dowels_is_named_at_its_key(tmp_path: Path, arms: str, key: str) -> None:
    folder = tmp_path / "boat"
    write_plane_boat(folder)
    design = folder / "design.toml"
    text = design.read_text(encoding="utf-8").replace("[[frame]]\n", f"[[frame]]\n{KEYS}")
    more = GUSSETS.format(faces="after", inner="straight", line="frame", dowels=2)
    first = re.sub(r"centre_arm.*\n|dowel.*\n", "", more).replace('frames = ["A", "B"]', 'frames = ["A"]')
    second = more.replace('frames = ["A", "B"]', 'frames = ["B"]')
    second = second.replace('arm = "150 mm"\ncentre_arm = "90 mm"', arms)
    design.write_text(text + first + second, encoding="utf-8")
    with pytest.raises(DesignError) as refused:
        made_of(load_boat(folder), "frame")
    assert {problem.place for problem in refused.value.problems} == {
        f"design.toml, gusset number 2, key {key}"
    }
    assert all(problem.what.startswith('frame "B"') for problem in refused.value.problems)
