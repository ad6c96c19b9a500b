"""What a stem is made of: parts scarfed together, or strips laminated over a mould."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
import shapely

from patterns.design.stem_models import StemEnd
from patterns.errors import PatternsError
from patterns.flat.polylines import lengths, parallel
from patterns.flat.shapes import inside_points
from patterns.hull.hull import Hull
from patterns.hull.planes import FloatArray
from patterns.joinery.knee_shapes import unit, xy
from patterns.joinery.stem_wood import Scarf, parts_at, scarf_at
from patterns.joinery.wood import wood_fact
from patterns.text.stem_words import layer_words
from patterns.wood.ends import EndError, HullEnd
from patterns.wood.facts import Fact
from patterns.wood.features import Distance, Note, Scribed
from patterns.wood.labels import Against, Free, Trim
from patterns.wood.meeting import Joinery, Meeting
from patterns.wood.piece import Face, Piece, Role, Stock
from patterns.wood.region import Area, Region

__all__ = ["StemPiece", "with_its_parts"]

SHARP = np.radians(8.0)  # turned within two millimetres or so: a knuckle, which no strip follows
BACK = 60.0  # mm of board that a mould keeps behind the deepest place of its curve; any other would do
ON_PART = 1e-3  # mm; a place this near to a part lies on it


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class StemPiece:
    """A stem, inner or outer, as a whole, and how it is to be made.

    Attributes:
        wood: it in the profile, as sawn.
        face: the rabbet line with the head's spare length, (n, 2) of x and z, from the head down.
        forward, aft: its depth on both sides of that line, mm.
        scarfs: heights at which it is scarfed.
        stagger: how much farther down every second lamination's scarfs lie, mm; None: all lie alike.
        strips: thickness of the strips of a laminated one, mm.
    """

    piece: Piece
    wood: Region
    face: FloatArray
    forward: float
    aft: float
    scarfs: tuple[float, ...]
    stagger: float | None
    strips: float | None


def with_its_parts(hull: Hull, spec: StemEnd, stem: StemPiece, t: FloatArray) -> tuple[Piece, ...]:
    """The whole stem, and what it is made of or on.

    Args:
        t: the profile line's parameters from the sheer to the foot.
    Raises:
        PatternsError: a scarf or a strip does not fit.
    """
    whole = stem.piece
    if stem.strips is not None:
        mould, facts = _mould(hull, spec, stem, t)
        return replace(whole, facts=(*whole.facts, *facts)), mould
    if not stem.scarfs:
        return (whole,)
    assert spec.scarf_ratio is not None
    sets = [_scarfs(stem, spec.scarf_ratio, 0.0)]
    if stem.stagger is not None:
        sets.append(_scarfs(stem, spec.scarf_ratio, stem.stagger))
    joints = [
        Scribed(fact=Fact("scarf", {"layer": k, "layers": len(sets)}), points=scarf.line)
        for k, scarfs in enumerate(sets)
        for scarf in scarfs
    ]
    face = replace(whole.faces[0], scribed=(*whole.faces[0].scribed, *joints))
    scarfs_of_parts = Fact(
        "scarfs-of-parts", {"ratio": spec.scarf_ratio, "length": sets[0][0].length, "end": HullEnd.STEM}
    )
    assembled = replace(
        whole,
        role=Role.ASSEMBLED,
        faces=(face, whole.faces[1]),
        facts=(*whole.facts, scarfs_of_parts, Fact("glue-up")),
    )
    parts = [
        part
        for k, scarfs in enumerate(sets)
        for part in _parts(stem, spec, scarfs, layer=k, layers=len(sets))
    ]
    return assembled, *parts


def _scarfs(stem: StemPiece, ratio: float, lower: float) -> list[Scarf]:
    run, z = lengths(stem.face), stem.face[:, 1]
    found = []
    for height in sorted(stem.scarfs, reverse=True):
        below = np.nonzero(z <= height)[0]
        name = f"the scarf at height {height:.0f} mm"
        if len(below) == 0 or below[0] == 0:
            raise EndError(
                HullEnd.STEM,
                f"{name} lies off the {{end}}, which runs from height {z[0]:.0f} to {z[-1]:.0f} mm",
            )
        i = int(below[0])
        part = (z[i - 1] - height) / (z[i - 1] - z[i])
        place = float(run[i - 1] + part * (run[i] - run[i - 1])) + lower
        found.append(scarf_at(stem.face, stem.forward, stem.aft, place=place, ratio=ratio, name=name))
    return found


def _part_names(whole: str, count: int, layer: str) -> list[str]:
    """What the parts of a stem are called, from its head down."""
    which = [f"part {k + 1} of {count} from its head" for k in range(count)]
    if count == 2:
        which = ["upper part", "lower part"]
    return [whole + f", {part}{layer}" for part in which]


def _parts(
    stem: StemPiece, spec: StemEnd, scarfs: Sequence[Scarf], *, layer: int, layers: int
) -> Iterator[Piece]:
    """The parts of one layer, from the head down."""
    whole = stem.piece
    stock, count = whole.stock, 1
    if layers > 1:
        stock = Stock(wood=stock.wood, thickness=stock.thickness / spec.laminations)
        count = (spec.laminations + (1 - layer)) // 2
    names = _part_names(whole.name, len(scarfs) + 1, f", {layer_words(layer)}" if layers > 1 else "")
    meetings = [
        Meeting(
            kind=Joinery.SCARF,
            lands=lower,
            on=upper,
            keys=(f'end "{spec.at}", key scarfs',),
            edges=(Against(lower), Against(upper)),
        )
        for upper, lower in pairwise(names)
    ]
    for k, wood in enumerate(parts_at(stem.wood, stem.face, scarfs, names)):
        long, along, breadth = _board(wood.area)
        yield replace(
            whole,
            name=names[k],
            stock=stock,
            count=count,
            role=Role.PART,
            faces=(_face_of_part(whole.faces[0], wood), Face(region=wood, sources={})),
            steps=(),
            distances=(
                *(
                    Distance(fact=Fact("along-scarf"), start=xy(scarf.line[0]), end=xy(scarf.line[1]))
                    for scarf in scarfs[max(k - 1, 0) : k + 1]
                ),
                _farthest(wood.area),
            ),
            facts=(
                wood_fact(stock, way="sided"),
                Fact("least-board", {"length": long, "breadth": breadth}),
                Fact("scarf-of-part", {"ratio": spec.scarf_ratio, "length": scarfs[0].length}),
            ),
            grain=xy(along),
            meetings=tuple(each for each in meetings if names[k] in each.pair),
        )


def _face_of_part(face: Face, wood: Region) -> Face:
    """What of a whole stem's face is on one of its parts."""

    def on_it(at: tuple[float, float]) -> bool:
        return bool(wood.area.distance(shapely.Point(at)) < ON_PART)

    return Face(
        region=wood,
        sources={},
        notes=tuple(note for note in face.notes if on_it(note.at)),
        scribed=tuple(
            replace(line, points=part)
            for line in face.scribed
            for part in inside_points(wood.area, [line.points])
        ),
        lands=tuple(land for land in face.lands if on_it(land.at)),
    )


