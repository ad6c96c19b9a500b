"""The demo boats as values, made once for all tests of a run; frozen, so that none can spoil them."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

from patterns.assembly.landings import landed_in
from patterns.boat import Boat, load_boat
from patterns.members import all_patterns
from patterns.pattern import Pattern

__all__ = [
    "DEMO",
    "clinker_demo",
    "clinker_demo_patterns",
    "demo_boat",
    "demo_patterns",
    "round_demo",
    "round_demo_patterns",
]

DEMO = Path(__file__).parents[1] / "demo_design"


@lru_cache(maxsize=1)
def demo_boat() -> Boat:
    """The hard-chine boat."""
    return load_boat(DEMO)


@lru_cache(maxsize=1)
def demo_patterns() -> tuple[Pattern, ...]:
    """All its patterns."""
    return landed_in(demo_boat(), all_patterns(demo_boat()))


@lru_cache(maxsize=1)
def round_demo() -> Boat:
    """The boat with a round bilge."""
    return load_boat(DEMO / "round_bilge")


@lru_cache(maxsize=1)
def round_demo_patterns() -> tuple[Pattern, ...]:
    """All its patterns."""
    return landed_in(round_demo(), all_patterns(round_demo()))


@lru_cache(maxsize=1)
def clinker_demo() -> Boat:
    """The boat of clinker planks."""
    return load_boat(DEMO / "clinker")


@lru_cache(maxsize=1)
def clinker_demo_patterns() -> tuple[Pattern, ...]:
    """All its patterns."""
    return landed_in(clinker_demo(), all_patterns(clinker_demo()))
