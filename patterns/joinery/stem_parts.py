"""What a stem is made of: parts scarfed together, or strips laminated over a mould."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely.geometry import Polygon

from patterns.design.stem_models import StemEnd
from patterns.errors import PatternsError
from patterns.flat.polylines import lengths, parallel
from patterns.flat.shapes import area_of, inside_points, largest, outline_of
from patterns.hull.hull import Hull
from patterns.hull.planes import FloatArray
from patterns.joinery.knee_shapes import unit, xy
from patterns.joinery.stem_wood import Scarf, parts_at, scarf_at
from patterns.joinery.wood import lamination_words
from patterns.pattern import Kind, Line, Mark, Pattern, Span

__all__ = ["StemPiece", "with_its_parts"]

SHARP = np.radians(8.0)  # turned within two millimetres or so: a knuckle, which no strip follows
BACK = 60.0  # mm of board that a mould keeps behind the deepest place of its curve; any other would do


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class StemPiece:
    """A stem, inner or outer, as a whole, and how it is to be made.

    Attributes:
        wood: its outline.
        face: the rabbet line with the head's spare length, (n, 2) of x and z, from the head down.
        forward, aft: its depth on both sides of that line, mm.
        scarfs: heights at which it is scarfed.
        stagger: how much farther down every second lamination's scarfs lie, mm; None: all lie alike.
        strips: thickness of the strips of a laminated one, mm.
    """

    pattern: Pattern
    wood: Polygon
    face: FloatArray
    forward: float
    aft: float
    scarfs: tuple[float, ...]
    stagger: float | None
    strips: float | None


def with_its_parts(hull: Hull, spec: StemEnd, piece: StemPiece, t: FloatArray) -> tuple[Pattern, ...]:
    """The whole stem's pattern, and those of what it is made of.

    Args:
        t: the profile line's parameters from the sheer to the foot.
    Raises:
        PatternsError: a scarf or a strip does not fit.
    """
    if piece.strips is not None:
        mould, words = _mould(hull, spec, piece, t)
        return replace(piece.pattern, facts=(*piece.pattern.facts, *words)), mould
    if not piece.scarfs:
        return (piece.pattern,)
    assert spec.scarf_ratio is not None
    sets = [_scarfs(piece, spec.scarf_ratio, 0.0)]
    if piece.stagger is not None:
        sets.append(_scarfs(piece, spec.scarf_ratio, piece.stagger))
    joints = [
        Line(kind=Kind.JOINT, points=scarf.line, name=_joint_name(k, len(sets)))
        for k, scarfs in enumerate(sets)
        for scarf in scarfs
    ]
    one = sets[0][0]
    whole = replace(
        piece.pattern,
        quantity="1, made of its parts",
        lines=(*piece.pattern.lines, *joints),
        facts=(
            *piece.pattern.facts,
            f"Scarfs {spec.scarf_ratio:g}:1, {one.length:.0f} mm long; at each the upper part lies abaft the lower",
            "Glue the parts up over this pattern: it proves the whole",
        ),
    )
    found = [whole]
    for k, scarfs in enumerate(sets):
        found += _parts(piece, spec, scarfs, layer=k, layers=len(sets))
    return tuple(found)


def _joint_name(layer: int, layers: int) -> str:
    return "scarf" if layers == 1 else f"scarf of {_layer_words(layer)}"


def _layer_words(layer: int) -> str:
    return "odd laminations" if layer == 0 else "even laminations"


def _scarfs(piece: StemPiece, ratio: float, lower: float) -> list[Scarf]:
    run, z = lengths(piece.face), piece.face[:, 1]
    found = []
    for height in sorted(piece.scarfs, reverse=True):
        below = np.nonzero(z <= height)[0]
        name = f"the scarf at height {height:.0f} mm"
        if len(below) == 0 or below[0] == 0:
            raise PatternsError(
                f"{name} lies off the stem, which runs from height {z[0]:.0f} to {z[-1]:.0f} mm"
            )
        i = int(below[0])
        part = (z[i - 1] - height) / (z[i - 1] - z[i])
        place = float(run[i - 1] + part * (run[i] - run[i - 1])) + lower
        found.append(scarf_at(piece.face, piece.forward, piece.aft, place=place, ratio=ratio, name=name))
    return found


def _parts(piece: StemPiece, spec: StemEnd, scarfs: list[Scarf], *, layer: int, layers: int) -> list[Pattern]:
    """The patterns of the parts of one layer, from the head down."""
    areas = parts_at(piece.wood, piece.face, scarfs)
    count = spec.laminations if layers == 1 else (spec.laminations + (1 - layer)) // 2
    thickness = piece.pattern.thickness if layers == 1 else piece.pattern.thickness / spec.laminations
    found = []
    for k, area in enumerate(areas):
        box, along, breadth = _board(area)
        ends = [scarf for scarf in scarfs if area.distance(shapely.Point(scarf.line.mean(axis=0))) < 1e-3]
        which = (
            ("upper part", "lower part")[k]
            if len(areas) == 2
            else f"part {k + 1} of {len(areas)} from its head"
        )
        found.append(
            replace(
                piece.pattern,
                name=f"{piece.pattern.name}, {which}" + (f", {_layer_words(layer)}" if layers > 1 else ""),
                thickness=thickness,
                laminations=piece.pattern.laminations if layers == 1 else 1,
                quantity="1" if layers == 1 else str(count),
                lines=(
                    Line(kind=Kind.SAW, points=outline_of(area), closed=True),
                    *(
                        replace(line, points=part)
                        for line in piece.pattern.lines
                        if not line.closed
                        for part in inside_points(area, [line.points])
                    ),
                ),
                readings=tuple(r for r in piece.pattern.readings if _touches(area, r.at)),
                marks=tuple(m for m in piece.pattern.marks if _touches(area, m.at)),
                spans=(
                    *(
                        Span(name="along the scarf", start=xy(scarf.line[0]), end=xy(scarf.line[1]))
                        for scarf in ends
                    ),
                    _farthest(area),
                ),
                facts=(
                    lamination_words(
                        spec.stock, thickness, piece.pattern.laminations if layers == 1 else 1, way="sided"
                    ),
                    f"Out of a board {box:.0f} x {breadth:.0f} mm at the least, the grain along it",
                    f"Scarf {spec.scarf_ratio:g}:1, {scarfs[0].length:.0f} mm long",
                ),
                body=None,
                slabs=(),
                grain=xy(along),
            )
        )
    return found


def _touches(area: Polygon, at: tuple[float, float]) -> bool:
    return bool(area.distance(shapely.Point(at)) < 1e-3)


def _board(area: Polygon) -> tuple[float, FloatArray, float]:
    """Length, direction and breadth of the narrowest board that a part can be sawn out of."""
    corners = np.asarray(shapely.minimum_rotated_rectangle(area).exterior.coords)
    sides = np.diff(corners[:3], axis=0)
    long, short = sorted(sides, key=lambda side: -float(np.hypot(*side)))
    return float(np.hypot(*long)), unit(long), float(np.hypot(*short))


def _farthest(area: Polygon) -> Span:
    """The two corners of an outline that lie farthest apart."""
    points = np.asarray(area.convex_hull.exterior.coords)
    apart = np.hypot(*(points[:, None] - points[None, :]).transpose(2, 0, 1))
    i, j = np.unravel_index(int(apart.argmax()), apart.shape)
    return Span(name="from end to end", start=xy(points[i]), end=xy(points[j]))


def _mould(hull: Hull, spec: StemEnd, piece: StemPiece, t: FloatArray) -> tuple[Pattern, tuple[str, ...]]:
    """The mould that the strips are bent over, and words on them.

    Raises:
        PatternsError: the stem turns in a knuckle, or more sharply than its own depth allows.
    """
    assert piece.strips is not None
    headings = np.unwrap(np.arctan2(*np.diff(piece.face, axis=0).T[::-1]))
    sharp = np.abs(np.diff(headings))
    if sharp.max() > SHARP:
        at = piece.face[int(sharp.argmax()) + 1]
        raise PatternsError(
            f"it turns by {np.degrees(sharp.max()):.0f}° at height {at[1]:.0f} mm, which no strip follows"
        )
    radius, height = _tightest(hull, t, piece)
    long = _spared(piece.face, spec.mould_spare)
    edge, outer = parallel(long, piece.aft) if piece.aft else long, parallel(long, -piece.forward)
    count = round((piece.forward + piece.aft) / piece.strips)
    chord = unit(edge[-1] - edge[0])
    left = np.array([-chord[1], chord[0]])
    back = float(((edge - edge[0]) @ left).max()) + BACK
    outline = largest(area_of(np.vstack([edge, edge[-1] + _to(edge[-1], edge[0], left, back),
                                         edge[0] + back * left])))  # fmt: skip
    name = f"{piece.pattern.name} mould"
    ends = [parallel(piece.face, piece.aft)[k] if piece.aft else piece.face[k] for k in (0, -1)]
    normals = [unit(edge[k + 1] - edge[k]) @ np.array([[0.0, 1.0], [-1.0, 0.0]]) for k in (0, -2)]
    words = (
        f"{count} strips of {piece.strips:.4g} mm, {piece.pattern.thickness:g} mm broad, from "
        f"{lengths(edge)[-1]:.0f} mm long at the mould to {lengths(outer)[-1]:.0f} mm outside, "
        f"{spec.mould_spare:g} mm spare at both ends among them",
        f"They are bent to a radius of {radius:.0f} mm at the least, at height {height:.0f} mm: try one",
    )
    mould = Pattern(
        name=name,
        member="stem",
        stock="any board",
        thickness=piece.pattern.thickness,
        laminations=1,
        quantity="1, for laminating only",
        face=piece.pattern.face,
        sides=piece.pattern.sides,
        half=False,
        lines=(Line(kind=Kind.SAW, points=outline_of(outline), closed=True),),
        marks=(
            Mark(name="stem's head", at=xy(ends[0]), towards=xy(normals[0])),
            Mark(name="stem's foot", at=xy(ends[1]), towards=xy(normals[1])),
            Mark(name="strips on this edge", at=xy(edge[len(edge) // 2]), towards=xy(-_left(edge))),
        ),
        spans=(Span(name="along the strips", start=xy(edge[0]), end=xy(edge[-1])),),
        facts=(*words, "The edge under the strips alone must be true; allow for what the wood springs back"),
        siding=piece.pattern.siding,
    )
    return mould, words


def _left(line: FloatArray) -> FloatArray:
    """The direction to the left of a line's run at its middle."""
    i = len(line) // 2
    step = unit(line[i + 1] - line[i - 1])
    return np.array([-step[1], step[0]])


