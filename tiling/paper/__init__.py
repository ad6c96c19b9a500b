"""Papers, pages and their parts; lengths, scales and printers."""

from tiling.paper.lengths import MM_PER_INCH
from tiling.paper.page import (
    BANNER,
    LEAST_SEAM,
    MARK_RADIUS,
    NAMES_BELOW,
    PAPERS,
    POINTS_PER_INCH,
    STRIP_BOTTOM,
    STRIP_LEFT,
    TARGET_RADIUS,
    Box,
    Page,
    Paper,
    parse_paper,
)

__all__ = [
    "BANNER",
    "LEAST_SEAM",
    "MARK_RADIUS",
    "MM_PER_INCH",
    "NAMES_BELOW",
    "PAPERS",
    "POINTS_PER_INCH",
    "STRIP_BOTTOM",
    "STRIP_LEFT",
    "TARGET_RADIUS",
    "Box",
    "Page",
    "Paper",
    "parse_paper",
]
