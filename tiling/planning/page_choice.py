"""Which pages of a job are wanted: ``7, 12-14, frame 3 B4``."""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Iterable, Sequence

from tiling.errors import PagesError

__all__ = ["PageChoice", "chosen_pages"]

BEGUN = 3  # letters in common from which a name is an example for another


class PageChoice:
    """The numbers of the pages in a file, rising: a range where they follow one another, as there may be many."""

    def __init__(self, numbers: Sequence[int]) -> None:
        self.numbers = numbers
        self._places = {} if isinstance(numbers, range) else {number: at for at, number in enumerate(numbers)}

    def __len__(self) -> int:
        return len(self.numbers)

    def __contains__(self, number: int) -> bool:
        return number in (self._places or self.numbers)

    def place(self, number: int) -> int | None:
        """Which page of the file that one is, from 0; None where it is not in it."""
        if self._places:
            return self._places.get(number)
        return number - self.numbers[0] if number in self.numbers else None

    def within(self, numbers: range) -> bool:
        """Any of those, which follow one another, is in the file."""
        return bisect_left(self.numbers, numbers.start) < bisect_left(self.numbers, numbers.stop)


def chosen_pages(request: str | Iterable[str | int], names: Sequence[str]) -> tuple[int, ...]:
    """The numbers of the wanted pages, from 1, rising.

    Args:
        request: numbers, ranges and page names, parted by commas; or a list of them.
        names: every page's name in order.
    Raises:
        PagesError: a request that no page answers; all such are listed.
    """
    by_name = {name.casefold(): number for number, name in enumerate(names, start=1)}
    parts = [part.strip() for part in _parts(request, by_name)]
    found: set[int] = set()
    wrong: list[str] = []
    for part in parts:
        numbers = _numbers(part, by_name, len(names))
        found.update(numbers)
        if not numbers:
            wrong.append(part)
    if wrong or not found:
        asked = ", ".join(repr(part) for part in wrong) or "nothing"
        raise PagesError(
            f"pages {asked}: no such page; write numbers from 1 to {len(names)}, ranges as 12-14, or names as "
            f"{_like(wrong[0] if wrong else '', names)!r}, parted by commas"
        )
    return tuple(sorted(found))


def _like(part: str, names: Sequence[str]) -> str:
    """The page's name that begins most as a request does, the first of those; the last page's where none does."""
    request = part.casefold()
    begun = [_alike(request, name.casefold()) for name in names]
    return names[begun.index(max(begun))] if max(begun) >= BEGUN else names[-1]


def _alike(one: str, other: str) -> int:
    """How many letters two words begin with in common."""
    return next(
        (i for i, (a, b) in enumerate(zip(one, other, strict=False)) if a != b), min(len(one), len(other))
    )


def _parts(request: str | Iterable[str | int], by_name: dict[str, int]) -> list[str]:
    if not isinstance(request, str):
        return [str(part) for part in request]
    if request.strip().casefold() in by_name:  # a name may hold commas
        return [request]
    return [part for part in request.split(",") if part.strip()]


def _numbers(part: str, by_name: dict[str, int], count: int) -> list[int]:
    named = by_name.get(part.casefold())
    if named is not None:
        return [named]
    match = re.fullmatch(r"(\d{1,9})(?:\s*[-–]\s*(\d{1,9}))?", part, re.ASCII)
    if match is None:
        return []
    first = int(match[1])
    last = int(match[2] or match[1])
    return list(range(first, last + 1)) if 1 <= first <= last <= count else []
