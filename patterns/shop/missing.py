"""Members that a builder would look for and the design does not have: things to consider, never errors.

Each is looked for only where the rest of the design lets one expect it: a clamp where frames are sawn, a transom
knee where there is a keel for it to stand on.  What is left out on purpose is named in the design, as
``without = ["stem knee"]`` under ``[boat]``, and is told no more.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from patterns.design.deck_knee_models import QuarterKneeSpec
from patterns.design.deck_models import BeamSpec
from patterns.design.file import DESIGN_FILE, Design, StemEnd, TransomEnd
from patterns.design.models import KeelSpec, KneeSpec, LaidSpec
from patterns.design.mould_models import MouldSpec
from patterns.design.set_up_models import SetUpSpec
from patterns.design.stem_models import StemKneeSpec
from patterns.joinery.unjoined import Unjoined, unjoined
from patterns.words import nearest

__all__ = ["Missing", "missing", "unknown_wishes"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Missing:
    """A member that is not there.

    Attributes:
        name: by which ``without`` leaves it out, as ``stem knee`` or ``gussets on frame 3``.
        place: where it would be said in the design file.
        what: what is not there, and what is left undone so.
    """

    name: str
    place: str
    what: str

    def __str__(self) -> str:
        return f'{self.place}: {self.what} (if none is meant: without = ["{self.name}"] under [boat])'


def missing(design: Design) -> tuple[Missing, ...]:
    """What is not there and was not left out on purpose, in the order in which a boat is built."""
    left_out = {name.casefold() for name in design.boat.without}
    return tuple(found for found in _looked_for(design) if found.name.casefold() not in left_out)


def unknown_wishes(design: Design) -> Iterator[str]:
    """What ``without`` names that is not missing, each with what may have been meant."""
    names = [found.name for found in _looked_for(design)]
    known = {name.casefold() for name in names}
    for wish in design.boat.without:
        if wish.casefold() not in known:
            guess = nearest(wish, names)
            yield (
                f'{DESIGN_FILE}, [boat], key without: "{wish}" is not missed here'
                + (f"; {guess}" if guess else "")
            )


def _looked_for(design: Design) -> Iterator[Missing]:
    yield from _backbone(design)
    yield from _stands(design)
    for joint in unjoined(design):
        yield _at_joint(joint)
    yield from _along(design)
    yield from _at_transoms(design)
    yield from _under_deck(design)


def _sawn(design: Design) -> bool:
    return bool(design.frames)


def _heading(table: str) -> str:
    return f"{DESIGN_FILE}, [[{table}]]"


def _keels(design: Design) -> list[KeelSpec]:
    return [timber for timber in design.timbers if isinstance(timber, KeelSpec)]


def _laid(design: Design, kind: str) -> list[LaidSpec]:
    return [timber for timber in design.timbers if isinstance(timber, LaidSpec) and timber.kind == kind]


def _ends(design: Design) -> tuple[StemEnd | TransomEnd, StemEnd | TransomEnd]:
    return design.fore_end, design.after_end


def _backbone(design: Design) -> Iterator[Missing]:
    """The keel, and the knees that tie the ends to it."""
    if not _keels(design):
        if _sawn(design):
            yield Missing(
                name="keel",
                place=_heading("timber"),
                what='no timber of kind = "keel": the frames get no notch for one',
            )
        return
    knees = {knee.at for knee in design.all(StemKneeSpec)}
    for end in _ends(design):
        heel = isinstance(end, StemEnd) and end.joint != "butt"  # scarfed, or running on over the keel's top
        if isinstance(end, StemEnd) and end.at not in knees and not heel:
            yield Missing(
                name="stem knee" if end.at == "bow" else "stem knee at the stern",
                place=f'{DESIGN_FILE}, end "{end.at}"',
                what="no stem knee ties the stem to the keel, and its foot only butts on it",
            )


def _stands(design: Design) -> Iterator[Missing]:
    """What the frames are set up by, and a round bilge's moulds."""
    moulds = design.all(MouldSpec)
    round_bilge = any(strake.sections == "round" for strake in design.strakes)
    if not _sawn(design) and not moulds:
        yield Missing(
            name="moulds" if round_bilge else "frames",
            place=_heading("mould" if round_bilge else "frame"),
            what="neither a frame nor a mould gives the planking its shape between the ends",
        )
    elif not design.all(SetUpSpec):
        what = "frames" if _sawn(design) else "moulds"
        yield Missing(
            name="set-up line",
            place=f"{DESIGN_FILE}, [set_up]",
            what=f"no set-up line: the {what} carry no level by which all of them are set up",
        )


