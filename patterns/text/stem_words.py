"""The words for facts of the stem, its parts and the moulds that it is laminated over."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from patterns.text.wood_facts import Lengths, Template

__all__ = ["WORDS", "layer_words"]


def layer_words(layer: int) -> str:
    """Which of the laminations have their scarfs alike: 0 the first and every second one, 1 those between."""
    return "odd laminations" if layer == 0 else "even laminations"


def _scarf(v: Mapping[str, Any], _: Lengths) -> str:
    return "scarf" if v["layers"] == 1 else f"scarf of {layer_words(v['layer'])}"


def _scarf_to_keel(v: Mapping[str, Any], _: Lengths) -> str:
    return (
        f"Scarf to the keel {v['length']:.0f} mm long over {v['depth']:.1f} mm, {v['ratio']:g}:1: the keel runs on "
        f"{v['end'].outward} under it, {v['ratio'] * v['depth']:.0f} mm beyond the length that its own list gives"
    )


def _strips(v: Mapping[str, Any], _: Lengths) -> str:
    return (
        f"{v['count']} strips of {v['thickness']:.4g} mm, {v['broad']:g} mm wide, from {v['inside']:.0f} mm long "
        f"at the mould to {v['outside']:.0f} mm outside, {v['spare']:g} mm spare at both ends among them"
    )


WORDS: Mapping[str, Template] = {
    "moulded face from port": lambda _, __: "port side, seen from port",
    # the whole
    "outer-wood": lambda v, _: (
        f"{v['stock']}, sided {v['thickness']:.1f} mm at its back; added after planking"
    ),
    "outer-back": lambda v, _: (
        f"Its back lands on the planed ends of the planks and the inner {v['end']}'s face"
    ),
    "ahead-of-rabbet": lambda v, _: f"{v['outside']:g} mm of wood {v['end'].outward} of the rabbet line",
    "lands-to-plane": lambda v, _: (
        f"Its {v['end'].outside} is square across; plane the lands from that face back to the bearding line"
    ),
    "no-stem-profile": lambda v, _: (
        f"No {v['end']} profile on the plan: the rabbet runs through the lines' ends; try a template on the boat"
    ),
    "heel-on-keel": lambda v, _: f"Its heel rests on the keel's top for {v['length']:.0f} mm",
    "scarf-to-keel": _scarf_to_keel,
    "wide-land": lambda v, _: (
        f"From height {v['low']:.0f} to {v['high']:.0f} mm the land takes up the whole depth of the piece"
    ),
    "sides-alike": lambda _, __: "Both sides are the same: prick every line through to the other side",
    # its parts
    "scarfs-of-parts": lambda v, _: (
        f"Scarfs {v['ratio']:g}:1, {v['length']:.0f} mm long; at each the upper part lies "
        f"{v['end'].inward.past} the lower"
    ),
    "glue-up": lambda _, __: "Glue the parts up over this pattern: it proves the whole",
    "least-board": lambda v, _: (
        f"Out of a board {v['length']:.0f} x {v['breadth']:.0f} mm at the least, the grain along it"
    ),
    "scarf-of-part": lambda v, _: f"Scarf {v['ratio']:g}:1, {v['length']:.0f} mm long",
    # strips over a mould
    "strips": _strips,
    "strips-bend": lambda v, _: (
        f"They are bent to a radius of {v['radius']:.0f} mm at the least, at height {v['height']:.0f} mm: try one"
    ),
    "mould-edge": lambda _, __: (
        "The edge under the strips alone must be true; allow for what the wood springs back"
    ),
    # at places
    "face-breadth": lambda v, _: f"half breadth of face {v['half_breadth']:.1f} mm",
    "back-siding": lambda v, _: f"half siding at the back {v['half_breadth']:.1f} mm",
    "land": lambda v, _: f"land to {v['end']}'s side",
    "sheer": lambda _, __: "sheer",
    "chine-lands": lambda v, _: str(v["line"]),
    "stem-head": lambda v, _: f"{v['end']}'s head",
    "stem-foot": lambda v, _: f"{v['end']}'s foot",
    "strips-here": lambda _, __: "strips on this edge",
    # lines
    "rabbet-line": lambda _, __: "rabbet line",
    "apex": lambda _, __: "apex",
    "bearding-line": lambda _, __: "bearding line",
    "scarf": _scarf,
    # distances
    "face-chord": lambda _, __: "along the face, sheer to foot",
    "along-scarf": lambda _, __: "along the scarf",
    "end-to-end": lambda _, __: "from end to end",
    "along-strips": lambda _, __: "along the strips",
}
