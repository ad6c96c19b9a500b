"""Boats and patterns made once for all tests of a run, and pieces made alone where the others do not matter.

Boats and patterns are frozen values: none can spoil them for the next test.
"""

from __future__ import annotations

import hashlib
from collections.abc import Collection
from functools import cache
from pathlib import Path

import pytest

import patterns.subject
from patterns.boat import Boat, load_boat
from patterns.joinery.make_pieces import make_all
from patterns.members import KINDS, all_patterns
from patterns.pattern import Pattern

__all__ = ["boat_in", "made_of", "patterns_in", "remember_boats"]

_boats: dict[str, Boat] = {}


def boat_in(folder: Path) -> Boat:
    """The boat of a design folder; where the files say the same it is the same boat."""
    words = hashlib.sha256()
    for path in sorted(folder.glob("*.*")):
        if path.is_file():
            content = path.read_bytes()
            words.update(f"{path.name} {len(content)} ".encode() + content)
    key = words.hexdigest()
    if key not in _boats:
        _boats[key] = load_boat(folder)
    return _boats[key]


def patterns_in(folder: Path) -> tuple[Pattern, ...]:
    """All its patterns."""
    return _patterns(boat_in(folder), frozenset())


@cache
def _patterns(boat: Boat, only: frozenset[str]) -> tuple[Pattern, ...]:
    return all_patterns(boat, only=only)


def made_of(boat: Boat, *kinds: str) -> dict[str, Pattern]:
    """The patterns of these kinds of member by their names; no other piece is made.

    Raises:
        DesignError: with every piece of these that cannot be made, and why.
    """
    assert set(kinds) <= {kind.name for kind in KINDS}, kinds
    pieces = (piece for kind in KINDS if kind.name in kinds for piece in kind.pieces(boat))
    made = make_all(pieces, given="the lines and sizes given", slip_in="the table beside it")
    return {pattern.name: pattern for pattern in made}


def remember_boats(monkeypatch: pytest.MonkeyPatch) -> None:
    """Commands that are run in this process make each boat once, for as long as the test lasts.

    For tests of what commands say, write and leave alone, which run them on the same boat again and again.
    """

    def made(boat: Boat, *, only: Collection[str] = ()) -> tuple[Pattern, ...]:
        return _patterns(boat, frozenset(only))

    monkeypatch.setattr(patterns.subject, "load_boat", boat_in)
    monkeypatch.setattr(patterns.subject, "all_patterns", made)
