"""Blame falls on the wrong offset, with the slip that was made, and on no good one."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from patterns.errors import DesignError
from patterns.fairing.blame import Hint, blamed
from patterns.fairing.lines import fair_lines
from patterns.fairing.slips import usual_slips
from patterns.hull.planes import FloatArray
from patterns.measure import Notation
from tests.bench.exact_boats import EIGHTH, design_for, exact_boat, table_of
from tests.bench.line_families import ROUNDINGS
from tests.bench.line_slips_bench import on_lines

EIGHTHS = Notation.FEET_INCHES_EIGHTHS


def sheer_height(count: int = 9) -> tuple[FloatArray, FloatArray]:
    """A sheer that sweeps up at both ends, to whole eighths; closed form."""
    x = np.linspace(0.0, 4200.0, count)
    u = x / 4200.0
    y = 560.0 + 250.0 * (1.0 - u) ** 2.6 + 70.0 * u**2.2
    return x, np.round(y / EIGHTH) * EIGHTH


@pytest.mark.slow
@pytest.mark.parametrize("place", range(9))
@pytest.mark.parametrize("slip", [25.4, -25.4])
def test_an_inch_is_blamed_on_its_cell_and_named(place: int, slip: float) -> None:
    """At the ends as well: this line is well sampled."""
    x, y = sheer_height()
    good = y[place]
    y[place] += slip
    found = blamed(x, y, tolerance=EIGHTH / 2, notation=EIGHTHS)
    assert [blame.index for blame in found] == [place]
    first = [slip.meant for slip in found[0].slips[: 1 if 0 < place < 8 else 3]]
    assert any(meant == pytest.approx(good) for meant in first)
    assert found[0].odds > 0.0
    assert abs(found[0].wanted - good) < 4.0 * found[0].unsure


def test_a_good_line_is_not_blamed() -> None:
    for count in (7, 8, 9, 11, 13):
        x, y = sheer_height(count)
        assert blamed(x, y, tolerance=EIGHTH / 2, notation=EIGHTHS) == ()


def test_two_slips_are_both_blamed() -> None:
    x, y = sheer_height(13)
    good = y.copy()
    y[3] += 25.4
    y[9] -= 304.8
    found = blamed(x, y, tolerance=EIGHTH / 2, notation=EIGHTHS)
    assert {blame.index for blame in found} == {3, 9}
    for blame in found:
        assert blame.slips[0].meant == pytest.approx(good[blame.index])


def test_where_two_offsets_explain_it_equally_both_are_named() -> None:
    """Six offsets leave two to spare; an odd value at the last but one may well be the last's."""
    x = np.array([194.0, 630.0, 1130.0, 1635.0, 2135.0, 2311.0])
    y = np.array([12.5, 221.0, 375.0, 418.0, 324.0, 362.0])  # the last but one is 60 mm too little
    found = blamed(x, y, tolerance=0.5, notation=Notation.MM)
    assert found
    assert found[0].instead is not None
    assert {found[0].index, found[0].instead.index} == {4, 5}


def test_one_of_two_is_doubted_where_neither_alone_is_likelier_wrong_than_right() -> None:
    """A sheer's half-breadth at the stern that is 27 mm too much, abaft a last station that may be it instead."""
    x = np.array([190.0, 400.0, 837.0, 1275.0, 1712.0, 2149.0, 2586.0, 3024.0, 3461.0, 3999.0])
    y = np.array([18.0, 147.0, 368.0, 526.0, 626.0, 678.0, 692.0, 680.0, 650.0, 602.0])
    assert blamed(x, y, tolerance=0.5, notation=Notation.MM) == ()
    y[9] += 27.0
    (found,) = blamed(x, y, tolerance=0.5, notation=Notation.MM)
    assert found.instead is not None
    assert {found.index, found.instead.index} == {8, 9}
    assert max(found.odds, found.instead.odds) < 0.0


