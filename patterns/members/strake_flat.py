"""A strake's inside face laid flat, with the outlines of its two faces."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from shapely.geometry import Polygon

from patterns.boat import Boat
from patterns.design.strake_models import StrakePatternSpec
from patterns.flat.polylines import meet
from patterns.flat.shapes import area_of
from patterns.hull.hull import Strake
from patterns.hull.planes import FloatArray
from patterns.hull.surfaces import moved
from patterns.members.strake_edges import at_inside_of, faces_of, lower_end, upper_end
from patterns.members.strake_pieces import FlatPiece, flat_pieces, upright

__all__ = ["FlatStrake", "lay_strake_flat"]

CORNER = 150.0  # mm; the farthest that two edges are carried on to their corner
ENDS = 50  # points of a run's end among which its corner with the next one is looked for
SHARES = np.linspace(0.0, 1.0, 25)


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
    _pieces: tuple[FlatPiece, ...]

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


def lay_strake_flat(boat: Boat, spec: StrakePatternSpec, strake: Strake) -> FlatStrake:
    """Unroll a strake's inside face and find where both of its faces end."""
    pieces = flat_pieces(boat.hull, strake)
    bare: dict[str, float] = {}
    for piece in pieces:
        piece.low.update(lower_end(boat, spec, strake, piece, bare))
        piece.high.update(upper_end(boat, spec, strake, piece, bare))
    pieces = upright(pieces)
    faces = faces_of(strake)
    return FlatStrake(
        faces=(_outline(boat, pieces, "inside", faces), _outline(boat, pieces, "outside", faces)),
        landings=_landings(boat, strake, pieces, bare),
        bare=bare,
        edges=(
            _both_lengths([(piece.flat.low, piece.flat.flat_low) for piece in pieces]),
            _both_lengths([(piece.flat.high, piece.flat.flat_high) for piece in pieces]),
        ),
        _pieces=tuple(pieces),
    )


def _both_lengths(runs: Sequence[tuple[FloatArray, FloatArray]]) -> tuple[float, float]:
    """The lengths of an edge's runs in the boat and on the flat, mm."""
    bent, flat = (sum(_length(run[k]) for run in runs) for k in (0, 1))
    return bent, flat


def _length(points: FloatArray) -> float:
    return float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())


def _outline(boat: Boat, pieces: list[FlatPiece], face: str, insets: dict[str, float]) -> Polygon:
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


def _edge(boat: Boat, pieces: list[FlatPiece], which: str, face: str, insets: dict[str, float]) -> FloatArray:
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


def _landings(
    boat: Boat, strake: Strake, pieces: list[FlatPiece], bare: dict[str, float]
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
            r = at_inside_of(strake, other, piece, edge)
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
