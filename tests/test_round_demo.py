"""The round-bilge demo: it is made whole, and its pieces stand where its table says."""

from __future__ import annotations

import numpy as np
import pytest

from patterns.assembly.proof import assembled
from patterns.boat import Boat
from patterns.fairing.bands import too_wide
from patterns.hull.planes import station_plane
from patterns.pattern import Kind
from patterns.shop.lines_drawing import lines_drawing
from patterns.shop.round_lines import level_runs
from patterns.table.levels import levels_of
from tests.demo import demo_boat, round_demo, round_demo_patterns


@pytest.fixture(scope="module")
def boat() -> Boat:
    return round_demo()


@pytest.mark.slow
def test_it_is_made_whole_without_a_doubt(boat: Boat) -> None:
    # Between its rows near the bow the surface is known to a few millimetres only, but in no span to so little that
    # one more offset is asked for.
    assert not boat.warnings
    assert not any(too_wide(band) for band in boat.lines.bands)
    assert not boat.lines.suspects
    names = [pattern.name for pattern in round_demo_patterns()]
    assert [name for name in names if name.startswith("mould")] == [f"mould {i}" for i in range(2, 12)]
    assert {"frame thwart", "transom panel", "inner stem", "outer stem", "transom knee", "breasthook"} < {
        *names
    }


@pytest.mark.slow
def test_no_offset_moves_farther_than_is_allowed(boat: Boat) -> None:
    rows = [row for row in boat.lines.rows if row.line not in ("keel", "sheer")]
    assert len(rows) == sum(np.isfinite(v.values).sum() for v in levels_of(boat.offsets, boat.design))
    assert max(abs(row.move) for row in rows) <= boat.design.fairing.allow


@pytest.mark.slow
def test_every_mould_is_as_broad_as_the_table_says_less_the_planking(boat: Boat) -> None:
    """At the waterlines: by the half-breadth as faired less the planking over the sine of both slopes."""
    heights = {level.name: float(level.start[1]) for level in levels_of(boat.offsets, boat.design)}
    moulds = {p.name: p for p in round_demo_patterns() if p.member == "mould"}
    for label in ("3", "6", "9"):
        saw = np.vstack([line.points for line in moulds[f"mould {label}"].of_kind(Kind.SAW)])
        for row in boat.lines.rows:
            if row.label != label or row.view != "half-breadth" or row.line not in ("WL 3", "WL 4", "WL 5"):
                continue
            z = heights[row.line]
            trace = boat.hull.strakes[0].across(station_plane(row.x), inset=0.0)
            assert trace is not None
            i = int(np.abs(trace.uv[:, 1] - z).argmin())
            want = row.faired - 8.0 / trace.normal[i, 1]
            outer = saw[(np.abs(saw[:, 1] - z) < 15.0) & (saw[:, 0] > 0.5 * row.faired)]
            outer = outer[np.argsort(outer[:, 1])]
            edge = outer[outer[:, 0] > want - 30.0]
            assert np.interp(z, edge[:, 1], edge[:, 0]) == pytest.approx(want, abs=0.6)


@pytest.mark.slow
def test_its_pieces_fit_together(boat: Boat) -> None:
    """Piece against piece and against the inside of planking; only the keel's flat back may stand off a little."""
    found = assembled(boat, round_demo_patterns(), step=10.0)
    assert len(found.contacts) > 8
    assert {fault.what for fault in found.faults} <= {"plane to planking"}
    assert all(fault.size < 0.5 for fault in found.faults)


@pytest.mark.slow
def test_the_lines_to_sight_along_show_every_row(boat: Boat) -> None:
    runs = level_runs(boat)
    assert len(runs) == len(levels_of(boat.offsets, boat.design))
    words = {note.text for note in lines_drawing(boat).notes}
    assert {"WL 1", "B 1"} < words


@pytest.mark.slow
def test_it_is_not_read_with_the_boat_in_the_folder_above() -> None:
    above = demo_boat()
    assert above.design.boat.name != "Quarter To Nine"
    assert not set(above.offsets.lines) & {"WL 1", "B 1"}