def _board(area: Area) -> tuple[float, FloatArray, float]:
    """Length, direction and breadth of the narrowest board that a part can be sawn out of."""
    corners = np.asarray(shapely.minimum_rotated_rectangle(area).exterior.coords)
    sides = np.diff(corners[:3], axis=0)
    long, short = sorted(sides, key=lambda side: -float(np.hypot(*side)))
    return float(np.hypot(*long)), unit(long), float(np.hypot(*short))


def _farthest(area: Area) -> Distance:
    """The two corners of an outline that lie farthest apart."""
    points = np.asarray(area.convex_hull.exterior.coords)
    apart = np.hypot(*(points[:, None] - points[None, :]).transpose(2, 0, 1))
    i, j = np.unravel_index(int(apart.argmax()), apart.shape)
    return Distance(fact=Fact("end-to-end"), start=xy(points[i]), end=xy(points[j]))


def _mould(hull: Hull, spec: StemEnd, stem: StemPiece, t: FloatArray) -> tuple[Piece, tuple[Fact, ...]]:
    """The mould that the strips are bent over, and facts on them.

    Raises:
        PatternsError: the stem turns in a knuckle, or more sharply than its own depth allows.
    """
    assert stem.strips is not None
    headings = np.unwrap(np.arctan2(*np.diff(stem.face, axis=0).T[::-1]))
    sharp = np.abs(np.diff(headings))
    if sharp.max() > SHARP:
        at = stem.face[int(sharp.argmax()) + 1]
        raise PatternsError(
            f"it turns by {np.degrees(sharp.max()):.0f}° at height {at[1]:.0f} mm, which no strip follows"
        )
    radius, height = _tightest(hull, t, stem)
    long = _spared(stem.face, spec.mould_spare)
    edge, outer = parallel(long, stem.aft) if stem.aft else long, parallel(long, -stem.forward)
    strips = {
        "count": round((stem.forward + stem.aft) / stem.strips),
        "thickness": stem.strips,
        "broad": stem.piece.stock.thickness,
        "inside": float(lengths(edge)[-1]),
        "outside": float(lengths(outer)[-1]),
        "spare": spec.mould_spare,
    }
    facts = Fact("strips", strips), Fact("strips-bend", {"radius": radius, "height": height})
    wood = _mould_board(edge, stem.piece.name)
    mould = replace(
        stem.piece,
        name=stem.piece.name + " mould",
        stock=Stock(wood="any board", thickness=stem.piece.stock.thickness),
        role=Role.TOOL,
        faces=(
            Face(region=wood, sources={}, notes=_mould_notes(stem, edge)),
            Face(region=wood, sources={}),
        ),
        steps=(),
        distances=(Distance(fact=Fact("along-strips"), start=xy(edge[0]), end=xy(edge[-1])),),
        facts=(*facts, Fact("mould-edge")),
    )
    return mould, facts


