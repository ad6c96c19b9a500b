"""What the signs on the pieces mean, said once on the first pages: a picture with words beside it."""

from __future__ import annotations

from collections.abc import Sequence

from tiling.pages.pattern_page import figure_path
from tiling.pages.text_flow import Flow
from tiling.planning.plan import Legend
from tiling.text.lines import BODY

__all__ = ["add_legends"]

ASIDE = 8.0  # mm between a picture and the words beside it
LEAST_BESIDE = 60.0  # mm; words that would have less room go below the picture
BELOW = 3.0  # mm under a legend


def add_legends(flow: Flow, legends: Sequence[Legend]) -> None:
    """Add a page with the legends; nothing where there are none."""
    if not legends:
        return
    flow.begin("what the signs mean")
    for legend in legends:
        _add(flow, legend)


def _add(flow: Flow, legend: Legend) -> None:
    figure = legend.figure
    outer = flow.x0
    beside = flow.x1 - outer - figure.width - ASIDE
    flow.need(flow.height_with_heading(figure.height))
    flow.heading(legend.heading)
    with flow.block(figure.height) as (x0, y0, _, _):
        for path in figure.paths:
            flow.ink.raw(figure_path(path, (x0, y0)))
        for text, (right, up) in figure.words:
            flow.ink.words(text, (x0 + right, y0 + up), BODY)
    foot = flow.y
    if beside >= LEAST_BESIDE:
        flow.x0, flow.y = outer + figure.width + ASIDE, foot + figure.height
    for words in legend.words:
        flow.paragraph(words)
    flow.x0, flow.y = outer, min(flow.y, foot)
    flow.space(BELOW)
