"""A repair, read and checked whole: the broken frame's edge on each side, with its bevels."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from patterns.design.confirmed import needless, unconfirmed
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
from patterns.design.repair_work_models import KeepClearSpec, NotchSpec, RepairGussetSpec
from patterns.errors import DesignError, Problem
from patterns.fairing.suspects import written_to
from patterns.measure import format_length
from patterns.measure.ordinates import INCHES, MILLIMETRES, OrdinateRule
from patterns.repair.fairing import FairSide
from patterns.repair.fixing import Fixed
from patterns.repair.frame import faired_sides, fixed_sides
from patterns.repair.made import edges_made
from patterns.repair.measuring.bevels import BevelFit, fitted_bevels
from patterns.repair.measuring.causes import fault_problems, unseen_problems
from patterns.repair.measuring.curves import KnownSpan, known_spans
from patterns.repair.measuring.judge import Verdict
from patterns.repair.measuring.solve import solved
from patterns.repair.measuring.spots import stretch_names
from patterns.repair.outline import Edge
from patterns.repair.places import SIDES, Places, Side, places_of
from patterns.repair.points import MeasuredPoint, read_points
from patterns.repair.rules import rules, side_problems, twice_named
from patterns.repair.slopes import Beside, bevel_readings, with_bevels
from patterns.repair.warned import warnings_of
from patterns.repair.work_rules import work_problems

__all__ = ["Repair", "load_repair"]

EXPLAINED = {"edge-folds-back", "distances-do-not-meet"}  # what a slip of measuring may lead to


@dataclass(frozen=True, kw_only=True, eq=False)
class Repair:
    """One broken frame.

    Attributes:
        spec, pieces, edges, notches, gussets, keep_clear, fairing, marks: the design file's tables.
        sides: as measured and faired, by side; the edge lies where it was measured.
        edges_of: the inside of planking in the plane of the measured face, by side, for the sides that are made.
        symmetrical: both sides have one shape.
        doubts: readings that do not fit, and what was measured from that is elsewhere.
        verdict: of the measuring model, from which edges and doubts follow.
        spans: how well its edges are known from point to point.
        bevels: as fitted to all that was read of them.
        warnings: what else is doubtful.
        neighbours: the frames beside it that were measured too.
        files: what was read.
        step: mm to which the points were read.
    """

    name: str
    spec: RepairSpec
    pieces: tuple[tuple[str, PieceSpec], ...]
    edges: tuple[EdgeSpec, ...]
    notches: tuple[NotchSpec, ...]
    gussets: tuple[tuple[str, RepairGussetSpec], ...]
    keep_clear: tuple[KeepClearSpec, ...]
    fairing: FairingSpec
    marks: MarksSpec
    sides: Mapping[Side, FairSide]
    edges_of: Mapping[Side, Edge]
    symmetrical: bool
    doubts: tuple[Problem, ...]
    verdict: Verdict
    spans: tuple[KnownSpan, ...]
    bevels: BevelFit
    warnings: tuple[Problem, ...]
    neighbours: tuple[str, ...]
    files: tuple[str, ...]
    step: float

    @property
    def register(self) -> float:
        """The diameter of register holes, mm."""
        return self.marks.register_holes

    @property
    def ordinate_rule(self) -> OrdinateRule:
        """The rule by which long pieces are laid off: the points' own system."""
        return MILLIMETRES if self.spec.notation.metric else INCHES

    def length_words(self, mm: float) -> str:
        """A length for the bench: mm, and the points' own notation where that is another."""
        if self.spec.notation.metric:
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


@dataclass(frozen=True, kw_only=True)
class _Read:
    """A folder's files, each without a problem of its own."""

    parts: Parts
    spec: RepairSpec
    places: Places
    points: tuple[MeasuredPoint, ...]
    neighbours: tuple[tuple[NeighbourSpec, tuple[MeasuredPoint, ...]], ...]

    @property
    def fairing(self) -> FairingSpec:
        return self.parts.one(FairingSpec) or FairingSpec()

    @property
    def edges(self) -> tuple[EdgeSpec, ...]:
        return tuple(edge for _, edge in self.parts.all(EdgeSpec))

    @property
    def frames(self) -> Mapping[str, tuple[str, tuple[MeasuredPoint, ...]]]:
        """The file and the points of every frame by its name; the broken one's is empty."""
        beside = {one.name: (one.points, own) for one, own in self.neighbours}
        return {"": (self.spec.points, self.points), **beside}

    @property
    def step(self) -> float:
        """To how many mm the points were read; 0 where they were written finer than their notation."""
        values = np.array(
            [value for _, own in self.frames.values() for point in own for value in point.values]
        )
        step = written_to(values, self.spec.notation)
        return step if np.abs(values / step - np.round(values / step)).max() < 1e-6 else 0.0

    def fixed(self) -> dict[str, dict[Side, tuple[Fixed, ...]]]:
        """The points of every frame in their places.

        Raises:
            DesignError: some have none, or make no edge.
        """
        found: dict[str, dict[Side, tuple[Fixed, ...]]] = {}
        problems: list[Problem] = []
        for name, (file, points) in self.frames.items():
            found[name], more = fixed_sides(points, self.places)
            names = {side: stretch_names([one.measured for one in own]) for side, own in found[name].items()}
            problems += [*more, *twice_named(file, names)]
        if problems and {problem.code for problem in problems} <= EXPLAINED:
            causes = fault_problems(self.solved(), self.places, self.spec.notation)
            units = [cause for cause in causes if cause.code == "units-suspect"]
            # Figures in another unit have as many consequences as there are points.
            problems = units or [*problems, *(replace(cause, code="edge-explained") for cause in causes)]
        _none_of(problems)
        return found

    def solved(self) -> Verdict:
        """All frames judged together."""
        return solved(
            {name: points for name, (_, points) in self.frames.items()},
            self.places,
            allow=self.fairing.allow,
            step=self.step,
            notation=self.spec.notation,
            straight=[edge.name for edge in self.edges if edge.straight],
            compared=self.spec.centreline == "known",
            moulded=self.spec.moulded,
        )


