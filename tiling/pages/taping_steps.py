"""What the first pages say of taping: pages that lie over one another, or that meet edge to edge."""

from __future__ import annotations

from tiling.paper import Page

__all__ = ["caption", "taping_steps"]

OVER_CAPTION = (
    "Left: what is hatched is trimmed off along the dashed lines. Right: four pages joined, the left over the "
    "right, the lower row over the upper."
)
BUTT_CAPTION = (
    "Left: a page with others all round; what is hatched is trimmed off along the dashed lines. Right: four pages "
    "joined edge to edge; tape lies across the marks."
)
SHIFTED = (
    "Where a map says that rows are shifted, a page meets two pages of the next row: each pair has two marks of "
    "its own."
)
OVER = (
    "Rows have letters from the top, columns numbers from the left. Trim a page along the dashed line on its "
    "right side and at its top, where it has one.",
    "Join each row from the right: lay a page over the one on its right, its trimmed edge on the dashed line "
    "there, the halves of each match mark making one disc. This also works on opaque paper.",
    "Join the rows from the top, the lower over the upper. Hold a straightedge along the row, and along the "
    "straight line that leads from row to row; against a window you see both marks of a seam.",
    SHIFTED,
    "Tape at the marks first, then along the seam.",
)
BUTT = (
    "Rows have letters from the top, columns numbers from the left. Measure the rulers of a page first: they are "
    "cut off. Then trim it with knife and straightedge along every dashed line, through the middle of the marks.",
    "Lay the trimmed edges of two pages against one another on a flat board. The halves of each match mark make "
    "one disc, their arms one line; no gap shows between them, and neither lies over the other.",
    "Join each row, then the rows. Hold a straightedge along the row, and along the straight line that leads from "
    "row to row.",
    SHIFTED,
    "Tape across the marks first. Then turn the pattern over and lay a strip of tape along the whole seam: a butt "
    "joint has nothing else to hold it.",
)


def caption(page: Page) -> str:
    """What stands beside the picture."""
    return BUTT_CAPTION if page.butt else OVER_CAPTION


ONE_MARK = (
    "All pages of a pattern carry the same mark; the list of patterns names it. Do not tape in a page with another "
    "mark: it is of another state of the design."
)


def taping_steps(page: Page) -> tuple[str, ...]:
    """The steps, in order."""
    return (ONE_MARK, *(BUTT if page.butt else OVER))
