"""A strake's inside face laid flat, with the outlines of its two faces."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from patterns.boat import Boat
from patterns.design.strake_models import StrakePatternSpec
from patterns.flat.middle_line import strain_along
from patterns.flat.polylines import meet
from patterns.hull.hull import TURNED, Hull, Strake
from patterns.hull.planes import FloatArray
from patterns.hull.surfaces import moved
from patterns.joinery.lands import land_lines
from patterns.joinery.strake_edges import at_inside_of, edge_labels, faces_of, lower_end, upper_end
from patterns.joinery.strake_pieces import FlatPiece, flat_pieces, upright
from patterns.wood.labels import Label, Trim
from patterns.wood.placement import OnRulings, on_sheets
from patterns.wood.region import Region

__all__ = ["FlatStrake", "lay_strake_flat"]

FORE, AFTER = Trim("fore"), Trim("after")
CORNER = 150.0  # mm; the farthest that two edges are carried on to their corner
ENDS = 50  # points of a run's end among which its corner with the next one is looked for
Height = Callable[[FloatArray], FloatArray]
SHARES = np.linspace(0.0, 1.0, 25)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FlatStrake:
    """A strake on the flat, seen from the inside: aft to the right, up to the top.

    Attributes:
        faces: its inside and its outside face; the outside's stands square through the wood.
        landings: by strake beside it, the lines on which that strake's inside face meets this one's, (n, 2).
        bare: by strake beside it, from where aft to where the laps hold, mm, if not all along; past that the two
            lie side by side, and neither can cover the other.
        edges: the lengths of its lower and its upper edge as they lie in the boat and on the flat, mm.
        strain: the greatest strain of these edges over a short run, laid flat; a part of 1.
    """

    faces: tuple[Region, Region]
    landings: dict[str, FloatArray]
    bare: dict[str, tuple[float, float]]
    edges: tuple[tuple[float, float], tuple[float, float]]
    strain: tuple[float, float]
    _pieces: tuple[FlatPiece, ...]

    @property
    def placement(self) -> OnRulings:
        """Where places on the flat lie in the boat."""
        return on_sheets([piece.flat for piece in self._pieces])

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
    bare: dict[str, tuple[float, float]] = {}
    for piece in pieces:
        piece.low.update(lower_end(boat, spec, strake, piece, bare))
        piece.high.update(upper_end(boat, spec, strake, piece, bare))
    pieces = upright(pieces)
    faces = faces_of(strake)
    return FlatStrake(
        faces=(
            _outline(boat, strake, pieces, "inside", faces),
            _outline(boat, strake, pieces, "outside", faces),
        ),
        landings=dict(land_lines(boat.hull, strake, pieces))
        if strake.edges is not None
        else _landings(boat, strake, pieces, bare),
        bare=bare,
        edges=(
            _both_lengths([(piece.flat.low, piece.flat.flat_low) for piece in pieces]),
            _both_lengths([(piece.flat.high, piece.flat.flat_high) for piece in pieces]),
        ),
        strain=(
            max((strain_along(piece.flat.low, piece.flat.flat_low) for piece in pieces), key=abs),
            max((strain_along(piece.flat.high, piece.flat.flat_high) for piece in pieces), key=abs),
        ),
        _pieces=tuple(pieces),
    )


def _both_lengths(runs: Sequence[tuple[FloatArray, FloatArray]]) -> tuple[float, float]:
    """The lengths of an edge's runs in the boat and on the flat, mm."""
    bent, flat = (sum(_length(run[k]) for run in runs) for k in (0, 1))
    return bent, flat


def _length(points: FloatArray) -> float:
    return float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())


def _outline(
    boat: Boat, strake: Strake, pieces: list[FlatPiece], face: str, insets: dict[str, float]
) -> Region:
    """The area of one face on the flat; what its edges lie on is known from where they come from."""
    both = [edge_labels(boat, strake, piece) for piece in pieces]
    labels: list[Label] = [FORE, AFTER, *dict.fromkeys(label for pair in both for label in pair)]
    lower, upper = (
        _edge(boat, pieces, which, face, insets, [labels.index(pair[k]) for pair in both])
        for k, which in enumerate(("low", "high"))
    )
    # Of every point the number of what the edge that leads to it lies on; turned round it is that of the next one.
    back = upper[::-1].copy()
    back[1:, 2] = back[:-1, 2].copy()
    fore, aft = _past_ends(boat.hull)
    if aft is None:
        around = _joined(lower, back)
    else:
        back[0, 2] = 1.0
        end = _end_line(pieces, insets[face], aft, lower[-1, :2], upper[-1, :2])
        around = np.vstack([lower, np.column_stack([end, np.ones(len(end))]), back])
    if fore is None:
        half = len(around) // 2
        return _ringed(_joined(around[half:], around[:half]), labels)
    end = _end_line(pieces, insets[face], fore, upper[0, :2], lower[0, :2])
    around[0, 2] = 0.0
    return _ringed(np.vstack([around, np.column_stack([end, np.zeros(len(end))])]), labels)


