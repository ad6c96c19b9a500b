"""The rooms of patterns: each imports only those before it, and no file leads back to itself."""

from __future__ import annotations

from tests.rooms import House

HOUSE = House(
    "patterns",
    (
        "errors",
        "vectors",
        "numeric_errors",
        "codes",
        "measure",
        "files",
        "flat",
        "hull",
        "design",
        "table",
        "fairing",
        "hydrostatics_words",
        "hydrostatics",
        "planking",
        "wood",
        "timbers",
        "boat",
        "draft",
        "pattern",
        "bevels",
        "text",
        "distances",
        "drawing.marks",
        "joinery",
        "making",
        "member_kind",
        "drawing",
        "joinery.other_end",  # makes pieces with what draws them
        "members",
        "assembly",
        "strokes",
        "key",
        "titles",
        "draughting",
        "shop",
        "picture",
        "findings",
        "repair",
        "subject",
        "page_wish",
        "mark",
        "typed",
        "told",
        "job",
        "ruler",
        "run",
        "lesson",
        "start",
        "",
        "commands",
        "cli",
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


def test_an_arrow_that_runs_up_is_seen() -> None:
    turned = House("patterns", tuple(reversed(HOUSE.order)))
    assert ("patterns.boat", "patterns.table.folder") in turned.upward()
