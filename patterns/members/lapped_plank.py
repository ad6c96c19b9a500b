"""What a clinker plank's flat pattern has besides a strake's: its lands, where its laps lie, its strain."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

import numpy as np

from patterns.boat import Boat
from patterns.hull.hull import Strake
from patterns.hull.planes import station_plane
from patterns.joinery.knee_shapes import xy
from patterns.joinery.lands import PlankLand, lands_at_mould, lands_of, neighbours
from patterns.joinery.strake_flat import FlatStrake
from patterns.text.angles import angle_words
from patterns.text.wood_facts import Lengths, Template
from patterns.wood.facts import Fact
from patterns.wood.features import Note, Scribed

__all__ = [
    "LAND_WORDS",
    "PLANK_WORDS",
    "land_words",
    "mould_facts",
    "plank_facts",
    "plank_lines",
    "plank_notes",
]

QUARTERS = (0.25, 0.5, 0.75)  # of a gain's length, at which its depth is given


def plank_facts(boat: Boat, strake: Strake, flat: FlatStrake) -> Iterator[Fact]:
    """How its shape was laid flat, its laps and gains, and its land at each mould."""
    longer = [laid - true for true, laid in flat.edges]
    yield Fact(
        "expanded-plank", {"strain": max(flat.strain, key=abs), "lower": longer[0], "upper": longer[1]}
    )
    below, above = neighbours(boat.hull, strake)
    if strake.laps is not None and above is not None:
        yield Fact("lapped-by", {"above": above.name, "width": strake.laps.width})
    for lower, upper in ((below, strake), (strake, above)):
        if lower is None or upper is None or lower.laps is None:
            continue
        other = below if upper is strake else above
        for end, long in zip(("fore", "after"), lower.laps.gains, strict=True):
            if other is not None and long > 0.0:
                yield Fact("gain", {"end": end, "long": long, "other": other.name, "thick": upper.planking})
    for land in lands_of(boat, strake):
        yield _fact("land", land)


def mould_facts(boat: Boat, name: str) -> Iterator[Fact]:
    """The land of each lower plank at a mould."""
    for land in lands_at_mould(boat, name):
        yield _fact("land-at-mould", land)


def _fact(kind: str, land: PlankLand) -> Fact:
    return Fact(
        kind,
        {
            "below": land.below,
            "where": land.where,
            "width": land.width,
            "bevel": land.bevel,
            "planed": land.planed,
            "let_in": land.let_in,
            "left": land.left,
        },
    )


def plank_lines(boat: Boat, strake: Strake, flat: FlatStrake) -> Iterator[Scribed]:
    """Where the planks beside it come on it."""
    below, above = neighbours(boat.hull, strake)
    for other, kind in ((above, "land-of"), (below, "edge-under")):
        if other is not None and other.name in flat.landings:
            yield Scribed(fact=Fact(kind, {"plank": other.name}), points=flat.landings[other.name])


def plank_notes(boat: Boat, strake: Strake, flat: FlatStrake) -> Iterator[Note]:
    """The bevel of its land where each mould or frame crosses its upper edge."""
    for land in lands_of(boat, strake):
        line = flat.line_where(station_plane(land.aft).height_over)
        if len(line):
            yield Note(fact=_fact("land-here", land), at=xy(line[-1]), towards=(0.0, 1.0))


def land_words(v: Mapping[str, Any]) -> str:
    """A land in words: what is planed off the lower plank."""
    if v["bevel"] < 0.0:
        gap = v["width"] * np.tan(-v["bevel"])
        words = "no bevel" if gap < 0.1 else f"no bevel; it gapes {gap:.1f} mm at the edge"
    else:
        words = (
            f"bevel {angle_words(v['bevel'])}, {v['planed']:.1f} mm off at the edge, {v['left']:.1f} mm left"
        )
    return words + (f", let in {v['let_in']:.1f} mm" if v["let_in"] >= 0.05 else "")


def _gain_words(v: Mapping[str, Any], lengths: Lengths) -> str:
    quarters = ", ".join(f"{v['thick'] * (1.0 - part * part * (3.0 - 2.0 * part)):.1f}" for part in QUARTERS)
    return (
        f"Gain with {v['other']}: {lengths(v['long'])} long to the {v['end']} end, where both are flush: "
        f"{v['thick']:g} mm let in there, {quarters} mm at 1/4, 1/2 and 3/4 of its length; half from each plank"
    )


def _expanded_words(v: Mapping[str, Any], _: Lengths) -> str:
    words = "An expanded shape, laid flat along its own middle line; check it by spiling on the boat"
    edges = [f"{name} {v[name]:+.1f} mm" for name in ("lower", "upper") if abs(v[name]) >= 0.05]
    if edges:
        words += f". Its edges are longer on the flat than in the boat: {', '.join(edges)}"
    if abs(v["strain"]) >= 5e-5:
        words += f"; greatest strain {100.0 * v['strain']:+.2f} %"
    return words


LAND_WORDS: Mapping[str, Template] = {
    "land-at-mould": lambda v, _: f"Land on {v['below']}: {land_words(v)}",
}

PLANK_WORDS: Mapping[str, Template] = {
    "expanded-plank": _expanded_words,
    "lapped-by": lambda v, _: f"{v['above']} laps {v['width']:g} mm over its upper edge",
    "gain": _gain_words,
    "land": lambda v, _: f"Land at {v['where']}: {land_words(v)}",
    "land-here": lambda v, _: f"{v['where']}: {land_words(v)}",
    "land-of": lambda v, _: f"land for {v['plank']}, outside",
    "edge-under": lambda v, _: f"edge of {v['plank']}",
}
