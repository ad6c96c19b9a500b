"""How a stem is made and set on its keel: joints, scarfs, strips, and the wood that it is, against closed forms."""

from __future__ import annotations

import shutil
from pathlib import Path
from types import SimpleNamespace
from typing import cast

import numpy as np
import pytest
import shapely

from patterns.assembly.plate import plates
from patterns.boat import Boat, load_boat
from patterns.design.stem_models import StemEnd
from patterns.errors import DesignError, PatternsError
from patterns.hull.hull import Hull
from patterns.hull.planes import FloatArray, centre_plane
from patterns.joinery.keel_faces import narrow_fact
from patterns.joinery.stem_lands import land_line
from patterns.joinery.stem_parts import StemPiece, with_its_parts
from patterns.joinery.stem_wood import Foot
from patterns.members.stem import stem_of
from patterns.pattern import Kind, Pattern
from patterns.wood.labels import Against, Free
from patterns.wood.piece import Face, Hand, Papers, Piece, Stock
from patterns.wood.placement import OnFace
from patterns.wood.region import Region
from tests.once import made_of
from tests.patterns.folders import changed
from tests.patterns.plane_boat import (
    BOTTOM_NORMAL,
    BOTTOM_T,
    HALF,
    SIDE_NORMAL,
    SIDE_T,
    bottom_over,
    side_over,
    stem_x,
    write_plane_boat,
)

ALONG = np.array([0.16, -0.22]) / np.hypot(0.16, 0.22)  # down the stem, (x, z)
INTO = np.array([0.22, 0.16]) / np.hypot(0.22, 0.16)  # square to it, into the boat
ON_STEM = np.array([stem_x(300.0), 300.0])
KEEL = 30.0  # mm, moulded

STEM_KNEE = """
[[knee]]
kind = "stem knee"
along_keel = "200 mm"
up_stem = "250 mm"
throat = "100 mm"
toe = "30 mm"
sided = "36 mm"
stock = "18 mm plywood"
laminations = 2
bolts_keel = ["60 mm"]
bolts_stem = ["70 mm", "150 mm"]
"""


def write(
    folder: Path, stem: str, *, more: str = "", construction: str = "inner and outer", sided: str = "60 mm"
) -> Path:
    """The boat of planes with more keys for its stem."""
    write_plane_boat(folder, construction=construction, sided=sided)
    file = folder / "design.toml"
    text = changed(file.read_text(encoding="utf-8"), "laminations = 1\n", f"{stem}\n")
    file.write_text(text + more, encoding="utf-8")
    return folder


def made(folder: Path) -> tuple[Boat, dict[str, Pattern]]:
    boat = load_boat(folder)
    return boat, made_of(boat, "frame", "stem", "stem knee")


def area(pattern: Pattern) -> shapely.Polygon:
    return shapely.Polygon(pattern.of_kind(Kind.SAW)[0].points)


def off_keel_top(points: FloatArray) -> FloatArray:
    """How far points (n, 2) of the profile stand above the keel's top, square to it.

    The keel stands `KEEL` above the line in which the insides of the bottom meet on the centreline.
    """
    space = np.stack([points[:, 0], np.zeros(len(points)), points[:, 1]], axis=-1)
    inside = (bottom_over(space) + BOTTOM_T) / np.hypot(BOTTOM_NORMAL[0], BOTTOM_NORMAL[2])
    return -inside - KEEL


def off_stem(points: FloatArray) -> FloatArray:
    """How far points (n, 2) of the profile lie abaft the rabbet line, square to it."""
    return (points - ON_STEM) @ INTO


