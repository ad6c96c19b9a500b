"""Where a frame stands beside its station line: what its gussets ask for."""

from __future__ import annotations

from patterns.design.frame_models import GussetSpec
from patterns.design.models import Design, FrameSpec

__all__ = ["gusset_sides", "gussets_on", "station_shift"]


def gussets_on(design: Design, spec: FrameSpec) -> tuple[GussetSpec, ...]:
    """The kinds of gusset that the design gives a frame."""
    return tuple(gusset for gusset in design.all(GussetSpec) if spec.name in gusset.frames)


def gusset_sides(gusset: GussetSpec) -> tuple[str, ...]:
    """The faces of the frame that it lies on."""
    return ("forward", "after") if gusset.faces == "both" else (gusset.faces,)


def station_shift(design: Design, spec: FrameSpec, sense: float) -> float:
    """How far along its siding a frame's moulded face stands from the station line, mm.

    It is a gusset's thickness where the design has the station line on the outer face of the gusset there.

    Args:
        sense: 1 where the siding runs aft from the moulded face (which is then the forward one), -1 forward.
    """
    moulded = "forward" if sense > 0 else "after"
    return max(
        (
            gusset.thickness
            for gusset in gussets_on(design, spec)
            if gusset.station_line == "gusset" and moulded in gusset_sides(gusset)
        ),
        default=0.0,
    )
