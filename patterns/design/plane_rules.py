"""What the planes of the frames must agree on."""

from __future__ import annotations

from collections.abc import Iterator

from patterns.design.models import FrameSpec
from patterns.design.parts import Parts
from patterns.errors import Problem

__all__ = ["plane_problems"]


def plane_problems(parts: Parts) -> Iterator[Problem]:
    """Frames whose plane is turned two ways."""
    for place, frame in parts.all(FrameSpec):
        if frame.cant and frame.rake:
            yield Problem(
                f"{place}, key cant",
                "rake and cant both stand there",
                "keep one of them: a frame is turned about an athwartship line or about the vertical",
            )