def _ringed(around: FloatArray, labels: Sequence[Label]) -> Region:
    """The area within a closed outline, (n, 3), by the numbers of its labels."""
    leaving = np.roll(around[:, 2], -1).astype(int)
    runs = np.split(np.arange(len(around)), np.nonzero(np.diff(leaving))[0] + 1)
    return Region.around(
        *((around[run, :2], labels[leaving[run[0]]], labels[leaving[run[0]]]) for run in runs)
    )


def _past_ends(hull: Hull) -> tuple[Height | None, Height | None]:
    """How far points (..., 3) lie past the bow's and past the stern's transom; None where a stem stands."""
    bow = hull.bow_face

    def ahead(points: FloatArray) -> FloatArray:
        assert bow is not None
        return bow.height_over(points * TURNED)

    return None if bow is None else ahead, None if hull.stems[1] else hull.transom.height_over


def _end_line(
    pieces: list[FlatPiece], inset: float, past: Height, first: FloatArray, last: FloatArray
) -> FloatArray:
    """Where a transom's face ends one face of the strake, on the flat, between the ends of its two edges."""
    found = []
    for piece in pieces:
        low, high = (moved(piece.patch, piece.p, np.full_like(piece.p, r), inset)[0] for r in (0.0, 1.0))
        points = low[:, None, :] + SHARES[None, 1:-1, None] * (high - low)[:, None, :]
        found.append(piece.flat.where(past(points), SHARES[1:-1]))
    line, way = np.vstack(found), last - first
    part = (line - first) @ way / (way @ way)
    between = (part > 0.0) & (part < 1.0)
    return np.asarray(line[between][np.argsort(part[between])])


def _edge(
    boat: Boat,
    pieces: list[FlatPiece],
    which: str,
    face: str,
    insets: dict[str, float],
    numbers: Sequence[int],
) -> FloatArray:
    """One edge of a face on the flat from end to end of the strake, (n, 3): a place and a label's number.

    Args:
        numbers: of the label, by piece.
    """
    run = np.zeros((0, 6))
    for piece, number in zip(pieces, numbers, strict=True):
        r = (piece.low if which == "low" else piece.high)[face]
        known = ~np.isnan(r)
        r = np.where(known, r, 0.5)
        flat = piece.flat.lay(moved(piece.patch, piece.p, r, insets["inside"])[0])
        own = moved(piece.patch, piece.p, r, insets[face])[0]
        run = _joined(run, np.column_stack([flat, own, np.full(len(flat), float(number))])[known])
    fore, aft = _past_ends(boat.hull)
    if aft is not None:
        run = _trimmed(run, aft)
    if fore is not None:
        run = _trimmed(run[::-1], fore)[::-1]
    return run[:, [0, 1, 5]]


def _trimmed(run: FloatArray, past: Height) -> FloatArray:
    """A run, (n, 6) of flat places, points of the boat and a number, ended where it passes a transom's face."""
    high = past(run[:, 2:5])
    last = int(np.nonzero(high <= 0.0)[0][-1])
    if last + 1 >= len(run):
        return run
    part = high[last] / (high[last] - high[last + 1])
    return np.vstack([run[: last + 1], _between(run[last], run[last + 1], part)])


def _between(one: FloatArray, two: FloatArray, part: float) -> FloatArray:
    """A row at a part of the way from one to another; its number, in the last column, is that of the second."""
    row: FloatArray = one + part * (two - one)
    row[-1] = two[-1]
    return row


def _joined(before: FloatArray, after: FloatArray) -> FloatArray:
    """Two runs as one, each cut or carried on straight to the corner in which they meet.

    Their columns: a place on the flat, more that changes evenly, and last a number that does not.
    """
    if min(len(before), len(after)) < 2:
        return np.vstack([before, after])
    on, back = before[-1] - before[-2], after[0] - after[1]
    on[-1] = back[-1] = 0.0
    far = max(len(before) - ENDS, 0)
    one = np.vstack([before[far:], before[-1] + on * CORNER / np.hypot(*on[:2])])
    two = np.vstack([after[0] + back * CORNER / np.hypot(*back[:2]), after])
    cut = meet(one[:, :2], two[:ENDS, :2], near=before[-1, :2])
    if cut is None:
        return np.vstack([before, after])
    i = min(int(cut[0]), len(one) - 2)
    place = _between(one[i], one[i + 1], cut[0] - i)
    return np.vstack([before[:far], one[: i + 1], place, two[int(cut[1]) + 1 :]])


def _landings(
    boat: Boat, strake: Strake, pieces: list[FlatPiece], bare: dict[str, tuple[float, float]]
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
            first, last = bare.get(other.name, (-np.inf, np.inf))
            kept = known & (at[:, 0] >= first) & (at[:, 0] <= last)
            for past in _past_ends(boat.hull):
                if past is not None:
                    kept &= past(points) <= 0.0
            runs.append(piece.flat.lay(points)[kept])
        line = np.vstack(runs)
        if len(line) > 1:
            found[other.name] = line
    return found
