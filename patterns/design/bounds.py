"""Between which sizes ordinary pieces of each kind lie, beside the planking, the boat and the piece's other sizes.

Every limit here is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from patterns.design.deck_knee_models import HangingKneeSpec, QuarterKneeSpec
from patterns.design.deck_models import BeamSpec, CarlingSpec, KingPlankSpec, SupportSpec
from patterns.design.floor_models import FloorSpec
from patterns.design.frame_models import GussetSpec
from patterns.design.models import (
    BreasthookSpec,
    FrameSpec,
    KeelSpec,
    KneeSpec,
    LaidSpec,
    Part,
    StemEnd,
    TransomEnd,
)
from patterns.design.mould_models import MouldSpec
from patterns.design.stem_models import StemKneeSpec
from patterns.design.timber_models import RibbandSpec, RubbingRailSpec, StripSpec

__all__ = ["Bound", "Scale", "bounds_of"]

FAR = float("inf")


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """What sizes are measured against, mm.

    Attributes:
        length: the boat's, over all.
        breadth: her greatest whole breadth.
        thick, thin: the thickest and the thinnest planking.
    """

    length: float
    breadth: float
    thick: float
    thin: float


@dataclass(frozen=True, slots=True)
class Bound:
    """A key, its value, and between which values ordinary boats have it, mm; with the reason in words."""

    key: str
    value: float | None
    least: float
    most: float
    beside: str


def bounds_of(piece: Part, scale: Scale) -> Iterator[Bound]:
    """What ordinary pieces of its kind have; nothing for kinds that no rule knows."""
    match piece:
        case FrameSpec():
            yield from _frame(piece, scale)
        case MouldSpec():
            yield Bound("sided", piece.sided, 3.0, _siding(scale), "the boat")
            yield Bound(
                "moulded", piece.moulded, 1.5 * piece.sided, 0.5 * scale.breadth, "its siding and the boat"
            )
        case StemEnd():
            yield Bound("moulded", piece.moulded, 0.4 * piece.sided, 8.0 * piece.sided, "the stem's siding")
            yield Bound("outside", piece.outside, 0.15 * piece.sided, 8.0 * piece.sided, "the stem's siding")
            for key, strip in (("strips", piece.strips), ("outer_strips", piece.outer_strips)):
                yield Bound(key, strip, 0.02 * piece.depth, FAR, "the stem's depth")
        case TransomEnd():
            yield from _transom(piece, scale)
        case KeelSpec():
            yield Bound(
                "moulded", piece.moulded, 0.5 * scale.thick, 3.0 * piece.sided, "planking and its siding"
            )
            yield Bound(
                "sided", piece.sided, 0.0, min(12.0 * piece.moulded, 0.5 * scale.breadth), "its moulding"
            )
        case LaidSpec() | StripSpec() | RubbingRailSpec() | RibbandSpec():
            stands = 2.0 if isinstance(piece, RubbingRailSpec) else 4.0
            yield Bound(
                "off", piece.off, max(0.5 * scale.thin, 1.0), stands * piece.along, "planking and its width"
            )
            yield Bound(
                "along", piece.along, 0.25 * piece.off, 12.0 * piece.off, "its depth off the planking"
            )
        case GussetSpec():
            yield Bound("thickness", piece.thickness, 0.25 * scale.thick, 5.0 * scale.thick, "the planking")
            yield Bound("arm", piece.arm, 3.0 * piece.thickness, 0.5 * scale.breadth, "thickness and breadth")
        case FloorSpec():
            yield Bound("sided", piece.sided, 0.5 * scale.thick, _siding(scale), "planking and boat")
            yield Bound(
                "moulded", piece.moulded, 0.6 * piece.sided, 0.5 * scale.breadth, "siding and breadth"
            )
            yield Bound("arm", piece.arm, 2.0 * piece.sided, 0.5 * scale.breadth, "siding and breadth")
            yield Bound("toe", piece.toe, 0.15 * piece.moulded, piece.moulded, "its moulding")
            yield Bound("inner_radius", piece.inner_radius, 0.0, 4.0 * piece.moulded, "its moulding")
        case BeamSpec() | CarlingSpec() | SupportSpec():
            deep = min(0.25 * scale.breadth, (12.0 if isinstance(piece, BeamSpec) else 8.0) * piece.sided)
            yield Bound("sided", piece.sided, 0.5 * scale.thick, _siding(scale), "planking and boat")
            yield Bound("moulded", piece.moulded, 0.3 * piece.sided, deep, "siding and breadth")
            yield Bound("end_depth", getattr(piece, "end_depth", None), 0.1 * piece.sided, FAR, "its siding")
        case KingPlankSpec():
            yield Bound("sided", piece.sided, piece.moulded, 0.5 * scale.breadth, "moulding and breadth")
            yield Bound("moulded", piece.moulded, 0.05 * piece.sided, 2.0 * piece.sided, "its breadth")
        case KneeSpec() | StemKneeSpec() | QuarterKneeSpec() | HangingKneeSpec() | BreasthookSpec():
            yield from _knee(piece, scale)


def _siding(scale: Scale) -> float:
    """The most siding of a piece across the boat."""
    return max(scale.length / 50.0, 3.0 * scale.thick)


def _frame(frame: FrameSpec, scale: Scale) -> Iterator[Bound]:
    yield Bound("sided", frame.sided, 0.5 * scale.thick, _siding(scale), "planking and boat")
    for key, value in (("moulded_side", frame.moulded_side), ("moulded_bottom", frame.moulded_bottom)):
        yield Bound(key, value, 0.6 * frame.sided, 0.25 * scale.breadth, "siding and breadth")
    most = 4.0 * max(frame.moulded_side, frame.moulded_bottom)
    yield Bound("inner_radius", frame.inner_radius, 0.0, most, "its moulding")


def _transom(end: TransomEnd, scale: Scale) -> Iterator[Bound]:
    most = max(scale.length / 60.0, 3.0 * scale.thick)
    yield Bound("panel", end.panel, 0.5 * scale.thick, most, "planking and boat")
    yield Bound("framing", end.framing, 0.5 * scale.thick, most, "planking and boat")
    framing = end.framing or 0.0
    yield Bound("framing_moulded", end.framing_moulded, 0.6 * framing, 0.5 * scale.breadth, "the framing")
    yield Bound("centre_post", end.centre_post, 0.6 * framing, 0.5 * scale.breadth, "the framing")


Knee = KneeSpec | StemKneeSpec | QuarterKneeSpec | HangingKneeSpec | BreasthookSpec
ARMS = (
    "along_keel", "up_transom", "up_stem", "along_clamp", "along_transom", "along_beam", "down_side", "length",
)  # fmt: skip


def _knee(knee: Knee, scale: Scale) -> Iterator[Bound]:
    yield Bound("sided", knee.sided, 0.5 * scale.thick, _siding(scale), "planking and boat")
    yield Bound("toe", knee.toe, 0.1 * knee.throat, knee.throat, "the throat")
    for key in ARMS:
        arm = getattr(knee, key, None)
        yield Bound(key, arm, 0.0, 0.25 * scale.length, "the boat")
