"""The stem: rabbeted, or an inner stem that is bevelled and an outer stem added after planking.

Drawn on its side, seen from port: aft is to the right.  Rabbet, apex and bearding line are cut from the moved
surface of the planking, at the stem's half siding; they are never the profile moved by the planking.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial

import numpy as np

from patterns.bevels import MOST_APART
from patterns.boat import Boat
from patterns.errors import PatternsError
from patterns.flat.polylines import lengths, parallel
from patterns.flat.shapes import area_of, inside_points, largest, outline_of
from patterns.hull.cuts import cut_along
from patterns.hull.hull import Hull
from patterns.hull.planes import FloatArray, Plane, centre_plane
from patterns.hull.surfaces import moved
from patterns.members.wood import Piece, level_lines, wood_words
from patterns.pattern import Kind, Line, Mark, Pattern, Reading, Span

__all__ = ["Landing", "after_face", "bearding_lines", "landing_at", "pieces", "stem_run"]

SIDES = ("AFT", "FORWARD", "UP")
SEEN = "port side, seen from port"
FOLD = 0.25  # mm; far less than the line's own points are apart
INBOARD = -1.0  # from the port side the wood runs against the plane's normal, which points to port


@dataclass(frozen=True, slots=True, kw_only=True)
class Landing:
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
    on_stem = t[hull.profile.at(t)[:, 0] <= foot]
    end = float(on_stem[-1])
    span = float(lengths(hull.profile.at(on_stem)[:, [0, 2]])[-1])
    return np.linspace(hull.profile.start, end, max(int(span / 4.0), 40))


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


def landing_at(hull: Hull, t: float, half: float) -> Landing:
    """The planking's landing at one place of the profile line.

    Args:
        half: the stem's half siding, mm.
    Raises:
        PatternsError: the planking does not reach the stem's side or face there.
    """
    plane = _square_plane(hull, t)
    point = hull.profile.at(np.array(t))
    for strake in hull.strakes:
        for patch in strake.patches:
            pace = float(np.linalg.norm(patch.shape(np.array([t]), np.array([0.0]))[1]))
            if not patch.start - 1e-6 <= t <= patch.end or pace == 0.0:
                continue
            if np.hypot(*(patch.lower(np.array([t]))[0][0, [0, 2]] - point[[0, 2]])) > 0.5:
                continue  # this piece lies on another line here
            reach = np.linspace(-90.0, 320.0, 165) / pace
            trace = cut_along(patch, plane, inset=strake.inset, p=t + reach, r_range=(-2.5, 3.9))
            if trace is None:
                continue
            order = np.argsort(trace.uv[:, 0])
            u, v = trace.uv[order].T
            if not (u[0] < half < u[-1] and v.min() < 0.0 < v.max()):
                continue
            rising = np.argsort(v)
            bearding = float(np.interp(half, u, v))
            normal = np.array([np.interp(half, u, trace.normal[order, k]) for k in range(3)])
            return Landing(
                at=(float(point[0]), float(point[2])),
                rabbet=float(point[1]),
                face=float(np.interp(0.0, v[rising], u[rising])),
                bearding=bearding,
                bevel=float(np.arccos(np.clip(-normal[1] / np.linalg.norm(normal), -1.0, 1.0))),
                towards=(float(plane.v[0]), float(plane.v[2])),
            )
    raise PatternsError(
        f"the planking does not land on the stem at height {point[2]:.0f} mm; is its foot too far aft?"
    )


def after_face(hull: Hull, foot: float, moulded: float) -> FloatArray:
    """The stem's after face in the centreline plane, (n, 2) of x and z, from the head down to the foot."""
    return parallel(hull.profile.at(stem_run(hull, foot))[:, [0, 2]], moulded)


def bearding_lines(hull: Hull, half: float) -> list[FloatArray]:
    """Where the inside of planking meets the stem's side, as one line of (x, z), mm, from aft forward.

    Each strake's line runs between its own edges; across a chine's edge a straight piece joins them.
    """
    plane = centre_plane(half)
    traces = [strake.along(plane, inset=strake.inset, r_range=(0.0, 1.0)) for strake in hull.strakes]
    lines = [trace.uv for trace in traces if trace is not None]
    if not lines:
        return []
    line = np.vstack(lines)
    # Two pieces of one strake both give the point at their joint, a hair apart: such a fold is taken out.
    apart = np.hypot(*np.diff(line, axis=0).T) > FOLD
    return [line[np.append(True, apart)]]


