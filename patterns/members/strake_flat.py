"""A strake's inside face laid flat: its pieces unrolled one after the other, and the outlines of its two faces."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from patterns.boat import Boat
from patterns.design.strake_models import StrakePatternSpec, lap_of
from patterns.flat.polylines import meet
from patterns.flat.shapes import area_of
from patterns.flat.unroll import Unrolled, unroll
from patterns.hull.hull import Strake
from patterns.hull.planes import FloatArray, cross
from patterns.hull.plank_edges import edge_at_profile, edge_at_surface
from patterns.hull.sheets import SheetPatch
from patterns.hull.surfaces import Ruled, moved

__all__ = ["FlatStrake", "lay_strake_flat"]

APART = 8.0  # mm from ruling to ruling, on the longer of the two edges
SHORTEST = 1.0  # mm; where the edges meet in a point the first ruling is as long as that
AFT = 120.0  # mm by which the sheet is carried past its after end before the transom cuts it
FARTHEST = 6.0  # thicknesses of the plank; the deck's underside is not looked for farther off
FEATHER = 3.0  # thicknesses; a lap whose faces meet farther off than that would be a feather edge
NARROW = 4.0  # thicknesses; where the rulings are shorter, near the point, no edge is looked for
CORNER = 150.0  # mm; the farthest that two edges are carried on to their corner
ENDS = 50  # points of a run's end among which its corner with the next one is looked for
FEW = 5  # of so many rulings one is asked where it meets what lies beside it
RUN_OUT = 150.0  # mm aft of the stem's foot in which an edge flush with its face becomes a square one
SHARES = np.linspace(0.0, 1.0, 25)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Piece:
    """One piece of the strake: rulings in the boat and on the flat.

    Attributes:
        p: shape (n,), the rulings.
        on_profile: its lower edge lies on keel or stem, not on a chine.
        low, high: by face ("inside", "outside"), the places across at which its two edges end; nan: nowhere.
    """

    patch: Ruled
    p: FloatArray
    flat: Unrolled
    on_profile: bool
    low: dict[str, FloatArray] = field(default_factory=dict)
    high: dict[str, FloatArray] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FlatStrake:
    """A strake on the flat, seen from the inside: aft to the right, up to the top.

    Attributes:
        faces: the areas of its inside and its outside face; the outside's stands square through the wood.
        landings: by strake beside it, the lines on which that strake's inside face meets this one's, (n, 2).
        bare: by strake beside it, how far aft the two run side by side, mm, so that neither can cover the other.
        edges: the lengths of its lower and its upper edge as they lie in the boat and on the flat, mm.
    """

    faces: tuple[Polygon, Polygon]
    landings: dict[str, FloatArray]
    bare: dict[str, float]
    edges: tuple[tuple[float, float], tuple[float, float]]
    _pieces: tuple[_Piece, ...]

    def line_where(self, height_over: Callable[[FloatArray], FloatArray]) -> FloatArray:
        """The line, (k, 2), in which the inside face meets a plane across the boat, from below.

        Args:
            height_over: the plane's own, of points (..., 3).
        """
        parts = [piece.flat.where(piece.flat.over(height_over, SHARES), SHARES) for piece in self._pieces]
        line = np.vstack(parts)
        return np.asarray(line[np.argsort(line[:, 1])])

    def at(self, point: FloatArray) -> FloatArray:
        """The flat place, (2,), of the end of a ruling that lies nearest to a point (3,) of the boat."""
        ends = np.vstack([np.vstack([piece.flat.low, piece.flat.high]) for piece in self._pieces])
        flat = np.vstack([np.vstack([piece.flat.flat_low, piece.flat.flat_high]) for piece in self._pieces])
        near: FloatArray = flat[int(np.linalg.norm(ends - point, axis=1).argmin())]
        return near


def _rulings(patch: Ruled, *, last: bool) -> FloatArray:
    """The rulings to unroll, close enough on both edges, and carried on aft of the last piece."""
    pace = float(np.linalg.norm(patch.shape(np.array([patch.end]), np.array([0.5]))[1]))
    end = patch.end + (AFT / max(pace, 1e-6) if last else 0.0)
    p = np.linspace(patch.start, end, 4001)
    low, high = patch.lower(p)[0], patch.upper(p)[0]
    keep = int((np.linalg.norm(high - low, axis=1) >= SHORTEST).argmax())
    p, low, high = p[keep:], low[keep:], high[keep:]
    steps = np.maximum(*(np.linalg.norm(np.diff(edge, axis=0), axis=1) for edge in (low, high)))
    run = np.append(0.0, np.cumsum(steps))
    even = np.interp(np.linspace(0.0, run[-1], int(run[-1] / APART) + 2), run, p)
    if isinstance(patch, SheetPatch):  # where one of its lines ends, its edge turns
        even = np.union1d(even, patch.rulings.lower[-1:])
    return np.asarray(even)


def _few(piece: _Piece) -> NDArray[np.intp]:
    """The rulings that are asked where they meet what lies beside the strake, by number."""
    count = len(piece.p)
    few = np.append(np.arange(0, count, FEW), count - 1)
    if isinstance(piece.patch, SheetPatch):
        turn = int(np.searchsorted(piece.p, piece.patch.rulings.lower[-1]))
        few = np.append(few, [turn - 1, turn, turn + 1])
    return np.unique(np.clip(few, 0, count - 1))


def _unrolled(patch: Ruled, p: FloatArray, inset: float, after: Unrolled | None) -> Unrolled:
    low, high = (moved(patch, p, np.full_like(p, r), inset)[0] for r in (0.0, 1.0))
    outward = moved(patch, p, np.full_like(p, 0.5), inset)[1]
    flat_low, flat_high = unroll(low, high)
    if after is not None:
        # The two pieces' inside faces share a ruling; this one's is laid upon the other's.
        one, two = after.flat_high[-1] - after.flat_low[-1], flat_high[0] - flat_low[0]
        turn = np.arctan2(one[1], one[0]) - np.arctan2(two[1], two[0])
        matrix = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
        there = 0.5 * (after.flat_low[-1] + after.flat_high[-1])
        here = matrix @ (0.5 * (flat_low[0] + flat_high[0]))
        flat_low, flat_high = (part @ matrix.T + there - here for part in (flat_low, flat_high))
    return Unrolled(low=low, high=high, outward=outward, flat_low=flat_low, flat_high=flat_high)


def _on_profile(boat: Boat, patch: Ruled) -> bool:
    middle = np.array([0.5 * (patch.start + patch.end)])
    on = boat.hull.profile.at(middle)
    return bool(np.linalg.norm(patch.lower(middle)[0] - on) < 0.5)


def lay_strake_flat(boat: Boat, spec: StrakePatternSpec, strake: Strake) -> FlatStrake:
    """Unroll a strake's inside face and find where both of its faces end."""
    pieces: list[_Piece] = []
    for number, patch in enumerate(strake.patches[::-1]):
        p = _rulings(patch, last=number == len(strake.patches) - 1)
        flat = _unrolled(patch, p, strake.inset, pieces[-1].flat if pieces else None)
        pieces.append(_Piece(patch=patch, p=p, flat=flat, on_profile=_on_profile(boat, patch)))
    bare: dict[str, float] = {}
    for piece in pieces:
        piece.low.update(_lower_end(boat, spec, strake, piece, bare))
        piece.high.update(_upper_end(boat, spec, strake, piece, bare))
    turned = _upright(pieces)
    edges = tuple(
        (
            sum(_length(getattr(piece.flat, end)) for piece in pieces),
            sum(_length(getattr(piece.flat, f"flat_{end}")) for piece in pieces),
        )
        for end in ("low", "high")
    )
    return FlatStrake(
        faces=(
            _outline(boat, turned, "inside", _faces(strake)),
            _outline(boat, turned, "outside", _faces(strake)),
        ),
        landings=_landings(boat, strake, turned, bare),
        bare=bare,
        edges=edges,  # type: ignore[arg-type]
        _pieces=tuple(turned),
    )


