"""The boat as the members see it: the design, the fair lines, the hull's surfaces."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

import numpy as np

from patterns.codes.assembly import OF_PIECES
from patterns.design.clinker_models import UPPER_EDGE, ClinkerSpec
from patterns.design.confirmed import needless, unconfirmed
from patterns.design.file import DESIGN_FILE, Design, FrameSpec, TransomEnd
from patterns.design.frame_stands import station_shift
from patterns.errors import DesignError, Problem
from patterns.fairing.lines import Lines, fair_lines
from patterns.hull.clinker import Laps
from patterns.hull.clinker_doubts import clinker_warnings
from patterns.hull.hull import DeckShape, FairCurves, Hull, TransomShape, build_hull
from patterns.hull.hydrostatics import Hydrostatics
from patterns.hull.plan_hydrostatics import hydrostatics_of
from patterns.hull.planes import Plane, station_plane
from patterns.hull.sheet_doubts import sheet_warnings
from patterns.measure import format_length, parse_length
from patterns.measure.along import frame_named, station_named
from patterns.measure.ordinates import INCHES, MILLIMETRES, OrdinateRule
from patterns.table.folder import read_folder
from patterns.table.offsets import Offsets
from patterns.timbers.flat_chines import flat_chine_doubts
from patterns.timbers.laying import stem_runs
from patterns.timbers.run import Run
from patterns.timbers.runs import runs_of

__all__ = ["Boat", "crown_problems", "fair_boat", "hull_of", "load_boat"]

MOST_CROWN = 0.5  # of the half-breadth


@dataclass(frozen=True, kw_only=True, eq=False)
class Boat:
    """Everything that is known of the boat before its members are made."""

    design: Design
    offsets: Offsets
    lines: Lines
    hull: Hull
    warnings: tuple[Problem, ...] = ()
    hydrostatics: Hydrostatics | None = None

    @cached_property
    def runs(self) -> tuple[Run, ...]:
        """The timbers that run fore and aft, as solids, in the order of the file.

        Raises:
            PatternsError: one of them cannot be laid.
        """
        return runs_of(self.design, self.hull, self._across)

    @cached_property
    def stems(self) -> tuple[Run, ...]:
        """The stems' wood inside of their rabbet lines, for what is cut over it."""
        return stem_runs(self.design, self.hull)

    def frame_faces(self, spec: FrameSpec) -> tuple[Plane, Plane, float]:
        """A frame's moulded face, its other face, and which way its siding runs (1 aft, -1 forward).

        Where the design does not say, the siding runs away from the station of greatest breadth, so that most
        bevels are under.
        """
        x = self.distance(spec.at)
        if spec.siding_runs is None:
            sense = -1.0 if x < self.hull.widest else 1.0
        else:
            sense = 1.0 if spec.siding_runs == "aft" else -1.0
        moulded = station_plane(x, rake=spec.rake, cant=spec.cant).moved(
            sense * station_shift(self.design, spec, sense)
        )
        return moulded, moulded.moved(sense * spec.sided), sense

    def _across(self, where: str, way: float) -> Plane:
        """The plane across the boat at a station, a distance aft, or a frame's farther face (``frame 3``).

        Args:
            way: 1 where a timber comes to it from forward, -1 from aft; it passes through a frame that it ends in.
        """
        named = frame_named(where)
        if named is not None:
            frame = next(spec for spec in self.design.frames if spec.name == named)
            moulded, other, sense = self.frame_faces(frame)
            return other if sense == way else moulded
        return station_plane(self.distance(where))

    def distance(self, at: str) -> float:
        """The distance aft, mm, of a place as the design names it: ``station 3`` or a length."""
        station = station_named(at)
        if station is None:
            return parse_length(at)
        return float(self.offsets.station_x[self.offsets.stations.index(station)])

    def table_words(self, mm: float) -> str:
        """A length as the table writes it."""
        return format_length(mm, self.offsets.notation)

    @property
    def register(self) -> float:
        """The diameter of register holes, mm."""
        return self.design.register

    @property
    def ordinate_rule(self) -> OrdinateRule:
        """The rule by which long pieces are laid off: the table's own system."""
        return MILLIMETRES if self.offsets.notation.metric else INCHES

    def length_words(self, mm: float) -> str:
        """A length for the bench: mm, and the table's own notation where that is another."""
        if self.offsets.notation.metric:
            return f"{mm:.1f} mm"
        return f"{mm:.1f} mm ({format_length(mm, self.offsets.notation)})"


