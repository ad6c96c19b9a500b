"""Pieces of design files that the invented boats of the tests have in common."""

from __future__ import annotations

__all__ = ["STRAKES", "TIMBERS", "head", "lines"]


def head(
    name: str,
    *,
    allow: str = "0",
    lines_to: str = "outside of planking",
    sheer_to: str = "underside of deck",
) -> str:
    """The boat's name, its table in mm and how far an offset may move."""
    return f"""
[boat]
name = "{name}"
[table]
file = "offsets.csv"
notation = "mm"
heights = "up from base"
breadths = "half"
lines_to = "{lines_to}"
sheer_to = "{sheer_to}"
[fairing]
allow = "{allow}"
"""


def lines(*names: str, straight: tuple[str, ...] = ()) -> str:
    """Lines from the centreline up."""
    said = {name: "straight = true\n" if name in straight else "" for name in names}
    return "".join(f'[[line]]\nname = "{name}"\n{words}' for name, words in said.items())


STRAKES = """
[[strake]]
name = "bottom"
between = ["keel", "chine"]
planking = "9 mm"
sections = "straight"
[[strake]]
name = "side"
between = ["chine", "sheer"]
planking = "6 mm"
sections = "straight"
"""

TIMBERS = """
[[timber]]
kind = "keel"
lies = "inside planking"
sided = "90 mm"
moulded = "30 mm"
[[timber]]
kind = "chine log"
follows = "chine"
against = "side"
off = "20 mm"
along = "45 mm"
[[timber]]
kind = "clamp"
follows = "sheer"
against = "side"
off = "20 mm"
along = "45 mm"
"""
