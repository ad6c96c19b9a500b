"""Typical slips of typing, one at a time, in sound boats.

Run: python -m tests.bench.slips_bench [-v] [n] [boat ...]

Prints for each kind of slip how many were refused, named (a finding at the wrong cell, row, column or key), said
(a finding elsewhere only), silent, or harmless (no frame's section differs by 1 mm); then the false alarms on the
sound boats, and the doubts on unusual but real ones.  -v lists every silent slip;
with a number n only each n-th slip is tried.
"""

from __future__ import annotations

import sys
import tempfile
import warnings
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from itertools import islice
from pathlib import Path

import numpy as np
import shapely

from patterns.boat import Boat, load_boat
from patterns.design.mould_models import MouldSpec
from patterns.errors import DesignError, PatternsError, Problem
from patterns.hull.planes import Plane, station_plane
from patterns.hull.sections import cut_hull
from patterns.members import all_patterns
from patterns.table.folder import read_folder
from tests.bench.design_slips import design_slips
from tests.bench.slip_sheets import STEM, TABLE, Sheet, Slip
from tests.bench.table_slips import stem_slips, table_slips
from tests.demo import DEMO
from tests.patterns.filled_starters import filled_starter
from tests.patterns.odd_boats import ODD_BOATS, ordinary_boat, write_odd

__all__ = ["SOUND", "outcome", "slips_of", "sound_boat"]

FIRST, ORDINARY = 200, 200  # seed and number of ordinary boats; no limit was chosen by these
SAME = 1.0  # mm; frames that differ by less are harmless
ENDS = ("refused", "named", "said", "silent", "harmless")
SOUND = ("demo", "several chines", "round", "pram")
FILES = ("design.toml", TABLE, STEM)


@dataclass(frozen=True, kw_only=True, eq=False)
class Sound:
    """A sound boat and the planes in which its frames are compared."""

    boat: Boat
    files: Mapping[str, str]


@cache
def sound_boat(name: str) -> Sound:
    """One of the sound boats, its files as text."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "boat"
        if name == "several chines":
            filled_starter(folder, name, metric=True)
        elif name == "pram":
            write_odd(folder, ODD_BOATS["2 m pram"])
        else:
            folder = DEMO / "round_bilge" if name == "round" else DEMO
        texts = {
            file: (folder / file).read_text(encoding="utf-8") for file in FILES if (folder / file).exists()
        }
        return Sound(boat=load_boat(folder), files=texts)


def slips_of(sound: Sound) -> Iterator[Slip]:
    """Every slip of a boat."""
    design = sound.boat.design
    sheet = Sheet.read(sound.files[TABLE], design.table.notation)
    yield from table_slips(sheet, [line.name for line in design.lines])
    if STEM in sound.files:
        yield from stem_slips(Sheet.read(sound.files[STEM], design.table.notation, STEM))
    yield from design_slips(sound.files["design.toml"])
    yield from _whole_table(sound, sheet)


def _whole_table(sound: Sound, sheet: Sheet) -> Iterator[Slip]:
    """The plan's half-breadths in a table that is declared to hold whole breadths."""
    rows = tuple(("breadth", *row[1:]) if row[0] == "half-breadth" else row for row in sheet.rows)
    text = Sheet(rows, sheet.notation).text()
    design = sound.files["design.toml"].replace('breadths = "half"', 'breadths = "full"')
    yield Slip(
        kind="half for whole breadths, all lines", what="declared full", at=(TABLE, "design.toml, [table]"),
        files={TABLE: text, "design.toml": design},
    )  # fmt: skip


def outcome(sound: Sound, slip: Slip) -> tuple[str, list[Problem]]:
    """How a slip ends, and what was found."""
    with tempfile.TemporaryDirectory() as place, warnings.catch_warnings():
        warnings.simplefilter("ignore")
        for file, text in {**sound.files, **slip.files}.items():
            (Path(place) / file).write_text(text, encoding="utf-8")
        try:
            boat = load_boat(Path(place))
        except DesignError as error:
            return "refused", list(error.problems)
        found = [*boat.warnings, *(suspect.problem() for suspect in boat.lines.suspects)]
        if any(problem.place.startswith(slip.at) for problem in found):
            return "named", found
        if found:
            return "said", found
        if not slip.wood and _apart(sound.boat, boat) < SAME:
            return "harmless", found
        try:
            all_patterns(boat)
        except PatternsError as error:
            return "refused", list(getattr(error, "problems", ()))
    return "silent", found


