"""A repair, read and checked whole: the broken frame's edge on each side, with its bevels."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from patterns.design.file import DESIGN_FILE, BoatSpec, FairingSpec, MarksSpec
from patterns.design.parts import REPAIR_TABLES, Parts, parts_of, read_toml
from patterns.design.repair_models import (
    EdgeSpec,
    NailSpec,
    NeighbourSpec,
    PieceSpec,
    RepairSpec,
    StraightEdgeSpec,
)
from patterns.errors import DesignError, Problem
from patterns.fairing.suspects import written_to
from patterns.hull.planes import FloatArray
from patterns.measure import Notation, format_length
from patterns.repair.doubts import disagreements, doubted_points
from patterns.repair.fairing import FairSide, fair_side, order_problems
from patterns.repair.fixing import Fixed, fix
from patterns.repair.outline import Edge, Stretch, moved_out
from patterns.repair.places import SIDES, Places, Side, places_of
from patterns.repair.points import Measured, read_points
from patterns.repair.rules import rules, side_problems
from patterns.repair.slopes import Beside, by_gauge, gauge_against, with_bevels

__all__ = ["Repair", "is_repair", "load_repair"]

WEAK = 3.0  # a point that is off by more than this for 1 in its values is badly fixed
SPARSE = 250.0  # mm between points of a curved stretch beyond which the batten guesses
GAUGE = np.radians(2.0)  # gauge and neighbours may differ by this
FEW = 6  # points of a stretch with which a slip can be told


@dataclass(frozen=True, kw_only=True, eq=False)
class Repair:
    """One broken frame.

    Attributes:
        spec, pieces, edges, fairing, marks: the design file's tables.
        sides: as measured and faired, by side; the edge lies where it was measured.
        edges_of: the inside of planking in the plane of the measured face, by side, for the sides that are made.
        symmetrical: both sides have one shape.
        doubts: points that do not fit.
        warnings: what else is doubtful.
        files: what was read.
        step: mm to which the points were read.
    """

    name: str
    spec: RepairSpec
    pieces: tuple[tuple[str, PieceSpec], ...]
    edges: tuple[EdgeSpec, ...]
    fairing: FairingSpec
    marks: MarksSpec
    sides: Mapping[Side, FairSide]
    edges_of: Mapping[Side, Edge]
    symmetrical: bool
    doubts: tuple[Problem, ...]
    warnings: tuple[Problem, ...]
    files: tuple[str, ...]
    step: float

    def length_words(self, mm: float) -> str:
        """A length for the bench: mm, and the points' own notation where that is another."""
        if self.spec.notation in (Notation.MM, Notation.CM, Notation.M):
            return f"{mm:.1f} mm"
        return f"{mm:.1f} mm ({format_length(mm, self.spec.notation)})"

    def measured(self, side: Side) -> FairSide:
        """A side as measured; the other one where only that was, or where its shape is taken for both."""
        own = self.spec.sides if self.spec.sides in ("port", "starboard") else side
        return self.sides[own] if own in self.sides else next(iter(self.sides.values()))

    @property
    def behind(self) -> float:
        """Which way along the boat one goes through the old wood from the measured face: 1 aft, -1 forward."""
        return -1.0 if self.spec.looking == "forward" else 1.0

    def moulded(self, stretch: str, spec: PieceSpec) -> float:
        """The moulding of a stretch of a piece, mm."""
        own = next((edge.moulded for edge in self.edges if edge.name == stretch and edge.moulded), None)
        return spec.moulded or own or self.spec.moulded


def is_repair(folder: Path) -> bool:
    """Whether a design folder holds a repair; one that cannot be read is none."""
    raw, _ = read_toml(folder)
    return "repair" in raw


