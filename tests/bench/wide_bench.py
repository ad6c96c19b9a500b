"""When a span is called wide.  Run: python -m tests.bench.wide_bench [count] [first seed] [kinds, by commas]

Sound tables of four kinds: the profile line well sampled and as ordinary plans have it (``count`` of every
family), chine and sheer (11 boats for each of ``count``), round bilges with all their rows (3 for each).  For each
way of writing: how many tables have a warning, and of the tables in which every span's error is under 2 mm or
explained by the rounding; how many of their spans are wide; and of the spans whose true error is over 2 mm, and of
those whose error the rounding does not explain either, how many are wide.
"""

from __future__ import annotations

import sys
import tempfile
from collections import defaultdict
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from patterns.fairing.bands import TIMES, too_wide
from patterns.fairing.keel import make_profile
from patterns.hull.planes import FloatArray
from tests.bench.bands_bench import spans
from tests.bench.line_families import ROUNDINGS, family_lines
from tests.bench.profile_bench import EVERY, errors_of, points_of
from tests.bench.profiles import WRITTEN, Sampler, ordinary_plan, well_sampled
from tests.bench.round_rows_bench import LEVELS, faired, span_errors
from tests.patterns.analytic_boats import ROUNDINGS as WAYS
from tests.patterns.round_boats import ALL_ROWS, FORMS, round_boat, write_round_table

Span = tuple[float, bool, float]  # true error, wide, how far a good figure may be off
Tables = Iterator[tuple[str, list[Span]]]  # by the way of writing

FAR = 2.0  # mm


def profiles(sampler: Sampler, count: int, first: int) -> Tables:
    """The profile lines of all families."""
    for family in EVERY.values():
        for seed in range(first, first + count):
            profile = family(seed)
            for written in WRITTEN:
                points = points_of(profile, seed, written, sampler)
                made = make_profile("keel", points, allow=written.allow, ends="free")
                errors = errors_of(made.path, profile)
                yield (
                    written.name,
                    [
                        (float(error), too_wide(band), band.rounding)
                        for error, band in zip(errors, made.bands, strict=True)
                    ],
                )


def chines(count: int, first: int) -> Tables:
    """Chine and sheer of boats of all families; a boat is a table."""
    for way in ROUNDINGS:
        rng = np.random.default_rng(first)
        for _, lines in zip(range(11 * count), family_lines(rng), strict=False):
            rows = [row for line in lines for row in spans(line, way, int(rng.integers(6, 11)), rng)]
            yield way.name.replace("±1/8 in", "noise 1/8"), [(e, wide, off) for e, _, wide, off in rows]


def round_bilges(count: int, first: int) -> Tables:
    """Round bilges with all their rows; a span is what lies between two stations, wide where any row's is."""
    forms = tuple(FORMS)
    for k in range(3 * count):
        true = round_boat(first + k, forms[k % len(forms)])
        for way in (way for way in WAYS if way.name in LEVELS):
            with tempfile.TemporaryDirectory() as name:
                folder, rng = Path(name), np.random.default_rng(first + k)
                write_round_table(
                    true, folder, way, rng, stations=(13, 10, 12)[k % 3], rows=ALL_ROWS, bow_ends=k % 2 == 0
                )
                lines, station_x, names = faired(folder)
            rows = [band for band in lines.bands if band.line in ALL_ROWS]
            wide = {band.first for band in rows if too_wide(band)}
            errors = span_errors(true, lines, station_x, names)
            yield way.name, [(error, at in wide, rows[0].rounding) for at, error in errors.items()]


def show(kind: str, tables: Tables) -> None:
    """Print the rows of one kind."""
    found: dict[str, list[list[Span]]] = defaultdict(list)
    for name, rows in tables:
        found[name].append(rows)
    for name, each in found.items():
        error, wide, off = np.array([span for rows in each for span in rows], dtype=float).T
        warned = [any(span[1] for span in rows) for rows in each]
        close = [not any(e > max(FAR, TIMES * by) for e, _, by in rows) for rows in each]
        early = sum(w and c for w, c in zip(warned, close, strict=True))
        far = error > FAR
        unexplained = far & (error > TIMES * off)
        print(
            f"{kind:22s} {name:11s} warned {sum(warned):4d} of {len(each):4d} tables "
            f"({100 * np.mean(warned):5.1f} %), {early:4d} of {sum(close):4d} without a far span, "
            f"{100 * wide.mean():5.2f} % of spans; "
            f"over {FAR:g} mm {_share(wide, far)}, of these not explained {_share(wide, unexplained)}",
            flush=True,
        )


def _share(wide: FloatArray, among: NDArray[np.bool_]) -> str:
    return f"{int(wide[among].sum()):4d} of {int(among.sum()):4d}"


def main(count: int = 4, first: int = 3000, kinds: str = "") -> None:
    """Print the table."""
    every: dict[str, Callable[[], Tables]] = {
        "profile well sampled": lambda: profiles(well_sampled, count, first),
        "profile ordinary": lambda: profiles(ordinary_plan, count, first),
        "chine and sheer": lambda: chines(count, first),
        "round bilge": lambda: round_bilges(count, first),
    }
    for kind, tables in every.items():
        if not kinds or kind in kinds.split(","):
            show(kind, tables())


if __name__ == "__main__":
    main(*(int(word) if word.isdigit() else word for word in sys.argv[1:]))  # type: ignore[arg-type]