@pytest.mark.slow
def test_a_heel_stands_on_the_keel_s_top_and_a_knee_fills_the_corner(tmp_path: Path) -> None:
    _, patterns = made(write(tmp_path, 'joint = "heel on the keel"', more=STEM_KNEE))
    outline = patterns["inner stem"].of_kind(Kind.SAW)[0].points
    heel = outline[np.abs(off_keel_top(outline)) < 0.02]
    # One end square to the rabbet's foot, 440 mm aft, the other on the after face, 90 mm from the rabbet.
    assert (heel @ ALONG).min() == pytest.approx(np.array([440.0, stem_x_height(440.0)]) @ ALONG, abs=0.05)
    assert off_stem(heel).max() == pytest.approx(90.0, abs=0.02)
    assert off_keel_top(outline[(outline[:, 0] > 445.0)]).min() > -0.02

    knee = patterns["stem knee"]
    points = knee.of_kind(Kind.SAW)[0].points
    on_stem, on_keel = np.abs(off_stem(points) - 90.0) < 0.02, np.abs(off_keel_top(points)) < 0.02
    assert (on_stem & on_keel).sum() == 1  # the corner
    corner = points[on_stem & on_keel][0]
    assert np.hypot(*(points[on_stem] - corner).T).max() == pytest.approx(250.0, abs=1e-6)
    assert np.hypot(*(points[on_keel] - corner).T).max() == pytest.approx(200.0, abs=1e-6)
    assert off_stem(points).min() > 90.0 - 0.02
    assert off_keel_top(points).min() > -0.02
    closed = np.degrees(np.arctan2(0.22, -0.16)) + np.degrees(np.arctan(0.010))
    assert f"{round(2.0 * closed) / 2.0:g}°" in knee.facts[1]
    bolts = {line.name: line.points for line in knee.of_kind(Kind.CENTRE)}
    assert list(bolts) == [f"bolt {d} mm from the corner" for d in (60, 70, 150)]
    for far, points in zip((60.0, 70.0, 150.0), bolts.values(), strict=True):
        along = ALONG if far > 60.0 else np.array([1.0, -0.01]) / np.hypot(1.0, 0.01)
        assert np.abs(np.abs((points - corner) @ along) - far).max() < 0.02


def stem_x_height(x: float) -> float:
    """The rabbet's height at a distance aft: `stem_x` turned round."""
    return 300.0 - 0.22 / 0.16 * (x - 250.0)


@pytest.mark.slow
def test_a_keel_s_top_narrower_than_a_knee_is_told(tmp_path: Path) -> None:
    """Where the sides' insides come nearer than the knee's half siding at the height of the keel's top."""
    boat = load_boat(write(tmp_path, ""))
    inside = bottom_over(np.array([[0.0, 0.0, 0.0]]))[0] + BOTTOM_T  # at x = z = 0 on the centreline
    top = (inside + KEEL * np.hypot(BOTTOM_NORMAL[0], BOTTOM_NORMAL[2])) / -BOTTOM_NORMAL[2]
    # Height of the keel's top: top - 0.010 x; half breadth of the sides' inside there: 42 at
    half = 42.0 - HALF + SIDE_T / SIDE_NORMAL[1] + 0.22 * 250.0 - 0.16 * (top - 300.0)
    wide = half / (0.22 - 0.16 * 0.010)
    face = np.array([[wide - 40.0, 0.0], [wide + 100.0, 0.0]])
    [fact] = narrow_fact(boat, face, 84.0)
    between = [place.mm for place in fact.values["between"]]
    assert between == pytest.approx([wide - 40.0, wide], abs=3.5)  # to the nearest of 60 places
    assert fact.values["breadth"] == pytest.approx(84.0 - 2.0 * 40.0 * (0.22 - 0.16 * 0.010), abs=0.6)
    assert narrow_fact(boat, face + np.array([60.0, 0.0]), 84.0) == ()


@pytest.mark.slow
def test_a_frame_over_the_heel_is_cut_out_for_it(tmp_path: Path) -> None:
    """525 mm aft the frame begins at the stem's after face, carried on straight past the foot."""
    frame = """
[[frame]]
name = "H"
at = "525 mm"
sided = "8 mm"
moulded_side = "70 mm"
moulded_bottom = "90 mm"
siding_runs = "aft"
stock = "fir"
"""
    _, patterns = made(write(tmp_path, 'joint = "heel on the keel"', more=frame))
    height = ON_STEM[1] + (90.0 - (525.0 - ON_STEM[0]) * INTO[0]) / INTO[1]
    assert off_stem(np.array([[525.0, height]]))[0] == pytest.approx(90.0, abs=1e-9)
    assert off_keel_top(np.array([[525.0, height]]))[0] > 5.0  # the heel stands above the keel there
    points = np.vstack([line.points for line in patterns["frame H"].of_kind(Kind.FACE)])
    near = points[(points[:, 0] < 25.0) & (points[:, 1] < height + 40.0)]
    assert near[:, 1].min() == pytest.approx(height, abs=0.05)


