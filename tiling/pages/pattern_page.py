"""The operators of each page of a piece: its part of the drawing with words, and its joints."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import groupby
from operator import attrgetter, itemgetter
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from tiling.drawing import XY, FloatArray, Path
from tiling.lettering.floor_names import BELOW, OUTLINE
from tiling.lettering.label_placement import TextLine
from tiling.pages.match_marks import draw_joints, joints_of
from tiling.pages.obstacles import Obstacles
from tiling.paper import Box
from tiling.pdf.clipping import ClippedStrokes, plain_state
from tiling.pdf.pdf_file import PdfFile
from tiling.pdf.shapes import LEADER, Ink, round_path
from tiling.planning.plan import Plan

__all__ = ["figure_path", "tile_contents"]


def tile_contents(plan: Plan, strokes: ClippedStrokes, pdf: PdfFile) -> Iterator[str]:
    """Each page of a piece in the order of its tiles, without the strips; page coordinates, mm.

    Args:
        strokes: the piece's, cut in the coordinates of its grid.
    """
    layout = plan.layout
    segments = strokes.in_windows([tile.window for tile in layout.tiles])
    loose = [*_discs(plan), *_words(plan, pdf), *_names(plan, pdf)]
    loose.sort(key=attrgetter("layer"))  # each layer's together
    boxes = np.array([each.box for each in loose], dtype=float).reshape(-1, 4).T
    owners = np.array([-1 if each.again else each.tile for each in loose], dtype=int)
    x0, y0, x1, y1 = layout.page.window
    clip = f"q {x0:.3f} {y0:.3f} {x1 - x0:.3f} {y1 - y0:.3f} re W n\n"
    for index, (tile, here, joints) in enumerate(zip(layout.tiles, segments, joints_of(layout), strict=True)):
        shift = layout.to_page(tile)
        met = np.flatnonzero(_meet(boxes, tile.window) & ((owners < 0) | (owners == index)))
        parts = [(each.layer, each.on(index)) for each in [loose[which] for which in met.tolist()]]
        drawn = _in_layers([*strokes.operators(here), *parts], pdf)
        ink = Ink(pdf)
        ink.raw(f"{clip}1 0 0 1 {shift.tx:.9f} {shift.ty:.9f} cm\n{drawn}Q\n")
        draw_joints(
            ink, joints, overlap=layout.page.overlap, taken=Obstacles(boxes[:, met], strokes, here, shift)
        )
        yield ink.text()


def _meet(boxes: FloatArray, box: Box) -> NDArray[np.bool_]:
    """Which of the boxes, shape (4, n), meet the one."""
    x0, y0, x1, y1 = box
    found = (boxes[0] <= x1) & (boxes[2] >= x0) & (boxes[1] <= y1) & (boxes[3] >= y0)
    return np.asarray(found, dtype=bool)


def _in_layers(parts: Iterable[tuple[str, str]], pdf: PdfFile) -> str:
    """The operators of all parts, those of neighbours in one layer together."""
    return "".join(
        pdf.in_layer(layer, "".join([text for _, text in group]))
        for layer, group in groupby(parts, key=itemgetter(0))
    )


class Loose(NamedTuple):
    """A spot, a leader, a figure or words.

    Attributes:
        box: what it takes up, grid coordinates.
        layer: its name; empty for none.
        operators: that draw it.
        tile: the one page that it belongs to; -1 where each page draws what it sees of it.
        again: what the other pages draw that see it.
    """

    box: Box
    layer: str
    operators: str
    tile: int = -1
    again: str = ""

    def on(self, tile: int) -> str:
        """The operators for a page that sees it; empty where it is left to another."""
        return self.operators if self.tile in (-1, tile) else self.again


def _discs(plan: Plan) -> Iterator[Loose]:
    for disc in plan.drawing.discs:
        x, y = plan.layout.to_grid.at(disc.centre)
        path = round_path((x, y), disc.radius)
        reach = disc.radius + (0.0 if disc.filled else 0.5 * disc.width)
        paint = f"0 g {path} f\n" if disc.filled else f"{disc.width:g} w [] 0 d 0 G {path} s\n"
        yield Loose(box=(x - reach, y - reach, x + reach, y + reach), layer=disc.layer, operators=paint)


def _words(plan: Plan, pdf: PdfFile) -> Iterator[Loose]:
    """Words stand on their own page alone, unless a trim line runs through them: then the page beyond goes on with
    them, and a search finds them once."""
    by_height: dict[float, list[TextLine]] = {}
    for words in plan.words:
        by_height.setdefault(words.height, []).extend(words.lines)
    lines = {
        height: iter(pdf.level_words([line.text for line in same], [line.at for line in same], height))
        for height, same in by_height.items()
    }
    for words in plan.words:
        note = plan.drawing.notes[words.note]
        said = "".join([next(lines[words.height]) for _ in words.lines])
        again = pdf.said_again(f"0 g {said}") if words.straddles else ""
        yield Loose(box=words.box, layer=note.layer, operators=f"0 g {said}", tile=words.tile, again=again)
        figure = note.figure
        if figure is not None and words.figure is not None:
            drawn = "".join(figure_path(path, words.figure) for path in figure.paths)
            yield Loose(box=words.box, layer=note.layer, operators=drawn)
        if words.leader is not None:
            (ax, ay), (bx, by) = words.leader
            box = (min(ax, bx), min(ay, by), max(ax, bx), max(ay, by))
            drawn = f"{plain_state(LEADER)}{ax:.3f} {ay:.3f} m {bx:.3f} {by:.3f} l S\n"
            yield Loose(box=box, layer=note.layer, operators=drawn)


def _names(plan: Plan, pdf: PdfFile) -> Iterator[Loose]:
    """The pages' names, in no layer."""
    for name in plan.names:
        large = pdf.words(name.text, name.at, name.height, outline=OUTLINE)
        said = f"{large}0 g {pdf.words(name.below, name.below_at, BELOW)}"
        yield Loose(box=name.box, layer="", operators=said, tile=name.tile, again=pdf.said_again(said))


def figure_path(path: Path, corner: XY) -> str:
    """A figure's path, whole; figures are small and stand on one page."""
    points = (path.points + corner).tolist()
    run = "".join(f"{x:.3f} {y:.3f} {'l' if i else 'm'} " for i, (x, y) in enumerate(points))
    paint = f"{path.stroke.grey:g} g b" if path.filled else "s" if path.closed else "S"
    return f"{plain_state(path.stroke)}{run}{paint}\n"
