"""The offsets of a table that the batten doubts, each with the slip that would explain it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from patterns.errors import Problem
from patterns.fairing.batten import Ends
from patterns.fairing.blame import Blame, Hint, blamed
from patterns.fairing.cell_exchange import exchange_of
from patterns.fairing.cells import View
from patterns.fairing.evenness import NOISE
from patterns.fairing.lifting import Doubt
from patterns.fairing.possible import possible
from patterns.fairing.profile_ends import end_doubts
from patterns.fairing.profile_lifting import line_doubts
from patterns.fairing.rows import Shift, shifted
from patterns.fairing.slips import Slip, explain, least_count_of
from patterns.fairing.strays import strays
from patterns.hull.planes import FloatArray
from patterns.measure import Notation, format_typed

if TYPE_CHECKING:
    from patterns.design.models import FairingSpec
    from patterns.fairing.profile_model import Modelled
    from patterns.fairing.profile_points import PathPoint, ProfileMade
    from patterns.table.offsets import LineOffsets, Offsets, Place

__all__ = ["Suspect", "TypedRow", "profile_doubts", "suspects_of", "suspects_on_profile", "written_to"]

COARSER = (10.0, 5.0, 4.0, 2.0, 1.0)  # times the least count: whole mm, eighths of an inch and the like


@dataclass(frozen=True, slots=True, kw_only=True)
class Suspect:
    """An offset that the batten doubts.  It is faired as typed all the same.

    Attributes:
        line, view, label: which offset; view as in the as-faired table.
        offset: the table's figure, mm.
        wanted: where the batten wants it, mm.
        deviation: how many times farther off than is to be expected of a good offset, with its sign.
        slip: the slip that would explain it, in words; empty where no usual one does.
        meant: what would have been meant then, mm; None where no usual slip explains it.
        other_slips: less likely slips that would explain it as well.
        or_else: another offset that may be the cause instead (an end and its neighbour spring much alike);
            in words, empty where there is none.
        notation: the table's.
        place: its cell.
    """

    line: str
    view: str
    label: str
    offset: float
    wanted: float
    deviation: float
    slip: str
    meant: float | None = None
    other_slips: tuple[str, ...] = ()
    or_else: str = ""
    notation: Notation = Notation.MM
    place: Place | None = None

    def problem(self) -> Problem:
        """The same as a problem of the file."""
        place = str(self.place) if self.place else f"line {self.line}"
        return Problem(place, self._what(), self._want(), code="suspect-offset")

    def _what(self) -> str:
        where = self.label if self.label in ("bow", "stern") else f"station {self.label}"
        typed = self.place.typed if self.place else ""
        which = f"the {self.line}'s {self.view} at {where}"
        if self.view in ("stem", "sternpost"):
            which = f"the {self.view}'s point {self.label}"
        return (
            f"{which} is {_written(self.offset, self.notation, typed)}, "
            f"but the batten wants about {_written(self.wanted, self.notation)}"
        )

    def _want(self) -> str:
        words = ""
        if self.slip:
            words = self.slip
            if self.meant is not None:
                words += f" (then {_written(self.meant, self.notation)} was meant)"
        if self.other_slips:
            words += f"; or {', or '.join(self.other_slips)}"
        if self.or_else:
            words += f"{'; ' if words else ''}{self.or_else}"
        return words or "no usual slip explains it: look at the plan"

    def __str__(self) -> str:
        return str(self.problem())


def _written(mm: float, notation: Notation, typed: str = "") -> str:
    words = format_typed(mm, notation, typed)
    return f"{words} {notation.value}" if notation.metric else f"{words} ({mm:.0f} mm)"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TypedRow:
    """One line in one view, to be looked at for doubtful offsets.

    Attributes:
        line, view: which row of the table.
        x, y: shape (n,), the places and offsets as typed, mm.
        columns: the table's column of each; -1 where a point is not from the table.
        knuckles: indices at which the line turns.
        blunt: whether the line meets its fore end bluntly.
        hints: what other parts of the table say of single offsets.
    """

    line: str
    view: View
    x: FloatArray
    y: FloatArray
    columns: tuple[int, ...]
    knuckles: Sequence[int] = ()
    blunt: bool = False
    hints: Sequence[Hint] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class _Figure:
    """A figure that is doubted: which, as typed, mm, and its cell."""

    line: str
    view: View
    label: str
    typed: float
    place: Place | None
    notation: Notation


def suspects_of(offsets: Offsets, typed: TypedRow, fairing: FairingSpec) -> list[Suspect]:
    """The suspects of one line in one view; a table is never trusted farther than half its least count."""
    row, columns, notation = offsets.lines[typed.line], typed.columns, offsets.notation
    tolerance = max(fairing.allow, 0.5 * written_to(typed.y[np.array(columns) >= 0], notation))

    def elsewhere(index: int) -> dict[str, float]:
        return strays(offsets, typed.line, typed.view, columns[index]) if columns[index] >= 0 else {}

    def judged(y: FloatArray) -> Sequence[Blame]:
        return blamed(
            typed.x, y, tolerance=tolerance, notation=notation, elsewhere=elsewhere, knuckles=typed.knuckles,
            blunt=typed.blunt, hints=typed.hints,
        )  # fmt: skip

    found = judged(typed.y)
    if not found:
        return []
    noise = np.full(len(typed.x), tolerance * NOISE)
    lines = possible(typed.x, typed.y, noise=noise, knuckles=typed.knuckles, blunt=typed.blunt)
    first = exchange_of(lines, typed.y, columns, found, judged, tolerance=tolerance)
    if first is not None:
        both = (first, first + 1), (first + 1, first)
        return [_of_exchange(offsets, typed, found, one, other) for one, other in both]
    moved = shifted(typed.x, typed.y, tolerance=tolerance, ends=fairing.ends, knuckles=typed.knuckles)
    whole = "" if moved is None else _shift_words(moved, [row.labels[i] for i in columns])
    places = row.z_places if typed.view == "height" else row.y_places
    suspects = []
    for blame in found:
        column = columns[blame.index]
        if column < 0:
            continue
        figure = _Figure(
            line=typed.line, view=typed.view, label=row.labels[column], typed=float(typed.y[blame.index]),
            place=places[column], notation=notation,
        )  # fmt: skip
        doubt = Doubt(
            index=blame.index,
            wanted=blame.wanted,
            deviation=(figure.typed - blame.wanted) / blame.unsure,
            unsure=blame.unsure,
        )
        suspects.append(
            _suspect(figure, doubt, blame.slips, _or_neighbour(blame, columns, row, notation), whole)
        )
        if whole:
            break  # the other doubts have the same cause
    return suspects


def _of_exchange(offsets: Offsets, typed: TypedRow, found: Sequence[Blame], one: int, other: int) -> Suspect:
    """One of two neighbouring cells that seem exchanged: with the other's value the row is fair."""
    row = offsets.lines[typed.line]
    places = row.z_places if typed.view == "height" else row.y_places
    wanted = float(typed.y[other])
    unsure = min(blame.unsure for blame in found)
    return Suspect(
        line=typed.line, view=typed.view, label=row.labels[typed.columns[one]], offset=float(typed.y[one]),
        wanted=wanted, deviation=(float(typed.y[one]) - wanted) / unsure,
        slip=f"it seems exchanged with the value of {row.labels[typed.columns[other]]}", meant=wanted,
        notation=offsets.notation, place=places[typed.columns[one]],
    )  # fmt: skip


