"""What is painted, in words: what a thing is called, and how two looks differ."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import numpy as np

from tiling.drawing import FloatArray
from tiling.pdf.graphics_state import Look

__all__ = ["called", "look_words"]

WHITE = 0.95  # greys from here on are white


def called(what: str, points: FloatArray, look: Look, decoded: Callable[[str], str]) -> str:
    """What a thing is called."""
    kind, kinds = what[0], what[2:]
    if kind == "T":
        return f'the words "{decoded(what)}"'
    if kind == "X":
        return f"the {kinds}" if kinds else "a form"
    low, high = points.min(axis=0), points.max(axis=0)
    size = (high - low).tolist()
    round_ = kinds.startswith("mcccc") and abs(size[0] - size[1]) < 0.2
    if kind == "S":
        return f"the circle of {size[0]:.2f} mm" if round_ else "the line"
    paint = _paint(look.get("fill"))
    return (
        f"the {paint} spot of {size[0]:.2f} mm"
        if round_
        else f"the {paint} patch of {size[0]:.1f} by {size[1]:.1f} mm"
    )


def _paint(colour: Any) -> str:
    """A colour in words."""
    if not colour:
        return "unpainted"
    if len(colour) == 1:
        grey = colour[0]
        return "black" if grey < 0.02 else "white" if grey > WHITE else f"grey ({grey:.2f})"
    return "coloured"


def look_words(meant: Look, there: Look, alike: Callable[[Any, Any], bool]) -> Iterator[str]:
    """How what is there looks, each in what it differs from what is meant."""
    for key in dict.fromkeys([*meant, *there]):
        due, now = meant.get(key), there.get(key)
        if alike(due, now):
            continue
        if key in ("fill", "stroke"):
            yield f"is {_paint(now)} where {_paint(due)} is due"
        elif key == "width":
            yield f"is {_wide(now)} wide where {_wide(due)} are due"
        elif key in ("fill alpha", "stroke alpha"):
            yield f"lets the ground show through (opacity {1.0 if now is None else now:g})"
        elif key in ("clip", "clipped to"):
            yield "is cut off along other lines"
        elif key == "layers":
            yield f"is in {_layers(now)} where {_layers(due)} is due"
        elif key == "dash":
            yield f"is {_dashes(now)} where a line {_dashes(due)} is due"
        elif key == "mode":
            yield f"is {_mode(now)} where letters that are {_mode(due)} are due"
        else:
            yield f"has another {key}"


def _wide(value: Any) -> str:
    return "no mm" if value is None else f"{float(np.mean(value)):.2f} mm"


def _layers(value: Any) -> str:
    return f"layer {' in '.join(value)}" if value else "no layer"


def _dashes(value: Any) -> str:
    return f"dashed {' '.join(f'{length:g}' for length in value)} mm" if value else "unbroken"


def _mode(value: Any) -> str:
    modes = {0: "filled", 1: "outlined", 2: "filled and outlined", 3: "invisible"}
    return modes.get(value or 0, "used to clip")
