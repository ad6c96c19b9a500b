"""The timbers that pass through a piece: one meeting with each, which cuts it."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from shapely.geometry import Polygon

from patterns.boat import Boat
from patterns.flat import overlays
from patterns.flat.shapes import area_of
from patterns.hull.sections import Section
from patterns.joinery.named_pieces import passing
from patterns.timbers.notches import Notch, notch_in
from patterns.wood.labels import Against, Label
from patterns.wood.meeting import Joinery, Loss, Meeting, renamed, without
from patterns.wood.region import Area, Region

__all__ = ["NONE", "Passages", "from_above", "notches_in", "passages", "passages_of"]


def notches_in(boat: Boat, section: Section) -> tuple[Notch, ...]:
    """The spaces of all timbers, and of the stem, that cross a section.

    Raises:
        PatternsError: a timber cannot be laid, or is wider than its strake.
    """
    let_in = (run for run in (*boat.runs, *boat.stems) if run.let_in)
    found = (notch_in(section, run) for run in let_in)
    return tuple(notch for notch in found if notch is not None)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Passages:
    """The timbers that pass through a piece, or through a whole that is sawn to several.

    Attributes:
        whole: its name.
        notches: the timbers' spaces on each of its faces, from the moulded one.
        meetings: with each timber; they cut it.
    """

    whole: str = ""
    notches: tuple[tuple[Notch, ...], ...] = ((), ())
    meetings: tuple[Meeting, ...] = ()

    def cut(self, wood: Region, face: int) -> Region:
        """What is left of the wood of one face."""
        return without(wood, self.whole, face, self.meetings)

    def of_piece(
        self,
        name: str,
        *,
        left_to: Sequence[type[Label]] = (),
        measured: Collection[str] | None = None,
        left: Mapping[str, float] | None = None,
    ) -> Iterator[Meeting]:
        """The same meetings with the whole itself or with one piece of it.

        Args:
            left_to: the kinds of edge to which the wood left over a notch is measured; without any it is not.
            measured: the timbers over which it is; all, if left out.
            left: the least wood over each notch in the whole, mm, by timber.
        """
        for meeting in renamed(self.meetings, self.whole, name):
            cut = meeting.cuts[0]
            counts = measured is None or cut.against in measured
            at_most = (left or {}).get(cut.against, math.inf)
            yield replace(
                meeting, cuts=(replace(cut, left_to=tuple(left_to) if counts else (), at_most=at_most),)
            )


NONE = Passages()


def passages(boat: Boat, whole: str, sections: Sequence[Section]) -> Passages:
    """What passes through a piece between two sections or more, one for each of its faces.

    Raises:
        PatternsError: a timber cannot be laid, or is wider than its strake.
    """
    return passages_of(boat, whole, [notches_in(boat, section) for section in sections])


def from_above(boat: Boat, whole: str, sections: Sequence[Section], faces: Sequence[Region]) -> Passages:
    """What lies under the deck and is let into the top of a piece, where it takes some of its wood.

    Raises:
        PatternsError: a timber cannot be laid.
    """
    under = {run.name for run in boat.runs if run.lies_on[0] == "deck"}
    notches = [
        tuple(
            notch
            for notch in notches_in(boat, section)
            if notch.timber in under and wood.area.intersects(area_of(notch.corners))
        )
        for section, wood in zip(sections, faces, strict=True)
    ]
    return passages_of(boat, whole, notches)


def passages_of(boat: Boat, whole: str, notches: Sequence[tuple[Notch, ...]]) -> Passages:
    """The same by the timbers' spaces on each face."""
    meetings = []
    for timber in dict.fromkeys(notch.timber for spaces in notches for notch in spaces):
        mate, key = passing(boat, timber)
        cut = Loss(piece=whole, against=timber, areas=tuple(_space(timber, spaces) for spaces in notches))
        meetings.append(
            Meeting(
                kind=Joinery.NOTCH,
                lands=mate,
                on=whole,
                keys=(key,),
                edges=(Against(timber),),
                cuts=(cut,),
            )
        )
    return Passages(whole=whole, notches=tuple(notches), meetings=tuple(meetings))


def _space(timber: str, spaces: Sequence[Notch]) -> Area:
    """What a timber takes of one face."""
    areas = [area_of(notch.corners) for notch in spaces if notch.timber == timber]
    space: Area = overlays.union(*areas) if len(areas) > 1 else (areas or [Polygon()])[0]
    return space
