"""A long timber as a piece of wood: it lies on a run, its solid is the run's rails, and its papers are derived."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from patterns.timbers.measured import TimberSizes, measured
from patterns.timbers.run import Run
from patterns.wood.facts import Fact
from patterns.wood.labels import Deck, Free, Label, Planking
from patterns.wood.piece import Hand, Stock
from patterns.wood.placement import Placement, along_run
from patterns.wood.region import Region

__all__ = ["LongPiece"]


@dataclass(frozen=True, kw_only=True, eq=False)
class LongPiece:
    """One long timber.

    Attributes:
        run: where it lies: its rails through the boat, its ends, and what each of its faces lies on.
        facts: for the bench.
    """

    run: Run
    facts: tuple[Fact, ...] = ()

    @property
    def name(self) -> str:
        """As the design has it."""
        return self.run.name

    @property
    def hand(self) -> Hand:
        """On which side it lies."""
        return Hand.PAIR if self.run.mirrored else Hand.CENTRE

    @property
    def stock(self) -> Stock:
        """What it is made of; its thickness is its depth off the planking (a keel: moulded)."""
        return Stock(wood=self.run.stock, thickness=self.run.deep, laminations=self.run.laminations)

    @cached_property
    def sizes(self) -> TimberSizes:
        """Its measures along its rails."""
        return measured(self.run)

    @cached_property
    def placement(self) -> Placement:
        """u along the middle of its section from the after end, v across it, depth off its back; mm."""
        _, across, off = self.sizes.axes
        return along_run(self.sizes.rails.mean(axis=1), across, off)

    def section(self, place: int) -> Region:
        """Its section at one of the places square to the run, labelled by what it lies on.

        Its coordinates are v and depth from the section's first corner, mm.
        """
        ring, axes = self.sizes.rails[place], self.sizes.axes
        flat = np.column_stack([(ring - ring[0]) @ axes[1][place], (ring - ring[0]) @ axes[2][place]])
        return Region.within(flat, [_label(name) for name in self.run.lies_on])

    @property
    def middle(self) -> int:
        """The place in the middle of its length."""
        return len(self.sizes.rails) // 2


def _label(name: str) -> Label:
    if not name:
        return Free()
    return Deck() if name == "deck" else Planking(name)
