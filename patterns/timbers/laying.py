"""Every timber of the design laid in the boat: the curves of its corners on the real insides of planking."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeAlias

import numpy as np

from patterns.design.models import Design, KeelSpec, LaidSpec, StemEnd
from patterns.hull.hull import Hull, Strake
from patterns.hull.planes import FloatArray, Plane, centre_plane, cross
from patterns.hull.surfaces import Curve
from patterns.timbers.corners import WANDER, corner_line, dots, fair_aside, rises, square_to, unit
from patterns.timbers.faying import edge_over
from patterns.timbers.run import CLOSE, End, Run, check_follows
from patterns.timbers.skins import Feet, Skin
from patterns.wood.ends import HullEnd

__all__ = [
    "Tapers",
    "corner_surfaces",
    "cornered_run",
    "deck_skin",
    "heel_end",
    "keel_run",
    "laid_section",
    "line_points",
    "run_on",
    "stem_runs",
    "strake_skin",
    "timber_line",
]

Tapers: TypeAlias = tuple[Sequence[float], Sequence[float]]

RUN_ON = 150.0  # mm by which a line is carried on straight past both of its ends
AHEAD = int(RUN_ON / CLOSE)  # places of a timber's rails past each of its line's ends
ROUNDS = 4
MOST_TURN = 0.2  # radians within `CLOSE`; sharper is a knuckle, at which a keel's straight run begins
MOST_BEVELLED = 3.0  # of the depth, that a bevelled edge may stand out; 18 degrees is its sharpest
HEEL = 900.0  # mm by which a stem is run on straight past its foot; farther down the keel takes the space
SQUARE = 0.15  # radians between two strakes, below which a timber's edge is left square
LEAST_LEFT = 1.0  # mm of breadth that a bevelled edge leaves


def strake_skin(strake: Strake) -> Skin:
    """The inside of a strake."""
    return Skin(pieces=tuple(strake.patches), inset=strake.inset)


def deck_skin(hull: Hull) -> Skin:
    """The deck's underside."""
    return Skin(pieces=(hull.deck,), inset=hull.deck_inset)


def line_points(curve: Curve, *, start: float | None = None, end: float | None = None) -> FloatArray:
    """A line from aft forward, (m, 3), `CLOSE` mm apart or less.

    Args:
        start, end: the parameters of its fore and its after end; its own if left out.
    """
    first = curve.start if start is None else start
    rough = np.linspace(curve.end if end is None else end, first, 601)
    points = curve.at(rough)
    run = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))])
    count = max(int(np.ceil(run[-1] / CLOSE)), 4)
    return curve.at(np.interp(np.linspace(0.0, run[-1], count + 1), run, rough))


def laid_section(
    at: FloatArray,
    skin: Skin,
    *,
    across: float,
    deep: float,
    upward: float,
    other: Skin | None = None,
    begins: FloatArray | None = None,
) -> FloatArray:
    """The corners (m, 4, 3) of a timber whose back lies on a skin, from the edge at ``at`` (m, 3) on.

    Its back touches the skin at both edges; a hollow between is planed or left (a sagitta).  The corners are the
    edge at ``at``, the free edge on the skin, and the two off the skin, square to it; where there is another skin
    the edge at ``at`` is bevelled to lie on that.

    Args:
        across, deep: its breadth on the skin, and how far it stands off it inward (less than 0: outward), mm.
        upward: 1 where it lies above its line on the strake, -1 where below.
        begins: shape (m,), mm from ``at`` at which the back really begins; at ``at`` itself if left out.
    """
    along = square_to(at)
    here = skin.feet(at)
    # Across runs up the strake: of square to the normal and the run, the way in which r grows.
    up = cross(along, here.normals)
    up = unit(up) * rises(skin, here, up) * upward
    feet: Feet | None = None
    for _ in range(2):
        feet = skin.feet(at + across * up, feet)
        chord = feet.points - at
        up = unit(chord - dots(chord, along)[:, None] * along)
    out = cross(along, up)
    out = np.where((dots(out, here.normals) < 0.0)[:, None], -out, out)
    free = at + across * up
    edge = np.zeros(len(at))
    if other is not None:
        near: Feet | None = None
        for _ in range(ROUNDS):
            place = at - deep * out + edge[:, None] * up
            near = other.feet(place, near)
            pace = dots(near.normals, up)
            pace = np.where(np.abs(pace) > 1e-3, pace, np.copysign(1e-3, pace))
            edge = edge + dots(near.normals, near.points - place) / pace
            edge = np.clip(edge, -MOST_BEVELLED * deep, across - LEAST_LEFT)
        assert near is not None
        # Where the two come to lie nearly in one plane nothing is left to bevel to: the edge goes back to square.
        turn = np.arcsin(np.clip(-dots(near.normals, up), -1.0, 1.0))
        kept = np.clip((turn - SQUARE) / (np.arctan(1.0 / MOST_BEVELLED) - SQUARE), 0.0, 1.0)
        edge = kept * edge
    if begins is not None:
        at = at + np.minimum(begins, across - LEAST_LEFT)[:, None] * up
    return np.stack([at, free, free - deep * out, at - deep * out + edge[:, None] * up], axis=1)


