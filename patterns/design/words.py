"""What is wrong in a table of the design file, said in words of the trade."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import cache
from typing import Any

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from patterns.design.quantities import TRADE, shown
from patterns.errors import Problem
from patterns.measure.nearest import nearest, written

__all__ = ["file_keys", "options_of", "problems_of"]


def file_keys(model: type[BaseModel]) -> dict[str, str]:
    """Each key of a table as the file writes it, with what it means."""
    return {
        field.alias or name: (field.description or "").rstrip(".")
        for name, field in model.model_fields.items()
    }


def problems_of(error: ValidationError, model: type[BaseModel], place: str) -> list[Problem]:
    """Every problem of one table.

    Args:
        model: what the table is to be.
        place: the file and the table, as ``design.toml, frame "3"``.
    """
    return [
        replace(problem, code="missing-key") if _untyped(details) else problem
        for details in error.errors(include_url=False)
        for problem in (_problem(details, model, place),)
    ]


def _untyped(details: ErrorDetails) -> bool:
    """Whether the key is not there, or nothing is typed between its quotes."""
    given = details["input"]
    return details["type"] == "missing" or (isinstance(given, str) and not given.strip())


def _problem(details: ErrorDetails, model: type[BaseModel], place: str) -> Problem:
    keys = file_keys(model)
    loc, given = details["loc"], details["input"]
    context: Mapping[str, Any] = details.get("ctx", {})
    key = str(loc[0]) if loc else ""
    if len(loc) > 1 and isinstance(loc[1], int):
        key += f", entry {loc[1] + 1}"
    where = f"{place}, key {key}" if key else place
    means = keys.get(str(loc[0]) if loc else "", "")
    match details["type"]:
        case kind if kind == TRADE:
            code = context["code"]
            return Problem(where, context["what"], context["want"], code=code)
        case "missing":
            options = options_of(model, key)
            choice = f": write {written(options)}" if options else ""
            return Problem(where, "is missing", f"{_lower(means)}{choice}", code="missing-key")
        case "extra_forbidden":
            guess = nearest(key, keys)
            return Problem(
                where,
                "is not a known key",
                guess or f"the keys here are {', '.join(keys)}",
                code="unknown-key",
            )
        case "literal_error" | "enum":
            options = options_of(model, str(loc[0]))
            guess = nearest(str(given), options)
            want = f"write {written(options)}" + (f" ({guess})" if guess and len(options) > 1 else "")
            return Problem(where, f"{shown(given)} is not a valid choice", want, code="invalid-choice")
        case "bool_type" | "bool_parsing":
            return Problem(
                where,
                f"{shown(given)} is neither true nor false",
                "write true or false, unquoted",
                code="invalid-value",
            )
        case _:
            return Problem(where, f"{shown(given)} will not do", _lower(means), code="invalid-value")


def _lower(sentence: str) -> str:
    return sentence[:1].lower() + sentence[1:]


@cache
def _schema(model: type[BaseModel]) -> dict[str, Any]:
    """A table's schema, which is slow to make; nobody changes it."""
    return model.model_json_schema(by_alias=True)


def options_of(model: type[BaseModel], key: str) -> tuple[str, ...]:
    """The words that a key may be, where it is a choice."""
    schema = _schema(model)
    found = schema["properties"].get(key, {})
    if "$ref" in found:
        found = schema["$defs"][found["$ref"].rpartition("/")[2]]
    choices = [found, *found.get("anyOf", [])]
    return tuple(
        str(word) for choice in choices for word in choice.get("enum", [choice.get("const")]) if word
    )
