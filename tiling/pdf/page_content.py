"""What is painted on a page, as values: its things in order with their points and looks; what names stand for."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any, Protocol

import numpy as np

from tiling.drawing import FloatArray
from tiling.pdf.graphics_state import STILL, Look, Matrix

__all__ = ["Item", "Means", "PageContent", "Placed"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """What a page can place by its name: a form, or a picture.

    Attributes:
        kind: what it is, the same for the same thing.
        matrix: of a form.
        layer: that it is in; empty for none.
        thing: for whoever reads the page.
    """

    kind: str
    matrix: Matrix = STILL
    layer: str = ""
    thing: Any = None


class Means(Protocol):
    """What names in operators stand for."""

    def font(self, name: str) -> str:
        """A font, the same word for the same letters."""
        ...

    def placed(self, name: str) -> Placed:
        """A form or a picture."""
        ...

    def layer(self, properties: Any) -> str:
        """The layer of marked content."""
        ...

    def settings(self, name: str) -> dict[str, Any]:
        """A graphics state dictionary."""
        ...

    def space(self, name: str) -> str:
        """A colour space."""
        ...


@dataclass(slots=True)
class Item:
    """One thing that is painted.

    Attributes:
        what: ``S``, ``f`` or ``e`` for a stroke or a fill (nonzero, even-odd) with the kinds of its segments, ``T``
            for words with font and codes, ``X`` for a form or a picture.
        look: the number of its look.
        count: of its points.
        thing: the form placed, the font's name.
    """

    what: str
    look: int
    count: int
    thing: Any = None


@dataclass(slots=True)
class PageContent:
    """All that was painted.

    Attributes:
        points: shape (n, 2), mm, those of all items one after the other.
    """

    items: list[Item] = field(default_factory=list)
    looks: list[Look] = field(default_factory=list)
    points: FloatArray = field(default_factory=lambda: np.zeros((0, 2)))
