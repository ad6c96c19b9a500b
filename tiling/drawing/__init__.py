"""What is to be printed: strokes, discs and words in mm, and the plane they lie in."""

from tiling.drawing.model import (
    ROOM,
    XY,
    Disc,
    Distance,
    Drawing,
    Figure,
    FloatArray,
    Note,
    Path,
    Slide,
    Stroke,
)

__all__ = [
    "ROOM",
    "XY",
    "Disc",
    "Distance",
    "Drawing",
    "Figure",
    "FloatArray",
    "Note",
    "Path",
    "Slide",
    "Stroke",
]
