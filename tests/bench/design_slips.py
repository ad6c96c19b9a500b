"""Typical slips in a design file: sizes ten times or a tenth, inches for mm, places, words of another meaning."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator
from dataclasses import dataclass

from tests.bench.slip_sheets import Slip

__all__ = ["design_slips"]

FILE = "design.toml"
# Keys that do not change the shape of a piece, or only the wood left over.
NO_SHAPE = {
    "head", "mould_spare", "trim", "waterlines", "register_holes", "length", "breadth", "thickness of stock",
    "dowel", "dowel_spacing", "dowel_edge", "lap_dowel", "lap_dowel_edge", "limber_holes", "margin", "leg",
    "leg_sided", "leg_lap", "cross_piece", "bolts", "sheets", "depth", "legs", "line", "allow", "scarf_ratio",
}  # fmt: skip
HULL = {"planking", "crown", "rake"}  # keys whose slips the hull's sections show


@dataclass(frozen=True, slots=True)
class Key:
    """One key of the file: the row it is in, the table's heading, its entry's label, and the value in quotes."""

    row: int
    table: str
    label: str
    key: str
    value: str


def _keys(text: str) -> list[Key]:
    found: list[Key] = []
    table = ""
    rows: list[tuple[int, str, str]] = []
    for number, line in enumerate([*text.splitlines(), "[[end of file]]"]):
        if heading := re.match(r"\[+([a-z_ ]+)\]+", line):
            names = {key: value for _, key, value in rows}
            own = names.get("at" if table == "end" else "name") or names.get("kind") or names.get("strake")
            label = f'{table} "{own}"' if own else table
            found += [Key(row, table, label, key, value) for row, key, value in rows]
            table, rows = heading[1], []
        elif given := re.match(r'([a-z_]+) = "([^"]*)"', line):
            rows.append((number, given[1], given[2]))
    return found


def _changed(text: str, key: Key, value: str) -> dict[str, str]:
    lines = text.splitlines()
    lines[key.row] = lines[key.row].replace(f'"{key.value}"', f'"{value}"', 1)
    return {FILE: "\n".join(lines) + "\n"}


def design_slips(text: str) -> Iterator[Slip]:
    """Every slip of the design file."""
    keys = _keys(text)
    yield from _sizes(text, keys)
    yield from _words(text, keys)
    yield from _places(text, keys)


def _at(key: Key) -> tuple[str, ...]:
    """Where a finding names it; tables of one entry are named in brackets."""
    return f"{FILE}, {key.label}", f"{FILE}, [{key.table}]"


def _sizes(text: str, keys: list[Key]) -> Iterator[Slip]:
    """The first of each kind of size, ten times, a tenth, with its figures exchanged, in inches."""
    seen: set[tuple[str, str]] = set()
    for key in keys:
        size = re.fullmatch(r"([\d.]+) mm", key.value)
        what = (key.label if key.table in ("timber", "knee", "strake", "end") else key.table), key.key
        if size is None or what in seen or key.key in NO_SHAPE or key.table in ("stock", "doubler"):
            continue
        seen.add(what)
        if float(size[1]) == 0.0:
            continue
        named = {"planking": "planking", "crown": "crown", "moulded_side": "a frame's moulding"}
        called = named.get(key.key, "another size of the design")
        if key.table in ("waterline", "buttock", "diagonal"):
            called = "a level's place"
        values = {
            "ten times": f"{float(size[1]) * 10.0:g} mm",
            "a tenth": f"{float(size[1]) / 10.0:g} mm",
            "in inches": f"{float(size[1]):g} in",
        }
        if len(size[1]) > 1 and size[1][::-1] != size[1] and "." not in size[1]:
            values["exchanged"] = f"{size[1][::-1].lstrip('0')} mm"
        for way, value in values.items():
            yield Slip(
                kind=f"{called}: {way}",
                what=f"{key.label}, {key.key}: {key.value} as {value}",
                files=_changed(text, key, value),
                at=_at(key),
                wood=key.key not in HULL and called != "a level's place",
            )
        if key.key == "planking":
            for value in ("0.4 mm", "40 mm", "90 mm", "4 mm"):
                if value != key.value:
                    what_said = f"{key.label}: {key.value} as {value}"
                    yield Slip(
                        kind="planking: other", what=what_said, files=_changed(text, key, value), at=_at(key)
                    )


CHOICES = {
    "notation": ("mm", "cm", "m", "inches", "feet", "feet-inches", "feet-inches-eighths"),
    "heights": ("up from base", "down from set-up line"),
    "breadths": ("half", "full"),
    "lines_to": ("outside of planking", "inside of planking"),
    "sheer_to": ("top of planking", "top of deck", "underside of deck"),
    "siding_runs": ("forward", "aft"),
}


def _words(text: str, keys: list[Key]) -> Iterator[Slip]:
    """Another of a key's words, once for each kind of table; a rake of the wrong sign."""
    seen: set[tuple[str, str]] = set()
    for key in keys:
        if (key.table, key.key) in seen:
            continue
        seen.add((key.table, key.key))
        for word in CHOICES.get(key.key, ()):
            if word != key.value:
                kind = key.key if key.table == "table" else "another word"
                what = f"{key.label}, {key.key}: {word}"
                yield Slip(kind=kind, what=what, files=_changed(text, key, word), at=_at(key))
        if key.key == "rake" and key.table == "end":
            degrees = key.value.removesuffix(" deg")
            values = (
                ["12 mm", "1.2 deg", "21 deg"]
                if degrees == key.value
                else [
                    f"-{key.value}",
                    f"{degrees} mm",
                    f"{float(degrees) / 10:g} deg",
                    f"{degrees[::-1]} deg",
                ]
            )
            for value in values:
                yield Slip(
                    kind="rake", what=f"{key.value} as {value}", files=_changed(text, key, value), at=_at(key)
                )
        if key.key == "allow":
            for value in ("12 mm", "6 mm", "10 mm"):
                yield Slip(
                    kind="allowed move", what=f"{key.value} as {value}", files=_changed(text, key, value),
                    at=(f"{FILE}, [fairing]",),
                )  # fmt: skip


