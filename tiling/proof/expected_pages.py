"""The record in a finished file, as values to measure its pages by; mm."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tiling.drawing import XY, FloatArray
from tiling.errors import TilingError
from tiling.pages.manifest import FORM, PER_MM, WHOLE, pattern_file
from tiling.paper import Box
from tiling.proof.pdf_reader import FinishedFile

__all__ = ["ExpectedPattern", "ExpectedWord", "Key", "Record", "keys_of", "read_pattern", "read_record"]


Key = tuple[int, int]
"""A page: the number of its set, 0 where it is in none; and its own number."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ExpectedWord:
    """One line of words: where its base line begins in the grid, and the height of a capital."""

    text: str
    at: XY
    height: float


def keys_of(points: FloatArray) -> NDArray[np.int64]:
    """One whole number for each point (n, 2), alike for points alike to the thousandth of a mm."""
    whole = np.rint(points * PER_MM).astype(np.int64)
    return np.asarray((whole[:, 0] << 32) + whole[:, 1])


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ExpectedPattern:
    """One pattern in the grid of its taped pages.

    Attributes:
        name: as the user knows it.
        mark: on each of its pages.
        places: by page number, the shift from the grid to the page.
        points: shape (n, 2), the vertices of all strokes.
        real: shape (n - 1,): segment i, from vertex i to i + 1, belongs to a stroke that is not filled.
        discs: shape (k, 2), centres.
        marks: by page number, the match marks that it shares with a neighbour.
        seams: pairs of page numbers with the two marks that they share.
        words: by page number.
        keys: of the points, sorted.
        order: the index of the point of each key.
    """

    name: str
    mark: str
    places: dict[int, XY]
    points: FloatArray
    real: NDArray[np.bool_]
    discs: FloatArray
    marks: dict[int, list[XY]]
    seams: list[tuple[int, int, tuple[XY, XY]]]
    words: dict[int, list[ExpectedWord]]
    keys: NDArray[np.int64] = field(init=False)
    order: NDArray[np.intp] = field(init=False)

    def __post_init__(self) -> None:
        keys = keys_of(self.points)
        order = np.argsort(keys, kind="stable")
        object.__setattr__(self, "order", order)
        object.__setattr__(self, "keys", keys[order])


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Record:
    """What the file as a whole should hold.

    Attributes:
        size, window: of every page.
        stretch: by how much it is drawn larger about its middle, across and up.
        rulers: the two discs of each.
        scale: of the drawings, as ``1:4``.
        warning: what every page says of that; empty at full size.
        pages: the name and the number of the pattern (0: none), by the number of the set (0: in no set) and the
            number in the whole job or in the set; in the order in which they were written.
        total: pages of the whole job, or of one set.
        first: pages before all sets, which are counted by themselves; 0 where there are no sets.
        sets: how many sets there are in all; 0 where there are none.
        owners: of the sets in this file, by number.
    """

    title: str
    mark: str
    size: XY
    stretch: XY
    window: Box
    rulers: tuple[tuple[XY, XY], ...]
    scale: str
    warning: str
    pages: dict[Key, tuple[str, int]]
    total: int
    first: int = 0
    sets: int = 0
    owners: dict[int, str] = field(default_factory=dict)

    @property
    def due(self) -> int:
        """Pages of the whole job, every set counted."""
        return self.first + self.total * self.sets if self.sets else self.total


def _mm(values: Sequence[int]) -> list[float]:
    return [value / PER_MM for value in values]


