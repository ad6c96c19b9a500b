"""Pages seen by an independent renderer (pypdfium2), measured in mm."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pypdfium2 as pdfium
from numpy.typing import NDArray

MM = 25.4 / 72.0
Pixels = slice | NDArray[np.intp]
ALL = slice(None)


@dataclass(frozen=True)
class Picture:
    """The grey of each pixel, 255 is bare paper; row 0 is the top of the page."""

    grey: NDArray[np.uint8]
    width: float
    height: float

    @property
    def shape(self) -> tuple[int, int]:
        """Rows and columns."""
        return self.grey.shape[0], self.grey.shape[1]

    def dark(self, rows: Pixels = ALL, columns: Pixels | int = ALL) -> NDArray[np.float64]:
        """How dark some of the pixels are, 0 to 1."""
        return 1.0 - self.grey[rows, columns] / 255.0

    def window(self, x: float, y: float, reach: float) -> tuple[NDArray[np.float64], ...]:
        """Darkness and the mm positions of the pixels within ``reach`` of a place."""
        rows, columns = self.shape
        # The bitmap is rounded up and the page stretched to it: measure by its own size, not by the dpi.
        px, py = self.width / columns, self.height / rows
        c0, c1 = max(0, int((x - reach) / px)), min(columns, int((x + reach) / px) + 2)
        r0, r1 = (
            max(0, int((self.height - y - reach) / py)),
            min(rows, int((self.height - y + reach) / py) + 2),
        )
        xs = (np.arange(c0, c1) + 0.5) * px
        ys = self.height - (np.arange(r0, r1) + 0.5) * py
        gx, gy = np.meshgrid(xs, ys)
        return self.dark(slice(r0, r1), slice(c0, c1)), gx, gy

    def centre(self, x: float, y: float, reach: float = 1.6) -> tuple[float, float]:
        """The middle of the ink within ``reach`` of a place."""
        dark, gx, gy = self.window(x, y, reach)
        weight = np.where(np.hypot(gx - x, gy - y) <= reach, dark, 0.0)
        assert weight.sum() > 0.0, f"nothing is printed at {x:.1f}, {y:.1f}"
        return float((weight * gx).sum() / weight.sum()), float((weight * gy).sum() / weight.sum())


def render(path: Path, index: int, *, dpi: float = 200.0) -> Picture:
    """The page of that index (from 0)."""
    document = pdfium.PdfDocument(path)
    try:
        page = document[index]
        width, height = page.get_size()
        bitmap = page.render(scale=dpi / 72.0, grayscale=True)
        grey = bitmap.to_numpy().reshape(bitmap.height, bitmap.width).copy()
    finally:
        document.close()
    return Picture(grey=grey, width=width * MM, height=height * MM)


def blank_edge(path: Path, index: int, *, dpi: float = 100.0) -> float:
    """How far the ink keeps from the nearest edge of the page, mm."""
    picture = render(path, index, dpi=dpi)
    rows, columns = picture.shape
    inked = picture.dark() > 0.3
    inked_rows, inked_columns = (np.flatnonzero(inked.any(axis=axis)) for axis in (1, 0))
    ends = (
        inked_rows[0] * picture.height / rows,
        (rows - 1 - inked_rows[-1]) * picture.height / rows,
        inked_columns[0] * picture.width / columns,
        (columns - 1 - inked_columns[-1]) * picture.width / columns,
    )
    return float(min(ends))
