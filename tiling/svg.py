"""One drawing as a full-size picture in mm (Scalable Vector Graphics 1.1), without pages.

Width and height are given in mm and the view box counts mm, so that a length in the file is the length
of the thing.  y runs down there and up here.  What is drawn lies in three groups by what it is for, each with a
colour of its own (`LAYERS`): ``cut``, ``mark`` and ``text``.
"""

from __future__ import annotations

import re
from dataclasses import replace
from html import escape  # xml.sax.saxutils brings the whole of urllib with it

import numpy as np

from tiling.drawing import Disc, Distance, Drawing, FloatArray, Path, Stroke
from tiling.errors import TilingError
from tiling.layout.coverage import ink_boxes
from tiling.lettering.label_placement import Words, letter_open
from tiling.paper import TARGET_RADIUS, Box
from tiling.text.typeface import size_for

__all__ = ["CUT", "LAYERS", "MARK", "ROOM", "TEXT", "legal", "svg_text"]

CUT, MARK, TEXT = "cut", "mark", "text"
LAYERS = {
    CUT: "#d00000",
    MARK: "#0040c0",
    TEXT: "#000000",
}  # what is drawn, by what it is for, and its colour

ROOM = 120.0  # mm around the strokes in which words may stand
RIM = 5.0  # mm of blank around everything
THIN = Stroke(width=0.18)
_FORBIDDEN = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def svg_text(drawing: Drawing, *, title: str = "") -> str:
    """The whole file as text.

    Raises:
        TilingError: nothing is drawn, a coordinate is not a finite number, or words find no room.
    """
    ink = ink_boxes(drawing)
    (x0, y0), (x1, y1) = ink.low.min(axis=0), ink.high.max(axis=0)
    words = letter_open(drawing, (x0 - ROOM, y0 - ROOM, x1 + ROOM, y1 + ROOM))
    view = _around((float(x0), float(y0), float(x1), float(y1)), words)
    cut = any(path.cut for path in drawing.paths)  # where nothing is, all is black
    inks = LAYERS if cut else dict.fromkeys(LAYERS, LAYERS[TEXT])
    groups: dict[str, list[str]] = {name: [] for name in LAYERS}
    for path in drawing.paths:
        name = CUT if path.cut else MARK
        groups[name].append(_path(path, view, inks[name]))
    groups[MARK] += [_disc(disc, view, inks[MARK]) for disc in drawing.discs]
    groups[MARK] += [_target(gap, view, inks[MARK]) for gap in drawing.distances]
    groups[TEXT] += [_words(each, view) for each in words]
    for each in words:
        figure = drawing.notes[each.note].figure
        if figure is not None and each.figure is not None:
            moved = (replace(path, points=path.points + each.figure) for path in figure.paths)
            groups[TEXT] += [_path(path, view, inks[TEXT]) for path in moved]
    width, height = view[2] - view[0], view[3] - view[1]
    return "\n".join(
        (
            '<?xml version="1.0" encoding="UTF-8"?>',
            f'<svg xmlns="http://www.w3.org/2000/svg" version="1.1" width="{width:.3f}mm" height="{height:.3f}mm"'
            f' viewBox="0 0 {width:.3f} {height:.3f}">',
            f"<title>{escape(legal(title))}</title>",
            *(line for name, body in groups.items() if body for line in _group(name, body, inks[name])),
            "</svg>",
            "",
        )
    )


def _group(name: str, body: list[str], colour: str) -> tuple[str, ...]:
    start = (
        f'<g id="{name}" fill="none" stroke="{colour}" stroke-linecap="butt" stroke-linejoin="round"'
        " font-family=\"'DejaVu Sans', sans-serif\">"
    )
    return start, *body, "</g>"


def _around(box: Box, words: tuple[Words, ...]) -> Box:
    boxes = np.array([box, *(each.box for each in words)])
    x0, y0 = boxes[:, :2].min(axis=0) - RIM
    x1, y1 = boxes[:, 2:].max(axis=0) + RIM
    return float(x0), float(y0), float(x1), float(y1)


def legal(text: str) -> str:
    """The text without the characters that XML 1.0 forbids: no file for other programs has them."""
    return _FORBIDDEN.sub("", text)


def _grey(grey: float) -> str:
    level = round(255 * min(max(grey, 0.0), 1.0))
    return f"#{level:02x}{level:02x}{level:02x}"


def _placed(points: FloatArray, view: Box) -> FloatArray:
    return np.column_stack((points[:, 0] - view[0], view[3] - points[:, 1]))


def _path(path: Path, view: Box, ink: str) -> str:
    points = _placed(path.points, view)
    if not np.isfinite(points).all():
        raise TilingError("a coordinate of the drawing is not a finite number")
    run = ("%.3f,%.3f " * len(points)) % tuple(points.ravel().tolist())
    stroke = path.stroke
    look = f'stroke-width="{stroke.width:g}"'
    if stroke.grey:
        look += f' stroke="{_grey(stroke.grey)}"'
    if stroke.dash:
        look += f' stroke-dasharray="{" ".join(f"{part:g}" for part in stroke.dash)}"'
    if path.filled:
        look += f' fill="{_grey(stroke.grey) if stroke.grey else ink}"'
    return f'<path d="M{run.rstrip()}{"Z" if path.closed else ""}" {look}/>'


def _disc(disc: Disc, view: Box, ink: str) -> str:
    (x, y) = _placed(np.array([disc.centre], dtype=float), view)[0]
    look = f'fill="{ink}" stroke="none"' if disc.filled else f'stroke-width="{disc.width:g}"'
    return f'<circle cx="{x:.3f}" cy="{y:.3f}" r="{disc.radius:.3f}" {look}/>'


def _target(gap: Distance, view: Box, ink: str) -> str:
    """The two ends of a distance as a disc within a cross."""
    arm = TARGET_RADIUS
    parts = []
    for x, y in _placed(np.array([gap.start, gap.end], dtype=float), view).tolist():
        parts.append(
            f'<path d="M{x - arm:.3f},{y:.3f}H{x + arm:.3f}M{x:.3f},{y - arm:.3f}V{y + arm:.3f}"'
            f' stroke-width="{THIN.width:g}"/>'
            f'<circle cx="{x:.3f}" cy="{y:.3f}" r="1" fill="{ink}" stroke="none"/>'
        )
    return "".join(parts)


def _words(words: Words, view: Box) -> str:
    size = size_for(words.height)
    parts = []
    if words.leader is not None:
        (x0, y0), (x1, y1) = _placed(np.array(words.leader), view).tolist()
        parts.append(f'<path d="M{x0:.3f},{y0:.3f}L{x1:.3f},{y1:.3f}" stroke-width="{THIN.width:g}"/>')
    for line in words.lines:
        if not line.text.strip():
            continue
        x, y = line.at[0] - view[0], view[3] - line.at[1]
        # The length is given so that words keep to their place in whatever typeface is at hand.
        parts.append(
            f'<text x="{x:.3f}" y="{y:.3f}" font-size="{size:.3f}" fill="#000000" stroke="none"'
            f' textLength="{line.width:.3f}" lengthAdjust="spacingAndGlyphs">{escape(legal(line.text))}</text>'
        )
    return "\n".join(parts)
