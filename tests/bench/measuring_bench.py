"""The measuring model: how often faults are named, sound frames are doubted, and how true edges and bands are.

    python -m tests.bench.measuring_bench [FRAMES] [sound|references|slips]

Invented frames of three kinds are measured by mixed methods with a hand that shakes by 0.6 mm (sound ones by
1.0 mm too), points a hand apart, read to 1 mm and to 1/16 in in turn.

Printed in hundredths: frames with a false doubt; faults that are named among the causes, and first; the same of
those that the readings can tell, from the size on that `check` itself would name 95 times in 100; and of slips
that move their point across the edge by more than half of their size. Edges in mm: the worst place of each
frame, in the middle and in 95 of 100 frames, and the error that 95 of 100 places have; the share of places
inside the stated band, and the part of it that 95 of 100 errors fill.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

import numpy as np

from patterns.hull.planes import FloatArray
from patterns.measure import Notation
from patterns.repair.measuring.curves import SURELY
from patterns.repair.measuring.faults import MOVED, SLIP, Cause, Suspicion, place_columns
from patterns.repair.measuring.judge import Verdict
from patterns.repair.measuring.model import Model
from patterns.repair.measuring.solve import solved
from patterns.repair.measuring.unseen import cost_of, shown_from
from tests.patterns.measured_frames import KINDS, SIDES, SIXTEENTH, Fault, TrueFrame, measured, true_frame

FRAMES = 24
ALLOW = SIXTEENTH
LEVER = 0.5


@dataclass(kw_only=True)
class Tried:
    """One frame with a fault."""

    shown: bool
    lever: bool
    named: bool
    first: bool
    asked: bool
    worst: float


@dataclass(kw_only=True)
class Case:
    """One frame of a kind, to be measured with or without a fault."""

    kind: str
    seed: int
    hand: float = 0.6
    step: float = field(init=False)
    frame: TrueFrame = field(init=False)

    def __post_init__(self) -> None:
        self.step = (1.0, SIXTEENTH)[self.seed % 2]
        self.frame = true_frame(self.kind, np.random.default_rng(9000 + self.seed))

    def verdict(self, fault: Fault | None = None) -> Verdict:
        """What the model says of it."""
        rng = np.random.default_rng(self.seed)
        points, places = measured(self.frame, rng, hand=self.hand, step=self.step, fault=fault)
        notation = Notation.MM if self.step == 1.0 else Notation.FEET_INCHES_EIGHTHS
        return solved({"": points}, places, allow=ALLOW, step=self.step, notation=notation)

    def errors(self, model: Model) -> tuple[FloatArray, FloatArray]:
        """The edge's errors and the half widths of its bands at places of both sides, mm."""
        off, band = [], []
        for side, stretch in self.frame.curves:
            if stretch.startswith("land"):
                continue
            places, spread = model.edge("", side, stretch, np.linspace(*model.span("", side, stretch), 21))
            off.append(self.frame.off(side, stretch, places))
            band.append(SURELY * spread)
        return np.concatenate(off), np.concatenate(band)


def sound(many: int) -> None:
    """Frames without a fault."""
    print("sound     hand  doubted  worst edge 50/95   95 of places  inside band  fills")
    for kind in KINDS:
        for hand in (0.6, 1.0):
            doubted, worst, off, band = 0, [], [], []
            for seed in range(4 * many):
                case = Case(kind=kind, seed=seed, hand=hand)
                verdict = case.verdict()
                doubted += bool(verdict.named)
                error, width = case.errors(verdict.model)
                worst.append(error.max())
                off.append(error)
                band.append(width)
            errors, bands = np.concatenate(off), np.concatenate(band)
            middle, most = np.quantile(worst, [0.5, 0.95])
            print(
                f"{kind:8s} {hand:5.1f} {100 * doubted / (4 * many):7.1f} {middle:10.1f} {most:6.1f} "
                f"{np.quantile(errors, 0.95):13.1f} {100 * np.mean(errors < bands):12.0f} "
                f"{np.quantile(errors / bands, 0.95):9.2f}",
                flush=True,
            )


def references(many: int) -> None:
    """One reference elsewhere than is written down: a nail, or plumb line or board on one side or on both."""
    _table("reference", (10.0, 15.0, 25.0), many, _misplaced, _reference_right)


def slips(many: int) -> None:
    """One reading wrong."""
    _table("reading", (10.0, 25.0), many, _slipped, _slip_right)


def _misplaced(case: Case, size: float) -> Fault:
    rng = np.random.default_rng(500 + case.seed)
    angle = rng.uniform(0.0, 2.0 * np.pi)
    move = size * np.array([np.cos(angle), np.sin(angle)])
    side = SIDES[rng.integers(2)]
    name = ("plumb", "board", "nail")[rng.integers(3)]
    if name == "nail":
        return Fault(moved={(f"{side[0].upper()}{'ABC'[rng.integers(3)]}", side): move})
    return Fault(moved={(name, one): move for one in (SIDES if rng.random() < 0.5 else (side,))})


