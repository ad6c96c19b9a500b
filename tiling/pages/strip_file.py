"""A file in the making whose pages carry strips: rulers, names, mark; and the record that it is proved by."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import BinaryIO

from tiling.pages.manifest import WHOLE, SetsRecord, whole_record
from tiling.pages.strips import lay_strips
from tiling.paper import Page
from tiling.paper.printers import Correction
from tiling.pdf.pdf_file import CREATOR, Entry, PdfFile
from tiling.pdf.shapes import Ink
from tiling.text.lines import plain

__all__ = ["StripFile"]


class StripFile:
    """What job, sets, books with rulers and the test page share.

    Args:
        stream: open for writing bytes.
        title, subject: for the file's own description.
        name: what every page says it belongs to, before its own name.
        recorded: what the record says instead; None: the same.
        mark: of the job; empty where there is none.
        tags: the rows and columns of all pages; none: no patterns are in the file.
        correction: of the printer that will print it; None: drawn at the very scale.
        owned: every page says whose it is.
        long: the upright ruler takes the whole height.
    """

    def __init__(
        self,
        stream: BinaryIO,
        page: Page,
        *,
        title: str,
        subject: str,
        name: str,
        recorded: str | None = None,
        mark: str = "",
        tags: Sequence[str] = (),
        correction: Correction | None = None,
        owned: bool = False,
        long: bool = False,
        creator: str = CREATOR,
    ) -> None:
        self._stretch = (1.0, 1.0) if correction is None else correction.stretch(page)
        self.strips = lay_strips(
            page,
            mark=plain(mark),
            tags=tuple(tags),
            drawn_for="" if correction is None else correction.words(),
            owned=owned,
            long=long,
        )
        self.pdf = PdfFile(
            stream,
            width=page.width,
            height=page.height,
            title=title,
            subject=subject,
            creator=creator,
            stretch=self._stretch,
            pick_tray=not page.paper.onto,
        )
        self._name = plain(name)
        self._recorded = self._name if recorded is None else plain(recorded)
        self._fixed = ""
        self._begun = False  # a page has been completed; the first one shows the code of the record
        self._beside: tuple[str, str] | None = None  # the last page's mark, and what is drawn with it

    def keep_fixed(self) -> None:
        """Put what is the same on every page into the file; before the first page is completed."""
        fixed = Ink(self.pdf)
        self.strips.draw_fixed(fixed)
        self._fixed = self.pdf.form("Strips", fixed.text())

    def complete(self, content: str, *, name: str, tag: str, number: int, total: int, mark: str = "") -> str:
        """The content of a page with its strips; where it has no mark of its own it carries the job's."""
        if self._beside is None or self._beside[0] != mark:
            ink = Ink(self.pdf)
            ink.raw(f"0 g\n{self._fixed}")
            self.strips.draw_mark(ink, mark)
            self._beside = mark, ink.text()
        ink, coded, self._begun = Ink(self.pdf), not self._begun, True
        self.strips.draw_named(
            ink, tag=tag, title=self._name, name=name, number=number, total=total, coded=coded
        )
        return f"{content}{self._beside[1]}{ink.text()}"

    def owner(self, name: str, which: str) -> int:
        """Write the line that says whose a page is; returns the number of its operators."""
        ink = Ink(self.pdf)
        ink.raw("0 g\n")
        self.strips.draw_owner(ink, plain(name), which)
        return self.pdf.more_operators(ink.text())

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
            title=self._recorded,
            mark=self.strips.mark,
            page=self.strips.page,
            stretch=self._stretch,
            strips=self.strips,
            pages=pages,
            total=total,
            sets=sets,
        )
        self.pdf.attach(WHOLE, record)
        self.pdf.finish(outline)
