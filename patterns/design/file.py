"""The design file, read and checked whole before anything is computed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pydantic import TypeAdapter, ValidationError

from patterns.design.models import (
    BoatSpec,
    BreasthookSpec,
    DeckSpec,
    Design,
    FairingSpec,
    FrameSpec,
    KeelSpec,
    KneeSpec,
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
from patterns.design.parts import DESIGN_FILE, TABLES, Parts, parts_of, read_toml
from patterns.design.quantities import FileName
from patterns.design.rules import rules
from patterns.errors import DesignError, Problem

__all__ = [
    "DESIGN_FILE",
    "TABLES",
    "BoatSpec",
    "BreasthookSpec",
    "DeckSpec",
    "Design",
    "Draft",
    "FairingSpec",
    "FrameSpec",
    "KeelSpec",
    "KneeSpec",
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
class Draft:
    """A design file as far as it could be read.

    Attributes:
        problems: everything that is wrong with it.
        design: the whole; None where there is any problem.
        table: as far as it stands, so that the table of offsets can be read and its problems told too.
        profile, stern_profile: the files of the stems' points at bow and stern, for the same end.
    """

    problems: tuple[Problem, ...]
    design: Design | None
    table: TableSpec | None
    profile: str | None
    stern_profile: str | None = None


def draft_design(folder: Path) -> Draft:
    """Read and check the design file of a folder, and gather all that is wrong."""
    raw, problems = read_toml(folder)
    if problems:
        return Draft(problems=tuple(problems), design=None, table=None, profile=None)
    parts = parts_of(raw)
    problems = [*parts.problems, *rules(parts)]
    return Draft(
        problems=tuple(problems),
        design=None if problems else _whole(parts),
        table=parts.one(TableSpec) or _readable_table(raw),
        profile=_profile(raw, "bow"),
        stern_profile=_profile(raw, "stern"),
    )


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


def _profile(raw: Mapping[str, Any], at: str) -> str | None:
    """The file of a stem's points, whether or not the rest of its end can be read."""
    ends = raw.get("end")
    for end in ends if isinstance(ends, list) else ():
        if isinstance(end, dict) and end.get("at") == at and "profile" in end:
            try:
                return TypeAdapter(FileName).validate_python(end.get("profile"))
            except ValidationError:
                return None
    return None


def read_design(folder: Path) -> Design:
    """The design of a folder.

    Raises:
        DesignError: with every problem of the design file.
    """
    draft = draft_design(Path(folder))
    if draft.design is None:
        raise DesignError(draft.problems)
    return draft.design


def _whole(parts: Parts) -> Design:
    """The design from parts that have no problem."""
    boat, table, deck = parts.one(BoatSpec), parts.one(TableSpec), parts.one(DeckSpec)
    ends: dict[str, StemEnd | TransomEnd] = {end.at: end for _, end in parts.all(StemEnd)}
    ends |= {end.at: end for _, end in parts.all(TransomEnd)}
    assert boat is not None
    assert table is not None
    assert deck is not None
    lines = tuple(line for _, line in parts.all(LineSpec))
    order = [line.name for line in lines]
    strakes = [strake for _, strake in parts.all(StrakeSpec)]
    return Design(
        boat=boat,
        table=table,
        fairing=parts.one(FairingSpec) or FairingSpec(),
        lines=lines,
        fore_end=ends["bow"],
        after_end=ends["stern"],
        strakes=tuple(sorted(strakes, key=lambda strake: order.index(strake.between[0]))),
        deck=_laid(deck),
        timbers=tuple(
            timber for _, timber in parts.entries.get("timber", []) if isinstance(timber, KeelSpec | LaidSpec)
        ),
        frames=tuple(frame for _, frame in parts.all(FrameSpec)),
        knees=tuple(knee for _, knee in parts.all(KneeSpec)),
        breasthook=parts.one(BreasthookSpec),
        marks=parts.one(MarksSpec) or MarksSpec(),
        wanted=tuple(
            entry
            for name, kind in TABLES.items()
            if kind.member
            for _, entry in parts.entries.get(name, [])
            if isinstance(entry, Part)
        ),
    )


def _laid(deck: DeckSpec) -> LaidDeck | None:
    if deck.kind == "none":
        return None
    assert deck.thickness is not None
    return LaidDeck(thickness=deck.thickness, crown=deck.crown, rise_ratio=deck.rise_ratio)
