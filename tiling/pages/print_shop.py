"""The page to take along to whoever prints from a roll: which files, how much paper, and what to ask for."""

from __future__ import annotations

from collections.abc import Sequence

from tiling.pages.text_flow import Flow
from tiling.paper import Page
from tiling.planning.plan import Plan

__all__ = ["add_print_shop", "page_length"]


def page_length(plan: Plan) -> str:
    """How long each page of a pattern is, as ``1.24 m``."""
    return f"{plan.layout.page.height / 1000.0:.2f} m"


def add_print_shop(flow: Flow, roll: Page, plans: Sequence[Plan]) -> None:
    """Add it before all others."""
    metres = sum(len(plan.layout.tiles) * plan.layout.page.height for plan in plans) / 1000.0
    shortest = min(plans, key=lambda plan: plan.layout.page.height)
    flow.begin("at the print shop")
    flow.heading("Printing from a roll")
    flow.steps(
        [
            f"The patterns are for a {roll.paper.name}, {len(plans)} files in the folder rolls, {metres:.1f} m of "
            "paper in all. These first pages are for your own printer.",
            "Ask for: actual size, 100 %; not fitted to the roll, not turned, not mirrored; black; plain paper. "
            "Drafting film costs more and does not swell in damp air.",
            "Every page of a file has the same size, and files differ in length. Have them printed file by file: "
            "several lengths in one run come out at the length of the first on some programs.",
            f"Have the shortest printed first: {shortest.label}, {page_length(shortest)}. Measure both its rulers "
            "there, before you pay for the rest. On each pattern measure its long distances: where the paper is "
            "fed a little long or short, the error adds up along the roll.",
            "Carry them rolled, printed side out, and let them lie flat in the workshop for a day.",
        ]
    )
    rows = [(plan.label, str(len(plan.layout.tiles)), page_length(plan)) for plan in plans]
    flow.table(("pattern", "pages", "each long"), rows, (6.0, 1.2, 1.8))
