"""A file of patterns in the making, as job and sets share it: its pages with their records."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import BinaryIO

from tiling.pages.manifest import pattern_file, pattern_record
from tiling.pages.pattern_page import tile_contents
from tiling.pages.strip_file import StripFile
from tiling.paper import Page
from tiling.paper.scale import Scale
from tiling.pdf.clipping import cut
from tiling.planning.plan import Job, Plan

__all__ = ["PatternFile", "what"]


def what(scale: Scale, *, sets: bool = False) -> str:
    """What a file holds, for its title."""
    many = " in sets" if sets else ""
    if scale.full:
        return f"full-size patterns{many}"
    return f"patterns{many} at scale {scale.words}, not full size"


class PatternFile(StripFile):
    """The file of a job.

    Args:
        stream: open for writing bytes.
        page: of this file.
        plans: all pieces of the job.
        corrected: drawn for the job's printer, where it names one.
        sets: the file holds several sets; every page says whose it is.
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
        super().__init__(
            stream,
            page,
            title=f"{job.title}: {what(job.page.scale, sets=sets)}",
            subject=f"Mark {job.mark}. Print at 100 %, actual size.",
            name=job.title,
            mark=job.mark,
            tags=sorted({tile.name for plan in plans for tile in plan.layout.tiles}),
            correction=job.correction if corrected else None,
            owned=sets,
        )

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
