"""What the keys of frames and their gussets must agree on, their usual sizes, and what a frame may lack.

Apart from the frame's own file, which is about its wood; the keys are in :mod:`patterns.design.frame_models`,
because the boat, her table's checks and the joinery read them too.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import pairwise

from patterns.design.agreement import limber_problems, together
from patterns.design.bounds import BoatSize, Bound, most_siding
from patterns.design.entries import Parts
from patterns.design.frame_models import GussetSpec
from patterns.design.missing import Missing, Stage
from patterns.design.models import Design, FrameSpec
from patterns.design.mould_models import MouldSpec
from patterns.design.set_up_models import SetUpSpec
from patterns.design.toml_file import DESIGN_FILE
from patterns.errors import Problem
from patterns.members.unjoined import Unjoined, unjoined

__all__ = ["STARTER", "frame_bounds", "frame_misses", "frame_rules", "gusset_bounds", "gusset_rules"]


def frame_rules(parts: Parts) -> Iterator[Problem]:
    """Every disagreement within one frame."""
    for place, frame in parts.all(FrameSpec):
        yield from _made(place, frame)
        yield from _lap_alone(place, frame, chines=len(parts.names.get("strake", [])) - 1)
        yield from _nothing_left(place, frame, strakes=len(parts.names.get("strake", [])))
        yield from _inner_line(place, frame)
        yield from limber_problems(place, frame)
        yield from together(
            place, {key: getattr(frame, key) for key in ("lap_dowel", "lap_dowels", "lap_dowel_edge")}
        )
        if frame.lap_dowel is not None and frame.joint != "half lap":
            yield Problem(
                f"{place}, key lap_dowel",
                "there is no half lap",
                'write joint = "half lap", or take it out',
                code="needless-key",
            )
        yield from _plane(place, frame)


def gusset_rules(parts: Parts) -> Iterator[Problem]:
    """Gussets on frames without joints, dowels given by halves."""
    frames = {frame.name: frame for _, frame in parts.all(FrameSpec)}
    for place, gusset in parts.all(GussetSpec):
        yield from _gussets(place, gusset, frames)


def _inner_line(place: str, frame: FrameSpec) -> Iterator[Problem]:
    points = frame.inner_line
    if not points:
        return
    where = f"{place}, key inner_line"
    if frame.pieces != "one ring" or frame.cant:
        yield Problem(
            where,
            "is for an upright or raked frame of one ring",
            "take it out, or choose such a frame",
            code="inner-line-in-pieces",
        )
    if len(points) < 2:
        yield Problem(
            where,
            "one point makes no line",
            "give two or more, each a half-breadth and a height",
            code="too-few-points",
        )
    for (y0, z0), (y1, z1) in pairwise(points):
        if y1 < y0 or z1 < z0:
            yield Problem(
                where,
                f"the point {y1:g}, {z1:g} mm goes back in or down",
                "give them from the centreline out and up",
                code="inner-line-turns-back",
            )


def _made(place: str, frame: FrameSpec) -> Iterator[Problem]:
    if frame.pieces == "one ring":
        for key in ("joint", "through"):
            if getattr(frame, key) is not None:
                yield Problem(
                    f"{place}, key {key}",
                    "a frame of one ring has no joints",
                    "say pieces, or take it out",
                    code="needless-key",
                )
        return
    if frame.joint is None:
        yield Problem(
            f"{place}, key joint",
            "is missing",
            'write "butt", "half lap" or "mitre": its pieces meet there',
            code="needed-key",
        )
    elif frame.joint != "mitre" and frame.through is None:
        yield Problem(
            f"{place}, key through",
            "is missing",
            'write "lower" or "upper": which piece of a joint runs through (in a half lap keeps the moulded face)',
            code="needed-key",
        )
    elif frame.joint == "mitre" and frame.through is not None:
        yield Problem(
            f"{place}, key through",
            "neither piece of a mitre runs through",
            "take it out",
            code="needless-key",
        )


def _plane(place: str, frame: FrameSpec) -> Iterator[Problem]:
    """A plane turned two ways, or turned and put together of pieces that run across."""
    if frame.cant and frame.rake:
        yield Problem(
            f"{place}, key cant",
            "rake and cant are both given",
            "keep one of them: a frame is turned about an athwartship line or about the vertical",
            code="conflicting-keys",
        )
    if frame.cant and (frame.pieces != "one ring" or frame.top_piece is not None):
        yield Problem(
            f"{place}, key cant",
            "a canted frame's halves are one piece each, without a top piece across",
            "take out its pieces and top_piece, or the cant",
            code="canted-frame-in-pieces",
        )


def _lap_alone(place: str, frame: FrameSpec, *, chines: int) -> Iterator[Problem]:
    """A half lap where no two pieces meet: without a bottom piece a side has none at the lowest chine."""
    laps = chines - 1 + (frame.top_piece is not None)
    if frame.joint == "half lap" and frame.pieces == "no bottom piece" and laps < 1:
        yield Problem(
            f"{place}, key joint",
            'with pieces = "no bottom piece" no two pieces meet in a half lap',
            'write joint = "butt", or choose pieces with a bottom',
            code="half-lap-alone",
        )


def _nothing_left(place: str, frame: FrameSpec, *, strakes: int) -> Iterator[Problem]:
    """A frame without a bottom piece begins at the lowest chine."""
    if frame.pieces == "no bottom piece" and strakes == 1:
        yield Problem(
            f"{place}, key pieces",
            '"no bottom piece" leaves nothing of a frame where there is no chine',
            'write pieces = "one ring" or "bottom in halves"',
            code="no-chine",
        )


def _gussets(place: str, gusset: GussetSpec, frames: Mapping[str, FrameSpec]) -> Iterator[Problem]:
    yield from together(place, {key: getattr(gusset, key) for key in ("dowel", "dowels", "dowel_edge")})
    for name in gusset.frames:
        if name in frames and frames[name].pieces == "one ring":
            yield Problem(
                f"{place}, key frames",
                f'frame "{name}" is one ring and has no joints',
                "say pieces at that frame, or take it out here",
                code="no-joints",
            )


def frame_bounds(frame: FrameSpec, scale: BoatSize) -> Iterator[Bound]:
    """The usual sizes of a frame."""
    yield Bound("sided", frame.sided, 0.5 * scale.thick, most_siding(scale), "planking and boat")
    for key, value in (("moulded_side", frame.moulded_side), ("moulded_bottom", frame.moulded_bottom)):
        yield Bound(key, value, 0.6 * frame.sided, 0.25 * scale.breadth, "siding and breadth")
    most = 4.0 * max(frame.moulded_side, frame.moulded_bottom)
    yield Bound("inner_radius", frame.inner_radius, 0.0, most, "its moulding")


def gusset_bounds(gusset: GussetSpec, scale: BoatSize) -> Iterator[Bound]:
    """The usual sizes of gussets."""
    yield Bound("thickness", gusset.thickness, 0.25 * scale.thick, 5.0 * scale.thick, "the planking")
    yield Bound("arm", gusset.arm, 3.0 * gusset.thickness, 0.5 * scale.breadth, "thickness and breadth")


def frame_misses(design: Design) -> Iterator[Missing]:
    """Frames or moulds at all, the level they are set up by, and what lies over their joints."""
    moulds = design.all(MouldSpec)
    if not design.frames and not moulds:
        round_bilge = any(strake.sections == "round" for strake in design.strakes)
        yield Missing(
            stage=Stage.SET_UP,
            name="moulds" if round_bilge else "frames",
            place=f"{DESIGN_FILE}, [[{'mould' if round_bilge else 'frame'}]]",
            what="neither a frame nor a mould gives the planking its shape between the ends",
        )
    elif not design.all(SetUpSpec):
        what = "frames" if design.frames else "moulds"
        yield Missing(
            stage=Stage.SET_UP,
            name="set-up line",
            place=f"{DESIGN_FILE}, [set_up]",
            what=f"no set-up line: the {what} carry no level by which all of them are set up",
        )
    for joint in unjoined(design):
        yield _at_joint(joint)


def _at_joint(joint: Unjoined) -> Missing:
    name = f"gussets on frame {joint.frame}" if joint.wants == "gusset" else f"floor on frame {joint.frame}"
    said = "has no gussets" if joint.wants == "gusset" else "has no floor timber"
    return Missing(
        stage=Stage.JOINTS,
        name=name,
        place=f'{DESIGN_FILE}, frame "{joint.frame}"',
        what=f"{said}: nothing lies over its joint {joint.where}",
    )


STARTER: Mapping[str, str] = {
    "": """\
# One such table for every frame.
[[frame]]
name = "2"
at = "station 2"                   # or a distance aft, e.g. "4-0-0"
sided = "18 mm"
moulded_side = "70 mm"
moulded_bottom = "90 mm"
stock = "18 mm plywood"
# siding_runs = "forward"          # left out: away from the greatest breadth""",
    "round bilge": """\
# A frame that stays in her; one such table for every one. May be left out.
[[frame]]
name = "7"
at = "station 7"
sided = "18 mm"
moulded_side = "55 mm"
moulded_bottom = "55 mm"
stock = "18 mm plywood"
""",
}
