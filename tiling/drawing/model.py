"""What is to be printed, in millimetres: strokes, discs and words, and nothing of what they mean.

Axes: x to the right, y up.  A drawing is as large as it is printed: as large as the thing it shows, unless the page
says another scale (`tiling.paper.scale`).

Strokes, discs and words may belong to a layer, by its name: what belongs to one can be left out when the pages are
shown or printed.  What belongs to none ("") is always there.

A stroke or a disc may be aside: it is drawn where pages lie anyway, and no page is printed for it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

__all__ = [
    "ROOM",
    "XY",
    "Disc",
    "Distance",
    "Drawing",
    "Figure",
    "FloatArray",
    "Note",
    "Path",
    "Slide",
    "Stroke",
]

FloatArray = NDArray[np.float64]
XY = tuple[float, float]

ROOM = 4.0  # mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Stroke:
    """How a line is drawn.

    Attributes:
        width: mm; a member of the ISO 128 series (0.13, 0.18, 0.25, 0.35, 0.5, 0.7, 1, 1.4, 2).
        dash: lengths on, off, on, off ... in mm; empty for a full line.
        grey: 0 black to 1 white.
    """

    width: float
    dash: tuple[float, ...] = ()
    grey: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Path:
    """A run of straight segments fine enough to be the curve that it stands for.

    Attributes:
        points: shape (n, 2), mm, n >= 2.
        stroke: how it is drawn.
        closed: the last point joins the first (which is not repeated).
        filled: the inside is filled with the stroke's grey (small signs only).
        layer: its name; empty for none.
        aside: no page is printed for it.
        cut: the thing is cut along it; it lies by itself where a file for a machine parts cuts from marks.
    """

    points: FloatArray
    stroke: Stroke
    closed: bool = False
    filled: bool = False
    layer: str = ""
    aside: bool = False
    cut: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Disc:
    """A round spot, or a ring where ``filled`` is false; centre and radius in mm; its layer, empty for none.

    Attributes:
        aside: no page is printed for it.
    """

    centre: XY
    radius: float
    filled: bool = True
    width: float = 0.25
    layer: str = ""
    aside: bool = False


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Figure:
    """A small picture that stands above the words of a note, or alone, and moves with them.

    Attributes:
        paths: mm from the picture's lower left corner.
        words: lines of words in it, each with the left end of its base line; as high as the note's own.
        width, height: of the picture, mm; everything in it lies within.
        hub: it shows directions, so that its strokes turn with the drawing about this place, while its words stay
            level; None: it stands level on the page.
    """

    paths: tuple[Path, ...]
    width: float
    height: float
    words: tuple[tuple[str, XY], ...] = ()
    hub: XY | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """Words that belong to a place; where they stand is settled when the pages are known.

    Attributes:
        text: one or more lines, parted by a line feed; may be empty where there is a figure.
        target: the place that they speak of, mm.
        height: height of a capital, mm; a member of the ISO 3098 series (2.5, 3.5, 5, 7, 10, 14, 20).
        towards: the side of the target where the words would rather stand, as a direction;
            ``(0, 0)`` leaves it open.
        reach: how far from the target the nearest edge of the words may stand, mm.
        leader: a thin line joins the words to the target where they stand apart from it.
        rank: the lower is placed first.
        figure: a picture above the words.
        short: fewer words that do where there is little room, as its card has the rest; empty: all.
        room: which of the drawing's rooms the words belong to; -1: to none.
        layer: of the words, their leader and their figure; empty for none.
        also: other places that do as well as the target, as along a line.
        widest: how wide its lines are at most, mm; longer ones are broken.
        home: the outline of what the words speak of: they stand in it where there is room; empty for none.
    """

    text: str
    target: XY
    height: float = 3.5
    towards: XY = (0.0, 0.0)
    reach: float = 60.0
    leader: bool = False
    rank: int = 5
    figure: Figure | None = None
    short: str = ""
    room: int = -1
    layer: str = ""
    also: tuple[XY, ...] = ()
    home: tuple[XY, ...] = ()
    widest: float = np.inf


@dataclass(frozen=True, slots=True, kw_only=True)
class Distance:
    """A true distance between two printed targets, to be measured over the taped pages."""

    name: str
    start: XY
    end: XY

    @property
    def length(self) -> float:
        """How long it is on paper, mm."""
        return float(np.hypot(self.end[0] - self.start[0], self.end[1] - self.start[1]))


@dataclass(frozen=True, slots=True, kw_only=True)
class Slide:
    """A place that does as well elsewhere on a straight line: it is moved along that to where a page is.

    Discs, words and ends of distances that stand there move with it.

    Attributes:
        at: the place, mm.
        along: the line's direction, either way.
        wanted: a spot on the line that the pages must show, so that there is room for the place; None: none.
    """

    at: XY
    along: XY
    wanted: Disc | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """Everything that is drawn of one thing, mm.

    Attributes:
        rooms: where several things are drawn side by side, what belongs to each: shape (n, 2), the lower left
            corners of squares of `ROOM` mm.  Words of one keep out of the others'.
        slides: places that may be moved.
        fences: where each of several things is drawn in a box of its own, the boxes: least x, least y, greatest x,
            greatest y, mm.  All words of the first stay in the first, and so on.
    """

    paths: tuple[Path, ...] = ()
    discs: tuple[Disc, ...] = ()
    notes: tuple[Note, ...] = ()
    distances: tuple[Distance, ...] = field(default=())
    rooms: tuple[FloatArray, ...] = ()
    slides: tuple[Slide, ...] = ()
    fences: tuple[tuple[float, float, float, float], ...] = ()

    def bounds(self) -> tuple[float, float, float, float]:
        """Least x, least y, greatest x, greatest y of the strokes and discs, mm (words left out).

        Raises:
            ValueError: nothing is drawn.
        """
        low = [path.points.min(axis=0) for path in self.paths]
        high = [path.points.max(axis=0) for path in self.paths]
        low += [np.subtract(disc.centre, disc.radius) for disc in self.discs]
        high += [np.add(disc.centre, disc.radius) for disc in self.discs]
        if not low:
            raise ValueError("an empty drawing has no bounds")
        (x0, y0), (x1, y1) = np.min(low, axis=0), np.max(high, axis=0)
        return float(x0), float(y0), float(x1), float(y1)

    def with_more(
        self,
        *,
        paths: Iterable[Path] = (),
        discs: Iterable[Disc] = (),
        notes: Iterable[Note] = (),
        distances: Iterable[Distance] = (),
    ) -> Drawing:
        """This drawing and more of it."""
        return Drawing(
            paths=(*self.paths, *paths),
            discs=(*self.discs, *discs),
            notes=(*self.notes, *notes),
            distances=(*self.distances, *distances),
            rooms=self.rooms,
            slides=self.slides,
            fences=self.fences,
        )

    def needed(self) -> Drawing:
        """The strokes and discs for which pages are printed: all of them where everything is aside; no words.

        What slides want is among them.

        Of the distances those are left that end at no place that may be moved.
        """
        paths = tuple(path for path in self.paths if not path.aside)
        discs = tuple(disc for disc in self.discs if not disc.aside)
        moving = {slide.at for slide in self.slides}
        if not paths and not discs:
            return Drawing(paths=self.paths, discs=self.discs, distances=self.distances)
        spots = tuple(dict.fromkeys(slide.wanted for slide in self.slides if slide.wanted))
        return Drawing(
            paths=paths,
            discs=(*discs, *spots),
            distances=tuple(d for d in self.distances if not {d.start, d.end} & moving),
        )
