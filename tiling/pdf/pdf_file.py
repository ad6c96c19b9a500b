"""One PDF file, written page by page: each finished page goes to the file and out of memory.

reportlab gives the font subset, the strings and the catalogue; the pages themselves are written here, because
its canvas keeps every page until the end.  Millimetres become points here and nowhere else.

Source: ISO 32000-1:2008, 7.7 (page tree), 7.9.7 (number trees), 8.3 (user space: 1/72 in), 12.2 (viewer
preferences), 12.4.2 (page labels), 12.5.6.5 (links), 14.6 (marked content); section numbers from memory.
"""

from __future__ import annotations

import hashlib
from array import array
from collections.abc import Sequence
from dataclasses import dataclass
from typing import BinaryIO

from tiling.paper import Box
from tiling.pdf.font_digests import font_digests
from tiling.pdf.graphics_state import to_mm
from tiling.pdf.ink_record import BOUND, CODE_FORM, NO_CODE, InkRecord, bound, short_code
from tiling.pdf.layers import Layers
from tiling.pdf.objects import Objects, Ready
from tiling.pdf.outline import Entry, write_outline
from tiling.pdf.typesetter import Typesetter, number
from tiling.text.lines import plain

__all__ = ["CREATOR", "POINTS_PER_MM", "Entry", "Link", "PdfFile"]

CREATOR = "scrieve"
POINTS_PER_MM = 72.0 / 25.4  # ISO 32000: the unit of user space is 1/72 in
LONGEST = 14_400  # points; longer pages are refused by some viewers (ISO 32000-1, annex C; from memory)
LABELS = 1024  # pages whose labels stand in one object

