"""What must be sawn, by stock: every piece and timber with its size and number, and what outruns its stock."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from patterns.boat import Boat
from patterns.design.rack_models import StockSpec
from patterns.drawing.hands import quantity_words
from patterns.pattern import XY, Pattern
from patterns.shop.cells import csv_text
from patterns.timbers.measured import measured
from patterns.timbers.run import Run
from patterns.wood.piece import Hand, Role

__all__ = [
    "SLACK",
    "CutRow",
    "StockCuts",
    "cut_table",
    "cuts_of",
    "grain_turn",
    "lengths_of",
    "notes_on",
    "one_length",
    "scarf_words",
    "stocks_of",
    "too_thick",
]

BEVELLED = 0.5  # mm by which an edge stands out before that is told
SLACK = 0.05  # mm; a thickness that is so near is the stock's own
NOT_NAMED = "stock not named"
HEADS = (
    "stock",
    "piece",
    "kind",
    "quantity",
    "laminations",
    "to_saw",
    "thickness_mm",
    "length_mm",
    "breadth_mm",
    "note",
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CutRow:
    """One row of the cut list.

    Attributes:
        piece, kind: its name and the kind of member or timber.
        stock: what it is sawn of, in words.
        quantity: by hand, in words.
        hands: how many of it the boat has.
        laminations: how many are glued into one of it.
        thickness: of one lamination, mm.
        length, breadth: of the wood that one is sawn from, both faces counted, mm.
        finished: its breadth once it is bevelled, mm, where that is less.
        bent: it is a timber that runs through the boat; a straight strip of that length is sawn.
        grain: as in the pattern.
        pattern: its pattern; None for a timber.
    """

    piece: str
    kind: str
    stock: str
    quantity: str
    hands: int
    laminations: int
    thickness: float
    length: float
    breadth: float
    finished: float | None = None
    bent: bool = False
    grain: XY = (0.0, 0.0)
    pattern: Pattern | None = None

    @property
    def count(self) -> int:
        """How many are sawn, laminations counted."""
        return self.hands * self.laminations


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class StockCuts:
    """One kind of stock with all that is sawn of it; ``spec`` is None where the design gives no size of it."""

    name: str
    spec: StockSpec | None
    cuts: tuple[CutRow, ...]


def cuts_of(boat: Boat, patterns: Sequence[Pattern]) -> tuple[CutRow, ...]:
    """Every pattern and every timber, in their order; a paper to mark wood by, or to lay pieces on, is no piece."""
    found = []
    for pattern in patterns:
        if pattern.template or pattern.role is Role.LAYOUT:
            continue
        across, up = pattern.size()
        thick, broad = pattern.thickness / pattern.laminations, min(across, up)
        if pattern.on_edge:
            thick, broad = pattern.on_edge, pattern.thickness
        found.append(
            CutRow(
                piece=pattern.name,
                kind=pattern.member,
                stock=pattern.stock or NOT_NAMED,
                quantity=pattern.quantity,
                hands=pattern.made,
                laminations=pattern.laminations,
                thickness=thick,
                length=max(across, up),
                breadth=broad,
                grain=pattern.grain,
                pattern=pattern,
            )
        )
    names = {pattern.name for pattern in patterns}
    for run in boat.runs:
        if run.name in names:
            continue
        found.append(
            CutRow(
                piece=run.name,
                kind=run.kind,
                stock=run.stock or NOT_NAMED,
                quantity=quantity_words(Hand.PAIR if run.mirrored else Hand.CENTRE),
                hands=2 if run.mirrored else 1,
                laminations=run.laminations,
                thickness=run.deep / run.laminations,
                length=run.length,
                breadth=_before_bevelling(run),
                finished=run.across if _before_bevelling(run) > run.across else None,
                bent=True,
            )
        )
    return tuple(found)


def _before_bevelling(run: Run) -> float:
    """The breadth of the stick that a timber is sawn from, mm, its edge not bevelled yet."""
    widest, _ = measured(run).widest
    return widest if run.mirrored and widest > run.across + BEVELLED else run.across


def stocks_of(boat: Boat, cuts: Sequence[CutRow]) -> tuple[StockCuts, ...]:
    """The cuts by stock, in the order in which the stock is first named; what the design sizes comes first."""
    specs = {spec.name.casefold(): spec for spec in boat.design.all(StockSpec)}
    groups: dict[str, list[CutRow]] = {key: [] for key in specs}
    for cut in cuts:
        groups.setdefault(cut.stock.casefold(), []).append(cut)
    return tuple(
        StockCuts(
            name=specs[key].name if key in specs else group[0].stock, spec=specs.get(key), cuts=tuple(group)
        )
        for key, group in groups.items()
        if group
    )


def lengths_of(cut: CutRow, spec: StockSpec) -> int:
    """Of how many lengths of the stock a piece is scarfed; 1 where it is short enough, or no scarf is given.

    Timbers are, and what is sawn of boards; a sheet's scarfs are given with its strake.
    """
    room = spec.length - spec.gap
    if not (cut.bent or spec.kind == "board") or spec.scarf_ratio is None or cut.length <= room:
        return 1
    scarf = spec.scarf_ratio * cut.thickness
    return math.ceil((cut.length - scarf) / (room - scarf) - 1e-9) if room > scarf else 1


def one_length(cut: CutRow, spec: StockSpec) -> float:
    """How long each of these is, scarfs and all, mm: they are of one length."""
    count = lengths_of(cut, spec)
    scarf = (spec.scarf_ratio or 0.0) * cut.thickness
    return (cut.length + (count - 1) * scarf) / count


def too_thick(cut: CutRow, spec: StockSpec) -> bool:
    """Whether one lamination of it is thicker than the stock."""
    return cut.thickness > spec.thickness + SLACK


def scarf_words(cut: CutRow, spec: StockSpec | None) -> str:
    """What is to be said where a piece is longer than its stock: how many lengths, and the scarf; else nothing."""
    if spec is None or cut.length <= spec.length - spec.gap:
        return ""
    over = f"longer than a {spec.kind} ({spec.length:.0f} mm)"
    count = lengths_of(cut, spec)
    if count == 1:
        return f"{over}: " + (
            "scarf it; no scarf is given" if cut.bent or spec.kind == "board" else "join it in its length"
        )
    scarf = (spec.scarf_ratio or 0.0) * cut.thickness
    return (
        f"{over}: {count} lengths of {one_length(cut, spec):.0f} mm, scarfs of {scarf:.0f} mm "
        f"({spec.scarf_ratio:g}:1)"
    )


def notes_on(cut: CutRow, spec: StockSpec | None) -> str:
    """What else is to be said of one row: a thickness that the stock has not, a scarf."""
    said = ["true length"] if cut.bent else []
    if cut.finished is not None:
        said.append(f"{cut.finished:g} mm wide once it is bevelled")
    if spec is not None and abs(spec.thickness - cut.thickness) > SLACK:
        said.append(f"{cut.thickness:.1f} mm of stock {spec.thickness:g} mm thick")
    scarf = scarf_words(cut, spec)
    return "; ".join([*said, scarf] if scarf else said)


def cut_table(stocks: Sequence[StockCuts]) -> str:
    """The cut list as CSV, grouped by stock."""
    rows: list[Sequence[object]] = [HEADS]
    for stock in stocks:
        for cut in stock.cuts:
            rows.append((
                stock.name,
                cut.piece,
                cut.kind,
                cut.quantity,
                cut.laminations,
                cut.count,
                f"{cut.thickness:.4g}",
                f"{cut.length:.0f}",
                f"{cut.breadth:.0f}",
                notes_on(cut, stock.spec),
            ))  # fmt: skip
    return csv_text(rows)


def grain_turn(grain: XY, spec: StockSpec) -> float | None:
    """How far a piece is turned, radians anticlockwise, so that its grain lies along the stock's; None: any way."""
    if spec.grain == "either" or not any(grain):
        return None
    along = 0.0 if spec.grain == "along length" else 0.5 * np.pi
    return float(along - np.arctan2(grain[1], grain[0]))
