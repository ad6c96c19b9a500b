"""The construction drawing on the screen: the views that are on paper, their members to point at."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from patterns.boat import Boat
from patterns.pattern import Pattern
from patterns.picture.lines import plate_of
from patterns.picture.markup import joined, tag
from patterns.picture.plates import PicturePlate, PicturePoint, drawn
from patterns.picture.sections import PagePart, part_of
from patterns.shop.construction import ConstructionView, construction_of, drawn_view

__all__ = ["construction_part", "construction_plates"]

LONG, BROAD = 270.0, 140.0  # units for the boat's length, and for a section
CAPITAL = 8.0  # units; of the labels


def construction_part(boat: Boat, patterns: Sequence[Pattern]) -> tuple[PagePart, ...]:
    """The part; none where nothing is made that stands in the boat."""
    what = construction_of(boat, tuple(patterns))
    if not what.members:
        return ()
    plates = construction_plates(boat, patterns)
    views = [joined(tag("h3", plate.title), drawn(plate)) for plate in plates]
    names = tag("ol", *(tag("li", member.name) for member in what.members))
    words = "Every member where it lies, numbered in the order of work; tap a place to read what is there."
    part = part_of("construction", "Construction", tag("h2", "Construction"), tag("p", words), *views, names)
    return (part,)


def construction_plates(boat: Boat, patterns: Sequence[Pattern]) -> tuple[PicturePlate, ...]:
    """Profile, plan and sections."""
    views = construction_of(boat, tuple(patterns)).views
    return tuple(_plate(view, f"v{number}") for number, view in enumerate(views, start=1))


def _plate(view: ConstructionView, key: str) -> PicturePlate:
    shapes = [np.array(each.area.bounds).reshape(2, 2) for each in view.named]
    wide = float(np.ptp(np.vstack([*shapes, *view.lines])[:, 0]))
    scale = (BROAD if view.beside else LONG) / wide
    return plate_of(key, view.title, drawn_view(view, scale, height=CAPITAL), _points(view, scale))


def _points(view: ConstructionView, scale: float) -> Iterator[PicturePoint]:
    for each in view.named:
        x, y = each.place
        words = each.name if each.label == each.name else f"{each.label}: {each.name}"
        yield PicturePoint(at=(scale * x, scale * y), words=words, sign="offset")
