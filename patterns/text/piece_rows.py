"""The rows of cards for facts of single kinds of member: what is a sentence elsewhere is label and figure here."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from math import ceil, isfinite
from typing import Any, TypeAlias

from patterns.text.angles import angle_words, half_degrees
from patterns.text.wood_facts import Lengths
from patterns.timbers.faying import FAYS

__all__ = ["FLAT", "PIECE_ROWS", "Row", "Rows"]

Row: TypeAlias = tuple[str, str]
"""A label and words."""

Rows: TypeAlias = Callable[[Mapping[str, Any], Lengths], list[Row]]

SPOKEN = 0.05  # mm; less is none
FLAT = 100_000.0  # mm; a greater radius is straight


def _bend(v: Mapping[str, Any], _: Lengths) -> list[Row]:
    if "way" not in v:  # a strake's
        if v["radius"] is None:
            return [("Bend", "none")]
        return [
            ("Bend", f"radius {v['radius']:.0f} mm, {v['aft']:.0f} mm aft"),
            ("Bend", "first try a piece of the same plywood round it"),
        ]
    if v["radius"] > FLAT:
        return [(f"Bend, {v['way']}", "none")]
    return [
        (f"Bend, {v['way']}", f"radius {v['radius'] / 1000.0:.1f} m, {v['at']:.0f} mm from the after end")
    ]


def _unfayed(v: Mapping[str, Any], _: Lengths) -> list[Row]:
    stretch = v["stretch"]
    planed = f"up to {stretch.planed:.1f} mm off its edge" if stretch.planed > FAYS else "its edge is fitted"
    where = f"{stretch.start:.0f} to {stretch.end:.0f} mm from the after end"
    return [("Plane", f"{planed}, {where}"), ("Plane", f"it does not lie on the {v['on']} there")]


def _sheets(v: Mapping[str, Any], _: Lengths) -> list[Row]:
    lengths = ", ".join(f"{sheet:g}" for sheet in v["sheets"])
    return [
        ("Sheets", f"{lengths} mm long, from forward aft"),
        ("Scarfs", f"{v['ratio']:g}:1, {v['scarf']:.0f} mm long"),
    ]


def _covers(v: Mapping[str, Any], _: Lengths) -> list[Row]:
    where = [f"forward of {v['from']:.0f} mm aft"] * isfinite(v["from"])
    where += [f"aft of {v['to']:.0f} mm"] * isfinite(v["to"])
    butted = [("Lap", f"{' and '.join(where)} both are butted at the line")] if where else []
    return [("Lap", f"{v['over']} covers the edge of {v['under']}"), *butted]


def _strips(v: Mapping[str, Any], _: Lengths) -> list[Row]:
    return [
        ("Strips", f"{v['count']} of {v['thickness']:.4g} mm, {v['broad']:g} mm wide"),
        ("Strips", f"{v['inside']:.0f} mm long at the mould to {v['outside']:.0f} mm outside"),
        ("Strips", f"of that {v['spare']:g} mm are spare at both ends"),
    ]


def _mould_legs(v: Mapping[str, Any], lengths: Lengths) -> list[Row]:
    rows = [
        ("Legs", f"2 of {v['stock']}, {v['wide']:g} x {v['sided']:g} mm, {v['long']:.1f} mm long"),
        ("Legs", f"plumb on the other face, outer edges {lengths(v['out'])} from the centreline"),
        ("Legs", f"lapped {v['lap']:g} mm on the mould, heads {lengths(v['over'])} from the set-up line"),
    ]
    if v["across"] is not None:
        rows.append(("Across ends", f"{v['across']:g} x {v['sided']:g} mm, {2.0 * v['out']:.1f} mm long"))
    return rows


def _lining(v: Mapping[str, Any], lengths: Lengths) -> list[Row]:
    rows = [("Lining off", f"girth {lengths(v['girth'])}, rabbet to sheer, over the planking")]
    if v["widths"] is not None:
        widths = ", ".join(f"{width:.0f}" for width in v["widths"].values())
        rows.append(("Lining off", f"planks {min(v['widths'])} to {max(v['widths'])}: {widths} mm wide"))
    return [*rows, ("Lining off", "each tick is a plank's upper edge")]


def _mortise(v: Mapping[str, Any], _: Lengths) -> list[Row]:
    depth = f"{v['depth']:g} mm deep" if v["depth"] is not None else "through to the keel"
    return [
        ("Mortise", f"{v['length']:g} mm fore and aft, {v['breadth']:g} mm athwartships, {depth}"),
        ("Mortise", "in the middle of the top, its sides square to it"),
    ]


def _toes(v: Mapping[str, Any], _: Lengths) -> list[Row]:
    return [
        ("Toes", f"{v['this']:.0f} mm on this face, {v['other']:.0f} mm on the other"),
        ("Inner edge", "square"),
    ]


def _quarter_arms(v: Mapping[str, Any], _: Lengths) -> list[Row]:
    return [
        ("Arms", f"{v['clamp']:g} mm along the clamp, {v['transom']:g} mm along the transom"),
        ("Between arms", angle_words(v["angle"])),
    ]


def _hanging_arms(v: Mapping[str, Any], _: Lengths) -> list[Row]:
    return [
        ("Arms", f"{v['beam']:g} mm under the beam, {v['side']:g} mm down the side"),
        ("Between arms", angle_words(v["angle"])),
    ]


def _length(v: Mapping[str, Any], lengths: Lengths) -> list[Row]:
    off = [
        ("Top", f"up to {v[way]:.1f} mm {way} a straight line")
        for way in ("above", "below")
        if v[way] >= SPOKEN
    ]
    return [("Length", f"{lengths(v['length'])} over all, {v['along']:.0f} mm along its top"), *off]


def _quarter_top(v: Mapping[str, Any], _: Lengths) -> list[Row]:
    out, aft = half_degrees(v["out"]), half_degrees(v["aft"])
    gap = [("Deck", f"up to {v['gap']:.1f} mm above it")] if v["gap"] >= SPOKEN else []
    if not out and not aft:
        return [("Top", "level"), *gap]
    return [
        ("Top", f"{abs(out):g}° {'up' if out > 0 else 'down'} going outboard along the transom"),
        ("Top", f"{abs(aft):g}° {'up' if aft > 0 else 'down'} going aft, square to that"),
        *gap,
    ]


def _top_and_deck(v: Mapping[str, Any], _: Lengths) -> list[Row]:
    if v["flat"]:
        meets = v["under"] < SPOKEN
        gap = "meets the deck's underside" if meets else f"deck up to {v['under']:.1f} mm above it: pack that"
        return [("Top", f"flat, {gap}")]
    if v["crown"] >= v["under"]:
        return [("Top", "lies whole under the crown that is planed above it")]
    off = v["under"] - v["crown"]
    return [("Top", f"planed to the deck's crown when it is glued: up to {off:.1f} mm comes off, as marked")]


PIECE_ROWS: Mapping[str, Rows] = {
    "length": _length,
    "quarter-knee-top": _quarter_top,
    "top-and-deck": _top_and_deck,
    "top-slopes": lambda v, _: [
        ("Top", f"a plane, {angle_words(v['up'])} {'up' if v['up'] > 0 else 'down'} going {v['going']}")
    ],
    "lands-to-plane": lambda v, _: [
        ("Lands", f"planed from its {v['end'].outside}, which is square across, back to the bearding line")
    ],
    "outer-back": lambda v, _: [
        ("Back", f"on the planed ends of the planks and the inner {v['end']}'s face")
    ],
    "panel-lapped-by-planking": lambda _, __: [("Edges", "lapped by the planking; no timber passes through")],
    "framing-against-the-panel": lambda v, _: [
        ("Place", f"{v['end'].outside} against the inside of the panel")
    ],
    "doubler-against-the-panel": lambda v, _: [
        ("Place", f"{v['end'].outside} against the inside of the panel, between the framing's pieces")
    ],
    "mould-face": lambda v, lengths: [
        ("Moulded face", f"the {v['face']} one"),
        ("Station", f"{lengths(v['aft'])} aft"),
    ],
    "saw-then-bevel": lambda _, __: [("Bevel", "after all laminations are sawn to the saw line and glued")],
    "lies-on-face": lambda v, _: [("Place", f"{v['side']} face of frame {v['frame']}")],
    "joint-end": lambda v, _: [(f"At {v['joint']}", f"its own end; no {v['mate']} piece is made")],
    "joint-through": lambda v, _: [(f"At {v['joint']}", "this piece runs through")],
    "joint-lap": lambda v, _: [
        (f"At {v['joint']}", f"half lap, {v['face']} face cut away {v['depth']:g} mm deep")
    ],
    "joint-mitre": lambda v, _: [(f"At {v['joint']}", "mitre")],
    "sides-alike": lambda _, __: [("Other side", "the same: prick every line through")],
    "strips": _strips,
    "strips-bend": lambda v, _: [
        ("Bend", f"radius {v['radius']:.0f} mm at the least, at height {v['height']:.0f} mm: try one")
    ],
    "mould-edge": lambda _, __: [
        ("True edge", "the one under the strips alone; allow for what the wood springs back")
    ],
    "keel-knee-arms": lambda v, _: [
        ("Arms", f"{v['along']:g} mm along the keel, {v['up']:g} mm up the {v['on']}")
    ],
    "fits-the-clamps": lambda _, __: [("Fits", "the clamps' inner faces")],
    "fits-the-planking": lambda _, __: [("Fits", "the inside of planking")],
    "toes": _toes,
    "mortise-size": _mortise,
    "its-middle": lambda v, lengths: [("Middle", f"{lengths(v['aft'].mm)} aft"), ("Edges", "square")],
    "faces-square-to-base": lambda _, __: [("Ends", "fore and after faces square to base"), ("Top", "level")],
    "end-corner": lambda v, _: [("Corner", f"{v['face']} face and underside {angle_words(v['angle'])}")],
    "underside-hollow": lambda v, _: [
        (
            "Underside",
            f"{'hollow' if v['hollow'] > 0.0 else 'round'} by {abs(v['hollow']):.1f} mm between its ends",
        )
    ],
    "shape-only": lambda _, __: [
        ("Shape only", "size and fastenings are for the plans and a qualified designer")
    ],
    "ends-lie": lambda v, _: [
        ("Ends", str(v["where"]) + (f", {v['depth']:g} mm" if v["depth"] is not None else ""))
    ],
    "port-one-is-mirror": lambda _, __: [("Other hand", "the mirror: its top is bevelled the other way")],
    "top-above-line": lambda v, _: [
        ("Top", f"saw it {v['above']:.1f} mm above the line, plane it to the crown, higher in the middle")
    ],
    "quarter-knee-arms": _quarter_arms,
    "hanging-knee-arms": _hanging_arms,
    "square-inner-edge": lambda _, __: [
        ("Inner edge", "square, and so are the toes"),
        ("Throat, toes", "the least of all its faces"),
    ],
    "inside-is-traced": lambda _, __: [("Trace", "on the inside face; for port turn the pattern over")],
    "bend": _bend,
    "covers": _covers,
    "trim": lambda v, _: [("Trim", f"{v['left']:g} mm all round, on the boat" if v["left"] else "nothing")],
    "as-sawn": lambda v, _: [("As sawn", f"{v['long']:.0f} mm along its grain, {v['broad']:.0f} mm wide")],
    "sheets": _sheets,
    "offer-up": lambda _, __: [("Offer up", "in hardboard or card before the good sheet is cut")],
    "true-length": lambda v, lengths: [
        ("Length", f"{lengths(v['length'])}, longest corner to longest corner")
    ],
    "stick-before-bevelling": lambda v, _: [
        ("Stick", f"up to {ceil(v['wide'])} mm wide before bevelling, {v['at']:.0f} mm from the after end")
    ],
    "unfayed": _unfayed,
    "sheer-to-sheer": lambda v, lengths: [
        ("Breadth", f"{lengths(v['breadth'])}, sheer to sheer, both halves")
    ],
    "lining-off": _lining,
    "mould-legs": _mould_legs,
    "heel-on-keel": lambda v, _: [("Heel", f"on the keel's top for {v['length']:.0f} mm")],
    "cut-out": lambda v, _: [
        ("Cut-out", f"for the {v['name']}: {v['breadth']:g} mm wide, {v['depth']:g} mm deep, square through")
    ],
}
