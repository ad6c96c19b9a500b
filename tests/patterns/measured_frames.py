"""Invented frames measured in a boat, for the bench: round, chine and clinker, each with what is true of them.

Every frame is drawn anew from its own seed.  Its readings are made here by plain trigonometry and not by the model:
a distance is a hypotenuse, an ordinate a difference of coordinates.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

import numpy as np

from patterns.hull.planes import FloatArray
from patterns.repair.places import Nail, Places, Side, StraightEdge
from patterns.repair.points import MeasuredPoint, Method
from patterns.table.values import Place

__all__ = ["KINDS", "SIDES", "SIXTEENTH", "Fault", "TrueFrame", "measured", "true_frame"]

KINDS = ("round", "chine", "clinker")
SIDES: tuple[Side, Side] = ("port", "starboard")
SIXTEENTH = 25.4 / 16
WOOD = 0.2  # mm; standard deviation of old wood beside the fair edge
Curve = Callable[[FloatArray], FloatArray]


@dataclass(frozen=True, kw_only=True, eq=False)
class TrueFrame:
    """A frame as it is in the boat.

    Attributes:
        curves: by side and stretch, places (n, 2) at shares (n,).
        stretches: their names, from the heel up.
        nails: out and up of the nails that each side has, mm.
        plumb, board: out of the plumb line, and height of the board, mm.
    """

    kind: str
    curves: Mapping[tuple[Side, str], Curve]
    stretches: tuple[str, ...]
    nails: Mapping[str, FloatArray]
    plumb: FloatArray
    board: FloatArray

    def off(self, side: Side, stretch: str, places: FloatArray) -> FloatArray:
        """How far places (n, 2) lie from the true edge, mm."""
        line = self.curves[side, stretch](np.linspace(-0.1, 1.1, 1500))
        start, step = line[:-1], np.diff(line, axis=0)
        found = []
        for place in places:
            share = np.clip(np.sum((place - start) * step, axis=1) / np.sum(step * step, axis=1), 0.0, 1.0)
            found.append(float(np.hypot(*(place - start - share[:, None] * step).T).min()))
        return np.array(found)


@dataclass(frozen=True, kw_only=True, eq=False)
class Fault:
    """What goes wrong while a frame is measured.

    Attributes:
        moved: by reference and side, by how much it is elsewhere than is written down, (2,), mm.
        slips: by side, point's name and place of the value, what is read too much, mm.
    """

    moved: Mapping[tuple[str, Side], FloatArray] = field(default_factory=dict)
    slips: Mapping[tuple[Side, str, int], float] = field(default_factory=dict)


def true_frame(kind: str, rng: np.random.Generator) -> TrueFrame:
    """One of a kind."""
    breadth, depth = rng.uniform(480.0, 760.0), rng.uniform(420.0, 640.0)
    lines = {"round": _round, "chine": _chine, "clinker": _clinker}[kind](rng, breadth, depth)
    curves: dict[tuple[Side, str], Curve] = {}
    unlike = rng.normal(0.0, 1.0, 4)
    for side in SIDES:
        sign = 0.5 if side == "port" else -0.5
        for name, line in lines.items():
            curves[side, name] = _beside(line, sign * unlike, depth)
    up = rng.uniform(0.45, 0.7) * depth
    return TrueFrame(
        kind=kind,
        curves=curves,
        stretches=tuple(lines),
        nails={
            "A": np.array([rng.uniform(0.15, 0.3) * breadth, up + rng.uniform(60.0, 160.0)]),
            "B": np.array([rng.uniform(0.15, 0.3) * breadth, up - rng.uniform(150.0, 220.0)]),
            "C": np.array([rng.uniform(0.55, 0.7) * breadth, up + rng.uniform(60.0, 200.0)]),
        },
        plumb=np.array([rng.uniform(0.35, 0.6) * breadth, 1.2 * depth]),
        board=np.array([0.0, up]),
    )


def _beside(line: Curve, unlike: FloatArray, depth: float) -> Curve:
    """A side's own line: out by some mm, and by some more the higher it is."""

    def own(share: FloatArray) -> FloatArray:
        at = line(share)
        high = at[:, 1] / depth
        more = unlike[0] + unlike[1] * high, unlike[2] + unlike[3] * (1.0 - high)
        return np.asarray(at + np.stack(more, axis=-1))

    return own


