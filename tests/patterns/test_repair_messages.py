"""What is wrong with a repair's files is told all at once, each with its place and what would be right."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from patterns.cli import main
from patterns.errors import DesignError
from patterns.repair.repair import load_repair
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
    ("row 3, column A (side)", '"larboard" stands there; write "port" or "starboard"'),
    ("row 4, column B (edge)", "this row has no edge"),
    ("row 5, column D (method)", '"tape" stands there; write "nails", "ordinate" or "half-breadth"'),
    ("row 6, column E (from)", '"PX" is no nail of the design'),
    ("row 7, column I (lies)", "two distances have two answers"),
    ("row 8, column E (from)", "1 nails stand there"),
    ("row 9, column E (from)", '"plum" is no straight edge of the design; is "plumb" meant?'),
    ("row 9, column G (b)", "has 9 eighths"),
    ("row 10, column G (b)", "this ordinate is missing"),
    ("row 11, column F (a)", "is a date"),
    ("row 12, column E (from)", '"PA" stands there; write nothing'),
    ("row 12, column H (c)", "is one value too many"),
    ("row 13, column I (lies)", '"sideways" stands there'),
    ("row 13, column K (bevel)", '"78" has no unit'),
    ("row 14, column K (bevel)", '"20 deg" is no bevel of a frame'),
]


@pytest.mark.slow
def test_every_slip_of_the_points_is_listed(tmp_path: Path) -> None:
    with pytest.raises(DesignError) as caught:
        load_repair(write_repair(tmp_path, BAD))
    said = [str(problem) for problem in caught.value.problems]
    for place, words in TOLD:
        assert any(place in line and words in line for line in said), (place, words, said)
    assert len(said) == len(TOLD)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("side,edge,point,method,form,a,b\n", 'there is no column "from"'),
        ("side,edge,point,method,from,a,b\n", "holds no points"),
        (
            "side,edge,point,method,from,a,b\nport,bottom,1,half-breadth,,0-1-0,0-2-0\n"
            "port,bottom,1,half-breadth,,0-6-0,0-3-0\n",
            "point 1 of the port side stands in row 2 too",
        ),
        (
            "side,edge,point,method,from,a,b\nport,bottom,1,half-breadth,,0-1-0,0-2-0\n"
            "port,bottom,2,half-breadth,,0-6-0,0-3-0\nport,side,3,half-breadth,,0-8-0,0-9-0\n",
            "the edge turns from bottom to side, and neither is a corner",
        ),
        (
            "side,edge,point,method,from,a,b\nport,bottom,1,half-breadth,,0-1-0,0-2-0\n"
            "port,bottom,2,half-breadth,,0-9-0,0-3-0\nport,bottom,3,half-breadth,,0-4-0,0-2-4\n"
            "port,bottom,4,half-breadth,,1-4-0,0-5-0\n",
            "the edge of the port side folds back",
        ),
        (
            f"side,edge,point,method,from,a,b\nport,bottom,{'x' * 25},half-breadth,,0-1-0,0-2-0\n",
            "more than 24 letters stand there",
        ),
        (
            "side,edge,point,method,from,a,b\nport,bottom,1\x07,half-breadth,,0-1-0,0-2-0\n",
            "contains a control character",
        ),
        (
            "side,edge,point,method,from,a,b,lies\nport,bottom,1,half-breadth,,0-1-0,0-2-0,\n"
            "port,bottom,2,nails,PA PB,0-2-0,0-3-0,outboard\nport,bottom,3,half-breadth,,1-4-0,0-5-0,\n",
            "do not meet: those nails are 300 mm apart",
        ),
        (
            "side,edge,point,method,from,a,b,lies\nport,bottom,1,half-breadth,,0-1-0,0-2-0,\n"
            "port,bottom,2,nails,PA PB,0-9-0,0-9-0,up\nport,bottom,3,half-breadth,,1-4-0,0-5-0,\n",
            'the line through PA and PB has no side "up"',
        ),
    ],
)
def test_what_the_points_cannot_be(tmp_path: Path, text: str, words: str) -> None:
    with pytest.raises(DesignError) as caught:
        load_repair(write_repair(tmp_path, text))
    assert words in str(caught.value)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("more", "spec", "words"),
    [
        ("", 'measured = "outside of planking"', "key planking: is missing"),
        ("", 'sides = "mean"\ncentreline = "not known"', '"mean" needs the centreline'),
        ('[[piece]]\nkind = "sister"\n', "", "key against: is missing"),
        ('[[piece]]\nkind = "frame"\nside = "port"\nfrom_point = "3"\n', "", "key scarf: is missing"),
        (
            '[[piece]]\nkind = "frame"\nside = "port"\nfrom_point = "3"\nscarf = "8:1"\n',
            "",
            "key scarf_through: is missing",
        ),
        (
            '[[piece]]\nkind = "frame"\nfrom_point = "3"\nscarf = "8:1"\nscarf_through = "siding"\n',
            "",
            "key side: is missing; a part between points lies on one side",
        ),
        (
            '[[piece]]\nkind = "frame"\nside = "port"\nfrom_point = "x"\nscarf = "8:1"\nscarf_through = "siding"\n',
            "",
            'there is no point "x" on that side',
        ),
        (
            '[[piece]]\nkind = "frame"\nside = "port"\nfrom_point = "9"\nto_point = "3"\nscarf = "8:1"\n'
            'scarf_through = "siding"\n',
            "",
            "point 3 does not lie above point 9",
        ),
        ('[[edge]]\nname = "bilge"\nstraight = true\n', "", "no stretch of the points is called so"),
        ('[[nail]]\nname = "PA"\nout = "0"\nup = "0"\n', "", '"PA" stands there already'),
        (
            '[[nail]]\nname = "Q"\nnails = "PA"\nlies = "up"\n',
            "",
            'key nails: "PA" is not two nails; write both names, as ["A", "B"]',
        ),
        ('[[nail]]\nname = "Q"\nout = "1 in"\nup = "0"\n', "", "it is not said on which side it is"),
        ('[[nail]]\nname = "the post"\nout = "0"\nup = "0"\n', "", "a nail's name has a space in it"),
        (
            '[[straight_edge]]\nname = "L"\nout = "1 in"\nup = "0"\nruns = "up"\noff = "down"\n',
            "",
            'no distance off it can be counted "down"',
        ),
        ('[table]\nfile = "offsets.csv"\n', "", '"table" is not a known table; it belongs to a boat'),
    ],
)
def test_what_the_design_cannot_be(tmp_path: Path, more: str, spec: str, words: str) -> None:
    with pytest.raises(DesignError) as caught:
        load_repair(write_repair(tmp_path, rows(by_half_breadth), more, spec=spec))
    assert words in str(caught.value)


@pytest.mark.slow
def test_rows_from_the_head_down_are_refused(tmp_path: Path) -> None:
    """The wood would lie outside of the planking."""
    lines = rows(by_half_breadth).splitlines()
    port = [line for line in lines if line.startswith("port,")]
    rest = [line for line in lines[1:] if not line.startswith("port,")]
    with pytest.raises(DesignError) as caught:
        load_repair(write_repair(tmp_path, "\n".join([lines[0], *port[::-1], *rest])))
    (said,) = map(str, caught.value.problems)
    assert "points.csv, row 2" in said
    assert "the port side's rows run from the head down, from point 13 to 1" in said


@pytest.mark.slow
def test_two_stretches_of_one_name_are_refused(tmp_path: Path) -> None:
    """Which of them a neighbour's edge or a table's line means could not be told."""
    points = rows(by_half_breadth).replace(",bottom,", ",planking,").replace(",side,", ",planking,")
    with pytest.raises(DesignError) as caught:
        load_repair(write_repair(tmp_path, points))
    said = [str(problem) for problem in caught.value.problems]
    assert any(
        'points.csv, port: two stretches between corners are both called "planking"' in s for s in said
    )


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
        assert f"{len(TOLD)} things to put right:" in result.output
        assert "Traceback" not in result.output
    assert (
        CliRunner()
        .invoke(main, ["check", str(write_repair(tmp_path, rows(by_half_breadth))), "--assembly"])
        .exit_code
        == 2
    )
