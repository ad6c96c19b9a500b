"""Boats, repairs and classes spoiled by the thousand.

    python -m tests.bench.fuzz_bench [runs] [seed] [folder] [first run]

Each run depends on its seed and its number alone: what was cut short is gone on with by its first run.

Every run must end in a right result or in clear messages: a documented exit status, no traceback, no warning of a
library on the way.  What does not is kept in that folder, to be looked at and made a test of.
"""

from __future__ import annotations

import collections
import io
import random
import resource
import sys
import tempfile
import time
import warnings
from collections.abc import Callable, Mapping
from contextlib import redirect_stderr, redirect_stdout
from pathlib import Path

from tests.patterns.folders import DESIGN, STEM, TABLE

__all__ = ["Outcome", "command_for", "mutated", "spoil", "tried"]

DEMO = Path(__file__).parents[2] / "demo_design"


def _read(folder: Path) -> dict[str, str]:
    return {path.name: path.read_text(encoding="utf-8") for path in sorted(folder.glob("*.*"))}


SORTS: Mapping[str, Mapping[str, str]] = {
    "boat": {"design.toml": DESIGN, "offsets.csv": TABLE, "stem.csv": STEM},
    "repair": _read(DEMO / "broken_frame"),
    "class": {
        "design.toml": DESIGN,
        "offsets.csv": TABLE,
        "stem.csv": STEM,
        "class.csv": "name,worksheets\nAda,1\nBo,2\n",
    },
}
TURNS = ("boat", "boat", "repair", "boat", "class")  # which sort each run is of

# What has a meaning of its own somewhere between a cell, a key, a page and a drive.
ODD = (
    "", " ", "-", "--", "0", "-0", "1e308", "-1e308", "1e-320", "nan", "inf", "-inf", "0-0-0", "0-0-0+", "99-11-7",
    "-0-6-0", "1-0-4-", "2/7/3", "7-Mar", "=1+1", "@SUM(A1)", "+1", "#REF!", "\u0000", "\ufeff", "\u202e", "é",
    "漢", "🛶", "\"", "'", ",", ";", "\t", "\r", "\n", "\\", "%s", "${x}", "../x", "CON", "18 mm", "-18 mm", "0 mm",
    "1e9 mm", "5000 m", "12 deg", "89.99 deg", "-90 deg", "true", "[]", "{}", "station 3", "station 99",
    "keel", "sheer", "none", "bow", "stern", "0.000001", "123456789012345678901234567890", "x" * 300,
)  # fmt: skip

Outcome = tuple[int, str]
"""Exit status, and what went wrong besides (empty: nothing)."""


def mutated(text: str, chance: random.Random, *, csv: bool) -> str:
    """The text spoiled in one to four places."""
    for _ in range(chance.choice((1, 1, 1, 2, 4))):
        text = chance.choice(_WAYS)(text, chance, csv)
    return text


def _letters(text: str, chance: random.Random, csv: bool) -> str:
    at = chance.randrange(len(text) + 1)
    return text[:at] + chance.choice(ODD) + text[at + chance.choice((0, 0, 1, 3)) :]


def _line(text: str, chance: random.Random, csv: bool) -> str:
    """A line away, twice, or somewhere else."""
    lines = text.splitlines(keepends=True) or [""]
    at = chance.randrange(len(lines))
    line = lines.pop(at)
    for _ in range(chance.choice((0, 1, 2))):
        lines.insert(chance.randrange(len(lines) + 1), line)
    return "".join(lines)


def _value(text: str, chance: random.Random, csv: bool) -> str:
    """A cell, or the value of a key, is another."""
    lines = text.splitlines(keepends=True) or [""]
    at = chance.randrange(len(lines))
    if csv:
        cells = lines[at].rstrip("\n").split(",")
        cells[chance.randrange(len(cells))] = chance.choice((*ODD, *_elsewhere(text, chance)))
        lines[at] = ",".join(cells) + "\n"
    elif "=" in lines[at]:
        key = lines[at].partition("=")[0]
        value = chance.choice((*ODD, *_elsewhere(text, chance)))
        quoted = chance.choice((f'"{value}"', f'"{value}"', value, f'["{value}"]'))
        lines[at] = f"{key}= {quoted}\n"
    return "".join(lines)


def _figure(text: str, chance: random.Random, csv: bool) -> str:
    """One figure another, as a slip of the finger makes it."""
    places = [at for at, letter in enumerate(text) if letter.isdigit()]
    if not places:
        return text
    at = chance.choice(places)
    return text[:at] + chance.choice("0123456789") + text[at + 1 :]


