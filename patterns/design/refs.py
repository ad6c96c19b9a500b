"""Keys that name other entries of the file: declared beside the key, and checked here for all of them.

A model declares ``frame: Annotated[Words, Ref("frame")]``; that the frame is there is then checked without a
rule of its own.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from typing import Any, get_args

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from patterns.design.entries import Parts
from patterns.design.quantities import Along
from patterns.errors import Problem
from patterns.measure.nearest import nearest, written

__all__ = ["Ref", "along_fields", "places_in", "ref_problems", "refs_in"]


def _names(value: Any) -> Iterable[str]:
    """The names in a key that holds one or several; none where it is left out."""
    return (value,) if isinstance(value, str) else value or ()


@dataclass(frozen=True, slots=True)
class Ref:
    """That a key names entries of a table.

    Attributes:
        table: the table whose entries it names.
        said: other tables whose entries it may name instead, by the table and the name: "frame 8".
        single: what the design has one of and it may name instead, by that word alone: "breasthook", "transom".
        reads: the names that a value holds, for keys that hold more than names.
        places: the entry's place follows from the other's; not where the other only decides what is cut.
    """

    table: str
    said: tuple[str, ...] = ()
    single: tuple[str, ...] = ()
    reads: Callable[[Any], Iterable[str]] = _names
    places: bool = True

    def known(self, parts: Parts) -> list[str]:
        """Every name that the key may hold."""
        others = [f"{table} {name}" for table in self.said for name in parts.known([table])]
        return [*parts.known([self.table]), *others, *(word for word in self.single if _has(parts, word))]

    @property
    def words(self) -> str:
        """What it names."""
        named = [table.replace("_", " ") for table in (self.table, *self.said, *self.single)]
        return " or ".join(filter(None, [", ".join(named[:-1]), named[-1]]))


def _has(parts: Parts, word: str) -> bool:
    """Whether the design has the one piece of a kind: a table of its own, or an end of that kind."""
    ends = (getattr(end, "kind", "") for _, end in parts.entries.get("end", []))
    return bool(parts.entries.get(word)) or word in parts.unread or word in ends


def ref_problems(parts: Parts) -> Iterator[Problem]:
    """Every name in a reference that no entry has, with the nearest one that an entry has."""
    for entries in parts.entries.values():
        for place, entry in entries:
            for key, ref, names in refs_in(entry):
                yield from _unknown(parts, f"{place}, key {key}", ref, names)


def refs_in(entry: BaseModel) -> Iterator[tuple[str, Ref, Iterable[str]]]:
    """Each key that names other entries, what it names, and the names."""
    for name, field in type(entry).model_fields.items():
        for ref in field.metadata:
            if isinstance(ref, Ref):
                yield field.alias or name, ref, ref.reads(getattr(entry, name))


def _unknown(parts: Parts, where: str, ref: Ref, names: Iterable[str]) -> Iterator[Problem]:
    known = ref.known(parts)
    for name in names:
        if name and name not in known:
            yield Problem(
                where,
                f'there is no {ref.words} "{name}"',
                nearest(name, known)
                or (f"write {written(known)}" if known else f"the design has no {ref.words}"),
                code="unknown-name",
            )


def places_in(entry: BaseModel) -> Iterator[tuple[str, str]]:
    """Each key that is a place along the boat, and what it holds: "station 3", a length, another piece's side."""
    for name in along_fields(type(entry)):
        value = getattr(entry, name, None)  # an end that could not be read whole lacks keys
        if isinstance(value, str):
            yield type(entry).model_fields[name].alias or name, value


@cache
def along_fields(model: type[BaseModel]) -> tuple[str, ...]:
    """The fields of a class that hold places along the boat."""
    fields = model.model_fields.items()
    return tuple(name for name, field in fields if any(isinstance(each, Along) for each in _declared(field)))


def _declared(field: FieldInfo) -> Iterator[object]:
    """What is declared beside a key, for the whole of it or for one of the things that it may be."""
    yield from field.metadata
    for option in get_args(field.annotation):
        yield from getattr(option, "__metadata__", ())
