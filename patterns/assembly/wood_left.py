"""The least wood left anywhere in a piece, at its notches and between them, beside how wide it is elsewhere."""

from __future__ import annotations

from dataclasses import dataclass

from shapely.geometry import Polygon

from patterns.flat.necks import mean_width, narrowest
from patterns.pattern import Pattern

__all__ = ["LITTLE", "WoodLeft", "least_wood"]

LITTLE = 0.25  # of the piece's own width; common practice, no source
WHOLE = 0.05  # of the larger part; a smaller part beside it is a chip

THROUGH = 0.01  # mm; a notch that leaves less opens the end of a piece, or takes it off


@dataclass(frozen=True, slots=True, kw_only=True)
class WoodLeft:
    """The narrowest place of a piece.

    Attributes:
        width: mm.
        usual: how wide the piece is on average, mm.
        notch: the timber whose notch leaves it; empty where it is between other edges.
    """

    width: float
    usual: float
    notch: str = ""


def least_wood(pattern: Pattern) -> WoodLeft | None:
    """The narrowest place of a piece; None where it is not much narrower than the piece is on average."""
    bodies = [body for body in (pattern.body, *pattern.slabs) if body is not None]
    if pattern.template or not bodies:
        return None
    found: list[WoodLeft] = []
    widths = []
    for body in bodies:
        for face in (body.moulded, body.other):
            parts: list[Polygon] = [part for part in getattr(face, "geoms", [face]) if not part.is_empty]
            largest = max((part.area for part in parts), default=0.0)
            for part in parts:
                if part.area < WHOLE * largest:
                    continue
                usual = mean_width(part)
                widths.append(usual)
                neck = narrowest(part, below=LITTLE * usual)
                if neck is not None:
                    found.append(WoodLeft(width=neck.width, usual=usual))
    usual = max(widths, default=0.0)
    found += [
        WoodLeft(width=left, usual=usual, notch=timber)
        for timber, left in pattern.depth_left.items()
        if THROUGH < left < LITTLE * usual
    ]
    return min(found, key=lambda left: left.width, default=None)
