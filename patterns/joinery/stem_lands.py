"""How the planking lands on the stem: rabbet, apex and bearding line, cut from the moved surface of the planking.

They are never the profile moved by the planking.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from patterns.errors import PatternsError
from patterns.flat.polylines import lengths, parallel
from patterns.hull.cuts import Trace, cut_along
from patterns.hull.girth import Girth
from patterns.hull.girth_cuts import along_girth, square_to_rabbet
from patterns.hull.hull import Hull, Strake
from patterns.hull.planes import FloatArray, Plane, centre_plane
from patterns.hull.surfaces import Ruled
from patterns.wood.ends import Aft, EndError, HullEnd
from patterns.wood.facts import Fact
from patterns.wood.features import Note

__all__ = [
    "StemLanding",
    "after_face",
    "bearding_lines",
    "check_lands",
    "chine_notes",
    "land_line",
    "landing_at",
    "rabbet_and_apex",
    "stem_run",
]

PAST_EDGE = -2.5  # of the strake's breadth by which it may be run past the profile line
FOLD = 0.25  # mm; far less than the line's own points are apart
REACH = np.linspace(
    -90.0, 320.0, 165
)  # mm along the profile line at which the planking's inside is looked for
# Where the profile runs nearly level its square plane runs all but along the sections: it crosses them close by.
CLOSE_BY = np.geomspace(0.02, 2.0, 14)
USUAL = 45.0  # mm; half the siding of a small boat's stem
RUN_AHEAD = 60.0  # mm by which planking is run on straight past its own pieces at the stem's head
SLOPE_OVER = 2.0  # mm of the trace that give the direction
WHOLE = 1.8  # times the stem's half siding: a half-breadth there that is as much may be a whole breadth
JUMP = 12.0  # times the usual step; neighbours on one line are never so far apart


@dataclass(frozen=True, slots=True, kw_only=True)
class StemLanding:
    """How the planking lands on the stem at one place, in a plane square to its profile.

    Attributes:
        at: x and z of the profile line there, mm.
        rabbet: half siding at the outside of planking, mm.
        face: half breadth at the inside of planking on the face through the rabbet line, mm.
        bearding: from that face back to where the inside of planking meets the stem's side, mm.
        bevel: the angle through the wood between the stem's side and the land, radians.
        towards: unit direction (x, z) into the boat.
    """

    at: tuple[float, float]
    rabbet: float
    face: float
    bearding: float
    bevel: float
    towards: tuple[float, float]


def stem_run(hull: Hull, foot: float) -> FloatArray:
    """The parameters of the profile line from the stem's head to its foot, about 4 mm apart or less."""
    t = np.linspace(hull.profile.start, hull.profile.end, 4001)
    x = hull.profile.at(t)[:, 0]
    i = int(np.clip((x <= foot).sum(), 1, len(t) - 1))
    low, high = t[i - 1], t[i]
    for _ in range(50):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if hull.profile.at(np.array(middle))[0] <= foot else (low, middle)
    span = float(lengths(hull.profile.at(np.append(t[:i], low))[:, [0, 2]])[-1])
    return np.linspace(hull.profile.start, low, max(int(span / 4.0), 40))


def _square_plane(hull: Hull, t: float) -> Plane:
    """The plane square to the profile line; v runs into the boat."""
    tangent = hull.profile.at(np.array(t), 1)[[0, 2]]
    tangent = tangent / np.linalg.norm(tangent)
    point = hull.profile.at(np.array(t))
    return Plane(
        origin=np.array([point[0], 0.0, point[2]]),
        u=np.array([0.0, 1.0, 0.0]),
        v=np.array([-tangent[1], 0.0, tangent[0]]),
    )


