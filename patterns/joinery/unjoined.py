"""Joints of frames over which the design puts nothing: an observation for `check`, no rule."""

from __future__ import annotations

from collections.abc import Iterator

from patterns.design.file import Design, FrameSpec
from patterns.design.floor_models import FloorSpec
from patterns.design.frame_stands import gussets_on

__all__ = ["unjoined"]


def unjoined(design: Design) -> Iterator[str]:
    """Each frame whose futtocks only butt, with no gusset, half lap or floor timber over the joint."""
    for frame in design.frames:
        if frame.pieces == "one ring":
            continue
        missing = list(_missing(design, frame))
        if missing:
            yield f"frame {frame.name}: nothing lies over its joint {' and '.join(missing)}"


def _missing(design: Design, frame: FrameSpec) -> Iterator[str]:
    gussets = gussets_on(design, frame)
    floors = [floor for floor in design.all(FloorSpec) if floor.frame == frame.name]
    if frame.pieces == "bottom in halves":
        if not floors and all(gusset.centre_arm is None for gusset in gussets):
            yield "on the centreline"
    elif frame.pieces == "no bottom piece" and not floors:
        yield "across the bottom"
    chines = len(design.strakes) - (2 if frame.pieces == "no bottom piece" else 1)
    if not gussets and frame.joint != "half lap" and (chines > 0 or frame.top_piece is not None):
        yield "at the chine" if chines > 0 else "at the sheer"
