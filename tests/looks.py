"""Breadths of lines, heights of letters and greys of a finished file, held against the two series.

ISO 128-2:2020 (breadths) and ISO 3098-1:2015 (heights), both series from memory; the height of a capital of the
typeface is measured on its letter H by an independent reader of fonts.
"""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

import pytest
from PIL import ImageFont

from tests.tiling.readback import Sheet

BREADTHS = (0.13, 0.18, 0.25, 0.35, 0.5, 0.7, 1.0, 1.4, 2.0)  # mm, by the square root of two
HEIGHTS = (2.5, 3.5, 5.0, 7.0, 10.0, 14.0, 20.0)  # mm; 1.8 too, but no letter is to be so small
FONT = Path(__file__).parents[1] / "tiling" / "text" / "fonts" / "DejaVuSans-subset.ttf"


def capital() -> float:
    """Height of a capital, in sizes of the font."""
    left, top, right, bottom = ImageFont.truetype(str(FONT), 2000).getbbox("H", anchor="ls")
    assert right > left
    assert bottom == 0
    return -top / 2000.0


def breadths_of(sheets: Iterable[Sheet], stretch: float = 1.0) -> set[float]:
    """The breadths of strokes; whole thousandths of a mm."""
    return {round(line.width / stretch, 3) for sheet in sheets for line in sheet.lines if line.stroked}


def heights_of(sheets: Iterable[Sheet]) -> set[float]:
    """The heights of capitals; whole hundredths of a mm."""
    each = capital()
    return {round(said.size * each, 2) for sheet in sheets for said in sheet.said if said.text.strip()}


def greys_of(sheets: Iterable[Sheet]) -> set[float]:
    """What is neither bare paper nor black."""
    sheets = list(sheets)
    greys = {line.grey for sheet in sheets for line in sheet.lines}
    greys |= {spot.grey for sheet in sheets for spot in sheet.spots}
    return greys - {0.0, 1.0}


def hold_to_the_series(sheets: list[Sheet]) -> None:
    """Fail where a breadth or a height is no member of its series, or anything is grey."""
    assert breadths_of(sheets)
    for breadth in breadths_of(sheets):
        assert any(breadth == pytest.approx(member, abs=0.0011) for member in BREADTHS), breadth
    for height in heights_of(sheets):
        assert any(height == pytest.approx(member, abs=0.02) for member in HEIGHTS), height
    assert greys_of(sheets) == set()
