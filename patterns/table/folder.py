"""A folder's design and table read together, each checked against the other."""

from __future__ import annotations

from collections.abc import Collection
from pathlib import Path

from patterns.design.file import Design, TableSpec, draft_design
from patterns.errors import DesignError, Problem
from patterns.table.checks import table_problems, table_warnings
from patterns.table.forward import measured_aft
from patterns.table.levels import level_names
from patterns.table.offsets import TableDraft, draft_offsets
from patterns.table.values import Offsets

__all__ = ["read_folder"]


def _read_table(folder: Path, design: Design) -> tuple[Design, Offsets, tuple[Problem, ...]]:
    """The table that a design names, checked against the design, and what is doubtful about it.

    The design comes back with its distances aft, whichever way the table measures them.

    Raises:
        DesignError: with every problem of the table, of the stem's points, and between table and design.
    """
    profiles = [getattr(end, "profile", None) for end in (design.fore_end, design.after_end)]
    names = {spec.name for spec in design.lines} | level_names(design)
    level = (design.lines[0].name, design.lines[1].name) if design.table.bottom == "flat" else None
    ends = (("bow", design.fore_end), ("stern", design.after_end))
    stems = [label for label, end in ends if end.kind == "stem"]
    draft = _draft_table(Path(folder), design.table, *profiles, names=names, level=level, stems=stems)
    problems = list(draft.problems)
    if draft.offsets is not None:
        design = measured_aft(design, draft.offsets.origin)
        problems += table_problems(draft.offsets, design, unread=draft.unread)
    if problems or draft.offsets is None:
        raise DesignError(problems)
    return design, draft.offsets, (*draft.doubts, *table_warnings(draft.offsets, design))


def read_folder(folder: Path) -> tuple[Design, Offsets, tuple[Problem, ...]]:
    """Design and table of a folder, and what is doubtful about them; all problems of both in one go.

    Raises:
        DesignError: with every problem of the design file, the table and the stem's points.
    """
    folder = Path(folder)
    draft = draft_design(folder)
    if draft.design is None:
        profiles = draft.profile, draft.stern_profile
        own = () if draft.table is None else _draft_table(folder, draft.table, *profiles).problems
        raise DesignError((*draft.problems, *own))
    return _read_table(folder, draft.design)


def _draft_table(
    folder: Path,
    table: TableSpec,
    profile: str | None,
    stern_profile: str | None = None,
    *,
    names: Collection[str] = (),
    level: tuple[str, str] | None = None,
    stems: Collection[str] = (),
) -> TableDraft:
    """The table as the design describes it, as far as it can be read."""
    return draft_offsets(
        folder / table.file,
        notation=table.notation,
        heights=table.heights,
        breadths=table.breadths,
        stations=table.stations,
        positions=table.positions,
        level=level,
        stems=stems,
        stem=None if profile is None else folder / profile,
        sternpost=None if stern_profile is None else folder / stern_profile,
        names=names,
    )