def crown_problems(design: Design, lines: Lines) -> list[Problem]:
    """A crown that no deck has: past half of the half-breadth it is a slip."""
    deck = design.deck
    if deck is None or deck.crown is None:
        return []
    sheer = lines.lines[-1]
    half = float(sheer.at(np.linspace(sheer.start, sheer.end, 200))[:, 1].max())
    if deck.crown <= MOST_CROWN * half:
        return []
    return [
        Problem(
            f"{DESIGN_FILE}, [deck], key crown",
            f"a crown of {deck.crown:g} mm is too high for a boat {2.0 * half:.0f} mm wide",
            f"write the rise of the common mould, at most {MOST_CROWN * half:.0f} mm",
            code="crown-impossible",
        )
    ]


def hull_of(design: Design, lines: Lines) -> Hull:
    """The hull's surfaces from its fair lines.

    The sheer's row says which surface the deck passes through: where it is the deck's top, the underside lies
    the deck's thickness below, square to it.
    """
    deck, fore, after = design.deck, design.fore_end, design.after_end
    top = deck is not None and design.table.sheer_to == "top of deck"
    return build_hull(
        FairCurves(
            profile=lines.profile,
            lines={line.name: line for line in lines.lines},
            keel=design.lines[0].name,
            outside=design.table.lines_to == "outside of planking",
            girth=lines.girth,
        ),
        design.strakes,
        bow=TransomShape(fore.rake, fore.radius) if isinstance(fore, TransomEnd) else None,
        stern=TransomShape(after.rake, after.radius) if isinstance(after, TransomEnd) else None,
        deck=DeckShape(
            inset=deck.thickness if deck is not None and top else 0.0,
            crown=deck.crown if deck is not None else None,
            rise=(deck.rise_ratio or 0.0) if deck is not None else 0.0,
        ),
        laps=_laps(design),
    )


def _laps(design: Design) -> Laps | None:
    """How her planks lap; None where they are not clinker planks."""
    spec = next(iter(design.all(ClinkerSpec)), None)
    if spec is None:
        return None
    fore, aft = (
        (spec.gain_at_transom if isinstance(end, TransomEnd) else spec.gain) or 0.0
        for end in (design.fore_end, design.after_end)
    )
    return Laps(width=spec.lap, upper=spec.land_to == UPPER_EDGE, gains=(fore, aft))


def fair_boat(offsets: Offsets, design: Design) -> Lines:
    """The lines of a table and a design that have no problem of their own.

    Raises:
        DesignError: lines that do not end where the design says, or a crown that no deck has.
    """
    lines = fair_lines(offsets, design)
    problems = crown_problems(design, lines)
    if problems:
        raise DesignError(problems)
    return lines


def load_boat(folder: Path) -> Boat:
    """Read a design folder, check it whole, fair its lines and make its surfaces.

    Raises:
        DesignError: with every problem that was found.
    """
    design, offsets, warnings = read_folder(folder)
    lines = fair_boat(offsets, design)
    hull = hull_of(design, lines)
    floating = hydrostatics_of(design, hull, offsets.notation)
    if floating.errors:
        raise DesignError(floating.errors)
    doubts = (
        *sheet_warnings(hull),
        *clinker_warnings(hull),
        *flat_chine_doubts(design, hull),
        *floating.doubts,
    )
    found = (*warnings, *lines.warnings, *doubts)
    confirmed = design.boat.confirmed
    # What only the pieces show is judged when they are made.
    judged = [code for code in confirmed if code not in lines.unjudged and code not in OF_PIECES]
    return Boat(
        design=design,
        offsets=offsets,
        lines=lines,
        hull=hull,
        hydrostatics=floating.figures,
        warnings=(
            *unconfirmed(found, confirmed),
            *needless(found, judged, place=f"{DESIGN_FILE}, [boat], key confirmed"),
        ),
    )
