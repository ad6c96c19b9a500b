"""How many pages patterns take.  Run: python -m tests.bench.layout_bench [demo]

Plain outlines of members, on A4 with 10 mm margin and 10 mm overlap, with and without the search for fewer pages,
against two bounds:

- by area: the member's own area over that of a page's cell; below it no layout can be where ink fills the member;
- by length: places on the outline that stand farther apart than a window's diagonal; no two of them share a page.

The targets were measured once with all of the sheet within the margins as window; here strips with rulers and
words take 9 and 18 mm of it.  So each outline is laid out on a sheet that is larger by those strips, too, and on
letter.  Of rows or columns that slide, at any steps and 1 mm apart, none takes the stem on fewer than 12.  With
``demo`` the whole demo is made, with the search and without.
"""

from __future__ import annotations

import math
import re
import sys
import tempfile
import time
from dataclasses import replace
from pathlib import Path

import numpy as np
import shapely
from click.testing import CliRunner

from tests.bench.outlines import gussets, outlines
from tiling.drawing import Drawing
from tiling.job import Piece
from tiling.layout.page_layout import lay_out
from tiling.paper import STRIP_LEFT, Page, Paper, parse_paper
from tiling.planning.plan import plan_pieces

A4 = Page(paper=parse_paper("A4"), margin=10.0, overlap=10.0)
WITHOUT_STRIPS = replace(
    A4, paper=Paper(name="A4 and strips", width=210.0 + STRIP_LEFT, height=297.0 + A4.strip_bottom)
)
LETTER = replace(A4, paper=parse_paper("letter"))
TARGETS = {
    "U frame 1.5 m": 14,
    "closed ring": 18,
    "curved stem 2 m": 11,
    "deck beam 1.3 m": 5,
    "knee 0.4 m": 4,
    "twenty gussets": 21,
}


def by_area(drawing: Drawing, page: Page) -> int:
    """Pages that the member's area fills."""
    outer, *inner = (shapely.Polygon(path.points) for path in drawing.paths)
    wood = outer.difference(shapely.union_all(inner))
    return math.ceil(float(wood.area) / math.prod(page.step))


def by_length(drawing: Drawing, page: Page) -> int:
    """Places farther from one another than a window's diagonal, chosen one after the other along the outline."""
    x0, y0, x1, y1 = page.window
    diagonal = math.hypot(x1 - x0, y1 - y0)
    points = np.vstack(
        [shapely.segmentize(shapely.LineString(path.points), 5.0).coords for path in drawing.paths]
    )
    most = 0
    for first in range(0, len(points), max(1, len(points) // 40)):
        chosen: list[np.ndarray] = []
        for point in np.roll(points, -first, axis=0):
            if all(np.hypot(*(point - other)) > diagonal for other in chosen):
                chosen.append(point)
        most = max(most, len(chosen))
    return most


def counted(drawing: Drawing, page: Page) -> tuple[int, int, str, float]:
    """Pages without and with the search, how it lies, and the time that the search took, s."""
    start = time.perf_counter()
    layout = lay_out(drawing, page, search=True)
    spent = time.perf_counter() - start
    turn = round(math.degrees(layout.turn))
    how = (f"{turn}°" if layout.turned else "as drawn") + (", shifted" if layout.shifted else "")
    how += ", uneven" if layout.uneven else ""
    return layout.plain, len(layout.tiles), how, spent


def members() -> None:
    """A line for each outline on each sheet."""
    for page in (A4, WITHOUT_STRIPS, LETTER):
        x0, y0, x1, y1 = page.window
        print(f"{page.paper.name}: window {x1 - x0:g} x {y1 - y0:g} mm")
        print(f"  {'':18s} area length  plain search target")
        for name, drawing in outlines().items():
            plain, searched, how, spent = counted(drawing, page)
            target = TARGETS.get(name, "") if page is WITHOUT_STRIPS else ""
            print(
                f"  {name:18s} {by_area(drawing, page):4d} {by_length(drawing, page):6d} {plain:6d} {searched:6d}"
                f" {target!s:>6s}  {how}, {spent:.2f} s"
            )
        _gussets(page)


def _gussets(page: Page) -> None:
    plates = gussets()
    pieces = [
        Piece(made_from="formula", name=f"gusset {i}", drawing=plate)
        for i, plate in enumerate(plates, start=1)
    ]
    area = math.ceil(sum(shapely.Polygon(p.paths[0].points).area for p in plates) / math.prod(page.step))
    plain = sum(len(plan.layout.tiles) for plan in plan_pieces(pieces, page))
    alone = sum(len(plan.layout.tiles) for plan in plan_pieces(pieces, page, search=True))
    shared = sum(len(plan.layout.tiles) for plan in plan_pieces(pieces, page, search=True, share="nested"))
    target = TARGETS["twenty gussets"] if page is WITHOUT_STRIPS else ""
    print(f"  {'twenty gussets':18s} {area:4d} {'':6s} {plain:6d} {shared:6d} {target!s:>6s}  alone {alone}")


def demo() -> None:
    """The whole demo with the search and without."""
    from patterns.cli import main as scrieve

    folder = Path(__file__).parents[2] / "demo_design"
    spent = {}
    for words in ("--quick", ""):
        with tempfile.TemporaryDirectory() as into:
            start = time.perf_counter()
            given = ["patterns", str(folder), "--output", f"{into}/out", "--paper", "a4", *words.split()]
            result = CliRunner().invoke(scrieve, given)
            spent[words] = time.perf_counter() - start
        assert result.exit_code == 0, result.output
        found = re.search(r"on (\d+) A4 pages", result.output)
        assert found is not None
        print(f"demo {words or 'with the search':16s} {found[1]} pages, {spent[words]:.1f} s")
    print(f"ratio of time {spent[''] / spent['--quick']:.2f}")


if __name__ == "__main__":
    members()
    if "demo" in sys.argv[1:]:
        demo()
