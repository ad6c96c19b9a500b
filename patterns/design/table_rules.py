"""What the table's own keys and the rest of the design must agree on."""

from __future__ import annotations

from collections.abc import Iterator

from patterns.design.models import TableSpec
from patterns.design.parts import DESIGN_FILE, Parts
from patterns.errors import Problem

__all__ = ["table_rules"]


def table_rules(parts: Parts) -> Iterator[Problem]:
    """A flat bottom lies between the keel and a chine, which is not the sheer."""
    table = parts.one(TableSpec)
    lines = parts.names.get("line", [])
    if table is not None and table.bottom == "flat" and len(lines) == 2:
        yield Problem(
            f"{DESIGN_FILE}, [table], key bottom",
            f'the bottom is declared flat, and no line lies between "{lines[0]}" and "{lines[1]}"',
            'add the [[line]] of the chine, or remove bottom = "flat"',
            code="flat-bottom-without-chine",
        )