def _bezier(corners: FloatArray) -> Curve:
    """A cubic through the first and the last of four corners."""

    def line(share: FloatArray) -> FloatArray:
        t = share[:, None]
        return np.asarray(
            (1 - t) ** 3 * corners[0]
            + 3 * (1 - t) ** 2 * t * corners[1]
            + 3 * (1 - t) * t**2 * corners[2]
            + t**3 * corners[3]
        )

    return line


def _round(rng: np.random.Generator, breadth: float, depth: float) -> dict[str, Curve]:
    rise, full = rng.uniform(0.02, 0.3), rng.uniform(0.6, 1.05)
    corners = np.array([
        [30.0, 40.0],
        [30.0 + full * (breadth - 30.0), 40.0 + rise * depth],
        [breadth * rng.uniform(0.96, 1.06), 40.0 + depth * rng.uniform(0.2, 0.5)],
        [breadth, 40.0 + depth],
    ])  # fmt: skip
    return {"planking": _bezier(corners)}


def _arc(a: FloatArray, b: FloatArray, sag: float) -> Curve:
    """A parabola between two places that bulges out by so many mm."""
    normal = np.array([b[1] - a[1], a[0] - b[0]]) / np.hypot(*(b - a))

    def line(share: FloatArray) -> FloatArray:
        t = share[:, None]
        return np.asarray(a + t * (b - a) + 4.0 * sag * t * (1.0 - t) * normal)

    return line


def _chine(rng: np.random.Generator, breadth: float, depth: float) -> dict[str, Curve]:
    heel = np.array([30.0, 40.0])
    chine = np.array([breadth * rng.uniform(0.72, 0.9), 40.0 + depth * rng.uniform(0.12, 0.34)])
    sheer = np.array([breadth, 40.0 + depth])
    return {
        "bottom": _arc(heel, chine, rng.uniform(-4.0, 18.0)),
        "side": _arc(chine, sheer, rng.uniform(-2.0, 14.0)),
    }


def _clinker(rng: np.random.Generator, breadth: float, depth: float) -> dict[str, Curve]:
    whole = _round(rng, breadth, depth)["planking"]
    many, step = int(rng.integers(4, 7)), rng.uniform(7.0, 11.0)
    lines: dict[str, Curve] = {}
    shares = np.linspace(0.0, 1.0, many + 1)
    start = whole(shares[:1])[0]
    for k in range(many):
        end = whole(shares[k + 1 : k + 2])[0]
        lines[f"strake {k + 1}"] = _arc(start, end, rng.uniform(0.0, 3.0))
        if k == many - 1:
            break
        way = (end - start) / np.hypot(*(end - start))
        out = end + step * np.array([way[1], -way[0]])
        lines[f"land {k + 1}"] = _arc(end, out, 0.0)
        start = out
    return lines


