"""A piece that cannot be made of its own size names the key that gives it."""

from __future__ import annotations

from pathlib import Path

import pytest

from patterns import check
from tests.patterns.folders import DESIGN, changed, write_folder


def place_of_error(folder: Path, design: str) -> str:
    """Where the one piece that cannot be made is at fault."""
    [problem] = [
        each for each in check(write_folder(folder, design=design)).errors if each.code == "piece-not-made"
    ]
    return problem.place


@pytest.mark.parametrize(
    ("old", "new", "place"),
    [
        ('moulded_side = "71 mm"', 'moulded_side = "900 mm"', 'design.toml, frame "seat", key moulded_side'),
        ('framing_moulded = "60 mm"', 'framing_moulded = "1 mm"', 'design.toml, end "stern", key framing_moulded'),
    ],
)  # fmt: skip
def test_a_size_that_cannot_be_is_named_by_its_key(tmp_path: Path, old: str, new: str, place: str) -> None:
    """Mouldings that leave no opening; notches that leave no wood of the moulding."""
    assert place_of_error(tmp_path, changed(DESIGN, old, new)) == place
