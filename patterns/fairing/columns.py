"""All the lines of a station together: is a whole column of the table wrong?

A batten that is looked at alone blames one offset.  Where all half-breadths of a station are off alike, or all
heights, or the station lies elsewhere, every line blames a cell of its own, and not always the right one.  So
what would explain all of them at once is weighed against single wrong cells: how likely are all rows, if ...?
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Literal

import numpy as np

from patterns.fairing.cells import View
from patterns.fairing.row_likelihood import RowLikelihood, judge
from patterns.fairing.table_rows import TableRow
from patterns.hull.planes import FloatArray
from patterns.table.values import STERN

__all__ = ["ColumnFault", "Kind", "column_faults"]

Kind = Literal["breadths", "heights", "position", "exchanged"]

COLUMN = 0.0005  # how likely one way in which one column may be wrong is beforehand; a single cell has 0.002
EVEN = 0.5  # how likely a station that breaks an even spacing is misplaced, before the battens are asked
POSSIBLE = 0.0  # logarithm of odds below which a fault is not looked at further
SHIFT = (2.0, 400.0)  # mm, the smallest and greatest shift of a column
SCALE = (0.004, 1.5)  # and the smallest and greatest part by which it is scaled
NEAREST = 3.0  # mm, the least by which a station is misplaced
ROOM = 0.9  # of the way to the next station, the farthest
FINE = 0.1  # of the span, to which the amounts that are tried first are rounded
SLACK = 2.0  # how much less likely than the best amount (logarithm) the best of those may be
ROUNDS, STEPS, CLOSER = 4, 17, 6.0  # of the search for the best amount
ONE_IN_HUNDRED = 2.33  # deviations that the normal distribution exceeds so seldom


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ColumnFault:
    """One way in which a column of the table may be wrong.

    Attributes:
        kind: what is wrong: all half-breadths, all heights, the station's position, or two columns exchanged.
        label: the column.
        other: the column that it is exchanged with; else empty.
        scaled: whether the values are multiplied (the amount is a factor) or shifted (mm); a position is
            shifted aft where positive.
        amount: by how much what is typed differs from what is meant; 0 where columns are exchanged.
        unsure: its standard deviation.
        keel: whether the keel's row shares the fault.
        even: whether a position is put where an even spacing of the stations has it.
        views: the table's blocks that share it.
        agreed: whether the rows agree on the amount; else the lines may well bend there, each in its own way.
        odds: natural logarithm of the odds against single wrong cells and none.
        cells: the rows that share it: the row, the duck's index, and what would be meant there, mm.
    """

    kind: Kind
    label: str
    other: str = ""
    scaled: bool = False
    amount: float = 0.0
    unsure: float = 0.0
    keel: bool = True
    even: bool = False
    views: tuple[View, ...] = ()
    agreed: bool = True
    odds: float = 0.0
    cells: tuple[tuple[TableRow, int, float], ...] = ()


Change = Callable[[FloatArray], FloatArray]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Weighed:
    """All rows, and how likely they are together."""

    rows: tuple[RowLikelihood, ...]

    @property
    def views(self) -> tuple[View, ...]:
        """The table's blocks that they come from."""
        return tuple(dict.fromkeys(one.row.view for one in self.rows))

    def odds(self, changed: Mapping[int, FloatArray]) -> FloatArray:
        """How much likelier the rows are with some of them changed (logarithm), shape (t,).

        Args:
            changed: by row the likelihood, shape (t,), with its offset moved.
        """
        total: FloatArray = np.zeros(1)
        for k, values in changed.items():
            total = total + values - self.rows[k].one_wrong
        return total


def column_faults(
    rows: Sequence[TableRow],
    stations: Sequence[str],
    station_x: FloatArray,
    *,
    even: Mapping[str, float] | None = None,
) -> tuple[list[ColumnFault], dict[str, float]]:
    """The ways in which a column may be wrong that the battens find possible, the likeliest first.

    Args:
        rows: see `rows_of`.
        stations, station_x: the stations' names and positions (m,), mm aft.
        even: for stations that break an even spacing, the position that the others want, mm aft.
    Returns:
        The faults; and for each station of ``even``, how much likelier (logarithm) the even position is than
        the typed one by the battens alone, 0 where they cannot tell.
    """
    if not rows or len(stations) < 2:
        return [], {}
    weighed = _Weighed(rows=tuple(judge(row) for row in rows))
    found: list[ColumnFault] = []
    by_even: dict[str, float] = {}
    for label in (*stations, STERN):
        here = {k: r.row.labels.index(label) for k, r in enumerate(weighed.rows) if label in r.row.labels}
        found += _amiss(weighed, here, label)
        if label == STERN or len(here) < 2:
            continue
        k = list(stations).index(label)
        gaps = np.diff(station_x)
        room = float(gaps[max(k - 1, 0)]), float(gaps[min(k, len(gaps) - 1)])
        wanted = None if even is None or label not in even else even[label] - float(station_x[k])
        found += _misplaced(weighed, here, label, room=room, wanted=wanted, by_even=by_even)
    found += _exchanged(weighed, stations)
    kept = [fault for fault in _together(found) if fault.odds > POSSIBLE]
    return sorted(kept, key=lambda fault: -fault.odds), by_even


