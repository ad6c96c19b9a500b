"""Entries whose places follow from one another in a ring, so that none of them can be the first.

Where a piece lies follows from where others lie before anything is cut: a beam from its frame, a carling from its
beams, a half beam from its carling.  What is cut follows from all of these afterwards, so only places can go round.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Mapping, Sequence
from typing import TypeVar

from pydantic import BaseModel

from patterns.design.entries import Parts
from patterns.design.refs import Ref, refs_in
from patterns.errors import Problem

__all__ = ["cycle_problems", "rings_of"]

Node = TypeVar("Node", bound=Hashable)


def rings_of(needs: Mapping[Node, Sequence[Node]]) -> list[tuple[Node, ...]]:
    """Rings among things that need each other, each from its first member on; none where some order serves all.

    Args:
        needs: what each of them needs; one that is needed and is not among them needs nothing.
    """
    done: set[Node] = set()
    found: list[tuple[Node, ...]] = []

    def follow(node: Node, path: tuple[Node, ...]) -> None:
        if node in path:
            found.append(path[path.index(node) :])
            return
        if node not in done:
            for other in needs.get(node, ()):
                follow(other, (*path, node))
            done.add(node)

    for node in needs:
        follow(node, ())
    return found


def cycle_problems(parts: Parts) -> Iterator[Problem]:
    """Every ring of entries whose places follow from one another, with the keys that close it."""
    keys: dict[str, dict[str, str]] = {
        place: dict(_needed(parts, entry)) for entries in parts.entries.values() for place, entry in entries
    }
    for ring in rings_of({place: list(others) for place, others in keys.items()}):
        named = [
            f"{place}, key {keys[place][other]}"
            for place, other in zip(ring, (*ring[1:], ring[0]), strict=True)
        ]
        yield Problem(
            named[0],
            "its place follows from its own: " + "; ".join(named),
            "give one of these keys another name",
            code="places-in-a-ring",
        )


def _needed(parts: Parts, entry: BaseModel) -> Iterator[tuple[str, str]]:
    """The places of the entries that one's own place follows from, and the key that says it."""
    for key, ref, names in refs_in(entry):
        for name in names if ref.places else ():
            yield from ((place, key) for place in _called(parts, ref, name))


def _called(parts: Parts, ref: Ref, name: str) -> Iterator[str]:
    """Where the entry of a name is."""
    said = ((table, name.removeprefix(f"{table} ")) for table in ref.said if name.startswith(f"{table} "))
    for table, own in ((ref.table, name), *said):
        for place, entry in parts.entries.get(table, []):
            if own and getattr(entry, "name", None) == own:
                yield place
