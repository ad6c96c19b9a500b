"""Chine logs, clamps and keels that end where the design says."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from patterns.boat import Boat, load_boat
from patterns.errors import DesignError, TimberError
from patterns.hull.planes import station_plane
from patterns.hull.sections import cut_hull
from patterns.joinery.passages import notches_in
from patterns.members.timber import timber_piece
from tests.patterns.plane_boat import write_plane_boat

LOG = 'kind = "chine log"\n'
CLAMP = 'kind = "clamp"\n'
KEEL = 'kind = "keel"\n'


def boat_with(folder: Path, *changes: tuple[str, str]) -> Boat:
    """The boat of planes, keys of whose timbers are added to."""
    design = write_plane_boat(folder) / "design.toml"
    text = design.read_text(encoding="utf-8")
    for kind, keys in changes:
        assert text.count(kind) == 1
        text = text.replace(kind, kind + keys)
    design.write_text(text, encoding="utf-8")
    return load_boat(folder)


def crossed(boat: Boat, x: float) -> set[str]:
    """The timbers for which a piece across the boat would be notched there."""
    return {notch.timber for notch in notches_in(boat, cut_hull(boat.hull, station_plane(x)))}


@pytest.mark.slow
def test_a_timber_is_as_long_as_its_line_between_its_ends(tmp_path: Path) -> None:
    """On planes every timber is straight: between two planes square to x its corners run to these exactly."""
    boat = boat_with(
        tmp_path,
        (LOG, 'from = "900 mm"\nto = "2000 mm"\n'),
        (CLAMP, 'from = "station 2"\n'),
        (KEEL, 'to = "frame B"\n'),
    )
    runs = {run.name: run for run in boat.runs}
    log, clamp, keel = runs["chine log"], runs["clamp"], runs["keel"]
    assert np.allclose(log.corners[0][:, 0], 2000.0)
    assert np.allclose(log.corners[-1][:, 0], 900.0)
    # Its length is from the longest corner at one end to that at the other: more by what the cut slants.
    along = log.rails[-1, 1] - log.rails[0, 1]
    along = along / np.linalg.norm(along)
    slant = np.ptp(log.corners[0] @ along)
    assert log.length == pytest.approx(1100.0 / abs(along[0]) + slant, abs=0.01)
    assert np.allclose(clamp.corners[-1][:, 0], 1200.0)
    assert clamp.ends[0].lands is not None  # its after end is on the transom, as ever
    _, other, _ = boat.frame_faces(next(frame for frame in boat.design.frames if frame.name == "B"))
    assert np.allclose(other.height_over(keel.corners[0]), 0.0, atol=1e-6)  # it passes through the frame


@pytest.mark.slow
def test_only_what_a_timber_passes_is_notched_for_it(tmp_path: Path) -> None:
    boat = boat_with(tmp_path, (LOG, 'from = "900 mm"\nto = "2000 mm"\n'))
    assert [("chine log" in crossed(boat, x)) for x in (880.0, 920.0, 1980.0, 2020.0)] == [
        False,
        True,
        True,
        False,
    ]
    assert "keel" in crossed(boat, 2020.0)


@pytest.mark.parametrize(
    ("kind", "keys"),
    [
        (LOG, 'from = "10 mm"\n'),  # ahead of the stem
        (CLAMP, 'to = "5000 mm"\n'),  # abaft the transom
        (KEEL, 'from = "300 mm"\n'),  # where the stem is
        (LOG, 'from = "2000 mm"\nto = "900 mm"\n'),  # the wrong way round
    ],
)
def test_ends_that_a_timber_cannot_have_are_refused(tmp_path: Path, kind: str, keys: str) -> None:
    boat = boat_with(tmp_path, (kind, keys))
    with pytest.raises(TimberError):
        assert boat.runs


def test_the_frame_of_an_end_must_be_there(tmp_path: Path) -> None:
    with pytest.raises(DesignError):
        boat_with(tmp_path, (CLAMP, 'to = "frame X"\n'))


@pytest.mark.slow
def test_a_keel_tapers_straight_to_its_ends(tmp_path: Path) -> None:
    """Its half breadth in a section is on the straight line from taper to end; between the tapers it is whole."""
    tapers = 'sided_fore = "40 mm"\ntaper_fore = "1200 mm"\nsided_aft = "60 mm"\ntaper_aft = "station 5"\n'
    boat = boat_with(tmp_path, (KEEL, tapers))
    [keel] = [run for run in boat.runs if run.kind == "keel"]
    fore, aft = (float(keel.corners[end][1:3, 0].mean()) for end in (-1, 0))
    closed = np.array([[fore, 40.0], [1200.0, 90.0], [3000.0, 90.0], [aft, 60.0]])
    for x in (700.0, 1000.0, 2000.0, 3300.0, 3600.0):
        [notch] = [
            n for n in notches_in(boat, cut_hull(boat.hull, station_plane(x))) if n.timber == keel.name
        ]
        assert notch.wood[:, 0].max() == pytest.approx(0.5 * np.interp(x, *closed.T), abs=0.1)
    facts = [fact for fact in timber_piece(boat, keel.name).facts if fact.kind == "tapers"]
    assert [fact.values["breadth"] for fact in facts] == pytest.approx([60.0, 40.0], abs=1.0)
    begins = np.array([fact.values["from"] for fact in facts], dtype=float)
    assert np.diff(begins) == pytest.approx(1800.0 * np.hypot(1.0, 0.010), abs=0.5)


@pytest.mark.parametrize(
    ("keys", "code"),
    [
        ('sided_fore = "50 mm"\n', "needed-key"),
        ('taper_aft = "3000 mm"\n', "needed-key"),
        ('sided_fore = "95 mm"\ntaper_fore = "1200 mm"\n', "out-of-range"),
    ],
)
def test_half_a_taper_is_refused(tmp_path: Path, keys: str, code: str) -> None:
    with pytest.raises(DesignError) as caught:
        boat_with(tmp_path, (KEEL, keys))
    assert [problem.code for problem in caught.value.problems] == [code]


def test_tapers_that_cross_are_refused(tmp_path: Path) -> None:
    tapers = 'sided_fore = "50 mm"\ntaper_fore = "3000 mm"\nsided_aft = "60 mm"\ntaper_aft = "1200 mm"\n'
    boat = boat_with(tmp_path, (KEEL, tapers))
    with pytest.raises(TimberError):
        assert boat.runs