def run_on(rails: FloatArray, *, each: bool = False) -> FloatArray:
    """Rails (m, k, 3) carried on straight by `RUN_ON` past both ends.

    Args:
        each: every rail in its own direction, for a timber that tapers; else all in one, so that places that are
            square to the run stay so.
    """
    more = np.arange(1, AHEAD + 1)[:, None, None] * CLOSE

    def way(last: FloatArray, before: FloatArray) -> FloatArray:
        along = (last - before) if each else (last - before).mean(axis=0)
        return unit(along)

    aft, fore = way(rails[0], rails[1]), way(rails[-1], rails[-2])
    return np.vstack([(rails[0] + more * aft)[::-1], rails, rails[-1] + more * fore])


def heel_end(hull: Hull, foot: float) -> tuple[float, Plane]:
    """Where the stem's piece ends: the profile's parameter, and the plane square to it there."""
    t = np.linspace(hull.profile.start, hull.profile.end, 4001)
    x = hull.profile.at(t)[:, 0]
    i = int(np.nonzero(x <= foot)[0][-1]) if (x <= foot).any() else 0
    i = min(i, len(t) - 2)
    at = float(t[i] + (t[i + 1] - t[i]) * np.clip((foot - x[i]) / max(x[i + 1] - x[i], 1e-9), 0.0, 1.0))
    point, along = hull.profile.at(np.array(at)), hull.profile.at(np.array(at), 1)[[0, 2]]
    along = along / np.hypot(*along)
    return at, Plane(
        origin=np.array([point[0], 0.0, point[2]]),
        u=np.array([0.0, 1.0, 0.0]),
        v=np.array([-along[1], 0.0, along[0]]),
    )