def _mould_board(edge: FloatArray, name: str) -> Region:
    """A board with one edge for the strips, its ends square to the chord of that and its back along it."""
    chord = unit(edge[-1] - edge[0])
    left = np.array([-chord[1], chord[0]])
    back = float(((edge - edge[0]) @ left).max()) + BACK
    corners = np.vstack([edge[-1] + _to(edge[-1], edge[0], left, back), edge[0] + back * left])
    return Region.around((edge, Against(name), Trim()), (corners, Free(), Trim()))


def _mould_notes(stem: StemPiece, edge: FloatArray) -> tuple[Note, ...]:
    ends = [parallel(stem.face, stem.aft)[k] if stem.aft else stem.face[k] for k in (0, -1)]
    normals = [unit(edge[k + 1] - edge[k]) @ np.array([[0.0, 1.0], [-1.0, 0.0]]) for k in (0, -2)]
    return (
        Note(fact=Fact("stem-head", {"end": HullEnd.STEM}), at=xy(ends[0]), towards=xy(normals[0])),
        Note(fact=Fact("stem-foot", {"end": HullEnd.STEM}), at=xy(ends[1]), towards=xy(normals[1])),
        Note(fact=Fact("strips-here"), at=xy(edge[len(edge) // 2]), towards=xy(-_left(edge))),
    )


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


def _tightest(hull: Hull, t: FloatArray, stem: StemPiece) -> tuple[float, float]:
    """The least bend radius of any strip's face, mm, and the height of the place."""
    first, second = hull.profile.at(t, 1)[:, [0, 2]], hull.profile.at(t, 2)[:, [0, 2]]
    turn = first[:, 0] * second[:, 1] - first[:, 1] * second[:, 0]
    pace = np.hypot(*first.T)
    curve = turn / pace**3  # positive where the centre lies inboard
    with np.errstate(divide="ignore"):
        radius = np.where(curve > 0.0, 1.0 / curve - stem.aft, -1.0 / curve - stem.forward)
    i = int(radius.argmin())
    if radius[i] <= 0.0:
        raise PatternsError(
            f"at height {hull.profile.at(t)[i, 2]:.0f} mm its rabbet line bends more sharply than strips of its "
            "depth can follow"
        )
    return float(radius[i]), float(hull.profile.at(t)[i, 2])
