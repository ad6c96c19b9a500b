"""The command line as a builder meets it: what it writes, what it says, and what it leaves alone."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import click
import pytest
from click.testing import CliRunner, Result

from patterns.cli import main
from patterns.measure import Notation, format_length, parse_length
from tests.demo import DEMO
from tests.patterns.folders import DESIGN, TABLE, changed, digests, write_folder
from tests.patterns.test_checks import FAULTS
from tests.patterns.test_design import SLIPS
from tests.words import unplain

ROOT = Path(__file__).parents[2]


def run(*arguments: str | Path) -> Result:
    return CliRunner().invoke(main, [str(argument) for argument in arguments])


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory, made_small: Path) -> Path:
    """A good design with an earlier output."""
    folder = write_folder(tmp_path_factory.mktemp("good"))
    shutil.copytree(made_small, folder / "out")
    return folder


@pytest.mark.slow
def test_the_main_job_writes_everything_it_promises(made: Path) -> None:
    names = set(digests(made / "out"))
    assert {
        "patterns.pdf",
        "shapes.json",
        "bevels.csv",
        "cut-list.csv",
        "set-up.csv",
        "sheets.csv",
        "loft-book.pdf",
        "bevel-board.pdf",
        "as-faired.csv",
        "as-faired-stem.csv",
        "as-faired-mm.csv",
        "moves.csv",
        "in-space.csv",
        "svg/frame 3.svg",
        "svg/breasthook.svg",
    } <= names


@pytest.mark.slow
def test_the_same_design_gives_the_same_bytes(made: Path) -> None:
    before = digests(made / "out")
    result = run("patterns", made, "--output", made / "out", "--paper", "a4")
    assert result.exit_code == 0, result.output
    assert digests(made / "out") == before


# Every slip of the two lists has its own test of place and code; here it is seen that a command says it.
SPOILED = [
    *((text is DESIGN, old, new, place, "") for text, old, new, place, _, _ in FAULTS),
    *((True, old, new, place, meant) for old, new, place, _, meant in SLIPS),
][::9]


@pytest.mark.slow
@pytest.mark.parametrize(
    ("in_design", "old", "new", "place", "words"),
    SPOILED,
    ids=[f"{place}: {new}" for _, _, new, place, _ in SPOILED],
)
def test_bad_input_is_told_plainly_and_earlier_output_is_left_alone(
    made: Path, tmp_path: Path, in_design: bool, old: str, new: str, place: str, words: str
) -> None:
    text = DESIGN if in_design else TABLE
    spoiled = changed(text, old, new) if text.count(old) == 1 else text.replace(old, new, 1)
    folder = write_folder(tmp_path, **{"design" if in_design else "table": spoiled})
    before = digests(made / "out")
    result = run("patterns", folder, "--output", made / "out")
    assert result.exit_code == 1
    assert place in result.output
    assert words in result.output
    assert "Traceback" not in result.output
    assert result.exception is None or isinstance(result.exception, SystemExit)
    assert digests(made / "out") == before
    assert not [path for path in made.iterdir() if path.name.startswith(".being-written")]


@pytest.mark.slow
@pytest.mark.parametrize(
    ("old", "new", "place", "words"),
    [
        ('throat = "110 mm"', 'throat = "20 mm"', 'knee "transom knee"', "leave room only from"),
        (
            'along_keel = "300 mm"',
            'along_keel = "9000 mm"',
            'knee "transom knee"',
            "longer than the keel",
        ),
        (
            'toe = "45 mm"',
            'toe = "400 mm"',
            "[breasthook]",
            "its toes are 400 mm wide and take up",
        ),
        ('throat = "120 mm"', 'throat = "2 mm"', "[breasthook]", "give it one between"),
        ('along = "40 mm"', 'along = "900 mm"', 'frame "3"', "wider than the side"),
    ],
)
def test_a_piece_that_cannot_be_made_is_named_with_its_reason(
    tmp_path: Path, old: str, new: str, place: str, words: str
) -> None:
    folder = write_folder(tmp_path, design=changed(DESIGN, old, new))
    result = run("patterns", folder, "--output", tmp_path / "out")
    assert result.exit_code == 1, result.output
    assert "design.toml" in result.output
    assert place in result.output
    assert words in result.output
    assert not (tmp_path / "out").exists()


@pytest.mark.slow
@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--only", "frame 33"), "there are: frame 3"),
        (("--paper", "papyrus"), "papyrus"),
        (("--margin", "2 mm"), "10 mm or more"),
        (("--margin", "12"), "12"),
        (("--overlap", "1 mm"), "too small"),
        (("--pages", "999"), "999"),
        (("--pages", "soon"), "soon"),
    ],
)
def test_requests_that_cannot_be_met_are_told(
    made: Path, tmp_path: Path, arguments: tuple[str, ...], words: str
) -> None:
    result = run("patterns", made, "--output", tmp_path / "out", "--quick", *arguments)
    assert result.exit_code == 2, result.output
    assert words in result.output
    assert not (tmp_path / "out").exists()


@pytest.mark.slow
def test_one_pattern_is_printed_beside_the_rest(made: Path) -> None:
    before = digests(made / "out")
    result = run("patterns", made, "--output", made / "out", "--only", "Frame 3", "--paper", "letter")
    assert result.exit_code == 0, result.output
    after = digests(made / "out")
    assert "frame 3.pdf" in {name.lower() for name in set(after) - set(before)}
    assert {name: after[name] for name in before if name != ".written.json"} == {
        name: digest for name, digest in before.items() if name != ".written.json"
    }


@pytest.mark.slow
def test_spoiled_pages_are_printed_again_with_the_same_mark(made: Path, tmp_path: Path) -> None:
    from pypdf import PdfReader

    result = run("patterns", made, "--output", tmp_path / "out", "--pages", "12-13", "--paper", "a4")
    assert result.exit_code == 0, result.output
    [pdf] = (tmp_path / "out").glob("*.pdf")
    whole = PdfReader(made / "out" / "patterns.pdf")
    part = PdfReader(pdf)
    assert part.page_labels == [whole.page_labels[11], whole.page_labels[12]]
    # The first page of every file shows the code of that file's own record besides.
    first = part.pages[0].get_contents().get_data().removesuffix(b"/Record Do\n")
    assert first.strip() == whole.pages[11].get_contents().get_data().strip()
    assert part.pages[1].get_contents().get_data() == whole.pages[12].get_contents().get_data()


@pytest.mark.slow
def test_whole_patterns_and_other_faces_on_request(made: Path, tmp_path: Path) -> None:
    result = run("patterns", made, "--output", tmp_path / "out", "--quick", "--whole", "--other-face")
    assert result.exit_code == 0, result.output
    names = digests(tmp_path / "out")
    assert "svg/frame 3- other face.svg" in names


@pytest.mark.slow
def test_check_is_quiet_about_a_good_table_and_names_a_doubtful_cell(tmp_path: Path) -> None:
    good = run("check", DEMO)
    assert good.exit_code == 0
    assert "No suspect offset was found." in good.output
    assert "First look at" not in good.output
    for path in DEMO.iterdir():
        if path.is_file():
            (tmp_path / path.name).write_bytes(path.read_bytes())
    table = (DEMO / "offsets.csv").read_text(encoding="utf-8")
    row = next(line for line in table.splitlines() if line.startswith("half-breadth,sheer"))
    cells = row.split(",")
    right = cells[6]  # station 4
    feet, inches, eighths = right.split("-", 2)
    cells[6] = f"{feet}-{int(inches) + 1}-{eighths}"
    slip = changed(table, row, ",".join(cells))
    (tmp_path / "offsets.csv").write_text(slip, encoding="utf-8")
    result = run("check", tmp_path)
    assert result.exit_code == 3  # a suspect is a doubt
    assert "1 suspect offset" in result.output
    assert "column G (station 4)" in result.output
    assert "a whole inch too much" in result.output
    assert format_length(parse_length(right), Notation.FEET_INCHES_EIGHTHS) in result.output


@pytest.mark.slow
def test_fair_writes_the_as_faired_tables(made: Path, tmp_path: Path) -> None:
    result = run("fair", made, "--output", tmp_path / "out")
    assert result.exit_code == 0, result.output
    assert {"as-faired.csv", "as-faired-mm.csv", "moves.csv"} <= set(digests(tmp_path / "out"))


@pytest.mark.slow
def test_start_makes_a_folder_that_says_what_is_still_to_be_filled_in(tmp_path: Path) -> None:
    result = run("start", tmp_path / "boat")
    assert result.exit_code == 0, result.output
    assert sorted(digests(tmp_path / "boat")) == ["design.toml", "keys.txt", "offsets.csv", "stem.csv"]
    result = run("check", tmp_path / "boat")
    assert result.exit_code == 1
    for words in ("lines_to", "sheer_to", "rake", "offsets.csv", "stem.csv"):
        assert words in result.output
    assert "Traceback" not in result.output


@pytest.mark.slow
def test_start_leaves_what_is_there_alone(made: Path) -> None:
    before = digests(made)
    result = run("start", made)
    assert result.exit_code == 1
    assert "already exists" in result.output
    assert digests(made) == before


def test_ruler_writes_one_page_and_does_not_write_over_another_file(tmp_path: Path) -> None:
    result = run("ruler", "--paper", "letter", "--output", tmp_path / "r.pdf")
    assert result.exit_code == 0, result.output
    first = (tmp_path / "r.pdf").read_bytes()
    again = run("ruler", "--paper", "a4", "--output", tmp_path / "r.pdf")
    assert again.exit_code == 2
    assert "--force" in again.output
    assert (tmp_path / "r.pdf").read_bytes() == first


def test_a_missing_folder_is_one_clear_message(tmp_path: Path) -> None:
    result = run("patterns", tmp_path / "nowhere")
    assert result.exit_code == 1
    assert "design.toml" in result.output
    assert "Traceback" not in result.output


def test_wrong_usage_ends_with_two() -> None:
    assert run("patterns").exit_code == 2
    assert run("patterns", "x", "--no-such-option").exit_code == 2


@pytest.mark.parametrize("command", ["", *main.commands])
def test_help_has_an_example_that_can_be_pasted(command: str) -> None:
    result = run(*([command] if command else []), "--help")
    assert result.exit_code == 0
    name = command or "patterns"
    assert re.search(rf"^ +scrieve {name} ?\S*", result.output, re.MULTILINE)


@pytest.mark.parametrize("command", ["check", "patterns", "prove"])
def test_help_lists_the_exit_statuses(command: str) -> None:
    listed = run(command, "--help").output.split("Exit status:\n")[1].split("\n\n")[0]
    assert re.findall(r"^ +(\d)  \S", listed, re.MULTILINE)[:3] == ["0", "1", "2"]


@pytest.mark.parametrize("command", ["", *main.commands])
def test_help_uses_plain_words(command: str) -> None:
    assert unplain(run(*([command] if command else []), "--help").output) == []


def test_the_keys_are_listed_in_plain_words() -> None:
    listed = run("keys").output.replace(" stands (required)", "")  # a key's name
    assert unplain(listed) == []


CONVENTIONS = {
    "-o": "--output",
    "-f": "--force",
    "-y": "--yes",
    "-q": "--quiet",
    "-v": "--verbose",
    "-h": "--help",
}


@pytest.mark.parametrize("command", main.commands)
def test_options_of_the_same_meaning_have_the_usual_names(command: str) -> None:
    """A short option and its long one come together, and no verb has one letter for two meanings."""
    verb = main.commands[command]
    options = [each for each in verb.get_params(click.Context(verb)) if isinstance(each, click.Option)]
    assert options
    for option in options:
        short = [name for name in option.opts if not name.startswith("--")]
        long = [name for name in option.opts if name.startswith("--")]
        assert [CONVENTIONS[name] for name in short] == [
            name for name in long if name in CONVENTIONS.values()
        ]


def test_the_list_of_commands_cuts_no_summary_short() -> None:
    """At 80 columns each is whole, and has eight words at most."""
    listed = run("--help").output.split("Commands:\n")[1].strip().splitlines()
    assert len(listed) == len(main.commands)
    for line in listed:
        name, summary = line.split(maxsplit=1)
        assert len(line) <= 80
        assert summary == (main.commands[name].help or "").strip().split("\n\n")[0], name
        assert len(summary.split()) <= 8


def test_help_loads_no_heavy_library() -> None:
    """Start-up is quick because these come late."""
    code = (
        "import sys\nfrom patterns.cli import main\n"
        "try:\n    main(['--help'])\nexcept SystemExit:\n    pass\n"
        "heavy = {'numpy', 'scipy', 'shapely', 'pydantic', 'reportlab', 'pypdf'}\n"
        "sys.exit(', '.join(heavy & set(sys.modules)) or 0)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT, check=False)
    assert done.returncode == 0, done.stderr


@pytest.mark.slow
@pytest.mark.parametrize("verb", ["patterns", "fair"])
def test_a_quiet_run_prints_doubts_alone(tmp_path: Path, verb: str) -> None:
    """Lines that it would print anyway, and none of the others; the files are the same."""
    quick = ("--quick", "--only", "frame 3") if verb == "patterns" else ()
    write_folder(tmp_path, table=changed(TABLE, "1-5-4,1-9-0", "1-5-4,1-10-0"))
    assert run(verb, DEMO, *quick, "-q", "-o", tmp_path / "a").output == ""
    said = run(verb, tmp_path, *quick, "-o", tmp_path / "b").output
    quiet = run(verb, tmp_path, *quick, "-q", "-o", tmp_path / "c").output
    assert quiet
    assert set(quiet.splitlines()) <= set(said.splitlines())
    assert len(quiet.splitlines()) < len(said.splitlines())
    assert digests(tmp_path / "b") == digests(tmp_path / "c")


@pytest.mark.slow
def test_a_quiet_proof_of_a_sound_file_prints_nothing(made_small: Path) -> None:
    file = made_small / "patterns.pdf"
    assert run("prove", "-q", "--no-pictures", file).output == ""
    assert run("prove", "--no-pictures", file).output


@pytest.mark.slow
def test_nothing_is_shown_of_progress_in_a_pipe(made: Path, tmp_path: Path) -> None:
    done = subprocess.run(
        [
            sys.executable,
            "-c",
            "from patterns.cli import main; main()",
            "patterns",
            made,
            "--output",
            tmp_path / "o",
            "--quick",
            "--only",
            "frame 3",
        ],
        capture_output=True,
        text=True,
        cwd=ROOT,
        check=False,
        env={**os.environ, "PYTHONWARNINGS": "error"},
    )
    assert done.returncode == 0, done.stderr
    assert done.stderr == ""


@pytest.mark.slow
def test_a_slip_that_spoils_pieces_is_named_as_what_to_put_right_first(tmp_path: Path) -> None:
    folder = shutil.copytree(DEMO, tmp_path / "boat")
    table = folder / "offsets.csv"
    table.write_text(changed(table.read_text(encoding="utf-8"), ",1-11-6+,2-2-0,", ",1-11-6+,2-5-0,"))
    result = run("check", folder)
    assert result.exit_code == 1
    first, _, rest = result.output.partition("First look at")
    assert "1 suspect offset" in first
    assert re.search(r"^\d+ errors?:", rest, re.MULTILINE)


@pytest.mark.slow
@pytest.mark.skipif(
    not hasattr(os, "sched_setaffinity") or len(os.sched_getaffinity(0)) < 2, reason="one core, or no choice"
)
def test_a_machine_of_one_core_draws_what_a_machine_of_many_draws(tmp_path: Path) -> None:
    one = f"import os; os.sched_setaffinity(0, {{{min(os.sched_getaffinity(0))}}}); "
    for name, cores in (("one", one), ("all", "")):
        code = f"{cores}from patterns.cli import main; main()"
        demo = [DEMO / "round_bilge", "--only", "mould 6", "--output", tmp_path / name]
        subprocess.run(
            [sys.executable, "-c", code, "patterns", *demo], check=True, capture_output=True, cwd=ROOT
        )
    assert digests(tmp_path / "one") == digests(tmp_path / "all")