def _without_knuckle(line: FloatArray) -> FloatArray:
    """A line from aft forward up to the place where it turns sharply, if that is near its fore end."""
    along = unit(np.diff(line, axis=0))
    turn = np.arccos(np.clip(dots(along[:-1], along[1:]), -1.0, 1.0))
    sharp = np.nonzero(turn[len(turn) // 2 :] > MOST_TURN)[0]
    return line if len(sharp) == 0 else line[: len(turn) // 2 + int(sharp[0]) + 1]


def keel_run(
    hull: Hull,
    keel: KeelSpec,
    after: End,
    *,
    foot: float | None,
    fore: End | None = None,
    heel: float | None = None,
    tapers: Tapers = ((), ()),
) -> Run:
    """The keel from end to end: its top square to its run, its underside on the planking.

    Args:
        after, fore: what stops it aft and forward where no stem stands there.
        tapers: distances aft in rising order, and its breadth there; straight between them, and as sided without.
        foot, heel: where the stem and the sternpost end on the profile line, mm aft; None where there is none.
    """
    start, end = hull.profile.start, hull.profile.end
    if foot is not None:
        start, plane = heel_end(hull, foot)
        fore = End(plane=plane, out=-1.0, against="the stem's heel", lands=HullEnd.STEM)
    if heel is not None:
        end, plane = heel_end(hull, heel)
        after = End(plane=plane, out=1.0, against="the sternpost's heel", lands=HullEnd.STERNPOST)
    assert fore is not None
    line = line_points(hull.profile, start=start, end=end) * np.array([1.0, 0.0, 1.0])
    line = _without_knuckle(_without_knuckle(line)[::-1])[::-1]
    for x in tapers[0]:  # a place is laid where a taper begins
        i = int((line[:, 0] > x).sum())
        if 0 < i < len(line):
            part = (line[i - 1, 0] - x) / (line[i - 1, 0] - line[i, 0])
            line = np.insert(line, i, line[i - 1] + part * (line[i] - line[i - 1]), axis=0)
    skin, outboard = strake_skin(hull.strakes[0]), np.array([0.0, 1.0, 0.0])
    # Where the boat is narrower than the keel is sided, its sides are planed to the planking; a place is laid where
    # that begins.
    _, top = _keel_heights(line, skin, keel.moulded)
    room = _breadth_within(top, hull, keel.sided) - _half_sided(keel, tapers, line)
    narrows = np.nonzero((room[:-1] < 0.0) != (room[1:] < 0.0))[0]
    for i in narrows[::-1]:
        begins = line[i] + room[i] / (room[i] - room[i + 1]) * (line[i + 1] - line[i])
        line = np.insert(line, i + 1, begins, axis=0)
    up, top = _keel_heights(line, skin, keel.moulded)
    breadth = np.minimum(_half_sided(keel, tapers, line), _breadth_within(top, hull, keel.sided))[:, None]
    apex = top - keel.moulded * up
    low = _landed(apex + breadth * outboard, up, skin, keel.moulded)
    mirror = np.array([1.0, -1.0, 1.0])
    rails = [apex, low, top + breadth * outboard, top - breadth * outboard, low * mirror]
    return Run(
        name=keel.name,
        kind="keel",
        mirrored=False,
        rails=run_on(np.stack(rails, axis=1), each=True),
        ends=(after, fore),
        lies_on=(hull.strakes[0].name, "", "", "", hull.strakes[0].name),
        across=keel.sided,
        deep=keel.moulded,
        laminations=keel.laminations,
        stock=keel.stock,
    )


def _half_sided(keel: KeelSpec, tapers: Tapers, line: FloatArray) -> FloatArray:
    """Half of a keel's breadth at places of its line (m, 3): (m,), mm."""
    places, breadths = tapers
    if not places:
        return np.full(len(line), 0.5 * keel.sided)
    return 0.5 * np.interp(line[:, 0], places, breadths)


def _landed(base: FloatArray, up: FloatArray, skin: Skin, most: float) -> FloatArray:
    """Places (m, 3) moved along ``up`` until they lie on a skin, by ``most`` mm at most."""
    rise, near = np.zeros(len(base)), None
    for _ in range(ROUNDS):
        near = skin.feet(base + rise[:, None] * up, near)
        pace = dots(near.normals, up)
        pace = np.where(np.abs(pace) > 1e-3, pace, -1e-3)
        rise = rise + dots(near.normals, near.points - base - rise[:, None] * up) / pace
        rise = np.minimum(rise, most)
    moved: FloatArray = base + rise[:, None] * up
    return moved


def _keel_heights(line: FloatArray, skin: Skin, moulded: float) -> tuple[FloatArray, FloatArray]:
    """Up, square to the line, and the middle of the keel's top: two arrays (m, 3)."""
    along = square_to(line)
    up = cross(np.broadcast_to(np.array([0.0, 1.0, 0.0]), along.shape), along)
    up = up * np.sign(up[:, 2:])
    return up, _landed(line, up, skin, np.inf) + moulded * up


def _breadth_within(points: FloatArray, hull: Hull, most: float) -> FloatArray:
    """How far outboard of points on the centreline (m, 3) the inside of planking lies, ``most`` at most, mm."""
    outboard = np.array([0.0, 1.0, 0.0])
    least = np.full(len(points), most)
    for number, strake in enumerate(hull.strakes):
        skin, out = strake_skin(strake), np.full(len(points), most)
        near = skin.feet(points + most * outboard)
        for _ in range(2 * ROUNDS):
            place = points + out[:, None] * outboard
            near = skin.feet(place, near)
            pace = np.maximum(near.normals[:, 1], 0.05)
            out = np.clip(out + dots(near.normals, near.points - place) / pace, LEAST_LEFT, 2.0 * most)
        # Only the lowest strake is carried on below its lower line, to the centreline.
        own = np.ones(len(points), dtype=bool) if number == 0 else (near.r > -0.02) & (near.r < 1.02)
        met = np.abs(dots(near.normals, near.points - points - out[:, None] * outboard)) < 0.05
        least = np.where(own & met, np.minimum(least, out), least)
    return least


def corner_surfaces(hull: Hull, timber: LaidSpec) -> tuple[Skin, Skin, str]:
    """The inside that a chine log or a clamp lies on, the surface its edge lies on, and that one's name."""
    strake = next(strake for strake in hull.strakes if strake.name == timber.against)
    if timber.kind == "clamp":
        return strake_skin(strake), deck_skin(hull), "deck"
    neighbour = next(s for s in hull.strakes if s is not strake and timber.follows in (s.lower, s.upper))
    return strake_skin(strake), strake_skin(neighbour), neighbour.name


def timber_line(hull: Hull, timber: LaidSpec) -> FloatArray:
    """The line that a chine log or a clamp follows, from aft forward, (m, 3)."""
    # At a stem a strake runs out to a point and has no normal; from just inside of it it goes on straight.
    return line_points(hull.lines[timber.follows])[2 if hull.stems[1] else 0 : -2]


def cornered_run(hull: Hull, timber: LaidSpec, ends: tuple[End, End]) -> Run:
    """A chine log or a clamp: its back on one strake from the corner on, its edge there on the other surface."""
    strake = next(strake for strake in hull.strakes if strake.name == timber.against)
    upward = 1.0 if strake.lower == timber.follows else -1.0
    skin, other, beside = corner_surfaces(hull, timber)
    line = timber_line(hull, timber)
    foot, up, aside = corner_line(line, skin, other)
    fair = fair_aside(aside)
    beyond = np.clip(aside - fair, -WANDER, WANDER) * upward
    rails = laid_section(
        foot + fair[:, None] * up,
        skin,
        across=timber.along,
        deep=timber.off,
        upward=upward,
        other=other,
        begins=beyond,
    )
    check_follows(rails, line, ends, timber.against)
    return Run(
        name=timber.name,
        kind=timber.kind,
        mirrored=True,
        rails=run_on(rails),
        ends=ends,
        lies_on=(timber.against, "", "", beside),
        across=timber.along,
        deep=timber.off,
        laminations=timber.laminations,
        stock=timber.stock,
        edge_over=np.pad(edge_over(rails, other), ((AHEAD, AHEAD), (0, 0)), mode="edge"),
    )


def stem_runs(design: Design, hull: Hull) -> tuple[Run, ...]:
    """The stems' wood inside of their rabbet lines, as runs down to their heels, for what is cut over it."""
    ends = ((design.fore_end, False), (design.after_end, True))
    return tuple(_stem_run(hull, end, stern=stern) for end, stern in ends if isinstance(end, StemEnd))


def _stem_run(hull: Hull, spec: StemEnd, *, stern: bool) -> Run:
    at, heel = heel_end(hull, spec.foot)
    t = np.linspace(hull.profile.end, at, 601) if stern else np.linspace(at, hull.profile.start, 601)
    face = hull.profile.at(t) * np.array([1.0, 0.0, 1.0])
    along = square_to(face)
    inward = cross(np.broadcast_to(np.array([0.0, 1.0, 0.0]), along.shape), along)
    way = -1.0 if stern else 1.0
    inward = np.where((way * inward[:, :1] + inward[:, 2:]) < 0.0, -inward, inward)
    after = face + spec.moulded * inward
    half = 0.5 * spec.sided * np.array([0.0, 1.0, 0.0])
    head = End(plane=centre_plane().moved(1e6), out=1.0)
    rails = np.stack([face + half, after + half, after - half, face - half], axis=1)
    if spec.joint == "heel on the keel":  # it runs on straight until its after face dips into the keel
        rails, heel = _with_heel(rails, stern=stern), heel.moved(way * HEEL)
    return Run(
        name="sternpost" if stern else "stem",
        kind="stem",
        mirrored=False,
        rails=run_on(rails),
        ends=(head, End(plane=heel, out=-1.0)) if stern else (End(plane=heel, out=1.0), head),
        lies_on=("", "", "", ""),
        across=spec.sided,
        deep=spec.moulded,
    )


def _with_heel(rails: FloatArray, *, stern: bool) -> FloatArray:
    """A stem's rails (m, k, 3), from aft forward, carried on straight by `HEEL` past its foot."""
    more = np.arange(1, int(HEEL / CLOSE) + 1)[:, None, None] * CLOSE
    foot, inner = (rails[-1], rails[-2]) if stern else (rails[0], rails[1])
    along = (foot - inner).mean(axis=0)
    beyond = foot + more * along / np.linalg.norm(along)
    return np.vstack([rails, beyond] if stern else [beyond[::-1], rails])