AGAIN = "/Again << /ActualText ( ) >>"  # what is read for words that another page says
PREFERENCES = (
    "<< /PrintScaling /None /Duplex /Simplex /PickTrayByPDFSize %s /NumCopies 1 /DisplayDocTitle true >>"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """A box of a page, mm (least x, least y, greatest x, greatest y), that leads to another page (from 0)."""

    box: Box
    page: int


class PdfFile:
    """A PDF file in the making: one page size, one font, pages in the order in which they are added.

    Args:
        stream: open for writing bytes; it is not closed here.
        width, height: of every page, mm.
        title, subject: for the file's own description.
        creator: the program that is named in it.
        stretch: by how much every page is drawn larger about its middle, across and up.
        pick_tray: the paper is to be chosen by the page's size; not where the page is no paper of its own.
    Raises:
        ValueError: the page is longer than viewers take (5.08 m).
    """

    def __init__(
        self,
        stream: BinaryIO,
        *,
        width: float,
        height: float,
        title: str,
        subject: str = "",
        creator: str = "",
        stretch: tuple[float, float] = (1.0, 1.0),
        pick_tray: bool = True,
    ) -> None:
        size = [number(side * POINTS_PER_MM) for side in (width, height)]
        if max(width, height) * POINTS_PER_MM > LONGEST + 1e-6:
            raise ValueError(
                f"a page {max(width, height):g} mm long is refused by some viewers; 5080 mm is the most"
            )
        self._box = f"[0 0 {size[0]} {size[1]}]"
        scale = [f"{POINTS_PER_MM * by:.15g}" for by in stretch]
        start = [
            number(0.5 * side * (1.0 - by) * POINTS_PER_MM)
            for side, by in zip((width, height), stretch, strict=True)
        ]
        self._to_points = f"{scale[0]} 0 0 {scale[1]} {start[0]} {start[1]} cm"
        self._scale = tuple(float(by) for by in (*scale, *start))
        self._pick_tray = pick_tray
        self._objects = Objects(stream)
        self._document = self._objects.document
        info = self._document.info
        info.title, info.subject, info.creator = plain(title), plain(subject), plain(creator)
        info.author = ""
        self._typesetter = Typesetter(self._document)
        self.words, self.level_words = self._typesetter.words, self._typesetter.level
        self._forms: dict[str, str] = {}
        self._code: tuple[int, str] | None = None  # the number and the operators of the form with the code
        self._units = array("I")  # in the record of ink, by the number of the operators' object
        self._layers = Layers(self._objects)
        self._ink = InkRecord(
            to_mm=to_mm((0.0, 0.0, width * POINTS_PER_MM, height * POINTS_PER_MM), stretch),
            sheet=(0.0, 0.0, width, height),
            layer=self._layers.called,
        )
        self._count = 0
        self._pages = array(
            "Q"
        )  # the number of each page's object; of those led to that have not come yet too
        self._labels = _Labels(self._objects)
        self._attached: list[tuple[str, int]] = []
        self._digests: dict[str, str] = {}  # of the attached files
        self._tree = Ready()
        self._resources = Ready()
        self._tree_number = self._objects.keep(self._tree)
        self._resources_number = self._objects.keep(self._resources)

    # Pages

    @property
    def pages(self) -> int:
        """How many pages have been added."""
        return self._count

    def form(self, name: str, content: str) -> str:
        """Keep operators that many pages share; returns the operator that draws them.

        The space of ``content`` is the page's, mm.  ``name``: letters and digits.
        """
        if name not in self._forms:
            self._ink.form(name, content.encode("latin-1"))
            self._forms[name] = f"{self._write_form(content)} 0 R"
        return f"/{name} Do\n"

    def _write_form(self, content: str, number: int | None = None) -> int:
        # The form is placed inside the page's own millimetres, so that its box is in millimetres too; more
        # than any page.
        head = (
            "<< /Type /XObject /Subtype /Form /BBox [-10000 -10000 10000 10000]"
            f" /Resources {self._resources_number} 0 R"
        )
        return self._objects.write_packed(content.encode("latin-1"), head.encode(), number=number)

    def record_code(self, at: tuple[float, float], height: float, *, turn: float = 0.0) -> str:
        """The operator that shows the short code of the file's record, which is known when all else is written.

        Args:
            at: where its words begin, mm.
            height: of a capital, mm.
            turn: of the words, anticlockwise, radians.
        """
        if self._code is None:
            self.words("0123456789ABCDEF", at, height)  # the font gets every figure that the code may have
            content = self.words(f"record {NO_CODE}", at, height, turn=turn)
            self._code = self._objects.new_number(), content
            self._ink.form(CODE_FORM, content.encode("latin-1"))
            self._forms[CODE_FORM] = f"{self._code[0]} 0 R"
        return f"/{CODE_FORM} Do\n"

    def has_form(self, name: str) -> bool:
        """Operators of that name are kept already."""
        return name in self._forms

    def in_layer(self, name: str, operators: str) -> str:
        """The operators as part of the layer of that name, which viewers show and print until it is switched off;
        an empty name leaves them as they are.  They must set every stroke and colour that they draw with."""
        if not name or not operators:
            return operators
        return f"/OC /{self._layers.resource(name)} BDC\n{operators}EMC\n"

    def said_again(self, operators: str) -> str:
        """Operators that repeat words of another page: seen and printed as others, but not found by a search.

        A space stands for them, as some viewers take empty words for none given.
        Source: ISO 32000-1, 14.9.4 (replacement text; from memory).
        """
        return f"/Span /Again BDC\n{operators}EMC\n"

    def add_page(self, content: str, *, label: str, links: Sequence[Link] = ()) -> None:
        """Write a page whose operators draw in millimetres from its lower left corner; links may lead to pages that
        are added later."""
        self.add_page_of((self.first_operators(content),), label=label, links=links)

    def first_operators(self, content: str) -> int:
        """Write operators that a page begins with, in its millimetres; returns their number for `add_page_of`.

        Several pages may share them.
        """
        data = f"{self._to_points}\n1 j\n{content}".encode("latin-1")
        return self._operators(data, self._ink.begun(data))

    def more_operators(self, content: str) -> int:
        """Write operators that go on where others have set the page's millimetres; returns their number."""
        data = content.encode("latin-1")
        return self._operators(data, self._ink.gone_on(data))

    def _operators(self, data: bytes, unit: int) -> int:
        """Write operators; ``unit`` is their number in the record of ink."""
        number = self._objects.write_packed(data, sign=True)
        self._attach_ink()
        self._units.extend([0] * (number + 1 - len(self._units)))
        self._units[number] = unit
        return number

    def add_page_of(self, streams: Sequence[int], *, label: str, links: Sequence[Link] = ()) -> None:
        """Write a page of operators that are in the file already, carried out one after the other.

        Source: ISO 32000-1, 7.7.3.3 (a page's contents may be an array of streams; from memory).
        """
        page = self._page_number(self._count)
        listed = " ".join([f"{stream} 0 R" for stream in streams])
        contents = listed if len(streams) == 1 else f"[{listed}]"
        self._objects.write(
            page,
            f"<< /Type /Page /Parent {self._tree_number} 0 R /MediaBox {self._box}"
            f" /Resources {self._resources_number} 0 R /Contents {contents}{self._links(links)} >>".encode(),
        )
        self._count += 1
        self._ink.page([self._units[stream] for stream in streams])
        self._labels.add(label)

    def _page_number(self, index: int) -> int:
        """The number of a page's object, written already or not."""
        while len(self._pages) <= index:
            self._pages.append(0)
        if not self._pages[index]:
            self._pages[index] = self._objects.new_number()
        return self._pages[index]

    def _links(self, links: Sequence[Link]) -> str:
        if not links:
            return ""
        wide, tall, left, low = self._scale
        each = [
            f"<< /Type /Annot /Subtype /Link /Border [0 0 0]"
            f" /Rect [{left + wide * x0:.2f} {low + tall * y0:.2f} {left + wide * x1:.2f} {low + tall * y1:.2f}]"
            f" /Dest [{self._page_number(link.page)} 0 R /Fit] >>"
            for link in links
            for x0, y0, x1, y1 in (link.box,)
        ]
        return f" /Annots [{' '.join(each)}]"

    def attach(self, name: str, data: bytes) -> None:
        """Write a file into this one; ISO 32000-1, 7.11.4 (embedded file streams; from memory).

        Args:
            name: letters, digits, dot and hyphen; no two alike.
            data: JSON, or bytes where the name ends on ``.bin``.
        """
        kind = b"octet-stream" if name.endswith(".bin") else b"json"
        head = b"<< /Type /EmbeddedFile /Subtype /application#2F%b /Params << /Size %d >>" % (kind, len(data))
        stream = self._objects.write_packed(data, head, sign=True)
        file = self._objects.new_number()
        self._objects.write(
            file, f"<< /Type /Filespec /F ({name}) /UF ({name}) /EF << /F {stream} 0 R >> >>".encode()
        )
        self._attached.append((name, file))
        self._digests[name] = hashlib.sha256(data).hexdigest()

    def _attach_ink(self) -> None:
        """Attach what of the record of ink is ready."""
        for name, data in self._ink.ready():
            self.attach(name, data)

    # The end

    def finish(self, outline: Sequence[Entry] = ()) -> None:
        """Write everything that could not be known before: fonts, outline, labels, catalogue, places of objects.

        Raises:
            ValueError: a link leads to a page that never came.
        """
        pages = len(self._pages)
        missing = next((index for index in range(self._count, pages) if self._pages[index]), None)
        if missing is not None:
            raise ValueError(f"a link leads to page {missing + 1} of {self._count}")
        document, objects = self._document, self._objects
        kids = " ".join([f"{page} 0 R" for page in self._pages])
        self._tree.data = f"<< /Type /Pages /Count {self._count} /Kids [{kids}] >>"
        catalog = document.Catalog
        catalog.Pages = self._tree
        catalog.PageLabels = Ready(self._labels.tree())
        self._add_fonts()
        self._ink.finish(font_digests(document))
        self._attach_ink()
        digest = bound(self._digests)
        document.info.keywords = f"{BOUND}{digest}"
        if self._code is not None:
            number, content = self._code
            self._write_form(content.replace(NO_CODE, short_code(digest)), number)
        catalog.ViewerPreferences = Ready(PREFERENCES % ("true" if self._pick_tray else "false"))
        if self._attached:  # a name tree is in the order of its names
            files = " ".join(f"({name}) {file} 0 R" for name, file in sorted(self._attached))
            catalog.Names = Ready(f"<< /EmbeddedFiles << /Names [{files}] >> >>")
        if self._layers:
            catalog.__NoDefault__ = [*catalog.__NoDefault__, "OCProperties"]  # else it is dropped
            catalog.OCProperties = Ready(self._layers.write())
        catalog.Outlines = None
        if outline:
            lines = catalog.Outlines = Ready()
            lines.data = write_outline(outline, objects.keep(lines), objects, self._pages)
            catalog.showOutline()
        document.info.invariant = 1
        document.info.digest(document.signature)
        root, info = objects.keep(catalog), objects.keep(document.info)
        objects.finish(root, info)

    def _add_fonts(self) -> None:
        document = self._document
        for font in document.delayedFonts:
            font.addObjects(document)
        fonts_number = document.idToObjectNumberAndVersion["BasicFonts"][0]
        forms = " ".join(f"/{name} {number}" for name, number in self._forms.items())
        self._resources.data = (
            f"<< /ProcSet [/PDF /Text] /Font {fonts_number} 0 R /XObject << {forms} >>"
            f" /Properties << {AGAIN} {self._layers.resources()} >> >>"
        )


class _Labels:
    """What the pages are called, a label each; many of them are written in objects of their own as they come."""

    def __init__(self, objects: Objects) -> None:
        self._objects = objects
        self._count = 0
        self._open: list[str] = []  # the last labels, as written
        self._leaves: list[int] = []

    def add(self, label: str) -> None:
        """The next page's."""
        if len(self._open) == LABELS:
            self._close()
        self._open.append(f"{self._count} << /P {self._objects.string(label)} >>")
        self._count += 1

    def _close(self) -> None:
        leaf = self._objects.new_number()
        limits = f"{self._count - len(self._open)} {self._count - 1}"
        data = f"<< /Limits [{limits}] /Nums [{' '.join(self._open)}] >>"
        self._objects.write(leaf, data.encode("latin-1"))
        self._leaves.append(leaf)
        self._open = []

    def tree(self) -> str:
        """The number tree of all labels; nothing can be added afterwards."""
        if not self._leaves:
            return f"<< /Nums [{' '.join(self._open)}] >>"
        self._close()
        return f"<< /Kids [{' '.join([f'{leaf} 0 R' for leaf in self._leaves])}] >>"
