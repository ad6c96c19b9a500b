"""One cell of the as-faired table."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from patterns.table.offsets import Place

__all__ = ["FairedCell", "View"]

View = Literal["height", "half-breadth", "diagonal", "stem", "sternpost", "position"]


@dataclass(frozen=True, slots=True, kw_only=True)
class FairedCell:
    """An offset as typed and as faired.

    Attributes:
        line: the line's name; the stem's own points stand under the keel's.
        view: ``height``, ``half-breadth``, ``stem`` or ``sternpost`` (a stem's own points, in the direction in
            which each was measured), ``position`` (how far aft a line ends) or ``diagonal`` (along it from the
            centreline).
        label: the column, as ``bow``, ``3``, ``stern``; for the stem's points their number from the head.
        x: distance aft, mm.
        offset, faired, move: mm; move is faired less offset.
        load: the duck's load as the bend in mm that it alone would give the batten between the neighbouring
            ducks, positive towards greater offsets; nan at ends and knuckles, on straight lines, and where
            the cell is held by another view.
        place: where it stands in the file.
    """

    line: str
    view: View
    label: str
    x: float
    offset: float
    faired: float
    move: float
    load: float
    place: Place | None