def measured(
    frame: TrueFrame,
    rng: np.random.Generator,
    *,
    hand: float,
    step: float,
    apart: float = 100.0,
    fault: Fault | None = None,
    ways: tuple[str, ...] = ("nails", "two nails", "plumb", "board", "half-breadth"),
    strake: int = 3,
) -> tuple[list[MeasuredPoint], Places]:
    """The frame's points as they are read, and where the nails and lines are said to be.

    Args:
        hand: standard deviation of the hand, mm.
        step: mm to which the tape is read.
        apart: mm from point to point.
        fault: what goes wrong.
        ways: by which its points are measured, one after another.
        strake: points of a strake of a clinker frame, its lands included.
    """
    fault = fault or Fault()
    places = Places(
        nails={
            f"{side[0].upper()}{name}": Nail(
                name=f"{side[0].upper()}{name}",
                y=float(at[0] if side == "starboard" else -at[0]),
                z=float(at[1]),
            )
            for side in SIDES
            for name, at in frame.nails.items()
        },
        edges={
            "plumb": _line("plumb", frame.plumb, (0.0, -1.0), (1.0, 0.0)),
            "board": _line("board", frame.board, (1.0, 0.0), (0.0, -1.0)),
        },
    )
    order = list(rng.permutation(ways))
    points: list[MeasuredPoint] = []
    for side in SIDES:
        number = 0
        for k, stretch in enumerate(frame.stretches):
            line = frame.curves[side, stretch]
            fine = line(np.linspace(0.0, 1.0, 200))
            length = float(np.hypot(*np.diff(fine, axis=0).T).sum())
            land = stretch.startswith("land")
            many = (
                2 if land else strake if frame.kind == "clinker" else max(int(np.ceil(length / apart)), 3) + 1
            )
            shares = np.linspace(0.0, 1.0, many)
            for share in shares[1 if k else 0 :]:
                number += 1
                share += 0.0 if share in (0.0, 1.0) else rng.uniform(-0.2, 0.2) / (many - 1)
                at = line(np.array([share]))[0] + rng.normal(0.0, WOOD, 2)
                corner = "corner" if share == 1.0 and k < len(frame.stretches) - 1 else ""
                way = order[number % len(order)]
                points.append(
                    _point(frame, rng, (side, stretch, str(number), corner), at, way, hand, step, fault)
                )
    return points, places


def _line(name: str, start: FloatArray, along: tuple[float, float], off: tuple[float, float]) -> StraightEdge:
    return StraightEdge(name=name, side=None, start=start, along=np.array(along), off=np.array(off))


def _point(
    frame: TrueFrame,
    rng: np.random.Generator,
    names: tuple[Side, str, str, str],
    at: FloatArray,
    way: str,
    hand: float,
    step: float,
    fault: Fault,
) -> MeasuredPoint:
    side, stretch, name, corner = names
    h = side[0].upper()

    def moved(reference: str) -> FloatArray:
        return np.asarray(fault.moved.get((reference, side), np.zeros(2)))

    sources: tuple[str, ...] = ()
    lies = None
    method: Method = "half-breadth"
    if way in ("nails", "two nails"):
        method = "nails"
        # The two that see the point squarest, and the third as a check.
        used = list(frame.nails)
        if way == "two nails":
            used = max((["A", "B"], ["A", "C"], ["B", "C"]), key=lambda pair: _square(at, frame, pair))
            first, second = (frame.nails[nail] for nail in used)
            run = (second - first) / np.hypot(*(second - first))
            left = float(np.array([-run[1], run[0]]) @ (at - first))
            normal = np.array([-run[1], run[0]]) * np.sign(left)
            k = int(np.abs(normal).argmax())
            lies = (("outboard", "inboard"), ("up", "down"))[k][0 if normal[k] > 0 else 1]
        sources = tuple(f"{h}{nail}" for nail in used)
        true = [float(np.hypot(*(at - frame.nails[nail] - moved(f"{h}{nail}")))) for nail in used]
    elif way == "plumb":
        method, sources = "ordinate", ("plumb",)
        gap = at - frame.plumb - moved("plumb")
        true = [float(-gap[1]), float(gap[0])]
    elif way == "board":
        method, sources = "ordinate", ("board",)
        gap = at - frame.board - moved("board")
        true = [float(gap[0]), float(-gap[1])]
    else:
        gap = at - moved("")
        true = [float(gap[0]), float(gap[1])]
    read = [
        round((value + rng.normal(0.0, hand)) / step) * step + fault.slips.get((side, name, k), 0.0)
        for k, value in enumerate(true)
    ]
    cell = Place(file="points.csv", row=1, column=1)
    return MeasuredPoint(
        side=side,
        edge=stretch,
        name=name,
        corner=corner,
        method=method,
        sources=sources,
        values=tuple(read),
        lies=lies,  # type: ignore[arg-type]
        bevel=None,
        places=tuple(cell for _ in read),
        place=cell,
    )


def _square(at: FloatArray, frame: TrueFrame, pair: list[str]) -> float:
    one, two = ((at - frame.nails[nail]) / np.hypot(*(at - frame.nails[nail])) for nail in pair)
    return abs(float(one[0] * two[1] - one[1] * two[0]))