def _together(faults: Sequence[ColumnFault]) -> Iterator[ColumnFault]:
    """Of the ways in which the same may be wrong (shifted or scaled, with the keel or without) the likeliest,
    with the odds of all."""
    for same in dict.fromkeys((fault.kind, fault.label) for fault in faults):
        mine = [fault for fault in faults if (fault.kind, fault.label) == same]
        best = max(mine, key=lambda fault: fault.odds)
        yield replace(best, odds=float(np.logaddexp.reduce([fault.odds for fault in mine])))


def _hopeless(weighed: _Weighed, here: Mapping[int, int]) -> bool:
    """Whether even the best amount of its own for every row would explain too little."""
    best = weighed.odds({k: weighed.rows[k].apart[[i]] for k, i in here.items()})
    return float(best[0] + np.log(COLUMN)) < POSSIBLE


def _amiss(weighed: _Weighed, here: Mapping[int, int], label: str) -> Iterator[ColumnFault]:
    """All half-breadths, or all heights, of a column shifted or scaled."""
    views: tuple[tuple[Kind, View], ...] = (("breadths", "half-breadth"), ("heights", "height"))
    for kind, view in views:
        all_rows = {k: i for k, i in here.items() if weighed.rows[k].row.view == view}
        above = {k: i for k, i in all_rows.items() if not weighed.rows[k].row.keel}
        for group, scaled in ((above, False), (above, True), (all_rows, False)):
            with_keel = len(group) > len(above)
            if len(group) < 2 or (group is all_rows and not with_keel) or _hopeless(weighed, group):
                continue
            changes = {k: _change(float(weighed.rows[k].row.y[i]), scaled) for k, i in group.items()}
            starts, spans = [], []
            for k, i in group.items():
                one, size = weighed.rows[k], max(abs(float(weighed.rows[k].row.y[i])), 1.0)
                spring = float(one.spring[i])
                good = float(one.row.y[i]) - spring
                starts.append(spring / (np.copysign(max(abs(good), 1.0), good) if scaled else 1.0))
                spans.append(3.0 * float(one.unsure[i]) / (size if scaled else 1.0))
            bounds = (-0.6, SCALE[1]) if scaled else (-SHIFT[1], SHIFT[1])
            found = _best(
                lambda t, group=group, changes=changes: _odds(weighed, group, changes, t),  # type: ignore[misc]
                np.array(starts), max(spans), bounds, SCALE if scaled else SHIFT,
            )  # fmt: skip
            if found is not None:
                agreed = not _at_odds(weighed, group, changes, found[0])
                blank = ColumnFault(
                    kind=kind, label=label, scaled=scaled, keel=with_keel, views=(view,), agreed=agreed
                )
                yield _fault(weighed, group, changes, found, blank)


def _change(typed: float, scaled: bool) -> Change:
    """How much less than typed an offset is, mm, by the amount of the fault."""
    return (lambda t: typed * t / (1.0 + t)) if scaled else (lambda t: t)


def _odds(
    weighed: _Weighed, here: Mapping[int, int], changes: Mapping[int, Change], t: FloatArray
) -> FloatArray:
    return weighed.odds({k: weighed.rows[k].moved(i, changes[k](t)) for k, i in here.items()})


def _at_odds(
    weighed: _Weighed, here: Mapping[int, int], changes: Mapping[int, Change], amount: float
) -> bool:
    """Whether the rows contradict one amount for all: each would have an amount of its own.

    What the rows gain by amounts of their own is, doubled, distributed as chi-square
    with one degree of freedom less than there are rows (S. S. Wilks, "The large-sample distribution of the
    likelihood ratio", Annals of Mathematical Statistics 9 (1938) 60-62; its quantile by E. B. Wilson and M. M.
    Hilferty, Proceedings of the National Academy of Sciences 17 (1931) 684-688; both from memory).
    """
    own = float(weighed.odds({k: weighed.rows[k].apart[[i]] for k, i in here.items()})[0])
    gain = own - float(_odds(weighed, here, changes, np.array([amount]))[0])
    free = len(here) - 1
    part = 2.0 / (9.0 * free)
    return gain > 0.5 * free * (1.0 - part + ONE_IN_HUNDRED * float(np.sqrt(part))) ** 3


