"""The same boat seen from its other end: what is known of the one end serves the other.

Distances aft change their sign, bow and stern change places; port and starboard stay.  What comes of it is turned
back by doing the same again.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from patterns.table.values import BOW, STERN, LineOffsets, Offsets, StemPoints

if TYPE_CHECKING:
    from patterns.design.models import Design
    from patterns.design.part import Part

__all__ = ["Seen", "turned_design", "turned_offsets"]


@dataclass(frozen=True, slots=True)
class Seen:
    """From which end the boat is looked at, for words about her as she is.

    Attributes:
        back: she is turned, so that what is looked at as the bow is her stern.
    """

    back: bool = False

    @property
    def bow(self) -> str:
        """Her end that is looked at as the bow."""
        return STERN if self.back else BOW

    @property
    def stern(self) -> str:
        """Her end that is looked at as the stern."""
        return BOW if self.back else STERN

    @property
    def stem(self) -> str:
        """What the stem is that is looked at as the one at the bow."""
        return "sternpost" if self.back else "stem"

    @property
    def transom(self) -> str:
        """What the transom is that is looked at as the one at the stern."""
        return "bow transom" if self.back else "transom"

    def aft(self, mm: float) -> float:
        """A distance aft in her own table, from one in the table that is looked at."""
        return -mm if self.back else mm

    def way(self, mm: float) -> str:
        """Which way along her a distance aft in the table that is looked at leads."""
        return "aft" if self.aft(mm) > 0 else "forward"


def turned_design(design: Design) -> Design:
    """The design with its ends exchanged."""
    from patterns.design.transom_models import CutOutSpec, DoublerSpec

    at = {"fore_end": ("bow", design.after_end), "after_end": ("stern", design.fore_end)}
    ends = {
        name: end.model_copy(
            update={"at": where}
            | ({"foot": -foot} if (foot := getattr(end, "foot", None)) is not None else {})
        )
        for name, (where, end) in at.items()
    }
    # Knees say at which end they stand; what belongs to the stern's transom alone is left out.
    wanted = tuple(
        _turned_part(part) for part in design.wanted if not isinstance(part, CutOutSpec | DoublerSpec)
    )
    return design.model_copy(update={**ends, "wanted": wanted})


def _turned_part(part: Part) -> Part:
    at = getattr(part, "at", None)
    return part if at not in (BOW, STERN) else part.model_copy(update={"at": STERN if at == BOW else BOW})


def turned_offsets(offsets: Offsets) -> Offsets:
    """The table with its columns from the stern forward."""
    return replace(
        offsets,
        stations=offsets.stations[::-1],
        station_x=-offsets.station_x[::-1],
        lines={name: _turned_line(line) for name, line in offsets.lines.items()},
        diagonals={name: _turned_line(line) for name, line in offsets.diagonals.items()},
        stem=None if offsets.sternpost is None else _turned_stem(offsets.sternpost),
        sternpost=None if offsets.stem is None else _turned_stem(offsets.stem),
        station_places=offsets.station_places[::-1],
    )


def _turned_line(line: LineOffsets) -> LineOffsets:
    other = {BOW: STERN, STERN: BOW}
    return replace(
        line,
        labels=tuple(other.get(label, label) for label in line.labels[::-1]),
        x=-line.x[::-1],
        y=line.y[::-1],
        z=line.z[::-1],
        x_places=line.x_places[::-1],
        y_places=line.y_places[::-1],
        z_places=line.z_places[::-1],
    )


def _turned_stem(stem: StemPoints) -> StemPoints:
    return replace(stem, x=-stem.x)