def test_a_scarf_to_the_keel_rises_one_in_its_ratio(tmp_path: Path) -> None:
    """A stem that runs on along the straight keel: the scarf begins on the keel's top square to the foot."""
    foot = _foot(tmp_path, "1100 mm")
    outline = shapely.LinearRing(foot.wood.area.exterior.coords)
    at = np.array([1100.0, 29.0])
    along, up = np.array([1.0, -0.010]) / np.hypot(1.0, 0.010), np.array([0.010, 1.0]) / np.hypot(1.0, 0.010)
    depth = -off_keel_top(at[None])[0]
    ends = at + depth * up, at - 6.0 * depth * along
    for corner in ends:
        assert shapely.MultiPoint(outline.coords).distance(shapely.Point(corner)) < 0.05
    assert outline.buffer(0.05).covers(shapely.LineString(ends))
    [scarf] = foot.wood.stretches(Against("keel"))
    assert np.abs(scarf.points - np.array(ends)[::-1]).max() < 0.05
    [fact] = foot.facts
    assert fact.kind == "scarf-to-keel"
    assert (fact.values["depth"], fact.values["ratio"]) == (pytest.approx(depth, abs=0.05), 6.0)


def _foot(folder: Path, foot: str) -> Foot:
    write(folder, 'joint = "scarf"\nscarf_ratio = "6:1"')
    file = folder / "design.toml"
    file.write_text(changed(file.read_text(encoding="utf-8"), "440 mm", foot), encoding="utf-8")
    boat = load_boat(folder)
    return stem_of(boat).foot


def test_a_scarf_to_the_keel_across_a_knuckle_is_refused(tmp_path: Path) -> None:
    with pytest.raises(PatternsError, match="turns sharply within its scarf"):
        _foot(tmp_path, "500 mm")


@pytest.mark.slow
@pytest.mark.parametrize("construction", ["inner and outer", "rabbeted"])
def test_scarfed_parts_make_up_the_whole(tmp_path: Path, construction: str) -> None:
    keys = 'scarf_ratio = "3:1"\nscarfs = ["350 mm"]'
    _, patterns = made(
        write(
            tmp_path,
            keys,
            construction=construction,
            sided="40 mm" if construction == "rabbeted" else "60 mm",
        )
    )
    name = "stem" if construction == "rabbeted" else "inner stem"
    whole, upper, lower = (patterns[n] for n in (name, f"{name}, upper part", f"{name}, lower part"))
    assert area(upper).area + area(lower).area == pytest.approx(area(whole).area, rel=1e-9)
    assert area(upper).union(area(lower)).symmetric_difference(area(whole)).area < 0.01
    [joint] = whole.of_kind(Kind.JOINT)
    step = np.diff(joint.points, axis=0)[0]
    depth = 90.0 + (30.0 if construction == "rabbeted" else 0.0)
    assert step @ INTO == pytest.approx(depth, abs=0.01)
    assert step @ ALONG == pytest.approx(3.0 * depth, abs=0.05)
    middle = joint.points.mean(axis=0) - (0.5 * depth - (depth - 90.0)) * INTO
    assert middle == pytest.approx([stem_x(350.0), 350.0], abs=0.02)
    for part in (upper, lower):
        assert area(part).buffer(0.01).covers(shapely.LineString(joint.points))
        grain = np.array(part.grain)
        assert abs(grain @ ALONG) > np.cos(np.radians(12.0))
    assert whole.body is not None
    assert upper.body is None  # the whole is measured in the boat


@pytest.mark.slow
def test_staggered_laminations_have_their_scarfs_apart(tmp_path: Path) -> None:
    keys = 'scarf_ratio = "2:1"\nscarfs = ["450 mm"]\nlaminations = 3\nstagger = "150 mm"'
    _, patterns = made(write(tmp_path, keys))
    joints = [line.points.mean(axis=0) for line in patterns["inner stem"].of_kind(Kind.JOINT)]
    assert (joints[1] - joints[0]) @ ALONG == pytest.approx(150.0, abs=0.01)
    parts = {name: p for name, p in patterns.items() if name.startswith("inner stem,")}
    assert {name: p.quantity for name, p in parts.items()} == {
        "inner stem, upper part, odd laminations": "2",
        "inner stem, lower part, odd laminations": "2",
        "inner stem, upper part, even laminations": "1",
        "inner stem, lower part, even laminations": "1",
    }
    assert all(part.thickness == 20.0 for part in parts.values())