def _places(text: str, keys: list[Key]) -> Iterator[Slip]:
    """Frames, moulds and beams at another one's place; a frame at the wrong station."""
    for table in ("frame", "mould", "beam"):
        own = [key for key in keys if key.table == table and key.key == "at"]
        for one, two in itertools.pairwise(own):
            both = (*_at(one), *_at(two))
            yield Slip(
                kind="two in one place", what=f"{two.label} at {one.value}",
                files=_changed(text, two, one.value), at=both, wood=True,
            )  # fmt: skip
        taken = {key.value for key in own}
        for key in own:
            if station := re.fullmatch(r"station (\d+)", key.value):
                for step in (-1, 1):
                    there = f"station {int(station[1]) + step}"
                    if there not in taken:
                        yield Slip(
                            kind="a frame at another station", what=f"{key.label} at {there}",
                            files=_changed(text, key, there), at=_at(key), wood=True,
                        )  # fmt: skip
            if length := re.fullmatch(r"(\d+) mm", key.value):
                for off in (10, 100):
                    there = f"{int(length[1]) + off} mm"
                    yield Slip(
                        kind="a frame at another distance", what=f"{key.label} at {there}",
                        files=_changed(text, key, there), at=_at(key), wood=True,
                    )  # fmt: skip
    levels = [key for key in keys if key.table in ("waterline", "buttock") and key.key != "name"]
    for one, two in itertools.pairwise(levels):
        if one.table == two.table:
            yield Slip(
                kind="two levels in one place", what=f"{two.label} at {one.value}",
                files=_changed(text, two, one.value), at=(*_at(one), *_at(two)),
            )  # fmt: skip
            spoiled = _changed(_changed(text, one, two.value)[FILE], two, one.value)
            yield Slip(
                kind="two levels exchanged", what=f"{one.label}, {two.label}", files=spoiled,
                at=(*_at(one), *_at(two)),
            )  # fmt: skip
