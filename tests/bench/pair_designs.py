"""Designs with every combination of two choices that the design file allows, on boats of three kinds of hull.

A choice is one value of one key, or one more member; what another choice made needless stays in the design, as a
builder would leave it, and must then be refused with a message.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from itertools import combinations
from pathlib import Path
from typing import Any

import numpy as np

from tests.patterns.filled_starters import filled_starter

__all__ = ["HULLS", "Choice", "base_of", "choices", "drawn", "pairs", "write_pair"]

HULLS = ("hard chine", "several chines", "round bilge")
Design = dict[str, Any]


@dataclass(frozen=True, kw_only=True)
class Choice:
    """One value of a factor, or one more member.

    Attributes:
        factor, level: what it is; two of one factor are never chosen together.
        entries: tables that are added, by the name of their table; a single table takes the place of what is there.
        keys: what is changed: the table, which of its entries (a key with its value; None for all), the keys.
        chines: whether it needs a boat with a chine.
    """

    factor: str
    level: str
    entries: tuple[tuple[str, Mapping[str, Any]], ...] = ()
    keys: tuple[tuple[str, tuple[str, Any] | None, Mapping[str, Any]], ...] = field(default=())
    chines: bool = False

    @property
    def name(self) -> str:
        """E.g. ``frame pieces: bottom across``."""
        return f"{self.factor}: {self.level}"

    def apply(self, design: Design) -> None:
        """Change a design."""
        for table, which, keys in self.keys:
            found = design.get(table, [])
            for entry in found if isinstance(found, list) else [found]:
                if which is None or entry.get(which[0]) == which[1]:
                    entry.update(keys)
                    for key in [key for key, value in keys.items() if value is None]:
                        del entry[key]
        for table, entry in self.entries:
            if table in SINGLE:
                design[table] = dict(entry)
            else:
                design.setdefault(table, []).append(dict(entry))


SINGLE = ("deck", "doubler", "breasthook", "set_up", "marks", "limits", "hydrostatics")
STEM, STERN, FRAME = ("at", "bow"), ("at", "stern"), None
PLY: Mapping[str, Any] = {"stock": "18 mm plywood"}
FIR: Mapping[str, Any] = {"stock": "fir"}
IN_PIECES = {"joint": "butt", "through": "lower"}


def _sets(
    factor: str, table: str, which: tuple[str, Any] | None, **levels: Mapping[str, Any]
) -> Iterator[Choice]:
    """A choice for each level, which sets keys of entries."""
    for level, keys in levels.items():
        yield Choice(factor=factor, level=level.replace("_", " "), keys=((table, which, keys),))


def _adds(
    factor: str, table: str, shared: Mapping[str, Any], *, chines: bool = False, **levels: Mapping[str, Any]
) -> Iterator[Choice]:
    """A choice for each level, which adds an entry."""
    for level, keys in levels.items():
        entry = {**shared, **keys}
        yield Choice(factor=factor, level=level.replace("_", " "), entries=((table, entry),), chines=chines)


def choices(hull: str) -> tuple[Choice, ...]:
    """Every choice on a kind of hull."""
    several, round_one = hull == "several chines", hull == "round bilge"
    chine = "chine 1" if several else "chine"
    side = "hull" if round_one else "side"
    low = "hull" if round_one else "bottom"
    frame = "7" if round_one else "2"
    found = [
        *_of_stem(),
        *_of_stern(),
        *_of_frame(frame),
        *_of_deck(frame),
        *_of_timbers(chine, side, low, round_one),
    ]
    found += [*_of_knees(), *_of_rest(frame, low)]
    return tuple(choice for choice in found if not (round_one and choice.chines))


def _of_stem() -> Iterator[Choice]:
    yield from _sets(
        "stem", "end", STEM,
        rabbeted={"construction": "rabbeted"},
        heel={"joint": "heel on the keel"},
        scarf={"joint": "scarf", "scarf_ratio": "6:1"},
        sawn_in_two={"scarfs": ["300 mm"], "scarf_ratio": "6:1"},
        strips={"strips": "4 mm", "outer_strips": "5 mm", "laminations": 1},
        far_foot={"foot": "1000 mm"},
        near_foot={"foot": "450 mm"},
        deep={"moulded": "160 mm"},
        no_profile={"profile": None},
    )  # fmt: skip


def _of_stern() -> Iterator[Choice]:
    ring = {"framing": "20 mm", "framing_moulded": "70 mm", "framing_stock": "fir"}
    yield from _sets(
        "transom", "end", STERN,
        bare={"framing": None, "framing_moulded": None, "framing_stock": None, "centre_post": None},
        ring=ring,
        butt={**ring, "centre_post": "90 mm", "framing_joints": "butt"},
        half_lap={**ring, "centre_post": "90 mm", "framing_joints": "half lap"},
        dowels={**ring, "dowel": "6 mm", "dowel_spacing": "200 mm", "dowel_edge": "18 mm"},
    )  # fmt: skip
    plank = {"breadth": "300 mm", "depth": "220 mm", "thickness": "20 mm", **FIR}
    yield from _adds("doubler", "doubler", plank, plain={})
    yield from _adds(
        "cut-out", "cut_out", {"name": "engine", "breadth": "240 mm", "depth": "90 mm"},
        open={"corner_radius": "30 mm"}, below={"below": "60 mm"},
    )  # fmt: skip


def _of_frame(frame: str) -> Iterator[Choice]:
    it = ("name", frame)
    yield from _sets(
        "frame", "frame", it,
        halves={"pieces": "bottom in halves", **IN_PIECES},
        across={"pieces": "bottom across", "joint": "mitre"},
        lapped={"pieces": "bottom across", "joint": "half lap", "through": "lower"},
        on_floor={"pieces": "no bottom piece", **IN_PIECES},
        raked={"rake": "8 deg"},
        canted={"cant": "10 deg"},
    )  # fmt: skip
    yield from _sets("frame top", "frame", it, deep={"top_piece": "110 mm"}, shallow={"top_piece": "40 mm"})
    yield from _sets(
        "frame edge", "frame", it, straight={"inner_edge": "straight"}, round={"inner_radius": "60 mm"}
    )
    yield from _sets("limbers", "frame", it, keel={"limber_holes": "20 mm", "limber_at": ["keel"]})
    yield from _sets("siding", "frame", it, thin={"sided": "9 mm"}, thick={"sided": "45 mm"})
    gusset = {
        "frames": [frame],
        "thickness": "6 mm",
        "stock": "6 mm ply",
        "arm": "150 mm",
        "inner": "straight",
    }
    yield from _adds(
        "gusset", "gusset", {**gusset, "station_line": "frame"},
        both={"faces": "both"}, after={"faces": "after", "inner": "along the frame"},
        centre={"faces": "forward", "centre_arm": "150 mm"},
    )  # fmt: skip
    floor = {"name": "F", "sided": "25 mm", "moulded": "120 mm", **FIR}
    yield from _adds(
        "floor", "floor", floor,
        short={"frame": frame, "face": "after", "arm": "180 mm", "top": "curved", "toe": "40 mm"},
        level={"frame": frame, "face": "forward", "arm": "150 mm", "top": "level"},
        up={"frame": frame, "face": "after", "up_to": "420 mm", "toe": "45 mm"},
        alone={"at": "2600 mm", "arm": "200 mm", "top": "curved", "toe": "40 mm"},
    )  # fmt: skip
    another = {"name": "X", "sided": "18 mm", "moulded_side": "70 mm", "moulded_bottom": "90 mm", **PLY}
    yield from _adds(
        "another frame", "frame", another,
        apart={"at": "2500 mm"}, near={"at": "2130 mm", "rake": "12 deg"}, forward={"at": "560 mm"},
        canted={"at": "1000 mm", "cant": "8 deg"},
    )  # fmt: skip


def _of_deck(frame: str) -> Iterator[Choice]:
    yield from _adds(
        "deck", "deck", {},
        none={"kind": "none"}, flat={"thickness": "6 mm", "crown": "0"}, high={"thickness": "9 mm", "rise": "0.1"},
        crowned={"thickness": "6 mm", "crown": "50 mm"},
    )  # fmt: skip
    yield from _sets(
        "sheer", "table", None, top={"sheer_to": "top of deck"}, planking={"sheer_to": "top of planking"},
        underside={"sheer_to": "underside of deck"},
    )  # fmt: skip
    beams = [
        {"name": name, "at": at, "sided": "20 mm", "moulded": "70 mm", "ends": "at the clamp", **FIR}
        for name, at in (("fore", "1000 mm"), ("aft", "1500 mm"))
    ]
    both = tuple(("beam", beam) for beam in beams)
    carling = {"name": "carling", "between": ["fore", "aft"], "half_breadth": "250 mm", "sided": "22 mm",
               "moulded": "60 mm", **FIR}  # fmt: skip
    more: dict[str, tuple[tuple[str, Mapping[str, Any]], ...]] = {
        "two beams": (),
        "carling": (("carling", carling),),
        "butted carling": (("carling", {**carling, "ends": "butted"}),),
        "half beam": (
            ("carling", carling),
            ("beam", {"name": "half", "at": "1250 mm", "from_carling": "carling", "sided": "20 mm",
                      "moulded": "40 mm", "ends": "at the clamp", **FIR}),
        ),
        "king plank": (
            ("king_plank", {"between": ["fore", "aft"], "sided": "90 mm", "moulded": "25 mm", **FIR}),
        ),
        "support": (
            ("support", {"name": "prop", "between": ["fore", "aft"], "half_breadth": "200 mm",
                         "heights": ["600 mm", "590 mm"], "sided": "20 mm", "moulded": "40 mm", **FIR}),
        ),
        "carling to a frame": (
            ("carling", {**carling, "name": "long", "between": ["aft", f"frame {frame}"]}),
        ),
        "carling to the transom": (
            ("carling", {**carling, "name": "side", "between": ["aft", "transom"]}),
        ),
        "notched in a gusset": (
            ("carling", {**carling, "name": "side", "between": ["aft", f"frame {frame}"],
                         "ends": ["half lapped", "notched"], "half_breadth": ["450 mm", "560 mm"]}),
        ),
        "strongback": (
            ("king_plank", {"between": ["breasthook", "aft"], "ends": "housed",
                            "end_depth": ["40 mm", "8 mm"], "sided": "60 mm", "moulded": "22 mm", **FIR}),
        ),
        "housed support": (
            ("support", {"name": "prop", "between": ["fore", "aft"], "half_breadth": "200 mm",
                         "ends": "housed", "end_depth": "8 mm", "sided": "20 mm", "moulded": "40 mm", **FIR}),
        ),
        "hanging knee": (
            ("knee", {"kind": "hanging knee", "under": "aft", "along_beam": "200 mm", "down_side": "200 mm",
                      "throat": "80 mm", "toe": "30 mm", "sided": "18 mm", **PLY}),
        ),
    }  # fmt: skip
    for level, entries in more.items():
        yield Choice(factor="deck timbers", level=level, entries=(*both, *entries))
    panel = {"name": "panel", "sided": "18 mm", **PLY}
    across = {"lies": "athwartships", "at": "2300 mm"}
    yield from _adds(
        "panel", "panel", panel,
        bulkhead=across, half={**across, "inner": "200 mm", "top": "550 mm"}, raked={**across, "rake": "8 deg"},
        beside={**across, "at": f"aft of frame {frame}"},
        thwart={"lies": "level", "height": "430 mm", "between": [f"frame {frame}", "transom"]},
        seat={"lies": "level", "height": "430 mm", "inner": "250 mm", "between": [f"frame {frame}", "transom"]},
        front={"lies": "fore and aft", "half_breadth": "250 mm", "top": "420 mm",
               "between": [f"frame {frame}", "transom"]},
        side={"lies": "fore and aft", "half_breadth": ["150 mm", "200 mm"],
              "between": [f"frame {frame}", "transom"]},
    )  # fmt: skip
    beam = {"name": "B", "sided": "20 mm", "moulded": "70 mm", **FIR}
    yield from _adds(
        "beam", "beam", beam,
        beside={"at": f"aft of frame {frame}", "ends": "at the clamp"},
        before={"at": f"forward of frame {frame}", "ends": "to the planking"},
        into={"at": "2300 mm", "ends": "into the clamp", "end_depth": "8 mm"},
        over={"at": "2300 mm", "ends": "over the clamp", "end_depth": "15 mm"},
        raked={"at": "2300 mm", "ends": "at the clamp", "rake": "12 deg", "siding_runs": "aft"},
        thwart={"at": "2300 mm", "ends": "to the planking", "top": "400 mm", "bottom": "380 mm", "moulded": None},
    )  # fmt: skip


def _of_timbers(chine: str, side: str, low: str, round_one: bool) -> Iterator[Choice]:
    keel = ("kind", "keel")
    yield from _sets(
        "keel", "timber", keel, wide={"sided": "140 mm"}, narrow={"sided": "36 mm"}, deep={"moulded": "70 mm"},
        shallow={"moulded": "12 mm", "laminations": 1},
    )  # fmt: skip
    clamp = ("kind", "clamp")
    yield from _sets(
        "clamp", "timber", clamp, tall={"along": "150 mm"}, thick={"off": "45 mm"}, slight={"off": "6 mm"},
        whisker={"off": "0.01 mm"},
    )  # fmt: skip
    strip = {"name": "strip", "follows": "sheer", "against": side, "off": "18 mm", "along": "35 mm"}
    yield from _adds(
        "strip", "timber", strip,
        stringer={"kind": "stringer", "part": 0.5}, near_clamp={"kind": "stringer", "distance": "60 mm"},
        deep={"kind": "stringer", "part": 0.4, "off": "64 mm"},
        batten={"kind": "batten", "follows": "keel", "against": low, "part": 0.5, "from": "1300 mm"},
        rail={"kind": "rubbing rail", "below": "10 mm"},
        ribband={"kind": "ribband", "part": 0.3, "inset": "10 mm"},
    )  # fmt: skip
    if not round_one:
        log = ("follows", chine)
        yield from _sets(
            "log", "timber", log, thick={"off": "40 mm"}, wide={"along": "90 mm"}, bottom={"against": low}
        )
        yield from _sets(
            "sections", "strake", None, bent={"sections": "developable"}, straight={"sections": "straight"}
        )
    yield from _sets("planking", "strake", None, thick={"planking": "25 mm"}, thin={"planking": "3 mm"})


def _of_knees() -> Iterator[Choice]:
    sizes = {"throat": "100 mm", "toe": "30 mm", "sided": "36 mm", **PLY}
    yield from _adds(
        "quarter knee", "knee",
        {"kind": "quarter knee", "along_clamp": "220 mm", "along_transom": "200 mm", **sizes},
        under={}, level={"lies": "level"},
    )  # fmt: skip
    yield from _adds(
        "stem knee", "knee", {"kind": "stem knee", "along_keel": "250 mm", "up_stem": "200 mm", **sizes},
        plain={}, bolted={"bolts_keel": ["90 mm"], "bolts_stem": ["90 mm"]}, wide={"sided": "90 mm"},
    )  # fmt: skip
    hook = {"length": "320 mm", "throat": "120 mm", "toe": "40 mm", "sided": "36 mm", "laminations": 2, **PLY}
    yield from _adds(
        "breasthook", "breasthook", hook,
        crowned={"top": "crowned"}, notched={"stem": "notched"}, each={"each_lamination": True},
        long={"length": "900 mm"},
    )  # fmt: skip


def _of_rest(frame: str, low: str) -> Iterator[Choice]:
    step = {"at": "1400 mm", "length": "200 mm", "height": "50 mm", "mortise_length": "60 mm",
            "mortise_breadth": "40 mm", "sided": "100 mm", **FIR}  # fmt: skip
    yield from _adds(
        "mast step", "mast_step", step, plain={}, blind={"mortise_depth": "30 mm"},
        at_frame={"at": f"station {frame}"},
    )  # fmt: skip
    mould = {"name": "M", "at": "3000 mm", "sided": "18 mm", "moulded": "80 mm", **PLY}
    yield from _adds(
        "mould", "mould", mould, plain={}, let_in={"lets_in": ["clamp"], "legs": "80 mm"},
        ribbands={"ribbands": "15 mm"},
    )  # fmt: skip
    yield from _adds(
        "strake pattern", "strake_pattern", {"strake": low, "stock": "ply", "trim": "10 mm"}, chines=True,
        plain={}, scarfed={"sheets": ["2440 mm", "2440 mm"], "scarf_ratio": "8:1"},
    )  # fmt: skip
    yield from _adds("limits", "limits", {}, wood={"wood_left": "30 mm"}, holes={"edge_distance": "12 mm"})


def pairs(hull: str) -> list[tuple[Choice, Choice]]:
    """Every two choices of different factors on a kind of hull."""
    return [(a, b) for a, b in combinations(choices(hull), 2) if a.factor != b.factor]


def base_of(hull: str, folder: Path) -> Path:
    """A folder with the boat that the choices are made on."""
    return filled_starter(folder, hull, metric=True)


def write_pair(base: Path, folder: Path, pair: tuple[Choice, ...]) -> Path:
    """The base with some choices made."""
    folder.mkdir(parents=True, exist_ok=True)
    for path in base.glob("*.csv"):
        (folder / path.name).write_bytes(path.read_bytes())
    design = tomllib.loads((base / "design.toml").read_text(encoding="utf-8"))
    for choice in pair:
        choice.apply(design)
    (folder / "design.toml").write_text(written(design), encoding="utf-8")
    return folder


def written(design: Design) -> str:
    """A design as text; strings are written with double quotes."""
    found = []
    for table, value in design.items():
        for entry in value if isinstance(value, list) else [value]:
            head = f"[[{table}]]" if isinstance(value, list) else f"[{table}]"
            found += [head, *(f"{key} = {_value(item)}" for key, item in entry.items() if item is not None)]
    return "\n".join(found) + "\n"


def _value(item: Any) -> str:
    if isinstance(item, bool):
        return str(item).lower()
    if isinstance(item, str):
        return '"' + item.replace("\\", "\\\\").replace('"', '\\"') + '"'
    if isinstance(item, list):
        return f"[{', '.join(_value(each) for each in item)}]"
    if isinstance(item, dict):
        return "{ " + ", ".join(f"{key} = {_value(each)}" for key, each in item.items()) + " }"
    return str(item)


def drawn(seed: int, count: int) -> list[tuple[str, tuple[Choice, Choice]]]:
    """So many pairs by chance, over all hulls in turn."""
    rng = np.random.default_rng(seed)
    every = {hull: pairs(hull) for hull in HULLS}
    order = {hull: rng.permutation(len(found)) for hull, found in every.items()}
    return [
        (hull, every[hull][int(order[hull][i // len(HULLS) % len(every[hull])])])
        for i in range(count)
        for hull in (HULLS[i % len(HULLS)],)
    ]
