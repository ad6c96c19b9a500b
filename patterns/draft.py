"""A folder while it is being filled in: what is missing, what is wrong, and the lines that are known so far."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path

from patterns.boat import crown_problems, fair_boat
from patterns.design.file import Design
from patterns.errors import DesignError, Problem
from patterns.fairing.known import KnownLines, fair_known
from patterns.table.folder import FolderDraft, draft_folder
from patterns.table.sizes import size_problems
from patterns.table.usable import usable
from patterns.table.values import Offsets

__all__ = ["Draft", "draft_boat"]


@dataclass(frozen=True, kw_only=True, eq=False)
class Draft:
    """A design folder as far as it is filled in; there is always one, whatever the files hold.

    Attributes:
        title: the boat's name; the folder's where she has none yet.
        design: what could be read of the design file; None where nobody can tell how the table is written.
        typed: the table as far as it could be read; None where nothing could.
        offsets: the part of it that lines are laid through; nan elsewhere.
        problems: everything that is missing or wrong; none where patterns can be asked for.
        lines: what could be faired; None where nothing could be read.
    """

    title: str
    design: Design | None
    typed: Offsets | None
    offsets: Offsets | None
    problems: tuple[Problem, ...]
    lines: KnownLines | None

    @cached_property
    def missing(self) -> tuple[Problem, ...]:
        """What is to be typed yet."""
        return tuple(problem for problem in self.problems if problem.missing)

    @cached_property
    def wrong(self) -> tuple[Problem, ...]:
        """What is typed and cannot be read, or contradicts other figures."""
        return tuple(problem for problem in self.problems if not problem.missing)


def draft_boat(folder: Path) -> Draft:
    """Read a folder, check it and fair what is complete; no surface is made."""
    read = draft_folder(folder)
    design, typed = read.design, read.offsets
    name = design.boat.name if design is not None else ""
    offsets = lines = None
    problems = read.problems
    if design is not None and typed is not None:
        offsets = _laid_through(read, typed, design)
        lines = fair_known(offsets, design)
        if not problems:
            problems = tuple(_beyond(typed, design, lines))
    return Draft(
        title=name or folder.resolve().name,
        design=design,
        typed=typed,
        offsets=offsets,
        problems=problems,
        lines=lines,
    )


def _laid_through(read: FolderDraft, typed: Offsets, design: Design) -> Offsets:
    """What lines can be laid through, with the points of a stem that are typed so far."""
    far = {problem.place for problem in size_problems(typed, design)}
    part = usable(typed, far=far)
    return replace(
        part,
        stem=part.stem if part.stem is not None else read.part_stem,
        sternpost=part.sternpost if part.sternpost is not None else read.part_sternpost,
    )


def _beyond(typed: Offsets, design: Design, lines: KnownLines) -> list[Problem]:
    """What only fairing shows of a table that is whole, without suspects: they have a list of their own."""
    whole = lines.whole
    if whole is not None and len(whole.lines) == len(design.lines) - 1:
        return crown_problems(design, whole)
    try:
        # Without strakes no surface is laid through a round bilge: that takes seconds, and shows no error.
        fair_boat(typed, design.model_copy(update={"strakes": ()}))
    except DesignError as error:
        doubted = {suspect.problem() for suspect in lines.suspects}
        return [problem for problem in error.problems if problem not in doubted]
    return []
