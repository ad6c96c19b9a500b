"""The edge that is made of each side's: the inside of planking, each side's own or one for both."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from patterns.design.repair_models import RepairSpec
from patterns.hull.planes import FloatArray
from patterns.repair.fairing import FairSide
from patterns.repair.outline import Edge, EdgeStretch, moved_out
from patterns.repair.places import Side

__all__ = ["edges_made"]


def edges_made(spec: RepairSpec, sides: Mapping[Side, FairSide]) -> dict[Side, Edge]:
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
            EdgeStretch(
                name=one.name,
                points=points,
                out=out / np.linalg.norm(out, axis=-1, keepdims=True),
                slope=0.5 * (one.slope + along(other.slope)),
                hollow=0.5 * (one.hollow + along(other.hollow)),
            )
        )
    return replace(first, stretches=tuple(stretches))
