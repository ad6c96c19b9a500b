"""A piece laid on its pages with its words and distances in place."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import chain
from typing import Any

import numpy as np

from tiling.distances.checks import Check, checks_of, targets_of, with_targets
from tiling.distances.edge_lengths import edge_distances
from tiling.distances.gaps import across_gaps
from tiling.distances.straight_lines import StraightLine, straight_lines, with_straight_lines
from tiling.drawing import Distance, Drawing, Note
from tiling.errors import TilingError
from tiling.layout.page_layout import PageLayout, Tile, layouts
from tiling.layout.shared_pages import Shared
from tiling.layout.slides import slid
from tiling.lettering.floor_names import FloorName
from tiling.lettering.label_placement import Words, letter
from tiling.paper import Page
from tiling.planning.request import Piece
from tiling.text.figures import directed

__all__ = [
    "Aids",
    "Alone",
    "Plan",
    "anchored",
    "crossing",
    "known_distances",
    "lettered",
    "plan_on",
    "plan_piece",
    "planned",
    "together",
]

CROSSING = 1  # so many words may lie across a stroke before fewer are said of a drawing that is not full size


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Aids:
    """What the taped pages are checked by.

    Attributes:
        distances: the long distances, drawing coordinates.
        lines: straight lines over all rows.
    """

    distances: tuple[Distance, ...]
    lines: tuple[StraightLine, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Plan:
    """A piece laid on its pages.

    Attributes:
        label: its name on pages, elided where it is long; no two are alike.
        drawing: with the targets of its long distances.
        checks: the distances to be measured.
        aids: what these and the straight lines are made of.
        shared: how its parts lie, where it is laid together of several.
        names: the pages' names, to be read from above.
        saved: pages fewer than it takes, or its parts take each alone, placed without a search.
        mark: its own short mark, on each of its pages; empty where it has none yet.
        kept: the record of an earlier run by which it keeps mark and pages; None: it is laid anew.
    """

    piece: Piece
    label: str
    drawing: Drawing
    layout: PageLayout
    words: tuple[Words, ...]
    checks: tuple[Check, ...]
    aids: Aids
    shared: Shared | None = None
    names: tuple[FloorName, ...] = ()
    saved: int = 0
    mark: str = ""
    kept: Mapping[str, Any] | None = None

    def page_name(self, tile: Tile) -> str:
        """The printed name of a page, which is its label in the file too."""
        return f"{self.label} {tile.name}"


def _fits_one_page(drawing: Drawing, page: Page) -> bool:
    x0, y0, x1, y1 = page.window
    left, low, right, high = drawing.needed().bounds()
    wide, tall = sorted((right - left, high - low))
    return wide <= min(x1 - x0, y1 - y0) and tall <= max(x1 - x0, y1 - y0)


def plan_piece(piece: Piece, page: Page, *, label: str, search: bool = False) -> Plan:
    """Lay one piece on its pages, the fewest found.

    Args:
        search: it may be turned by any angle and its rows of pages shifted, where that saves pages.
    Raises:
        TilingError: nothing is drawn.
    """
    return Alone(piece, page, label=label, search=search).plan


class Alone:
    """A piece on pages of its own; its words are placed when its plan is asked for.

    Attributes:
        layout: the fewest pages found; the plan may have more, where words want room.
    """

    def __init__(self, piece: Piece, page: Page, *, label: str, search: bool) -> None:
        self.piece, self.label = piece, label
        self._known = known_distances(piece, page)
        self._ways = layouts(anchored(piece.drawing, self._known), page, search=search)
        self.layout = next(self._ways)

    @cached_property
    def plan(self) -> Plan:
        """The piece with its words; words across strokes are worth more than a page."""
        plans: list[Plan] = []
        for layout in chain([self.layout], self._ways):
            try:
                plans.append(planned(self.piece, self.label, self._known, layout))
            except TilingError:  # no room for the words
                if len(layout.tiles) == layout.plain:
                    raise
                continue
            if not crossing(plans[0]):
                break
        return next(plan for plan in plans if crossing(plan) <= crossing(plans[-1]))


def known_distances(piece: Piece, page: Page) -> tuple[Distance, ...]:
    """The long distances of a piece.

    Raises:
        TilingError: nothing is drawn.
    """
    if not piece.drawing.paths and not piece.drawing.discs:
        raise TilingError(f"{piece.name}: nothing is drawn")
    return targets_of(piece.drawing, taped=page.paper.roll or not _fits_one_page(piece.drawing, page))


def anchored(drawing: Drawing, known: Sequence[Distance]) -> Drawing:
    """The drawing with the targets of distances, but for those at places that are moved to where pages are."""
    moving = {slide.at for slide in drawing.slides}
    return with_targets(drawing, [gap for gap in known if not {gap.start, gap.end} & moving])


def crossing(plan: Plan) -> int:
    """How many words lie across strokes."""
    return sum(words.crosses for words in plan.words)


def planned(piece: Piece, label: str, known: Sequence[Distance], layout: PageLayout) -> Plan:
    """The plan of a piece on its pages, with distances across gaps and along edges, and straight lines."""
    if len(layout.tiles) == 1 and not layout.page.paper.roll:
        known = ()  # they would prove no more than the page's rulers
    bare = slid(replace(piece.drawing, distances=tuple(known)), layout)
    distances = bare.distances
    if piece.parts:
        return plan_on(piece, label, layout, Aids(distances=distances))
    distances += across_gaps(bare.needed(), layout, distances)
    distances += edge_distances(with_targets(bare, distances), layout, distances)
    drawing = with_targets(bare, distances)
    return plan_on(piece, label, layout, Aids(distances=distances, lines=straight_lines(drawing, layout)))


def plan_on(piece: Piece, label: str, layout: PageLayout, aids: Aids) -> Plan:
    """The plan of a piece on pages that are known, with its words in place.

    Raises:
        TilingError: the words find no room.
    """
    drawing = with_targets(slid(piece.drawing, layout), aids.distances)
    drawing, words = lettered(with_straight_lines(drawing, aids.lines), layout)
    return Plan(
        piece=piece,
        label=label,
        drawing=drawing,
        layout=layout,
        words=words,
        checks=checks_of(aids.distances, layout),
        aids=aids,
        saved=layout.plain - len(layout.tiles),
    )


def lettered(drawing: Drawing, layout: PageLayout) -> tuple[Drawing, tuple[Words, ...]]:
    """The drawing with its words in place: all of them, or where these have no room clear of the strokes, the few
    that do (the map has the rest).

    On a drawing that is not full size as many words stand around much less: there words are
    left out until none has to lie across a stroke, and at last what names holes, marks and lines goes too.
    Raises:
        TilingError: even the fewest find no room.
    """
    drawing = replace(drawing, notes=directed(_of_shown_places(drawing, layout), layout.to_grid))
    few = replace(drawing, notes=tuple(replace(note, text=note.short or note.text) for note in drawing.notes))
    least = replace(few, notes=tuple(note for note in few.notes if not (note.leader and note.rank > 3)))
    full = layout.page.scale.full
    found: list[tuple[int, Drawing, tuple[Words, ...]]] = []
    fewer = any(one.text != other.text for one, other in zip(few.notes, drawing.notes, strict=True))
    for tried in (drawing, few) if full and fewer else (few,):
        try:
            words = letter(tried, layout)
        except TilingError:
            continue
        crossing = sum(placed.crosses for placed in words)
        if crossing <= (0 if full else CROSSING):
            return tried, words
        found.append((crossing, tried, words))
    if full and found:
        return min(found, key=lambda each: each[0])[1:]
    last = few if full else least
    return last, letter(last, layout)


def _of_shown_places(drawing: Drawing, layout: PageLayout) -> tuple[Note, ...]:
    """The notes, those with a leader to the places that pages show; without those of which no page shows any."""
    windows = np.array([tile.window for tile in layout.tiles])
    found = []
    for note in drawing.notes:
        if note.leader:
            places = (note.target, *note.also)
            spots = layout.to_grid.apply(np.array(places))
            within = (spots[:, None] >= windows[:, :2]) & (spots[:, None] <= windows[:, 2:])
            shown = np.any(np.all(within, axis=2), axis=1).tolist()
            seen = [place for place, on in zip(places, shown, strict=True) if on]
            if not seen:
                continue
            note = replace(note, target=seen[0], also=tuple(seen[1:]))
        found.append(note)
    return tuple(found)


def together(parts: Sequence[Piece], labels: Sequence[str], drawing: Drawing) -> Piece:
    """Pieces on the same pages, as one that has all their names.

    Args:
        labels: of the parts.
        drawing: of all of them in their places.
    """
    return Piece(
        name="; ".join(labels),
        drawing=drawing,
        made_from="\n".join(part.made_from for part in parts),
        parts=tuple(parts),
    )