def landing_at(hull: Hull, t: float, half: float) -> StemLanding:
    """The planking's landing at one place of the profile line.

    Args:
        half: the stem's half siding, mm.
    Raises:
        PatternsError: the planking does not reach the stem's side or face there.
    """
    plane = _square_plane(hull, t)
    point = hull.profile.at(np.array(t))
    met: list[tuple[str, Trace]] = []
    for strake in hull.strakes:
        trace = _square_trace(strake, plane, t, point, wide=max(half / USUAL, 1.0))
        if trace is None:
            continue
        met.append((strake.name, trace))
        order = np.argsort(trace.uv[:, 0])
        u, v = trace.uv[order].T
        if not (u[0] < half < u[-1] and v.min() < 0.0 < v.max()):
            continue
        rising = np.argsort(v)
        bearding = float(np.interp(half, u, v))
        normal = np.array([np.interp(half, u, trace.normal[order, k]) for k in range(3)])
        return StemLanding(
            at=(float(point[0]), float(point[2])),
            rabbet=float(point[1]),
            face=float(np.interp(0.0, v[rising], u[rising])),
            bearding=bearding,
            bevel=float(np.arccos(np.clip(-normal[1] / np.linalg.norm(normal), -1.0, 1.0))),
            towards=(float(plane.v[0]), float(plane.v[2])),
        )
    raise _not_landed(met, point, half)


def _not_landed(met: Sequence[tuple[str, Trace]], point: FloatArray, half: float) -> EndError:
    """Why planking does not land at a place of the profile line, from the insides of strakes that come there."""
    more: dict[str, object] = {}
    words = "check its foot, its sided and the lines' half-breadths there"
    for name, trace in met:
        u, v = trace.uv.T
        if np.ptp(v) < SLOPE_OVER:
            words = (
                "the sections of {strake} lie along a {end} that is plumb, or nearly so: in its table write "
                'sections = "developable"'
            )
            more = {"strake": name}
        elif u.max() <= half:
            words = (
                "the inside of {strake} comes out to no more than {out:.0f} mm there, and half of its sided is "
                "{half:.0f} mm; make its sided less, that planking thinner, or the half-breadths next to it greater"
            )
            more = {"strake": name, "out": float(u.max()), "half": half}
    return EndError(
        HullEnd.STEM,
        "the planking does not land on the {end} {at.mm:.0f} mm aft, at height {height:.0f} mm; " + words,
        at=Aft(float(point[0]) if abs(point[0]) > 0.5 else 0.0),
        height=float(point[2]),
        **more,
    )


def _square_trace(strake: Strake, plane: Plane, t: float, point: FloatArray, *, wide: float) -> Trace | None:
    """The inside of a strake in the plane square to the profile line; None where it lands elsewhere on that line.

    The piece that lands there may be run on ahead of its own fore end; aft of its after end, where its lower edge
    leaves the profile line, the strake's other pieces go on.

    Args:
        wide: how many times farther than along a small boat's stem the planking is looked for.
    """
    mine = next((patch for patch in strake.patches if _lands(patch, t, point)), None)
    if mine is None:
        return None
    if isinstance(mine, Girth):
        return square_to_rabbet(mine, plane, point, inset=strake.inset)
    others = [patch for patch in strake.patches if patch is not mine]
    last = mine.end if others else np.inf
    own = cut_along(
        mine, plane, inset=strake.inset, p=_places(mine, t, -np.inf, last, wide), r_range=(-2.5, 3.9)
    )
    if own is None:
        return None
    traces = [own]
    for patch in others:
        p = _places(patch, _near_end(patch, point), patch.start, patch.end, wide)
        if len(p) > 1:
            trace = cut_along(patch, plane, inset=strake.inset, p=p, r_range=(0.0, 1.0))
            traces += [] if trace is None else [trace]
    uv, normal = (np.concatenate([getattr(trace, name) for trace in traces]) for name in ("uv", "normal"))
    # Past its head a strake's edges have changed places, and run on past an edge a bent sheet folds over where its
    # rulings cross: its normal has turned round there, and what lies on it is no inside of planking.
    good = normal @ own.normal[int(np.abs(own.r).argmin())] > 0.0
    if good.sum() < 2:
        return None
    along = np.nonzero(good)[0][np.argsort(uv[good, 1])]
    return _run_ahead(Trace(uv=uv[along], normal=normal[along], r=np.zeros(len(along))))