def _elsewhere(text: str, chance: random.Random) -> tuple[str, ...]:
    """A word that stands in another place of the file."""
    words = text.replace(",", " ").replace('"', " ").split()
    return (chance.choice(words),) if words else ()


_WAYS: tuple[Callable[[str, random.Random, bool], str], ...] = (
    _letters,
    _line,
    _value,
    _value,
    _figure,
    _figure,
)


def spoil(folder: Path, chance: random.Random, sort: str = "boat") -> None:
    """Write a small design of some sort into a folder, one or two of its files spoiled."""
    files = SORTS[sort]
    spoiled = set(chance.sample(sorted(files), chance.choice((1, 1, 1, 2))))
    if sort == "class":
        spoiled = {"class.csv"}  # the others are spoiled as a boat's
    for name, text in files.items():
        if name in spoiled:
            text = mutated(text, chance, csv=name.endswith(".csv"))
        data = text.encode("utf-8", errors="surrogatepass")
        if name in spoiled and chance.random() < 0.05:  # bytes that are no text
            at = chance.randrange(len(data) + 1)
            data = data[:at] + bytes(chance.randrange(256) for _ in range(4)) + data[at:]
        (folder / name).write_bytes(data)


def tried(arguments: list[str]) -> Outcome:
    """Run a command in this process and say what is wrong with how it ended."""
    from patterns.cli import main

    said, told = io.StringIO(), io.StringIO()
    status = 0
    with warnings.catch_warnings(record=True) as caught, redirect_stdout(said), redirect_stderr(told):
        warnings.simplefilter("always")
        try:
            main(arguments, standalone_mode=True)
        except SystemExit as end:
            status = end.code if isinstance(end.code, int) else 0 if end.code is None else 1
        except BaseException as error:
            if isinstance(error, KeyboardInterrupt):
                raise
            return -1, f"{type(error).__name__}: {error}"
    wrong = [f"warning: {each.message}" for each in caught]
    if status not in (0, 1, 2, 3):
        wrong.append(f"exit status {status}")
    if "internal error" in told.getvalue():
        wrong.append("an internal error")
    if status in (1, 2) and not told.getvalue().strip():  # 3: doubts are listed with all else
        wrong.append("it ended badly and said nothing")
    if "Traceback" in told.getvalue():
        wrong.append("traceback")
    if any(word in told.getvalue() for word in ("NoneType", "numpy.", "object has no attribute")):
        wrong.append("the insides of the program are told")
    return status, "; ".join(wrong)


def command_for(place: str, sort: str, number: int) -> list[str]:
    """What is run on a spoiled folder: mostly the check, patterns now and then; a class's sets."""
    out = str(Path(place) / "out")
    if sort == "class":
        return ["class", place, "--only", "transom", "--output", out]
    return ["patterns", place, "--output", out, "--quick"] if number % 20 == 0 else ["check", place]


def main(runs: int, seed: int, kept: str, first: int) -> int:
    """Spoil and run; prints how the runs ended, and keeps what went wrong."""
    ended: collections.Counter[str] = collections.Counter()
    longest = 0.0
    for number in range(first, first + runs):
        chance = random.Random(f"{seed} {number}")
        sort = TURNS[number % len(TURNS)]
        with tempfile.TemporaryDirectory() as place:
            folder = Path(place)
            spoil(folder, chance, sort)
            start = time.process_time()
            status, wrong = tried(command_for(place, sort, number))
            longest = max(longest, time.process_time() - start)
            ended[f"{sort} exit {status}" + (" WRONG" if wrong else "")] += 1
            if wrong:
                target = Path(kept) / f"{seed}-{number}"
                target.mkdir(parents=True, exist_ok=True)
                for name in SORTS[sort]:
                    (target / name).write_bytes((folder / name).read_bytes())
                print(f"run {number} ({sort}): {wrong} (kept in {target})", flush=True)
        if number % 100 == 99:
            print(f"after {number + 1}: {sum(ended.values())} runs, longest {longest:.1f} s", file=sys.stderr)
    print(
        f"{runs} runs from {first}: " + ", ".join(f"{count} {what}" for what, count in sorted(ended.items()))
    )
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
    print(f"longest {longest:.1f} s of CPU, most memory {most:.0f} MB")
    return sum(count for what, count in ended.items() if "WRONG" in what)


if __name__ == "__main__":
    given = sys.argv[1:]
    runs, seed, kept, first = [*given, *["1000", "1", "fuzz-findings", "0"][len(given) :]]
    sys.exit(min(1, main(int(runs), int(seed), kept, int(first))))
