"""What pieces that others land on are called: the stem at an end, the keel, a timber that passes."""

from __future__ import annotations

from patterns.boat import Boat
from patterns.design.models import StemEnd
from patterns.wood.ends import EndText, HullEnd
from patterns.wood.meeting import Mate, OneOf

__all__ = ["keel_name", "passing", "stem_name", "transom_whole"]


def stem_name(end: StemEnd) -> EndText:
    """The stem's piece that lies inside of the planking: the inner stem, or the whole rabbeted one."""
    post = HullEnd.STEM if end.at == "bow" else HullEnd.STERNPOST
    return EndText(post, before="" if end.construction == "rabbeted" else "inner ")


def transom_whole(end: HullEnd = HullEnd.TRANSOM) -> OneOf:
    """The pieces of a transom."""
    return OneOf(EndText(end))


def keel_name(boat: Boat) -> str:
    """What the keel is called; it is the word itself where the design has none."""
    return next((run.name for run in boat.runs if run.kind == "keel"), "keel")


def passing(boat: Boat, timber: str) -> tuple[Mate, str]:
    """The piece that passes through a notch of a name, and the entry of the design that asks for it."""
    ends = (boat.design.fore_end, boat.design.after_end)
    stems = {"stem" if end.at == "bow" else "sternpost": end for end in ends if isinstance(end, StemEnd)}
    if timber in stems and not any(run.name == timber for run in boat.runs):
        return stem_name(stems[timber]), f'end "{stems[timber].at}"'
    return timber, f'timber "{timber}"'
