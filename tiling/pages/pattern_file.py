"""A file in the making as job and sets share it: its pages' strips and names, the records, the end."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import BinaryIO

from tiling.pages.manifest import WHOLE, SetsRecord, pattern_file, pattern_record, whole_record
from tiling.pages.pattern_page import tile_contents
from tiling.pages.strips import Strips, lay_strips
from tiling.paper import Page
from tiling.paper.scale import Scale
from tiling.pdf.clipping import cut
from tiling.pdf.pdf_file import CREATOR, Entry, PdfFile
from tiling.pdf.shapes import Ink
from tiling.planning.plan import Job, Plan
from tiling.text.lines import plain

__all__ = ["PatternFile", "what"]


def what(scale: Scale, *, sets: bool = False) -> str:
    """What a file holds, for its title."""
    many = " in sets" if sets else ""
    if scale.full:
        return f"full-size patterns{many}"
    return f"patterns{many} at scale {scale.words}, not full size"


class PatternFile:
    """The file of a job, and what is the same on its pages.

    Args:
        stream: open for writing bytes.
        page: of this file.
        plans: all pieces of the job.
        corrected: drawn for the job's printer, where it names one.
        sets: the file holds several sets; every page says whose it is.
    Attributes:
        stretch: by how much every page is drawn larger about its middle, across and up.
    """

    def __init__(
        self,
        stream: BinaryIO,
        job: Job,
        page: Page,
        plans: Sequence[Plan],
        *,
        corrected: bool = True,
        sets: bool = False,
    ) -> None:
        correction = job.correction if corrected else None
        self.stretch = (1.0, 1.0) if correction is None else correction.stretch(page)
        self.strips: Strips = lay_strips(
            page,
            mark=plain(job.mark),
            tags=tuple(sorted({tile.name for plan in plans for tile in plan.layout.tiles})),
            drawn_for="" if correction is None else correction.words(),
            owned=sets,
        )
        self.pdf = PdfFile(
            stream,
            width=page.width,
            height=page.height,
            title=f"{job.title}: {what(job.page.scale, sets=sets)}",
            subject=f"Mark {job.mark}. Print at 100 %, actual size.",
            creator=CREATOR,
            stretch=self.stretch,
            pick_tray=not page.paper.onto,
        )
        self._title = plain(job.title)
        self._fixed = ""
        self._beside: tuple[str, str] | None = None  # the last page's mark, and what is drawn with it

    def keep_fixed(self) -> None:
        """Put what is the same on every page into the file; before the first page is completed."""
        fixed = Ink(self.pdf)
        self.strips.draw_fixed(fixed, with_mark=False)
        self._fixed = self.pdf.form("Strips", fixed.text())

    def complete(self, content: str, *, name: str, tag: str, number: int, total: int, mark: str = "") -> str:
        """The content of a page with its strips; where it has no mark of its own it carries the job's."""
        if self._beside is None or self._beside[0] != mark:
            ink = Ink(self.pdf)
            ink.raw(f"0 g\n{self._fixed}")
            self.strips.draw_mark(ink, mark)
            self._beside = mark, ink.text()
        ink = Ink(self.pdf)
        self.strips.draw_named(ink, tag=tag, title=self._title, name=name, number=number, total=total)
        return f"{content}{self._beside[1]}{ink.text()}"

    def pattern(self, plan: Plan, which: int, numbers: Mapping[int, int]) -> Iterator[str]:
        """Attach the record of a pattern; gives the contents of its pages, without the strips.

        Args:
            which: its number, from 1.
            numbers: the page number of each tile that is in this file, by the tile's index.
        """
        strokes = cut(plan.drawing.paths, plan.layout.to_grid)
        contents = tile_contents(plan, strokes, self.pdf)
        self.pdf.attach(pattern_file(which), pattern_record(plan, strokes, numbers))
        return contents

    def finish(
        self,
        outline: Sequence[Entry],
        *,
        pages: Iterable[tuple[int, str, int]],
        total: int,
        sets: SetsRecord | None = None,
    ) -> None:
        """Attach the record of the whole file (see `whole_record`), and write the end."""
        record = whole_record(
            title=self._title,
            mark=self.strips.mark,
            page=self.strips.page,
            stretch=self.stretch,
            strips=self.strips,
            pages=pages,
            total=total,
            sets=sets,
        )
        self.pdf.attach(WHOLE, record)
        self.pdf.finish(outline)
