"""What patterns are made of: a boat from her table of offsets, and whatever else a design folder may hold.

The main job knows a subject only by what is said here: what it is called, which files shape it, which patterns it
gives, and what is told and written beside them.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from patterns.boat import Boat, load_boat
from patterns.codes import DOUBTS
from patterns.design.file import DESIGN_FILE, StemEnd
from patterns.design.parts import read_toml
from patterns.errors import DesignError, Problem, RequestError
from patterns.files.batch import Batch
from patterns.findings import Findings
from patterns.members import all_patterns
from patterns.pattern import Pattern
from patterns.shop.missing import missing
from patterns.shop.report import counted, counted_doubts, report

if TYPE_CHECKING:
    from patterns.assembly.proof import Assembly
    from patterns.picture.page import PagePart
    from patterns.shop.scrieve_board import LoftPrint
    from tiling.paper import Page
    from tiling.paper.printers import Correction
    from tiling.paper.scale import Scale

__all__ = ["BoatSubject", "Subject", "is_boat", "load"]

BODY_PLAN = "body plan"


class Subject(Protocol):
    """What the main job asks of a design folder that has no errors."""

    @property
    def title(self) -> str:
        """The boat's name, as it stands on every page."""

    @property
    def metric(self) -> bool:
        """Whether its table is metric: its papers give no feet and inches then."""

    @property
    def files(self) -> tuple[str, ...]:
        """The files in the folder that shape the patterns."""

    @property
    def cautions(self) -> tuple[str, ...]:
        """What its first page warns of before all else; may be empty."""

    def length_words(self, mm: float) -> str:
        """A length for the bench, as the folder's table writes lengths."""

    def patterns(
        self, *, only: Collection[str] = (), landed: bool = True, shown: Collection[str] = ()
    ) -> tuple[Pattern, ...]:
        """Every pattern; where all of the names in ``only`` can be made, others that cannot are no hindrance.

        Args:
            landed: with where its neighbours lie on each, which only paper needs.
            shown: the names by which some are asked for: only these are landed; empty: all.
        Raises:
            DesignError: with every piece that cannot be made, and why.
        """

    def findings(self) -> Findings:
        """What is found before any piece is made."""

    def piece_doubts(self, patterns: Sequence[Pattern]) -> tuple[Problem, ...]:
        """What is doubtful about the pieces when every one of them is made; confirmed doubts are left out."""

    def doubts(self, more: Sequence[Problem] = ()) -> tuple[Problem, ...]:
        """What to look at before wood is cut, with what the pieces show besides (``more``)."""

    def report(self, more: Sequence[Problem] = (), *, verbose: bool = False) -> Iterator[str]:
        """The same in words, as `check` prints them, a line each; with what the pieces show besides.

        Args:
            verbose: with every detail.
        """

    def assembly(
        self, patterns: Sequence[Pattern], *, progress: Callable[[int, int], None] | None = None
    ) -> Assembly:
        """Piece against piece, when all are in their places."""

    def write_faired(self, work: Batch) -> None:
        """What was faired: as tables and as a picture."""

    def write_papers(
        self,
        work: Batch,
        patterns: Sequence[Pattern],
        *,
        page: Page,
        mark: str,
        places: Mapping[str, tuple[int, int]],
        correction: Correction | None,
    ) -> tuple[str, ...]:
        """The papers and tables of its own kind; the names that are worth telling, in the order they are told.

        Args:
            places: each pattern's first and last page in the file of patterns.
        """

    @property
    def loft_prints(self) -> tuple[str, ...]:
        """Names of the loft's own prints, which are made only when they are asked for."""

    def loft_print(self, name: str, patterns: Sequence[Pattern], *, scale: Scale, source: str) -> LoftPrint:
        """One of them.

        Args:
            source: what the boat is made from, for its mark.
        Raises:
            RequestError: the design has nothing to draw on it.
        """

    def seen(self, patterns: Sequence[Pattern] = ()) -> tuple[PagePart, ...]:
        """What the page for a screen shows before the patterns; empty where there is nothing to see.

        Args:
            patterns: those that are made.
        """

    def doubtful(self, more: Sequence[Problem] = ()) -> tuple[str, ...]:
        """What `check` doubts, counted, e.g. ``1 suspect offset`` and ``2 doubts``; empty where nothing is."""

    def closing(self, more: Sequence[Problem] = ()) -> Iterator[str]:
        """What must be said again when everything is made: doubts that send one back to `check`."""


