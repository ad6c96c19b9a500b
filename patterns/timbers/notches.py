"""The spaces that the timbers which run fore and aft take up in one face of a piece."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from patterns.errors import PatternsError
from patterns.flat.polylines import lengths
from patterns.hull.planes import FloatArray, Plane, cross
from patterns.hull.sections import Section
from patterns.timbers.run import TOUCHING, Run, clipped

__all__ = ["NOTCH_ROOM", "Notch", "notch_in"]

NOTCH_ROOM = 60.0  # mm by which a notch is run out through the planking, so that it opens cleanly
DOWN = 240.0  # mm by which the notch of a timber on the centreline is run out downward
LEAST = 1.0  # mm2; a smaller space is none


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Notch:
    """The space that a timber takes up in one face.

    Attributes:
        timber: its name.
        corners: shape (q, 2), mm, in the plane's own coordinates; run out through the planking, so the
            part inside of the planking is the notch.
        inner: shape (2, 2): the corners on the side away from the planking, the first at the timber's
            free edge and the second towards its line.
        wood: shape (p, 2), the timber's own section in the face, cut off where the timber ends.
        run: unit vector (3,) along the timber, pointing aft.
        in_plan, in_profile: the angles, radians, between the timber's run and the siding's direction, seen
            from above and from the side: 0 is square to the face.
    """

    timber: str
    corners: FloatArray
    inner: FloatArray
    wood: FloatArray
    run: FloatArray
    in_plan: float
    in_profile: float


def notch_in(section: Section, run: Run) -> Notch | None:
    """The space of a timber in a face; None where the timber does not reach it.

    Of a timber on the centreline the starboard half is given.

    Raises:
        PatternsError: it is wider than the strake that it lies on.
    """
    plane = section.plane
    whole, wood = run.cut_long(plane), run.cut(plane)
    if whole is None or wood is None or _area(wood) < LEAST:
        return None
    if run.mirrored:
        _check_wide(section, run)
        corners, inner = (
            _run_out(whole, edged=bool(run.lies_on[3])),
            whole[[2, 2]] + np.array([[0.0, 0.0], whole[0] - whole[1]]),
        )
        for end in run.ends:
            over = end.over(plane.space(corners)) - TOUCHING
            corners = clipped(corners, over) if over.max() > 0.0 else corners
    else:
        inner = _top(plane, wood)
        if not plane.cant:  # a canted half ends on the centreline by a cut of its own
            wood = clipped(wood, plane.centre - wood[:, 0])
        corners = _swept_down(wood)
    along = run.direction(plane)
    square = plane.facing(plane.space(inner.mean(axis=0)))  # a curved face has turned there
    ahead = float(along @ square)
    return Notch(
        timber=run.name,
        corners=corners,
        inner=inner,
        wood=wood,
        run=along,
        in_plan=float(np.arctan2(along @ cross(plane.v, square), ahead)),
        in_profile=float(np.arctan2(along @ plane.v, ahead)),
    )


def _area(polygon: FloatArray) -> float:
    x, y = polygon.T
    return 0.5 * abs(float(x @ np.roll(y, -1) - y @ np.roll(x, -1)))


def _top(plane: Plane, wood: FloatArray) -> FloatArray:
    """Of a timber on the centreline the outer end of its top on the starboard side, and its middle: (2, 2)."""
    y = plane.space(wood)[:, 1]
    starboard, port = (
        edge[edge[:, 1].argmax()] for edge in (wood[y > y.max() - TOUCHING], wood[y < y.min() + TOUCHING])
    )
    out, other = plane.space(starboard)[1], plane.space(port)[1]
    return np.array([starboard, starboard + (port - starboard) * out / (out - other)])


def _run_out(section: FloatArray, *, edged: bool) -> FloatArray:
    """A laid timber's section, (4, 2), run out through its strake: (4, 2).

    Args:
        edged: its edge at the line lies on another surface, and it is run out through that too.
    """
    corner, free, inner, line = section
    out, past = free - inner, corner - line
    out = NOTCH_ROOM * out / np.hypot(*out)
    if not edged:
        return np.array([free + out, inner, line, line + past + NOTCH_ROOM * past / np.hypot(*past)])
    on = line - inner
    on = on / np.hypot(*on)
    on = on * max(NOTCH_ROOM - float((line - corner) @ on), 0.0)
    return np.array([free + out, inner, line + on, line + on + out])


def _swept_down(section: FloatArray) -> FloatArray:
    """A section on the centreline run out downward; its outline above is kept."""
    import shapely

    both = np.vstack([section, section - np.array([0.0, DOWN])])
    hull = shapely.MultiPoint(both).convex_hull
    corners: FloatArray = np.asarray(hull.exterior.coords)[:-1]
    return corners


def _check_wide(section: Section, run: Run) -> None:
    trace = section.traces.get(run.lies_on[0])
    if trace is not None and 0.5 * run.across >= float(lengths(trace.uv)[-1]):
        raise PatternsError(f"the {run.name} is wider than the {run.lies_on[0]} is here")