def _misplaced(
    weighed: _Weighed,
    here: Mapping[int, int],
    label: str,
    *,
    room: tuple[float, float],
    wanted: float | None,
    by_even: dict[str, float],
) -> Iterator[ColumnFault]:
    """The station's position wrong: every row's values belong some way aft, or forward, of where they are.

    Args:
        room: the distances to the stations before and behind, mm.
        wanted: how far aft of the typed position an even spacing has it, mm; None where there is none.
        by_even: gets how much likelier that is.
    """
    if wanted is None and _hopeless(weighed, here):
        return
    changes = {k: weighed.rows[k].row.beside(i) for k, i in here.items()}

    def odds(t: FloatArray) -> FloatArray:
        return _odds(weighed, here, changes, t)

    blank = ColumnFault(
        kind="position", label=label, views=tuple(dict.fromkeys(one.row.view for one in weighed.rows))
    )
    if wanted is not None:
        # Against the typed position in the same terms: without a single wrong cell to make up for it.
        by_even[label] = float(odds(np.array([wanted]))[0] - odds(np.zeros(1))[0])
        found = wanted, 0.0, float(odds(np.array([wanted]))[0]) + np.log(EVEN)
        yield replace(_fault(weighed, here, changes, found, blank), even=True)
    low, high = -ROOM * room[0], ROOM * room[1]
    best = _best(odds, np.linspace(low, high, 61), (high - low) / 60, (low, high), (NEAREST, max(-low, high)))
    if best is not None:
        yield _fault(weighed, here, changes, best, blank)


def _fault(
    weighed: _Weighed,
    here: Mapping[int, int],
    changes: Mapping[int, Change],
    found: tuple[float, float, float],
    fault: ColumnFault,
) -> ColumnFault:
    amount, unsure, odds = found
    at = np.array([amount])
    rows = [(weighed.rows[k].row, i, float(changes[k](at)[0])) for k, i in here.items()]
    position = fault.kind == "position"
    return replace(
        fault,
        amount=-amount if position else amount,  # typed less meant
        unsure=unsure,
        odds=odds + (0.0 if position and unsure == 0.0 else float(np.log(COLUMN))),
        cells=tuple((row, i, float(row.y[i]) - by) for row, i, by in rows),
    )


def _exchanged(weighed: _Weighed, stations: Sequence[str]) -> Iterator[ColumnFault]:
    """Two neighbouring columns exchanged, whole or in one block."""
    blocks: tuple[tuple[View, ...], ...] = (weighed.views, ("half-breadth",), ("height",))
    for first, second in pairwise(stations):
        for views in blocks:
            changed: dict[int, FloatArray] = {}
            cells = []
            for k, one in enumerate(weighed.rows):
                row = one.row
                if row.view not in views or first not in row.labels or second not in row.labels:
                    continue
                i = row.labels.index(first)
                if row.labels[i + 1] != second or row.y[i] == row.y[i + 1]:
                    continue
                changed[k] = np.array([one.exchanged(i)])
                cells += [(row, i, float(row.y[i + 1])), (row, i + 1, float(row.y[i]))]
            if len(changed) > 1:
                odds = float(weighed.odds(changed)[0] + np.log(COLUMN))
                yield ColumnFault(
                    kind="exchanged", label=first, other=second, views=views, odds=odds, cells=tuple(cells)
                )


def _best(
    odds: Callable[[FloatArray], FloatArray],
    starts: FloatArray,
    span: float,
    bounds: tuple[float, float],
    sizes: tuple[float, float],
) -> tuple[float, float, float] | None:
    """The likeliest amount, its standard deviation, and the odds (logarithm) with all amounts weighed.

    Beforehand all sizes between two are alike likely by their logarithm, either way.  The sum over the amounts
    is taken as that of a normal distribution about the likeliest (Laplace's approximation).

    Args:
        odds: of amounts (t,), as logarithms.
        starts: amounts to try first.
        span: about three times the standard deviation.
        bounds: the least and greatest amount.
        sizes: the least and greatest size of the amount, either way, > 0.
    Returns:
        None where no amount is possible.
    """
    t = np.unique(np.clip(np.round(starts / (span * FINE)) * span * FINE, *bounds))
    first = odds(t)
    if float(first.max()) < POSSIBLE - float(np.log(COLUMN)) - SLACK:
        return None
    best = float(t[first.argmax()])
    wide = span
    for _ in range(ROUNDS):
        t = np.clip(best + wide * np.linspace(-1.0, 1.0, STEPS), *bounds)
        best = float(t[odds(t).argmax()])
        wide /= CLOSER
    if not sizes[0] <= abs(best) <= sizes[1]:
        return None
    step, unsure = span / 20.0, span
    for _ in range(3):
        low, top, high = odds(np.array([best - step, best, best + step]))
        curved = float(2.0 * top - low - high) / step**2
        if curved <= 0.0:
            break
        unsure = step = 1.0 / np.sqrt(curved)
    share = np.sqrt(2.0 * np.pi) * unsure / (2.0 * abs(best) * np.log(sizes[1] / sizes[0]))
    return best, unsure, float(odds(np.array([best]))[0] + np.log(min(share, 1.0)))
