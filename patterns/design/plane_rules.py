"""What the planes of the frames must agree on."""

from __future__ import annotations

from collections.abc import Iterator

from patterns.design.models import FrameSpec
from patterns.design.parts import Parts
from patterns.errors import Problem

__all__ = ["plane_problems"]


def plane_problems(parts: Parts) -> Iterator[Problem]:
    """Frames whose plane is turned two ways, or is turned and put together of pieces that run across."""
    for place, frame in parts.all(FrameSpec):
        if frame.cant and frame.rake:
            yield Problem(
                f"{place}, key cant",
                "rake and cant both stand there",
                "keep one of them: a frame is turned about an athwartship line or about the vertical",
                code="conflicting-keys",
            )
        if frame.cant and (frame.pieces != "one ring" or frame.top_piece is not None):
            yield Problem(
                f"{place}, key cant",
                "a canted frame's halves are one piece each, without a top piece across",
                "take out its pieces and top_piece, or the cant",
                code="canted-frame-in-pieces",
            )