def _planes(boat: Boat) -> dict[str, Plane]:
    """The moulded faces of frames and moulds; some stations where there are few."""
    planes = {f"frame {spec.name}": boat.frame_faces(spec)[0] for spec in boat.design.frames}
    planes |= {
        f"mould {spec.name}": station_plane(boat.distance(spec.at)) for spec in boat.design.all(MouldSpec)
    }
    x = boat.offsets.station_x
    return planes | {f"at {k}": station_plane(float(v)) for k, v in enumerate(x[2:-1], start=2)}


def _apart(one: Boat, two: Boat) -> float:
    """The largest distance between the outlines of a frame of the same name, mm."""
    there, worst = _planes(two), 0.0
    for name, plane in _planes(one).items():
        if name not in there:
            return float("inf")
        try:
            a, b = (cut_hull(boat.hull, face).outline() for boat, face in ((one, plane), (two, there[name])))
        except PatternsError:
            return float("inf")
        a, b = _lifted(a, plane), _lifted(b, there[name])
        worst = max(worst, float(shapely.hausdorff_distance(shapely.LineString(a), shapely.LineString(b))))
    return worst


def _lifted(outline: np.ndarray, plane: Plane) -> np.ndarray:
    """Half-breadths and heights of a plane's points, so that planes of another place compare by their shapes."""
    return np.asarray(plane.space(outline)[:, 1:])


def _false_alarms(names: Iterable[str]) -> int:
    return sum(
        len(sound_boat(name).boat.warnings) + len(sound_boat(name).boat.lines.suspects) for name in names
    )


def _odd() -> None:
    """Doubts on unusual boats: how many, and by which key each is confirmed."""
    print("\nunusual boats: doubts (to be confirmed by these keys)")
    for name, odd in ODD_BOATS.items():
        with tempfile.TemporaryDirectory() as place:
            try:
                boat = load_boat(write_odd(Path(place) / "boat", odd))
            except DesignError as error:
                print(f"  {name:30s} REFUSED {error}")
                continue
        found = [*boat.warnings, *(suspect.problem() for suspect in boat.lines.suspects)]
        print(f"  {name:30s} {len(found)}  {', '.join(problem.code or str(problem) for problem in found)}")


def _ordinary(count: int) -> None:
    """Doubts on ordinary boats of all lengths, before their lines are faired."""
    found: Counter[str] = Counter()
    doubted = 0
    for seed in range(FIRST, FIRST + count):
        with tempfile.TemporaryDirectory() as place:
            doubts = read_folder(write_odd(Path(place) / "boat", ordinary_boat(seed)))[2]
        found.update(problem.code or str(problem) for problem in doubts)
        doubted += bool(doubts)
    print(f"\nordinary boats of 2 to 12 m with a doubt: {doubted} of {count}  {dict(found)}")


def main(*names: str, verbose: bool = False, every: int = 1) -> None:
    """Print the tables.

    Args:
        every: only each n-th slip is tried.
    """
    names = names or SOUND
    counts: dict[str, Counter[str]] = defaultdict(Counter)
    silent = []
    for name in names:
        sound = sound_boat(name)
        print(name, file=sys.stderr, flush=True)
        for slip in islice(slips_of(sound), 0, None, every):
            if all(sound.files.get(file) == text for file, text in slip.files.items()):
                continue
            end, found = outcome(sound, slip)
            counts[slip.kind][end] += 1
            if end in ("silent", "said"):
                silent.append((end, name, slip, found))
    print(f"{'kind':48s}" + "".join(f"{end:>10s}" for end in ENDS))
    for kind in sorted(counts):
        print(f"{kind:48s}" + "".join(f"{counts[kind][end] or '':>10}" for end in ENDS))
    whole = sum(counts.values(), Counter[str]())
    print(
        f"{f'all {whole.total()}, on {len(names)} boats':48s}" + "".join(f"{whole[end]:>10d}" for end in ENDS)
    )
    print(f"false alarms on the sound boats: {_false_alarms(names)}")
    _odd()
    _ordinary(ORDINARY)
    if verbose:
        for end, name, slip, found in silent:
            print(
                f"{end}: {name}: {slip.kind}: {slip.what}" + "".join(f"\n      {each}" for each in found[:2])
            )


if __name__ == "__main__":
    given = sys.argv[1:]
    numbers = [int(word) for word in given if word.isdecimal()]
    chosen = [word for word in given if word != "-v" and not word.isdecimal()]
    main(*chosen, verbose="-v" in given, every=numbers[0] if numbers else 1)
