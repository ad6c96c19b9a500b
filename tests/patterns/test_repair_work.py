"""Notches for the timbers that pass a measured frame, and gussets over its joints, against closed forms."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from shapely.geometry import Polygon

from patterns.errors import DesignError
from patterns.pattern import Kind, Pattern
from patterns.repair.repair import load_repair
from patterns.repair.subject import RepairSubject
from tests.patterns.folders import places_of
from tests.patterns.repair_boats import by_half_breadth, rows, write_repair

FRAME = '[[piece]]\nkind = "frame"\nmade_in = "halves"\nside = "starboard"\n'
MOULDED = 'moulded = "40 mm"'


def _table(kind: str, **keys: str) -> str:
    return "\n".join([f"[[{kind}]]", *(f'{key} = "{value}"' for key, value in keys.items())]) + "\n"


CHINE_LOG = _table("notch", name="chine log", at="chine", against="side", off="20 mm", along="45 mm")


BEVEL = 0.1  # mm over 35 mm of wood: a gauge's readings are faired, within a sixth of a degree here


def _square(*, hands: tuple[str, ...] = ("starboard",), slope: float = 0.0, bevel: str = "90 deg") -> str:
    """A straight bottom 400 mm broad from 50 mm out, and a plumb side 400 mm high, at the chine 450 mm out, 100 up.

    Args:
        slope: of the bottom, down towards the keel.
        bevel: of the side; the bottom's is square.
    """
    lines = ["side,edge,point,method,from,a,b,corner,bevel"]
    for hand in hands:
        places = [(50.0 + 100.0 * i, 100.0 - slope * (400.0 - 100.0 * i)) for i in range(5)]
        places += [(450.0, 200.0 + 100.0 * i) for i in range(4)]
        for i, (out, up) in enumerate(places):
            edge, corner = ("bottom" if i < 5 else "side"), {4: "chine", 8: "sheer"}.get(i, "")
            angle = "90 deg" if i < 5 else bevel
            lines.append(f"{hand},{edge},{i + 1},half-breadth,,{out:.7f} mm,{up:.7f} mm,{corner},{angle}")
    return "\n".join(lines)


def _made(folder: Path, more: str, points: str, *, spec: str = MOULDED) -> dict[str, Pattern]:
    repair = load_repair(write_repair(folder, points, more, spec=spec))
    return {pattern.name: pattern for pattern in RepairSubject(repair).patterns()}


def _area(pattern: Pattern, kind: Kind = Kind.SAW) -> Polygon:
    (line,) = pattern.of_kind(kind)
    return Polygon(line.points)


def _corners(area: Polygon) -> set[tuple[float, float]]:
    return {(round(x, 3), round(y, 3)) for x, y in area.normalize().simplify(0.001).exterior.coords}


@pytest.mark.slow
def test_notches_stand_where_they_were_measured(tmp_path: Path) -> None:
    """On square stretches: a log in the chine, a clamp from the head down, a stringer about a point, a keelson."""
    more = FRAME + CHINE_LOG
    more += _table("notch", name="clamp", at="sheer", against="side", off="15 mm", along="60 mm")
    more += _table(
        "notch", name="stringer", at="3", against="bottom", off="12 mm", along="30 mm", distance="10 mm"
    )
    more += _table("notch", name="keelson", at="centreline", off="25 mm", along="140 mm")
    frame = _made(tmp_path, more, _square())["frame 4 starboard"]
    assert _corners(_area(frame)) == {
        (50, 140), (50, 125), (70, 125), (70, 100),  # keelson
        (245, 100), (245, 112), (275, 112), (275, 100),  # stringer
        (430, 100), (430, 145), (450, 145),  # chine log
        (450, 440), (435, 440), (435, 500), (410, 500), (410, 140),  # clamp
    }  # fmt: skip
    names = {mark.name for mark in frame.marks}
    assert {'chine log\n1 25/32" by 25/32"', 'clamp\n2 3/8" by 19/32"'} <= names  # as a rule of inches reads
    assert any("chine log, clamp, stringer, keelson" in fact for fact in frame.facts)
    edge = {round(reading.at[1]) for reading in frame.readings if reading.edge == "side"}
    assert 145 <= min(edge) <= max(edge) <= 440  # no bevel where there is no wood


@pytest.mark.slow
@pytest.mark.parametrize("slope", [0.0, np.tan(np.radians(20.0)), np.tan(np.radians(35.0))])
def test_in_a_corner_a_notch_runs_on_to_the_other_planking(tmp_path: Path, slope: float) -> None:
    """Past the square end of the log lies a wedge of height off by off times the slope: it goes too."""
    whole = _area(_made(tmp_path / "a", FRAME, _square(slope=slope))["frame 4 starboard"])
    cut = _area(_made(tmp_path / "b", FRAME + CHINE_LOG, _square(slope=slope))["frame 4 starboard"])
    assert whole.area - cut.area == pytest.approx(45.0 * 20.0 + 0.5 * 20.0**2 * slope, abs=0.01)


@pytest.mark.slow
def test_a_notch_follows_the_planking_on_each_face(tmp_path: Path) -> None:
    """A side at 80 degrees through 25 mm: the far face's notch stands in by its tangent, no deeper."""
    frame = _made(tmp_path, FRAME + CHINE_LOG, _square(bevel="80 deg"))["frame 4 starboard"]
    far = 450.0 - 25.0 * np.tan(np.radians(10.0))
    assert {(430.0, 145.0), (450.0, 145.0)} <= _corners(_area(frame, Kind.FACE))
    level = sorted(out for out, up in _corners(_area(frame, Kind.OTHER)) if abs(up - 145.0) < 0.01)
    assert level[-2:] == pytest.approx([far - 20.0, far], abs=BEVEL)


