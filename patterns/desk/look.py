"""One look at a folder: its lines drawn, and all that is found in table and design; no piece is made."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

from patterns.design.confirmed import with_remedy
from patterns.desk.spots import CellSpot, spots_by_place
from patterns.draft import draft_boat
from patterns.errors import DesignError, Problem
from patterns.fairing.suspects import Suspect
from patterns.findings import Findings
from patterns.numeric_errors import no_numeric_errors
from patterns.picture.draft import draft_plates
from patterns.picture.lines import curvature_plates, line_plates
from patterns.picture.markup import Markup, joined, tag
from patterns.picture.plates import PicturePlate, drawn
from patterns.run.check import not_loaded
from patterns.subject import BoatSubject, Subject, is_boat, load
from patterns.table.sheet_text import SheetText

__all__ = ["Finding", "Look", "first_look", "look_at", "look_data"]

View = tuple[str, str, Markup]
"""A name to go to, a title, and the drawing."""

Sort = Literal["suspect", "error", "missing", "doubt", "hint"]

COUNTED: Mapping[Sort, tuple[str, str]] = {
    "suspect": ("suspect offset", "suspect offsets"),
    "error": ("error", "errors"),
    "missing": ("missing entry", "missing entries"),
    "doubt": ("doubt", "doubts"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One thing found, with the cell that it speaks of.

    Attributes:
        sort: how it is listed.
        problem: its code, place and words, the same as `check` prints.
        spot: the cell; None where it speaks of no cell of a table.
    """

    sort: Sort
    problem: Problem
    spot: CellSpot | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """What is seen.

    Attributes:
        title: the boat's name; the folder's where she has none yet.
        findings: suspects first, then errors, what is missing, doubts and hints.
        views: the lines as markup, each with its name and title.
        whole: whether pieces can be asked for.
        settled: whether doubts are judged as well.
        verdict: what matters, in one line.
    """

    title: str
    findings: tuple[Finding, ...]
    views: tuple[View, ...]
    whole: bool
    settled: bool
    verdict: str


def first_look(folder: Path, tables: Mapping[str, SheetText]) -> Look | None:
    """Lines and suspects of a boat's table, as quickly as they can be had: no surface is laid through the lines.

    Where table and design are whole, doubts are not judged yet: :func:`look_at` does that.

    Args:
        tables: the folder's tables, to find the cells that findings speak of.
    Returns:
        None for a repair.
    Raises:
        InternalError: figures without an answer came out.
    """
    if not is_boat(folder):
        return None
    with no_numeric_errors():
        draft = draft_boat(folder)
        suspects = () if draft.lines is None else draft.lines.suspects
        found = Findings(title=draft.title, errors=draft.problems, suspects=suspects, draft=draft)
        return _look(found, _plates(draft_plates(draft)), tables, settled=not found.ready)


def look_at(folder: Path, tables: Mapping[str, SheetText], first: Look | None = None) -> Look:
    """Read a folder, fair what can be faired, draw it, and judge all but the pieces, as `check` does.

    Args:
        tables: the folder's tables, to find the cells that findings speak of.
        first: the first look at the same folder; views that would show no more than it has are taken from there.
    Raises:
        InternalError: figures without an answer came out.
    """
    with no_numeric_errors():
        try:
            subject = load(folder)
        except DesignError as error:
            found = not_loaded(folder, error)
            plates = () if found.draft is None else draft_plates(found.draft)
            return _look(found, _plates(plates), tables)
        drawn_before = () if first is None else first.views
        return _look(subject.findings(), _views_of(subject, drawn_before), tables)


def _look(
    found: Findings,
    views: Iterable[View],
    tables: Mapping[str, SheetText],
    *,
    settled: bool = True,
) -> Look:
    findings = tuple(_findings(found, spots_by_place(tables)))
    return Look(
        title=found.title, findings=findings, views=tuple(views), whole=found.ready, settled=settled,
        verdict=_verdict(findings),
    )  # fmt: skip


def _findings(found: Findings, spots: Mapping[str, CellSpot]) -> Iterator[Finding]:
    for suspect in found.suspects:
        yield Finding(sort="suspect", problem=suspect.problem(), spot=_spot_of(suspect))
    doubted = {suspect.problem() for suspect in found.suspects}
    errors = [problem for problem in found.errors if problem not in doubted]
    lists: Sequence[tuple[Sort, Sequence[Problem]]] = (
        ("error", [problem for problem in errors if not problem.missing]),
        ("missing", [problem for problem in errors if problem.missing]),
        ("doubt", [with_remedy(problem) for problem in (*found.points, *found.doubts)]),
        ("hint", found.hints),
    )
    for sort, problems in lists:
        for problem in problems:
            yield Finding(sort=sort, problem=problem, spot=spots.get(problem.place))


def _spot_of(suspect: Suspect) -> CellSpot | None:
    place = suspect.place
    return None if place is None else CellSpot(file=place.file, row=place.row, column=place.column)


def _verdict(findings: Sequence[Finding]) -> str:
    counts = {sort: sum(finding.sort == sort for finding in findings) for sort in COUNTED}
    said = [f"{count:,} {COUNTED[sort][count > 1]}" for sort, count in counts.items() if count]
    if not said:
        return "Nothing in table and design is doubtful. The pieces themselves are judged when they are made."
    return f"{', '.join(said)}."


def _views_of(subject: Subject, before: Sequence[View]) -> Iterator[View]:
    """The lines of what could be loaded.

    Sections that are straight from line to line are drawn by the first look as well as by this one.
    """
    if not isinstance(subject, BoatSubject):
        for part in subject.seen():
            yield part.key, part.name, part.markup
        return
    boat = subject.boat
    if before and not any(strake.sections == "round" for strake in boat.design.strakes):
        yield from before
    else:
        yield from _plates(line_plates(boat))
    bends = [joined(tag("h4", words), drawn(plate, cells=True)) for words, plate in curvature_plates(boat)]
    if bends:
        yield "curvature", "Curvature", tag("div", *bends)


def _plates(plates: Sequence[PicturePlate]) -> Iterator[View]:
    for plate in plates:
        yield plate.key, plate.title, drawn(plate, cells=True)


def look_data(look: Look) -> dict[str, Any]:
    """The same as plain data for the page."""
    return {
        "title": look.title,
        "verdict": look.verdict,
        "whole": look.whole,
        "settled": look.settled,
        "views": [{"key": key, "title": title, "markup": markup} for key, title, markup in look.views],
        "findings": [
            {
                "sort": finding.sort,
                "code": finding.problem.code,
                "place": finding.problem.place,
                "what": finding.problem.what,
                "remedy": finding.problem.want,
                "spot": None
                if finding.spot is None
                else [finding.spot.file, finding.spot.row, finding.spot.column],
            }
            for finding in look.findings
        ],
    }
