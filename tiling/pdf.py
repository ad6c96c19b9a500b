"""One PDF file, written page by page: each finished page goes to the file and out of memory.

reportlab gives the font subset, the strings and the catalogue; the pages themselves are written here, because
its canvas keeps every page until the end.  Millimetres become points here and nowhere else.

Source: ISO 32000-1:2008, 7.5 (file structure), 7.7 (page tree), 8.3 (user space: 1/72 in), 12.2 (viewer
preferences), 12.4.2 (page labels), 12.5.6.5 (links), 14.6 (marked content); section numbers from memory.
"""

from __future__ import annotations

import math
import zlib
from collections.abc import Sequence
from dataclasses import dataclass
from typing import BinaryIO

from reportlab.pdfbase.pdfdoc import PDFDocument, PDFIndirectObject, PDFObject, PDFObjectReference, PDFString
from reportlab.pdfbase.pdfmetrics import getFont

from tiling import fonts
from tiling.layers import Layers
from tiling.outline import Entry, write_outline
from tiling.paper import Box

__all__ = ["POINTS_PER_MM", "Entry", "Link", "PdfFile", "plain"]

POINTS_PER_MM = 72.0 / 25.4  # ISO 32000: the unit of user space is 1/72 in
VERSION = (1, 7)
LEVEL = 4  # of compression; 6 makes pages 3 % smaller and takes half as long again
LONGEST = 14_400  # points; longer pages are refused by some viewers (ISO 32000-1, annex C; from memory)

# The PDF header's second line: four bytes above 127 say that the file is binary (ISO 32000-1, 7.5.2).
HEADER = b"%%PDF-%d.%d\n%%\xe2\xe3\xcf\xd3\n" % VERSION

AGAIN = "/Again << /ActualText ( ) >>"  # what is read for words that another page says
PREFERENCES = (
    "<< /PrintScaling /None /Duplex /Simplex /PickTrayByPDFSize %s /NumCopies 1 /DisplayDocTitle true >>"
)


class _Ready(PDFObject):  # type: ignore[misc]
    """An object of the file whose bytes are ready, or will be by the end."""

    __RefOnly__ = 1

    def __init__(self, data: str = "null") -> None:
        self.data = data

    def format(self, document: object) -> bytes:
        return self.data.encode("latin-1")


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """A box of a page, mm (least x, least y, greatest x, greatest y), that leads to another page (from 0)."""

    box: Box
    page: int


def plain(text: str) -> str:
    """The words with everything that could break a line or a string made harmless: control characters and line
    feeds become spaces, halves of surrogate pairs the replacement character."""
    if not text.isprintable():  # most words are
        text = "".join("\ufffd" if "\ud800" <= c <= "\udfff" else c if c.isprintable() else " " for c in text)
    return " ".join(text.split())


