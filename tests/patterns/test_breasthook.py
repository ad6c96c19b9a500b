"""The breasthook on a crowned deck: against the clamps as laid, the stem, the deck's own circle."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import shapely

from patterns.boat import Boat, load_boat
from patterns.errors import DesignError
from patterns.hull.deck_heights import underside_heights
from patterns.hull.planes import FloatArray
from patterns.joinery.stem_lands import after_face
from patterns.members import all_patterns
from patterns.pattern import Kind, Pattern
from tests.patterns.plane_boat import SIDE_T, side_over
from tests.patterns.test_deck import crowned_boat, deck_over

TOP = 'throat = "170 mm"'  # the breasthook's, in the boat of planes


def made(
    folder: Path, *, keys: str = "", sided: str = "", sheer_to: str = ""
) -> tuple[Boat, dict[str, Pattern]]:
    crowned_boat(folder, more="", sheer_to=sheer_to)
    text = (folder / "design.toml").read_text(encoding="utf-8")
    text = text.replace(TOP, f"{TOP}\n{keys}")
    if sided or "notched" in keys:  # deep and narrow enough that there is room beside the stem
        text = text.replace(
            'sided = "60 mm"\nmoulded = "90 mm"', f'sided = "{sided or "40 mm"}"\nmoulded = "150 mm"'
        )
    (folder / "design.toml").write_text(text, encoding="utf-8")
    boat = load_boat(folder)
    return boat, {p.name: p for p in all_patterns(boat) if p.member == "breasthook"}


def widest(boat: Boat) -> float:
    return float(boat.hull.deck.sheer.at(np.array(boat.hull.deck.sheer.end))[1])


def corners(pattern: Pattern) -> tuple[FloatArray, FloatArray]:
    """Both faces' outlines in the boat."""
    body = pattern.body
    assert body is not None
    found = []
    for plane, area in ((body.plane, body.moulded), (body.plane.moved(body.depth), body.other)):
        assert isinstance(area, shapely.Polygon)
        found.append(plane.space(np.asarray(area.exterior.coords)))
    return found[0], found[1]


@pytest.mark.slow
@pytest.mark.parametrize("keys", ["", 'top = "crowned"', 'stem = "notched"', "each_lamination = true"])
def test_its_wood_lies_on_the_clamps_and_never_in_the_deck(tmp_path: Path, keys: str) -> None:
    boat, hooks = made(tmp_path, keys=keys)
    for hook in hooks.values():
        for points in corners(hook):
            to_side = side_over(points) + SIDE_T + 20.0
            starboard = points[:, 1] > 0.5 * boat.design.bow.sided + 1e-6  # type: ignore[union-attr]
            assert to_side[starboard].max() == pytest.approx(0.0, abs=0.01)
            assert deck_over(points, widest(boat)).max() < 0.02
        clamp = next(run for run in boat.runs if run.kind == "clamp")
        assert max(clamp.depth(points).max() for points in corners(hook)) < 0.02


@pytest.mark.slow
def test_a_flat_one_lies_as_high_as_the_deck_lets_it(tmp_path: Path) -> None:
    boat, hooks = made(tmp_path)
    over = deck_over(corners(hooks["breasthook"])[0], widest(boat))
    assert over.max() == pytest.approx(0.0, abs=0.02)


@pytest.mark.slow
def test_a_crowned_one_has_all_the_wood_that_is_planed_off_and_says_how_much(tmp_path: Path) -> None:
    """Every place of its top face as sawn stands on the deck's circle or over it by what its mark says."""
    boat, hooks = made(tmp_path, keys='top = "crowned"')
    hook = hooks["breasthook"]
    assert hook.plane is not None
    assert hook.body is not None
    up = abs(hook.plane.normal[2])
    line = np.vstack([line.points for line in hook.of_kind(Kind.FACE)]) * [
        1.0,
        -1.0,
    ]  # the plane's v runs aft
    over = deck_over(hook.plane.space(line), widest(boat)) * up
    assert over.min() == pytest.approx(0.0, abs=0.2)
    assert over.min() > -0.05
    marks = [mark for mark in hook.marks if mark.name.startswith("off ")]
    assert len(marks) >= 4
    for mark in marks:
        at = hook.plane.space(np.array(mark.at) * [1.0, -1.0])
        amount = float(deck_over(at[None], widest(boat))[0]) * up
        assert float(mark.name.split()[1]) == pytest.approx(amount, abs=0.06)
    # What is left under all planing is what it is said to be.
    most = max(float(mark.name.split()[1]) for mark in marks)
    fact = next(fact for fact in hook.facts if "planed to the deck's crown" in fact)
    assert float(fact.split("up to ")[1].split(" mm")[0]) == pytest.approx(most, abs=0.5)
    assert abs(hook.body.depth) == pytest.approx(
        36.0 - float(fact.split("up to ")[1].split(" mm")[0]), abs=0.06
    )