def _chine_marks(hull: Hull, rabbet: FloatArray) -> list[Mark]:
    """Where the chines land on the rabbet line."""
    marks = []
    for name, curve in list(hull.lines.items())[:-1]:
        end = curve.at(np.array(curve.start))
        if end[0] <= rabbet[:, 0].max():
            marks.append(
                Mark(name=name, at=(float(end[0]), float(end[2])), towards=(-0.8, -0.6), length=10.0)
            )
    return marks


def _apex_line(hull: Hull, t: FloatArray) -> FloatArray:
    """The inner corner of the rabbet, (x, z): the rabbet's edge moved square to the plank."""
    points = []
    for strake in hull.strakes:
        for patch in strake.patches:
            here = t[(t >= patch.start) & (t <= patch.end)]
            if len(here) < 2:
                continue
            outer = patch.lower(here)[0]
            on_profile = hull.profile.at(here)
            if np.abs(outer - on_profile).max() > 0.5:
                continue
            # At its very head the strake runs out to a point and has no normal; a hair further aft it has.
            hair = 1e-6 * (patch.end - patch.start)
            _, normals = moved(patch, np.maximum(here, patch.start + hair), np.zeros_like(here), 0.0)
            points.append((here, (outer - strake.inset * normals)[:, [0, 2]]))
    if not points:
        raise PatternsError("no strake lands on the stem")
    at = np.concatenate([here for here, _ in points])
    order = np.argsort(at, kind="stable")
    line: FloatArray = np.concatenate([inner for _, inner in points])[order]
    return line


def _strip(face: FloatArray, forward: float, aft: float) -> FloatArray:
    """The outline between two parallels of the rabbet line, which runs from the head down and aft."""
    return np.vstack([parallel(face, -forward), parallel(face, aft)[::-1]])


def _with_head(rabbet: FloatArray, spare: float) -> FloatArray:
    """The rabbet line carried on straight above the sheer."""
    if spare <= 0.0:
        return rabbet
    up = rabbet[0] - rabbet[1]
    return np.vstack([rabbet[0] + spare * up / np.hypot(*up), rabbet])


def pieces(boat: Boat) -> Iterator[Piece]:
    """The stem's pieces: one when rabbeted, two when inner and outer."""
    yield 'end "bow"', partial(_stem, boat)


def _stem(boat: Boat) -> tuple[Pattern, ...]:
    spec, hull = boat.design.bow, boat.hull
    half = 0.5 * spec.sided
    t = stem_run(hull, spec.foot)
    rabbet = hull.profile.at(t)[:, [0, 2]]
    run = lengths(rabbet)
    parts = max(int(np.ceil(run[-1] / MOST_APART)), 1)
    places = np.interp(np.linspace(0.04, 0.96, parts + 1) * run[-1], run, t)
    landings = [landing_at(hull, float(place), half) for place in places]
    _check_lands(landings, half)
    beards = bearding_lines(hull, half)
    face = _with_head(rabbet, spec.head)
    if spec.construction == "rabbeted":
        outline = largest(area_of(_strip(face, spec.outside, spec.moulded)))
        extra = [
            Line(kind=Kind.RABBET, points=rabbet, name="rabbet line"),
            Line(kind=Kind.APEX, points=_apex_line(hull, t), name="apex"),
        ]
        name, more = "stem", [f"{spec.outside:g} mm of wood forward of the rabbet line"]
    else:
        outline = largest(area_of(_strip(face, 0.0, spec.moulded)))
        extra, name = [], "inner stem"
        more = ["Its forward face is square across; plane the lands from that face back to the bearding line"]
    wood = outline_of(outline)
    lines = [
        Line(kind=Kind.SAW, points=wood, closed=True),
        *extra,
        *(
            Line(kind=Kind.BEARDING, points=piece, name="bearding line")
            for piece in inside_points(outline, beards)
        ),
        *level_lines(boat, outline, centre_plane()),
    ]
    main = Pattern(
        name=name,
        member="stem",
        stock=spec.stock,
        thickness=spec.sided,
        laminations=spec.laminations,
        quantity="1",
        face=SEEN,
        sides=SIDES,
        half=False,
        lines=tuple(lines),
        readings=tuple(_reading(landing) for landing in landings),
        marks=(
            *_landing_marks(landings, spec.construction),
            *_end_marks(rabbet),
            *_chine_marks(hull, rabbet),
        ),
        spans=(_chord(rabbet),),
        facts=(
            *wood_words(spec),
            *more,
            *_wide_lands(landings, spec.moulded),
            "Both sides alike: prick every line through to the other side",
        ),
        plane=centre_plane(-half),
        siding=INBOARD,
    )
    if spec.construction == "rabbeted":
        return (main,)
    return main, _outer_stem(boat, face, rabbet, landings)


