"""The labels of facts on a piece's card: one for each subject, so that a row is found by it."""

from __future__ import annotations

from collections.abc import Mapping

__all__ = ["ROWS", "label_of"]

ROWS: Mapping[str, str] = {"face": "Face shown"}
"""Labels of what is no fact of the wood."""

LABELS: Mapping[str, tuple[str, ...]] = {
    "Stock": ("wood", "wood-moulded", "timber", "square-edges", "outer-wood", "strips", "sheets"),
    "Place": (
        "moulded-face",
        "mould-face",
        "lies-on-face",
        "leans",
        "its-middle",
        "stands-between",
        "under-beam",
        "ends-lie",
        "runs",
        "top-slopes",
        "quarter-knee-top",
        "faces-square-to-base",
        "in-old-frames-place",
        "sister",
        "floor-arms",
        "rib",
        "rib-twist",
        "former",
        "old-frame-cut",
    ),
    "Set-up": ("legs", "mould-legs", "from-set-up-line", "put-together-by"),
    "Breadth": (
        "breadths",
        "breadths-on-a-curve",
        "breadths-inside",
        "sheer-to-sheer",
        "across-both-halves",
        "lining-off",
        "tapers",
    ),
    "Length": ("true-length", "length", "marks-along", "beams-crossed", "as-sawn"),
    "Angles": (
        "keel-knee-angle",
        "keel-knee-arms",
        "quarter-knee-arms",
        "hanging-knee-arms",
        "end-cuts",
        "end-cut",
        "end-corner",
        "bevelled-edge",
        "twist",
        "no-bevels-known",
        "square-inner-edge",
    ),
    "Joint": (
        "joint-end",
        "joint-through",
        "joint-butt",
        "joint-lap",
        "joint-mitre",
        "mitred-joints",
        "butted-joints",
        "grain-run-out",
        "ends",
    ),
    "Stick": ("stick-before-bevelling",),
    "Shape": ("expanded-plank", "plank-round"),
    "Strips": ("strips-here",),
    "Lap": ("lapped-by", "gain"),
    "Lands": ("land", "land-at-mould"),
    "Bend": ("bend", "strips-bend"),
    "Wood left": ("wood-left-at-notches", "wood-left-at-laps", "depth-on-centreline"),
    "Other hand": ("turn-over", "sides-alike", "port-one-is-mirror"),
    "In doubt": ("in-doubt",),
}
OTHER = "Work"
BY_KIND = {kind: label for label, kinds in LABELS.items() for kind in kinds}


def label_of(kind: str) -> str:
    """The label of a kind of fact; what has no other tells how the piece is made."""
    return BY_KIND.get(kind, OTHER)
