"""Round bilges from few or many rows.  Run: python -m tests.bench.round_rows_bench [count] [first seed]

For each set of rows: how far the surface is out, false alarms on sound tables (in the rows, on the keel, on the
sheer), how often an inch too much or too little in one cell is found and named first, and how many spans are truer
than their band.  Boats of five families, 10, 12 and 13 stations, whole mm, 1/16 and 1/8 in by turns.
"""

from __future__ import annotations

import sys
import tempfile
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from patterns.fairing.bands import SpanBand
from patterns.fairing.lines import Lines, fair_lines
from patterns.fairing.suspects import Suspect
from patterns.hull.planes import FloatArray
from patterns.table.folder import read_folder
from patterns.table.values import BOW
from tests.patterns.analytic_boats import ROUNDINGS
from tests.patterns.round_boats import ALL_ROWS, FORMS, WATERLINES, RoundBoat, round_boat, write_round_table

TABLES: dict[str, Sequence[str]] = {
    "all rows": ALL_ROWS,
    "6 waterlines": WATERLINES,
    "3 waterlines, 1 diagonal": ("WL 2", "WL 4", "WL 6", "D 1"),
    "2 waterlines": ("WL 2", "WL 4"),
    "1 waterline, 1 diagonal": ("WL 4", "D 2"),
}
LEVELS = ("whole mm", "1/16 in", "1/8 in")
INCH = 25.4


@dataclass(slots=True)
class Tally:
    """What was counted over many boats."""

    alarms: Counter[str] = field(default_factory=Counter)
    slips: Counter[str] = field(default_factory=Counter)
    most: list[float] = field(default_factory=list)
    within: list[bool] = field(default_factory=list)
    widths: list[float] = field(default_factory=list)
    warned: int = 0


def span_errors(
    true: RoundBoat, lines: Lines, station_x: FloatArray, names: Sequence[str]
) -> dict[str, float]:
    """The greatest error of the planked surface between neighbouring columns, by the first column's name, mm."""
    girth = lines.girth
    assert girth is not None
    base = true.base
    lean = float(np.tan(base.rake))
    transom = base.aft_x["keel"] - lean * base.keel_z(base.aft_x["keel"])
    edges = [min(girth.fore), *station_x, max(girth.aft)]
    found = {}
    for first, fore, aft in zip((BOW, *names), edges[:-1], edges[1:], strict=True):
        x, r = (
            v.ravel()
            for v in np.meshgrid(np.linspace(fore, aft, 11), np.linspace(0.0, 1.0, 49), indexing="ij")
        )
        points = girth.shape(girth.place(x, r), r)[0]
        x, y, z = points.T
        planked = (x > base.fore_x["sheer"] + 15.0) & (x - lean * z < transom) & (y > base.half + 2.0)
        planked &= z < base.sheer_z(x) + 0.01
        if planked.any():
            found[first] = float(np.abs(true.off(points[planked])).max())
    return found


def _widest(bands: Sequence[SpanBand]) -> dict[str, float]:
    """The widest of a span's bands, by its first column."""
    widest: dict[str, float] = {}
    for band in bands:
        widest[band.first] = max(widest.get(band.first, 0.0), band.half_width)
    return widest


def _slip(folder: Path, rows: Sequence[str], rng: np.random.Generator, tally: Tally) -> None:
    """An inch in one cell of the rows, found or not, named first or not; the file is put back."""
    path = folder / "offsets.csv"
    text = path.read_text(encoding="utf-8")
    table = [row.split(",") for row in text.splitlines()]
    cells = [
        (i, j)
        for i, row in enumerate(table)
        for j in range(3, len(row))
        if row[0] != "position" and row[1] in rows and row[j]
    ]
    i, j = cells[int(rng.integers(len(cells)))]
    mine = [k for k in range(2, len(table[i])) if table[i][k]]
    where = "end" if j in (mine[0], mine[-1]) else "inner"
    table[i][j] = f"{float(table[i][j]) + INCH * rng.choice([-1.0, 1.0]):.6f}"
    path.write_text("\n".join(map(",".join, table)) + "\n", encoding="utf-8")
    suspects = faired(folder)[0].suspects
    path.write_text(text, encoding="utf-8")
    in_rows = [s for s in suspects if s.line in rows]
    tally.slips[where] += 1
    tally.slips[f"{where} found"] += bool(in_rows)
    tally.slips[f"{where} named"] += bool(in_rows) and (in_rows[0].line, in_rows[0].label) == (
        table[i][1],
        table[0][j],
    )


def faired(folder: Path) -> tuple[Lines, FloatArray, tuple[str, ...]]:
    """The lines of a folder, and its stations' positions and names."""
    design, offsets, _ = read_folder(folder)
    return fair_lines(offsets, design), offsets.station_x, offsets.stations


def _group(suspect: Suspect) -> str:
    return suspect.line if suspect.line in ("keel", "sheer") else "rows"


def tally_of(rows: Sequence[str], count: int, first: int) -> Tally:
    """Everything that is counted over ``count`` boats."""
    tally = Tally()
    forms = tuple(FORMS)
    levels = [r for r in ROUNDINGS if r.name in LEVELS]
    for k in range(count):
        true = round_boat(first + k, forms[k % len(forms)])
        rng = np.random.default_rng(first + k)
        with tempfile.TemporaryDirectory() as name:
            folder = Path(name)
            write_round_table(
                true, folder, levels[k % len(levels)], rng, stations=(13, 10, 12)[k % 3], rows=rows,
                bow_ends=k % 2 == 0,
            )  # fmt: skip
            lines, station_x, names = faired(folder)
            tally.alarms.update({_group(s) for s in lines.suspects})
            tally.warned += sum(w.code == "surface-band" for w in lines.warnings)
            errors, widths = span_errors(true, lines, station_x, names), _widest(lines.bands)
            tally.most.append(max(errors.values()))
            tally.within += [error <= widths[at] for at, error in errors.items()]
            tally.widths += widths.values()
            _slip(folder, rows, rng, tally)
    return tally


def main(count: int = 20, first: int = 9000) -> None:
    """Print the table."""
    print(f"{count} boats for each set of rows")
    for title, rows in TABLES.items():
        t = tally_of(rows, count, first)
        print(
            f"{title:26s} max {np.mean(t.most):5.1f} worst {max(t.most):5.1f} mm  "
            f"false alarms rows {t.alarms['rows']} keel {t.alarms['keel']} sheer {t.alarms['sheer']}  "
            + "  ".join(
                f"{where}: found {t.slips[f'{where} found']} named {t.slips[f'{where} named']} of {t.slips[where]}"
                for where in ("inner", "end")
            )
            + f"  in band {100.0 * np.mean(t.within):.1f} % of {len(t.within)} spans, "
            f"±{np.median(t.widths):.1f} mm (90 %: {np.quantile(t.widths, 0.9):.1f})  "
            f"warnings {t.warned / count:.1f} a boat",
            flush=True,
        )


if __name__ == "__main__":
    main(*(int(word) for word in sys.argv[1:]))
