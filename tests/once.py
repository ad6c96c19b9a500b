"""What tests share: boats, their patterns, profile lines; and pieces made alone where others do not matter.

All of these are frozen values: no test can spoil them for the next.
"""

from __future__ import annotations

import hashlib
import pickle
from collections import OrderedDict
from collections.abc import Callable, Collection, Hashable
from functools import lru_cache
from pathlib import Path
from typing import Any, TypeVar

import pytest

import patterns.fairing.keel
import patterns.subject
from patterns.boat import Boat, load_boat
from patterns.fairing.profile_choice import ProfileChoice, choose_profile
from patterns.joinery.make_pieces import make_all
from patterns.members import KINDS, all_patterns
from patterns.pattern import Pattern

__all__ = ["made_of", "remember"]

Kept = TypeVar("Kept")
BOATS, PROFILES = 8, 64  # how many of each are kept
_boats: OrderedDict[Hashable, Boat] = OrderedDict()
_profiles: OrderedDict[Hashable, ProfileChoice] = OrderedDict()


def remember(monkeypatch: pytest.MonkeyPatch) -> None:
    """For one test: the same files are the same boat to all commands, the same points the same profile line.

    Many tests run commands on one boat, or spoil another part of a design whose table they leave alone.  What
    session and module fixtures made is not taken from here, so that a test may hold what it makes against that.
    """
    monkeypatch.setattr(patterns.subject, "load_boat", _boat_in)
    monkeypatch.setattr(
        patterns.subject, "all_patterns", lambda boat, *, only=(): _patterns(boat, tuple(only))
    )
    monkeypatch.setattr(patterns.fairing.keel, "choose_profile", _profile)


def _boat_in(folder: Path) -> Boat:
    try:
        files = [(path.name, path.read_bytes()) for path in sorted(folder.glob("*.*")) if path.is_file()]
    except OSError:  # the program's own words for it are what is asked for
        return load_boat(folder)
    return _kept(_boats, BOATS, tuple(files), lambda: load_boat(folder))


@lru_cache(maxsize=BOATS)
def _patterns(boat: Boat, only: Collection[str]) -> tuple[Pattern, ...]:
    return all_patterns(boat, only=only)


def _profile(*args: Any, **more: Any) -> ProfileChoice:
    key = hashlib.sha256(pickle.dumps((args, sorted(more.items())))).digest()
    return _kept(_profiles, PROFILES, key, lambda: choose_profile(*args, **more))


def _kept(known: OrderedDict[Hashable, Kept], most: int, key: Hashable, make: Callable[[], Kept]) -> Kept:
    if key not in known:
        known[key] = make()
        while len(known) > most:
            known.popitem(last=False)
    known.move_to_end(key)
    return known[key]


def made_of(boat: Boat, *kinds: str) -> dict[str, Pattern]:
    """The patterns of these kinds of member by their names; no other piece is made.

    Raises:
        DesignError: with every piece of these that cannot be made, and why.
    """
    assert set(kinds) <= {kind.name for kind in KINDS}, kinds
    pieces = (piece for kind in KINDS if kind.name in kinds for piece in kind.pieces(boat))
    made = make_all(pieces, given="the lines and sizes given", slip_in="the table beside it")
    return {pattern.name: pattern for pattern in made}
