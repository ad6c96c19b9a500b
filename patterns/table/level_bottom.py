"""A bottom that is flat athwartships: one height for the keel and the chine at each station."""

from __future__ import annotations

from collections.abc import Collection, Iterator, MutableMapping
from typing import TYPE_CHECKING

import numpy as np

from patterns.errors import Problem
from patterns.measure import format_length
from patterns.table.stations import Block
from patterns.table.values import BOW, STERN, Offsets

if TYPE_CHECKING:
    from patterns.design.file import Design

__all__ = ["fill_level", "level_bottom_problems"]

Blocks = MutableMapping[tuple[str, str], Block]


def fill_level(
    blocks: Blocks, height: str, half_breadth: str, lines: tuple[str, str], *, stems: Collection[str] = ()
) -> None:
    """Give keel and chine each other's heights, with their cells, where one of them has none.

    A line takes a height only where it crosses the station: where it has a half-breadth. At a stem the bottom's row
    gives the corner where the chine ends; the keel runs on up the stem there, and keeps no height but its own.

    Args:
        height, half_breadth: the names of the blocks.
        lines: the keel's name and the chine's.
        stems: the ends, ``bow`` or ``stern``, at which there is a stem.
    """
    known = [blocks.get((height, name)) for name in lines]
    if known == [None, None]:
        return
    keel, chine = (row if row is not None else Block() for row in known)
    for into, source, name in ((chine, keel, lines[1]), (keel, chine, lines[0])):
        across = blocks.get((half_breadth, name))
        typed = dict(source.values)
        for label, value in typed.items():
            on_stem = label in stems and into is keel
            crosses = across is not None and across.values.get(label) is not None
            if value is not None and into.values.get(label) is None and crosses and not on_stem:
                into.values[label], into.places[label] = value, source.places[label]
        for label, place in source.places.items():
            into.places.setdefault(label, place)
    keel_across = blocks.get((half_breadth, lines[0]))
    for label in stems:
        if keel_across is None or keel_across.values.get(label) is None:
            keel.values.pop(label, None)
    blocks[height, lines[0]], blocks[height, lines[1]] = keel, chine


def level_bottom_problems(offsets: Offsets, design: Design) -> Iterator[Problem]:
    """Heights of keel and chine that differ although the bottom is declared flat."""
    if not offsets.level:
        return
    keel, chine = (offsets.lines.get(name) for name in (design.lines[0].name, offsets.level))
    if keel is None or chine is None:
        return
    stems = [
        label for label, end in ((BOW, design.fore_end), (STERN, design.after_end)) if end.kind == "stem"
    ]
    for i, label in enumerate(chine.labels):
        apart = abs(float(chine.z[i] - keel.z[i]))
        if label not in stems and np.isfinite(apart) and apart > design.fairing.allow + 1e-6:
            yield Problem(
                str(chine.z_places[i]),
                f'the design has a flat bottom, and here "{chine.name}" and "{keel.name}" are '
                f"{format_length(apart, offsets.notation)} apart in height",
                f'correct one of them ("{keel.name}": {keel.z_places[i]}), or remove bottom = "flat"',
                code="bottom-not-level",
            )