@pytest.mark.slow
def test_a_notch_is_lettered_in_the_units_of_the_tape(tmp_path: Path) -> None:
    points = _square().replace(" mm,", ",")
    folder = write_repair(tmp_path, points, FRAME + CHINE_LOG, spec=MOULDED, notation="mm")
    made = {pattern.name: pattern for pattern in RepairSubject(load_repair(folder)).patterns()}
    assert "chine log\n45 by 20 mm" in {mark.name for mark in made["frame 4 starboard"].marks}
    inches = CHINE_LOG.replace("45 mm", "1-3/4 in").replace("20 mm", "7/8 in")
    marks = _made(tmp_path / "b", FRAME + inches, _square())["frame 4 starboard"].marks
    assert 'chine log\n1 3/4" by 7/8"' in {mark.name for mark in marks}


@pytest.mark.slow
def test_port_and_starboard_have_their_own_in_one_piece(tmp_path: Path) -> None:
    both = ("port", "starboard")
    whole = '[[piece]]\nkind = "frame"\n'
    bare = _area(_made(tmp_path / "a", whole, _square(hands=both))["frame 4"])
    cut = _area(_made(tmp_path / "b", whole + CHINE_LOG, _square(hands=both))["frame 4"])
    assert bare.area - cut.area == pytest.approx(2.0 * 45.0 * 20.0, abs=0.01)
    assert {(430.0, 145.0), (-430.0, 145.0)} <= _corners(cut)
    one = _area(_made(tmp_path / "c", whole + CHINE_LOG + 'side = "port"\n', _square(hands=both))["frame 4"])
    assert (-430.0, 145.0) in _corners(one)
    assert (430.0, 145.0) not in _corners(one)
    half = _made(tmp_path / "d", whole + CHINE_LOG, _square(hands=both), spec=f'{MOULDED}\nsides = "mean"')
    assert half["frame 4"].half
    lines = np.vstack([line.points for line in half["frame 4"].of_kind(Kind.SAW)])
    assert np.hypot(*(lines - [430.0, 145.0]).T).min() < 1e-3


@pytest.mark.slow
def test_the_fit_up_strip_is_notched_and_broad_enough_for_it(tmp_path: Path) -> None:
    deep = CHINE_LOG.replace("20 mm", "45 mm")
    strip = _made(tmp_path, FRAME + deep, _square(), spec='moulded = "70 mm"')["fit-up strip starboard"]
    assert {(405.0, 145.0), (405.0, 100.0)} <= _corners(_area(strip))
    assert _area(strip).buffer(-14.0).geom_type == "Polygon"


@pytest.mark.slow
@pytest.mark.parametrize(
    ("more", "spec", "finding"),
    [
        (
            _table("notch", name="log", at="chine", off="20 mm", along="45 mm"),
            "",
            ("key against", "needed-key"),
        ),
        (CHINE_LOG.replace('"side"', '"sid"'), "", ("key against", "unknown-name")),
        (CHINE_LOG.replace('"chine"', '"knee"'), "", ("key at", "unknown-name")),
        (CHINE_LOG.replace('"chine"', '"3"'), "", ("key at", "notch-off-stretch")),
        (CHINE_LOG.replace('"chine"', '"9"'), "", ("key distance", "needed-key")),
        (CHINE_LOG.replace("20 mm", "60 mm"), "", ("key off", "notch-too-deep")),
        (
            _table("notch", name="keel", at="centreline", off="2 mm", along="4 mm"),
            'centreline = "not known"',
            ("key at", "centreline-unknown"),
        ),
        (
            _table("notch", name="keel", at="centreline", off="2 mm", along="4 mm", against="side"),
            "",
            ("key against", "needless-key"),
        ),
        (
            _table("gusset", at="9", faces="both", thickness="9 mm", stock="ply", arm="100 mm"),
            "",
            ("key at", "gusset-off-joint"),
        ),
    ],
)
def test_what_cannot_be_placed_is_reported(
    tmp_path: Path, more: str, spec: str, finding: tuple[str, str]
) -> None:
    with pytest.raises(DesignError) as caught:
        load_repair(write_repair(tmp_path, rows(by_half_breadth), more, spec=spec))
    found = [(place.rpartition(", ")[2], code) for place, code in places_of(caught.value)]
    assert finding in found


