"""What is asked for (a job of pieces), and each piece laid on its pages with its words and distances in place."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from tiling.distances import Check, checks_of, seams_between, targets_of, with_targets
from tiling.drawing import Distance, Drawing
from tiling.edges import edge_distances
from tiling.errors import TilingError
from tiling.floor_names import FloorName, floor_names
from tiling.fonts import printable
from tiling.gaps import across_gaps
from tiling.kept import Lattice
from tiling.layout import Layout, Tile, lay_on, layouts
from tiling.lettering import Words, letter
from tiling.page_blocks import block_lattice
from tiling.paper import Page
from tiling.pdf import plain
from tiling.printers import Correction
from tiling.sharing import Shared, shared
from tiling.straight import with_straight_line
from tiling.strips import elided

__all__ = ["Job", "Piece", "Plan", "named_plans", "plan_piece", "plan_pieces", "unlike_labels"]

TOGETHER = "small pieces"
ROUNDS = 3  # pieces whose words found no room together are laid anew, so many times at most
LABEL = 90.0  # mm; a piece's name is elided to this on its pages, so that the rest of the line stays readable
LETTERING = 3.5  # height of a capital there, mm
CROSSING = 1  # so many words may lie across a stroke before fewer are said of a drawing that is not full size


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Piece:
    """One thing to be made from one taped pattern.

    Attributes:
        name: as printed on all of its pages.
        facts: short lines for the list and the map (stock, quantity, face).
        drawing: mm.
        parts: the pieces that it is laid together of; empty where it is one.
        alone: it shares no page with others, as it is wanted before them.
    """

    name: str
    facts: tuple[str, ...]
    drawing: Drawing
    parts: tuple[Piece, ...] = ()
    alone: bool = False


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Job:
    """Everything that goes into one file.

    Attributes:
        title: printed on every page (the boat's name).
        mark: short, of the file as a whole: its first pages carry it, and every pattern has one of its own.
        pieces: in the order of printing; one at least.
        page: the paper and how pages join.
        cautions: printed on the first pages.
        first_piece: name of the piece to be made first, as a cheap template; None: none is proposed.
        correction: of the printer that will print it; None: drawn at the very scale.
        share: small pieces may share pages where that saves any.
        roll: the page from a roll that the patterns are on, one by one as long as they need; ``page`` is then that
            of the first pages alone.  None: all are on ``page``.
        search: a piece may be turned by any angle and its rows of pages shifted, where that saves pages.
    """

    title: str
    mark: str
    pieces: tuple[Piece, ...]
    page: Page
    cautions: tuple[str, ...] = ()
    first_piece: str | None = None
    correction: Correction | None = None
    share: bool = True
    search: bool = False
    roll: Page | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Plan:
    """A piece laid on its pages.

    Attributes:
        label: its name on pages, elided where it is long; no two are alike.
        drawing: with the targets of its long distances.
        checks: the distances to be measured.
        names: the pages' names, to be read from above.
        saved: pages fewer than it takes, or its parts take each alone, placed without a search.
        mark: its own short mark, on each of its pages; empty where it has none yet.
    """

    piece: Piece
    label: str
    drawing: Drawing
    layout: Layout
    words: tuple[Words, ...]
    checks: tuple[Check, ...]
    names: tuple[FloorName, ...] = ()
    saved: int = 0
    mark: str = ""

    def page_name(self, tile: Tile) -> str:
        """The printed name of a page, which is its label in the file too."""
        return f"{self.label} {tile.name}"


def _fits_one_page(drawing: Drawing, page: Page) -> bool:
    x0, y0, x1, y1 = page.window
    left, low, right, high = drawing.bounds()
    wide, tall = sorted((right - left, high - low))
    return wide <= min(x1 - x0, y1 - y0) and tall <= max(x1 - x0, y1 - y0)


def plan_piece(
    piece: Piece, page: Page, *, label: str, search: bool = False, lattice: Lattice | None = None
) -> Plan:
    """Lay one piece on its pages.

    Args:
        search: it may be turned by any angle and its rows of pages shifted, where that saves pages.
        lattice: the pages to lay it on as it is; None: the fewest found.
    Raises:
        TilingError: nothing is drawn.
    """
    if not piece.drawing.paths and not piece.drawing.discs:
        raise TilingError(f"{piece.name}: nothing is drawn")
    known = targets_of(piece.drawing, taped=page.paper.roll or not _fits_one_page(piece.drawing, page))
    drawing = with_targets(piece.drawing, known)
    if lattice is not None:
        layout = lay_on(drawing, page, lattice)
        # Of pieces laid together those that lie on one page prove nothing by it that the ruler does not.
        seen = [distance for distance in known if seams_between(layout, distance.start, distance.end)]
        return _planned(piece, label, seen or known, layout)
    ways = layouts(drawing, page, search=search)
    plans: list[Plan] = []
    for layout in ways:
        try:
            plans.append(_planned(piece, label, known, layout))
        except TilingError:  # no room for the words
            if len(layout.tiles) == layout.plain:
                raise
            continue
        if not _crossing(plans[0]):
            break
    # Words across strokes are worth more than a page.
    return next(plan for plan in plans if _crossing(plan) <= _crossing(plans[-1]))


def _crossing(plan: Plan) -> int:
    """How many words lie across strokes."""
    return sum(words.crosses for words in plan.words)


def _planned(piece: Piece, label: str, known: Sequence[Distance], layout: Layout) -> Plan:
    """The plan of a piece on its pages, with distances across gaps and along edges, and straight lines."""
    distances = tuple(known)
    drawing = with_targets(piece.drawing, distances)
    if not piece.parts:
        distances += across_gaps(piece.drawing, layout, distances)
        distances += edge_distances(with_targets(piece.drawing, distances), layout, distances)
        drawing = with_straight_line(with_targets(piece.drawing, distances), layout)
    drawing, words = _lettered(drawing, layout)
    return Plan(
        piece=piece,
        label=label,
        drawing=drawing,
        layout=layout,
        words=words,
        checks=checks_of(distances, layout),
        saved=layout.plain - len(layout.tiles),
    )


def _lettered(drawing: Drawing, layout: Layout) -> tuple[Drawing, tuple[Words, ...]]:
    """The drawing with its words in place: all of them, or where a small piece has no room for that, the few that
    do (the map has the rest), at last without the picture that explains the lines.

    On fewer pages than a plain layout has there may be no clear place for all words either: then the few do that
    keep off the strokes.  On a drawing that is not full size as many words stand around much less: there words are
    left out until none has to lie across a stroke, and at last what names holes, marks and lines goes too.
    Raises:
        TilingError: even the fewest find no room.
    """
    few = replace(drawing, notes=tuple(replace(note, text=note.short or note.text) for note in drawing.notes))
    bare = replace(few, notes=tuple(note for note in few.notes if note.figure is None))
    least = replace(bare, notes=tuple(note for note in bare.notes if not (note.leader and note.rank > 3)))
    full, fewer = layout.page.scale.full, len(layout.tiles) < layout.plain
    tries = (drawing, few, bare) if full else (few, bare, least)
    found: list[tuple[int, Drawing, tuple[Words, ...]]] = []
    for tried in tries[:-1]:
        try:
            words = letter(tried, layout)
        except TilingError:
            continue
        crossing = sum(placed.crosses for placed in words)
        if (full and not fewer) or crossing <= (0 if full else CROSSING):
            return tried, words
        found.append((crossing, tried, words))
    if full and found:
        return min(found, key=lambda each: each[0])[1:]
    return tries[-1], letter(tries[-1], layout)


def plan_pieces(
    pieces: Sequence[Piece], page: Page, *, share: bool = False, search: bool = False
) -> tuple[Plan, ...]:
    """Lay every piece on its pages.

    Args:
        share: small pieces are laid together where that saves pages; they stand where the first of them would.
        search: each may be turned by any angle and its rows of pages shifted, where that saves pages.
    Raises:
        TilingError: there is no piece, or nothing is drawn of one.
    """
    if not pieces:
        raise TilingError("there is no piece to print")
    labels = unlike_labels(pieces)
    plans = [
        plan_piece(piece, page, label=label, search=search)
        for piece, label in zip(pieces, labels, strict=True)
    ]
    plans = _shared(plans, page) if share else plans
    return named_plans(plans)


def named_plans(plans: Sequence[Plan]) -> tuple[Plan, ...]:
    """The plans with names on their pages that are read from above."""
    return tuple(
        replace(plan, names=floor_names(plan.drawing, plan.layout, plan.words, label=plan.label))
        for plan in plans
    )


def _shared(plans: list[Plan], page: Page) -> list[Plan]:
    """The plans with those taken together whose pieces need fewer pages so."""
    kept: dict[int, Plan] = dict(enumerate(plans))
    for _ in range(ROUNDS):
        single = [i for i, plan in kept.items() if not plan.piece.parts and not plan.piece.alone]
        members = [plans[index] for index in single]
        groups = shared(
            [plan.piece.drawing for plan in members], [len(plan.layout.tiles) for plan in members], page
        )
        whole, laid = True, False
        for group in groups:
            found = _laid_together(members, group, page)
            whole &= found is not None and found[0] == group.members
            if found is not None:
                laid = True
                for k in found[0]:
                    del kept[single[k]]
                kept[single[found[0][0]]] = found[1]
        if whole or not laid:
            break
    return _numbered([kept[index] for index in sorted(kept)])


def _numbered(plans: list[Plan]) -> list[Plan]:
    """The plans with those laid together counted in their order."""
    found: list[Plan] = []
    count = 0
    for plan in plans:
        if plan.piece.parts:
            count += 1
            label = f"{TOGETHER} {count}"
            plan = replace(plan, label=label, piece=replace(plan.piece, name=label))
        found.append(plan)
    return found


def _laid_together(plans: Sequence[Plan], group: Shared, page: Page) -> tuple[tuple[int, ...], Plan] | None:
    """The members of a group and their plan; None where it saves no page.

    Where more words cross strokes than when each member is alone, one member after the other is taken away.
    """
    while len(group.members) > 1:
        members = [plans[k] for k in group.members]
        alone = sum(len(member.layout.tiles) for member in members)
        drawing = group.drawing([member.piece.drawing for member in members])
        plan = _plan_together(members, drawing, page)
        if plan is not None and len(plan.layout.tiles) >= alone:
            return None
        crossing = [] if plan is None else [words for words in plan.words if words.crosses]
        usual = sum(words.crosses for member in members for words in member.words)
        if plan is not None and len(crossing) <= usual:
            saved = alone - len(plan.layout.tiles) + sum(member.saved for member in members)
            return group.members, replace(plan, saved=saved)
        rooms = [] if plan is None else [plan.drawing.notes[words.note].room for words in crossing]
        group = group.without(max(range(len(members)), key=lambda k: (rooms.count(k), -len(group.rooms[k]))))
    return None


def _plan_together(members: Sequence[Plan], drawing: Drawing, page: Page) -> Plan | None:
    """The plan of pieces laid together; None where there is no room for the words of all."""
    facts = (f"Holds {'; '.join(member.label for member in members)}",)
    parts = tuple(member.piece for member in members)
    piece = Piece(name=TOGETHER, facts=facts, drawing=drawing, parts=parts)
    try:
        return plan_piece(piece, page, label=TOGETHER, lattice=block_lattice(page))
    except TilingError:
        return None


def unlike_labels(pieces: Sequence[Piece]) -> list[str]:
    """The pieces' names for their pages: plain, elided, and no two alike."""
    found: list[str] = []
    for place, piece in enumerate(pieces, start=1):
        label = elided(printable(plain(piece.name)) or f"piece {place}", LABEL, LETTERING)
        if label.casefold() in {other.casefold() for other in found}:
            label = f"{label} ({place})"
        found.append(label)
    return found