def _outer_stem(boat: Boat, face: FloatArray, rabbet: FloatArray, landings: list[Landing]) -> Pattern:
    spec = boat.design.bow
    outline = outline_of(largest(area_of(_strip(face, spec.outside, 0.0))))
    widest = max(landing.rabbet for landing in landings)
    marks = [
        Mark(name=f"half siding at the back {landing.rabbet:.1f} mm", at=landing.at, towards=landing.towards)
        for landing in landings
    ]
    return Pattern(
        name="outer stem",
        member="stem",
        stock=spec.stock,
        thickness=2.0 * widest,
        laminations=1,
        quantity="1",
        face=SEEN,
        sides=SIDES,
        half=False,
        lines=(
            Line(kind=Kind.SAW, points=outline, closed=True),
            *level_lines(boat, area_of(outline), centre_plane()),
        ),
        marks=(*marks, *_end_marks(rabbet)),
        spans=(_chord(rabbet),),
        facts=(
            f"{spec.stock}, sided {2.0 * widest:.1f} mm at its back; added after planking",
            "Its back lands on the planed ends of the planks and the inner stem's face",
        ),
        plane=centre_plane(-widest),
        siding=INBOARD,
    )


def _check_lands(landings: list[Landing], half: float) -> None:
    """See that the planking lands on the piece, all the way.

    Raises:
        PatternsError: where it does not, with the size that would do.
    """
    for land in landings:
        height = f"at height {land.at[1]:.0f} mm"
        if land.face <= 0.0:
            raise PatternsError(
                f"{height} the planks meet before they reach the stem's face: the half siding at the rabbet, "
                f"{land.rabbet:.1f} mm, must be {land.rabbet - land.face:.1f} mm or more for this planking"
            )
        if land.face >= half:
            raise PatternsError(
                f"{height} the insides of the planks are {2.0 * land.face:.0f} mm apart at the stem's face, so a "
                f"stem sided {2.0 * half:g} mm gives them nothing to land on; make it wider, or the half-breadth "
                "at the bow less"
            )


def _wide_lands(landings: list[Landing], moulded: float) -> list[str]:
    """A word where the land takes up the whole depth, so that the after edge is narrower than the siding."""
    wide = [land.at[1] for land in landings if land.bearding > moulded]
    if not wide:
        return []
    return [
        f"From height {min(wide):.0f} to {max(wide):.0f} mm the land takes up the whole depth of the piece"
    ]


def _reading(landing: Landing) -> Reading:
    at = (
        landing.at[0] + landing.bearding * landing.towards[0],
        landing.at[1] + landing.bearding * landing.towards[1],
    )
    return Reading(
        at=at,
        bevel=landing.bevel,
        towards=landing.towards,
        edge="land",
        where="land to stem's side",
        land=True,
    )


def _landing_marks(landings: list[Landing], construction: str) -> list[Mark]:
    what = "half breadth of face" if construction != "rabbeted" else "half siding"
    return [
        Mark(
            name=f"{what} {(item.face if construction != 'rabbeted' else item.rabbet):.1f} mm",
            at=item.at,
            towards=(-item.towards[0], -item.towards[1]),
        )
        for item in landings
    ]


def _end_marks(rabbet: FloatArray) -> list[Mark]:
    return [Mark(name="sheer", at=(float(rabbet[0, 0]), float(rabbet[0, 1])), towards=(-1.0, 0.0))]


def _chord(rabbet: FloatArray) -> Span:
    return Span(
        name="along the face, sheer to foot",
        start=(float(rabbet[0, 0]), float(rabbet[0, 1])),
        end=(float(rabbet[-1, 0]), float(rabbet[-1, 1])),
    )