def _length(points: FloatArray) -> float:
    return float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())


def _breadth(piece: _Piece, edge: float) -> FloatArray:
    """How far the rulings reach square to one of the edges, (n,), mm."""
    low, high = piece.patch.lower(piece.p), piece.patch.upper(piece.p)
    along = (low if edge == 0.0 else high)[1]
    across = high[0] - low[0]
    square = np.linalg.norm(cross(across, along), axis=1)
    return np.asarray(square / np.maximum(np.linalg.norm(along, axis=1), 1e-9))


def _beside(
    strake: Strake, other: Strake, piece: _Piece, inset: float, *, edge: float, covers: bool
) -> FloatArray:
    """Where a face ends at the strake beside it, across, (n,).

    Args:
        covers: this strake covers the other's edge, and runs on to its outside; else it ends at its inside.
    """
    few = _few(piece)
    r, found = edge_at_surface(
        piece.patch,
        piece.p[few],
        inset=inset,
        edge=edge,
        others=other.patches,
        other_inset=other.inset - (other.planking if covers else 0.0),
        other_edge=1.0 - edge,
    )
    return _between(strake, piece, few[found], r[found], edge)


def _between(strake: Strake, piece: _Piece, few: NDArray[np.intp], r: FloatArray, edge: float) -> FloatArray:
    """Places across (n,) from those of a few rulings; nan near the point where the strake is too narrow.

    Distances from the edge change evenly along it, parts of the rulings do not.
    """
    breadth = _breadth(piece, edge)
    good = breadth[few] >= NARROW * strake.planking
    few, r = few[good], r[good]
    if len(few) == 0:
        return np.full_like(piece.p, edge)
    far = np.interp(np.arange(len(piece.p)), few, (r - edge) * breadth[few])
    whole = edge + far / np.maximum(breadth, 1e-9)
    whole[: few[0]] = np.where(breadth[: few[0]] < NARROW * strake.planking, np.nan, whole[: few[0]])
    return np.asarray(whole)


