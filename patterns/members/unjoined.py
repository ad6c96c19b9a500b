"""Joints of frames over which the design puts nothing: an observation for `check`, no rule."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from patterns.design.file import Design, FrameSpec
from patterns.design.frame_stands import gussets_on
from patterns.members.floor_keys import FloorSpec

__all__ = ["Unjoined", "unjoined"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Unjoined:
    """A joint over which nothing lies.

    Attributes:
        frame: the frame's name.
        where: on the frame, in words: ``at the chine``.
        wants: what usually lies there.
    """

    frame: str
    where: str
    wants: Literal["gusset", "floor"]


def unjoined(design: Design) -> Iterator[Unjoined]:
    """Each frame's joints that only butt, with no gusset, half lap or floor timber over them."""
    for frame in design.frames:
        if frame.pieces != "one ring":
            yield from _missing(design, frame)


def _missing(design: Design, frame: FrameSpec) -> Iterator[Unjoined]:
    gussets = gussets_on(design, frame)
    floors = [floor for floor in design.all(FloorSpec) if floor.frame == frame.name]
    if frame.pieces == "bottom in halves":
        if not floors and all(gusset.centre_arm is None for gusset in gussets):
            yield Unjoined(frame=frame.name, where="on the centreline", wants="floor")
    elif frame.pieces == "no bottom piece" and not floors:
        yield Unjoined(frame=frame.name, where="across the bottom", wants="floor")
    chines = len(design.strakes) - (2 if frame.pieces == "no bottom piece" else 1)
    if not gussets and frame.joint != "half lap" and (chines > 0 or frame.top_piece is not None):
        where = "at the chine" if chines > 0 else "at the sheer"
        yield Unjoined(frame=frame.name, where=where, wants="gusset")