def test_strips_over_a_mould_of_a_round_stem_have_the_lengths_of_their_arcs() -> None:
    """A stem that is a quarter of a circle of 900 mm, 60 mm deep inboard: the mould's radius is 840 mm."""
    radius, depth, spare = 900.0, 60.0, 80.0

    def at(t: FloatArray, nu: int = 0) -> FloatArray:
        a = np.pi + np.asarray(t) / radius + nu * 0.5 * np.pi
        return radius ** (1 - nu) * np.stack([np.cos(a), 0.0 * a, np.sin(a)], axis=-1)

    hull = cast(Hull, SimpleNamespace(profile=SimpleNamespace(at=at)))
    t = np.linspace(0.0, 0.5 * np.pi * radius, 700)
    none = Region.of(shapely.Polygon(), Free())
    blank = Piece(
        name="inner stem", member="stem", stock=Stock(wood="fir", thickness=40.0), hand=Hand.CENTRE,
        placement=OnFace(centre_plane(-20.0), -1.0), faces=(Face(region=none, sources={}),) * 2,
        papers=Papers.OUTLINE,
    )  # fmt: skip
    piece = StemPiece(
        piece=blank, wood=none, face=at(t)[:, [0, 2]], forward=0.0, aft=depth, scarfs=(), stagger=None,
        strips=5.0,
    )  # fmt: skip
    spec = StemEnd.model_construct(mould_spare=spare)
    whole, mould = with_its_parts(hull, spec, piece, t)
    strips, bend = whole.facts[-2:]
    arcs = [0.5 * np.pi * r + 2.0 * spare for r in (radius - depth, radius)]
    names = ("count", "thickness", "broad", "inside", "outside", "spare")
    assert [strips.values[name] for name in names] == pytest.approx([12, 5, 40, *arcs, spare], abs=0.7)
    assert bend.values["radius"] == pytest.approx(radius - depth, abs=0.5)
    [on_strips] = mould.saw().stretches(Against("inner stem"))
    edge = on_strips.points
    round_part = edge[(edge[:, 0] < -1.0) & (edge[:, 1] < -1.0) & (np.hypot(*edge.T) > 700.0)]
    assert len(round_part) > 600
    assert np.abs(np.hypot(*round_part.T) - (radius - depth)).max() < 0.01


@pytest.mark.slow
@pytest.mark.parametrize("sided", [24.0, 60.0])
@pytest.mark.parametrize("to", ["outside of planking", "inside of planking"])
def test_a_rabbet_is_cut_at_the_stem_s_own_side(tmp_path: Path, sided: float, to: str) -> None:
    """Rabbet and bearding where the side's two faces meet the stem's side, whatever the table was drawn to."""
    write(tmp_path, "", construction="rabbeted", sided=f"{sided:g} mm")
    file = tmp_path / "design.toml"
    file.write_text(changed(file.read_text(encoding="utf-8"), "outside of planking", to), encoding="utf-8")
    _, patterns = made(tmp_path)
    stem = patterns["stem"]
    out = 0.0 if to == "outside of planking" else SIDE_T
    for kind, over, y in (
        (Kind.RABBET, out, 0.5 * sided),
        (Kind.BEARDING, out - SIDE_T, 0.5 * sided),
        (Kind.APEX, out - SIDE_T, 0.5 * sided - SIDE_T * SIDE_NORMAL[1]),
    ):
        points = np.vstack([line.points for line in stem.of_kind(kind)])
        on_stem = points[points[:, 1] > 150.0]
        assert len(on_stem) > 30
        space = np.stack([on_stem[:, 0], np.full(len(on_stem), y), on_stem[:, 1]], axis=-1)
        assert np.abs(side_over(space) - over).max() < 0.01


