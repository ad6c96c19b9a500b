"""What is wrong with a repair's files is told all at once, each with its place and what would be right."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from patterns.cli import main
from patterns.errors import DesignError
from patterns.repair.repair import load_repair
from tests.patterns.folders import codes_of, places_of, says
from tests.patterns.repair_boats import by_half_breadth, rows, write_repair

BAD = """side,edge,point,method,from,a,b,c,lies,corner,bevel
port,bottom,1,half-breadth,,0-1-0,0-2-3,,,,
larboard,bottom,2,half-breadth,,0-5-0,0-3-0,,,,
port,,3,half-breadth,,0-9-0,0-4-0,,,,
port,bottom,4,tape,,1-1-0,0-5-0,,,,
port,bottom,5,nails,PA PX,0-9-4,1-6-2,,outboard,,
port,bottom,6,nails,PA PB,0-9-4,1-6-2,,,,
port,bottom,7,nails,PA,0-9-4,,,,,
port,side,8,ordinate,plum,1-2-0,0-7-9,,,,
port,side,9,ordinate,plumb,1-2-0,,,,,
port,side,10,half-breadth,,2-7-2003,1-0-0,,,,
port,side,11,half-breadth,PA,1-9-0,1-0-0,0-1-0,,,
port,side,12,half-breadth,,1-9-0,1-4-0,,sideways,,78
port,side,13,half-breadth,,1-9-0,1-8-0,,,,20 deg
"""
TOLD = [
    ("points.csv, row 3, column A (side)", "invalid-choice"),
    ("points.csv, row 4, column B (edge)", "point-without-name"),
    ("points.csv, row 5, column D (method)", "invalid-choice"),
    ("points.csv, row 6, column E (from)", "unknown-name"),
    ("points.csv, row 7, column I (lies)", "side-of-nails-missing"),
    ("points.csv, row 8, column E (from)", "nails-count"),
    ("points.csv, row 9, column E (from)", "unknown-name"),
    ("points.csv, row 9, column G (b)", "length-unreadable"),
    ("points.csv, row 10, column G (b)", "value-missing"),
    ("points.csv, row 11, column F (a)", "cell-is-date"),
    ("points.csv, row 12, column E (from)", "invalid-choice"),
    ("points.csv, row 12, column H (c)", "value-too-many"),
    ("points.csv, row 13, column I (lies)", "invalid-choice"),
    ("points.csv, row 13, column K (bevel)", "angle-unreadable"),
    ("points.csv, row 14, column K (bevel)", "bevel-impossible"),
]


@pytest.mark.slow
def test_every_slip_of_the_points_is_listed(tmp_path: Path) -> None:
    with pytest.raises(DesignError) as caught:
        load_repair(write_repair(tmp_path, BAD))
    assert sorted(places_of(caught.value)) == sorted(TOLD)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("side,edge,point,method,form,a,b\n", "column-missing"),
        ("side,edge,point,method,from,a,b\n", "no-points"),
        (
            "side,edge,point,method,from,a,b\nport,bottom,1,half-breadth,,0-1-0,0-2-0\n"
            "port,bottom,1,half-breadth,,0-6-0,0-3-0\n",
            "same-name",
        ),
        (
            "side,edge,point,method,from,a,b\nport,bottom,1,half-breadth,,0-1-0,0-2-0\n"
            "port,bottom,2,half-breadth,,0-6-0,0-3-0\nport,side,3,half-breadth,,0-8-0,0-9-0\n",
            "turn-without-corner",
        ),
        (
            "side,edge,point,method,from,a,b\nport,bottom,1,half-breadth,,0-1-0,0-2-0\n"
            "port,bottom,2,half-breadth,,0-9-0,0-3-0\nport,bottom,3,half-breadth,,0-4-0,0-2-4\n"
            "port,bottom,4,half-breadth,,1-4-0,0-5-0\n",
            "edge-folds-back",
        ),
        (
            f"side,edge,point,method,from,a,b\nport,bottom,{'x' * 25},half-breadth,,0-1-0,0-2-0\n",
            "bad-name",
        ),
        (
            "side,edge,point,method,from,a,b\nport,bottom,1\x07,half-breadth,,0-1-0,0-2-0\n",
            "control-character",
        ),
        (
            "side,edge,point,method,from,a,b,lies\nport,bottom,1,half-breadth,,0-1-0,0-2-0,\n"
            "port,bottom,2,nails,PA PB,0-2-0,0-3-0,outboard\nport,bottom,3,half-breadth,,1-4-0,0-5-0,\n",
            "distances-do-not-meet",
        ),
        (
            "side,edge,point,method,from,a,b,lies\nport,bottom,1,half-breadth,,0-1-0,0-2-0,\n"
            "port,bottom,2,nails,PA PB,0-9-0,0-9-0,up\nport,bottom,3,half-breadth,,1-4-0,0-5-0,\n",
            "side-undefined",
        ),
    ],
)
def test_what_the_points_cannot_be(tmp_path: Path, text: str, code: str) -> None:
    with pytest.raises(DesignError) as caught:
        load_repair(write_repair(tmp_path, text))
    assert code in codes_of(caught.value)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("more", "spec", "finding"),
    [
        ("", 'measured = "outside of planking"', ("key planking", "needed-key")),
        ("", 'sides = "mean"\ncentreline = "not known"', ("key sides", "centreline-unknown")),
        ('[[piece]]\nkind = "sister"\n', "", ("key against", "needed-key")),
        ('[[piece]]\nkind = "frame"\nside = "port"\nfrom_point = "3"\n', "", ("key scarf", "needed-key")),
        (
            '[[piece]]\nkind = "frame"\nside = "port"\nfrom_point = "3"\nscarf = "8:1"\n',
            "",
            ("key scarf_through", "needed-key"),
        ),
        (
            '[[piece]]\nkind = "frame"\nfrom_point = "3"\nscarf = "8:1"\nscarf_through = "siding"\n',
            "",
            ("key side", "needed-key"),
        ),
        (
            '[[piece]]\nkind = "frame"\nside = "port"\nfrom_point = "x"\nscarf = "8:1"\nscarf_through = "siding"\n',
            "",
            ("key from_point", "unknown-name"),
        ),
        (
            '[[piece]]\nkind = "frame"\nside = "port"\nfrom_point = "9"\nto_point = "3"\nscarf = "8:1"\n'
            'scarf_through = "siding"\n',
            "",
            ("key to_point", "part-points-order"),
        ),
        ('[[edge]]\nname = "bilge"\nstraight = true\n', "", ("", "unknown-name")),
        ('[[nail]]\nname = "PA"\nout = "0"\nup = "0"\n', "", ("", "same-name")),
        (
            '[[nail]]\nname = "Q"\nnails = "PA"\nlies = "up"\n',
            "",
            ("key nails", None),
        ),
        ('[[nail]]\nname = "Q"\nout = "1 in"\nup = "0"\n', "", ("", "needed-key")),
        ('[[nail]]\nname = "the post"\nout = "0"\nup = "0"\n', "", ("", "name-with-space")),
        (
            '[[straight_edge]]\nname = "L"\nout = "1 in"\nup = "0"\nruns = "up"\noff = "down"\n',
            "",
            ("", "side-undefined"),
        ),
        ('[table]\nfile = "offsets.csv"\n', "", ("design.toml", None)),
    ],
)
def test_what_the_design_cannot_be(
    tmp_path: Path, more: str, spec: str, finding: tuple[str, str | None]
) -> None:
    """A finding is the end of its place, and its code; none where the design's own reader gives it."""
    with pytest.raises(DesignError) as caught:
        load_repair(write_repair(tmp_path, rows(by_half_breadth), more, spec=spec))
    end, code = finding
    assert any(place.endswith(end) and code in (None, own) for place, own in places_of(caught.value))