def _escaped(data: bytes) -> str:
    r"""The inside of a literal string: ``\``, ``(``, ``)`` and line ends escaped, other bytes as they are."""
    text = data.decode("latin-1")
    for bad, good in (("\\", r"\\"), ("(", r"\("), (")", r"\)"), ("\r", r"\r"), ("\n", r"\n")):
        text = text.replace(bad, good)
    return text


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
        self._stream = stream
        self._at = 0
        self._offsets: dict[int, int] = {}
        self._document = PDFDocument(invariant=1, pdfVersion=VERSION, compression=1)
        info = self._document.info
        info.title, info.subject, info.creator = plain(title), plain(subject), plain(creator)
        info.author = ""
        self._font = getFont(fonts.register())
        self._shown: dict[tuple[str, float], str] = {}
        self._forms: dict[str, str] = {}
        self._layers = Layers(self)
        self._pages: list[int] = []
        self._promised: dict[int, int] = {}  # the objects of pages that are led to and have not come yet
        self._labels: list[str] = []
        self._attached: list[tuple[str, int]] = []
        self._tree = _Ready()
        self._resources = _Ready()
        self._tree_number = self._number(self._tree)
        self._resources_number = self._number(self._resources)
        self._write(HEADER)

    # Bytes and objects

    def _write(self, data: bytes) -> None:
        self._stream.write(data)
        self._at += len(data)

    def _number(self, thing: PDFObject) -> int:
        """The object's number in the file; the document keeps it and writes it at the end."""
        reference: PDFObjectReference = self._document.Reference(thing)
        found: int = self._document.idToObjectNumberAndVersion[reference.name][0]
        return found

    def new_number(self) -> int:
        """A number for an object that is written at once and not kept."""
        self._document.objectcounter += 1
        taken: int = self._document.objectcounter
        return taken

    def write_object(self, number: int, data: bytes) -> None:
        """Write an object and forget it."""
        self._offsets[number] = self._at
        self._write(b"%d 0 obj\n%b\nendobj\n" % (number, data))

    # Pages

    @property
    def pages(self) -> int:
        """How many pages have been added."""
        return len(self._pages)

    def form(self, name: str, content: str) -> str:
        """Keep operators that many pages share; returns the operator that draws them.

        The space of ``content`` is the page's, mm.  ``name``: letters and digits.
        """
        if name not in self._forms:
            number = self.new_number()
            packed = zlib.compress(content.encode("latin-1"), LEVEL)
            # The form is placed inside the page's own millimetres, so that its box is in millimetres too; more
            # than any page.
            head = (
                "<< /Type /XObject /Subtype /Form /BBox [-10000 -10000 10000 10000]"
                f" /Resources {self._resources_number} 0 R /Filter /FlateDecode /Length {len(packed)} >>\nstream\n"
            )
            self.write_object(number, head.encode() + packed + b"\nendstream")
            self._forms[name] = f"{number} 0 R"
        return f"/{name} Do\n"

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
        return self.more_operators(f"{self._to_points}\n1 j\n{content}")

    def more_operators(self, content: str) -> int:
        """Write operators that go on where others have set the page's millimetres; returns their number."""
        packed = zlib.compress(content.encode("latin-1"), LEVEL)
        self._document.signature.update(packed)
        stream = self.new_number()
        self.write_object(
            stream, b"<< /Filter /FlateDecode /Length %d >>\nstream\n%b\nendstream" % (len(packed), packed)
        )
        return stream

    def add_page_of(self, streams: Sequence[int], *, label: str, links: Sequence[Link] = ()) -> None:
        """Write a page of operators that are in the file already, carried out one after the other.

        Source: ISO 32000-1, 7.7.3.3 (a page's contents may be an array of streams; from memory).
        """
        page = self.page_number(len(self._pages))
        self._promised.pop(len(self._pages), None)
        listed = " ".join(f"{stream} 0 R" for stream in streams)
        contents = listed if len(streams) == 1 else f"[{listed}]"
        self.write_object(
            page,
            f"<< /Type /Page /Parent {self._tree_number} 0 R /MediaBox {self._box}"
            f" /Resources {self._resources_number} 0 R /Contents {contents}{self._links(links)} >>".encode(),
        )
        self._pages.append(page)
        self._labels.append(label)

    def page_number(self, index: int) -> int:
        """The number of a page's object, written already or not."""
        if index < len(self._pages):
            return self._pages[index]
        if index not in self._promised:
            self._promised[index] = self.new_number()
        return self._promised[index]

    def _links(self, links: Sequence[Link]) -> str:
        if not links:
            return ""
        wide, tall, left, low = self._scale
        each = [
            f"<< /Type /Annot /Subtype /Link /Border [0 0 0]"
            f" /Rect [{left + wide * x0:.2f} {low + tall * y0:.2f} {left + wide * x1:.2f} {low + tall * y1:.2f}]"
            f" /Dest [{self.page_number(link.page)} 0 R /Fit] >>"
            for link in links
            for x0, y0, x1, y1 in (link.box,)
        ]
        return f" /Annots [{' '.join(each)}]"

    def attach(self, name: str, data: bytes) -> None:
        """Write a file into this one; ISO 32000-1, 7.11.4 (embedded file streams; from memory).

        Args:
            name: letters, digits, dot and hyphen; no two alike.
            data: JSON.
        """
        packed = zlib.compress(data, LEVEL)
        self._document.signature.update(packed)
        stream, file = self.new_number(), self.new_number()
        self.write_object(
            stream,
            b"<< /Type /EmbeddedFile /Subtype /application#2Fjson /Params << /Size %d >> /Filter /FlateDecode"
            b" /Length %d >>\nstream\n%b\nendstream" % (len(data), len(packed), packed),
        )
        self.write_object(
            file, f"<< /Type /Filespec /F ({name}) /UF ({name}) /EF << /F {stream} 0 R >> >>".encode()
        )
        self._attached.append((name, file))

    # Words

    def words(
        self,
        text: str,
        at: tuple[float, float],
        height: float,
        *,
        turn: float = 0.0,
        align: str = "left",
        outline: float = 0.0,
    ) -> str:
        """Operators for one line of words.

        Args:
            at: where the baseline begins (``left``), has its middle or ends (``right``), mm.
            height: of a capital, mm.
            turn: anticlockwise, radians.
            align: "left", "middle" or "right".
            outline: breadth of the letters' outlines, mm, where only these are drawn; 0: the letters are black.
        """
        x, y = at
        if align != "left":
            back = fonts.text_width(text, height) * (0.5 if align == "middle" else 1.0)
            x, y = x - back * math.cos(turn), y - back * math.sin(turn)
        if turn:
            c, s = number(math.cos(turn)), number(math.sin(turn))
            matrix = f"{c} {s} {number(-math.sin(turn))} {c} {x:.3f} {y:.3f}"
        else:
            matrix = f"1 0 0 1 {x:.3f} {y:.3f}"
        shows = self._shows(text, height)
        if outline:  # text rendering mode 1, ISO 32000-1, 9.3.6 (from memory)
            return f"q {outline:g} w [] 0 d 0 G BT 1 Tr {matrix} Tm {shows}ET Q\n"
        return f"BT {matrix} Tm {shows}ET\n"

    def _shows(self, text: str, height: float) -> str:
        """The operators that show the text in the codes of the font's subsets."""
        found = self._shown.get((text, height))
        if found is None:
            font, document, size = self._font, self._document, number(fonts.size_for(height))
            found = "".join(
                f"{font.getSubsetInternalName(subset, document)} {size} Tf ({_escaped(data)}) Tj "
                for subset, data in font.splitString(fonts.printable(plain(text)), document)
            )
            if len(self._shown) < 4096:  # words that come once a page must not pile up
                self._shown[text, height] = found
        return found

    # The end

    def finish(self, outline: Sequence[Entry] = ()) -> None:
        """Write everything that could not be known before: fonts, outline, labels, catalogue, places of objects.

        Raises:
            ValueError: a link leads to a page that never came.
        """
        if self._promised:
            raise ValueError(f"a link leads to page {min(self._promised) + 1} of {len(self._pages)}")
        document = self._document
        kids = " ".join(f"{page} 0 R" for page in self._pages)
        self._tree.data = f"<< /Type /Pages /Count {len(self._pages)} /Kids [{kids}] >>"
        catalog = document.Catalog
        catalog.Pages = self._tree
        catalog.PageLabels = _Ready(self._label_tree())
        catalog.ViewerPreferences = _Ready(PREFERENCES % ("true" if self._pick_tray else "false"))
        if self._attached:  # a name tree is in the order of its names
            files = " ".join(f"({name}) {file} 0 R" for name, file in sorted(self._attached))
            catalog.Names = _Ready(f"<< /EmbeddedFiles << /Names [{files}] >> >>")
        if self._layers:
            catalog.__NoDefault__ = [*catalog.__NoDefault__, "OCProperties"]  # else it is dropped
            catalog.OCProperties = _Ready(self._layers.write())
        catalog.Outlines = None
        if outline:
            lines = catalog.Outlines = _Ready()
            lines.data = write_outline(outline, self._number(lines), self)
            catalog.showOutline()
        document.info.invariant = 1
        document.info.digest(document.signature)
        root, info = self._number(catalog), self._number(document.info)
        self._add_fonts()
        self._write_kept()
        self._write_places(root, info)

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

    def _write_kept(self) -> None:
        """Write the objects that the document keeps; formatting one may bring in more."""
        document = self._document
        done = 0
        while done < document.objectcounter:
            done += 1
            name = document.numberToId.get(done)
            if name is None:
                continue
            data = PDFIndirectObject(name, document.idToObject[name]).format(document)
            self._offsets[done] = self._at
            self._write(data)

    def _write_places(self, root: int, info: int) -> None:
        start, count = self._at, self._document.objectcounter + 1
        lines = [f"xref\n0 {count}\n0000000000 65535 f \n"]
        # reportlab leaves a number unused now and then: such an entry is free
        for number in range(1, count):
            at = self._offsets.get(number)
            lines.append("0000000000 00001 f \n" if at is None else f"{at:010d} 00000 n \n")
        mark = self._document.signature.hexdigest()
        lines.append(
            f"trailer\n<< /Size {count} /Root {root} 0 R /Info {info} 0 R /ID [<{mark}> <{mark}>] >>\n"
            f"startxref\n{start}\n%%EOF\n"
        )
        self._write("".join(lines).encode())

    def _label_tree(self) -> str:
        nums = " ".join(f"{index} << /P {self.string(label)} >>" for index, label in enumerate(self._labels))
        return f"<< /Nums [{nums}] >>"

    def string(self, text: str) -> str:
        """A string as it is written among the file's objects."""
        found: bytes = PDFString(plain(text)).format(self._document)
        return found.decode("latin-1")


def number(value: float) -> str:
    """A number for the file: nine digits, no exponent."""
    text = f"{value:.9f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text
