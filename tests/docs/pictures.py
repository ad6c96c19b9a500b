"""The README's two pictures, made by the tool from the demo: python -m tests.docs.pictures writes them again.

Kept beside them is what they were drawn from: the piece's outlines and all words.  Other versions of the libraries
may draw a last digit or a letter's edge differently, so a picture's bytes do not show whether it is current.
"""

from __future__ import annotations

import json
import re
import tempfile
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pypdfium2

from patterns import make
from patterns.drawing.of_pattern import draw
from patterns.pattern import Kind
from patterns.run.page_request import PageRequest
from tests.demo import DEMO, demo_boat, demo_patterns
from tests.tiling.readback import Sheet, read
from tiling.svg import svg_text

__all__ = ["PAGE", "PATTERN", "RECORD", "drawn_from", "write_pictures"]

PIECE = "frame 2"
PICTURES = DEMO / "pictures"
PAGE, PATTERN, RECORD = (PICTURES / name for name in ("page.png", "pattern.svg", "drawn-from.json"))
DPI = 90
SHADES = 8


def _pattern_picture() -> str:
    """The taped pattern on white paper, as the tool draws it for a screen."""
    pattern = next(each for each in demo_patterns() if each.name == PIECE)
    title = demo_boat().design.boat.name
    text = svg_text(draw(pattern, boat=title), title=f"{title}: {PIECE}")
    return text.replace("</title>", '</title>\n<rect width="100%" height="100%" fill="#ffffff"/>', 1)


def _printed(folder: Path) -> Path:
    """The file that is to be printed for the piece alone."""
    made = make(DEMO, into=folder, request=PageRequest(paper="a4"), only=[PIECE], quick=True)
    return made.folder / next(name for name in made.files if name.endswith(".pdf"))


def _page_shown(sheets: list[Sheet]) -> int:
    """The page with the most bevels on it."""
    bevels = [
        sum(bool(re.match(r"[\d.]+° (under|standing)", word)) for word in _said(sheet)) for sheet in sheets
    ]
    return bevels.index(max(bevels))


def _said(sheet: Sheet) -> list[str]:
    return [each.text.strip() for each in sheet.said]


def _words_of_svg(text: str) -> list[str]:
    return [
        "".join(each.itertext()).strip()
        for each in ElementTree.fromstring(text.encode()).iter()
        if each.tag.endswith("}text")
    ]


def _record(svg: str, sheet: Sheet) -> dict[str, Any]:
    pattern = next(each for each in demo_patterns() if each.name == PIECE)
    return {
        "piece": PIECE,
        "outlines": [line.points.round(2).tolist() for line in pattern.lines if line.kind is Kind.SAW],
        "words": {
            PATTERN.name: sorted(set(_words_of_svg(svg))),
            PAGE.name: sorted({word for word in _said(sheet) if word}),
        },
    }


def drawn_from() -> dict[str, Any]:
    """What the two pictures would be drawn from now."""
    with tempfile.TemporaryDirectory() as folder:
        sheets = read(_printed(Path(folder)))
        return _record(_pattern_picture(), sheets[_page_shown(sheets)])


def write_pictures() -> None:
    """Draw both, and write beside them what they were drawn from."""
    PICTURES.mkdir(exist_ok=True)
    svg = _pattern_picture()
    with tempfile.TemporaryDirectory() as folder:
        file = _printed(Path(folder))
        sheets = read(file)
        shown = _page_shown(sheets)
        document = pypdfium2.PdfDocument(file)
        picture = document[shown].render(scale=DPI / 72, grayscale=True).to_pil()
        document.close()
    picture.quantize(SHADES).save(PAGE, optimize=True)
    PATTERN.write_text(svg, encoding="utf-8")
    record = json.dumps(_record(svg, sheets[shown]), indent=None, ensure_ascii=False)
    RECORD.write_text(record + "\n", encoding="utf-8")


if __name__ == "__main__":
    write_pictures()
