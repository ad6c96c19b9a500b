"""The rooms of tiling: each imports only those before it, and no file leads back to itself."""

from __future__ import annotations

from tests.rooms import House

HOUSE = House(
    "tiling",
    (
        "errors",
        "drawing",
        "text",
        "paper",
        "layout",
        "lettering",
        "distances",
        "pdf",
        "planning",
        "pages",
        "books",
        "proof",
        ("", "job", "sets", "svg"),  # these tie the rooms together
    ),
)


def test_every_file_has_a_room() -> None:
    assert HOUSE.empty_rooms() == set()


def test_a_room_imports_only_rooms_before_it() -> None:
    assert HOUSE.upward() == []


def test_no_file_leads_back_to_itself() -> None:
    HOUSE.check_no_cycle()


def test_within_a_room_nothing_goes_through_its_door() -> None:
    assert HOUSE.through_the_door() == []
