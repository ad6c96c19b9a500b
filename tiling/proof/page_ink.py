"""What is painted on a page, sorted for measuring: strokes, spots, forms and words, in mm."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tiling.drawing import XY, FloatArray
from tiling.paper import Box
from tiling.pdf.graphics_state import Matrix
from tiling.pdf.interpreter import SIDE
from tiling.pdf.page_content import PageContent

__all__ = ["PageInk", "Runs", "Said", "Stamp", "sorted_out"]

_SUBPATHS = re.compile(r"m(?:l(\d+))?(h?)")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Runs:
    """All subpaths of straight lines that lie in a page's clip.

    Attributes:
        points: shape (n, 2), mm: one subpath after the other; a closed one ends where it began.
        owner: shape (n,): the number of each point's subpath.
        stroked: shape (k,): each one is stroked; else it is filled.
    """

    points: FloatArray
    owner: NDArray[np.intp]
    stroked: NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """One string: where its base line begins, mm, and its words."""

    text: str
    at: XY


@dataclass(frozen=True, slots=True, kw_only=True)
class Stamp:
    """A form placed on a page: what the record calls it, the form itself, and the map to mm on the page."""

    kind: str
    form: Any
    matrix: Matrix

    @property
    def at(self) -> XY:
        """Where its origin stands, mm."""
        return self.matrix[4], self.matrix[5]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PageInk:
    """What operators draw, mm.

    Attributes:
        clip: what of the clipped subpaths can be seen, mm; None where nothing is clipped.
        runs: straight lines within it.
        discs: centres of round filled spots.
        stamps: the forms that are placed.
        said: the words.
    """

    clip: Box | None
    runs: Runs
    discs: tuple[XY, ...]
    stamps: tuple[Stamp, ...]
    said: tuple[Said, ...]


def sorted_out(painted: PageContent, decoded: Callable[[str], str]) -> PageInk:
    """What of a page is measured.

    Args:
        decoded: the words of an item of words.
    """
    runs: list[FloatArray] = []
    stroked: list[bool] = []
    discs: list[XY] = []
    stamps: list[Stamp] = []
    said: list[Said] = []
    clip: Box | None = None
    at, filled = 0, ("", np.zeros((0, 2)))
    for item in painted.items:
        points = painted.points[at : at + item.count]
        at += item.count
        kind, kinds = item.what[0], item.what[2:]
        # the edge of what was filled just before is no stroke of its own
        edge = kind == "S" and filled[0] == kinds and np.array_equal(filled[1], points)
        filled = (kinds if kind in "fe" else "", points)
        if kind == "T":
            x, y = points[0].tolist()
            words = decoded(item.what)
            if said and said[-1].at == (x, y):  # one line in two subsets of the font
                words = said.pop().text + words
            said.append(Said(text=words, at=(x, y)))
        elif kind == "X":
            if item.count == 3:
                (e, f), (x, y), (u, v) = points.tolist()
                matrix = ((x - e) / SIDE, (y - f) / SIDE, (u - e) / SIDE, (v - f) / SIDE, e, f)
                stamps.append(Stamp(kind=kinds, form=item.thing, matrix=matrix))
        elif "c" in kinds:
            if kind != "S":
                low, high = points.min(axis=0), points.max(axis=0)
                x, y = (0.5 * (low + high)).tolist()
                discs.append((x, y))
        else:
            within = painted.looks[item.look].get("clip")
            if within is None:
                continue
            clip = within
            start = 0
            for lines, close in _SUBPATHS.findall(kinds):
                run = points[start : start + 1 + int(lines or 0)]
                start += len(run)
                runs.append(np.vstack([run, run[:1]]) if close or kind != "S" else run)
                stroked.append(kind == "S" and not edge)
    counts = np.array([len(run) for run in runs], dtype=np.intp)
    return PageInk(
        clip=clip,
        runs=Runs(
            points=np.concatenate([np.zeros((0, 2)), *runs]),
            owner=np.repeat(np.arange(len(runs)), counts),
            stroked=np.array(stroked, dtype=bool),
        ),
        discs=tuple(discs),
        stamps=tuple(stamps),
        said=tuple(said),
    )
