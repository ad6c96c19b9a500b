"""The design file's tables, each checked by itself and named as its writer named it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from patterns.design.deck_knee_models import HangingKneeSpec, QuarterKneeSpec
from patterns.design.deck_models import BeamSpec, CarlingSpec, KingPlankSpec, SupportSpec
from patterns.design.floor_models import FloorSpec
from patterns.design.frame_models import GussetSpec
from patterns.design.hydrostatics_models import HydrostaticsSpec
from patterns.design.limits_models import LimitsSpec
from patterns.design.models import (
    BoatSpec,
    BreasthookSpec,
    DeckSpec,
    FairingSpec,
    FrameSpec,
    KeelSpec,
    KneeSpec,
    LaidSpec,
    LineSpec,
    MarksSpec,
    StemEnd,
    StrakeSpec,
    TableSpec,
    TransomEnd,
)
from patterns.design.mould_models import MouldSpec
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
from patterns.design.repair_work_models import NotchSpec, RepairGussetSpec
from patterns.design.round_models import ButtockSpec, DiagonalSpec, WaterlineSpec
from patterns.design.set_up_models import SetUpSpec
from patterns.design.stem_models import StemKneeSpec
from patterns.design.strake_models import StrakePatternSpec
from patterns.design.timber_models import RibbandSpec, RubbingRailSpec, StripSpec
from patterns.design.toml_file import DESIGN_FILE, read_toml
from patterns.design.transom_models import CutOutSpec, DoublerSpec
from patterns.design.words import problems_of
from patterns.errors import Problem
from patterns.words import nearest, written

__all__ = ["DESIGN_FILE", "REPAIR_TABLES", "TABLES", "Parts", "TableKind", "parts_of", "read_toml"]

MOST_ENTRIES = 500  # of one kind; no boat needs more (common practice, no source)

Model = TypeVar("Model", bound=BaseModel)


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


TABLES: Mapping[str, TableKind] = {
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
        needed='say there what stands at the bow and at the stern (at = "bow", at = "stern")',
    ),
    "strake_pattern": TableKind(models={"": StrakePatternSpec}, many=True, member=True),
    "doubler": TableKind(models={"": DoublerSpec}, member=True),
    "cut_out": TableKind(models={"": CutOutSpec}, many=True, member=True),
    "strake": TableKind(
        models={"": StrakeSpec}, many=True, needed="say there what planking lies between which lines"
    ),
    "deck": TableKind(
        models={"": DeckSpec}, needed='give its thickness and crown (or rise), or say kind = "none"'
    ),
    "timber": TableKind(
        models={
            "keel": KeelSpec,
            "chine log": LaidSpec,
            "clamp": LaidSpec,
            "stringer": StripSpec,
            "batten": StripSpec,
            "rubbing rail": RubbingRailSpec,
            "ribband": RibbandSpec,
        },
        told_by="kind",
        many=True,
        member=True,
    ),
    "frame": TableKind(models={"": FrameSpec}, many=True),
    "knee": TableKind(
        models={
            "transom knee": KneeSpec,
            "stem knee": StemKneeSpec,
            "quarter knee": QuarterKneeSpec,
            "hanging knee": HangingKneeSpec,
        },
        told_by="kind",
        many=True,
        member=True,
    ),
    "floor": TableKind(models={"": FloorSpec}, many=True, member=True),
    "gusset": TableKind(models={"": GussetSpec}, many=True, member=True),
    "breasthook": TableKind(models={"": BreasthookSpec}),
    "beam": TableKind(models={"": BeamSpec}, many=True, member=True),
    "carling": TableKind(models={"": CarlingSpec}, many=True, member=True),
    "king_plank": TableKind(models={"": KingPlankSpec}, many=True, member=True),
    "support": TableKind(models={"": SupportSpec}, many=True, member=True),
    "waterline": TableKind(models={"": WaterlineSpec}, many=True, member=True),
    "buttock": TableKind(models={"": ButtockSpec}, many=True, member=True),
    "diagonal": TableKind(models={"": DiagonalSpec}, many=True, member=True),
    "mould": TableKind(models={"": MouldSpec}, many=True, member=True),
    "hydrostatics": TableKind(models={"": HydrostaticsSpec}, member=True),
    "limits": TableKind(models={"": LimitsSpec}, member=True),
    "set_up": TableKind(models={"": SetUpSpec}, member=True),
    "stock": TableKind(models={"": StockSpec}, many=True, member=True),
    "marks": TableKind(models={"": MarksSpec}),
}

# A folder whose design has a table [repair] holds one frame measured in the boat, and no table of offsets.
REPAIR_TABLES: Mapping[str, TableKind] = {
    "boat": TABLES["boat"],
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
    "fairing": TABLES["fairing"],
    "marks": TABLES["marks"],
}


@dataclass(slots=True, kw_only=True)
class Parts:
    """What could be read of the file, entry by entry, and what could not.

    Attributes:
        entries: by table, each entry with its place; only those that were read.
        names: by table, every name that was written (for an end, what it is at), readable or not, so that
            one slip is told once.
        problems: what is wrong.
    """

    entries: dict[str, list[tuple[str, BaseModel]]] = field(default_factory=dict)
    names: dict[str, list[str]] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)

    def all(self, model: type[Model]) -> list[tuple[str, Model]]:
        """Every entry of one class, with its place, in the order of the file."""
        return [
            (place, entry)
            for entries in self.entries.values()
            for place, entry in entries
            if isinstance(entry, model)
        ]

    def one(self, model: type[Model]) -> Model | None:
        """The first entry of one class; None where none was read."""
        return next((entry for _, entry in self.all(model)), None)


def parts_of(raw: Mapping[str, Any], tables: Mapping[str, TableKind] = TABLES) -> Parts:
    """Every table of the file, checked by itself.

    Args:
        tables: those that the file may have: a boat's, or a repair's.
    """
    parts = Parts()
    for key in raw:
        if key not in tables:
            guess = nearest(key, tables)
            want = guess or f"the tables are {', '.join(tables)}"
            if key in REPAIR_TABLES or key in TABLES:
                want = f"it belongs to {'a boat with a table of offsets' if key in TABLES else 'a repair'}"
            parts.problems.append(
                Problem(DESIGN_FILE, f'"{key}" is not a known table', want, code="unknown-table")
            )
    for name, kind in tables.items():
        heading = f"[[{name}]]" if kind.many else f"[{name}]"
        if name not in raw or raw[name] == []:
            if kind.needed:
                what = f"{heading} is missing"
                parts.problems.append(Problem(DESIGN_FILE, what, kind.needed, code="missing-table"))
            continue
        given = raw[name]
        wrapped = given if isinstance(given, list) else [given]
        if isinstance(given, list) != kind.many or not all(isinstance(entry, dict) for entry in wrapped):
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
            what, want = f"{len(wrapped):,} of them are given", f"give at most {MOST_ENTRIES}"
            parts.problems.append(Problem(f"{DESIGN_FILE}, {heading}", what, want, code="too-many-entries"))
            for entry in wrapped:
                _name_entry(parts, name, entry)
            continue
        for number, entry in enumerate(wrapped, start=1):
            _read_entry(parts, name, kind, entry, number)
    return parts


def _name_entry(parts: Parts, name: str, entry: dict[str, Any]) -> None:
    """Keep what an entry is called, whether or not it can be read."""
    called = entry.get("at" if name == "end" else "name")
    if isinstance(called, str):
        parts.names.setdefault(name, []).append(" ".join(called.split()))


def _read_entry(parts: Parts, name: str, kind: TableKind, entry: dict[str, Any], number: int) -> None:
    place = f"{DESIGN_FILE}, {_label(name, kind, entry, number)}"
    _name_entry(parts, name, entry)
    model = kind.models.get("")
    if model is None:
        told = entry.get(kind.told_by)
        where = f"{place}, key {kind.told_by}"
        if told is None:
            want = f"write {written(kind.models)}"
            parts.problems.append(Problem(where, "is missing", want, code="missing-key"))
            return
        model = kind.models.get(told) if isinstance(told, str) else None
        if model is None:
            guess = nearest(str(told), kind.models)
            want = f"write {written(kind.models)}" + (f" ({guess})" if guess else "")
            parts.problems.append(Problem(where, f"{shown(told)} stands there", want, code="unknown-kind"))
            return
    try:
        parts.entries.setdefault(name, []).append((place, model.model_validate(entry)))
    except ValidationError as error:
        parts.problems.extend(problems_of(error, model, place))


def _label(name: str, kind: TableKind, entry: Mapping[str, Any], number: int) -> str:
    """The entry as its writer would call it: ``frame "3"``, ``[deck]``, ``line number 2``."""
    if not kind.many:
        return f"[{name}]"
    for key in ("name", "at" if name == "end" else "kind", "strake"):
        if isinstance(entry.get(key), str) and entry[key].strip():
            return f'{name} "{" ".join(entry[key].split())}"'
    return f"{name} number {number}"
