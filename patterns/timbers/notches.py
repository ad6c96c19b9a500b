"""The spaces that keel, chine logs and clamps take up in one face of a piece.

A timber is taken as straight where it crosses one face (it bends by less than 0.02 mm over the few
millimetres that matter) and as flat on the planking at the middle of its width.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, Protocol

import numpy as np

from patterns.errors import PatternsError
from patterns.flat.polylines import lengths
from patterns.hull.planes import FloatArray, Plane, cross
from patterns.hull.sections import Section

__all__ = ["NOTCH_ROOM", "KeelGiven", "LaidGiven", "Notch", "keel_notch", "laid_notch", "stem_notch"]

NOTCH_ROOM = 60.0  # mm by which a notch is run out through the planking, so that it opens cleanly


class LaidGiven(Protocol):
    """A timber that lies on a strake along one of its edges: a chine log or a clamp."""

    @property
    def kind(self) -> str: ...
    @property
    def name(self) -> str: ...
    @property
    def follows(self) -> str: ...
    @property
    def against(self) -> str: ...
    @property
    def off(self) -> float: ...
    @property
    def along(self) -> float: ...


class KeelGiven(Protocol):
    """A keel inside of planking."""

    @property
    def name(self) -> str: ...
    @property
    def sided(self) -> float: ...
    @property
    def moulded(self) -> float: ...


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Notch:
    """The space that a timber takes up in one face.

    Attributes:
        timber: its name.
        corners: shape (4, 2), mm, in the plane's own coordinates; run out through the planking, so the
            part inside of the planking is the notch.
        inner: shape (2, 2): the corners on the side away from the planking, the first at the timber's
            free edge and the second towards its line.
        run: unit vector (3,) along the timber, pointing aft.
        in_plan, in_profile: the angles, radians, between the timber's run and the siding's direction, seen
            from above and from the side: 0 is square to the face.
    """

    timber: str
    corners: FloatArray
    inner: FloatArray
    run: FloatArray
    in_plan: float
    in_profile: float


def _angles(section: Section, run: FloatArray) -> tuple[float, float]:
    normal, up, out = section.plane.normal, section.plane.v, section.plane.u
    ahead = float(run @ normal)
    return float(np.arctan2(run @ out, ahead)), float(np.arctan2(run @ up, ahead))


def laid_notch(section: Section, timber: LaidGiven) -> Notch | None:
    """The space of a chine log or clamp; None where the section has no such corner (forward of the line's end).

    The timber starts at the inside corner of planking (chine) or of planking and deck (clamp), lies ``along``
    on its strake and stands ``off`` it; its edge at the corner takes the other surface's bevel.
    """
    corner = section.corner(timber.follows)
    if corner is None or timber.against not in section.traces:
        return None
    trace = section.traces[timber.against]
    run_along = lengths(trace.uv)
    upward = float(np.hypot(*(trace.uv[0] - corner.at))) < float(np.hypot(*(trace.uv[-1] - corner.at)))
    middle = 0.5 * timber.along if upward else run_along[-1] - 0.5 * timber.along
    if not 0.0 < middle < run_along[-1]:
        raise PatternsError(f"the {timber.name} is wider than the {timber.against} is here")
    under, normal = trace.place(float(np.interp(middle, run_along, np.arange(len(trace)))))
    run = corner.run
    across = cross(run, normal)
    across = across / np.linalg.norm(across)
    # On the planking and away from the corner, towards the middle of the strake.
    towards = section.plane.space(under)
    at = section.plane.space(corner.at)
    if across @ (towards - at) < 0.0:
        across = -across
    far, out = timber.along, NOTCH_ROOM
    places = [
        at + far * across + out * normal,
        at + far * across - timber.off * normal,
        at - out * across - timber.off * normal,
        at - out * across + out * normal,
    ]
    corners = np.array([section.plane.where_line(place, run) for place in places])
    in_plan, in_profile = _angles(section, run)
    inner = np.array(
        [section.plane.where_line(at + a * across - timber.off * normal, run) for a in (far, 0.0)]
    )
    return Notch(
        timber=timber.name, corners=corners, inner=inner, run=run, in_plan=in_plan, in_profile=in_profile
    )


def keel_notch(section: Section, keel: KeelGiven) -> Notch:
    """The starboard half of the keel's space: half its siding wide, ``moulded`` high above the apex.

    The apex is where the inside of planking, carried on, meets the centreline; the keel's height is measured
    square to its run.
    """
    _, normal = next(iter(section.traces.values())).place(0.0)
    run = np.array([-normal[2], 0.0, normal[0]])
    run = run / np.linalg.norm(run)
    up: FloatArray = cross(run, np.array([0.0, 1.0, 0.0]))
    up = up if up[2] > 0.0 else -up
    at = section.plane.space(section.apex)
    half = 0.5 * keel.sided
    # A canted half ends on the centreline by a cut of its own, so the notch is run out past it.
    near = -half if section.plane.cant else 0.0
    places: list[tuple[float, Literal[-1, 1]]] = [(near, 1), (half, 1), (half, -1), (near, -1)]

    def pierced(y: float, side: int) -> FloatArray:
        over = keel.moulded if side > 0 else -4 * NOTCH_ROOM
        return section.plane.where_line(at + np.array([0.0, y, 0.0]) + over * up, run)

    corners = np.array([pierced(y, side) for y, side in places])
    in_plan, in_profile = _angles(section, run)
    return Notch(
        timber=keel.name,
        corners=corners,
        inner=np.array([pierced(half, 1), pierced(0.0, 1)]),
        run=run,
        in_plan=in_plan,
        in_profile=in_profile,
    )


def _over_stem(plane: Plane, points: FloatArray) -> tuple[FloatArray, FloatArray] | None:
    """Where a plane meets a line of the stem's after face, (2,), and the line's direction there, aft, (3,)."""
    over = plane.height_over(points)
    crossing = np.nonzero((over[:-1] <= 0.0) != (over[1:] <= 0.0))[0]
    if len(crossing) == 0:
        return None
    i = int(crossing[-1])
    at = points[i] + over[i] / (over[i] - over[i + 1]) * (points[i + 1] - points[i])
    run = points[i + 1] - points[i]
    run = run / np.linalg.norm(run)
    return plane.flat(at), run if run[0] > 0.0 else -run


def stem_notch(section: Section, after_face: FloatArray, half: float) -> Notch | None:
    """The starboard half of the stem's space, down from its after face; None where the plane misses the stem.

    Args:
        after_face: the stem's after face in the centreline plane, (n, 2) of x and z, from the head to the foot.
        half: its half siding, mm.
    """
    points = np.stack([after_face[:, 0], np.zeros(len(after_face)), after_face[:, 1]], axis=-1)
    middle = _over_stem(section.plane, points)
    near = -half if section.plane.cant else 0.0
    edges = [_over_stem(section.plane, points + np.array([0.0, y, 0.0])) for y in (near, half)]
    if middle is None or edges[0] is None or edges[1] is None:
        return None
    (first, _), (last, _) = edges[0], edges[1]
    top, run = middle
    low = float(section.apex[1]) - 4 * NOTCH_ROOM
    in_plan, in_profile = _angles(section, run)
    return Notch(
        timber="stem",
        corners=np.array([first, last, [last[0], low], [first[0], low]]),
        inner=np.array([last, top]),
        run=run,
        in_plan=in_plan,
        in_profile=in_profile,
    )