def _lands(patch: Ruled, t: float, point: FloatArray) -> bool:
    """Whether a piece of a strake has its lower edge on the profile line there."""
    if isinstance(patch, Girth):
        return True
    if not patch.start - 1e-6 <= t <= patch.end:
        return False
    return bool(np.hypot(*(patch.lower(np.array([t]))[0][0, [0, 2]] - point[[0, 2]])) <= 0.5)


def _near_end(patch: Ruled, point: FloatArray) -> float:
    """The end of a piece of a strake that lies nearer to a place on the profile line."""
    ends = np.array([patch.start, patch.end])
    return float(ends[np.linalg.norm(patch.lower(ends)[0] - point, axis=1).argmin()])


def _places(patch: Ruled, p: float, first: float, last: float, wide: float) -> FloatArray:
    """Places along a piece of a strake about one of them, between two others, so many times farther apart."""
    pace = float(np.linalg.norm(patch.shape(np.array([p]), np.array([0.0]))[1]))
    if pace == 0.0:
        return np.zeros(0)
    reach = np.unique(np.concatenate([-CLOSE_BY, wide * REACH, CLOSE_BY])) / pace
    return np.unique(np.clip(p + reach, first, last))


def _run_ahead(trace: Trace) -> Trace:
    """A trace run on straight ahead of the profile line, where no piece of the strake reaches so far."""
    v = trace.uv[:, 1]
    if v[-1] <= v[0] + SLOPE_OVER:
        return trace
    step = trace.uv[int(np.searchsorted(v, v[0] + SLOPE_OVER))] - trace.uv[0]
    ahead = trace.uv[0] - RUN_AHEAD * step / np.hypot(*step)
    return Trace(
        uv=np.vstack([ahead, trace.uv]),
        normal=np.vstack([trace.normal[:1], trace.normal]),
        r=np.zeros(len(trace.uv) + 1),
    )


def after_face(hull: Hull, foot: float, moulded: float) -> FloatArray:
    """The stem's after face in the centreline plane, (n, 2) of x and z, from the head down to the foot."""
    return parallel(hull.profile.at(stem_run(hull, foot))[:, [0, 2]], moulded)


def land_line(hull: Hull, half: float) -> FloatArray:
    """Where the inside of planking meets a plane beside the centreline: one line of (x, z), mm, from aft forward.

    Each strake's line runs between its own edges, but where it lands on the profile line it may run past that
    edge; across a chine's edge a straight piece joins them.

    Args:
        half: the plane's distance from the centreline, mm.
    Raises:
        PatternsError: no strake comes so near to the centreline.
    """
    return _land(hull, half, outside=False)[:, [0, 2]]


def rabbet_and_apex(hull: Hull, half: float, foot: float) -> tuple[FloatArray, FloatArray]:
    """The rabbet line at the stem's side, (n, 2) of x and z, and the apex, (n, 3), from the head to the foot, mm.

    The half siding need not be the one that the table was drawn with, nor the table be given to the outside of
    planking: the rabbet line is where the outside of planking meets the stem's own side.  The apex, the rabbet's
    inner corner, lies the planking's thickness from it, square to the plank.

    Args:
        foot: the distance aft at which the stem ends, mm.
    """
    both = _land(hull, half, outside=True)[::-1]
    run = lengths(both[:, [0, 2]])
    i = int(np.nonzero(both[:, 0] > foot)[0][0])
    end = np.interp(foot, both[i - 1 : i + 1, 0], run[i - 1 : i + 1])
    even = np.linspace(0.0, float(end), max(int(end / 4.0), 40))
    columns = [np.interp(even, run, both[:, k]) for k in range(6)]
    return np.stack([columns[0], columns[2]], axis=-1), np.stack(columns[3:], axis=-1)