@pytest.mark.slow
@pytest.mark.parametrize("construction", ["inner and outer", "rabbeted"])
def test_the_stem_s_wood_ends_at_the_planking_s_inside(tmp_path: Path, construction: str) -> None:
    """Points on the side's inside face, between the stem's faces: the wood begins there, to 0.1 mm."""
    sided = 60.0 if construction == "inner and outer" else 2.0 * HALF
    _, patterns = made(write(tmp_path, "", construction=construction, sided=f"{sided:g} mm"))
    stem = patterns["inner stem" if construction == "inner and outer" else "stem"]
    assert stem.body is not None
    slabs = [plate for body in (stem.body, *stem.slabs) for plate in plates("stem", body)]

    def depth(points: FloatArray) -> FloatArray:
        return np.max([slab.depth(points) for slab in slabs], axis=0)

    rng = np.random.default_rng(7)
    y = rng.uniform(0.9 * 0.5 * sided, 0.5 * sided - 0.5, 60)
    z = rng.uniform(200.0, 600.0, 60)
    # On the side's inside face: its distance aft from y and z.
    x = 250.0 + (y - 20.0 - 0.16 * (z - 300.0)) / 0.22 + SIDE_T / (0.22 * SIDE_NORMAL[1])
    points = np.stack([x, y, z], axis=-1)
    assert np.abs(side_over(points) + SIDE_T).max() < 1e-9
    for port in (1.0, -1.0):
        face = points * np.array([1.0, port, 1.0])
        assert np.abs(depth(face)).max() < 0.1
        inside = (points - 1.0 * SIDE_NORMAL) * np.array([1.0, port, 1.0])
        assert depth(inside).min() > 0.3


@pytest.mark.slow
@pytest.mark.parametrize(
    ("keys", "words"),
    [
        ('joint = "scarf"', "scarf_ratio: is missing"),
        ('scarf_ratio = "8:1"', "the stem has no scarf"),
        ('scarf_ratio = "8"\njoint = "scarf"', "not a valid slope of a scarf"),
        ('scarf_ratio = "80:1"\njoint = "scarf"', "at most 50:1"),
        ('strips = "7 mm"', "13 strips of 6.923 mm do"),
        ('strips = "6 mm"\nscarfs = ["300 mm"]\nscarf_ratio = "8:1"', "keep one of them"),
        ('strips = "6 mm"\nlaminations = 2', "one strip wide"),
        ('stagger = "100 mm"', "no two laminations"),
    ],
)
def test_keys_of_the_stem_that_do_not_agree_are_told(tmp_path: Path, keys: str, words: str) -> None:
    with pytest.raises(DesignError) as caught:
        load_boat(write(tmp_path, keys))
    assert words in str(caught.value)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("keys", "more", "words"),
    [
        ('scarfs = ["350 mm"]\nscarf_ratio = "12:1"', "", "runs past the stem's end"),
        ('scarfs = ["350 mm", "300 mm"]\nscarf_ratio = "2:1"', "", "run into each other"),
        ('scarfs = ["2000 mm"]\nscarf_ratio = "2:1"', "", "lies off the stem"),
        ('joint = "scarf"\nscarf_ratio = "40:1"', "", "more than the stem"),
        ("", STEM_KNEE, 'joint = "heel on the keel"'),
        (
            'joint = "heel on the keel"',
            changed(STEM_KNEE, '["60 mm"]', '["260 mm"]'),
            "beyond its arm of 200 mm",
        ),
    ],
)
def test_what_does_not_fit_the_stem_is_told(tmp_path: Path, keys: str, more: str, words: str) -> None:
    with pytest.raises(DesignError) as caught:
        made_of(load_boat(write(tmp_path, keys, more=more)), "stem", "stem knee")
    assert words in str(caught.value)


@pytest.mark.slow
@pytest.mark.parametrize("offset", ["2-4-1+", "2-4-2-", "2-4-2", "2-4-2+", "2-4-3-"])
def test_the_bearding_line_runs_on_to_the_head_without_turning_back(offset: str, tmp_path: Path) -> None:
    """Near the head the planking's inside folds over itself; no point of the fold is on the line."""
    demo = Path(__file__).parents[2] / "demo_design"
    folder = shutil.copytree(demo, tmp_path / "boat")
    table = folder / "offsets.csv"
    table.write_text(changed(table.read_text(encoding="utf-8"), ",1-11-2-,2-4-2-,", f",1-11-2-,{offset},"))
    line = land_line(load_boat(folder).hull, 20.0)
    way = np.diff(line, axis=0)
    assert (way[:, 0] < 0.0).all()
    heading = np.unwrap(np.arctan2(way[:, 1], way[:, 0]))
    assert np.degrees(np.abs(np.diff(heading))).max() < 30.0
