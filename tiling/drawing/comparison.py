"""Whether a drawing is still where it was, to within what nobody can see on paper."""

from __future__ import annotations

import hashlib
from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from itertools import pairwise
from typing import Any

import numpy as np
import shapely

from tiling.drawing.model import Drawing, FloatArray, Note
from tiling.drawing.point_codec import packed, unpacked

__all__ = ["SAME", "agrees", "reference"]

SAME = 0.02  # mm; far less than the breadth of the finest stroke, far more than libraries differ by


def reference(drawing: Drawing, asides: Collection[str] = ()) -> dict[str, Any]:
    """What is drawn and said, as plain data, to be compared with another drawing later.

    Args:
        asides: layers of what is no outline.
    """
    outlines, rest = _parted(drawing, asides)
    return {"outlines": _data(outlines), "rest": _data(rest)}


def agrees(
    known: Mapping[str, Any], drawing: Drawing, asides: Collection[str] = (), *, outlines_alone: bool
) -> bool:
    """No stroke, disc or distance lies farther than `SAME` from where it lay, and none is more or less.

    Args:
        known: as `reference` gives it.
        asides: layers of what is no outline.
        outlines_alone: what lies in those layers, distances and words may be others.
    Raises:
        ValueError, TypeError, KeyError: what is known cannot be read.
    """
    outlines, rest = _parted(drawing, asides)
    return _agree(known["outlines"], outlines) and (outlines_alone or _agree(known["rest"], rest))


def _parted(drawing: Drawing, asides: Collection[str]) -> tuple[Drawing, Drawing]:
    """The outlines, and the rest of a drawing."""
    outlines = Drawing(
        paths=tuple(path for path in drawing.paths if path.layer not in asides),
        discs=tuple(disc for disc in drawing.discs if disc.layer not in asides),
    )
    rest = replace(
        drawing,
        paths=tuple(path for path in drawing.paths if path.layer in asides),
        discs=tuple(disc for disc in drawing.discs if disc.layer in asides),
    )
    return outlines, rest


def _data(drawing: Drawing) -> dict[str, Any]:
    return {
        "looks": _digest((_looks(drawing), _words(drawing))),
        "sizes": [len(path.points) for path in drawing.paths],
        "lines": packed(_lines(drawing)),
        "spots": packed(_spots(drawing)),
    }


def _agree(known: Mapping[str, Any], drawing: Drawing) -> bool:
    if known["looks"] != _digest((_looks(drawing), _words(drawing))):
        return False
    spots, now = unpacked(known["spots"]), _spots(drawing)
    if len(spots) != len(now) or not _near(spots, now):
        return False
    return _lines_agree(unpacked(known["lines"]), [int(size) for size in known["sizes"]], drawing)


def _lines_agree(points: FloatArray, sizes: Sequence[int], drawing: Drawing) -> bool:
    if sizes == [len(path.points) for path in drawing.paths] and _near(points, _lines(drawing)):
        return True
    starts = np.cumsum([0, *sizes]).tolist()
    if len(sizes) != len(drawing.paths) or starts[-1] != len(points):
        return False
    return all(
        _line_near(points[first:last], path.points, closed=path.closed)
        for (first, last), path in zip(pairwise(starts), drawing.paths, strict=True)
    )


def _near(one: FloatArray, other: FloatArray) -> bool:
    """Point by point."""
    return one.shape == other.shape and bool((np.hypot(*(one - other).T) <= SAME).all())


def _line_near(one: FloatArray, other: FloatArray, *, closed: bool) -> bool:
    """Every vertex of either is near the other: vertices may slide along their line."""
    if _near(one, other):
        return True
    ends = 1 if closed else 0
    runs = [shapely.LineString(np.concatenate([points, points[:ends]])) for points in (one, other)]
    return bool(shapely.hausdorff_distance(*runs) <= SAME)


def _lines(drawing: Drawing) -> FloatArray:
    return np.concatenate([path.points for path in drawing.paths] or [np.zeros((0, 2))])


def _spots(drawing: Drawing) -> FloatArray:
    """Middles of discs and ends of distances."""
    places = [disc.centre for disc in drawing.discs]
    places += [end for distance in drawing.distances for end in (distance.start, distance.end)]
    return np.array(places, dtype=float).reshape(-1, 2)


def _looks(drawing: Drawing) -> object:
    """How everything is drawn, and all that is said of it but where it lies."""
    return (
        [
            (path.stroke.width, path.stroke.dash, path.stroke.grey, path.closed, path.filled, path.layer)
            for path in drawing.paths
        ],
        [(disc.radius, disc.filled, disc.width, disc.layer) for disc in drawing.discs],
        [distance.name for distance in drawing.distances],
    )


def _words(drawing: Drawing) -> object:
    return [(note.text, note.short, note.height, note.layer, _picture(note)) for note in drawing.notes]


def _picture(note: Note) -> list[str]:
    return [] if note.figure is None else [text for text, _ in note.figure.words]


def _digest(value: object) -> str:
    return hashlib.sha256(repr(value).encode()).hexdigest()[:32]
