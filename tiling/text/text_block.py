"""A note as a block of lines: broken to fit a page, and as large as its letters are."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tiling.drawing import XY, FloatArray, Note
from tiling.drawing.affine import Affine
from tiling.errors import TilingError
from tiling.text.typeface import LINE_PITCH, printable, text_extent, text_width

__all__ = ["TIE", "TextBlock", "block_of", "narrower"]

TIE = "\N{NO-BREAK SPACE}"  # a space at which no line is broken while there is another
NARROW = 0.6  # of the breadth of its longest line, where a block is broken anew to be narrower
LEAST = 55.0  # mm; a narrower block is not broken, and if it is small, not one narrower than
SMALL_LEAST = 24.0
FIGURE_GAP = 2.0  # mm between a figure and the words below it


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TextBlock:
    """A note broken into lines: its size, and each base line and the figure from the lower left corner."""

    index: int
    note: Note
    texts: tuple[str, ...]
    widths: tuple[float, ...]
    rises: tuple[float, ...]
    figure_rise: float
    size: XY
    target: FloatArray
    towards: FloatArray


def _broken(text: str, height: float, room: float) -> list[str]:
    """The text in lines no wider than ``room``, parted at spaces where it can be."""

    def wide(line: str) -> float:
        return text_width(line.replace(TIE, " "), height)

    lines: list[str] = []
    for piece in text.split("\n"):
        line = TIE.join(printable(part) for part in piece.split(TIE))
        while wide(line) > room and len(line) > 1:
            most = next(n for n in range(len(line) - 1, 0, -1) if n == 1 or wide(line[:n]) <= room)
            space = line.rfind(" ", 0, most + 1)
            cut = space if space > 0 else most
            lines.append(line[:cut].rstrip())
            line = line[cut:].lstrip()
        lines.append(line)
    return [line.replace(TIE, " ") for line in lines]


def block_of(index: int, note: Note, to_grid: Affine, room: XY) -> TextBlock:
    figure = note.figure
    texts = _broken(note.text, note.height, min(room[0], note.widest)) if note.text or figure is None else []
    widths = tuple(text_width(text, note.height) for text in texts)
    pitch = LINE_PITCH * note.height
    below = len(texts) - 1
    foot = rise = 0.0
    if texts:
        top, _ = text_extent(texts[0], note.height)
        _, foot = text_extent(texts[-1], note.height)
        rise = top + below * pitch + foot + FIGURE_GAP
    if figure is None:
        size = (max(widths), rise - FIGURE_GAP)
    else:
        size = (max((*widths, figure.width)), rise + figure.height)
    if size[0] > room[0] or size[1] > room[1]:
        raise TilingError(
            f"the words {note.text!r} are larger than a page; shorten them or take a larger paper"
        )
    way = np.array(to_grid.direction(note.towards))
    length = float(np.hypot(*way))
    return TextBlock(
        index=index,
        note=note,
        texts=tuple(texts),
        widths=widths,
        rises=tuple(foot + (below - i) * pitch for i in range(len(texts))),
        figure_rise=rise,
        size=size,
        target=np.array(to_grid.at(note.target)),
        towards=way / length if length > 0.0 else way,
    )


def narrower(block: TextBlock, to_grid: Affine) -> TextBlock | None:
    """The same words in shorter lines; None where a figure, or words that are narrow already, leave no choice.

    Words with a leader are broken farther than others.
    """
    least = SMALL_LEAST if block.note.leader else LEAST
    if block.note.figure is not None or block.size[0] < least:
        return None
    found = block_of(block.index, block.note, to_grid, (max(NARROW * block.size[0], least), np.inf))
    whole = " ".join(found.texts).split() == " ".join(block.texts).split()  # no word is cut
    return found if whole and len(found.texts) > len(block.texts) else None
