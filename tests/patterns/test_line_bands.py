"""Bands hold the true line as often as they state, and are spoken of where the rounding does not explain them."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from patterns.fairing.bands import MORE, MOST, TIMES, SpanBand, worst_of
from patterns.fairing.line_bands import band_warnings, straight_bands
from patterns.fairing.lines import fair_lines
from patterns.measure import Notation
from patterns.table.folder import read_folder
from tests.bench.bands_bench import measured
from tests.bench.exact_boats import EIGHTH, design_for, exact_boat, table_of
from tests.bench.line_families import ROUNDINGS, Rounded
from tests.patterns.analytic_boats import ROUNDINGS as WAYS
from tests.patterns.round_boats import FORMS, round_boat, write_round_table


@pytest.mark.slow
@pytest.mark.parametrize("way", ROUNDINGS[::2], ids=lambda way: way.name)
def test_the_true_line_lies_within_its_band(way: Rounded) -> None:
    """22 boats of all families; the bench has 220.  The goal is 95 %, less two standard deviations of chance."""
    rows = np.array([row[:2] for family in measured(way, 22, 31).values() for row in family])
    assert len(rows) > 600
    assert np.mean(rows[:, 0] <= rows[:, 1]) >= 0.95 - 2.0 * np.sqrt(0.95 * 0.05 / len(rows))
    if way.allow:
        assert np.median(rows[:, 1] / np.maximum(rows[:, 0], 1e-3)) < 3.5  # and not needlessly wide


def a_band(half: float, first: str = "1", last: str = "2", rounding: float = 0.5) -> SpanBand:
    return SpanBand(
        line="chine", view="half-breadth", first=first, last=last, half_width=half, rounding=rounding, x=643.0
    )  # fmt: skip


def test_a_span_is_warned_of_beyond_what_the_rounding_explains() -> None:
    limit = TIMES * 0.5 + MORE
    assert band_warnings([a_band(limit - 0.01)], Notation.MM) == []
    (warning,) = band_warnings([a_band(limit + 0.01)], Notation.MM)
    assert warning.code == "line-band"
    assert "640 mm" in warning.want
    assert "3.6 mm" in warning.what


def test_the_place_is_in_the_tables_notation() -> None:
    (warning,) = band_warnings([a_band(9.0)], Notation.FEET_INCHES_EIGHTHS)
    assert "2-1-0" in warning.want  # 25 in are 635 mm
    assert "3/8 in" in warning.what  # 9 mm is 5.67 sixteenths


def test_of_neighbouring_wide_spans_the_worst_is_warned_of() -> None:
    bands = [a_band(3.0, "bow", "1"), a_band(6.0), a_band(4.0, "2", "3"), a_band(0.5, "3", "4"),
             a_band(5.0, "4", "stern")]  # fmt: skip
    found = band_warnings(bands, Notation.MM)
    assert len(found) == 2
    assert "station 1 and station 2" in found[0].what
    assert "station 4 and the stern" in found[1].what


def test_no_more_than_a_few_spans_of_a_line_are_named_the_worst_of_them() -> None:
    widths = [9.0, 0.5, 5.0, 0.5, 7.0, 0.5, 8.0, 0.5, 6.0]
    bands = [a_band(half) for half in widths]
    assert worst_of(bands, lambda i, other: abs(i - other) == 1) == [0, 6, 4]
    assert len(band_warnings(bands, Notation.MM)) == MOST
    assert worst_of(bands, lambda i, other: True) == [0]


def test_what_the_rounding_explains_means_the_same_for_every_line(tmp_path: Path) -> None:
    """A round bilge in sixteenths: the keel, the sheer and the rows between have one rounding, half a step."""
    sixteenths = next(way for way in WAYS if way.name == "1/16 in")
    write_round_table(
        round_boat(5, next(iter(FORMS))), tmp_path, sixteenths, np.random.default_rng(5), stations=10
    )
    design, offsets, _ = read_folder(tmp_path)
    bands = fair_lines(offsets, design).bands
    assert {"keel", "sheer"} < {band.line for band in bands}
    assert [band.rounding for band in bands] == pytest.approx([EIGHTH / 4] * len(bands), rel=1e-6)


def test_a_straight_line_is_known_as_its_offsets_are() -> None:
    (one, two) = straight_bands(
        np.array([0.0, 1000.0, 1800.0]),
        line="keel",
        view="height",
        labels=["bow", "1", "stern"],
        rounding=0.8,
    )
    assert (one.half_width, two.half_width) == (0.8, 0.8)
    assert (two.first, two.last, two.x) == ("1", "stern", 1400.0)


@pytest.mark.slow
def test_every_span_of_every_line_has_a_band_in_both_views() -> None:
    boat = exact_boat(np.random.default_rng(3))
    table = table_of(boat, count=9)
    lines = fair_lines(table, design_for(boat, allow=EIGHTH / 2))
    for name in ("chine", "sheer"):
        row = table.lines[name]
        for view, values in (("height", row.z), ("half-breadth", row.y)):
            bands = [band for band in lines.bands if (band.line, band.view) == (name, view)]
            filled = [row.labels[i] for i in np.nonzero(np.isfinite(values))[0]]
            assert [band.first for band in bands] == filled[:-1]
            assert [band.last for band in bands] == filled[1:]
            assert all(0.3 < band.half_width < 6.0 for band in bands)
    assert not [warning for warning in lines.warnings if warning.code == "line-band"]


@pytest.mark.slow
def test_a_station_left_out_where_a_line_bends_is_asked_for() -> None:
    boat = exact_boat(np.random.default_rng(3))
    table = table_of(boat, count=9, step=1.0, notation=Notation.MM)
    row = table.lines["sheer"]
    y = row.y.copy()
    y[1:4] = np.nan
    thin = replace(table, lines={**table.lines, "sheer": replace(row, y=y)})
    lines = fair_lines(thin, design_for(boat, allow=0.5))
    found = [warning for warning in lines.warnings if warning.code == "line-band"]
    assert len(found) == 1
    assert found[0].place == str(row.y_places[0])
    (band,) = [b for b in lines.bands if (b.line, b.view, b.first) == ("sheer", "half-breadth", "bow")]
    assert band.last == row.labels[4]
    at = np.linspace(boat.lines[-1].x_fore + 1.0, float(row.x[4]), 50)
    sheer = lines.lines[-1]
    error = np.abs(sheer.at(sheer.t_at_x(at))[:, 1] - boat.lines[-1].y(at)).max()
    assert error <= band.half_width