def _to(end: FloatArray, start: FloatArray, left: FloatArray, back: float) -> FloatArray:
    """From a line's end square to its chord as far as the mould's back."""
    step: FloatArray = (back - float((end - start) @ left)) * left
    return step


def _spared(face: FloatArray, spare: float) -> FloatArray:
    """The line carried on straight at both ends."""
    if spare <= 0.0:
        return face
    return np.vstack([
        face[0] + spare * unit(face[0] - face[1]), face, face[-1] + spare * unit(face[-1] - face[-2])
    ])  # fmt: skip


def _tightest(hull: Hull, t: FloatArray, piece: StemPiece) -> tuple[float, float]:
    """The least bend radius of any strip's face, mm, and the height of the place."""
    first, second = hull.profile.at(t, 1)[:, [0, 2]], hull.profile.at(t, 2)[:, [0, 2]]
    turn = first[:, 0] * second[:, 1] - first[:, 1] * second[:, 0]
    pace = np.hypot(*first.T)
    curve = turn / pace**3  # positive where the centre lies inboard
    with np.errstate(divide="ignore"):
        radius = np.where(curve > 0.0, 1.0 / curve - piece.aft, -1.0 / curve - piece.forward)
    i = int(radius.argmin())
    if radius[i] <= 0.0:
        raise PatternsError(
            f"at height {hull.profile.at(t)[i, 2]:.0f} mm its rabbet line bends more sharply than strips of its "
            "depth can follow"
        )
    return float(radius[i]), float(hull.profile.at(t)[i, 2])