def _land(hull: Hull, half: float, *, outside: bool) -> FloatArray:
    """Where planking meets a plane beside the centreline, (n, 6): the point, and the inside abreast of it."""
    plane = centre_plane(half)
    found = []
    for strake in hull.strakes:
        inset = strake.inset - (strake.planking if outside else 0.0)
        through = strake.planking if outside else 0.0
        for patch in strake.patches:
            low = PAST_EDGE if _on_profile(hull, patch) else 0.0
            # At its very head the strake runs out to a point and has no normal; a hair further aft it has.
            hair = 1e-6 * (patch.end - patch.start)
            if isinstance(patch, Girth):
                trace = along_girth(patch, plane, inset=inset, r_range=(-0.1, 1.0))
            else:
                p = np.linspace(patch.end, patch.start + hair, 481)
                trace = cut_along(patch, plane, inset=inset, p=p, r_range=(low, 1.0))
            if trace is not None:
                whole = _longest_run(trace.uv)
                points = plane.space(trace.uv[whole])
                found.append(np.hstack([points, points - through * trace.normal[whole]]))
    if not found:
        raise PatternsError(f"the planking does not come as near to the centreline as {half:.1f} mm")
    line = np.vstack(found)
    if hull.stems[1]:  # the half at the sternpost is not looked at
        heads = hull.profile.at(np.array([hull.profile.start, hull.profile.end]))
        line = line[line[:, 0] < heads[:, 0].mean()]
    # Two pieces of one strake both give the point at their joint, a hair apart: such a fold is taken out.
    apart = np.hypot(*np.diff(line[:, [0, 2]], axis=0).T) > FOLD
    kept: FloatArray = line[np.append(True, apart)]
    return kept


def _longest_run(line: FloatArray) -> slice:
    """The longest part of a line (n, 2) that has no jump in it.

    Near its head a strake folds over itself where its thickness is taken off, and a sample there may fall on the
    fold, far from its neighbours.
    """
    step = np.hypot(*np.diff(line, axis=0).T)
    ends = np.concatenate([[0], np.flatnonzero(step > JUMP * np.median(step)) + 1, [len(line)]])
    longest = int(np.argmax(np.diff(ends)))
    return slice(int(ends[longest]), int(ends[longest + 1]))


def _on_profile(hull: Hull, patch: Ruled) -> bool:
    """Whether a piece of a strake has the profile line for its lower edge."""
    middle = np.array([0.5 * (patch.start + patch.end)])
    return bool(np.hypot(*(patch.lower(middle)[0] - hull.profile.at(middle))[0, [0, 2]]) < 0.5)


def bearding_lines(hull: Hull, half: float) -> list[FloatArray]:
    """Where the inside of planking meets the stem's side, as one line of (x, z), mm, from aft forward."""
    try:
        return [land_line(hull, half)]
    except PatternsError:
        return []


def chine_notes(hull: Hull, rabbet: FloatArray) -> list[Note]:
    """Where the chines land on the rabbet line."""
    notes = []
    for name, curve in list(hull.lines.items())[:-1]:
        end = curve.at(np.array(curve.start))
        if end[0] <= rabbet[:, 0].max():
            fact, at = Fact("chine-lands", {"line": name}), (float(end[0]), float(end[2]))
            notes.append(Note(fact=fact, at=at, towards=(-0.8, -0.6), length=10.0))
    return notes


def check_lands(landings: list[StemLanding], half: float) -> None:
    """See that the planking lands on the piece, all the way.

    Raises:
        PatternsError: where it does not, with the size that would do.
    """
    for land in landings:
        height = f"at height {land.at[1]:.0f} mm"
        if land.face <= 0.0:
            raise EndError(
                HullEnd.STEM,
                f"{height} the planks meet before they reach the {{end}}'s face: the half siding at the rabbet, "
                f"{land.rabbet:.1f} mm, must be {land.rabbet - land.face:.1f} mm or more for this planking",
            )
        if land.face >= half:
            raise EndError(
                HullEnd.STEM,
                f"{height} the insides of the planks are {2.0 * land.face:.0f} mm apart at the {{end}}'s face, so "
                f"a {{end}} sided {2.0 * half:g} mm gives them nothing to land on; {_less(land.rabbet, half)}",
            )


def _less(rabbet: float, half: float) -> str:
    """What to do where a half-breadth at the rabbet is too much for a stem's half siding, both mm.

    The end is left open; see `EndError`.
    """
    wider = "make the {end} wider, or the half-breadth at the {end.of_boat} less"
    if rabbet < WHOLE * half:
        return wider
    return f"halve the row that is {rabbet:.0f} mm there if it holds whole breadths; else {wider}"
