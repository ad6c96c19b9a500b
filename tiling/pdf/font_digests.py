"""The fonts that a file has in the end, for the record: what makes them print and read as they do."""

from __future__ import annotations

from typing import Any

from reportlab.pdfbase.pdfdoc import PDFDocument

from tiling.pdf.ink_record import font_digest

__all__ = ["font_digests"]


def font_digests(document: PDFDocument) -> dict[str, str]:
    """The digest of each font by its name in the pages' resources; after the fonts were added to the document."""
    found = {}
    for name, font in document.idToObject["BasicFonts"].dict.items():
        described = document.idToObject[font.FontDescriptor.name].dict
        found[name] = font_digest(
            kind=font.Subtype.lstrip("/"),
            first=font.FirstChar,
            widths=font.Widths.sequence,
            encoding=str(getattr(font, "Encoding", None) or ""),
            flags=described["Flags"],
            program=_content(document.idToObject[described["FontFile2"].name]),
            words=_content(document.idToObject[font.ToUnicode.name]),
        )
    return found


def _content(stream: Any) -> bytes:
    content = stream.content
    return content if isinstance(content, bytes) else content.encode("latin-1")
