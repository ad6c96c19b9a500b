"""The colours of the desk can be read in light and in dark."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest


def luminance(colour: str) -> float:
    """Relative luminance as WCAG 2.2 defines it."""
    parts = [int(colour[i : i + 2], 16) / 255.0 for i in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def test_the_definition_of_luminance_is_that_of_the_standard() -> None:
    """Black on white is 21 to 1; #777777 on white just misses 4.5 to 1 (both are common knowledge of WCAG)."""
    contrast = (luminance("#ffffff") + 0.05) / (luminance("#000000") + 0.05)
    assert contrast == pytest.approx(21.0)
    assert 4.4 < (luminance("#ffffff") + 0.05) / (luminance("#777777") + 0.05) < 4.5


@pytest.mark.parametrize("scheme", [0, 1])
def test_every_word_has_the_contrast_of_aa(scheme: int) -> None:
    """W3C, WCAG 2.2, success criterion 1.4.3: 4.5 to 1."""
    css = (Path(__file__).parents[2] / "patterns" / "desk" / "desk.css").read_text(encoding="utf-8")
    blocks = re.findall(r":root \{([^}]*)\}", css)
    colours: dict[str, Any] = dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6})", blocks[scheme]))
    words = ("ink", "soft", "suspect", "error", "doubt", "missing", "act")
    grounds = ("board", "card", "gap", "here", "bad")
    pairs = [(word, ground) for word in words for ground in grounds] + [("on-act", "act")]
    low = {
        pair: round((max(a, b) + 0.05) / (min(a, b) + 0.05), 2)
        for pair in pairs
        for a, b in [tuple(luminance(colours[name]) for name in pair)]
        if (max(a, b) + 0.05) / (min(a, b) + 0.05) < 4.5
    }
    assert not low
