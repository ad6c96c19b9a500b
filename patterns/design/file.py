"""The design file, read and checked whole before anything is computed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pydantic import TypeAdapter, ValidationError

from patterns.design.models import (
    BoatSpec,
    DeckSpec,
    Design,
    FairingSpec,
    FrameSpec,
    KeelSpec,
    LaidDeck,
    LaidSpec,
    LineSpec,
    MarksSpec,
    Part,
    StemEnd,
    StrakeSpec,
    TableSpec,
    TimberSpec,
    TransomEnd,
)
from patterns.design.parts import DESIGN_FILE, Parts, parts_of, read_toml, tables
from patterns.design.quantities import FileName
from patterns.design.rules import rules
from patterns.errors import DesignError, Problem

__all__ = [
    "DESIGN_FILE",
    "BoatSpec",
    "DeckSpec",
    "Design",
    "DraftDesign",
    "FairingSpec",
    "FrameSpec",
    "KeelSpec",
    "LaidDeck",
    "LaidSpec",
    "LineSpec",
    "MarksSpec",
    "StemEnd",
    "StrakeSpec",
    "TableSpec",
    "TimberSpec",
    "TransomEnd",
    "draft_design",
    "read_design",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class DraftDesign:
    """A design file as far as it could be read.

    Attributes:
        problems: everything that is wrong with it or missing from it.
        design: the whole; None where there is any problem.
        sketch: what could be read of it, enough for the table of offsets and its lines; None where it does not
            show how the table is written.  Without problems it is the whole.
    """

    problems: tuple[Problem, ...]
    design: Design | None
    sketch: Design | None


def draft_design(folder: Path) -> DraftDesign:
    """Read and check the design file of a folder, and gather all that is wrong."""
    raw, problems = read_toml(folder)
    if problems:
        return DraftDesign(problems=tuple(problems), design=None, sketch=None)
    parts = parts_of(raw, tables())
    problems = [*parts.problems, *rules(parts)]
    sketch = _sketch(parts, raw)
    return DraftDesign(problems=tuple(problems), design=None if problems else sketch, sketch=sketch)


def read_design(folder: Path) -> Design:
    """The design of a folder.

    Raises:
        DesignError: with every problem of the design file.
    """
    draft = draft_design(Path(folder))
    if draft.design is None:
        raise DesignError(draft.problems)
    return draft.design


def _sketch(parts: Parts, raw: Mapping[str, Any]) -> Design | None:
    """The design from what could be read; None where the table of offsets cannot be read by it.

    What could not be read is left out, or is the default.  Lines keep their places by name, so that each is still
    faired; an end that is not given is a stem at the bow and a transom at the stern.
    """
    table = parts.one(TableSpec) or _readable_table(raw)
    if table is None:
        return None
    ends: dict[str, StemEnd | TransomEnd] = {end.at: end for _, end in parts.all(StemEnd)}
    ends |= {end.at: end for _, end in parts.all(TransomEnd)}
    lines = _lines(parts)
    order = [line.name for line in lines]
    strakes = [strake for _, strake in parts.all(StrakeSpec)]
    deck = parts.one(DeckSpec)
    return Design.model_construct(
        boat=parts.one(BoatSpec) or BoatSpec.model_construct(name=""),
        table=table,
        fairing=parts.one(FairingSpec) or FairingSpec(),
        lines=lines,
        fore_end=ends.get("bow") or _part_end(raw, "bow"),
        after_end=ends.get("stern") or _part_end(raw, "stern"),
        strakes=tuple(
            sorted(
                strakes,
                key=lambda strake: order.index(strake.between[0]) if strake.between[0] in order else -1,
            )
        ),
        deck=None if deck is None else _laid(deck),
        marks=parts.one(MarksSpec) or MarksSpec(),
        wanted=tuple(
            entry
            for name, kind in tables().items()
            if kind.member
            for _, entry in parts.entries.get(name, [])
            if isinstance(entry, Part)
        ),
    )


def _lines(parts: Parts) -> tuple[LineSpec, ...]:
    """The lines in the order of the file; of one that could not be read whole, its name alone."""
    read = {line.name: line for _, line in parts.all(LineSpec)}
    names = dict.fromkeys([*parts.names.get("line", []), *read])
    return tuple(read.get(name) or LineSpec.model_construct(name=name) for name in names if name)


def _part_end(raw: Mapping[str, Any], at: str) -> StemEnd | TransomEnd:
    """An end that could not be read whole: its kind, and the file of a stem's points.

    Its lengths are nan: nothing can be said of them.
    """
    ends = raw.get("end")
    given: Mapping[str, Any] = next(
        (
            end
            for end in (ends if isinstance(ends, list) else ())
            if isinstance(end, dict) and end.get("at") == at
        ),
        {},
    )
    kind = given.get("kind", "stem" if at == "bow" else "transom")
    nan = float("nan")
    known: dict[str, Any] = {"at": at, "kind": "transom", "rake": None}
    if kind != "stem":
        return TransomEnd.model_construct(**known)
    profile = None
    if "profile" in given:
        try:
            profile = TypeAdapter(FileName).validate_python(given["profile"])
        except ValidationError:
            profile = None
    known = {"at": at, "kind": "stem", "profile": profile, "sided": nan, "foot": nan}
    return StemEnd.model_construct(**known)


def _readable_table(raw: Mapping[str, Any]) -> TableSpec | None:
    """The table's key when only what it is given to is missing or wrong: enough to read its cells by."""
    given = raw.get("table")
    if not isinstance(given, dict):
        return None
    try:
        return TableSpec.model_validate(
            {**given, "lines_to": "outside of planking", "sheer_to": "top of planking"}
        )
    except ValidationError:
        return None


def _laid(deck: DeckSpec) -> LaidDeck | None:
    if deck.kind == "none" or deck.thickness is None:
        return None
    return LaidDeck(thickness=deck.thickness, crown=deck.crown, rise_ratio=deck.rise_ratio)
