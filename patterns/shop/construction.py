"""The construction drawing: profile, plan and sections with every member in its place, numbered and named.

The same drawings are on paper and on the screen.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache, partial

import numpy as np
import shapely

from patterns.boat import Boat
from patterns.flat import overlays
from patterns.flat.roomiest import roomiest
from patterns.flat.shapes import parts_of
from patterns.hull.planes import FloatArray, Plane
from patterns.hull.sections import cut_hull
from patterns.pattern import Pattern
from patterns.shop.members_seen import FROM_ABOVE, FROM_THE_SIDE, Member, cut_by, members_of, seen
from patterns.shop.set_up import MOULD, SetUpPiece, stands
from patterns.shop.views import CENTRE, GRID, PITCH, SECTION, every_line, fitting, sampled, spread
from patterns.wood.region import Area
from tiling.books.book import Book
from tiling.drawing import XY, Drawing, Note, Path

__all__ = [
    "Construction",
    "ConstructionView",
    "NamedArea",
    "add_construction",
    "construction_of",
    "drawn_view",
]

NOTE = 2.5  # height of a capital, mm
CLEAR = 4.0  # mm of paper from what is drawn to the rows of numbers
SIDE_TALL, SECTION_TALL = 75.0, 54.0  # mm of paper that a view may take
EVEN = 0.15  # mm of paper; finer steps of an outline are left out


@dataclass(frozen=True, kw_only=True, eq=False)
class NamedArea:
    """A member, or a piece of one, as it is seen in one view.

    Attributes:
        label: what is printed beside it.
        name: the whole of its name.
        area: what it covers, mm.
    """

    label: str
    name: str
    area: Area

    @cached_property
    def place(self) -> XY:
        """A place well within its largest part."""
        x, y, _ = roomiest(max(parts_of(self.area, least=0.0), key=lambda part: part.area))
        return x, y


@dataclass(frozen=True, kw_only=True, eq=False)
class ConstructionView:
    """One view: what is named in it, and the hull's lines behind; mm of the boat.

    Attributes:
        title: what it shows.
        named: members with their areas.
        lines: the hull's lines, each (n, 2).
        beside: labels are set in a column on the right, not in rows above and below.
        level: what the level line at 0 is, where they are set in rows.
        listed: the members' names are listed below it.
    """

    title: str
    named: tuple[NamedArea, ...]
    lines: tuple[FloatArray, ...]
    beside: bool = False
    level: str = ""
    listed: bool = False


@dataclass(frozen=True, kw_only=True, eq=False)
class Construction:
    """A boat with all her members."""

    boat: Boat
    patterns: tuple[Pattern, ...]

    @cached_property
    def members(self) -> tuple[Member, ...]:
        """In the order of work."""
        return members_of(self.boat, self.patterns)

    @cached_property
    def views(self) -> tuple[ConstructionView, ...]:
        """Profile, plan, and a section at every frame and transom."""
        sections = (self._section(stand) for stand in stands(self.boat, self.patterns) if _is_part(stand))
        return (self._profile(), self._plan(), *(each for each in sections if each.named))

    def _profile(self) -> ConstructionView:
        named, lines = self._seen(FROM_THE_SIDE), self._lines(FROM_THE_SIDE)
        return ConstructionView(title="Profile", named=named, lines=lines, level="base")

    def _plan(self) -> ConstructionView:
        """The starboard half: what lies on the centreline is cut there."""
        half = shapely.box(-1e6, 0.0, 1e6, 1e6)
        named = [
            NamedArea(label=each.label, name=each.name, area=overlays.intersection(each.area, half))
            for each in self._seen(FROM_ABOVE)
        ]
        return ConstructionView(
            title="Plan, starboard half",
            named=tuple(each for each in named if not each.area.is_empty),
            lines=self._lines(FROM_ABOVE),
            level="centreline",
            listed=True,
        )

    def _seen(self, way: FloatArray) -> tuple[NamedArea, ...]:
        return tuple(
            NamedArea(label=str(member.number), name=member.name, area=area)
            for member in self.members
            if not (area := seen(member, way)).is_empty
        )

    def _lines(self, way: FloatArray) -> tuple[FloatArray, ...]:
        return tuple(sampled(curve) @ way.T for _, curve in every_line(self.boat))

    def _section(self, stand: SetUpPiece) -> ConstructionView:
        """What a plane through the middle of a piece's wood cuts on the starboard side, planking and deck too."""
        plane = stand.plane.moved(0.5 * stand.siding * stand.sided)
        half = shapely.box(plane.centre, -1e6, 1e6, 1e6)
        named = [
            NamedArea(label=name, name=name, area=overlays.intersection(area, half))
            for member in self.members
            for name, area in cut_by(member, plane)
        ]
        named += self._planking(plane)
        return ConstructionView(
            title=f"Section in the middle of {stand.name}",
            named=tuple(each for each in named if not each.area.is_empty),
            lines=(cut_hull(self.boat.hull, plane).deck.uv,),
            beside=True,
        )

    def _planking(self, plane: Plane) -> Iterator[NamedArea]:
        """Each strake between its inside and its outside."""
        for strake in self.boat.hull.strakes:
            faces = [strake.across(plane, inset=strake.inset - thick) for thick in (0.0, strake.planking)]
            edges = [face.uv[(face.r >= 0.0) & (face.r <= 1.0)] for face in faces if face is not None]
            if len(edges) == 2 and min(map(len, edges)) > 1:
                ring = np.vstack([edges[0], edges[1][::-1]])
                name = f"{strake.name} planking"
                yield NamedArea(label=name, name=name, area=shapely.make_valid(shapely.Polygon(ring)))


