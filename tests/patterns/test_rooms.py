"""The rooms of patterns: each imports only those before it, and no file leads back to itself."""

from __future__ import annotations

from tests.rooms import PATTERNS, House


def test_every_file_has_a_room() -> None:
    assert PATTERNS.empty_rooms() == set()


def test_a_room_imports_only_rooms_before_it() -> None:
    assert PATTERNS.upward() == []


def test_no_file_leads_back_to_itself() -> None:
    PATTERNS.check_no_cycle()


def test_within_a_room_nothing_goes_through_its_door() -> None:
    assert PATTERNS.through_the_door() == []


def test_an_arrow_that_runs_up_is_seen() -> None:
    turned = House("patterns", tuple(reversed(PATTERNS.order)))
    assert ("patterns.boat", "patterns.table.folder") in turned.upward()
