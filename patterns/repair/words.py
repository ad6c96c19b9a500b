"""What the bench needs to know of a piece of a repair: its facts, and the words for each kind."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import numpy as np

from patterns.design.repair_work_models import NotchSpec
from patterns.joinery.wood import wood_fact
from patterns.measure import Notation, format_length
from patterns.repair.drawn import grain_of
from patterns.repair.fairing import HEAD, HEEL
from patterns.repair.futtocks import butts_apart, is_butted, run_out
from patterns.repair.outline import Edge
from patterns.repair.repair import Repair
from patterns.repair.shapes import Shape, hand_of, stand_of
from patterns.text.wood_facts import Lengths, Template, said, wood_words
from patterns.wood.facts import Fact
from patterns.wood.piece import Hand, Stock

__all__ = ["FAR_FACE", "WORDS", "facts_of"]

FAR_FACE = "far"  # of a sister, in place of the name of a strip's face
SHORE = "Shore the hull to her shape before the old frame comes out"


def facts_of(repair: Repair, shape: Shape, edge: Edge, notches: Sequence[NotchSpec]) -> tuple[Fact, ...]:
    """The facts, the first to be printed on the pattern itself.

    Args:
        edge: on the moulded face, from end to end.
        notches: in that face.
    """
    spec, made = shape.spec, repair.spec
    sided = stand_of(repair, spec, shape.layer).sided
    depths = {
        round(repair.moulded(stretch.name, spec), 1) for stretch in edge.stretches if stretch.name != HEEL
    }
    wood = wood_fact(Stock(wood=made.stock, thickness=sided, laminations=made.laminations), way="sided")
    facts = [Fact("wood-moulded", {**wood.values, "depths": tuple(sorted(depths))})]
    if spec.against is None:
        facts.append(Fact("in-old-frames-place"))
    else:
        old, other = ("after", "forward") if made.looking == "forward" else ("forward", "after")
        against = old if spec.against == "measured face" else other
        facts.append(Fact("sister", {"kind": spec.kind, "against": against, "sided": sided}))
    ends = tuple(fact for end in shape.ends for fact in end.facts)
    facts += [Fact("ends", {"ends": ends})] if ends else []
    if not shape.edge.bevelled:
        facts.append(Fact("no-bevels-known"))
    elif shape.edge.bare:
        facts.append(Fact("bevels-blank", {"stretches": tuple(dict.fromkeys(shape.edge.bare))}))
    if is_butted(shape):
        facts.append(Fact("butted-joints", {"apart": butts_apart(repair, shape)}))
    elif shape.suffix:
        facts.append(Fact("mitred-joints", {"gussets": bool(repair.gussets)}))
    if shape.suffix:
        angle, _ = run_out(edge, np.array(grain_of(edge)))
        facts.append(Fact("grain-run-out", {"angle": angle}))
    if notches:
        facts.append(
            Fact("notches-as-measured", {"names": tuple(dict.fromkeys(notch.name for notch in notches))})
        )
    pair = hand_of(repair, shape.side, both=spec.side == "both") is Hand.PAIR and not shape.half
    return (*facts, *_breadths(shape, edge), *((Fact("turn-over"),) if pair else ()), Fact("shore"))


def _breadths(shape: Shape, edge: Edge) -> Iterator[Fact]:
    """Distances over the whole piece, to be measured in the boat."""
    places, names = edge.corner_places, edge.corners
    if shape.half:
        found = [(n or HEAD, 2.0 * at[0]) for n, at in zip(names, places, strict=True) if n not in ("", HEEL)]
    elif shape.side is None:
        count = len(names)
        found = [
            (names[i], float(np.hypot(*(places[i] - places[count - 1 - i]))))
            for i in range(count // 2)
            if names[i] and names[i] == names[count - 1 - i] and names[i] != HEEL
        ]
    else:
        return
    if found:
        yield Fact("breadths-inside", {"breadths": tuple((name, float(wide)) for name, wide in found)})


def _wood(v: Mapping[str, Any], _: Lengths) -> str:
    return (
        f"{wood_words(v)}, moulded {' and '.join(f'{depth:g}' for depth in v['depths'])} mm, the least on both "
        "faces"
    )


def _sister(v: Mapping[str, Any], _: Lengths) -> str:
    return (
        f"A {v['kind']}: its moulded face lies against the old frame's {v['against']} face; its far face is a "
        f"section of its own, {v['sided']:g} mm further"
    )


def _short_lap(v: Mapping[str, Any], _: Lengths) -> str:
    return (
        f"Its {v['which']} lap past point {v['point']} is only {v['room']:.0f} mm, of {v['lap']:.0f} asked for: "
        "there the frame ends"
    )


def _lap(v: Mapping[str, Any], _: Lengths) -> str:
    return f"{v['which'].capitalize()} end: {v['lap']:.0f} mm past point {v['point']}, square"


def _siding_scarf(v: Mapping[str, Any], _: Lengths) -> str:
    return (
        f"{v['which'].capitalize()} scarf {v['ratio']:g}:1 through the siding, {v['length']:.0f} mm long: on the "
        f"{'other' if v['long_here'] else 'measured'} face plane from the line at point {v['point']} down to "
        f"nothing at the end; the long point is on the {'measured' if v['long_here'] else 'other'} face"
    )


def _moulding_scarf(v: Mapping[str, Any], _: Lengths) -> str:
    return (
        f"{v['which'].capitalize()} scarf {v['ratio']:g}:1 through the moulding, {v['length']:.0f} mm long past "
        f"point {v['point']}; its tip lies at the inner edge, so that the old frame's slope can be planed from "
        "inside"
    )


def _floor(v: Mapping[str, Any], _: Lengths) -> str:
    return (
        f"Floor timber: {v['throat']:.0f} mm deep on the centreline above the heels; its arms end at point "
        f"{v['point']}, {v['moulded']:g} mm deep"
    )


def _old_cut(v: Mapping[str, Any], _: Lengths) -> str:
    """Where the old frame is cut for a scarf, on the strip that lies on it."""
    way = "up" if v["which"] == "upper" else "down"
    said = f"Old frame, {v['which']} cut for the {v['ratio']:g}:1 scarf: "
    if v["through"] == "moulding":
        return (
            f"{said}from the planking at point {v['point']} to the inner edge {v['length']:.0f} mm farther {way}, "
            "square to the face"
        )
    here, there = ("other", "this") if v["long_here"] else ("this", "other")
    return (
        f"{said}from the line at point {v['point']} on the {here} face to the line {v['length']:.0f} mm farther "
        f"{way} on the {there} face"
    )


def _joints(v: Mapping[str, Any], _: Lengths) -> str:
    if v["gussets"]:
        return "Joints are mitres from corner to corner, covered by the gussets"
    return "Joints are mitres from corner to corner, to be covered by gussets or doubled as the old ones were"


def _butts(v: Mapping[str, Any], lengths: Lengths) -> str:
    if v["apart"] is None:
        return "Joints are butts, square to the edge, to be covered by doublings as the old ones were"
    return f"Joints are butts, square to the edge; those of the other layer are {lengths(v['apart'])} away or more"


def _run_out(v: Mapping[str, Any], _: Lengths) -> str:
    degrees = round(2.0 * np.degrees(v["angle"])) / 2.0
    if degrees < 1.0:
        return "Grain along the chord: it follows the edge"
    return f"Grain along the chord: it runs out by up to {degrees:g}°, 1 in {1.0 / np.tan(v['angle']):.0f}"


def _rib(v: Mapping[str, Any], lengths: Lengths) -> str:
    bend = (
        f"tightest radius {v['radius']:.0f} mm, {v['run']:.0f} mm from the heel"
        if v["radius"] < np.inf
        else ""
    )
    return f"Rib {lengths(v['length'])} long along its middle, {v['thick']:g} mm thick; {bend or 'it is straight'}"


def _twist(v: Mapping[str, Any], _: Lengths) -> str:
    degrees = round(2.0 * np.degrees(v["angle"])) / 2.0
    return f"Twist from heel to head {abs(degrees):g}°" if degrees else "No twist from heel to head"


def _notches(v: Mapping[str, Any], _: Lengths) -> str:
    return (
        f"Notches as measured on the old frame: {', '.join(v['names'])}; they follow the planking: try each on its "
        "timber"
    )


def _across(v: Mapping[str, Any], lengths: Lengths) -> str:
    return "Across, inside of planking, moulded face: " + ", ".join(
        f"{name} to {name} {lengths(wide)}" for name, wide in v["breadths"]
    )


def _notch(v: Mapping[str, Any], _: Lengths) -> str:
    """Its name, and its breadth and depth as the one who measured reads a rule."""
    if v["notation"].metric:
        return f"{v['timber']}\n{v['along']:.4g} by {v['off']:.4g} mm"
    along, off = (format_length(v[key], Notation.FEET_INCHES) for key in ("along", "off"))
    return f"{v['timber']}\n{along} by {off}"


def _strips_face(v: Mapping[str, Any], _: Lengths) -> str:
    which = "far face of the sister" if v["moulded"] == FAR_FACE else f"{v['face']} face (measured)"
    return f"{which}, {v['side']} side, seen looking {v['look']}"


def _face(v: Mapping[str, Any], lengths: Lengths) -> str:
    if v["moulded"] in ("measured", FAR_FACE):
        return _strips_face(v, lengths)
    return f"{v['face']} face ({v['moulded']}){v['hand']}, seen looking {v['look']}"


WORDS: dict[str, Template] = {
    "wood-moulded": _wood,
    "in-old-frames-place": lambda v, _: (
        "In the old frame's place; its moulded face is the one that was measured"
    ),
    "sister": _sister,
    "ends": lambda v, lengths: ". ".join(said(fact, lengths, WORDS) for fact in v["ends"]),
    "lap-cut-short": _short_lap,
    "lap-end": _lap,
    "scarf-through-siding": _siding_scarf,
    "scarf-through-moulding": _moulding_scarf,
    "no-bevels-known": lambda v, _: (
        "No bevel is known: leave wood on its edge and take the bevels in the boat; this is one face alone"
    ),
    "bevels-blank": lambda v, _: (
        f"No bevel is known of {' and '.join(v['stretches'])}: leave wood on its edge"
    ),
    "no-bevel-known": lambda v, _: "No bevel is known: leave wood on its edge; this is one face alone",
    "floor-arms": _floor,
    "old-frame-cut": _old_cut,
    "rib": _rib,
    "rib-twist": _twist,
    "rib-radius": lambda v, _: f"{v['run']:.0f}" + (f": R {v['radius']:.0f}" if v["radius"] < np.inf else ""),
    "former": lambda v, _: (
        f"Former: bent {100.0 * v['overbend']:g} % more than the rib; wood and steaming differ: bend a trial first"
    ),
    "butted-joints": _butts,
    "grain-run-out": _run_out,
    "mitred-joints": _joints,
    "notches-as-measured": _notches,
    "breadths-inside": _across,
    "shore": lambda v, _: f"{SHORE}; repairs to structure are for a qualified surveyor to judge",
    "strip-no-part": lambda v, _: (
        "No part of the boat: cut it square, hold it in the plane of that face against the planking"
    ),
    "strip-off-by": lambda v, _: (
        "Where it is off by more than a sheet of card, write how much at the tick and measure there again"
    ),
    "strip-shored": lambda v, _: (
        "Try it with the hull shored to her shape, before the old frame comes out and before good wood is cut"
    ),
    # at places
    "measured-notch": _notch,
    "measured-point": lambda v, _: f"{v['point']} {v['corner']}".strip(),
    "scarf": lambda v, _: f"scarf {v['ratio']:g}:1",
    # along lines
    "keep-clear": lambda v, _: f"{v['name']}: do not bore here",
    "old-cut-slope": lambda v, _: f"old frame: scarf {v['ratio']:g}:1",
    "old-cut-face": lambda v, _: f"old frame: cut, {v['face']} face",
    "scarf-begins": lambda v, _: f"scarf {v['ratio']:g}:1 begins",
    # distances
    "from-place-to-place": lambda v, _: f"{v['first']} to {v['last']}",
    "flip-point-to-end": lambda v, _: f"{v['which']} flip point to the {v['end']}",
    # faces
    "moulded-face-seen": _face,
}
