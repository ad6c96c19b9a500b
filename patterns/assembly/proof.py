"""The assembly proof: every piece in its place in the boat, measured against every other and what closes it in.

The boat is alike on both sides: pieces on the starboard side and on the centreline are measured against each other,
and against those on the port side where the two come near the centreline.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from patterns.assembly.bent import Bent, bent
from patterns.assembly.contacts import MEETS, OVERLAPS, STEP, Contact, contacts
from patterns.assembly.intended import meetings_of, off_their_wholes, unheld
from patterns.assembly.plate import Plate
from patterns.assembly.shell import Shell, deck_shell, planking_shells
from patterns.assembly.solids import Solid
from patterns.assembly.stack import Stack, stacks
from patterns.boat import Boat
from patterns.hull.planes import FloatArray
from patterns.pattern import Pattern
from patterns.timbers.run import mirror_of
from patterns.wood.meeting import Mate, Meeting, OneOf, Seat

__all__ = ["Assembly", "Fault", "assembled"]


LEAST = 200.0  # mm2 of contact; two pieces that touch on less touch at a corner
STEM = "stem"  # the kind of member of stems and sternposts, inner and outer


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """Two pieces that do not meet as they should.

    Attributes:
        first, second: the two by name, with their sides where there are two.
        what: "overlap" or "gap"; "plane to planking" where a timber's flat back lies on curved planking; "apart"
            where they should meet and do not touch.
        size: mm; 0 of two that are apart.
        at: where, (x, y, z), mm.
        contact: what was measured of the two, where they come near each other.
    """

    first: str
    second: str
    what: str
    size: float
    at: tuple[float, float, float]
    contact: Contact | None = None

    def words(self) -> str:
        """It in words for the bench."""
        pair = f"{self.first} and {self.second}"
        x, y, z = self.at
        where = f"at {x:.0f} mm aft, {abs(y):.0f} mm out, {z:.0f} mm up"
        if self.what == "plane to planking":
            return f"{self.first}: plane to the {self.second}, up to {self.size:.2f} mm, {where}"
        if self.what == "overlap":
            return f"{pair} want the same place, {self.size:.2f} mm deep {where}"
        if self.what == "apart":
            return f"{pair} are meant to meet {where}, and do not touch there"
        return f"{pair} stand {self.size:.2f} mm apart {where}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Assembly:
    """What is meant against what was measured.

    Attributes:
        meetings: every contact that the design means.
        contacts: every two pieces that touch or nearly touch.
        faults: those that overlap or gape, the worst first, and those that are meant to meet and do not.
        unmeant: those that touch although no meeting of theirs is meant.
        unheld: pieces that nothing holds: none of their meetings ties them to another piece or to planking.
        left_out: patterns that are no single flat piece, and were not placed.
        by_design: overlaps and gaps that are meant, and why.
    """

    meetings: tuple[Meeting, ...]
    contacts: tuple[Contact, ...]
    faults: tuple[Fault, ...]
    unmeant: tuple[Contact, ...]
    unheld: tuple[str, ...]
    left_out: tuple[str, ...]
    by_design: tuple[tuple[Fault, str], ...] = ()


def _port(solid: Solid) -> bool:
    return isinstance(solid, Plate | Stack | Bent) and solid.port


def _sided(solid: Solid) -> bool:
    """Whether it has a mirror on the other side."""
    if isinstance(solid, Plate):
        return solid.body.mirrored
    if isinstance(solid, Stack):
        return solid.mirrored
    return isinstance(solid, Bent) and solid.run.mirrored


def _rail(solid: Solid) -> bool:
    """Whether it is laid on after planking, outside of it; the skins have no outer face to measure that by."""
    return isinstance(solid, Bent) and solid.run.kind == "rubbing rail"


def _stem(solid: Solid) -> bool:
    """Whether the planks land on its bevelled lands, or it lies outside of them; its head is left long."""
    return isinstance(solid, Plate | Stack) and solid.member == STEM


def _worth(first: Solid, second: Solid) -> bool:
    """Whether the pair tells something that its mirror does not tell."""
    if isinstance(first, Shell) or isinstance(second, Shell):
        if isinstance(first, Shell):  # skins come last
            return False
        # Lands and heads of stems are measured elsewhere.
        return not (_port(first) or _rail(first) or _stem(first))
    return not (_port(first) and (_port(second) or not _sided(second))) and not (
        _port(second) and not _sided(first)
    )


def assembled(
    boat: Boat,
    patterns: Sequence[Pattern],
    *,
    step: float = STEP,
    progress: Callable[[int, int], None] | None = None,
) -> Assembly:
    """Place every piece in the boat and measure it against its neighbours.

    Args:
        step: between samples of a surface, mm.
        progress: called with the pieces done and the pieces in all.
    """
    solids: list[Solid] = []
    left_out = []
    for pattern in patterns:
        if pattern.template:
            continue
        if pattern.body is None:
            left_out.append(pattern.name)
        else:
            solids += stacks(pattern.name, pattern.body, pattern.slabs, pattern.member)
    for run in boat.runs:
        solids += bent(run)
    solids += planking_shells(boat.hull)
    if boat.design.deck is not None:
        solids.append(deck_shell(boat.hull))
    meetings = meetings_of(boat, patterns)
    meant: dict[frozenset[Mate], list[Meeting]] = {}
    for meeting in meetings:
        meant.setdefault(meeting.pair, []).append(meeting)
    found = tuple(contacts(solids, step=step, worth=_worth, progress=progress))
    faults: list[Fault] = []
    by_design: list[tuple[Fault, str]] = []
    for contact in found:
        for fault in _faults(contact, intended=_pair(contact) in meant):
            why = _why(fault, meant.get(_pair(contact), ()))
            by_design += [(fault, why)] if why else []
            faults += [] if why else [fault]
    faults.sort(key=lambda fault: (-fault.size, fault.first, fault.second))
    least = LEAST / step**2
    apart = dict((*_apart(meetings, found, solids, reach=3.0 * step), *_off(meetings, patterns)))
    there = [meeting for meeting in meetings if meeting not in apart]
    return Assembly(
        meetings=meetings,
        contacts=found,
        faults=(*faults, *apart.values()),
        unmeant=tuple(each for each in found if each.touching > least and _pair(each) not in meant),
        unheld=unheld(dict.fromkeys(s.piece for s in solids if isinstance(s.piece, str)), there),
        left_out=tuple(left_out),
        by_design=tuple(by_design),
    )


def _why(fault: Fault, meetings: Sequence[Meeting]) -> str:
    """Why a fault is none, being meant; empty where it is one."""
    slacks = [meeting.slack for meeting in meetings if meeting.slack is not None]
    fit = (s.why for s in slacks if fault.what == "gap" or fault.size <= s.deep + OVERLAPS)
    return next(fit, "")


def _pair(contact: Contact) -> frozenset[Mate]:
    """The two without their sides."""
    return frozenset(solid.piece for solid in contact.solids)


def _faults(contact: Contact, *, intended: bool) -> Iterator[Fault]:
    """What is wrong with two pieces that come near each other; a gap only between those that are meant to meet."""
    first, second = contact.solids
    to_planking = isinstance(second, Shell) and isinstance(first, Bent)

    def fault(what: str, size: float, at: tuple[float, float, float]) -> Fault:
        what = "plane to planking" if to_planking else what
        return Fault(first=first.name, second=second.name, what=what, size=size, at=at, contact=contact)

    if contact.overlap > OVERLAPS:
        yield fault("overlap", contact.overlap, contact.overlap_at)
    if intended and contact.open and contact.gap > MEETS:
        yield fault("gap", contact.gap, contact.gap_at)


def _apart(
    meetings: Sequence[Meeting], found: Sequence[Contact], solids: Sequence[Solid], *, reach: float
) -> Iterator[tuple[Meeting, Fault]]:
    """The meetings at which nothing touches: within ``reach`` mm of their seats, or, without a seat, anywhere.

    Of two that lie in each other, or gape, that is said instead.
    """
    touching: dict[frozenset[Mate], list[FloatArray]] = {}
    for contact in found:
        touching.setdefault(_pair(contact), []).append(contact.places)
    faulty = {_pair(contact) for contact in found if any(_faults(contact, intended=True))}
    for meeting in meetings:
        pair = _measured(meeting, solids)
        if meeting.slack is not None or pair is None or meeting.pair in faulty:
            continue
        places = np.vstack([np.zeros((0, 3)), *touching.get(meeting.pair, ())])
        if not _near(places, meeting.seats, reach) and _known(pair, meeting.seats):
            yield meeting, _fault_apart(meeting, pair[0].name, pair[1].name)


def _off(meetings: Sequence[Meeting], patterns: Sequence[Pattern]) -> Iterator[tuple[Meeting, Fault]]:
    """The landings on a frame or a transom that lie on none of its pieces."""
    for meeting in off_their_wholes(meetings, patterns):
        if isinstance(meeting.on, OneOf):
            yield meeting, _fault_apart(meeting, str(meeting.lands), meeting.on.whole)


def _fault_apart(meeting: Meeting, first: str, second: str) -> Fault:
    middle = meeting.middle
    x, y, z = (0.0, 0.0, 0.0) if middle is None else map(float, middle)
    return Fault(first=first, second=second, what="apart", size=0.0, at=(x, y, z))


def _known(pair: tuple[Solid, Solid], seats: Sequence[Seat]) -> bool:
    """Whether planking or deck, if one of two is that, can be measured at any of some seats."""
    skins = [solid for solid in pair if isinstance(solid, Shell)]
    return not seats or all(skin.known_at(np.vstack([seat.points() for seat in seats])) for skin in skins)


def _near(places: FloatArray, seats: Sequence[Seat], reach: float) -> bool:
    """Whether there is a place, and one near the seats where there are any."""
    if not seats or not len(places):
        return len(places) > 0
    # A seat may be given for one side alone, and the two touch on the other.
    both = np.vstack([places, mirror_of(places)])
    return min(float(seat.away(both).min()) for seat in seats) <= reach


def _measured(meeting: Meeting, solids: Sequence[Solid]) -> tuple[Solid, Solid] | None:
    """The solids of the two, as far as they are measured against each other; of a frame any piece."""
    if isinstance(meeting.on, OneOf):
        return None
    ones, others = ([s for s in solids if s.piece == mate] for mate in (meeting.lands, meeting.on))
    pairs = ((a, b) for a in ones for b in others if a is not b and (_worth(a, b) or _worth(b, a)))
    return next(pairs, None)
