"""The pages of a pattern as they lie when taped, in one picture: rendered apart, trimmed and laid over one another.

Nothing but the finished file is used: its pages, and the record that it carries of where each page lies.
From the command line: python -m tests.tiling.taped FILE.pdf PATTERN PICTURE.png
"""

from __future__ import annotations

import json
import re
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pypdfium2 as pdfium
from numpy.typing import NDArray
from pypdf import PdfReader

MM = 25.4 / 72.0


@dataclass(frozen=True)
class Taped:
    """Darkness of each pixel, 0 to 1, and -1 where no paper lies; row 0 is at the top.

    Attributes:
        corner: lower left corner of the picture in the grid of the record, mm.
        pixel: mm.
    """

    dark: NDArray[np.float64]
    corner: tuple[float, float]
    pixel: float


def record_of(path: Path, name: str) -> tuple[dict[str, Any], dict[str, Any]]:
    """The record of the whole file, and that of the pattern whose pages begin with that name."""
    attached = PdfReader(path).attachments
    patterns = (json.loads(data[0]) for key, data in attached.items() if key.startswith("pattern-"))
    return json.loads(attached["pages.json"][0]), next(each for each in patterns if each["label"] == name)


def taped(path: Path, name: str, *, dpi: float = 72.0) -> Taped:
    """The pattern as a person tapes it.

    A page is trimmed at the dashed lines on its right and its top, then laid over the page on its right and over
    the row above.
    """
    whole, pattern = record_of(path, name)
    width, height = (value / 1000.0 for value in whole["size"])
    window = [value / 1000.0 for value in whole["window"]]
    order = [number for number, *_ in whole["pages"]]
    pages = {number: (tag, -tx / 1000.0, -ty / 1000.0) for number, tag, tx, ty in pattern["pages"]}
    cuts: dict[int, dict[str, float]] = {number: {} for number in pages}
    for over, _, ax, ay, bx, _ in pattern["seams"]:
        # both marks stand on the trim line
        cuts[over]["right" if ax == bx else "top"] = (ax if ax == bx else ay) / 1000.0
    _corner_cuts(pages, cuts, width, window)
    pixel = 25.4 / dpi
    low = np.min([at[1:] for at in pages.values()], axis=0)
    high = np.max([at[1:] for at in pages.values()], axis=0) + np.array([width, height])
    columns, rows = (int(n) for n in np.ceil((high - low) / pixel))
    dark = np.full((rows, columns), -1.0)
    document = pdfium.PdfDocument(path)
    # from the lowest to the uppermost: the rows from the top, each from the right
    for number in sorted(pages, key=lambda n: (_row(pages[n][0]), -_column(pages[n][0]))):
        _, x, y = pages[number]
        bitmap = document[order.index(number)].render(scale=dpi / 72.0, grayscale=True)
        sheet = 1.0 - bitmap.to_numpy().reshape(bitmap.height, bitmap.width).astype(float) / 255.0
        right = cuts[number].get("right", x + width)
        top = cuts[number].get("top", y + height)
        c0, c1 = round((x - low[0]) / pixel), round((right - low[0]) / pixel)
        r0, r1 = round((high[1] - top) / pixel), round((high[1] - y) / pixel)
        skip = round((y + height - top) / pixel)
        part = sheet[skip : skip + r1 - r0, : c1 - c0]
        dark[r0 : r0 + part.shape[0], c0 : c0 + part.shape[1]] = part
    document.close()
    return Taped(dark=dark, corner=(float(low[0]), float(high[1] - rows * pixel)), pixel=pixel)


def _row(tag: str) -> tuple[int, str]:
    letters = re.sub(r"\d", "", tag)
    return len(letters), letters


def _column(tag: str) -> int:
    return int(re.sub(r"\D", "", tag))


def _corner_cuts(
    pages: dict[int, tuple[str, float, float]],
    cuts: dict[int, dict[str, float]],
    width: float,
    window: list[float],
) -> None:
    """Tops that are trimmed since the paper would hide part of a window that it meets only in a corner."""
    tops = {_row(pages[number][0]): cut["top"] for number, cut in cuts.items() if "top" in cut}
    for number, (tag, x, y) in pages.items():
        above = [
            at + window[0]
            for other, at, level in pages.values()
            if _row(other) != _row(tag) and 0.0 < level - y < 1.5 * (window[3] - window[1])
        ]
        wide = window[2] - window[0]
        if _row(tag) in tops and any(left < x + width and left + wide > x for left in above):
            cuts[number].setdefault("top", tops[_row(tag)])


def main() -> None:
    """Write the picture."""
    from PIL import Image

    path, name, target = sys.argv[1:4]
    found = taped(Path(path), name)
    grey = np.where(found.dark < 0.0, 0.7, 1.0 - found.dark)
    Image.fromarray((255.0 * grey).astype(np.uint8)).save(target)


if __name__ == "__main__":
    main()
