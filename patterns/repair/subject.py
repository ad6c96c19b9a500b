"""A repair as the main job sees it."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from patterns.assembly.intended import meetings_among
from patterns.assembly.landings import with_landings
from patterns.codes import DOUBTS
from patterns.errors import Problem, RequestError
from patterns.files.batch import Batch
from patterns.findings import Findings
from patterns.joinery.make_pieces import make_all
from patterns.pattern import Pattern
from patterns.picture.sections import PagePart
from patterns.repair.gussets import gussets
from patterns.repair.pieces import pieces
from patterns.repair.repair import Repair
from patterns.repair.report import CAUTION, points_table, repair_report
from patterns.repair.seen import measurements_part, points_part
from patterns.repair.strip import strips
from patterns.shop.report import counted, counted_doubts
from patterns.shop.scrieve_board import LoftPrint
from tiling.paper import Page
from tiling.paper.printers import Correction
from tiling.paper.scale import Scale

if TYPE_CHECKING:
    from patterns.assembly.proof import Assembly

__all__ = ["RepairSubject"]


@dataclass(frozen=True)
class RepairSubject:
    """One frame measured in the boat."""

    repair: Repair

    @property
    def title(self) -> str:
        """The boat's name."""
        return self.repair.name

    @property
    def metric(self) -> bool:
        """By the notation of its points."""
        return self.repair.spec.notation.metric

    @property
    def files(self) -> tuple[str, ...]:
        """The design file and the files of points."""
        return self.repair.files

    @property
    def cautions(self) -> tuple[str, ...]:
        """Shoring comes first."""
        return (CAUTION,)

    def length_words(self, mm: float) -> str:
        """As the points are written, in mm besides."""
        return self.repair.length_words(mm)

    def patterns(
        self, *, only: Collection[str] = (), landed: bool = True, shown: Collection[str] = ()
    ) -> tuple[Pattern, ...]:
        """Every piece, and the fit-up strips."""
        wanted = (*pieces(self.repair), *gussets(self.repair), *strips(self.repair))
        made = make_all(wanted, given="the points and sizes given", slip_in="the points", only=only)
        return with_landings(made, meetings_among(made), shown=shown) if landed else tuple(made)

    def findings(self) -> Findings:
        """Doubts and warnings."""
        return Findings(title=self.title, warnings=self.repair.warnings, points=self.repair.doubts)

    def piece_doubts(self, patterns: Sequence[Pattern]) -> tuple[Problem, ...]:
        """None: one frame has nothing to be held against."""
        return ()

    def doubts(self, more: Sequence[Problem] = ()) -> tuple[Problem, ...]:
        """Points in doubt, and what may be confirmed."""
        return (*self.repair.doubts, *(w for w in self.repair.warnings if w.code in DOUBTS), *more)

    def report(self, more: Sequence[Problem] = (), *, verbose: bool = False) -> Iterator[str]:
        """Residuals, doubts and warnings."""
        return repair_report(self.repair)

    def assembly(
        self, patterns: Sequence[Pattern], *, progress: Callable[[int, int], None] | None = None
    ) -> Assembly:
        """There is nothing to put together: the boat is not known.

        Raises:
            RequestError: always.
        """
        raise RequestError("--assembly: a repair's folder knows one frame, not its boat")

    def write_faired(self, work: Batch) -> None:
        """Every point as measured and as faired."""
        work.write("points-faired.csv", points_table(self.repair))

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
        """The points as faired, a picture of what was measured with a blank sheet, and a bevel board."""
        from patterns.repair.measurements import write_measurements
        from patterns.shop.bevel_board import has_bevels, write_bevel_board

        self.write_faired(work)
        with work.path("measurements.pdf").open("wb") as stream:
            write_measurements(stream, self.repair, page=page, mark=mark)
        if not has_bevels(patterns):
            return ("measurements.pdf",)
        with work.path("bevel-board.pdf").open("wb") as stream:
            write_bevel_board(stream, patterns, boat=self.title, page=page, mark=mark, correction=correction)
        return ("measurements.pdf", "bevel-board.pdf")

    @property
    def loft_prints(self) -> tuple[str, ...]:
        """None: one frame has no body plan."""
        return ()

    def loft_print(self, name: str, patterns: Sequence[Pattern], *, scale: Scale, source: str) -> LoftPrint:
        """Never made."""
        raise RequestError(f'--only "{name}": a repair has no such print')

    def seen(self, patterns: Sequence[Pattern] = ()) -> tuple[PagePart, ...]:
        """The points and what is doubtful about them, and what was measured as a picture."""
        return (points_part(self.repair), measurements_part(self.repair))

    def doubtful(self, more: Sequence[Problem] = ()) -> tuple[str, ...]:
        """Points and warnings."""
        return counted_doubts(reading_in_doubt=self.repair.doubts, warning=(*self.repair.warnings, *more))

    def closing(self, more: Sequence[Problem] = ()) -> Iterator[str]:
        """Doubts and warnings counted, and what comes before all cutting."""
        if self.repair.doubts:
            yield f"{counted(len(self.repair.doubts), 'reading')} in doubt: see scrieve check before cutting."
        if self.repair.warnings:
            yield f"{counted(len(self.repair.warnings), 'warning')}: see scrieve check."
        yield CAUTION
