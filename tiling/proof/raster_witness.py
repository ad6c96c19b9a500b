"""The second witness: a page drawn by another program, held against the record's own drawing, square by square.

pypdfium2, an optional extra, draws the page; the record is drawn here (`ink_samples`).  What is dark where the
record has no ink is stray; what is not dark where it has some is missing.  It sees what shows at 200 dots per inch
and is farther off than `NEAR`; the first witness, the operators themselves, sees more.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tiling.drawing import XY
from tiling.errors import TilingError
from tiling.paper import MM_PER_INCH, POINTS_PER_INCH
from tiling.proof.ink_samples import InkSamples

__all__ = ["LEAST", "InkSeen", "RasterWitness", "installed"]

DPI = 200.0
SCALE = DPI / POINTS_PER_INCH
SQUARE = MM_PER_INCH / DPI  # mm
NEAR = 0.16  # mm by which ink may stand beside the record's own
PALE = 248  # of 255: paler is paper
BAND = 2400  # rows that are looked at together; a long page is seen in bands
LEAST = 0.45  # mm: a stray or missing stretch of this length is a finding
PART = 0.4  # of the darkness that is due, by which something counts as seen
ASIDE = 0.13  # mm more for letters, which are set down on whole squares
BESIDE = 12  # squares beside a band from which ink may reach into it
GAP = 32  # empty squares between rows of one long number, so that nothing is carried over

Squares = NDArray[np.bool_]


def installed() -> bool:
    """The library that draws pages is there."""
    return find_spec("pypdfium2") is not None


@dataclass(frozen=True, slots=True, kw_only=True)
class InkSeen:
    """What of a page differs, as lengths in mm with their places on the page; 0 where nothing does.

    Attributes:
        stray: the longest stretch of ink that the record does not have.
        missing: the longest stretch of the record's ink that is not there.
    """

    stray: float = 0.0
    stray_at: XY = (0.0, 0.0)
    missing: float = 0.0
    missing_at: XY = (0.0, 0.0)

    def findings(self) -> Iterator[str]:
        """What is wrong, in words."""
        for length, (x, y), words in (
            (self.stray, self.stray_at, "there is ink that does not belong there"),
            (self.missing, self.missing_at, "the ink that is due is not seen"),
        ):
            if length > LEAST:
                yield f"drawn as a picture: {words}, {length:.1f} mm long at {x:.1f}, {y:.1f} mm"

    def worse(self, other: InkSeen) -> InkSeen:
        """The worst of both."""
        stray, missing = max(self, other, key=lambda s: s.stray), max(self, other, key=lambda s: s.missing)
        return InkSeen(
            stray=stray.stray, stray_at=stray.stray_at, missing=missing.missing, missing_at=missing.missing_at
        )


class RasterWitness:
    """Draws the pages of a finished file and looks at them.

    Args:
        path: the file.
        stretch: by how much its pages are drawn larger about their middle, on purpose.
    Raises:
        TilingError: it cannot be drawn.
    """

    def __init__(self, path: Path, stretch: XY = (1.0, 1.0)) -> None:
        import pypdfium2

        self._broken = pypdfium2.PdfiumError
        try:
            self._document = pypdfium2.PdfDocument(path)
        except self._broken as error:
            raise TilingError(f"{path}: pypdfium2 cannot draw it ({error})") from error
        self._stretch = stretch

    def close(self) -> None:
        """Let go of the file."""
        self._document.close()

    def look_at(self, index: int, samples: InkSamples) -> InkSeen:
        """One page, from 0, held against the samples of its record.

        Raises:
            TilingError: it cannot be drawn.
        """
        try:
            page = self._document[index]
            width, height = page.get_size()
        except self._broken as error:
            raise TilingError(f"page {index + 1} of the file cannot be drawn ({error})") from error
        size = np.array([width, height]) * MM_PER_INCH / POINTS_PER_INCH
        squares = np.ceil(np.array([width, height]) * SCALE)  # the page is drawn to fill whole squares
        places = ((samples.points - 0.5 * size) * self._stretch + 0.5 * size) * squares / size
        tall = int(squares[1])
        seen = InkSeen()
        for foot in range(0, tall, BAND):
            picture = _drawn(page, foot, min(foot + BAND, tall), tall)
            stray, missing = _differences(picture, places - (0.0, foot), samples)
            seen = seen.worse(
                InkSeen(
                    stray=stray.length, stray_at=stray.at(foot),
                    missing=missing.length, missing_at=missing.at(foot),
                )
            )  # fmt: skip
        return seen


def _drawn(page: Any, foot: int, top: int, tall: int) -> NDArray[np.uint8]:
    """A band of a page as greys, its lowest row first."""
    below, above = ((rows - 0.5) / SCALE if rows else 0.0 for rows in (foot, tall - top))
    bitmap = page.render(scale=SCALE, crop=(0.0, below, 0.0, above), grayscale=True, optimize_mode="print")
    picture: NDArray[np.uint8] = bitmap.to_numpy()
    return picture.reshape(picture.shape[0], -1)[::-1]


@dataclass(frozen=True, slots=True)
class _Stretch:
    """A connected part of a picture: how long it is from corner to corner, mm, and its middle, squares."""

    length: float = 0.0
    column: float = 0.0
    row: float = 0.0

    def at(self, foot: int) -> XY:
        """Its middle on the page, mm."""
        return self.column * SQUARE, (self.row + foot) * SQUARE


def _differences(
    picture: NDArray[np.uint8], places: NDArray[np.float64], samples: InkSamples
) -> tuple[_Stretch, _Stretch]:
    """The longest stray and the longest missing part of a band.

    Args:
        places: of the samples, squares from the band's lower left corner.
    """
    tall, wide = picture.shape
    at = np.floor(places).astype(int)
    near: Squares = np.all((at >= -BESIDE) & (at < (wide + BESIDE, tall + BESIDE)), axis=1)
    at, kept = at[near], samples.where(near)
    columns, rows = np.clip(at, 0, (wide - 1, tall - 1)).T  # ink beside the band may reach into it
    reach = _reached(rows, columns, kept.half + np.where(kept.letter, ASIDE, 0.0), (tall, wide))
    thin = np.minimum(1.0, np.where(kept.half > 0.0, 2.0 * kept.half / SQUARE, 1.0))
    palest = 255.0 * (1.0 - PART * thin * kept.due)
    must = (kept.due > 0.0) & np.all((at >= 0) & (at < (wide, tall)), axis=1)
    unseen = must & (_darkest(picture, rows, columns) > palest)
    letters = np.flatnonzero(unseen & kept.letter)
    unseen[letters] = _darkest(picture, rows[letters], columns[letters], 2) > palest[letters]
    missing = np.zeros(picture.shape, dtype=bool)
    missing[rows[unseen], columns[unseen]] = True
    return _longest((picture < PALE) & ~reach), _longest(missing)


def _darkest(
    picture: NDArray[np.uint8], rows: NDArray[np.intp], columns: NDArray[np.intp], reach: int = 1
) -> NDArray[np.uint8]:
    """The darkest of the squares about each place, so many on every side."""
    padded = np.pad(picture, reach, constant_values=255)
    flat, stride = padded.ravel(), padded.shape[1]
    base = rows * stride + columns
    found: NDArray[np.uint8] = flat[base]
    for up in range(2 * reach + 1):
        for across in range(2 * reach + 1):
            found = np.minimum(found, flat[base + (up * stride + across)])
    return found


def _longest(marked: Squares) -> _Stretch:
    """The longest connected part."""
    rows, columns = np.flatnonzero(marked.any(axis=1)), np.flatnonzero(marked.any(axis=0))
    if not len(rows):
        return _Stretch()
    from scipy import ndimage

    low, left = int(rows[0]), int(columns[0])
    labels, _ = ndimage.label(marked[low : rows[-1] + 1, left : columns[-1] + 1], np.ones((3, 3)))
    return max(
        (
            _Stretch(
                math.hypot(y.stop - y.start, x.stop - x.start) * SQUARE,
                left + 0.5 * (x.start + x.stop),
                low + 0.5 * (y.start + y.stop),
            )
            for y, x in ndimage.find_objects(labels)
        ),
        key=lambda part: part.length,
    )


# How far ink reaches: squares of a page as one long number, moved as a whole


def _reached(
    rows: NDArray[np.intp], columns: NDArray[np.intp], half: NDArray[np.float64], shape: tuple[int, int]
) -> Squares:
    """The squares that ink of these places may darken."""
    tall, wide = shape
    stride = (wide + GAP + 7) // 8 * 8
    whole = 0
    radii = np.ceil((half + NEAR) / SQUARE * 2.0) / 2.0 + 0.5
    for radius in np.unique(radii).tolist():
        own = radii == radius
        squares = np.zeros((tall, stride), dtype=bool)
        squares[rows[own], columns[own]] = True
        number = int.from_bytes(np.packbits(squares, bitorder="little").tobytes(), "little")
        whole |= _grown(number, radius, stride)
    whole &= (1 << (stride * tall)) - 1
    data = np.frombuffer(whole.to_bytes(stride * tall // 8, "little"), dtype=np.uint8)
    return np.unpackbits(data, bitorder="little").reshape(tall, stride)[:, :wide].astype(bool)


def _grown(number: int, radius: float, stride: int) -> int:
    """Every square joined by all within a radius of it."""
    whole = 0
    for up in range(int(radius) + 1):
        across = min(int(math.sqrt(radius * radius - up * up)), GAP)
        row, done = number, 1  # as many squares in a row, to the right
        while done < 2 * across + 1:
            step = min(done, 2 * across + 1 - done)
            row |= row << step
            done += step
        row >>= across
        whole |= (row << (up * stride)) | (row >> (up * stride))
    return whole