def _at_joint(joint: Unjoined) -> Missing:
    name = f"gussets on frame {joint.frame}" if joint.wants == "gusset" else f"floor on frame {joint.frame}"
    said = "has no gussets" if joint.wants == "gusset" else "has no floor timber"
    return Missing(
        name=name,
        place=f'{DESIGN_FILE}, frame "{joint.frame}"',
        what=f"{said}: nothing lies over its joint {joint.where}",
    )


def _along(design: Design) -> Iterator[Missing]:
    """Chine logs and the clamp: the planking's edges want wood to be fastened to."""
    if not _sawn(design):
        return
    logs = {log.follows for log in _laid(design, "chine log")}
    chines = [line.name for line in design.lines[1:-1]]
    if chines and not logs:
        each = f"the {chines[0]} has" if len(chines) == 1 else f"none of {', '.join(chines)} has"
        yield Missing(
            name="chine log" if len(chines) == 1 else "chine logs",
            place=_heading("timber"),
            what=f'{each} {"no " if len(chines) == 1 else ""}timber of kind = "chine log"',
        )
    elif logs:
        for chine in chines:
            if chine not in logs:
                yield Missing(
                    name=f"chine log on {chine}",
                    place=f'{DESIGN_FILE}, line "{chine}"',
                    what="no chine log follows it, though others have theirs",
                )
    if not _laid(design, "clamp"):
        yield Missing(
            name="clamp",
            place=_heading("timber"),
            what='no timber of kind = "clamp" follows the sheer inside of the frames\' heads',
        )


def _at_transoms(design: Design) -> Iterator[Missing]:
    transoms = [end for end in _ends(design) if isinstance(end, TransomEnd)]
    knees = {knee.at for knee in design.knees if isinstance(knee, KneeSpec)}
    for end in transoms:
        where = "" if end.at == "stern" else " at the bow"
        place = f'{DESIGN_FILE}, end "{end.at}"'
        if end.framing is None and _laid(design, "chine log"):
            yield Missing(
                name=f"transom framing{where}",
                place=place,
                what="the transom has no framing inside of its panel for planking and chine logs to land on",
            )
        if end.at not in knees and _keels(design):
            yield Missing(
                name=f"transom knee{where}",
                place=place,
                what="no transom knee ties the transom to the keel",
            )
        if end.at == "stern" and _laid(design, "clamp") and not design.all(QuarterKneeSpec):
            yield Missing(
                name="quarter knee",
                place=place,
                what="no quarter knee ties the clamp to the transom's upper corner",
            )


def _under_deck(design: Design) -> Iterator[Missing]:
    if isinstance(design.fore_end, StemEnd) and _laid(design, "clamp") and design.breasthook is None:
        yield Missing(
            name="breasthook",
            place=f"{DESIGN_FILE}, [breasthook]",
            what="no breasthook ties the clamps together at the stem",
        )
    tops = any(frame.top_piece is not None for frame in design.frames)
    if design.deck is not None and not design.all(BeamSpec) and not tops:
        yield Missing(
            name="beams",
            place=_heading("beam"),
            what="the deck lies on no beam and on no frame's top piece",
        )
