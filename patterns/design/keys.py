"""Every table and key of the design file in words, from the models that read it: it cannot fall behind them."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum
from functools import cache
from types import UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from patterns.design.parts import REPAIR_TABLES, TableKind, tables
from patterns.design.words import options_of
from patterns.measure.nearest import nearest, written

__all__ = ["KeyShape", "KeyText", "key_texts", "key_words", "unknown_table"]

WIDE = 100  # characters a line

KeyShape = Literal["text", "number", "yes or no", "list", "other"]


@dataclass(frozen=True, slots=True, kw_only=True)
class KeyText:
    """A key in words.

    Attributes:
        name: as the file writes it.
        need: ``required``, ``optional``, or its default.
        required: whether the table cannot do without it.
        meaning: what it means, with its choices.
        options: its choices; none where it is not a choice.
        shape: how its value is written; a text may hold a length; ``other`` is a table or a list of lists.
    """

    name: str
    need: str
    required: bool
    meaning: str
    options: tuple[str, ...]
    shape: KeyShape


def unknown_table(name: str) -> str | None:
    """What is wrong with a table's name, in words; None where there is such a table."""
    every = {**tables(), **REPAIR_TABLES}
    if name in every:
        return None
    guess = nearest(name, every)
    return f'"{name}" is not a table of the design file; ' + (guess or f"the tables are {', '.join(every)}")


def key_words(only: str | None = None, *, repair: bool = False) -> Iterator[str]:
    """A line each: every table with its keys, its meaning and its default.

    Args:
        only: one table's name.
        repair: the tables of a repair alone.
    """
    if repair:
        for name, kind in REPAIR_TABLES.items():
            if only is None or name == only:
                yield from _table(name, kind)
        return
    for name, kind in tables().items():
        if only is None or name == only:
            yield from _table(name, kind)
    if only is None:
        shared = ", ".join(f"[{name}]" for name, kind in REPAIR_TABLES.items() if tables().get(name) is kind)
        yield from _wrapped(f"The tables of a repair, which has {shared} as above and besides:", "")
        yield ""
    for name, kind in REPAIR_TABLES.items():
        if tables().get(name) is not kind and (only is None or name == only):
            yield from _table(name, kind)


def _table(name: str, kind: TableKind) -> Iterator[str]:
    heading = f"[[{name}]]" if kind.many else f"[{name}]"
    need = "required" if kind.needed else "optional"
    often = ", repeatable" if kind.many else ""
    yield f"{heading}  ({need}{often})"
    by_model: dict[type[BaseModel], list[str]] = {}
    for told, model in kind.models.items():
        by_model.setdefault(model, []).append(told)
    for model, kinds in by_model.items():
        said = " ".join((model.__doc__ or "").split())
        where = f"{kind.told_by} = {written(kinds)}: " if kind.told_by else ""
        yield from _wrapped(f"{where}{said}", "  ")
        for key in key_texts(model):
            yield from _wrapped(f"{key.name} ({key.need}): {key.meaning}", "    ", further="        ")
        yield ""


@cache
def key_texts(model: type[BaseModel]) -> tuple[KeyText, ...]:
    """Every key of a table in words: needed ones first, then the kind's own before those that many kinds share."""
    shared = {key for base in model.__bases__ for key in getattr(base, "model_fields", {})}
    needed_first = sorted(
        model.model_fields.items(), key=lambda item: (not item[1].is_required(), item[0] in shared)
    )
    return tuple(_key_text(model, field.alias or key, field) for key, field in needed_first)


def _key_text(model: type[BaseModel], key: str, field: FieldInfo) -> KeyText:
    meaning = (field.description or "").strip()
    options = options_of(model, key)
    if len(options) > 1:
        meaning += f" One of {written(options)}."
    return KeyText(
        name=key, need=_default(field), required=field.is_required(), meaning=meaning, options=options,
        shape=_shape(field.annotation),
    )  # fmt: skip


def _shape(annotation: Any) -> KeyShape:
    """How a key's value is written, from the type that it is read as."""
    inside = [part for part in get_args(annotation) if part is not type(None)]
    if get_origin(annotation) is Annotated:
        return _shape(inside[0])
    if get_origin(annotation) is tuple:
        nested = any(_shape(part) == "list" for part in inside if part is not Ellipsis)
        return "other" if nested else "list"
    if annotation is bool or annotation is int:
        return "yes or no" if annotation is bool else "number"
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return "other"
    shapes = {_shape(part) for part in inside} if get_origin(annotation) in (Union, UnionType) else set()
    return shapes.pop() if len(shapes) == 1 else "text"


def _default(field: FieldInfo) -> str:
    if field.is_required():
        return "required"
    default: Any = field.get_default(call_default_factory=True)
    if isinstance(default, Enum):
        default = default.value
    if default in (None, "", ()):
        return "optional"
    if isinstance(default, bool):
        return f"default {str(default).lower()}"
    if isinstance(default, float):
        return f"default {default:g} mm" if default else "default 0"
    return f"default {default}"


def _wrapped(text: str, lead: str, *, further: str | None = None) -> list[str]:
    return textwrap.wrap(
        text, WIDE, initial_indent=lead, subsequent_indent=lead if further is None else further,
        break_long_words=False, break_on_hyphens=False,
    )  # fmt: skip