def _flat_to(lower: Strake, upper: Strake) -> float:
    """How far aft, mm, the chine between two strakes is so flat that neither can cover the other's edge.

    At an angle A between the two sheets a face meets the other's within t / sin A of the line; where that is
    several thicknesses the edge would be a feather.
    """
    found = []
    for patches, r in ((lower.patches, 1.0), (upper.patches[:1], 0.0)):
        points, normals = [], []
        for patch in patches:
            p = np.linspace(patch.start, patch.end, 241)[1:]
            points.append(patch.shape(p, np.full_like(p, r))[0][:, 0])
            normals.append(moved(patch, p, np.full_like(p, r), 0.0)[1])
        x = np.concatenate(points)
        order = np.argsort(x)
        found.append((x[order], np.concatenate(normals)[order]))
    (x, normals_below), (x_above, normals_above) = found
    beside = np.stack([np.interp(x, x_above, normals_above[:, k]) for k in range(3)], axis=-1)
    sine = np.linalg.norm(cross(normals_below, beside), axis=1)
    flat = (sine < 1.0 / FEATHER) & (x >= x_above[0])
    return float(x[flat].max()) if flat.any() else -np.inf


def _at_strake(
    boat: Boat, spec: StrakePatternSpec, strake: Strake, other: Strake, piece: _Piece, bare: dict[str, float]
) -> dict[str, FloatArray]:
    """By face, where a piece's edge ends at the strake beside it."""
    below = other.upper == strake.lower
    edge = 0.0 if below else 1.0
    covers = any(lap_of(words) == (spec.strake, other.name) for words in spec.laps)
    aft = _laps_from(boat, spec, other, strake) if below else _laps_from(boat, spec, strake, other)
    at = (piece.flat.low if edge == 0.0 else piece.flat.high)[:, 0]
    if aft > at[0]:
        bare[other.name] = aft
    found = {}
    for face, inset in _faces(strake).items():
        r = _beside(strake, other, piece, inset, edge=edge, covers=covers)
        lapped = moved(piece.patch, piece.p, np.nan_to_num(r), inset)[0][:, 0] >= aft
        found[face] = np.where(at < aft, edge, np.where(lapped, r, np.nan))
    return found


def _laps_from(boat: Boat, spec: StrakePatternSpec, lower: Strake, upper: Strake) -> float:
    """How far aft the two strakes are butted at the line, mm."""
    given = -np.inf if spec.laps_from is None else boat.distance(spec.laps_from)
    return max(_flat_to(lower, upper), given)


