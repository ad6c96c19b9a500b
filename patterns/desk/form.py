"""The design file as forms: every table with its keys, what they mean, and what is typed there now."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Iterator, Mapping
from typing import Any

from pydantic import BaseModel

from patterns.design.keys import KeyShape, key_texts
from patterns.design.parts import DESIGN_FILE, REPAIR_TABLES, TableKind, entry_label, tables

__all__ = ["allowed_tables", "form_data", "shape_of"]


def form_data(data: bytes) -> dict[str, Any]:
    """Tables in the order of the file, and what may be added, as plain data for the page."""
    try:
        raw = tomllib.loads(data.decode("utf-8-sig"))
    except (ValueError, RecursionError) as error:
        return {"unreadable": f"{DESIGN_FILE} cannot be read: {error}; correct it in a text editor"}
    allowed = allowed_tables(raw)
    entries = list(_entries(raw, allowed))
    kinds = {entry["kind"]: _kind(entry["kind"], allowed) for entry in entries if entry["kind"]}
    return {"entries": entries, "kinds": kinds, "more": list(_more(raw, allowed))}


def shape_of(raw: Mapping[str, Any], table: str, number: int, key: str) -> KeyShape:
    """How a key's value is written."""
    entries = _as_list(raw.get(table))
    entry = entries[number] if number < len(entries) else {}
    model = _model(allowed_tables(raw).get(table), entry)
    return next((each.shape for each in key_texts(model) if each.name == key), "text") if model else "text"


def allowed_tables(raw: Mapping[str, Any]) -> Mapping[str, TableKind]:
    """The tables that a design file may have: a boat's, or a repair's."""
    return REPAIR_TABLES if "repair" in raw else tables()


def _as_list(found: Any) -> list[dict[str, Any]]:
    return [each for each in (found if isinstance(found, list) else [found]) if isinstance(each, dict)]


def _model(kind: TableKind | None, entry: Mapping[str, Any]) -> type[BaseModel] | None:
    """What an entry is read as; None where it does not show that."""
    if kind is None:
        return None
    told = entry.get(kind.told_by)
    return kind.models.get("") or (kind.models.get(told) if isinstance(told, str) else None)


def _entries(raw: Mapping[str, Any], allowed: Mapping[str, TableKind]) -> Iterator[dict[str, Any]]:
    """What is typed in each table, with the kind that its keys are explained under."""
    for table, found in raw.items():
        kind = allowed.get(table)
        for number, entry in enumerate(_as_list(found)):
            label = table if kind is None else entry_label(table, kind, entry, number + 1)
            told = entry.get(kind.told_by, "") if kind is not None and kind.told_by else ""
            yield {
                "table": table,
                "number": number,
                "label": label,
                "place": f"{DESIGN_FILE}, {label}",
                "kind": f"{table} {told}".strip() if _model(kind, entry) is not None else "",
                "values": {key: _shown(value) for key, value in entry.items()},
            }


def _kind(name: str, allowed: Mapping[str, TableKind]) -> dict[str, Any]:
    """What a kind of table means, and its keys in words."""
    table, _, told = name.partition(" ")
    kind = allowed[table]
    model = kind.models.get("") or kind.models[told]
    return {
        "meaning": " ".join((model.__doc__ or "").split()),
        "keys": [
            {
                "key": key.name,
                "need": key.need,
                "required": key.required,
                "meaning": key.meaning,
                "options": list(kind.models) if key.name == kind.told_by else list(key.options),
                "shape": key.shape,
            }
            for key in key_texts(model)
        ],
    }


def _nested(value: Any) -> bool:
    return isinstance(value, (dict, list))


def _shown(value: Any) -> str | list[str] | dict[str, str]:
    """A value as the form shows it: words, or a list of them; in an object what only a text editor can change."""
    if isinstance(value, list) and not any(_nested(each) for each in value):
        return [str(each) for each in value]
    if _nested(value):
        return {"shut": json.dumps(value, ensure_ascii=False, default=str)}
    return str(value).lower() if isinstance(value, bool) else str(value)


def _more(raw: Mapping[str, Any], allowed: Mapping[str, TableKind]) -> Iterator[dict[str, Any]]:
    """What may be added, each kind of a table by itself."""
    for table, kind in allowed.items():
        if kind.many or table not in raw:
            for told, model in kind.models.items():
                yield {
                    "table": table,
                    "kind": told,
                    "meaning": " ".join((model.__doc__ or "").split()),
                    "missing": bool(kind.needed) and table not in raw,
                }
