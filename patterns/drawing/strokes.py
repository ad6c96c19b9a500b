"""Which stroke each kind of line gets, the layers, and the heights of words: all that pages have in common."""

from __future__ import annotations

from patterns.pattern import Kind
from tiling.drawing import Stroke

__all__ = [
    "ARROW",
    "BEVELS",
    "FINE",
    "FIRM",
    "GRID",
    "KEY_ORDER",
    "LAYERS",
    "NAME",
    "NOTES",
    "OTHER_FACE",
    "STROKES",
    "WORDS",
]

BEVELS, OTHER_FACE, NOTES, GRID = "bevels", "other face", "notes", "grid"  # the layers
LAYERS = {Kind.OTHER: OTHER_FACE, Kind.REFERENCE: GRID}  # of lines; the others lie in none

# Lines of one dash that may stand side by side are two steps of the ISO 128 series apart, which is 2:1.
STROKES = {
    Kind.SAW: Stroke(width=0.7),
    Kind.FACE: Stroke(width=0.35),
    Kind.OTHER: Stroke(width=0.25, dash=(4.0, 2.0)),
    Kind.REFERENCE: Stroke(width=0.18, dash=(2.0, 5.0)),
    Kind.CENTRE: Stroke(width=0.25, dash=(12.0, 2.0, 2.0, 2.0)),
    Kind.BASE: Stroke(width=0.35, dash=(20.0, 2.5)),
    Kind.RABBET: Stroke(width=0.35),
    Kind.APEX: Stroke(width=0.25, dash=(1.5, 1.5)),
    Kind.BEARDING: Stroke(width=0.25, dash=(8.0, 2.5)),
    Kind.LAMINATION: Stroke(width=0.18, dash=(0.7, 1.5)),
    Kind.LANDING: Stroke(width=0.25, dash=(6.0, 1.5, 1.0, 1.5, 1.0, 1.5)),
    Kind.JOINT: Stroke(width=0.5, dash=(10.0, 1.5)),
    Kind.BOLT: Stroke(width=0.35, dash=(5.0, 1.5, 5.0, 1.5, 0.7, 1.5)),
}
KEY_ORDER = tuple(STROKES)
FINE = Stroke(width=0.18)
FIRM = Stroke(width=0.5)
ARROW = Stroke(width=0.35)

NAME, WORDS = 5.0, 3.5  # heights of capitals, mm (members of the ISO 3098 series)
