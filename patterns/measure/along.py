"""Places along the boat as the design file names them: ``station 3``, ``frame 3``, or a distance."""

from __future__ import annotations

__all__ = ["frame_named", "station_named"]


def station_named(place: str) -> str | None:
    """The station that a place names, ``3`` of ``station 3``; None where it is another place."""
    return _named(place, "station ")


def frame_named(place: str) -> str | None:
    """The frame that a place names, ``3`` of ``frame 3``; None where it is another place."""
    return _named(place, "frame ")


def _named(place: str, word: str) -> str | None:
    name = place.removeprefix(word).strip()
    return name if name and place.startswith(word) else None