@pytest.mark.slow
def test_notched_it_runs_beside_the_stem_to_where_the_sides_close(tmp_path: Path) -> None:
    boat, hooks = made(tmp_path, keys='stem = "notched"')
    half = 0.5 * boat.design.bow.sided  # type: ignore[union-attr]
    after = after_face(boat.hull, boat.design.bow.foot, boat.design.bow.moulded)  # type: ignore[union-attr]
    for points in corners(hooks["breasthook"]):
        stem_side = points[np.abs(np.abs(points[:, 1]) - half) < 1e-6]
        x = np.interp(stem_side[:, 2], after[::-1, 1], after[::-1, 0])
        assert (stem_side[:, 0] < x + 0.05).all()  # beside the stem, not abaft it
        assert (stem_side[:, 0] < x - 5.0).any()
        tip = stem_side[stem_side[:, 0].argmin()]
        assert side_over(tip[None] * [1.0, np.sign(tip[1]), 1.0])[0] + SIDE_T + 20.0 == pytest.approx(
            0.0, abs=0.01
        )
        within = np.abs(points[:, 1]) < half - 1e-6
        gap = points[within, 0] - np.interp(points[within, 2], after[::-1, 1], after[::-1, 0])
        assert gap.min() > -0.05  # nothing of it in the stem


@pytest.mark.slow
def test_each_lamination_is_a_section_at_its_own_height(tmp_path: Path) -> None:
    """Its toe is as asked on its own narrower face, so the upper one is narrower than in one stack."""
    _, one = made(tmp_path / "one")
    _, each = made(tmp_path / "each", keys="each_lamination = true")
    assert list(each) == ["breasthook lamination 1", "breasthook lamination 2"]
    whole = one["breasthook"].body
    upper, lower = (each[name].body for name in each)
    assert whole is not None
    assert upper is not None
    assert lower is not None
    assert [abs(upper.depth), abs(lower.depth)] == pytest.approx([18.0, 18.0])
    # They fill the stack's faces: the first one's top is the stack's, the last one's underside too.
    assert lower.plane.height_over(upper.plane.origin) == pytest.approx(
        -18.0 * np.sign(upper.depth), abs=1e-9
    )
    for a, b in ((whole.moulded, upper.moulded), (whole.other, lower.other)):
        assert a.bounds[2] == pytest.approx(b.bounds[2], abs=1e-6)
    toes = [hook.facts[4] for hook in (one["breasthook"], *each.values())]
    assert all("30 mm on the other" in fact for fact in toes)
    first = [float(fact.split()[1]) for fact in toes]
    assert first[1] < first[0]


@pytest.mark.slow
def test_a_stem_that_fills_the_room_has_nothing_to_notch(tmp_path: Path) -> None:
    with pytest.raises(DesignError, match="nothing to notch it round"):
        made(tmp_path, keys='stem = "notched"', sided="180 mm")


@pytest.mark.slow
def test_the_deck_s_height_over_a_place_is_that_of_its_section(tmp_path: Path) -> None:
    """A deck given to its top: the underside's height by foot points, against its cut by a station's plane."""
    from patterns.hull.planes import station_plane

    boat, _ = made(tmp_path, sheer_to="top of deck")
    for x in (700.0, 2000.0, 3600.0):
        trace = boat.hull.deck_underside(station_plane(x))
        assert trace is not None
        y = np.linspace(0.0, 0.95 * trace.uv[-1, 0], 9)
        places = np.stack([np.full_like(y, x), y], axis=-1)
        assert underside_heights(boat.hull, places) == pytest.approx(np.interp(y, *trace.uv.T), abs=0.01)