@dataclass(frozen=True)
class BoatSubject:
    """A whole boat."""

    boat: Boat

    @cached_property
    def title(self) -> str:
        """The boat's name."""
        return self.boat.design.boat.name

    @property
    def metric(self) -> bool:
        """By the table's notation."""
        return self.boat.offsets.notation.metric

    @cached_property
    def files(self) -> tuple[str, ...]:
        """Design, table, and the stems' points."""
        ends = self.boat.design.fore_end, self.boat.design.after_end
        profiles = [end.profile for end in ends if isinstance(end, StemEnd) and end.profile is not None]
        return (DESIGN_FILE, self.boat.design.table.file, *profiles)

    @property
    def cautions(self) -> tuple[str, ...]:
        """Nothing but what holds for every job."""
        return ()

    def length_words(self, mm: float) -> str:
        """As the table of offsets writes it, in mm besides."""
        return self.boat.length_words(mm)

    def patterns(
        self, *, only: Collection[str] = (), landed: bool = True, shown: Collection[str] = ()
    ) -> tuple[Pattern, ...]:
        """Every member's, with where its neighbours lie on it."""
        from patterns.assembly.landings import landed_in

        try:
            made = all_patterns(self.boat, only=only)
            return landed_in(self.boat, made, shown=shown) if landed else made
        except DesignError as error:
            raise DesignError(error.problems, self.doubtful()) from error

    def findings(self) -> Findings:
        """The table's findings, and the members that the design does not have."""
        lines = self.boat.lines
        return Findings(
            title=self.title,
            warnings=self.boat.warnings,
            suspects=lines.suspects,
            bands=lines.bands,
            missing=missing(self.boat.design),
        )

    def piece_doubts(self, patterns: Sequence[Pattern]) -> tuple[Problem, ...]:
        """What overlaps, what nothing joins or holds, how little wood is left."""
        from patterns.assembly.doubts import piece_doubts

        return piece_doubts(self.boat, patterns)

    def doubts(self, more: Sequence[Problem] = ()) -> tuple[Problem, ...]:
        """Suspects and doubts."""
        suspects = (suspect.problem() for suspect in self.boat.lines.suspects)
        return (*suspects, *self._doubts(more))

    def _doubts(self, more: Sequence[Problem]) -> list[Problem]:
        return [problem for problem in (*self.boat.warnings, *more) if problem.code in DOUBTS]

    def report(self, more: Sequence[Problem] = (), *, verbose: bool = False) -> Iterator[str]:
        """The findings on the table, the design and the pieces."""
        return report(self.boat, more, verbose=verbose)

    def assembly(
        self, patterns: Sequence[Pattern], *, progress: Callable[[int, int], None] | None = None
    ) -> Assembly:
        """Piece against piece."""
        from patterns.assembly.proof import assembled

        return assembled(self.boat, patterns, progress=progress)

    def write_faired(self, work: Batch) -> None:
        """The as-faired tables, the moves, and the lines to sight along."""
        from patterns.shop.in_space import points_table
        from patterns.shop.lines_drawing import lines_drawing
        from patterns.shop.tables import write_faired
        from tiling.svg import svg_text

        write_faired(work, self.boat)
        work.write("in-space.csv", points_table(self.boat))
        work.write("lines.svg", svg_text(lines_drawing(self.boat), title=self.title))

    def write_papers(
        self,
        work: Batch,
        patterns: Sequence[Pattern],
        *,
        page: Page,
        mark: str,
        places: Mapping[str, tuple[int, int]],
        correction: Correction | None,
    ) -> tuple[str, ...]:
        """The loft book, the bevel board, set-up, cut list, sheets and timbers."""
        from patterns.shop.papers import write_papers
        from patterns.shop.timber_tables import timber_table

        work.write("timbers.csv", timber_table(self.boat))
        self.write_faired(work)
        write_papers(work, self.boat, patterns, page=page, mark=mark, places=places, correction=correction)
        return tuple(name for name in ("loft-book.pdf", "bevel-board.pdf") if name in work.names)

    @property
    def loft_prints(self) -> tuple[str, ...]:
        """The scrieve board."""
        return (BODY_PLAN,)

    def loft_print(self, name: str, patterns: Sequence[Pattern], *, scale: Scale, source: str) -> LoftPrint:
        """The scrieve board."""
        from patterns.shop.scrieve_board import scrieve_board

        found = scrieve_board(self.boat, patterns, name=name, scale=scale, source=source)
        if found is None:
            raise RequestError(
                f'--only "{name}": the design has no frame, mould or transom to draw on it; add a [[frame]]'
            )
        return found

    def seen(self, patterns: Sequence[Pattern] = ()) -> tuple[PagePart, ...]:
        """The lines, the offsets that the batten doubts, and every member where it lies."""
        from patterns.picture.construction import construction_part
        from patterns.picture.sections import lines_part, suspects_part
        from patterns.picture.space import space_part

        suspects = suspects_part(self.boat.lines.suspects, self.boat.warnings)
        lines = space_part(self.boat, patterns), lines_part(self.boat), suspects
        return (*lines, *construction_part(self.boat, patterns)) if patterns else lines

    def doubtful(self, more: Sequence[Problem] = ()) -> tuple[str, ...]:
        """Suspects and doubts."""
        return counted_doubts(suspect_offset=self.boat.lines.suspects, doubt=self._doubts(more))

    def closing(self, more: Sequence[Problem] = ()) -> Iterator[str]:
        """Suspects and doubts, counted."""
        suspects = self.boat.lines.suspects
        if suspects:
            yield f"{counted(len(suspects), 'suspect offset')} in the table: see scrieve check before cutting."
        doubts = self._doubts(more)
        if doubts:
            yield f"{counted(len(doubts), 'doubt')}: see scrieve check before cutting."


def is_boat(folder: Path) -> bool:
    """Whether a folder holds a boat, not a repair; one that cannot be read is reported as a boat's."""
    raw, _ = read_toml(folder)
    return "repair" not in raw


def load(folder: Path | str) -> Subject:
    """Read a design folder, a boat's or a repair's, check its table and fair its lines.

    Raises:
        DesignError: with every problem that was found.
    """
    folder = Path(folder)
    if not is_boat(folder):
        from patterns.repair.repair import load_repair  # none of it is needed for a boat
        from patterns.repair.subject import RepairSubject

        return RepairSubject(load_repair(folder))
    return BoatSubject(load_boat(folder))