@pytest.mark.slow
def test_rows_from_the_head_down_are_refused(tmp_path: Path) -> None:
    """The wood would lie outside of the planking."""
    lines = rows(by_half_breadth).splitlines()
    port = [line for line in lines if line.startswith("port,")]
    rest = [line for line in lines[1:] if not line.startswith("port,")]
    with pytest.raises(DesignError) as caught:
        load_repair(write_repair(tmp_path, "\n".join([lines[0], *port[::-1], *rest])))
    (problem,) = caught.value.problems
    assert problem.code == "points-order"
    assert problem.place.startswith("points.csv, row 2")
    assert says(problem, "port", "13", "1")


@pytest.mark.slow
def test_two_stretches_of_one_name_are_refused(tmp_path: Path) -> None:
    """Which of them a neighbour's edge or a table's line means could not be told."""
    points = rows(by_half_breadth).replace(",bottom,", ",planking,").replace(",side,", ",planking,")
    with pytest.raises(DesignError) as caught:
        load_repair(write_repair(tmp_path, points))
    assert ("points.csv, port", "same-name") in places_of(caught.value)


@pytest.mark.slow
def test_a_frame_too_deep_for_futtocks_is_told_and_not_left_out(tmp_path: Path) -> None:
    from patterns.repair.subject import RepairSubject

    more = '[[piece]]\nkind = "frame"\nname = "deep"\nmade_in = "futtocks"\nmoulded = "400 mm"\n'
    with pytest.raises(DesignError) as caught:
        RepairSubject(load_repair(write_repair(tmp_path, rows(by_half_breadth), more))).patterns()
    assert "there are no futtocks to cut" in str(caught.value)


@pytest.mark.slow
def test_a_scarf_without_room_is_told_with_the_room_there_is(tmp_path: Path) -> None:
    from patterns.repair.subject import RepairSubject

    more = (
        '[[piece]]\nkind = "frame"\nname = "graft"\nside = "port"\nfrom_point = "{low}"\nto_point = "{high}"\n'
        'scarf = "8:1"\nscarf_through = "moulding"\n'
    )
    for low, high, words in (("2", "9", "runs past the frame's end"), ("8", "9", "runs over the chine")):
        folder = write_repair(tmp_path, rows(by_half_breadth), more.format(low=low, high=high))
        with pytest.raises(DesignError) as caught:
            RepairSubject(load_repair(folder)).patterns()
        assert words in str(caught.value)
        assert "design.toml, piece" in str(caught.value)


@pytest.mark.slow
def test_on_the_command_line_they_end_with_status_1_and_no_traceback(tmp_path: Path) -> None:
    for verb in ("check", "patterns"):
        result = CliRunner().invoke(main, [verb, str(write_repair(tmp_path, BAD))])
        assert result.exit_code == 1
        assert f"{len(TOLD)} errors:" in result.output
        assert "Traceback" not in result.output
    assert (
        CliRunner()
        .invoke(main, ["check", str(write_repair(tmp_path, rows(by_half_breadth))), "--assembly"])
        .exit_code
        == 2
    )