def read_record(file: FinishedFile) -> Record:
    """The record of the whole file.

    Raises:
        TilingError: there is none, or one of another form.
    """
    raw = file.attached(WHOLE)
    if not isinstance(raw, dict):
        raise TilingError(
            "holds no record of its pages: it is not a file of patterns, or another program has rewritten it; "
            "prove the file as scrieve wrote it"
        )
    if raw.get("form") == 1:
        raise TilingError("its record is from an earlier version; write the file again to prove it")
    if raw.get("form") != FORM:
        raise TilingError(f"its record has form {raw.get('form')}; this version reads form {FORM}")
    try:
        x0, y0, x1, y1 = _mm(raw["window"])
        width, height = _mm(raw["size"])
        rulers = []
        for ruler in raw["rulers"]:
            ax, ay, bx, by = _mm(ruler)
            rulers.append(((ax, ay), (bx, by)))
        return Record(
            title=str(raw["title"]),
            mark=str(raw["mark"]),
            size=(width, height),
            stretch=(float(raw["stretch"][0]), float(raw["stretch"][1])),
            window=(x0, y0, x1, y1),
            rulers=tuple(rulers),
            scale=str(raw.get("scale", "1:1")),
            warning=str(raw.get("warning", "")),
            **_pages(raw),
        )
    except (KeyError, ValueError, TypeError) as error:
        raise TilingError(f"its record cannot be read ({error!r})") from error


def _pages(raw: Any) -> dict[str, Any]:
    """The pages of a file, those of every set in it where there are sets."""
    own = {int(number): (str(name), int(which)) for number, name, which in raw["pages"]}
    sets = raw.get("sets")
    if sets is None:
        return {"pages": {(0, number): page for number, page in own.items()}, "total": int(raw["total"])}
    owners = {int(number): str(owner) for number, owner in sets["here"]}
    first: dict[Key, tuple[str, int]] = {
        (0, number): (str(name), 0) for number, name in enumerate(sets["first"], start=1)
    }
    here: dict[Key, tuple[str, int]] = (
        {(one, number): page for number, page in own.items() for one in owners}
        if sets["by_page"]
        else {(one, number): page for one in owners for number, page in own.items()}
    )
    return {
        "pages": first | here,
        "total": int(raw["total"]),
        "first": len(first),
        "sets": int(sets["total"]),
        "owners": owners,
    }


def read_pattern(file: FinishedFile, which: int) -> ExpectedPattern:
    """The record of one pattern, by its number from 1.

    Raises:
        TilingError: there is none that can be read.
    """
    raw = file.attached(pattern_file(which))
    try:
        return _pattern(raw)
    except (KeyError, ValueError, TypeError, IndexError) as error:
        raise TilingError(
            f"its record of pattern {which} is missing or cannot be read ({error!r})"
        ) from error


def _pattern(raw: Any) -> ExpectedPattern:
    flats = [
        np.array(stroke[2:], dtype=float).reshape(-1, 2).cumsum(axis=0) / PER_MM for stroke in raw["strokes"]
    ]
    counts = np.array([len(flat) for flat in flats], dtype=np.intp)
    owner = np.repeat(np.arange(len(counts)), counts)
    filled = np.array([bool(stroke[1]) for stroke in raw["strokes"]], dtype=bool)
    real = owner[1:] == owner[:-1]
    real &= ~filled[owner[:-1]]
    marks: dict[int, list[XY]] = {}
    seams = []
    for over, under, *flat in raw["seams"]:
        ax, ay, bx, by = _mm(flat)
        seams.append((int(over), int(under), ((ax, ay), (bx, by))))
        for number in (over, under):
            marks.setdefault(int(number), []).extend([(ax, ay), (bx, by)])
    words: dict[int, list[ExpectedWord]] = {}
    for number, text, x, y, height in raw["words"]:
        x, y, height = _mm((x, y, height))
        words.setdefault(int(number), []).append(ExpectedWord(text=str(text), at=(x, y), height=height))
    return ExpectedPattern(
        name=str(raw["name"]),
        mark=str(raw.get("mark", "")),
        places={int(number): (tx / PER_MM, ty / PER_MM) for number, _, tx, ty in raw["pages"]},
        points=np.concatenate(flats) if flats else np.zeros((0, 2)),
        real=real,
        discs=np.array([_mm(disc) for disc in raw["discs"]], dtype=float).reshape(-1, 2),
        marks=marks,
        seams=seams,
        words=words,
    )