def _faces(strake: Strake) -> dict[str, float]:
    """How far inward from the strake's surface each of its faces lies, mm."""
    return {"inside": strake.inset, "outside": strake.inset - strake.planking}


def _lower_end(
    boat: Boat, spec: StrakePatternSpec, strake: Strake, piece: _Piece, bare: dict[str, float]
) -> dict[str, FloatArray]:
    if not piece.on_profile:
        other = next(other for other in boat.hull.strakes if other.upper == strake.lower)
        return _at_strake(boat, spec, strake, other, piece, bare)
    return {face: _at_profile(boat, strake, piece, inset) for face, inset in _faces(strake).items()}


def _at_profile(boat: Boat, strake: Strake, piece: _Piece, inset: float) -> FloatArray:
    """Square through the plank; on an inner stem flush with its face, to which the outer stem is added."""
    bow, square = boat.design.bow, np.zeros_like(piece.p)
    x = boat.hull.profile.at(piece.p)[:, 0]
    if bow.construction == "rabbeted" or not (x < bow.foot + RUN_OUT).any():
        return square
    r = edge_at_profile(piece.patch, piece.p, inset=inset, profile=boat.hull.profile)
    breadth = _breadth(piece, 0.0)
    near = (np.abs(r) * breadth < 8.0 * strake.planking) & (r <= 0.0)
    share = np.clip((bow.foot + RUN_OUT - x) / RUN_OUT, 0.0, 1.0)
    return np.where(breadth < NARROW * strake.planking, np.nan, np.where(near, share * r, square))


def _upper_end(
    boat: Boat, spec: StrakePatternSpec, strake: Strake, piece: _Piece, bare: dict[str, float]
) -> dict[str, FloatArray]:
    other = next((other for other in boat.hull.strakes if other.lower == strake.upper), None)
    if other is not None:
        return _at_strake(boat, spec, strake, other, piece, bare)
    return {face: _at_deck(boat, strake, piece, inset) for face, inset in _faces(strake).items()}


def _at_deck(boat: Boat, strake: Strake, piece: _Piece, inset: float) -> FloatArray:
    """The deck's underside, where there is a deck; else square through the plank."""
    square = np.ones_like(piece.p)
    if boat.design.deck is None:
        return square
    few = _few(piece)
    r, found = edge_at_surface(
        piece.patch,
        piece.p[few],
        inset=inset,
        edge=1.0,
        others=(boat.hull.deck,),
        other_inset=boat.hull.deck_inset,
        other_edge=1.0,
    )
    found &= np.abs(r - 1.0) * _breadth(piece, 1.0)[few] <= FARTHEST * strake.planking
    return _between(strake, piece, few[found], r[found], 1.0)


def _upright(pieces: list[_Piece]) -> list[_Piece]:
    """The same pieces turned so that the strake lies along the paper, in the least breadth."""
    points = np.vstack([np.vstack([piece.flat.flat_low, piece.flat.flat_high]) for piece in pieces])
    box = np.asarray(shapely.MultiPoint(points).minimum_rotated_rectangle.exterior.coords)
    sides = np.diff(box, axis=0)[:2]
    along = sides[int(np.hypot(*sides.T).argmax())]
    along = along / np.hypot(*along) * (1.0 if along @ (points[-1] - points[0]) > 0.0 else -1.0)
    matrix = np.array([[along[0], along[1]], [-along[1], along[0]]])
    base = (points @ matrix.T).min(axis=0)
    made = []
    for piece in pieces:
        flat = piece.flat
        turned = Unrolled(
            low=flat.low,
            high=flat.high,
            outward=flat.outward,
            flat_low=flat.flat_low @ matrix.T - base,
            flat_high=flat.flat_high @ matrix.T - base,
        )
        made.append(
            _Piece(
                patch=piece.patch,
                p=piece.p,
                flat=turned,
                on_profile=piece.on_profile,
                low=piece.low,
                high=piece.high,
            )
        )
    return made


