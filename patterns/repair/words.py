"""What is told at the bench of a piece of a repair."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from patterns.design.repair_work_models import NotchSpec
from patterns.joinery.wood import lamination_words
from patterns.repair.fairing import HEAD, HEEL
from patterns.repair.outline import Edge
from patterns.repair.repair import Repair
from patterns.repair.shapes import Shape, sided_of

__all__ = ["facts_of"]

SHORE = "Shore the hull to her shape before the old frame comes out"


def facts_of(repair: Repair, shape: Shape, edge: Edge, notches: Sequence[NotchSpec]) -> tuple[str, ...]:
    """The words, the first to be printed on the pattern itself.

    Args:
        edge: on the moulded face, from end to end.
        notches: in that face.
    """
    spec = shape.spec
    sided = sided_of(repair, spec)
    old = "after" if repair.spec.looking == "forward" else "forward"
    depths = {
        round(repair.moulded(stretch.name, spec), 1) for stretch in edge.stretches if stretch.name != HEEL
    }
    facts = [
        f"{lamination_words(repair.spec.stock, sided, repair.spec.laminations, way='sided')}, moulded "
        f"{' and '.join(f'{depth:g}' for depth in sorted(depths))} mm, the least on both faces"
    ]
    if spec.kind == "frame":
        facts.append("In the old frame's place; its moulded face is the one that was measured")
    else:
        other = {"after": "forward", "forward": "after"}[old]
        against = old if spec.against == "measured face" else other
        facts.append(
            f"A sister: its moulded face lies against the old frame's {against} face; its far face is a section of "
            f"its own, {sided:g} mm further"
        )
    ends = ". ".join(end.words for end in shape.ends if end.words)
    facts += [ends] if ends else []
    if not shape.edge.bevelled:
        facts.append(
            "No bevel is known: leave wood on its edge and take the bevels in the boat; this is one face alone"
        )
    if shape.suffix:
        facts.append(
            "Joints are mitres from corner to corner, covered by the gussets"
            if repair.gussets
            else "Joints are mitres from corner to corner, to be covered by gussets or doubled as the old ones were"
        )
    if notches:
        names = ", ".join(dict.fromkeys(notch.name for notch in notches))
        facts.append(
            f"Notches as measured on the old frame: {names}; they follow the planking: try each on its timber"
        )
    facts += _breadths(repair, shape, edge)
    facts.append(f"{SHORE}; repairs to structure are for a qualified surveyor to judge")
    return tuple(facts)


def _breadths(repair: Repair, shape: Shape, edge: Edge) -> list[str]:
    """Distances over the whole piece, to be measured in the boat."""
    places, names = edge.corner_places, edge.corners
    if shape.half:
        found = [(n or HEAD, 2.0 * at[0]) for n, at in zip(names, places, strict=True) if n not in ("", HEEL)]
    elif shape.side is None:
        count = len(names)
        found = [
            (names[i], float(np.hypot(*(places[i] - places[count - 1 - i]))))
            for i in range(count // 2)
            if names[i] and names[i] == names[count - 1 - i] and names[i] != HEEL
        ]
    else:
        return []
    if not found:
        return []
    return [
        "Across, inside of planking, moulded face: "
        + ", ".join(f"{name} to {name} {repair.length_words(float(wide))}" for name, wide in found)
    ]
