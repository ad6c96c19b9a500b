"""The planking's tables for the shop: the planks' widths as lined off, and the lands of clinker planks."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from patterns.boat import Boat
from patterns.design.cross_plank_models import CrossPlanksSpec
from patterns.design.strip_models import StripsSpec
from patterns.joinery.cross_planks import cross_planks
from patterns.joinery.lands import PlankLand, lands_of
from patterns.joinery.plank_lines import plank_lines
from patterns.joinery.strip_runs import strip_run
from patterns.shop.cells import csv_text
from patterns.text.angles import angle_words
from tiling.books.book import Book
from tiling.books.table_columns import BookRow, Column

__all__ = ["add_planking", "bottom_table", "land_table", "lining_table", "strip_table"]


def lining_table(boat: Boat) -> str:
    """The planks' widths at hood ends, stations and after ends, mm, as CSV; empty where she is not lined off."""
    rows = list(_widths(boat))
    return csv_text(rows) if rows else ""


def _widths(boat: Boat) -> Iterator[Sequence[object]]:
    """A head and a row for each plank, from the sheer down."""
    lines = plank_lines(boat)
    if lines is None:
        return
    ends = {0.0: "hood end"} if lines.hood is not None else {}
    stations = dict(zip(boat.offsets.stations, (float(x) for x in boat.offsets.station_x), strict=True))
    there = {name: lines.widths(x) for name, x in stations.items() if lines.begins <= x <= lines.ends}
    after = lines.after_ends()
    yield ("plank_mm", *ends.values(), *there, "after end")
    for number in range(len(lines.down) + 1, 0, -1):
        hood = [] if lines.hood is None else [f"{lines.hood:.1f}" if number > 1 else ""]
        at = [_figure(found.get(number)) for found in there.values()]
        yield (number, *hood, *at, _figure(after.get(number)))


def _figure(width: float | None) -> str:
    return "" if width is None or width < 0.05 else f"{width:.1f}"


def land_table(boat: Boat) -> str:
    """Every land of clinker planks, by the lower plank and place, as CSV; empty where there are none."""
    rows: list[Sequence[object]] = [
        (
            "lower plank",
            "upper plank",
            "where",
            "aft_mm",
            "lap_mm",
            "bevel_deg",
            "planed_mm",
            "let_in_mm",
            "left_mm",
        )
    ]
    rows += [
        (
            land.below,
            land.above,
            land.where,
            f"{land.aft:.1f}",
            f"{land.width:g}",
            f"{np.degrees(land.bevel):.2f}",
            f"{land.planed:.1f}",
            f"{land.let_in:.1f}",
            f"{land.left:.1f}",
        )
        for strake in boat.hull.strakes
        for land in lands_of(boat, strake)
    ]
    return csv_text(rows) if len(rows) > 1 else ""


def bottom_table(boat: Boat) -> str:
    """The planks of a bottom planked across, as CSV; empty where it is not."""
    rows = list(_bottom_rows(boat))
    head = ("plank", "from_mm", "to_mm", "aft_mm", "rough_length_mm")
    return csv_text([head, *rows]) if rows else ""


def _bottom_rows(boat: Boat) -> Iterator[tuple[str, ...]]:
    for plank in cross_planks(boat):
        lengths = f"{plank.starts:.0f}", f"{plank.ends:.0f}", f"{plank.aft:.0f}", f"{plank.rough:.0f}"
        yield (str(plank.number), *lengths)


def strip_table(boat: Boat) -> str:
    """Girths and strips at every station, as CSV; empty where she is not planked in strips."""
    rows = list(_strip_rows(boat))
    return csv_text([STRIP_HEADS, *rows]) if rows else ""


STRIP_HEADS = ("station", "girth mm", "to first strip mm", "strips below", "strips above")


def _strip_rows(boat: Boat) -> Iterator[tuple[str, ...]]:
    sheer = boat.hull.lines[boat.hull.strakes[-1].upper]
    first, last = (float(sheer.at(np.array(t))[0]) for t in (sheer.start, sheer.end))
    for name, x in zip(boat.offsets.stations, boat.offsets.station_x, strict=True):
        strips = strip_run(boat, float(x)) if first <= x <= last else None
        if strips is not None:
            yield name, f"{strips.girth:.1f}", _figure(strips.up), str(strips.below), str(strips.above)


def _add_strips(book: Book, boat: Boat) -> None:
    """The chapter on strip planking; none where there is none."""
    rows = list(_strip_rows(boat))
    if not rows:
        return
    [spec] = boat.design.all(StripsSpec)
    most = max(int(row[3]) + int(row[4]) for row in rows)
    where = "along the sheer" if spec.first is None else f"level, its lower edge {spec.first:g} mm above base"
    book.chapter(
        "Strips",
        words=f"Strips that each cover {spec.width:g} mm, the first one laid {where}. It takes {most} to a side "
        "where the girth is greatest; towards the ends they run out or are tapered.",
    )
    head = [Column(head=STRIP_HEADS[0]), *(Column(head=each, align="right") for each in STRIP_HEADS[1:])]
    book.table(head, [BookRow(cells=row) for row in rows])


def _add_bottom(book: Book, boat: Boat) -> None:
    """The chapter on a bottom planked across; none where it is not."""
    planks = cross_planks(boat)
    if not planks:
        return
    [spec] = boat.design.all(CrossPlanksSpec)
    book.chapter(
        "Bottom planked across",
        words=f"{len(planks)} planks of {spec.stock}, {spec.width:g} mm wide, to rough lengths in mm: each runs "
        f"{spec.trim:g} mm past the sides, to be trimmed in place. From, to: along the bottom from its fore end. "
        f"In all {sum(plank.rough for plank in planks) / 1000.0:.1f} m, without waste.",
    )
    heads = ("plank", "from", "to", "aft", "rough length")
    book.table(
        [Column(head=head, align="right") for head in heads],
        [BookRow(cells=row) for row in _bottom_rows(boat)],
    )


def add_planking(book: Book, boat: Boat) -> None:
    """The chapters on a bottom planked across, on strips, lining off and lands; none of what the boat has not."""
    _add_bottom(book, boat)
    _add_strips(book, boat)
    widths = list(_widths(boat))
    if widths:
        book.chapter(
            "Lining off",
            words="The planks' widths, mm, over the outside of planking: at the stations square to the centreline, "
            "at the hood ends along the rabbet, at the after ends along the transom's edge. Hold a batten to the "
            "marks on the moulds, sight along it, and move a mark where the batten does not lie fair.",
        )
        head = [Column(head="plank"), *(Column(head=str(each), align="right") for each in widths[0][1:])]
        book.table(head, [BookRow(cells=tuple(str(cell) for cell in row)) for row in widths[1:]])
    lands = {strake.name: lands_of(boat, strake) for strake in boat.hull.strakes}
    places = list(dict.fromkeys(land.where for each in lands.values() for land in each))
    if not places:
        return
    book.chapter(
        "Lands",
        words="What is planed off the outside of each lower plank at its land: the bevel, how much is off at its "
        "upper edge, mm, and in brackets what is left there.",
    )
    planks = [name for name, found in lands.items() if found]
    at = {(land.below, land.where): _land(land) for found in lands.values() for land in found}
    rows = [BookRow(cells=(where, *(at.get((name, where), "") for name in planks))) for where in places]
    book.table([Column(head="at"), *(Column(head=name, align="right") for name in planks)], rows)


def _land(land: PlankLand) -> str:
    return f"{angle_words(max(land.bevel, 0.0))}, {land.planed:.1f} ({land.left:.1f})"
