"""What is painted held against what should be: the same things, in the same places, looking the same, in one order.

Each thing is paired with the one that the record means; what is left on either side is missing or too much.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np

from tiling.drawing import XY, FloatArray
from tiling.pdf.graphics_state import Look
from tiling.pdf.page_content import Item, PageContent
from tiling.proof.ink_descriptions import called, look_words

__all__ = ["ALIKE", "NEAR", "alike", "differences", "same"]

NEAR = 0.01  # mm; numbers may be written anew to the hundredth of a mm
ALIKE = 0.006  # of breadths, mm, and of greys: the least that two lines of a drawing differ by is 0.05 mm
NEIGHBOUR = 40.0  # mm; a thing of the same kind that is farther off is another one
MANY = 400  # things left over on a page, beyond which they are only counted


def alike(first: Any, second: Any) -> bool:
    """Two values of looks are the same but for what numbers lose when they are written anew."""
    if isinstance(first, (int, float)) and isinstance(second, (int, float)):
        return abs(first - second) <= ALIKE
    if isinstance(first, dict) and isinstance(second, dict):
        return first.keys() == second.keys() and all(alike(first[key], second[key]) for key in first)
    if isinstance(first, (list, tuple)) and isinstance(second, (list, tuple)):
        return len(first) == len(second) and all(map(alike, first, second))
    return bool(first == second)


def same(meant: PageContent, there: PageContent) -> bool:
    """All is painted as it was meant, one thing after the other."""
    if len(meant.items) != len(there.items) or len(meant.points) != len(there.points):
        return False
    pairs = set()
    for one, other in zip(meant.items, there.items, strict=True):
        if one.what != other.what or one.count != other.count:
            return False
        pairs.add((one.look, other.look))
    if len(meant.points) and not (np.abs(meant.points - there.points) <= NEAR).all():
        return False
    return all(alike(meant.looks[one], there.looks[other]) for one, other in pairs)


@dataclass(slots=True, eq=False)
class _Thing:
    """One item with its points and its look."""

    item: Item
    points: FloatArray
    look: Look
    place: int  # in the order of painting

    @property
    def at(self) -> XY:
        """Where it begins, for words, and its middle for all else."""
        if not len(self.points):
            return 0.0, 0.0
        if self.item.what[0] in "TX":
            x, y = self.points[0].tolist()
        else:
            x, y = (0.5 * (self.points.min(axis=0) + self.points.max(axis=0))).tolist()
        return x, y

    def off(self, other: _Thing) -> float:
        """How far the points of another one of its kind lie from its own, at most, mm."""
        if len(self.points) != len(other.points):
            return float("inf")
        return float(np.abs(self.points - other.points).max(initial=0.0))


def _things(painted: PageContent) -> list[_Thing]:
    found, at = [], 0
    for place, item in enumerate(painted.items):
        found.append(_Thing(item, painted.points[at : at + item.count], painted.looks[item.look], place))
        at += item.count
    return found


def differences(meant: PageContent, there: PageContent, decoded: Callable[[str], str]) -> list[str]:
    """In what a page differs from its record, in words; empty where it does not.

    Args:
        decoded: the words of an item of words.
    """
    if same(meant, there):
        return []
    pairs, due, more = _paired(_things(meant), _things(there))
    said = _Said()
    for one, other in sorted(pairs, key=lambda pair: pair[0].place):
        name = called(one.item.what, one.points, one.look, decoded)
        if one.item.what != other.item.what:
            now = called(other.item.what, other.points, other.look, decoded)
            said.add(
                name, f"differs: it is now {now}" if now != name else "is drawn with other vertices", one.at
            )
        elif one.off(other) > NEAR:
            said.add(name, _moved(one, other), one.at)
        if not alike(one.look, other.look):
            for words in look_words(one.look, other.look, alike):
                said.add(name, words, one.at)
    for thing in due[:MANY]:
        said.add(called(thing.item.what, thing.points, thing.look, decoded), "is missing", thing.at)
    for thing in more[:MANY]:
        name = called(thing.item.what, thing.points, thing.look, decoded)
        said.add(name, "does not belong there", thing.at)
    found = list(said.lines())
    order = [other.place for _, other in sorted(pairs, key=lambda pair: pair[0].place)]
    if any(later < earlier for earlier, later in pairwise(order)):
        found.append("it is drawn in another order, so that other things are covered")
    return found or ["it differs from its record"]


def _moved(one: _Thing, other: _Thing) -> str:
    """How far a thing has moved, or that its form is another."""
    way = other.points - one.points
    dx, dy = way.mean(axis=0).tolist()
    if np.abs(way - (dx, dy)).max() <= NEAR:
        return f"is {np.hypot(dx, dy):.3f} mm off, {dx:+.3f} mm across and {dy:+.3f} mm up"
    return f"is turned, of another size or of another form: up to {one.off(other):.3f} mm off"


_Pairs = list[tuple[_Thing, _Thing]]


def _paired(meant: list[_Thing], there: list[_Thing]) -> tuple[_Pairs, list[_Thing], list[_Thing]]:
    """Which thing is which; and what is left on either side.

    Things in their places come first, then those of one kind in one neighbourhood, then those whose place is taken
    by another thing.
    """
    pairs: _Pairs = []
    for fits in (_in_place_alike, _in_place, _nearby, _instead):
        by_key: dict[Any, list[_Thing]] = {}
        for thing in there:
            by_key.setdefault(_key(thing, fits), []).append(thing)
        left = []
        for one in meant:
            others = by_key.get(_key(one, fits), [])
            best = min(
                ((fits(one, other), index) for index, other in enumerate(others)), default=(float("inf"), 0)
            )
            if best[0] <= 1.0:
                pairs.append((one, others.pop(best[1])))
            else:
                left.append(one)
        meant = left
        there = sorted((each for some in by_key.values() for each in some), key=lambda thing: thing.place)
        if max(len(meant), len(there)) > MANY and fits is _in_place:
            break
    return pairs, meant, there


def _key(thing: _Thing, fits: Callable[[_Thing, _Thing], float]) -> Any:
    """Only things of one key are compared."""
    return thing.item.what[0] if fits is _instead else thing.item.what


# How well two things fit one another: 1 at most where they may be the same


def _in_place_alike(one: _Thing, other: _Thing) -> float:
    return _in_place(one, other) if alike(one.look, other.look) else float("inf")


def _in_place(one: _Thing, other: _Thing) -> float:
    return one.off(other) / NEAR


def _nearby(one: _Thing, other: _Thing) -> float:
    return one.off(other) / NEIGHBOUR


def _instead(one: _Thing, other: _Thing) -> float:
    (x, y), (u, v) = one.at, other.at
    reach = 1.0 if one.item.what[0] == "T" else 0.5 * NEIGHBOUR
    return float(np.hypot(u - x, v - y)) / reach


class _Said:
    """Findings with equal ones as one."""

    def __init__(self) -> None:
        self._found: dict[tuple[str, str], list[XY]] = {}

    def add(self, name: str, words: str, at: XY) -> None:
        """One finding."""
        self._found.setdefault((name, words), []).append(at)

    def lines(self) -> Iterator[str]:
        """All of them."""
        for (name, words), places in self._found.items():
            x, y = places[0]
            more = f" (and {len(places) - 1} more of the kind)" if len(places) > 1 else ""
            yield f"{name} at {x:.1f}, {y:.1f} mm {words}{more}"