@lru_cache(maxsize=1)  # paper and screen show the same
def construction_of(boat: Boat, patterns: tuple[Pattern, ...]) -> Construction:
    """The boat with all her members."""
    return Construction(boat=boat, patterns=patterns)


def _is_part(stand: SetUpPiece) -> bool:
    """Whether it stays in the boat; moulds are taken out again."""
    return stand.member != MOULD


def drawn_view(view: ConstructionView, scale: float, *, height: float = NOTE) -> Drawing:
    """A view at a scale, each member's label with a leader to its wood.

    Args:
        height: of a capital of the labels, mm.
    """
    paths = [Path(points=scale * line, stroke=GRID) for line in view.lines]
    for each in view.named:
        for part in parts_of(each.area, least=0.0):
            for ring in (part.exterior, *part.interiors):
                few = np.asarray(ring.simplify(EVEN / scale).coords)[:-1]
                if len(few) > 2:
                    paths.append(Path(points=scale * few, stroke=SECTION, closed=True))
    every = np.vstack([path.points for path in paths])
    low, high = every.min(axis=0), every.max(axis=0)
    places = [(scale * np.array(each.place), each.label) for each in view.named]
    leaders, notes = (_beside if view.beside else _around)(places, low, high, height)
    if not view.beside:
        ends = np.array([[low[0] - 4.0, 0.0], [high[0] + 4.0, 0.0]])
        paths.append(Path(points=ends, stroke=CENTRE))
        notes.append(
            Note(text=view.level, target=(float(ends[1, 0]), 0.0), towards=(1.0, 0.0), height=height)
        )
    return Drawing(paths=(*paths, *leaders), notes=tuple(notes))


def _beside(
    places: Sequence[tuple[FloatArray, str]], low: FloatArray, high: FloatArray, height: float
) -> tuple[list[Path], list[Note]]:
    """Labels in a column to the right, from the lowest place up."""
    at = spread([float(place[1]) for place, _ in places], PITCH * height)
    edge = float(high[0]) + 2.0 * CLEAR
    leaders = [
        Path(points=np.array([place, [edge - CLEAR, y], [edge, y]]), stroke=GRID)
        for (place, _), y in zip(places, at, strict=True)
    ]
    notes = [
        Note(text=label, target=(edge, y), towards=(1.0, 0.0), height=height)
        for (_, label), y in zip(places, at, strict=True)
    ]
    return leaders, notes


def _around(
    places: Sequence[tuple[FloatArray, str]], low: FloatArray, high: FloatArray, height: float
) -> tuple[list[Path], list[Note]]:
    """Labels in a row above for the upper half of the places, and in one below for the others."""
    order = sorted(places, key=lambda each: float(each[0][1]))
    leaders, notes = [], []
    half = len(order) // 2
    rows = ((order[:half], float(low[1]) - CLEAR, -1.0), (order[half:], float(high[1]) + CLEAR, 1.0))
    for row, y, way in rows:
        at = spread([float(place[0]) for place, _ in row], 2.2 * height)
        for (place, label), x in zip(row, at, strict=True):
            leaders.append(Path(points=np.array([place, [x, y]]), stroke=GRID))
            notes.append(Note(text=label, target=(x, y), towards=(0.0, way), height=height))
    return leaders, notes


def add_construction(book: Book, boat: Boat, patterns: Sequence[Pattern]) -> None:
    """The drawing as a chapter of the loft book."""
    what = construction_of(boat, tuple(patterns))
    if not what.members:
        return
    book.chapter(
        "Construction",
        words="Every member where it lies, numbered in the order of work. What is on both sides is named once, to "
        "starboard. A section shows what its plane cuts, and the pieces beside it. Do not measure from these "
        "pictures.",
    )
    for view in what.views:
        column = PITCH * NOTE * len(view.named) + 2.0 * CLEAR
        tall = max(SECTION_TALL, column) if view.beside else SIDE_TALL
        scale, drawing = fitting(partial(drawn_view, view), wide=book.room, tall=tall)
        book.heading(f"{view.title}, 1:{scale}", keep=tall)
        book.picture(drawing)
        if view.listed:
            book.paragraph("; ".join(f"{member.number} {member.name}" for member in what.members) + ".")
