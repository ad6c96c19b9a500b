"""The design file's tables, each checked by itself and named as its writer named it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

from pydantic import BaseModel, ValidationError

from patterns.design.clinker_models import ClinkerSpec
from patterns.design.cross_plank_models import CrossPlanksSpec
from patterns.design.entries import Parts
from patterns.design.hydrostatics_models import HydrostaticsSpec
from patterns.design.kinds import member_tables
from patterns.design.limits_models import LimitsSpec
from patterns.design.lining_models import LiningSpec
from patterns.design.models import (
    BoatSpec,
    DeckSpec,
    FairingSpec,
    LineSpec,
    MarksSpec,
    StemEnd,
    StrakeSpec,
    TableSpec,
    TransomEnd,
)
from patterns.design.quantities import shown
from patterns.design.rack_models import StockSpec
from patterns.design.repair_models import (
    EdgeSpec,
    NailSpec,
    NeighbourSpec,
    PieceSpec,
    RepairSpec,
    StraightEdgeSpec,
)
from patterns.design.repair_work_models import KeepClearSpec, NotchSpec, RepairGussetSpec
from patterns.design.round_models import ButtockSpec, DiagonalSpec, WaterlineSpec
from patterns.design.set_up_models import SetUpSpec
from patterns.design.strip_models import StripsSpec
from patterns.design.toml_file import DESIGN_FILE, read_toml
from patterns.design.words import problems_of
from patterns.errors import Problem
from patterns.measure.nearest import nearest, written

__all__ = [
    "DESIGN_FILE",
    "REPAIR_TABLES",
    "Parts",
    "TableKind",
    "entry_label",
    "parts_of",
    "read_toml",
    "tables",
]

MOST_ENTRIES = 500  # of one kind; no boat needs more (common practice, no source)


@dataclass(frozen=True, slots=True, kw_only=True)
class TableKind:
    """One kind of table in the file.

    Attributes:
        models: what an entry may be, by the value of ``told_by``; one model under "" where it is one thing.
        told_by: the key that tells which; empty where there is one model.
        many: written ``[[frame]]`` and as often as wanted, not ``[deck]``.
        member: its entries are found again by ``Design.all`` and nowhere else: pieces that one member's file makes.
        needed: why the file cannot do without it; empty where it can.
    """

    models: Mapping[str, type[BaseModel]]
    told_by: str = ""
    many: bool = False
    member: bool = False
    needed: str = ""


# The tables of the boat herself, before those of her members.
BOAT_TABLES: Mapping[str, TableKind] = {
    "boat": TableKind(models={"": BoatSpec}, needed="say the boat's name there"),
    "table": TableKind(
        models={"": TableSpec}, needed="say there which file the table is and what it is given to"
    ),
    "fairing": TableKind(models={"": FairingSpec}),
    "line": TableKind(
        models={"": LineSpec}, many=True, needed="name the lines there from the centreline up, the keel first"
    ),
    "end": TableKind(
        models={"stem": StemEnd, "transom": TransomEnd},
        told_by="kind",
        many=True,
        needed='it says what is at the bow and at the stern (at = "bow", at = "stern")',
    ),
    "strake": TableKind(
        models={"": StrakeSpec}, many=True, needed="say there what planking lies between which lines"
    ),
    "deck": TableKind(
        models={"": DeckSpec}, needed='give its thickness and crown (or rise), or say kind = "none"'
    ),
}

# Those that stand after her members: further rows of her table, and what concerns the whole design.
LAST_TABLES: Mapping[str, TableKind] = {
    "clinker": TableKind(models={"": ClinkerSpec}, member=True),
    "lining": TableKind(models={"": LiningSpec}, member=True),
    "strips": TableKind(models={"": StripsSpec}, member=True),
    "cross_planks": TableKind(models={"": CrossPlanksSpec}, member=True),
    "waterline": TableKind(models={"": WaterlineSpec}, many=True, member=True),
    "buttock": TableKind(models={"": ButtockSpec}, many=True, member=True),
    "diagonal": TableKind(models={"": DiagonalSpec}, many=True, member=True),
    "hydrostatics": TableKind(models={"": HydrostaticsSpec}, member=True),
    "limits": TableKind(models={"": LimitsSpec}, member=True),
    "set_up": TableKind(models={"": SetUpSpec}, member=True),
    "stock": TableKind(models={"": StockSpec}, many=True, member=True),
    "marks": TableKind(models={"": MarksSpec}),
}


@cache
def tables() -> Mapping[str, TableKind]:
    """Every table that a boat's design file may have: the boat's own and those of each kind of member."""
    found = dict(BOAT_TABLES)
    for table in member_tables():
        told_by = "kind" if table.kinds else ""
        kind = found.get(table.name) or TableKind(models={}, told_by=told_by, many=table.many, member=True)
        models = dict.fromkeys(table.kinds or ("",), table.model)
        found[table.name] = replace(kind, models={**kind.models, **models})
    return {**found, **LAST_TABLES}


# A folder whose design has a table [repair] holds one frame measured in the boat, and no table of offsets.
REPAIR_TABLES: Mapping[str, TableKind] = {
    "boat": BOAT_TABLES["boat"],
    "repair": TableKind(
        models={"": RepairSpec}, needed="say there which frame it is and how it was measured"
    ),
    "nail": TableKind(models={"": NailSpec}, many=True),
    "straight_edge": TableKind(models={"": StraightEdgeSpec}, many=True),
    "edge": TableKind(models={"": EdgeSpec}, many=True),
    "neighbour": TableKind(models={"": NeighbourSpec}, many=True),
    "piece": TableKind(models={"": PieceSpec}, many=True),
    "notch": TableKind(models={"": NotchSpec}, many=True),
    "gusset": TableKind(models={"": RepairGussetSpec}, many=True),
    "keep_clear": TableKind(models={"": KeepClearSpec}, many=True),
    "fairing": BOAT_TABLES["fairing"],
    "marks": LAST_TABLES["marks"],
}


def parts_of(raw: Mapping[str, Any], allowed: Mapping[str, TableKind]) -> Parts:
    """Every table of the file, checked by itself.

    Args:
        allowed: the tables that the file may have: a boat's, or a repair's.
    """
    parts = Parts()
    for key in raw:
        if key not in allowed:
            guess = nearest(key, allowed)
            want = guess or f"the tables are {', '.join(allowed)}"
            if key in REPAIR_TABLES or key in tables():
                want = f"it belongs to {'a boat with a table of offsets' if key in tables() else 'a repair'}"
            parts.problems.append(
                Problem(DESIGN_FILE, f'"{key}" is not a known table', want, code="unknown-table")
            )
    for name, kind in allowed.items():
        heading = f"[[{name}]]" if kind.many else f"[{name}]"
        if name not in raw or raw[name] == []:
            if kind.needed:
                what = f"{heading} is missing"
                parts.problems.append(Problem(DESIGN_FILE, what, kind.needed, code="missing-table"))
            continue
        given = raw[name]
        wrapped = given if isinstance(given, list) else [given]
        if isinstance(given, list) != kind.many or not all(isinstance(entry, dict) for entry in wrapped):
            parts.unread.add(name)
            parts.problems.append(
                Problem(
                    f"{DESIGN_FILE}, {name}",
                    "is not written as a table",
                    f"write {heading}",
                    code="not-a-table",
                )
            )
            continue
        if len(wrapped) > MOST_ENTRIES:
            parts.unread.add(name)
            what, want = f"{len(wrapped):,} of them are given", f"give at most {MOST_ENTRIES}"
            parts.problems.append(Problem(f"{DESIGN_FILE}, {heading}", what, want, code="too-many-entries"))
            for entry in wrapped:
                _name_entry(parts, name, entry)
            continue
        for number, entry in enumerate(wrapped, start=1):
            problems = _read_entry(parts, name, kind, entry, number)
            if problems:
                parts.unread.add(name)
                parts.problems += problems
    return parts


def _name_entry(parts: Parts, name: str, entry: dict[str, Any]) -> None:
    """Keep what an entry is called, whether or not it can be read; one of a kind may have the kind's name."""
    called = entry.get("at" if name == "end" else "name", entry.get("kind"))
    if isinstance(called, str):
        parts.names.setdefault(name, []).append(" ".join(called.split()))


