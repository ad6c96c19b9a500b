"""What the keys of long timbers must agree on with lines, strakes and frames, their usual sizes, what is missed.

Apart from the timber's own file, which is about its templates; the keys are in the design's room, because the
runs of all timbers are laid before any member is made.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from patterns.design.agreement import either
from patterns.design.bounds import BoatSize, Bound
from patterns.design.clinker_models import ClinkerSpec
from patterns.design.ended_keys import EndedKeys
from patterns.design.entries import Parts
from patterns.design.missing import Missing, Stage
from patterns.design.models import Design, FrameSpec, KeelSpec, LaidSpec, StrakeSpec
from patterns.design.timber_models import (
    BesideSpec,
    DeckBattenSpec,
    RibbandSpec,
    RubbingRailSpec,
    RunningSpec,
    StripSpec,
)
from patterns.design.toml_file import DESIGN_FILE
from patterns.errors import Problem
from patterns.measure.nearest import written

__all__ = ["STARTER", "keel_bounds", "laid_bounds", "laid_rules", "running_rules", "timber_misses"]


def laid_rules(parts: Parts) -> Iterator[Problem]:
    """One keel; clamps at the sheer, chine logs at chines, each against a strake that meets its line."""
    keels = parts.all(KeelSpec)
    if len(keels) > 1:
        yield Problem(keels[1][0], "there is a keel already", "keep one of them", code="keel-given-twice")
    yield from _tapers(keels)
    lines = parts.names.get("line", [])
    for place, timber in parts.all(LaidSpec):
        follows = timber.follows
        if follows not in lines:
            continue
        if timber.kind == "clamp" and follows != lines[-1]:
            yield Problem(
                f"{place}, key follows",
                "a clamp lies inside the sheer",
                f'write "{lines[-1]}"',
                code="clamp-off-sheer",
            )
        elif timber.kind == "chine log" and follows in (lines[0], lines[-1]):
            yield Problem(
                f"{place}, key follows",
                f'"{follows}" is not a chine',
                f"write {written(lines[1:-1])}" if lines[1:-1] else "this boat has no chine",
                code="not-a-chine",
            )
        yield from _off_line(parts, place, follows=follows, against=timber.against)


def _tapers(keels: list[tuple[str, KeelSpec]]) -> Iterator[Problem]:
    """A taper's breadth and the place where it begins: both or none, and a breadth that is less."""
    for place, keel in keels:
        for end in ("fore", "aft"):
            breadth, begins = getattr(keel, f"sided_{end}"), getattr(keel, f"taper_{end}")
            if (breadth is None) != (begins is None):
                missing, given = ("sided", "taper") if breadth is None else ("taper", "sided")
                yield Problem(
                    f"{place}, key {missing}_{end}",
                    "is missing",
                    f"a taper needs it beside {given}_{end}",
                    code="needed-key",
                )
            elif breadth is not None and breadth >= keel.sided:
                yield Problem(
                    f"{place}, key sided_{end}",
                    "is not less than sided",
                    "a keel tapers towards its ends; give sided its greatest breadth",
                    code="out-of-range",
                )


def running_rules(parts: Parts) -> Iterator[Problem]:
    """Timbers beside a line: each against a strake that meets it, at one distance; none ends at a canted frame."""
    lines = parts.names.get("line", [])
    for place, timber in parts.all(RunningSpec):
        if timber.follows in lines:
            yield from _off_line(parts, place, follows=timber.follows, against=timber.against)
    for place, long in parts.all(EndedKeys):
        for key, where in (("from", long.start), ("to", long.to)):
            yield from _canted(parts, place, key, where)
    for place, strip in parts.all(BesideSpec):
        where_to = {"distance": strip.distance, "part": strip.part}
        yield from either(place, where_to, 'give distance or part, as distance = "6 in" or part = 0.5')
    for place, rail in parts.all(RubbingRailSpec):
        yield from _rail(parts, place, rail)


def _off_line(parts: Parts, place: str, *, follows: str, against: str) -> Iterator[Problem]:
    """A timber against a strake that does not meet its line."""
    known = {strake.name: strake for _, strake in parts.all(StrakeSpec)}
    if against in known and follows not in known[against].between:
        beside = [name for name, strake in known.items() if follows in strake.between]
        yield Problem(
            f"{place}, key against",
            f'strake "{against}" does not meet the line "{follows}"',
            f"write {written(beside)}" if beside else "",
            code="strake-off-line",
        )


def _canted(parts: Parts, place: str, key: str, where: str | None) -> Iterator[Problem]:
    """An end at a frame that is turned about the vertical."""
    canted = {f"frame {frame.name}": frame.name for _, frame in parts.all(FrameSpec) if frame.cant}
    if where in canted:
        yield Problem(
            f"{place}, key {key}",
            f'frame "{canted[where]}" is canted',
            "name a station or a distance aft",
            code="canted-frame",
        )