@pytest.mark.slow
def test_a_notch_that_cuts_the_frame_in_two_is_told(tmp_path: Path) -> None:
    wide = _table("notch", name="keelson", at="centreline", off="60 mm", along="300 mm")
    with pytest.raises(DesignError, match="the notch for the keelson cuts it"):
        _made(tmp_path, '[[piece]]\nkind = "frame"\n' + wide, _square(hands=("port", "starboard")))


GUSSET = {"at": "chine", "faces": "forward", "thickness": "10 mm", "stock": "plywood", "arm": "150 mm"}


@pytest.mark.slow
def test_a_gusset_runs_from_arm_to_arm(tmp_path: Path) -> None:
    """Arms of 150 mm on square stretches moulded 40 mm; straight from toe to toe, or along the frame."""
    straight = _made(tmp_path / "a", FRAME + _table("gusset", **GUSSET), _square())
    name = "frame 4 starboard, chine gusset, forward"
    outline = {(300.0, 100.0), (450.0, 100.0), (450.0, 250.0), (410.0, 250.0), (300.0, 140.0)}
    # Its own after face lies against the frame's forward one, and is seen with the wood behind it.
    assert (
        straight[name].face == "after face (against the frame) of the starboard piece, seen looking forward"
    )
    assert _corners(_area(straight[name])) == outline
    along = _made(
        tmp_path / "b", FRAME + CHINE_LOG + _table("gusset", **GUSSET, inner="along the frame"), _square()
    )
    assert _area(along[name]).area == pytest.approx(2.0 * 150.0 * 40.0 - 40.0**2 - 45.0 * 20.0, abs=0.01)
    ends = [mark.at for mark in along["frame 4 starboard"].marks if mark.name == "chine gusset ends"]
    assert [tuple(np.round(at, 3)) for at in ends] == [(300.0, 100.0), (450.0, 250.0)]


@pytest.mark.slow
def test_a_gusset_shows_the_mitre_beneath_it_and_no_more(tmp_path: Path) -> None:
    """Square stretches moulded 40 mm: from the inner corner, 40 mm in and up, to the chine."""
    futtocks = FRAME.replace("halves", "futtocks")
    made = _made(tmp_path, futtocks + _table("gusset", **GUSSET), _square())
    [line] = made["frame 4 starboard, chine gusset, forward"].of_kind(Kind.REFERENCE)
    ends = line.points[np.argsort(line.points[:, 1])]
    assert np.abs(ends[:, 0]) == pytest.approx([450.0, 410.0], abs=1e-3)
    assert ends[:, 1] == pytest.approx([100.0, 140.0], abs=1e-3)


@pytest.mark.slow
@pytest.mark.parametrize(("face", "near", "far"), [("after", 0.0, -10.0), ("forward", 25.0, 35.0)])
def test_each_face_of_a_gusset_is_cut_at_its_own_distance(
    tmp_path: Path, face: str, near: float, far: float
) -> None:
    """A side at 80 degrees through the old wood, measured from abaft: its tangent times each face's depth."""
    name = f"frame 4 starboard, chine gusset, {face}"
    given = {**GUSSET, "faces": face}
    gusset = _made(tmp_path, FRAME + _table("gusset", **given), _square(bevel="80 deg"))[name]
    for kind, depth in ((Kind.FACE, near), (Kind.OTHER, far)):
        out = np.abs(np.asarray(_area(gusset, kind).exterior.coords)[:, 0]).max()
        assert out == pytest.approx(450.0 - depth * np.tan(np.radians(10.0)), abs=BEVEL)


@pytest.mark.slow
def test_a_plate_across_the_heels_reaches_its_arms(tmp_path: Path) -> None:
    plate = _table("gusset", **{**GUSSET, "at": "centreline", "name": "floor plate"})
    made = _made(tmp_path, '[[piece]]\nkind = "frame"\n' + plate, _square(hands=("port", "starboard")))
    corners = _corners(_area(made["frame 4, centreline floor plate, forward"]))
    assert corners == {(-200.0, 100.0), (200.0, 100.0), (200.0, 140.0), (-200.0, 140.0)}


@pytest.mark.slow
def test_an_arm_longer_than_its_stretch_is_told(tmp_path: Path) -> None:
    with pytest.raises(DesignError, match="an arm of 500 mm is longer than the edge runs beside it, 400 mm"):
        _made(tmp_path, FRAME + _table("gusset", **{**GUSSET, "arm": "500 mm"}), _square())