def test_a_hint_finds_what_the_line_itself_cannot() -> None:
    """Six whole inches at the end of a short line that bends hard: only the transom knows."""
    x, y = sheer_height(7)
    u = x / 4200.0
    y = np.round((560.0 + 500.0 * (1.0 - u) ** 7) / EIGHTH) * EIGHTH
    good = float(y[0])
    y[0] += 25.4
    alone = blamed(x, y, tolerance=EIGHTH / 2, notation=EIGHTHS)
    hinted = blamed(
        x, y, tolerance=EIGHTH / 2, notation=EIGHTHS, hints=[Hint(index=0, value=good + 1.0, unsure=2.0)]
    )
    assert alone == ()
    assert [blame.index for blame in hinted] == [0]
    assert hinted[0].slips[0].meant == pytest.approx(good)


def test_a_hint_that_is_itself_wrong_harms_no_offset() -> None:
    x, y = sheer_height()
    for off in (-300.0, 40.0, 1000.0):
        hints = [Hint(index=8, value=float(y[8]) + off, unsure=2.0)]
        assert blamed(x, y, tolerance=EIGHTH / 2, notation=EIGHTHS, hints=hints) == ()


def test_a_value_that_got_in_from_another_cell_is_named_so() -> None:
    x, y = sheer_height()
    good = float(y[5])
    y[5] = 731.0
    found = blamed(
        x, y, tolerance=EIGHTH / 2, notation=EIGHTHS,
        elsewhere=lambda i: {"from the next row": good} if i == 5 else {},
    )  # fmt: skip
    assert [blame.index for blame in found] == [5]
    assert found[0].slips[0].words == "from the next row"


def test_what_no_usual_slip_explains_has_no_name() -> None:
    x, y = sheer_height(13)
    good = float(y[6])
    y[6] = next(
        typed for typed in good + np.arange(40.0, 90.0)
        if all(abs(slip.meant - good) > 6.0 for slip in usual_slips(float(typed), EIGHTHS))
    )  # fmt: skip
    found = blamed(x, y, tolerance=EIGHTH / 2, notation=EIGHTHS)
    assert [blame.index for blame in found] == [6]
    assert found[0].slips == ()


@pytest.mark.slow
@pytest.mark.parametrize("way", ROUNDINGS[2:3], ids=lambda way: way.name)
def test_slips_of_an_inch_and_more_are_found_as_often_as_promised(way: object) -> None:
    """A part of the bench, by the lines' own run alone: the goals less what 60 lines leave to chance."""
    tally = on_lines(way, 22, 41)  # type: ignore[arg-type]
    assert sum(tally.good) <= 2
    for place, goal in (("inner", (0.98, 0.95)), ("stern", (0.95, 0.90))):
        rows = np.array([row[:2] for (at, _), found in tally.rows.items() for row in found if at == place])
        assert len(rows) > 50
        for rate, least in zip(rows.mean(axis=0), goal, strict=True):
            assert rate >= least - 2.0 * np.sqrt(least * (1.0 - least) / len(rows))


@pytest.mark.slow
@pytest.mark.parametrize(
    ("line", "axis", "label"),
    [("chine", "z", "bow"), ("sheer", "z", "stern"), ("sheer", "y", "bow"), ("chine", "y", "stern")],
)
def test_an_inch_at_either_end_of_a_whole_table_is_blamed_on_its_cell(
    line: str, axis: str, label: str
) -> None:
    """Stem and transom have their say: the table may be refused as well, but the cell is named."""
    right = 0
    for seed in range(4):
        boat = exact_boat(np.random.default_rng(70 + seed))
        table = table_of(boat, count=8)
        row = table.lines[line]
        i = row.column(label)
        values = getattr(row, axis).copy()
        values[i] += 25.4
        wrong = replace(table, lines={**table.lines, line: replace(row, **{axis: values})})
        place = str(getattr(row, f"{axis}_places")[i])
        try:
            suspects = fair_lines(wrong, design_for(boat, allow=EIGHTH / 2)).suspects
            named = [str(suspect.place) for suspect in suspects][:1]
        except DesignError as error:
            named = [p.place for p in error.problems if p.code == "suspect-offset"][:1]
        right += named == [place]
    assert right >= 3