def _rail(parts: Parts, place: str, rail: RubbingRailSpec) -> Iterator[Problem]:
    """A rubbing rail hangs from its line on the strake below."""
    lines = parts.names.get("line", [])
    if lines and rail.follows == lines[0]:
        yield Problem(
            f"{place}, key follows",
            "a rubbing rail lies below no keel",
            f'write "{lines[-1]}"',
            code="rail-at-keel",
        )
    for _, strake in parts.all(StrakeSpec):
        if strake.name == rail.against and rail.follows == strake.between[0] and rail.follows in lines:
            yield Problem(
                f"{place}, key against",
                f'strake "{rail.against}" lies above the line "{rail.follows}"',
                "name the strake below it: a rubbing rail hangs from its line",
                code="strake-above-line",
            )


def keel_bounds(keel: KeelSpec, scale: BoatSize) -> Iterator[Bound]:
    """The usual sizes of a keel."""
    yield Bound("moulded", keel.moulded, 0.5 * scale.thick, 3.0 * keel.sided, "planking and its siding")
    yield Bound("sided", keel.sided, 0.0, min(12.0 * keel.moulded, 0.5 * scale.breadth), "its moulding")


def laid_bounds(
    timber: LaidSpec | StripSpec | DeckBattenSpec | RubbingRailSpec | RibbandSpec, scale: BoatSize
) -> Iterator[Bound]:
    """The usual sizes of a timber on the planking."""
    least = max(0.5 * scale.thin, 1.0)
    most = (2.0 if isinstance(timber, RubbingRailSpec) else 4.0) * timber.along
    yield Bound("off", timber.off, least, most, "planking and its width")
    yield Bound("along", timber.along, 0.25 * timber.off, 12.0 * timber.off, "its depth off the planking")


def timber_misses(design: Design) -> Iterator[Missing]:
    """Keel, chine logs and clamp of a boat on sawn frames: planking's edges want wood to be fastened to."""
    if not design.frames:
        return
    if not design.keels:
        yield _missing(Stage.BACKBONE, "keel", 'no timber of kind = "keel": the frames get no notch for one')
    logs = {log.follows for log in design.laid("chine log")}
    # The lines between clinker planks are no chines.
    chines = [] if design.all(ClinkerSpec) else [line.name for line in design.lines[1:-1]]
    if chines and not logs:
        one = len(chines) == 1
        each = f"the {chines[0]} has no" if one else f"none of {', '.join(chines)} has"
        yield _missing(
            Stage.ALONG, "chine log" if one else "chine logs", f'{each} timber of kind = "chine log"'
        )
    elif logs:
        for chine in chines:
            if chine not in logs:
                what = "no chine log follows it, though others have theirs"
                yield _missing(Stage.ALONG, f"chine log on {chine}", what, where=f'line "{chine}"')
    if not design.laid("clamp"):
        what = 'no timber of kind = "clamp" follows the sheer inside of the frames\' heads'
        yield _missing(Stage.ALONG, "clamp", what)


def _missing(stage: Stage, name: str, what: str, *, where: str = "[[timber]]") -> Missing:
    return Missing(stage=stage, name=name, place=f"{DESIGN_FILE}, {where}", what=what)


STARTER: Mapping[str, str] = {
    "": """\
[[timber]]
kind = "keel"
lies = "inside planking"
sided = "90 mm"
moulded = "30 mm"
laminations = 5                    # 5 x 6 mm, bent in one on another
stock = "6 mm mahogany"
[[timber]]
kind = "chine log"
follows = "chine"
against = "side"
off = "20 mm"                      # square to the planking
along = "45 mm"                    # on the planking
stock = "20 mm fir"
[[timber]]
kind = "clamp"
follows = "sheer"
against = "side"
off = "20 mm"
along = "45 mm"
stock = "20 mm fir"
# More kinds: "stringer" and "batten" (beside a line: distance or part), "deck batten" (under the deck),
# "rubbing rail" (outside), "ribband".""",
    "several chines": """\
[[timber]]
kind = "keel"
lies = "inside planking"
sided = "90 mm"
moulded = "30 mm"
laminations = 5                    # 5 x 6 mm, bent in one on another
stock = "6 mm mahogany"
[[timber]]
kind = "chine log"
name = "lower chine log"
follows = "lower chine"
against = "bilge"
off = "18 mm"                      # square to the planking
along = "35 mm"                    # on the planking
stock = "18 mm fir"
[[timber]]
kind = "chine log"
name = "upper chine log"
follows = "upper chine"
against = "side"
off = "18 mm"
along = "35 mm"
stock = "18 mm fir"
[[timber]]
kind = "clamp"
follows = "sheer"
against = "side"
off = "20 mm"
along = "45 mm"
stock = "20 mm fir"
# More kinds: "stringer" and "batten" (beside a line: distance or part), "deck batten" (under the deck),
# "rubbing rail" (outside), "ribband".""",
    "round bilge": """\
[[timber]]
kind = "keel"
lies = "inside planking"
sided = "70 mm"
moulded = "20 mm"
stock = "20 mm oak"
[[timber]]
kind = "clamp"
follows = "sheer"
against = "hull"
off = "16 mm"                      # square to the planking
along = "35 mm"                    # on the planking
stock = "16 mm fir"
# More kinds: "stringer" and "batten" (beside a line: distance or part), "deck batten" (under the deck),
# "rubbing rail" (outside), "ribband".""",
}
