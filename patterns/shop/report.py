"""What `check` says: what was read, suspects, doubts and hints, and on request the details."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from patterns.assembly.contacts import MEETS, OVERLAPS, STEP
from patterns.assembly.proof import Assembly
from patterns.boat import Boat
from patterns.codes import DOUBTS
from patterns.design.confirmed import doubt_lines
from patterns.design.file import Design
from patterns.draft import Draft
from patterns.errors import Problem, first_lines
from patterns.fairing.cells import FairedCell
from patterns.fairing.suspects import Suspect
from patterns.shop.details import at_a_glance, details, moves
from patterns.shop.missing import missing, unknown_names

__all__ = ["assembly_report", "counted", "counted_doubts", "draft_report", "report", "unready", "verdict"]


def counted(number: int, what: str) -> str:
    """A number of things: ``1 page``, ``2 pages``."""
    return f"{number} {what}" if number == 1 else f"{number} {what}s"


def counted_doubts(**named: Sequence[object]) -> tuple[str, ...]:
    """What is doubtful, counted; empty where nothing is.

    Args:
        named: by what one of each sort is called, with a low line for each space.
    """
    return tuple(counted(len(found), name.replace("_", " ")) for name, found in named.items() if found)


def verdict(patterns: int, doubtful: Sequence[str], *, then: str) -> str:
    """The last line of a check: what can be made, and what comes first.

    Args:
        doubtful: what is doubtful, counted.
        then: the command that comes next where nothing is.
    """
    made = f"{counted(patterns, 'pattern')} can be made."
    if doubtful:
        return f"{made} First look at {' and '.join(doubtful)} above."
    return f"{made} Next: {then}"


def unready(wrong: int, missing: int) -> str:
    """The last line of a check of a folder that gives no patterns yet.

    Args:
        wrong, missing: how many problems of each kind are listed.
    """
    listed = [f"{wrong:,} error{'s' * (wrong > 1)}"] * (wrong > 0)
    listed += [f"{missing:,} missing {'entry' if missing == 1 else 'entries'}"] * (missing > 0)
    return f"No patterns yet: {' and '.join(listed)}, listed above."


def report(boat: Boat, more: Sequence[Problem] = (), *, verbose: bool = False) -> Iterator[str]:
    """The findings on a design that has no errors, a line each.

    Args:
        more: what the pieces show besides.
        verbose: list every line's moves, how sheets and timbers lie, and the hydrostatics.
    """
    offsets, lines = boat.offsets, boat.lines
    cells = len(lines.rows)
    yield (
        f"{boat.design.boat.name}: {len(offsets.stations)} stations, {len(boat.design.lines)} lines, "
        f"{cells} offsets read and faired."
    )
    # A table cannot show that these words are wrong, so the reader compares them with the plan.
    table = boat.design.table
    breadths = "whole breadths" if table.breadths == "full" else "half-breadths"
    yield (
        f"  taken as {breadths}, heights {table.heights}, lines to the {table.lines_to}, sheer to the "
        f"{table.sheer_to}"
    )
    yield from details(boat) if verbose else at_a_glance(boat)
    yield from _suspects(lines.suspects, lines.rows, boat.design)
    warnings = *boat.warnings, *more
    yield from doubt_lines([warning for warning in warnings if warning.code in DOUBTS])
    yield from _to_consider(boat.design, [warning for warning in warnings if warning.code not in DOUBTS])


def draft_report(draft: Draft) -> Iterator[str]:
    """The findings on the lines of a half-typed table, a line each; nothing where none is known."""
    lines, design, offsets = draft.lines, draft.design, draft.offsets
    if lines is None or design is None or offsets is None or not lines.rows:
        return
    names = dict.fromkeys(row.line for row in lines.rows)
    yield f"{draft.title}: faired so far, {counted(len(lines.rows), 'offset')} of {', '.join(names)}."
    yield from moves(lines.rows, offsets.notation)
    yield from _suspects(lines.suspects, lines.rows, design)


def _suspects(suspects: Sequence[Suspect], rows: Sequence[FairedCell], design: Design) -> Iterator[str]:
    """The offsets that the batten doubts."""
    doubted = {suspect.place for suspect in suspects}
    if suspects:
        kept = all(abs(row.move) <= design.fairing.allow + 0.05 for row in rows if row.place in doubted)
        more = ", faired as typed" if kept else ""
        yield f"{counted(len(suspects), 'suspect offset')}{more}:"
        yield from (f"  {line}" for line in first_lines([str(suspect) for suspect in suspects]))
        yield "  The spans between the offsets of these rows are judged when the rows are right."
    else:
        yield "No suspect offset was found."


def _to_consider(design: Design, hints: Sequence[Problem]) -> Iterator[str]:
    """Hints, and members that a builder would look for: neither errors nor doubts."""
    found = [*map(str, hints), *map(str, missing(design)), *unknown_names(design)]
    if found:
        yield f"{counted(len(found), 'thing')} to consider, none of them an error:"
        yield from (f"  {words}" for words in found)


def assembly_report(assembly: Assembly) -> Iterator[str]:
    """What the pieces tell of each other when all stand in the boat, a line each."""
    joints = sum(contact.touching > 0 for contact in assembly.contacts)
    yield f"All pieces in their places: {counted(joints, 'joint')} measured at {STEP:g} mm or closer."
    for fault in assembly.faults:
        yield f"  {fault.words()}"
    for fault, why in assembly.by_design:
        yield f"  {fault.words()}, by design: {why}"
    for contact in assembly.unmeant:
        yield f"  {contact.first} and {contact.second} touch, though nothing in the design joins them"
    for piece in assembly.unheld:
        yield f"  {piece}: nothing holds it"
    if not assembly.faults:
        other = "other " if assembly.by_design else ""
        yield (
            f"  No {other or ''}two overlap by more than {OVERLAPS:g} mm, and every {other}joint meets within "
            f"{MEETS:g} mm."
        )
    if assembly.left_out:
        yield f"  Not placed, being no single flat piece: {', '.join(assembly.left_out)}"
