"""The stages in which a boat's pieces are made: the order in which their patterns are printed and listed."""

from __future__ import annotations

from enum import IntEnum

__all__ = ["WorkStage"]


class WorkStage(IntEnum):
    """Stages of the work, the first first (common practice, no source)."""

    SET_UP = 1
    STEM_AND_KEEL = 2
    TRANSOM = 3
    FRAMES = 4
    FLOORS = 5
    LONGITUDINALS = 6
    PLANKING = 7
    DECK = 8
