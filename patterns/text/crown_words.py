"""The words for a crown mould and for the beams that are marked by it, as rows of their cards."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from patterns.text.piece_rows import Row
from patterns.text.wood_facts import Lengths

__all__ = ["beam_rows", "mould_rows"]


def mould_rows(radius: float, beams: Sequence[str]) -> Iterator[Row]:
    """What the card of a mould says.

    Args:
        radius: of its edge, mm.
        beams: the beams that are marked by it.
    """
    yield "Crown", f"arc of radius {radius:.0f} mm, from the centreline out"
    yield "Serves", f"{', '.join(beams)}, and any other beam of this crown"
    yield "Other half", "turn it over on the centreline"
    yield "Accuracy", "a beam's top is within 0.25 mm of it"


def beam_rows(
    mould: str, under: float | None, check: tuple[str, float] | None, lengths: Lengths
) -> Iterator[Row]:
    """What the card of a beam says of the mould.

    Args:
        under: how far its underside is from its top, square to it, mm; None where it is straight.
        check: a distance to be measured over the wood: between what, and mm.
    """
    yield "Lay out", "strike the set line, lay each part on it at its distance from the centreline"
    yield "Top", f"between the parts by the {mould}"
    if under is None:
        yield "Underside", "straight between the parts"
    else:
        yield "Underside", f"between the parts gauged {under:.1f} mm from the sawn top"
    if check is not None:
        yield "Check", f"{check[0]}: {lengths(check[1])}, over the wood"