def _read_entry(
    parts: Parts, name: str, kind: TableKind, entry: dict[str, Any], number: int
) -> list[Problem]:
    """Keep an entry that can be read; what is wrong with one that cannot."""
    place = f"{DESIGN_FILE}, {entry_label(name, kind, entry, number)}"
    _name_entry(parts, name, entry)
    model = kind.models.get("")
    if model is None:
        told = entry.get(kind.told_by)
        where = f"{place}, key {kind.told_by}"
        if told is None:
            want = f"write {written(kind.models)}"
            return [Problem(where, "is missing", want, code="missing-key")]
        model = kind.models.get(told) if isinstance(told, str) else None
        if model is None:
            guess = nearest(str(told), kind.models)
            want = f"write {written(kind.models)}" + (f" ({guess})" if guess else "")
            return [Problem(where, f"{shown(told)} is not a valid choice", want, code="unknown-kind")]
    try:
        parts.entries.setdefault(name, []).append((place, model.model_validate(entry)))
    except ValidationError as error:
        return list(problems_of(error, model, place))
    return []


def entry_label(name: str, kind: TableKind, entry: Mapping[str, Any], number: int) -> str:
    """The entry as its writer would call it: ``frame "3"``, ``[deck]``, ``line number 2``."""
    if not kind.many:
        return f"[{name}]"
    for key in ("name", "at" if name == "end" else "kind", "strake"):
        if isinstance(entry.get(key), str) and entry[key].strip():
            return f'{name} "{" ".join(entry[key].split())}"'
    return f"{name} number {number}"
