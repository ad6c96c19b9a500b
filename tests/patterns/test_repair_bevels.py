"""Bevels as readings: faired, known where they were read, doubted where one disagrees with all the others."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from patterns.errors import Problem
from patterns.repair.measuring.bevels import BevelReading, ReadBy, fitted_bevels
from patterns.repair.repair import Repair, load_repair
from patterns.repair.subject import RepairSubject
from tests.patterns.folders import codes_of, says
from tests.patterns.repair_boats import by_board, by_half_breadth, by_plumb, rows, to_mm, write_repair

NEIGHBOURS = (
    '[[neighbour]]\nname = "3"\nstands = "{fore}"\nspacing = "400 mm"\npoints = "three.csv"\n'
    '[[neighbour]]\nname = "5"\nstands = "{aft}"\nspacing = "400 mm"\npoints = "five.csv"\n'
)


def _angle(edge: str, share: float) -> float:
    """A hull that gets fuller through the old wood at its side, by 6 to 9 degrees, and finer at its bottom."""
    return 96.0 + 3.0 * share if edge == "side" else 85.0 + 2.0 * share


def _readings(
    change: dict[tuple[str, str, int], float], *, turned: tuple[str, str] | None = None
) -> list[BevelReading]:
    """Four readings of each stretch to half a degree, some changed by degrees; one stretch read reversed."""
    found = []
    for side in ("port", "starboard"):
        for edge in ("bottom", "side"):
            for i, share in enumerate((0.1, 0.4, 0.6, 0.9)):
                read = round(2.0 * (_angle(edge, share) - 90.0)) / 2.0 + change.get((side, edge, i), 0.0)
                read = -read if turned == (side, edge) else read
                found.append(
                    BevelReading(
                        side="port" if side == "port" else "starboard",
                        stretch=edge,
                        share=share,
                        length=500.0,
                        degrees=read,
                        means=ReadBy.GAUGE,
                        point=f"{edge}{i}",
                    )
                )
    return found


def test_sound_readings_are_not_doubted_and_are_faired_between_and_beyond() -> None:
    fit = fitted_bevels(_readings({}))
    assert not fit.found
    for edge in ("bottom", "side"):
        shares = np.linspace(0.0, 1.0, 11)
        degrees, unsure = fit.at("port", edge, shares, 500.0)
        assert degrees + 90.0 == pytest.approx([_angle(edge, float(share)) for share in shares], abs=0.5)
        assert unsure.max() < 1.0


@pytest.mark.parametrize("size", [6.0, -6.0, 10.0])
def test_a_slip_of_the_gauge_is_found_and_left_out(size: float) -> None:
    fit = fitted_bevels(_readings({("port", "side", 1): size}))
    ((best, *_),) = fit.found
    assert [fit.readings[i].point for i in best.readings] == ["side1"]
    assert best.size == pytest.approx(size, abs=1.5)
    degrees, _ = fit.at("port", "side", np.array([0.4]), 500.0)
    assert degrees[0] + 90.0 == pytest.approx(_angle("side", 0.4), abs=0.7)


def test_a_stretch_that_was_read_the_other_way_round_is_found_by_the_other_side() -> None:
    fit = fitted_bevels(_readings({}, turned=("port", "side")))
    (faults,) = fit.found
    chosen = {(fault.scope, fit.readings[fault.readings[0]].side, fault.size is None) for fault in faults}
    assert ("stretch", "port", True) in chosen


def _written(
    folder: Path, *, fore: str = "forward", aft: str = "aft", gauge: bool = True, looking: str = "forward"
) -> Repair:
    from tests.patterns.repair_boats import bevel

    def words(edge: str, share: float) -> str:
        if not gauge or not 0.2 < share < 0.8:
            return ""
        return f"{round(2.0 * np.degrees(bevel(edge, share, aft=-1.0))) / 2.0} deg"

    write_repair(
        folder,
        rows(by_half_breadth, say=to_mm, gauge=words),
        NEIGHBOURS.format(fore=fore, aft=aft),
        spec=f'looking = "{looking}"',
        notation="mm",
    )
    (folder / "three.csv").write_text(rows(by_plumb, say=to_mm, x=-400.0), encoding="utf-8")
    (folder / "five.csv").write_text(rows(by_board, say=to_mm, x=400.0), encoding="utf-8")
    return load_repair(folder)


def _about_bevels(repair: Repair) -> list[Problem]:
    return [one for one in repair.warnings if "bevel" in one.code]


@pytest.mark.slow
def test_gauge_and_neighbours_that_agree_prove_the_sense(tmp_path: Path) -> None:
    assert not _about_bevels(_written(tmp_path))


@pytest.mark.slow
@pytest.mark.parametrize(
    "wrong",
    [{"fore": "aft", "aft": "forward"}, {"looking": "aft"}],
    ids=["exchanged neighbours", "wrong looking"],
)
def test_exchanged_neighbours_and_a_wrong_looking_are_found_by_the_gauge(
    tmp_path: Path, wrong: dict[str, str]
) -> None:
    found = _about_bevels(_written(tmp_path, **wrong))  # type: ignore[arg-type]
    assert "bevels-reversed" in codes_of(found)
    assert any(says(one, "neighbouring frames are exchanged") for one in found)


@pytest.mark.slow
def test_without_a_gauge_the_sense_is_asked_and_can_be_confirmed(tmp_path: Path) -> None:
    """Exchanged neighbours turn every bevel: nothing shows it but the builder's eye, so the question is put."""
    right, wrong = (
        _about_bevels(_written(tmp_path / name, gauge=False, **stands))
        for name, stands in (("a", {}), ("b", {"fore": "aft", "aft": "forward"}))
    )
    assert codes_of(right) == codes_of(wrong) == ["bevel-sense"]
    assert right[0].what != wrong[0].what
    design = tmp_path / "a" / "design.toml"
    text = design.read_text(encoding="utf-8").replace("[boat]\n", '[boat]\nconfirmed = ["bevel-sense"]\n')
    design.write_text(text, encoding="utf-8")
    assert not _about_bevels(load_repair(tmp_path / "a"))


@pytest.mark.slow
def test_only_the_stretch_without_a_bevel_is_left_blank(tmp_path: Path) -> None:
    gauge = rows(by_half_breadth, gauge=lambda edge, share: "86 deg" if edge == "side" else "")
    repair = load_repair(write_repair(tmp_path, gauge))
    bottom, side = repair.edges_of["port"].stretches
    assert not np.isfinite(bottom.slope).any()
    assert np.degrees(side.bevel(0.0, 1.0)) == pytest.approx(86.0, abs=0.2)
    [frame] = [one for one in RepairSubject(repair).patterns() if one.name == "frame 4"]
    strakes = {edge.strake for edge in frame.edges}
    assert any("side" in strake for strake in strakes)
    assert not any("bottom" in strake for strake in strakes)
    assert codes_of(one for one in repair.warnings if one.code == "bevel-unknown") == ["bevel-unknown"] * 2
