"""The transom knee: it ties the keel's top to the transom's inner face."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

import numpy as np

from patterns.boat import Boat
from patterns.design.file import KneeSpec
from patterns.errors import PatternsError
from patterns.flat.polylines import conic, lengths, meet
from patterns.hull.hull import Hull
from patterns.hull.planes import FloatArray, centre_plane
from patterns.members.wood import Piece, wood_words
from patterns.pattern import Kind, Line, Mark, Pattern, Span

REACH = 20_000.0  # mm up and down the transom from height 0, wherever the table counts its heights from

__all__ = ["keel_top", "pieces", "transom_face"]


def keel_top(hull: Hull, moulded: float) -> FloatArray:
    """The keel's upper edge in the centreline plane, (n, 2) of x and z, from forward aft.

    It stands ``moulded`` mm, square to its run, above the line in which the insides of planking meet.
    """
    bottom = hull.strakes[0]
    trace = bottom.along(centre_plane(), inset=bottom.inset, r_range=(-3.0, 0.5))
    if trace is None:
        raise PatternsError("the bottom planking does not reach the centreline")
    order = np.argsort(trace.uv[:, 0])
    normal = trace.normal[order][:, [0, 2]]
    up = -normal / np.linalg.norm(normal, axis=1, keepdims=True)
    top: FloatArray = trace.uv[order] + moulded * up
    return top


def transom_face(boat: Boat) -> tuple[FloatArray, FloatArray]:
    """The forward face that the knee lands on: a point (x, z) and the unit direction up it.

    The centre post's face where the framing has one, else the panel's.
    """
    spec = boat.design.stern
    depth = spec.panel + (spec.framing if spec.framing is not None and spec.centre_post is not None else 0.0)
    plane = boat.hull.transom.moved(-depth)
    return plane.origin[[0, 2]], plane.v[[0, 2]]


def pieces(boat: Boat) -> Iterator[Piece]:
    """The knees that the design asks for."""
    for spec in boat.design.knees:
        yield f'knee "{spec.name}"', partial(_knee, boat, spec)


def _knee(boat: Boat, spec: KneeSpec) -> tuple[Pattern, ...]:
    """One knee.

    Raises:
        PatternsError: the keel is missing, or an arm is longer than the member it lies on.
    """
    keel = next((timber for timber in boat.design.timbers if timber.kind == "keel"), None)
    if keel is None:
        raise PatternsError("it needs a keel to stand on; the design gives none")
    top = keel_top(boat.hull, keel.moulded)
    point, up = transom_face(boat)
    place = meet(top, np.array([point - REACH * up, point + REACH * up]), near=top[-1])
    if place is None:
        raise PatternsError("the keel does not reach the transom's face")
    i = int(place[0])
    corner = top[i] + (place[0] - i) * (top[i + 1] - top[i])
    on_keel = np.vstack([top[: i + 1], corner])
    run = lengths(on_keel)
    start = run[-1] - spec.along_keel
    if start < 0.0:
        raise PatternsError("its arm along the keel is longer than the keel")
    first = np.array([np.interp(start, run, on_keel[:, k]) for k in (0, 1)])
    foot = np.vstack([first, on_keel[run > start]])
    head = corner + spec.up_transom * up
    arm = _unit(first - corner)
    bisector = _unit(arm + up)
    inward_keel, inward_transom = _square_to(foot[0] - foot[1], bisector), _square_to(up, bisector)
    throat = corner + spec.throat * bisector
    toes = head + spec.toe * inward_transom, first + spec.toe * inward_keel
    inner = _inner_curve(toes, (up, arm), corner, bisector, spec.throat)
    outline = np.vstack([foot, head[None, :], inner])
    angle = float(np.degrees(np.arccos(np.clip(arm @ up, -1.0, 1.0))))
    pattern = Pattern(
        name=spec.name,
        member="transom knee",
        stock=spec.stock,
        thickness=spec.sided,
        laminations=spec.laminations,
        quantity="1",
        face="port side, seen from port",
        sides=("AFT", "FORWARD", "UP"),
        half=False,
        lines=(Line(kind=Kind.SAW, points=outline, closed=True),),
        marks=(
            Mark(name="lands on the keel", at=_xy(foot[len(foot) // 2]), towards=_xy(-inward_keel)),
            Mark(name="lands on the transom", at=_xy(0.5 * (corner + head)), towards=_xy(-inward_transom)),
            Mark(name=f"throat {spec.throat:g} mm", at=_xy(throat), towards=_xy(bisector)),
        ),
        spans=(
            Span(name="toe to toe", start=_xy(first), end=_xy(head)),
            Span(name="along the keel", start=_xy(corner), end=_xy(first)),
        ),
        facts=(
            *wood_words(spec),
            f"Angle between keel top and transom face {angle:.1f}°; edges square",
            f"Arms {spec.along_keel:g} mm along the keel, {spec.up_transom:g} mm up the transom",
        ),
        plane=centre_plane(-0.5 * spec.sided),
        siding=-1.0,
        grain=_xy(
            _unit(first - head)
        ),  # from toe to toe, square to the bisector (common practice, no source)
    )
    return (pattern,)


def _inner_curve(
    toes: tuple[FloatArray, FloatArray],
    arms: tuple[FloatArray, FloatArray],
    corner: FloatArray,
    bisector: FloatArray,
    throat: float,
) -> FloatArray:
    """The curve from toe to toe, parallel to the arms at both and ``throat`` mm from the corner on the bisector.

    So neither arm is anywhere narrower than its toe.

    Raises:
        PatternsError: no such curve; the message gives the throats that there are.
    """
    across = float(arms[0][0] * arms[1][1] - arms[0][1] * arms[1][0])
    gap = toes[1] - toes[0]
    control = toes[0] + arms[0] * float(gap[0] * arms[1][1] - gap[1] * arms[1][0]) / across
    ray = np.array([corner, corner + 1e4 * bisector])

    def depth(weight: float) -> float:
        curve = conic(toes[0], control, toes[1], weight=weight)
        place = meet(curve, ray, near=control)
        if place is None:
            raise PatternsError("its arms are too short for its toes")
        return float(np.hypot(*(ray[0] + (place[1]) * (ray[1] - ray[0]) - corner)))

    low, high = 0.02, 50.0  # a greater weight draws the curve nearer to the corner
    deep, shallow = depth(low), depth(high)
    if not shallow < throat < deep:
        raise PatternsError(
            f"its throat is {throat:g} mm, but its arms and toes leave room only from {np.ceil(shallow):.0f} to "
            f"{np.floor(deep):.0f} mm; give it one between"
        )
    for _ in range(60):
        middle = float(np.sqrt(low * high))
        low, high = (middle, high) if depth(middle) > throat else (low, middle)
    return conic(toes[0], control, toes[1], weight=low)


def _unit(vector: FloatArray) -> FloatArray:
    unit: FloatArray = vector / np.hypot(*vector)
    return unit


def _square_to(along: FloatArray, towards: FloatArray) -> FloatArray:
    """The unit vector square to one direction, on the side of another."""
    square = _unit(np.array([-along[1], along[0]]))
    return square if square @ towards > 0.0 else -square


def _xy(point: FloatArray) -> tuple[float, float]:
    return float(point[0]), float(point[1])
