"""The design file as text to be edited: one value at a time, every other letter and comment where it was.

The tables are found by a scan of the text; what comes out is read again, and is refused where anything but the one
value would be another.  (A library that writes TOML was tried: it puts all entries of one kind together, and so
moves tables away from the comments above them.)
"""

from __future__ import annotations

import copy
import json
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from patterns.errors import PatternsError

__all__ = ["TomlTextError", "with_entry", "with_value"]

QUOTES = ('"""', "'''", '"', "'")


class TomlTextError(PatternsError):
    """An edit was not made: the file cannot be read, or more than one value would be another."""


@dataclass(slots=True, kw_only=True)
class _KeySpan:
    """Where a key is: its line, and its value within it."""

    name: str
    line: int
    start: int
    end: int
    next_line: int


@dataclass(slots=True, kw_only=True)
class _TableSpan:
    """Where a table is: its name, which of its kind it is, its keys, and where its last line ends."""

    name: str
    number: int
    end: int
    keys: list[_KeySpan] = field(default_factory=list)


def with_value(text: str, table: str, number: int, key: str, value: Any) -> str:
    """The file with one value set, or taken out.

    Args:
        table: the table's name.
        number: which of its entries, from 0; 0 for a table that is there once.
        value: a text, a number, true or false, or a list of these; None takes the key out.
    Raises:
        TomlTextError: there is no such table, or the file cannot be edited so.
    """
    raw = _read(text)
    expected = copy.deepcopy(raw)
    entry = _entry(expected, table, number)
    if value is None:
        entry.pop(key, None)
    else:
        entry[key] = value
    span = next((each for each in _tables(text) if (each.name, each.number) == (table, number)), None)
    if span is None:
        raise TomlTextError(f"the table {table} cannot be found in the file; change it in a text editor")
    there = next((each for each in span.keys if each.name == key), None)
    if there is None:
        if value is None:
            return text
        line = f"{key} = {_written(value)}{_newline(text)}"
        before = text[: span.end]
        gap = "" if before.endswith("\n") else _newline(text)
        return _checked(f"{before}{gap}{line}{text[span.end :]}", expected)
    if value is None:
        return _checked(text[: there.line] + text[there.next_line :], expected)
    return _checked(text[: there.start] + _written(value) + text[there.end :], expected)


def with_entry(text: str, table: str, values: dict[str, Any], *, many: bool) -> str:
    """The file with one more table: after the last of its kind, or at the end.

    Args:
        values: what it holds to begin with.
        many: whether it is one of several, ``[[frame]]``.
    Raises:
        TomlTextError: there is such a table, and there may be one only; or the file cannot be edited so.
    """
    expected = copy.deepcopy(_read(text))
    if many:
        expected.setdefault(table, []).append(values)
    elif table in expected:
        raise TomlTextError(f"[{table}] is there already")
    else:
        expected[table] = values
    spans = [span for span in _tables(text) if span.name == table]
    at = spans[-1].end if spans else len(text)
    newline = _newline(text)
    head = f"[[{table}]]" if many else f"[{table}]"
    lines = [head, *(f"{key} = {_written(value)}" for key, value in values.items())]
    before = text[:at]
    gap = newline if before.endswith("\n") or not before else 2 * newline
    return _checked(before + gap + newline.join(lines) + newline + text[at:], expected)


def _read(text: str) -> dict[str, Any]:
    try:
        return tomllib.loads(text)
    except (ValueError, RecursionError) as error:
        raise TomlTextError("the design file cannot be read; correct it in a text editor first") from error


def _entry(raw: dict[str, Any], table: str, number: int) -> dict[str, Any]:
    found = raw.get(table)
    entries = found if isinstance(found, list) else [found]
    entry = entries[number] if 0 <= number < len(entries) else None
    if not isinstance(entry, dict):
        raise TomlTextError(f"the table {table} is not there any more; nothing was written")
    return entry


def _checked(text: str, expected: dict[str, Any]) -> str:
    if _read(text) != expected:
        raise TomlTextError("this value cannot be written without changing another; use a text editor")
    return text


def _newline(text: str) -> str:
    return "\r\n" if "\r\n" in text else "\n"


def _written(value: Any) -> str:
    """A value as TOML writes it (TOML 1.0.0: a basic string has the escapes of JSON)."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, list):
        return f"[{', '.join(_written(each) for each in value)}]"
    return json.dumps(value, ensure_ascii=False)


def _tables(text: str) -> Iterator[_TableSpan]:
    """Every table with a heading, in the order of the file."""
    counts: dict[str, int] = {}
    table: _TableSpan | None = None
    at = 0
    while at < len(text):
        line_end = text.find("\n", at)
        line_end = len(text) if line_end < 0 else line_end + 1
        line = text[at:line_end].strip()
        if not line or line.startswith("#"):
            at = line_end
        elif line.startswith("["):
            if table is not None:
                yield table
            name = line.partition("#")[0].strip().strip("[]").strip()
            number = counts.get(name, 0)
            counts[name] = number + 1
            table = _TableSpan(name=name, number=number, end=line_end)
            at = line_end
        else:
            key = _key_at(text, at)
            if table is not None:
                table.keys.append(key)
                table.end = key.next_line
            at = key.next_line
    if table is not None:
        yield table


def _key_at(text: str, line: int) -> _KeySpan:
    """The key whose line begins there."""
    equals = text.find("=", line)
    start = equals + 1
    while text[start : start + 1] in (" ", "\t"):
        start += 1
    end = _value_end(text, start)
    next_line = text.find("\n", end)
    return _KeySpan(
        name=text[line:equals].strip().strip("\"'"), line=line, start=start, end=end,
        next_line=len(text) if next_line < 0 else next_line + 1,
    )  # fmt: skip


def _value_end(text: str, start: int) -> int:
    """Where a value ends: before the comment or the end of the line after it."""
    at, depth, end = start, 0, start
    while at < len(text):
        quote = next((each for each in QUOTES if text.startswith(each, at)), None)
        if quote is not None:
            at = end = _string_end(text, at, quote)
            continue
        sign = text[at]
        if sign == "#":
            if depth == 0:
                break
            at = text.find("\n", at)
            at = len(text) if at < 0 else at
            continue
        if sign == "\n" and depth == 0:
            break
        depth += (sign in "[{") - (sign in "]}")
        at += 1
        if not sign.isspace():
            end = at
    return end


def _string_end(text: str, start: int, quote: str) -> int:
    """Where a string ends, its last quote included."""
    at = start + len(quote)
    while at < len(text) and not text.startswith(quote, at):
        at += 2 if text[at] == "\\" and quote[0] == '"' else 1
    end = min(at + len(quote), len(text))
    while (
        len(quote) == 3 and text[end : end + 1] == quote[0]
    ):  # quotes at the end of a long string belong to it
        end += 1
    return end
