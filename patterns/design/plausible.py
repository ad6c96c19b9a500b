"""Sizes in the design that ordinary boats do not have: mostly a slip of a factor of ten, so each is a doubt.

Every limit here is common practice, no source; they are wide, so that ordinary boats raise nothing, and are
relations within the design: a size against the planking, the boat's length or breadth, or another size of the same
piece.
"""

from __future__ import annotations

from collections.abc import Iterator

from patterns.design.bounds import BoatSize, Bound
from patterns.design.kind import Table
from patterns.design.kinds import table_of
from patterns.design.models import Design, LaidSpec, Part
from patterns.design.parts import DESIGN_FILE
from patterns.design.timber_models import StripSpec
from patterns.errors import Problem

__all__ = ["pieces_of", "size_doubts"]


def size_doubts(design: Design, *, length: float, breadth: float) -> Iterator[Problem]:
    """Every size that is far from what boats of this length, breadth and planking have.

    Args:
        length, breadth: of the boat as typed, mm; nan judges nothing.
    """
    planking = [strake.planking for strake in design.strakes]
    scale = BoatSize(length=length, breadth=breadth, thick=max(planking), thin=min(planking))
    yield from _skins(design, scale)
    yield from _crown(design, scale)
    yield from _move(design)
    yield from _cut_through(design)
    for label, table, piece in pieces_of(design):
        for bound in table.bounds(piece, scale):
            yield from _beyond(f"{DESIGN_FILE}, {label}", bound, _patterns_of(table, piece))


def _patterns_of(table: Table, piece: Part) -> tuple[str, ...]:
    """What patterns of an entry are called, or are part of: by its name alone, or with its table's before it."""
    kind, name = table.name.replace("_", " "), str(getattr(piece, "name", ""))
    return (name, f"{kind} {name}", f"{name}, ends") if name else (str(getattr(piece, "kind", kind)),)


def _beyond(place: str, bound: Bound, pieces: tuple[str, ...]) -> Iterator[Problem]:
    if bound.value is None:
        return
    for wrong, words, code in (
        (bound.value < bound.least, "small", "thin-wood"),
        (bound.value > bound.most, "large", "thick-wood"),
    ):
        if wrong:
            yield Problem(
                f"{place}, key {bound.key}",
                f"{bound.value:g} mm is very {words} beside {bound.beside}",
                "check the size and its unit",
                code=code,
                pieces=pieces,
            )


def _skins(design: Design, scale: BoatSize) -> Iterator[Problem]:
    """Planking and deck against the boat's length, and one strake against the others."""
    skins = [
        (f'{DESIGN_FILE}, strake "{strake.name}", key planking', strake.planking) for strake in design.strakes
    ]
    if design.deck is not None:
        skins.append((f"{DESIGN_FILE}, [deck], key thickness", design.deck.thickness))
    thin = min(2.5, scale.length / 500.0)
    thinnest = min((each for _, each in skins if each >= thin), default=thin)
    for place, thickness in skins:
        if thickness < thin:
            yield Problem(
                place,
                f"{thickness:g} mm is very thin for a boat of {scale.length:.0f} mm",
                "check the thickness and its unit",
                code="thin-planking",
            )
        elif thickness > scale.length / 150.0:
            yield Problem(
                place,
                f"{thickness:g} mm is very thick for a boat of {scale.length:.0f} mm",
                "check the thickness and its unit",
                code="thick-planking",
            )
        elif thickness > 3.0 * thinnest:
            yield Problem(
                place,
                f"{thickness:g} mm is more than three times the thinnest planking or deck",
                "check both thicknesses",
                code="thick-planking",
            )


def _crown(design: Design, scale: BoatSize) -> Iterator[Problem]:
    """A crown that is hardly there, or that is a roof."""
    deck = design.deck
    if deck is None:
        return
    rise = deck.crown if deck.crown is not None else (deck.rise_ratio or 0.0) * scale.breadth
    key = "crown" if deck.crown is not None else "rise"
    words = f"the deck rises {rise:.1f} mm over a breadth of {scale.breadth:.0f} mm"
    place = f"{DESIGN_FILE}, [deck], key {key}"
    if 0.0 < rise < scale.breadth / 150.0:
        yield Problem(
            place, f"{words}, which is almost flat", "check the crown and its unit", code="low-crown"
        )
    elif rise > scale.breadth / 8.0:
        yield Problem(
            place, f"{words}, which is very round", "check the crown and its unit", code="high-crown"
        )


def _move(design: Design) -> Iterator[Problem]:
    if design.fairing.allow > 5.0:
        yield Problem(
            f"{DESIGN_FILE}, [fairing], key allow",
            f"{design.fairing.allow:g} mm lets fairing hide a slip in the table",
            'write half of the step to which the table is given, e.g. "1/16 in" or "1 mm"',
            code="large-move",
        )


def _cut_through(design: Design) -> Iterator[Problem]:
    """Timbers let into a frame by more than its moulding."""
    lowest = design.strakes[0].name
    clamps = [timber for timber in design.timbers if isinstance(timber, LaidSpec) and timber.kind == "clamp"]
    strips: tuple[LaidSpec | StripSpec, ...] = (*clamps, *design.all(StripSpec))
    for timber in strips:
        for frame in design.frames:
            key = "moulded_bottom" if timber.against == lowest and len(design.strakes) > 1 else "moulded_side"
            moulded = getattr(frame, key)
            if timber.off >= moulded >= 0.6 * frame.sided:  # less is doubted by itself
                yield Problem(
                    f'{DESIGN_FILE}, frame "{frame.name}", key {key}',
                    f'{moulded:g} mm leaves no wood inside the notch of "{timber.name}" ({timber.off:g} mm deep)',
                    "check both sizes",
                    code="cut-through",
                    pieces=(f"frame {frame.name}",),
                )


def pieces_of(design: Design) -> Iterator[tuple[str, Table, Part]]:
    """Every piece with what its entry is called in the file, and its table."""
    ends = ((f'end "{end.at}"', end) for end in (design.fore_end, design.after_end))
    wanted = ((None, piece) for piece in design.wanted)
    for label, piece in (*ends, *wanted):
        table = table_of(type(piece))
        if table is not None:
            name = getattr(piece, "name", "") or getattr(piece, "strake", "")
            called = f'{table.name} "{name}"' if table.many else f"[{table.name}]"
            yield label or called, table, piece
