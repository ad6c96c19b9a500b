"""What the design file knows of one kind of member: its tables, their rules, what is usual and what is missed.

A member's own file gives all of it in one value, and nothing else lists the kinds: the file's tables, the names
that must differ, `scrieve keys`, the doubts about sizes, the members that `check` misses and the starters are
derived from the kinds.  How a member is made is added in :mod:`patterns.member_kind`, above the joinery.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from patterns.design.bounds import BoatSize, Bound
from patterns.design.entries import Parts
from patterns.design.missing import Missing
from patterns.design.models import Design
from patterns.design.part import Part
from patterns.errors import Problem

__all__ = ["EntryKind", "Rule", "Table"]

Rule = Callable[[Parts], Iterator[Problem]]
"""What the entries of a design must agree on; it may look at every table."""


def _no_bounds(_: Any, __: BoatSize) -> Iterator[Bound]:
    return iter(())


def _nothing_missed(_: Design) -> Iterator[Missing]:
    return iter(())


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """A table in which a kind of member is asked for, or its part of a table that several kinds share.

    Attributes:
        name: as the file writes it, e.g. ``mast_step``.
        model: its keys.
        kinds: the values of the key ``kind`` that ask for this model, where the table is shared.
        many: repeatable (``[[frame]]``), not single (``[breasthook]``).
        named: no two entries of the table may have one name.
        group: tables of one group share their names: no entry of one may be called as an entry of another.
        sawn: the key of the thickness that is the stock's own; empty where the piece is sawn to size.
        bounds: between which sizes ordinary pieces lie.
    """

    name: str
    model: type[Part]
    kinds: tuple[str, ...] = ()
    many: bool = True
    named: bool = True
    group: str = ""
    sawn: str = ""
    bounds: Callable[[Any, BoatSize], Iterator[Bound]] = _no_bounds


@dataclass(frozen=True, slots=True, kw_only=True)
class EntryKind:
    """One kind of member, as far as the design file goes.

    Attributes:
        name: as words call it.
        order: its place among the kinds: in the list of patterns, of tables and in the starters.
        tables: where it is asked for.
        rules: what its keys must agree on, besides what :mod:`patterns.design.refs` checks by itself.
        misses: what a builder would look for, where the rest of the design lets one expect it.
        starter: its part of a starter's design file by the sort of boat; under "" for every other sort.
    """

    name: str
    order: int
    tables: tuple[Table, ...]
    rules: tuple[Rule, ...] = ()
    misses: Callable[[Design], Iterator[Missing]] = _nothing_missed
    starter: Mapping[str, str] = field(default_factory=dict)

    def starter_for(self, sort: str) -> str:
        """Its part of the starter for a sort of boat; empty where it has none."""
        return self.starter.get(sort, self.starter.get("", "")).strip("\n")
