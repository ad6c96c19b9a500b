"""The assembly proof: every piece in its place in the boat, measured against every other and what closes it in.

The boat is alike on both sides: pieces on the starboard side and on the centreline are measured against each other,
and against those on the port side where the two come near the centreline.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from patterns.assembly.bent import Bent, bent
from patterns.assembly.meetings import MEETS, OVERLAPS, STEP, Contact, meetings
from patterns.assembly.plate import Plate
from patterns.assembly.shell import Shell, deck_shell, planking_shells
from patterns.assembly.solids import Solid
from patterns.assembly.stack import Stack, stacks
from patterns.boat import Boat
from patterns.pattern import Pattern

__all__ = ["Assembly", "Fault", "assembled"]


STEM = "stem"  # the kind of member of stems and sternposts, inner and outer


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """Two pieces that do not meet as they should.

    Attributes:
        meeting: of the two.
        what: "overlap" or "gap", or "plane to planking" where a timber's flat back lies on curved planking.
        size: mm.
        at: where, (x, y, z), mm.
    """

    meeting: Contact
    what: str
    size: float
    at: tuple[float, float, float]

    def words(self) -> str:
        """It in words for the bench."""
        pair = f"{self.meeting.first} and {self.meeting.second}"
        x, y, z = self.at
        where = f"at {x:.0f} mm aft, {abs(y):.0f} mm out, {z:.0f} mm up"
        if self.what == "plane to planking":
            return (
                f"{self.meeting.first}: plane to the {self.meeting.second}, up to {self.size:.2f} mm, {where}"
            )
        if self.what == "overlap":
            return f"{pair} want the same place, {self.size:.2f} mm deep {where}"
        return f"{pair} stand {self.size:.2f} mm apart {where}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Assembly:
    """What was measured.

    Attributes:
        meetings: every two pieces that touch or nearly touch.
        faults: those that overlap or gape, the worst first.
        left_out: patterns that are no single flat piece, and were not placed.
        by_design: overlaps and gaps that are meant, and why.
    """

    meetings: tuple[Contact, ...]
    faults: tuple[Fault, ...]
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
    found = tuple(meetings(solids, step=step, worth=_worth, progress=progress))
    faults = [fault for meeting in found for fault in _faults(meeting)]
    faults.sort(key=lambda fault: (-fault.size, fault.meeting.first, fault.meeting.second))
    meant = {
        frozenset((pattern.name, other)): (deep, why)
        for pattern in patterns
        if pattern.body is not None
        for other, deep, why in pattern.body.by_design
    }
    reasons = [_meant(fault, meant) for fault in faults]
    return Assembly(
        meetings=found,
        faults=tuple(fault for fault, why in zip(faults, reasons, strict=True) if not why),
        left_out=tuple(left_out),
        by_design=tuple((fault, why) for fault, why in zip(faults, reasons, strict=True) if why),
    )


def _meant(fault: Fault, meant: Mapping[frozenset[str], tuple[float, str]]) -> str:
    """Why a fault is none, being meant; empty where it is one."""
    deep, why = meant.get(_pair(fault.meeting), (0.0, ""))
    return why if fault.what == "gap" or fault.size <= deep + OVERLAPS else ""


def _pair(meeting: Contact) -> frozenset[str]:
    """The names of the two without their sides."""
    return frozenset(solid.piece for solid in meeting.solids)


def _faults(meeting: Contact) -> Iterator[Fault]:
    first, second = meeting.solids
    to_planking = isinstance(second, Shell) and isinstance(first, Bent)
    if meeting.overlap > OVERLAPS:
        what = "plane to planking" if to_planking else "overlap"
        yield Fault(meeting=meeting, what=what, size=meeting.overlap, at=meeting.overlap_at)
    if meeting.open and meeting.gap > MEETS:
        what = "plane to planking" if to_planking else "gap"
        yield Fault(meeting=meeting, what=what, size=meeting.gap, at=meeting.gap_at)