def _shift_words(moved: Shift, labels: Sequence[str]) -> str:
    """Which part of a row seems to be one station off."""
    return (
        f"the row from {labels[moved.first]} to {labels[moved.last]} seems shifted by one station "
        f"{'aft' if moved.by > 0 else 'forward'}"
    )


def written_to(values: FloatArray, notation: Notation) -> float:
    """The step, mm, in which these values are written: the coarsest of the usual ones that holds them all."""
    finest = least_count_of(notation)
    for many in COARSER:
        step = finest * many
        off = np.abs(values / step - np.round(values / step))
        if np.all(off < 1e-6):
            return step
    return finest


def _or_neighbour(blame: Blame, columns: Sequence[int], row: LineOffsets, notation: Notation) -> str:
    """What to say where another offset may be the wrong one instead."""
    other = blame.instead
    if other is None or columns[other.index] < 0:
        return ""
    label = row.labels[columns[other.index]]
    named = f" ({other.slips[0].words})" if other.slips else ""
    return (
        f"it may be right and the offset at {label} wrong: "
        f"the batten would want about {_written(other.wanted, notation)} there{named}"
    )


def _suspect(figure: _Figure, doubt: Doubt, slips: Sequence[Slip], or_else: str, whole: str = "") -> Suspect:
    """A figure with its explanations; ``whole`` is one that explains more of the row at once."""
    return Suspect(
        line=figure.line,
        view=figure.view,
        label=figure.label,
        offset=figure.typed,
        wanted=doubt.wanted,
        deviation=doubt.deviation,
        slip=whole or (slips[0].words if slips else ""),
        meant=slips[0].meant if slips and not whole else None,
        other_slips=() if whole else tuple(slip.words for slip in slips[1:3]),
        or_else=or_else,
        notation=figure.notation,
        place=figure.place,
    )


