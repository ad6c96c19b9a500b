"""A folder's design and table read together, each checked against the other."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from patterns.design.file import Design, LineSpec, draft_design
from patterns.errors import DesignError, Problem
from patterns.table.checks import table_problems, table_warnings
from patterns.table.forward import measured_aft
from patterns.table.levels import level_names
from patterns.table.offsets import TableDraft, TableFiles, TableStyle, draft_offsets
from patterns.table.values import Offsets, StemPoints

__all__ = ["FolderDraft", "draft_folder", "read_folder"]


@dataclass(frozen=True, slots=True, kw_only=True)
class FolderDraft:
    """Design and table of a folder as far as they can be read.

    Attributes:
        design: what could be read of the design file; None where it does not show how the table is written.
        offsets: what could be read of the table; a cell that could not is nan there.  None where nothing was.
        problems: everything that is wrong or missing in design file, table and stems' files, and between them.
        doubts: what was read, but may not be what the plan has.
        part_stem, part_sternpost: the points of a stem whose file is not whole yet.
    """

    design: Design | None
    offsets: Offsets | None
    problems: tuple[Problem, ...]
    doubts: tuple[Problem, ...] = ()
    part_stem: StemPoints | None = None
    part_sternpost: StemPoints | None = None


def draft_folder(folder: Path) -> FolderDraft:
    """Design and table of a folder as far as they can be read, each checked against the other.

    The design comes back with its distances aft, whichever way the table measures them.
    """
    folder = Path(folder)
    draft = draft_design(folder)
    design = draft.sketch
    if design is None:
        return FolderDraft(design=None, offsets=None, problems=draft.problems)
    table = _draft_table(folder, design)
    offsets = table.offsets
    if offsets is not None and not design.lines:  # the table's own names serve until the design has them
        design = design.model_copy(update={"lines": tuple(LineSpec(name=name) for name in offsets.lines)})
    if offsets is not None:
        design = measured_aft(design, offsets.origin)
    problems = [*draft.problems, *table.problems]
    if offsets is not None and design.lines:
        problems += table_problems(offsets, design, unread=table.unread)
    return FolderDraft(
        design=design,
        offsets=offsets,
        problems=tuple(problems),
        doubts=table.doubts,
        part_stem=table.part_stem,
        part_sternpost=table.part_sternpost,
    )


def read_folder(folder: Path) -> tuple[Design, Offsets, tuple[Problem, ...]]:
    """Design and table of a folder, and what is doubtful about them; all problems of both in one go.

    Raises:
        DesignError: with every problem of the design file, the table and the stem's points.
    """
    draft = draft_folder(folder)
    if draft.problems or draft.design is None or draft.offsets is None:
        raise DesignError(draft.problems)
    return draft.design, draft.offsets, (*draft.doubts, *table_warnings(draft.offsets, draft.design))


def _draft_table(folder: Path, design: Design) -> TableDraft:
    """The table as the design describes it, as far as it can be read."""
    profiles = [getattr(end, "profile", None) for end in (design.fore_end, design.after_end)]
    flat = design.table.bottom == "flat" and len(design.lines) > 1
    level = (design.lines[0].name, design.lines[1].name) if flat else None
    ends = (("bow", design.fore_end), ("stern", design.after_end))
    stem, sternpost = (None if profile is None else folder / profile for profile in profiles)
    style = TableStyle(
        notation=design.table.notation,
        heights=design.table.heights,
        breadths=design.table.breadths,
        stations=design.table.stations,
        positions=design.table.positions,
        level=level,
        stems=[label for label, end in ends if end.kind == "stem"],
        names={spec.name for spec in design.lines} | level_names(design),
    )
    files = TableFiles(table=folder / design.table.file, stem=stem, sternpost=sternpost)
    return draft_offsets(files, style)
