"""The words for what is at fault, and for what to measure: the one place where the model's answers become words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from patterns.design.parts import DESIGN_FILE
from patterns.errors import Problem
from patterns.measure import Notation
from patterns.repair.measuring.ask import AskedReading, reading_to_ask
from patterns.repair.measuring.equations import Frames
from patterns.repair.measuring.faults import Cause, Suspicion
from patterns.repair.measuring.judge import Named, Verdict
from patterns.repair.measuring.spots import CENTRELINE, ReferenceKey, Spot, references_of
from patterns.repair.measuring.stories import Stories
from patterns.repair.measuring.unseen import FARTHEST, Unseen, unseen_places
from patterns.repair.places import Places
from patterns.repair.points import VALUES
from patterns.repair.told import source_words, value_words

__all__ = ["fault_problems", "unseen_problems"]

SHOWN = 3  # explanations that are listed
ACROSS = 0.35  # part of a way that counts
UNTOLD = "no reading from what is used here would show which: check each in the boat"
CODES = {
    Cause.SLIP: "suspect-point",
    Cause.EXCHANGED: "suspect-point",
    Cause.WRONG_SIDE: "suspect-point",
    Cause.ROWS: "suspect-point",
    Cause.UNIT: "units-suspect",
    Cause.RUN: "suspect-run",
    Cause.PLACE: "reference-misplaced",
    Cause.TURN: "reference-turned",
}


def fault_problems(verdict: Verdict, places: Places, notation: Notation) -> list[Problem]:
    """What is at fault, the likeliest first; of explanations that fit nearly alike all, with what to measure.

    Args:
        places: of what was measured from, as the design file has them.
    """
    frames = verdict.model.frames
    words = _Words(replace(frames, refs=references_of(frames.spots, places)), notation)
    return [words.problem(named, reading_to_ask(named)) for named in verdict.named]


def unseen_problems(verdict: Verdict, places: Places, notation: Notation) -> list[Problem]:
    """What these readings could not show of what the broken frame was measured from, and the reading that would."""
    frames = verdict.model.frames
    words = _Words(replace(frames, refs=references_of(frames.spots, places)), notation)
    return [words.unseen(one) for one in unseen_places(verdict.model)]


@dataclass(frozen=True)
class _Words:
    frames: Frames
    notation: Notation

    def problem(self, named: Named, asked: AskedReading | None) -> Problem:
        """One fault."""
        causes = [named.fault, *named.rivals[: SHOWN - 1]]
        same = len({self._subject(cause) for cause in causes}) == 1
        code = CODES[named.fault.cause] if same else "cause-unclear"
        if len(causes) == 1:
            return Problem(
                self._place(named.fault), self._cause(named.fault), self._remedy(named.fault), code=code
            )
        told = "; or ".join(self._cause(cause) for cause in causes)
        want = UNTOLD if asked is None else self._asked(asked)
        return Problem(self._place(named.fault), told, want, code=code)

    def unseen(self, one: Unseen) -> Problem:
        """One misplacement that would not show."""
        keys = [key for key, _ in one.refs]
        out, up = (abs(float(value)) > ACROSS for value in one.way)
        way = "out or in" if out and not up else "up or down" if up and not out else "along a slope"
        far = "however far" if one.size >= FARTHEST else f"by up to {one.size:.0f} mm"
        what = f"if {self._thing(keys)} were elsewhere {way}, {far}, these readings would not show it"
        harm = "by as much" if one.harm > 0.8 * one.size else f"by up to {one.harm:.0f} mm"
        want = "measure a point from something else too"
        if one.source is not None:
            reading = self._reading(one.source, one.which)
            want = f"measure {reading} at {self._point(self.frames.spots[one.point])} too"
        return Problem(
            self._file_place(keys[0]),
            f"{what}, and the edge would be wrong {harm}",
            want,
            code="place-unproved",
        )

    def _subject(self, fault: Suspicion) -> object:
        """What a fault is about: one point, or some references."""
        points = {i for i, _ in fault.readings}
        return next(iter(points)) if len(points) == 1 else (fault.cause, fault.readings, fault.refs)

    def _place(self, fault: Suspicion) -> str:
        if fault.readings:
            i, k = fault.readings[0]
            point = self.frames.spots[i].measured
            return str(point.place if fault.cause is Cause.WRONG_SIDE else point.places[k])
        return self._file_place(fault.refs[0][0])

    def _file_place(self, key: ReferenceKey) -> str:
        if key[0] == CENTRELINE:
            return f"{DESIGN_FILE}, [repair]"
        return f'{DESIGN_FILE}, {self._kind(key)} "{key[0]}"'

    def _kind(self, key: ReferenceKey) -> str:
        return "nail" if self.frames.refs[key].along is None else "straight_edge"

    def _cause(self, fault: Suspicion) -> str:
        match fault.cause:
            case Cause.SLIP:
                return self._slip(fault)
            case Cause.RUN:
                return self._run(fault)
            case Cause.PLACE | Cause.TURN:
                return self._reference(fault)
            case Cause.UNIT:
                return self._unit(fault)
        spot = self.frames.spots[fault.readings[0][0]]
        if fault.cause is Cause.ROWS:
            after = self.frames.spots[fault.readings[1][0]].measured.name
            return (
                f"the rows of points {spot.measured.name} and {after} of the {spot.side} side are exchanged"
            )
        if fault.cause is Cause.EXCHANGED:
            return f"{VALUES[0]} and {VALUES[1]} exchanged at {self._point(spot)}"
        way = {"outboard": "inboard", "inboard": "outboard", "up": "down", "down": "up"}
        lies = spot.measured.lies
        return f"{self._point(spot)} lies {way[str(lies)]} of its nails, not {lies}"

    def _point(self, spot: Spot) -> str:
        return f"point {spot.measured.name} of the {spot.side} side"

    def _slip(self, fault: Suspicion) -> str:
        ((i, k),) = fault.readings
        spot = self.frames.spots[i]
        wanted = spot.measured.values[k] - float(fault.size[0])
        said = f"at {self._point(spot)} {source_words(spot.measured, k)} "
        said += value_words(spot.measured.values[k], self.notation, spot.measured.places[k].typed)
        said += f" would have to be about {value_words(wanted, self.notation)}"
        slips = Stories(self.notation).of(self.frames, fault)
        if slips:
            said += f": {slips[0].words} (then {value_words(slips[0].meant, self.notation)} was meant)"
        return said

    def _unit(self, fault: Suspicion) -> str:
        """Figures that another notation would make right, and what one of them is then."""
        assert fault.read_as is not None
        i, k = fault.readings[0]
        spot, many = self.frames.spots[i], {j for j, _ in fault.readings}
        whose = [f"the {spot.side} side"]
        same = [s for s in self.frames.spots if (s.frame, s.side) == (spot.frame, spot.side)]
        if len(many) == 1:
            whose = [self._point(spot)]
        elif len(many) > len(same):
            whose = ["all points"]
        if len(fault.readings) == 1:
            whose.insert(0, f"{source_words(spot.measured, k).rstrip(',')} at")
        typed = spot.measured.places[k].typed
        read = value_words(fault.instead[i].values[k], Notation.MM)
        return f"{' '.join(whose)}: the figures look like {fault.read_as.value} ({typed} would be {read})"

    def _run(self, fault: Suspicion) -> str:
        (i, k), (j, _) = fault.readings[0], fault.readings[-1]
        first, last = self.frames.spots[i], self.frames.spots[j]
        size = float(fault.size[0])
        return (
            f"{source_words(first.measured, k).rstrip(',')} is {abs(size):.0f} mm too "
            f"{'much' if size > 0 else 'little'} from point {first.measured.name} to point {last.measured.name} "
            f"of the {first.side} side"
        )

    def _reference(self, fault: Suspicion) -> str:
        keys = [key for key, _ in fault.refs]
        thing, name = self._thing(keys), keys[0][0]
        if fault.cause is Cause.TURN:
            turn = float(fault.size[0])
            return f"{thing} was turned by {abs(np.degrees(turn)):.1f}° ({abs(turn) * 1000:.0f} mm in 1 m)"
        pairs = (("farther out", "farther in"), ("higher", "lower"))
        ways = [
            f"{abs(value):.0f} mm {words[0] if value > 0 else words[1]}"
            for value, words in zip(fault.size, pairs, strict=True)
            if abs(value) >= 1.0
        ]
        said = f"{thing} was about {' and '.join(ways) or '0 mm'} than the design file has it"
        if name == CENTRELINE:
            return said
        out, up = self.frames.refs[keys[0]].at + fault.size
        words = [value_words(round(float(value)), self.notation) for value in (out, up)]
        return f"{said}, at out {words[0]}, up {words[1]}"

    def _thing(self, keys: Sequence[ReferenceKey]) -> str:
        """A reference by its name, and on which sides of which frames."""
        name = keys[0][0]
        kind = self._kind(keys[0]).replace("_", " ")
        return f"{'the centreline or base' if name == CENTRELINE else f'{kind} {name}'}{self._scope(keys)}"

    def _scope(self, keys: Sequence[ReferenceKey]) -> str:
        """For which sides and frames, where that is not plain from the reference itself."""
        sides = {key[2] for key in keys}
        frames = {key[1] for key in keys}
        used = [key for key in self.frames.refs if key[0] == keys[0][0]]
        words = ""
        if len({key[2] for key in used}) > 1:
            words += " on both sides" if len(sides) > 1 else f" on the {keys[0][2]} side"
        if len({key[1] for key in used}) > 1:
            names = [f"frame {frame}" if frame else "the broken frame" for frame in sorted(frames)]
            words += (
                " of all frames"
                if len(frames) == len({key[1] for key in used})
                else f" of {' and '.join(names)}"
            )
        return words

    def _remedy(self, fault: Suspicion) -> str:
        if fault.refs:
            return "measure its place again and correct the design file"
        if fault.cause is Cause.ROWS:
            return "put them in order from the keel up"
        if fault.cause is Cause.UNIT:
            return "write the unit after each, or correct notation in [repair]"
        return "measure it again"

    def _asked(self, asked: AskedReading) -> str:
        """What to measure, and what each explanation foresees."""
        values = [value_words(value, self.notation) for value in asked.foreseen[:SHOWN]]
        told = ", ".join(f"{value} by the {nth}" for value, nth in zip(values, NTH, strict=False))
        name = asked.source[0]
        if asked.point is None:
            way = ("out", "up")[asked.which]
            return f"to find which, measure how far {way} {name} is: {told}"
        spot = self.frames.spots[asked.point]
        reading = self._reading(asked.source, asked.which)
        return f"to find which, measure {reading} at {self._point(spot)}: {told} explanation"

    def _reading(self, source: ReferenceKey, which: int) -> str:
        """A reading that is asked for."""
        if source[0] == CENTRELINE:
            return f"the {('half-breadth', 'height')[which]}"
        if self.frames.refs[source].along is None:
            return f"the distance from {source[0]}"
        return f"the distance {('along', 'off')[which]} {source[0]}"


NTH = ("first", "second", "third")