def suspects_on_profile(
    offsets: Offsets, line: str, made: ProfileMade, *, allow: float, ends: Ends
) -> list[Suspect]:
    """The suspects among the stem's points and the keel's heights."""
    points = made.points
    typed = np.array([point.typed for point in points])
    tolerance = max(allow, 0.5 * written_to(typed, offsets.notation))
    suspects = []
    for doubt in profile_doubts(points, tolerance, ends, made.choice.even, notation=offsets.notation):
        point = points[doubt.index]
        elsewhere = {}
        if not point.stem:
            elsewhere = strays(offsets, line, "height", offsets.lines[line].labels.index(point.label))
        slips = explain(
            point.typed, doubt.wanted, unsure=doubt.unsure, notation=offsets.notation, elsewhere=elsewhere
        )
        figure = _Figure(
            line=point.line or line, view=point.view, label=point.label, typed=point.typed, place=point.place,
            notation=offsets.notation,
        )  # fmt: skip
        suspects.append(_suspect(figure, doubt, slips, _or_point(doubt, points, offsets.notation)))
    return suspects


def profile_doubts(
    points: Sequence[PathPoint],
    tolerance: float,
    ends: Ends,
    whole: Modelled | None = None,
    *,
    notation: Notation = Notation.MM,
) -> list[Doubt]:
    """The doubts among the profile line's points, the most doubtful first.

    Args:
        tolerance: how far a good figure may be off, mm, > 0.
        whole: the model of all the points with this tolerance, where it is known already.
        notation: the table's.
    """
    found = line_doubts(
        np.array([(point.x, point.z) for point in points]),
        [0 if point.moves == "x" else 1 for point in points],
        tolerance=tolerance,
        ends=ends,
        knuckles=tuple(i for i, point in enumerate(points) if point.knuckle),
        whole=whole,
    )
    own = end_doubts(points, tolerance, notation)
    # What the level run says of its end is surer than what the whole line says of the end or its neighbour.
    return [doubt for doubt in found if all(abs(doubt.index - end.index) > 1 for end in own)] + own


def _or_point(doubt: Doubt, points: Sequence[PathPoint], notation: Notation) -> str:
    """What to say where a point's neighbour on the profile line may be the cause instead."""
    if doubt.or_index is None or doubt.or_wanted is None:
        return ""
    point = points[doubt.or_index]
    slips = explain(point.typed, doubt.or_wanted, unsure=doubt.unsure, notation=notation, elsewhere=None)
    named = f" ({slips[0].words})" if slips else ""
    return (
        f"it may be right and {point.words()} wrong: "
        f"the batten would want about {_written(doubt.or_wanted, notation)} there{named}"
    )
