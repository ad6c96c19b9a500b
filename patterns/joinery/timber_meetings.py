"""Where the timbers that run fore and aft meet planking, deck, and what closes the hull at their ends."""

from __future__ import annotations

from collections.abc import Iterator

import shapely

from patterns.boat import Boat
from patterns.design.models import StemEnd
from patterns.joinery.named_pieces import stem_name
from patterns.timbers.run import Run
from patterns.wood.ends import EndText, HullEnd
from patterns.wood.labels import Deck, Planking
from patterns.wood.meeting import Joinery, Mate, Meeting, Seat

__all__ = ["timber_meetings"]


def timber_meetings(boat: Boat) -> Iterator[Meeting]:
    """The meetings of all timbers but those in notches, which the pieces have that are cut for them.

    Raises:
        PatternsError: one of them cannot be laid.
    """
    for run in boat.runs:
        yield from _on_surfaces(run)
        yield from _at_ends(boat, run)


def _on_surfaces(run: Run) -> Iterator[Meeting]:
    for name in dict.fromkeys(run.lies_on):
        if name:
            on: Mate = Deck() if name == "deck" else Planking(name)
            yield Meeting(kind=Joinery.EDGE, lands=run.name, on=on, keys=(_asked(run),))


def _at_ends(boat: Boat, run: Run) -> Iterator[Meeting]:
    closed = {HullEnd.STEM: boat.design.fore_end, HullEnd.STERNPOST: boat.design.after_end}
    for end, ring in zip(run.ends, run.corners[[0, -1]], strict=True):
        if end.lands is None:
            continue
        post = closed.get(end.lands)
        on = stem_name(post) if isinstance(post, StemEnd) else EndText(end.lands, after=" panel")
        seat = Seat(plane=end.plane, shape=shapely.linearrings(end.plane.flat(ring)))
        yield Meeting(kind=Joinery.BUTT, lands=run.name, on=on, keys=(_asked(run),), seats=(seat,))


def _asked(run: Run) -> str:
    return f'timber "{run.name}"'