def _edge(boat: Boat, pieces: list[_Piece], which: str, face: str, insets: dict[str, float]) -> FloatArray:
    """One edge of a face on the flat, (n, 2), from forward to the transom."""
    runs, over = [], []
    for piece in pieces:
        r = (piece.low if which == "low" else piece.high)[face]
        known = ~np.isnan(r)
        r = np.where(known, r, 0.5)
        runs.append(piece.flat.lay(moved(piece.patch, piece.p, r, insets["inside"])[0])[known])
        over.append(boat.hull.transom.height_over(moved(piece.patch, piece.p, r, insets[face])[0])[known])
    run = np.column_stack([runs[0], over[0]])
    for more, high in zip(runs[1:], over[1:], strict=True):
        run = _joined(run, np.column_stack([more, high]))
    high = run[:, 2]
    last = int(np.nonzero(high <= 0.0)[0][-1])
    if last + 1 >= len(run):
        return run[:, :2]
    part = high[last] / (high[last] - high[last + 1])
    return np.vstack([run[: last + 1], run[last] + part * (run[last + 1] - run[last])])[:, :2]


def _joined(before: FloatArray, after: FloatArray) -> FloatArray:
    """Two runs as one, each cut or carried on straight to the corner in which they meet; (n, 2) or (n, 3)."""
    if min(len(before), len(after)) < 2:
        return np.vstack([before, after])
    on, back = before[-1] - before[-2], after[0] - after[1]
    far = max(len(before) - ENDS, 0)
    one = np.vstack([before[far:], before[-1] + on * CORNER / np.hypot(*on[:2])])
    two = np.vstack([after[0] + back * CORNER / np.hypot(*back[:2]), after])
    cut = meet(one[:, :2], two[:ENDS, :2], near=before[-1, :2])
    if cut is None:
        return np.vstack([before, after])
    i = min(int(cut[0]), len(one) - 2)
    place = one[i] + (cut[0] - i) * (one[i + 1] - one[i])
    return np.vstack([before[:far], one[: i + 1], place, two[int(cut[1]) + 1 :]])


def _outline(boat: Boat, pieces: list[_Piece], face: str, insets: dict[str, float]) -> Polygon:
    """The area of one face on the flat."""
    lower, upper = (_edge(boat, pieces, which, face, insets) for which in ("low", "high"))
    after = []
    for piece in pieces:
        low, high = (
            moved(piece.patch, piece.p, np.full_like(piece.p, r), insets[face])[0] for r in (0.0, 1.0)
        )
        points = low[:, None, :] + SHARES[None, 1:-1, None] * (high - low)[:, None, :]
        after.append(piece.flat.where(boat.hull.transom.height_over(points), SHARES[1:-1]))
    ends = np.vstack(after)
    # Only what lies between the two edges' own ends belongs to the after edge.
    way = upper[-1] - lower[-1]
    part = (ends - lower[-1]) @ way / (way @ way)
    between = (part > 0.0) & (part < 1.0)
    ends = ends[between][np.argsort(part[between])]
    # From the after edge round by the upper edge to the fore end and back along the lower one.
    return area_of(np.vstack([_joined(upper[::-1], lower), ends]))


def _landings(
    boat: Boat, strake: Strake, pieces: list[_Piece], bare: dict[str, float]
) -> dict[str, FloatArray]:
    """Where the inside faces of the strakes beside it meet this one's inside face."""
    found = {}
    for other in boat.hull.strakes:
        if strake.lower != other.upper and strake.upper != other.lower:
            continue
        edge = 0.0 if strake.lower == other.upper else 1.0
        runs = []
        for piece in pieces:
            if edge == 0.0 and piece.on_profile:
                continue
            r = _beside(strake, other, piece, strake.inset, edge=edge, covers=False)
            known = ~np.isnan(r)
            points = moved(piece.patch, piece.p, np.where(known, r, edge), strake.inset)[0]
            at = piece.flat.low if edge == 0.0 else piece.flat.high
            kept = (
                known
                & (at[:, 0] >= bare.get(other.name, -np.inf))
                & (boat.hull.transom.height_over(points) <= 0.0)
            )
            runs.append(piece.flat.lay(points)[kept])
        line = np.vstack(runs)
        if len(line) > 1:
            found[other.name] = line
    return found
