"""What is asked for by name: one pattern, all parts of a frame, or every name that begins so."""

from __future__ import annotations

from dataclasses import replace

import pytest

from patterns.joinery.make_pieces import named
from patterns.pattern import Pattern
from tests.patterns.test_distances import board

# The builder has a frame "3" and another one "3 aft", and calls a beam "frame 3 beam".
PARTS = {
    "frame 3 side": "frame 3",
    "frame 3 centre gusset, after": "frame 3",
    "frame 3 aft side": "frame 3 aft",
    "frame 3 aft bottom": "frame 3 aft",
    "frame 3 beam": "",
    "frame 4": "frame 4",
    "frame 4 side": "frame 4",
    "mould 1": "",
    "mould 10": "",
}


@pytest.mark.parametrize(
    ("asked", "names"),
    [
        ("frame 3", ["frame 3 side", "frame 3 centre gusset, after"]),
        (" Frame 3 Aft", ["frame 3 aft side", "frame 3 aft bottom"]),
        ("frame 3 beam", ["frame 3 beam"]),
        ("frame 4", ["frame 4"]),
        ("mould", ["mould 1", "mould 10"]),
        ("mould 1", ["mould 1"]),
        ("frame 33", []),
        ("", []),
    ],
)
def test_the_parts_of_a_frame_are_its_own(asked: str, names: list[str]) -> None:
    patterns: list[Pattern] = [replace(board(), name=name, part_of=whole) for name, whole in PARTS.items()]
    assert [pattern.name for pattern in named(patterns, asked)] == names
