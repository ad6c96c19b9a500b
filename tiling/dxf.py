"""One drawing as a full-size file for cutting machines (DXF, version AC1024), by the library ezdxf.

Units are mm (``$INSUNITS`` 4) and coordinates the drawing's own, y up.  The layers are those of the SVG, by name
and colour.  A curve is a polyline through the drawing's own points; nothing is fitted to them.
"""

from __future__ import annotations

import io
from dataclasses import replace
from importlib.util import find_spec
from typing import TYPE_CHECKING, Any

import numpy as np

from tiling.drawing import Distance, Drawing, Path, Stroke
from tiling.errors import TilingError
from tiling.layout.coverage import ink_boxes
from tiling.lettering.label_placement import letter_open
from tiling.paper import TARGET_RADIUS
from tiling.svg import CUT, LAYERS, MARK, ROOM, TEXT, legal

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document

__all__ = ["dxf_text", "installed"]

INDEX = {CUT: 1, MARK: 5, TEXT: 7}  # colours by number for programs that know no others: red, blue, ink
WEIGHTS = np.array([5, 9, 13, 15, 18, 20, 25, 30, 35, 40, 50, 53, 60, 70, 80, 90, 100])  # 0.01 mm
SPOT = 1.0  # mm; radius of a target's disc


def installed() -> bool:
    """The library that writes the files is there."""
    return find_spec("ezdxf") is not None


def dxf_text(drawing: Drawing) -> str:
    """The whole file as text, to be written as UTF-8; the same drawing gives the same bytes.

    Raises:
        TilingError: nothing is drawn, a coordinate is not a finite number, or words find no room.
    """
    import ezdxf
    from ezdxf import options

    fixed = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True  # no dates and no random numbers
    try:
        document = ezdxf.new("R2010", units=4)
        document.header["$MEASUREMENT"] = 1
        for name, colour in LAYERS.items():
            document.layers.add(name, color=INDEX[name], true_color=int(colour[1:], 16))
        _Writer(document).draw(drawing)
        out = io.StringIO()
        document.write(out)
    finally:
        options.write_fixed_meta_data_for_testing = fixed
    return out.getvalue()


class _Writer:
    """What is drawn so far."""

    def __init__(self, document: Document) -> None:
        self._document = document
        self._space = document.modelspace()
        self._dashes: dict[tuple[float, ...], str] = {}

    def draw(self, drawing: Drawing) -> None:
        for path in drawing.paths:
            self._path(path, CUT if path.cut else MARK)
        for disc in drawing.discs:
            self._circle(disc.centre, disc.radius)
        for gap in drawing.distances:
            self._target(gap)
        ink = ink_boxes(drawing)
        (x0, y0), (x1, y1) = ink.low.min(axis=0) - ROOM, ink.high.max(axis=0) + ROOM
        for words in letter_open(drawing, (float(x0), float(y0), float(x1), float(y1))):
            if words.leader is not None:
                self._path(Path(points=np.array(words.leader), stroke=Stroke(width=0.18)), TEXT)
            for line in words.lines:
                if line.text.strip():
                    look = {"layer": TEXT, "insert": (float(line.at[0]), float(line.at[1]))}
                    self._space.add_text(legal(line.text), height=words.height, dxfattribs=look)
            figure = drawing.notes[words.note].figure
            if figure is not None and words.figure is not None:
                for path in figure.paths:
                    self._path(replace(path, points=path.points + words.figure), TEXT)

    def _path(self, path: Path, layer: str) -> None:
        if not np.isfinite(path.points).all():
            raise TilingError("a coordinate of the drawing is not a finite number")
        weight = int(WEIGHTS[np.abs(WEIGHTS - 100.0 * path.stroke.width).argmin()])
        look: dict[str, Any] = {
            "layer": layer,
            "lineweight": weight,
            "linetype": self._dash(path.stroke.dash),
        }
        self._space.add_lwpolyline(path.points.tolist(), close=path.closed, dxfattribs=look)

    def _dash(self, dash: tuple[float, ...]) -> str:
        """The name of the line type with these dashes and gaps, mm."""
        if not dash:
            return "Continuous"
        if dash not in self._dashes:
            name = self._dashes[dash] = "dash " + " ".join(f"{part:g}" for part in dash)
            parts = [part if i % 2 == 0 else -part for i, part in enumerate(dash)]
            self._document.linetypes.add(name, pattern=[sum(dash), *parts])
        return self._dashes[dash]

    def _circle(self, centre: tuple[float, float], radius: float) -> None:
        self._space.add_circle(centre, radius, dxfattribs={"layer": MARK})

    def _target(self, gap: Distance) -> None:
        """The two ends of a distance as a circle within a cross."""
        arm = TARGET_RADIUS
        for x, y in (gap.start, gap.end):
            for way in ((arm, 0.0), (0.0, arm)):
                ends = (x - way[0], y - way[1]), (x + way[0], y + way[1])
                self._space.add_line(*ends, dxfattribs={"layer": MARK})
            self._circle((x, y), SPOT)
