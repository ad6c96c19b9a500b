"""Which tables of the design file could be read: known by their names, whatever the entries are called."""

from __future__ import annotations

from typing import Any

import pytest

from patterns.design.parts import MOST_ENTRIES, parts_of, tables


@pytest.mark.parametrize(
    ("raw", "unread"),
    [
        ({"timber": [{"kind": "clamp"}]}, {"timber"}),
        ({"timber": [{"kind": "rope"}]}, {"timber"}),
        ({"timber": [{}]}, {"timber"}),
        ({"timber": {"kind": "clamp"}}, {"timber"}),
        ({"timber": [{"kind": "clamp"}] * (MOST_ENTRIES + 1)}, {"timber"}),
        ({"strake": [{"name": "side, timber clad", "between": 3}]}, {"strake"}),
        ({"timbre": [{"kind": "clamp"}]}, set()),
    ],
)
def test_a_table_is_unread_where_one_of_its_own_entries_is(raw: dict[str, Any], unread: set[str]) -> None:
    parts = parts_of(raw, tables())
    assert parts.unread == unread
    assert parts.problems
