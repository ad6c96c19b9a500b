"""The words for facts of wood: one template for each kind.  A member's own kinds are added where it is drawn."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from math import degrees
from typing import Any, TypeAlias

from patterns.text.angles import angle_words, half_degrees
from patterns.timbers.faying import FAYS, Unfayed
from patterns.wood.facts import Fact

__all__ = [
    "FACTS",
    "Lengths",
    "Template",
    "crossing_words",
    "end_cut_words",
    "rake_words",
    "said",
    "unfayed_words",
    "wood_words",
]

Lengths: TypeAlias = Callable[[float], str]
"""A length, mm, in words."""

Template: TypeAlias = Callable[[Mapping[str, Any], Lengths], str]


def said(fact: Fact, lengths: Lengths, more: Mapping[str, Template] | None = None) -> str:
    """A fact in words.

    Args:
        more: templates of a member's own kinds.
    Raises:
        KeyError: there is no template for its kind.
    """
    template = (more or {}).get(fact.kind) or FACTS[fact.kind]
    return template(fact.values, lengths)


def wood_words(v: Mapping[str, Any], _: Lengths | None = None) -> str:
    """A stock, its whole thickness, and the laminations that make it up."""
    whole = f"sided {v['thickness']:g} mm" if v["way"] == "sided" else f"{v['thickness']:g} mm {v['way']}"
    if v["laminations"] == 1:
        return f"{v['stock']}, {whole}"
    each = v["thickness"] / v["laminations"]
    return f"{v['stock']}, {whole}: {v['laminations']} laminations of {each:g} mm"


def rake_words(rake: float) -> str:
    """A rake, radians, in words."""
    angle = round(degrees(rake), 1)
    if not angle:
        return "Upright"
    return f"Raked {abs(angle):g}°, top {'aft' if rake > 0 else 'forward'}"


def _cant_words(cant: float) -> str:
    return f"Canted {abs(round(degrees(cant), 1)):g}°, outboard ends {'aft' if cant > 0 else 'forward'}"


def _moulded_face(v: Mapping[str, Any], lengths: Lengths) -> str:
    words = f"Moulded face: the {v['face']} one, {lengths(v['aft'])} aft"
    if v.get("rake") is not None:
        words += f" at height 0; {rake_words(v['rake'])}"
    if v.get("cant"):
        words += f" on the centreline; {_cant_words(v['cant'])}"
    return words


def _butts(v: Mapping[str, Any], _: Lengths) -> str:
    words = f"At the {v['joint']}: butts against the {v['mate']} piece"
    if v["feather"]:
        words += (
            f"; they meet at {degrees(v['turn']):.0f}°, so that this end runs out to a feather "
            "edge, where a mitre leaves wood"
        )
    return words


def crossing_words(v: Mapping[str, Any]) -> str:
    """How a timber crosses a face: its two angles from square to it, going one way along the boat."""
    ways = [
        f"{angle_words(angle)} {word[0] if angle > 0 else word[1]}"
        for angle, word in ((v["in_plan"], ("out", "in")), (v["in_profile"], ("up", "down")))
        if half_degrees(angle)
    ]
    return " and ".join(ways) if ways else "square"


def end_cut_words(v: Mapping[str, float]) -> str:
    """How an end is cut: its angle to the length in the pattern, and its bevel from square."""
    words = "plumb"
    if half_degrees(v["lean"]):
        words = f"{angle_words(v['lean'])} from plumb, top {'aft' if v['lean'] > 0 else 'forward'}"
    return f"{words}, {angle_words(v['off'])} off square across" if half_degrees(v["off"]) else words


def _limber(v: Mapping[str, Any], _: Lengths) -> str:
    depths = [f"{depth:.0f}" for depth in v["depths"]]
    if depths[0] == depths[1]:
        return f"limber hole, {depths[0]} mm deep"
    return f"limber hole, {' / '.join(depths)} mm deep (this / other face)"


def _legs(v: Mapping[str, Any], lengths: Lengths) -> str:
    words = (
        f"Legs: 2 of {v['stock']}, {v['wide']:g} x {v['sided']:g} mm, {v['long']:.0f} mm long, on the "
        f"{v['face']} face, plumb, outer edges {lengths(v['out'])} from the centreline, feet "
        f"{v['lap']:g} mm below the sheer, heads on the set-up line, on the frame over {v['share']:.0%} of "
        "their lap"
    )
    if v["across"] is None:
        return words
    return words + f"; across their heads {v['across']:g} x {v['sided']:g} mm, {2.0 * v['out']:.0f} mm long"


def _listed(words: str) -> Template:
    def template(v: Mapping[str, Any], _: Lengths) -> str:
        return words + ", ".join(
            f"{name} {depth:.0f} mm" + (" (one face only)" if name in v.get("one_face", ()) else "")
            for name, depth in v["left"].items()
        )

    return template


def _set_up(v: Mapping[str, Any], lengths: Lengths) -> str:
    away = (f"{name} {lengths(abs(mm))} {'below' if mm < 0.0 else 'above'}" for name, mm in v["away"].items())
    return f"From the set-up line, inside of planking: {', '.join(away)}"


def _breadths(v: Mapping[str, Any], lengths: Lengths) -> str:
    return "Across both halves, cross to cross: " + ", ".join(
        f"{name} {lengths(breadth)}" for name, breadth in v["breadths"].items()
    )


def _put_together(v: Mapping[str, Any], lengths: Lengths) -> str:
    heels = f"heel to heel {lengths(v['heels'])}" if v["heels"] else "the heels meet on the centreline"
    if v["from_line"] is not None:
        way = "below" if v["from_line"] < 0.0 else "above"
        heels += f", {lengths(abs(v['from_line']))} {way} the set-up line"
    across = ", ".join(f"{name} {lengths(long)}" for name, long in v["diagonals"].items())
    return (
        f"To put the frame together on a bare board, inside of planking on the moulded face: {heels}; both "
        f"diagonals from one side to the other side's {v['sheer']}: {across}"
    )


def _curved_breadths(v: Mapping[str, Any], _: Lengths) -> str:
    return "Across both halves, cross to cross, over the curve and (straight): " + ", ".join(
        f"{name} {girth:.1f} mm ({chord:.1f} mm)" for name, (girth, chord) in v["breadths"].items()
    )


def _narrow(v: Mapping[str, Any], _: Lengths) -> str:
    low, high = sorted(place.mm for place in v["between"])
    return (
        f"From {low:.0f} to {high:.0f} mm aft the keel's top is down to {v['breadth']:.0f} mm wide: "
        "plane its lower edges there to the planking"
    )


def _plain(words: str) -> Template:
    return lambda v, _: words.format(**v)


FACTS: Mapping[str, Template] = {
    "wood": wood_words,
    "moulded-face": _moulded_face,
    "lies-on-face": _plain("Lies on the {side} face of frame {frame}"),
    "in-doubt": lambda v, _: f"In doubt, see scrieve check: {', '.join(v['codes'])}",
    "turn-over": _plain(
        "For the piece of the other side turn the pattern over and prick through from the back; bevels as here"
    ),
    "no-register-holes": _plain(
        "No room for two register holes: its other face cannot be printed on the same holes"
    ),
    "wood-left-at-notches": _listed("Wood left at the notches: "),
    "wood-left-at-laps": _listed("Wood left at the laps: "),
    "saw-then-bevel": _plain("Saw all laminations to the saw line, glue, then bevel"),
    "breadths": _breadths,
    "breadths-on-a-curve": _curved_breadths,
    "put-together-by": _put_together,
    "from-set-up-line": _set_up,
    "legs": _legs,
    "joint-end": _plain("At the {joint}: its own end; no {mate} piece is made"),
    "joint-through": _plain("At the {joint}: this piece runs through"),
    "joint-butt": _butts,
    "joint-lap": _plain("At the {joint}: half lap, {face} face cut away {depth:g} mm deep"),
    "joint-mitre": _plain("At the {joint}: mitre"),
    "end-cuts": lambda v, _: f"Fore end {end_cut_words(v['fore'])}; after end {end_cut_words(v['after'])}",
    # at places
    "planking-corner": _plain("{line}, inside of planking"),
    "notch": lambda v, _: f"{v['timber']}: going {v['going']}\n{crossing_words(v)}",
    "limber-hole": _limber,
    "lap": lambda v, _: (
        f"{v['other']} {'lies under it here' if v['over'] else 'lies in this notch'},\n"
        f"bed {v['depth']:g} mm under the deck"
    ),
    # along lines
    "housing": lambda v, _: (
        f"housing for {v['other']}, {v['depth']:.1f} mm deep in the "
        f"{v['face'] if isinstance(v['face'], str) else v['face'].which} face"
        + (" before it is planed" if v["planed"] else "")
    ),
    "housing-edge": _plain(""),
    "centreline": _plain("centreline"),
    "futtocks-joint": _plain("joint of the futtocks"),
    "fastenings": _plain("fastenings, {margin:g} mm in"),
    "waterline": lambda v, lengths: f"WL {lengths(v['height'])}",
    "set-up-line": _plain("set-up line"),
    "leg-edge": _plain("leg, outer edge"),
    "bolt": lambda v, _: f"bolt, {v['out']:g} mm out" if v["out"] else "bolt, centreline",
    # put together
    "put-together": _plain("The frame put together: lay its pieces on it and fasten them"),
    "joint": _plain("joint"),
    "joint-on-other-face": _plain("joint on the other face"),
    # where other pieces lie
    "meets-its-mirror": _plain("the same piece of the other side"),
    "bolt-of": _plain("bolt of the {piece}"),
    "lands": _plain("{piece}"),
    "lands-behind": _plain("{piece}, on the other face"),
    "lands-all-over": _plain("{piece}, all over this face"),
    "lands-on-both": _plain("{piece}, on both faces"),
    # distances
    "flip-point-to-end": _plain("{which} flip point to the piece's end"),
    "flip-point-to-sheer-corner": _plain("{which} flip point to sheer corner"),
    "corner-to-corner": _plain("corner to corner"),
    # of knees and of what lands on the keel
    "lands-on": _plain("lands on the {on}"),
    "throat": lambda v, _: f"throat {v['throat']:g} mm" + (" at least" if v["least"] else ""),
    "knee-bolt": _plain("bolt {along:g} mm from the corner"),
    "toe-to-toe": _plain("toe to toe"),
    "keel-top-narrow": _narrow,
    "top-end-to-end": _plain("top, end to end"),
    # faces of what runs fore and aft
    "moulded face from inboard": _plain(
        "inboard face (moulded) of the starboard one, seen from the centreline"
    ),
    "other face from inboard": _plain("outboard face of the starboard one, seen from the side"),
    # faces and how one looks at them, and which of a pair
    "moulded-face-seen": _plain("{face} face ({moulded}){hand}, seen looking {look}"),
    "other-face-seen": _plain("{face} face{hand}, seen looking {look}"),
    "print-side": _plain("{face} face{hand}"),
    "one-of-a-pair": _plain(" of the {side} piece"),
}


def unfayed_words(on: str, stretch: Unfayed) -> str:
    """Where a timber's edge does not lie on its other surface, and what is planed off there."""
    planed = f"plane up to {stretch.planed:.1f} mm off it" if stretch.planed > FAYS else "fit it"
    return (
        f"its edge does not lie on the {on} from {stretch.start:.0f} to {stretch.end:.0f} mm from its "
        f"after end: {planed} there"
    )