def _slipped(case: Case, size: float) -> Fault:
    rng = np.random.default_rng(500 + case.seed)
    points, _ = measured(case.frame, np.random.default_rng(case.seed), hand=case.hand, step=case.step)
    point = points[rng.integers(len(points))]
    which = int(rng.integers(len(point.values)))
    return Fault(slips={(point.side, point.name, which): size * float(rng.choice([-1.0, 1.0]))})


def _reference_right(fault: Fault, cause: Suspicion, model: Model) -> bool:
    return cause.cause is Cause.PLACE and {(key[0], key[2]) for key, _ in cause.refs} == {*fault.moved}


def _slip_right(fault: Fault, cause: Suspicion, model: Model) -> bool:
    ((side, name, which),) = fault.slips
    if cause.cause is not Cause.SLIP:
        return False
    i, k = cause.readings[0]
    point = model.frames.spots[i].measured
    return (point.side, point.name, k) == (side, name, which)


def _strength(fault: Fault, model: Model) -> tuple[float, bool] | None:
    """From how many mm the fault would be named, and whether it moves its point across; None if unused."""
    inverse, rows = model.inverse[model.likeliest], model.rows
    if fault.moved:
        columns = place_columns(model.frames, rows)
        own = [columns[name, "", side][:, :2] for name, side in fault.moved if (name, "", side) in columns]
        if not own:
            return None
        column = rows.reading @ np.sum(own, axis=0)
        information = column.T @ inverse @ column
        move = next(iter(fault.moved.values()))
        way = move / np.hypot(*move)
        cost = cost_of(information, np.full(2, MOVED), Cause.PLACE)
        return float(shown_from(np.array([way @ information @ way]), cost)[0]), True
    ((side, name, which),) = fault.slips
    spots = model.frames.spots
    i = next(i for i, s in enumerate(spots) if (s.side, s.measured.name) == (side, name))
    column = rows.reading[:, [rows.readings.index((i, which))]]
    information = column.T @ inverse @ column
    cost = cost_of(information, np.full(1, SLIP), Cause.SLIP)
    across = float(np.sqrt(np.square(column).sum())) * model.frames.error
    return float(shown_from(information[0], cost)[0]), across > LEVER


def _tried(
    case: Case, fault: Fault, size: float, right: Callable[[Fault, Suspicion, Model], bool]
) -> Tried | None:
    strength = _strength(fault, case.verdict().model)
    if strength is None:
        return None
    verdict = case.verdict(fault)
    named = verdict.named[0] if verdict.named else None
    causes = [] if named is None else [named.fault, *named.rivals]
    hits = [right(fault, cause, verdict.model) for cause in causes]
    return Tried(
        shown=size >= strength[0],
        lever=strength[1],
        named=any(hits),
        first=bool(hits) and hits[0],
        asked=verdict.asked,
        worst=float(case.errors(verdict.model)[0].max()),
    )


def _table(
    what: str,
    sizes: tuple[float, ...],
    many: int,
    fault: Callable[[Case, float], Fault],
    right: Callable[[Fault, Suspicion, Model], bool],
) -> None:
    print(f"{what:9s}  mm  named first | can tell  named first | lever  named first | edge then 50/95  asked")
    for kind in KINDS:
        for size in sizes:
            found: list[Tried] = []
            for seed in range(many):
                case = Case(kind=kind, seed=seed)
                tried = _tried(case, fault(case, size), size, right)
                found += [] if tried is None else [tried]
            _row(kind, size, found)


def _row(kind: str, size: float, found: list[Tried]) -> None:
    def shares(chosen: list[Tried]) -> str:
        many = max(len(chosen), 1)
        return " ".join(
            f"{100 * sum(values) / many:5.0f}"
            for values in ([one.named for one in chosen], [one.first for one in chosen])
        )

    shown, lever = [one for one in found if one.shown], [one for one in found if one.lever]
    remedied = [one.worst for one in found if one.named and not one.asked] or [np.nan]
    middle, most = np.quantile(remedied, [0.5, 0.95])
    print(
        f"{kind:8s} {size:4.0f}  {shares(found)} | {100 * len(shown) / len(found):7.0f}  {shares(shown)} | "
        f"{100 * len(lever) / len(found):5.0f}  {shares(lever)} | {middle:8.1f} {most:5.1f} "
        f"{100 * np.mean([one.asked for one in found]):9.0f}",
        flush=True,
    )


def _parts(names: list[str]) -> Iterator[Callable[[int], None]]:
    for part in (sound, references, slips):
        if not names or part.__name__ in names:
            yield part


def main() -> None:
    """Print the tables."""
    numbers = [int(word) for word in sys.argv[1:] if word.isdigit()]
    for part in _parts([word for word in sys.argv[1:] if not word.isdigit()]):
        part(numbers[0] if numbers else FRAMES)


if __name__ == "__main__":
    main()