def load_repair(folder: Path) -> Repair:
    """Read a repair's folder and check it whole.

    Raises:
        DesignError: with every problem that was found.
    """
    raw, problems = read_toml(folder)
    parts = parts_of(raw, REPAIR_TABLES)
    problems += [*parts.problems, *rules(parts)]
    places, more = places_of(parts.all(NailSpec), parts.all(StraightEdgeSpec))
    problems += more
    places = replace(places, broken=places.broken | _unread(parts, places))
    spec = parts.one(RepairSpec)
    if spec is None:
        raise DesignError(problems)
    fairing = parts.one(FairingSpec) or FairingSpec()
    straight = {edge.name for _, edge in parts.all(EdgeSpec) if edge.straight}
    points, more = read_points(folder / spec.points, notation=spec.notation, known=places)
    problems += more
    neighbours = []
    for _, neighbour in parts.all(NeighbourSpec):
        own, more = read_points(folder / neighbour.points, notation=spec.notation, known=places)
        problems += more
        neighbours.append((neighbour, own))
    if problems:
        raise DesignError(problems)
    sides, problems = _faired(points, places, fairing, straight)
    beside: dict[Side, list[Beside]] = {side: [] for side in SIDES}
    fixed_badly = [point for side in sides.values() for point in side.points]
    for neighbour, own in neighbours:
        there, more = _faired(own, places, fairing, straight)
        problems += more
        way = 1.0 if neighbour.stands == spec.looking else -1.0
        for name, side in there.items():
            beside[name].append(Beside(name=neighbour.name, depth=way * neighbour.spacing, edge=side.edge))
    if problems:
        raise DesignError(problems)
    problems = list(side_problems(parts, spec, sides))
    if problems:
        raise DesignError(problems)
    bevelled = {name: with_bevels(side, beside[name]) for name, side in sides.items()}
    problems = list(_bevel_problems(parts, bevelled))
    if problems:
        raise DesignError(problems)
    step = written_to(np.array([value for point in points for value in point.values]), spec.notation)
    pieces = tuple(parts.all(PieceSpec)) or ((f"{DESIGN_FILE}, [repair]", PieceSpec(kind="frame")),)
    boat = parts.one(BoatSpec)
    assert boat is not None
    return Repair(
        name=boat.name,
        spec=spec,
        pieces=pieces,
        edges=tuple(edge for _, edge in parts.all(EdgeSpec)),
        fairing=fairing,
        marks=parts.one(MarksSpec) or MarksSpec(),
        sides=bevelled,
        edges_of=_made(spec, bevelled),
        symmetrical=spec.sides != "each",
        doubts=tuple(_doubts(bevelled, places, spec.notation, fairing.allow, 0.5 * step)),
        warnings=tuple(_warnings(spec, bevelled, beside, fixed_badly)),
        files=(DESIGN_FILE, spec.points, *(neighbour.points for neighbour, _ in neighbours)),
        step=step,
    )


def _unread(parts: Parts, places: Places) -> frozenset[str]:
    """Nails and straight edges that stand in the file and could not be read."""
    named = {*parts.names.get("nail", []), *parts.names.get("straight_edge", [])}
    return frozenset(named - {*places.nails, *places.edges})


def _faired(
    points: Sequence[Measured], places: Places, fairing: FairingSpec, straight: set[str]
) -> tuple[dict[Side, FairSide], list[Problem]]:
    """Every side of one frame that was measured."""
    found: dict[Side, FairSide] = {}
    problems: list[Problem] = []
    for side in SIDES:
        own = [fix(point, places) for point in points if point.side == side]
        lost = [point for point in own if isinstance(point, Problem)]
        problems += lost
        fixed = [point for point in own if isinstance(point, Fixed)]
        if lost or not fixed:
            continue
        made, more = fair_side(fixed, allow=fairing.allow, ends=fairing.ends, straight=straight)
        problems += more
        problems += _exchanged(fixed, places) if more else []
        if made is not None:
            found[side] = made
    return found, problems


def _exchanged(points: Sequence[Fixed], places: Places) -> list[Problem]:
    """The points that would put an edge in order again if their first two values were exchanged."""
    found = []
    for i, fixed in enumerate(points):
        first, second, *rest = fixed.measured.values
        other = fix(replace(fixed.measured, values=(second, first, *rest)), places)
        if isinstance(other, Fixed) and not order_problems([*points[:i], other, *points[i + 1 :]]):
            found.append(
                Problem(
                    str(fixed.measured.places[0]),
                    f"a and b exchanged at point {fixed.measured.name} would put that edge in order",
                    "look at the row again",
                )
            )
    return found


def _bevel_problems(parts: Parts, sides: Mapping[Side, FairSide]) -> list[Problem]:
    """A sister needs bevels; so does whatever is taken in from the outside by more than a guess."""
    bare = [
        f"{stretch.name} ({name})"
        for name, side in sides.items()
        for stretch in side.edge.stretches
        if not np.isfinite(stretch.slope).all()
    ]
    if not bare:
        return []
    return [
        Problem(
            place,
            f"a sister is a new section beside the old frame, and no bevel is known of the {', '.join(bare)}",
            "hold a gauge to each stretch and write its reading in the column bevel, or measure a neighbour",
        )
        for place, piece in parts.all(PieceSpec)
        if piece.kind == "sister"
    ]


def _made(spec: RepairSpec, sides: Mapping[Side, FairSide]) -> dict[Side, Edge]:
    """The inside of planking of every side that is made."""
    edges = {name: _inside(spec, side.edge) for name, side in sides.items()}
    match spec.sides:
        case "each":
            return edges
        case "mean":
            mean = _mean(edges["port"], edges["starboard"])
            return {"port": mean, "starboard": mean}
        case one:
            return {"port": edges[one], "starboard": edges[one]}