def _read(folder: Path) -> _Read:
    raw, problems = read_toml(folder)
    parts = parts_of(raw, REPAIR_TABLES)
    problems += [*parts.problems, *rules(parts)]
    places, more = places_of(parts.all(NailSpec), parts.all(StraightEdgeSpec))
    problems += more
    places = replace(places, broken=places.broken | _unread(parts, places))
    spec = parts.one(RepairSpec)
    if spec is None:
        raise DesignError(problems)
    points, more = read_points(folder / spec.points, notation=spec.notation, known=places)
    problems += more
    neighbours = []
    for _, neighbour in parts.all(NeighbourSpec):
        own, more = read_points(folder / neighbour.points, notation=spec.notation, known=places)
        problems += more
        neighbours.append((neighbour, own))
    _none_of(problems)
    return _Read(parts=parts, spec=spec, places=places, points=points, neighbours=tuple(neighbours))


def _none_of(problems: Iterable[Problem]) -> None:
    found = tuple(problems)
    if found:
        raise DesignError(found)


def load_repair(folder: Path) -> Repair:
    """Read a repair's folder and check it whole.

    Raises:
        DesignError: with every problem that was found.
    """
    read = _read(folder)
    parts, spec = read.parts, read.spec
    fixed = read.fixed()
    verdict = read.solved()
    frames = {name: faired_sides(own, verdict.model, name) for name, own in fixed.items()}
    sides = frames[""]
    beside: dict[Side, list[Beside]] = {side: [] for side in SIDES}
    for neighbour, _ in read.neighbours:
        way = 1.0 if neighbour.stands == spec.looking else -1.0
        for name, side in frames[neighbour.name].items():
            beside[name].append(Beside(name=neighbour.name, depth=way * neighbour.spacing, edge=side.edge))
    _none_of([*side_problems(parts, spec, sides), *work_problems(parts, spec, sides)])
    bevels = fitted_bevels(bevel_readings(sides, beside))
    bevelled = {name: with_bevels(name, side, bevels, beside[name]) for name, side in sides.items()}
    _none_of(_bevel_problems(parts, bevelled))
    pieces = tuple(parts.all(PieceSpec)) or ((f"{DESIGN_FILE}, [repair]", PieceSpec(kind="frame")),)
    boat = parts.one(BoatSpec)
    assert boat is not None
    spans = tuple(span for side in sides for span in known_spans(verdict, "", side))
    measured = [side for own in frames.values() for side in own.values()]
    found = (
        *warnings_of(spec, bevelled, beside, measured, verdict, spans, bevels),
        *unseen_problems(verdict, read.places, spec.notation),
    )
    return Repair(
        name=boat.name,
        spec=spec,
        pieces=pieces,
        edges=read.edges,
        notches=tuple(notch for _, notch in parts.all(NotchSpec)),
        gussets=tuple(parts.all(RepairGussetSpec)),
        keep_clear=tuple(one for _, one in parts.all(KeepClearSpec)),
        fairing=read.fairing,
        marks=parts.one(MarksSpec) or MarksSpec(),
        sides=bevelled,
        edges_of=edges_made(spec, bevelled),
        symmetrical=spec.sides != "each",
        doubts=tuple(fault_problems(verdict, read.places, spec.notation)),
        verdict=verdict,
        spans=spans,
        bevels=bevels,
        warnings=(
            *unconfirmed(found, boat.confirmed),
            *needless(found, boat.confirmed, place=f"{DESIGN_FILE}, [boat], key confirmed"),
        ),
        neighbours=tuple(neighbour.name for neighbour, _ in read.neighbours),
        files=(DESIGN_FILE, spec.points, *(neighbour.points for neighbour, _ in read.neighbours)),
        step=read.step,
    )


def _unread(parts: Parts, places: Places) -> frozenset[str]:
    """Nails and straight edges that stand in the file and could not be read."""
    named = {*parts.names.get("nail", []), *parts.names.get("straight_edge", [])}
    return frozenset(named - {*places.nails, *places.edges})


def _bevel_problems(parts: Parts, sides: Mapping[Side, FairSide]) -> Iterator[Problem]:
    """A sister needs the bevels of the sides that it is made on."""
    for place, piece in parts.all(PieceSpec):
        bare = [
            f"{stretch.name} ({name})"
            for name, side in sides.items()
            for stretch in side.edge.stretches
            if piece.side in (name, "both") and not np.isfinite(stretch.slope).all()
        ]
        if piece.kind == "sister" and bare:
            yield Problem(
                place,
                f"a sister is a new section beside the old frame, and no bevel is known of the {', '.join(bare)}",
                "hold a gauge to each stretch and write its reading in the column bevel, or measure a neighbour",
                code="sister-without-bevel",
            )
