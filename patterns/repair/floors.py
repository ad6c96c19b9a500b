"""A floor timber: across the keel from side to side, its top straight from each arm's end to the throat."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from shapely.geometry import Polygon

from patterns.design.repair_models import PieceSpec
from patterns.errors import PatternsError
from patterns.flat.polylines import crossings
from patterns.hull.planes import FloatArray
from patterns.repair.cutting import cut_at
from patterns.repair.ends import FrameEnd, inward
from patterns.repair.outline import Edge
from patterns.repair.repair import Repair
from patterns.repair.shapes import Shape, across, run_at, to_centreline
from patterns.wood.facts import Fact
from patterns.wood.labels import Free
from patterns.wood.region import Region

__all__ = ["floor_depth", "floor_shapes"]

ABOVE = 3000.0  # mm over its top from which wood is taken away
PAST = 400.0  # mm by which the line of the top is carried on past both arms
END = "arm"


def floor_shapes(repair: Repair, spec: PieceSpec) -> Iterator[Shape]:
    """The floor, or the starboard half of one that is alike on both sides.

    Raises:
        PatternsError: its top runs into the planking.
    """
    assert spec.to_point is not None
    half, starboard = repair.symmetrical, repair.edges_of["starboard"]
    edge = to_centreline(starboard) if half else across(repair.edges_of["port"], starboard)
    run = run_at(repair, "starboard", spec.to_point)
    assert run is not None
    upper = float(edge.corner_runs[-1] - starboard.corner_runs[-1] + run)
    ends = [FrameEnd(cut=cut_at(edge, upper, upper=True, name=END))]
    moulded = spec.moulded or repair.spec.moulded
    top = [_throat(repair, spec), inward(edge, upper, moulded)]
    if half:
        ends.insert(0, FrameEnd(cut=cut_at(edge, 0.0, upper=False)))
    else:
        port = repair.edges_of["port"]
        along = run_at(repair, "port", spec.to_point)
        assert along is not None
        lower = float(port.corner_runs[-1] - along)
        ends.insert(0, FrameEnd(cut=cut_at(edge, lower, upper=False, name=END)))
        top.insert(0, inward(edge, lower, moulded))
    less = _above(np.array(top), edge)
    made = tuple(FrameEnd(cut=end.cut, less=(less,), facts=()) for end in ends[:1])
    yield Shape(
        name=spec.name or f"floor timber at frame {repair.spec.frame}",
        spec=spec,
        side=None,
        half=half,
        edge=edge,
        ends=(made[0], FrameEnd(cut=ends[1].cut, facts=(_fact(spec, moulded),))),
    )


def floor_depth(shape: Shape) -> float:
    """A depth in from the planking within which all of a floor lies, mm."""
    assert shape.spec.throat is not None
    deadrise = float(np.ptp(shape.edge.points[:, 1]))
    return shape.spec.throat + deadrise


def _fact(spec: PieceSpec, moulded: float) -> Fact:
    return Fact("floor-arms", {"point": spec.to_point, "moulded": moulded, "throat": spec.throat})


def _throat(repair: Repair, spec: PieceSpec) -> FloatArray:
    """The top on the centreline: so much above the higher heel."""
    assert spec.throat is not None
    heel = max(float(edge.points[0, 1]) for edge in repair.edges_of.values())
    return np.array([0.0, heel + spec.throat])


def _above(top: FloatArray, edge: Edge) -> Region:
    """All above the line of the top (n, 2), from the port arm or the centreline to the starboard arm."""
    if any(crossings(stretch.points, top) for stretch in edge.stretches):
        raise PatternsError("its top runs into the planking; give more throat, or end its arms lower")
    first, last = top[0] - top[1], top[-1] - top[-2]
    line = np.vstack([
        top[0] + PAST * first / np.hypot(*first), top, top[-1] + PAST * last / np.hypot(*last)
    ])  # fmt: skip
    high = float(line[:, 1].max()) + ABOVE
    roof = np.array([[line[-1, 0], high], [line[0, 0], high]])
    return Region.of(Polygon(np.vstack([line, roof])).buffer(0.0), Free())