def _inside(spec: RepairSpec, edge: Edge) -> Edge:
    """The planking taken off, square to it, where its outside was measured: in the plane t / sin(bevel)."""
    if spec.measured != "outside of planking" or spec.planking is None:
        return edge
    slopes = [np.nan_to_num(stretch.slope, nan=0.0) for stretch in edge.stretches]
    return moved_out(edge, [-spec.planking * np.sqrt(1.0 + slope**2) for slope in slopes])


def _mean(first: Edge, second: Edge) -> Edge:
    """The edge half way between two, stretch by stretch at equal shares of their lengths."""
    stretches = []
    for one, other in zip(first.stretches, second.stretches, strict=True):
        at = one.run / one.run[-1] * other.run[-1]

        def along(values: FloatArray, at: FloatArray = at, run: FloatArray = other.run) -> FloatArray:
            return np.asarray(np.interp(at, run, values))

        points = 0.5 * (one.points + np.stack([along(other.points[:, k]) for k in (0, 1)], axis=-1))
        out = one.out + np.stack([along(other.out[:, k]) for k in (0, 1)], axis=-1)
        stretches.append(
            Stretch(
                name=one.name,
                points=points,
                out=out / np.linalg.norm(out, axis=-1, keepdims=True),
                slope=0.5 * (one.slope + along(other.slope)),
                hollow=0.5 * (one.hollow + along(other.hollow)),
            )
        )
    return replace(first, stretches=tuple(stretches))


def _doubts(
    sides: Mapping[Side, FairSide], places: Places, notation: Notation, allow: float, least: float
) -> list[Problem]:
    found: list[Problem] = []
    for side in sides.values():
        found += [d.problem(places, notation) for d in doubted_points(side, allow=allow, least=least)]
        found += disagreements(side, allow=max(allow, least), notation=notation, places=places)
    return found


def _warnings(
    spec: RepairSpec,
    sides: Mapping[Side, FairSide],
    beside: Mapping[Side, Sequence[Beside]],
    points: Sequence[Fixed],
) -> list[Problem]:
    found = [
        Problem(
            str(point.measured.place),
            f"point {point.measured.name} of the {point.measured.side} side is fixed badly: 1 mm in a distance "
            f"moves it by {point.unsure:.0f} mm or more",
            "measure it from nails that lie squarer to each other, seen from the point",
        )
        for point in points
        if point.unsure > WEAK
    ]
    for name, side in sides.items():
        for k, stretch in enumerate(side.edge.stretches):
            a, b = side.corners[k], side.corners[k + 1]
            gaps = np.diff(side.runs[a : b + 1])
            if b - a > 1 and b - a + 1 < FEW:
                found.append(
                    Problem(
                        f"the {name} side, {stretch.name}",
                        f"{b - a + 1} points from corner to corner: a slip in one of them can hardly be told",
                        "measure six or more, or three nails' distances",
                    )
                )
            if b - a > 1 and gaps.max() > SPARSE and len(stretch.points) > 2:
                i = a + int(gaps.argmax())
                found.append(
                    Problem(
                        f"the {name} side, {stretch.name}",
                        f"no point for {gaps.max():.0f} mm between {side.points[i].measured.name} and "
                        f"{side.points[i + 1].measured.name}: there the batten guesses",
                        f"measure at most {SPARSE:.0f} mm apart, closer where it bends",
                    )
                )
            if not np.isfinite(stretch.slope).all():
                more = "; its planking is taken off as if it were square" if spec.planking else ""
                found.append(
                    Problem(
                        f"the {name} side, {stretch.name}",
                        f"no bevel is known{more}",
                        "hold a gauge to it and write the reading in the column bevel, or measure a neighbour",
                    )
                )
        alone = {one.name for one in beside[name]} if len(beside[name]) == 1 else set()
        gauged = by_gauge(side)
        for k, stretch in enumerate(side.edge.stretches):
            if alone and k not in gauged and np.isfinite(stretch.slope).all():
                found.append(
                    Problem(
                        f"the {name} side, {stretch.name}",
                        f"its bevel is from frame {next(iter(alone))} alone: that of the middle of the bay",
                        "measure the neighbour on the other side too, or hold a gauge to it",
                    )
                )
        for stretch_name, apart in gauge_against(side, beside[name]):
            if apart > GAUGE:
                found.append(
                    Problem(
                        f"the {name} side, {stretch_name}",
                        f"gauge and neighbours differ by up to {np.degrees(apart):.1f}° in its bevel",
                        "the gauge's is taken; was it held square to the edge, its stock on the measured face?",
                    )
                )
    return found
