"""The rooms of tiling: each imports only those before it, and no file leads back to itself."""

from __future__ import annotations

from tests.rooms import TILING


def test_every_file_has_a_room() -> None:
    assert TILING.empty_rooms() == set()


def test_a_room_imports_only_rooms_before_it() -> None:
    assert TILING.upward() == []


def test_no_file_leads_back_to_itself() -> None:
    TILING.check_no_cycle()


def test_within_a_room_nothing_goes_through_its_door() -> None:
    assert TILING.through_the_door() == []
