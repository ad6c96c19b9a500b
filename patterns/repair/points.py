"""The file of measured points: one row a point, from the keel up on each side."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Literal

import numpy as np

from patterns.design.repair_models import WAYS, Way
from patterns.errors import Problem
from patterns.measure import BadLength, Notation, parse_angle
from patterns.measure.letters import unprintable
from patterns.measure.nearest import nearest, written
from patterns.repair.places import SIDES, Places, Side
from patterns.table.cell_lengths import CellReader
from patterns.table.headings import columns_of
from patterns.table.spreadsheet import Row, is_empty, read_sheet, too_many
from patterns.table.values import Place

__all__ = ["EXAMPLE", "HEADINGS", "METHODS", "VALUES", "MeasuredPoint", "Method", "read_points"]

Method = Literal["nails", "ordinate", "half-breadth"]
METHODS: tuple[Method, ...] = ("nails", "ordinate", "half-breadth")
VALUES = ("a", "b", "c")
NEEDED = ("side", "edge", "point", "method", "from", "a", "b")
MORE = ("c", "lies", "corner", "bevel")
HEADINGS = ("side", "edge", "point", "method", "from", "a", "b", "c", "lies", "corner", "bevel")
MEASURED = ("method", "from", *VALUES, "lies", "bevel")
EXAMPLE = "example"  # in the column side: a row that is not read
YES, NO = ("yes", "y", "x", "true", "1"), ("", "no", "n", "false", "0", "-")
MOST_POINTS = 500  # no frame is measured in more places (common practice, no source)
LONGEST, LETTERED = 24, "write it shorter: it is lettered on patterns"
SHARPEST = np.radians(40.0)  # a bevel beyond this is a slip: no gauge reads it on a frame
FROM = {
    "nails": 'the nails\' names, e.g. "A B"',
    "ordinate": "the straight edge's name",
    "half-breadth": "nothing: it is taken from the centreline and from base",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasuredPoint:
    """One point as it was measured.

    Attributes:
        edge: the stretch of the frame's edge that it lies on.
        corner: what stands at it, where the edge turns there ("chine"; "corner" where no more is said); else empty.
        sources: the nails, or the straight edge.
        values: what was read, mm: distances from the nails in their order; along and off a straight edge;
            half-breadth and height.
        lies: the side of the line through the first two nails.
        bevel: the angle through the old wood, stock on the measured face, radians.
        places: the cell of each value.
        place: the cell of its name.
    """

    side: Side
    edge: str
    name: str
    corner: str
    method: Method
    sources: tuple[str, ...]
    values: tuple[float, ...]
    lies: Way | None
    bevel: float | None
    places: tuple[Place, ...]
    place: Place


def read_points(
    path: Path, *, notation: Notation, known: Places
) -> tuple[tuple[MeasuredPoint, ...], list[Problem]]:
    """The points of a file in its order.

    Args:
        notation: how its lengths are written.
        known: the nails and straight edges that it may name.
    Returns:
        The points that could be read; and every problem.
    """
    sheet, problems = read_sheet(path)
    if sheet is None:
        return (), problems
    reader = CellReader(sheet=sheet, notation=notation)
    columns = columns_of(reader, sheet.rows[0], needed=NEEDED, more=MORE, of="the points")
    if columns is None:
        return (), reader.problems
    if (problem := too_many(sheet.file, sheet.rows[1:], MOST_POINTS)) is not None:
        return (), [problem]
    rows = [_Reader(reader, columns, row, known).point() for row in sheet.rows[1:]]
    found = tuple(point for point in rows if point is not None)
    if not reader.problems:
        _check_order(reader, found)
    if not found and not reader.problems:
        reader.trouble(
            sheet.file, "holds no points", "give them from the keel up, a row each", code="no-points"
        )
    return found, reader.problems


@dataclass(frozen=True, slots=True)
class _Reader:
    """Reads one row."""

    cells: CellReader
    columns: dict[str, int]
    row: Row
    known: Places

    def text(self, heading: str) -> str:
        return self.row.text(self.columns[heading]) if heading in self.columns else ""

    def place(self, heading: str) -> Place:
        return self.cells.place(self.row, self.columns.get(heading, 0), heading)

    def trouble(self, heading: str, what: str, want: str, *, code: str) -> None:
        self.cells.trouble(self.place(heading), what, want, code=code)

    def choice(self, heading: str, options: Iterable[str]) -> str | None:
        """One of some words."""
        text, words = self.text(heading).lower().replace("half breadth", "half-breadth"), list(options)
        if text in words:
            return text
        guess = "" if heading == "side" else nearest(text, words)  # larboard is no starboard
        want = f"write {written(words)}" + (f" ({guess})" if guess else "")
        self.trouble(
            heading,
            f'"{text}" is not valid' if text else f"the {heading} is missing",
            want,
            code="invalid-choice",
        )
        return None

    def point(self) -> MeasuredPoint | None:
        if self.text("side").lower() == EXAMPLE or all(is_empty(self.text(one)) for one in MEASURED):
            return None  # it shows how a row is written, or is ready for a point that was not measured
        before = len(self.cells.problems)
        side, method = self.choice("side", SIDES), self.choice("method", METHODS)
        for heading in ("edge", "point", "corner"):
            text = self.text(heading)
            if len(text) > LONGEST or unprintable(text):
                self.trouble(
                    heading,
                    f"the {heading} has more than {LONGEST} letters, or some that do not print",
                    LETTERED,
                    code="bad-name",
                )
            elif not text and heading != "corner":
                self.trouble(
                    heading,
                    f"this row has no {heading}",
                    "every point has its edge's name and its own",
                    code="point-without-name",
                )
        sources = () if method is None else self.sources(method)
        placed = method is not None and (sources or method == "half-breadth")
        values = self.values(str(method), len(sources)) if placed else ()
        lies, corner, bevel = self.lies(method, len(sources)), self.corner(), self.bevel()
        if len(self.cells.problems) > before:
            return None
        return MeasuredPoint(
            side="port" if side == "port" else "starboard",
            edge=self.text("edge"),
            name=self.text("point"),
            corner=corner,
            method=next(one for one in METHODS if one == method),
            sources=sources,
            values=values,
            lies=lies,
            bevel=bevel,
            places=tuple(self.place(heading) for heading in VALUES[: len(values)]),
            place=self.place("point"),
        )

    def sources(self, method: str) -> tuple[str, ...]:
        """What it was measured from."""
        text = self.text("from")
        if method == "half-breadth":
            if not is_empty(text):
                self.trouble(
                    "from",
                    f'"{text}" is not valid for method {method}',
                    f"write {FROM[method]}",
                    code="invalid-choice",
                )
            return ()
        there = self.known.nails if method == "nails" else self.known.edges
        names = tuple(re.sub("[+,;]", " ", text).split()) if method == "nails" else (text,)
        if method == "nails" and len(names) not in (2, 3):
            self.trouble(
                "from",
                f"there are {len(names)} nails",
                f"write two or three of {FROM[method]}",
                code="nails-count",
            )
            return ()
        for i, name in enumerate(names):
            if name in names[:i]:
                self.trouble("from", f'nail "{name}" is named twice', "name different ones", code="same-name")
            elif name not in there and name not in self.known.broken:
                kind = "nail" if method == "nails" else "straight edge"
                guess = nearest(name, there) or (f"there are {written(there)}" if there else "")
                want = guess or f"give it as [[{kind.replace(' ', '_')}]] in the design file"
                self.trouble(
                    "from",
                    f'"{name}" is not a {kind} of the design',
                    want,
                    code="unknown-name",
                )
        return names

    def values(self, method: str, nails: int) -> tuple[float, ...]:
        """The lengths in their columns."""
        many = max(nails, 2) if method == "nails" else 2
        found = []
        for heading in VALUES[:many]:
            value = self.cells.length(self.text(heading), self.place(heading))
            if value is not None:
                found.append(float(value))
                if method == "nails" and value <= 0:
                    self.trouble(
                        heading,
                        f'"{self.text(heading)}" is not a valid distance',
                        "write a length of more than 0",
                        code="distance-not-positive",
                    )
            elif is_empty(self.text(heading)):
                what = {"nails": "distance", "ordinate": "ordinate", "half-breadth": "half-breadth or height"}
                self.trouble(
                    heading, f"this {what[method]} is missing", self.cells.wanted, code="value-missing"
                )
        for heading in VALUES[many:]:
            if not is_empty(self.text(heading)):
                self.trouble(
                    heading,
                    f'"{self.text(heading)}" is one value too many for method {method}',
                    "remove it",
                    code="value-too-many",
                )
        return tuple(found)

    def lies(self, method: str | None, nails: int) -> Way | None:
        """The side of the nails' line; two distances alone have two answers."""
        text = self.text("lies").lower()
        if is_empty(text):
            if method == "nails" and nails == 2:
                self.trouble(
                    "lies" if "lies" in self.columns else "from",
                    "two distances have two answers, one on each side of the line through the nails",
                    f"write on which side the point lies, in the column lies: {written(WAYS)}; or measure a third",
                    code="side-of-nails-missing",
                )
            return None
        found = next((way for way in WAYS if way == text), None)
        if found is None:
            self.choice("lies", WAYS)
        return found

    def corner(self) -> str:
        text = self.text("corner")
        if text.lower() in NO:
            return ""
        return "corner" if text.lower() in YES else text

    def bevel(self) -> float | None:
        """A gauge's reading through the old wood."""
        text = self.text("bevel")
        if is_empty(text):
            return None
        try:
            angle = parse_angle(text)
        except BadLength as error:
            self.trouble(
                "bevel", error.what, 'write the angle through the wood, e.g. "78 deg"', code=error.code
            )
            return None
        if abs(angle - 0.5 * np.pi) > SHARPEST:
            self.trouble(
                "bevel",
                f'"{text}" is not a possible bevel of a frame',
                "write the angle through the wood: 90 deg is square",
                code="bevel-impossible",
            )
            return None
        return angle


def _check_order(reader: CellReader, points: tuple[MeasuredPoint, ...]) -> None:
    """Names are not used twice, and an edge ends at a corner."""
    for side in SIDES:
        own = [point for point in points if point.side == side]
        names = [point.name for point in own]
        for i, point in enumerate(own):
            if names.index(point.name) != i:
                reader.trouble(
                    point.place,
                    f"point {point.name} of the {side} side is also in row "
                    f"{own[names.index(point.name)].place.row}",
                    "give each point a name of its own",
                    code="same-name",
                )
        for before, after in pairwise(own):
            if before.edge != after.edge and not (before.corner or after.corner):
                reader.trouble(
                    after.place,
                    f"between the points {before.name} and {after.name} the edge turns from {before.edge} to "
                    f"{after.edge}, and neither is a corner",
                    "measure the corner itself and name it in the column corner, e.g. chine",
                    code="turn-without-corner",
                )
        if own and len(own) < 3:
            reader.trouble(
                own[0].place,
                f"the {side} side has {len(own)} points",
                "give three or more, from the keel up",
                code="too-few-points",
            )
