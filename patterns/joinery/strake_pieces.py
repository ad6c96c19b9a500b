"""The pieces of a strake as they are unrolled: rulings close together, in the boat and on the flat."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
import shapely
from numpy.typing import NDArray

from patterns.flat.middle_line import along_middle
from patterns.flat.unroll import Unrolled, unroll
from patterns.hull.hull import Hull, Strake
from patterns.hull.planes import FloatArray, cross
from patterns.hull.sheets import SheetPatch
from patterns.hull.surfaces import Ruled, moved

__all__ = ["FlatPiece", "breadth", "few_rulings", "flat_pieces", "upright"]

APART = 8.0  # mm from ruling to ruling, on the longer of the two edges
SHORTEST = 1.0  # mm; where the edges meet in a point the first ruling is as long as that
PAST = 120.0  # mm by which the sheet is carried past its ends before a transom cuts it
FEW = 5  # of so many rulings one is asked where it meets what lies beside it


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FlatPiece:
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


def _rulings(patch: Ruled, *, on: tuple[bool, bool]) -> FloatArray:
    """The rulings to unroll, close enough on both edges; ``on``: carried on past the fore and the after end."""
    ends = np.array([patch.start, patch.end])
    pace = np.linalg.norm(patch.shape(ends, np.array([0.5, 0.5]))[1], axis=-1)
    start, end = ends + np.array([-1.0, 1.0]) * np.array(on) * PAST / np.maximum(pace, 1e-6)
    p = np.linspace(start, end, 4001)
    low, high = patch.lower(p)[0], patch.upper(p)[0]
    long = np.nonzero(np.linalg.norm(high - low, axis=1) >= SHORTEST)[0]
    kept = slice(long[0], long[-1] + 1)
    p, low, high = p[kept], low[kept], high[kept]
    steps = np.maximum(*(np.linalg.norm(np.diff(edge, axis=0), axis=1) for edge in (low, high)))
    run = np.append(0.0, np.cumsum(steps))
    even = np.interp(np.linspace(0.0, run[-1], int(run[-1] / APART) + 2), run, p)
    if isinstance(patch, SheetPatch):  # where one of its lines ends, its edge turns
        turns = patch.rulings.lower[[0, -1]]
        even = np.union1d(even, turns[(turns > even[0]) & (turns < even[-1])])
    return np.asarray(even)


def few_rulings(piece: FlatPiece) -> NDArray[np.intp]:
    """The rulings that are asked where they meet what lies beside the strake, by number."""
    count = len(piece.p)
    few = np.append(np.arange(0, count, FEW), count - 1)
    if isinstance(piece.patch, SheetPatch):
        for turn in np.searchsorted(piece.p, piece.patch.rulings.lower[[0, -1]]):
            few = np.append(few, [turn - 1, turn, turn + 1])
    return np.unique(np.clip(few, 0, count - 1))


def breadth(piece: FlatPiece, edge: float) -> FloatArray:
    """How far the rulings reach square to one of the edges, (n,), mm."""
    low, high = piece.patch.lower(piece.p), piece.patch.upper(piece.p)
    along = (low if edge == 0.0 else high)[1]
    across = high[0] - low[0]
    square = np.linalg.norm(cross(across, along), axis=1)
    return np.asarray(square / np.maximum(np.linalg.norm(along, axis=1), 1e-9))


def _unrolled(patch: Ruled, p: FloatArray, inset: float, after: Unrolled | None, *, plank: bool) -> Unrolled:
    low, high = (moved(patch, p, np.full_like(p, r), inset)[0] for r in (0.0, 1.0))
    outward = moved(patch, p, np.full_like(p, 0.5), inset)[1]
    flat_low, flat_high = along_middle(low, high, outward) if plank else unroll(low, high)
    if after is not None:
        # The two pieces' inside faces share a ruling; this one's is laid upon the other's.
        one, two = after.flat_high[-1] - after.flat_low[-1], flat_high[0] - flat_low[0]
        turn = np.arctan2(one[1], one[0]) - np.arctan2(two[1], two[0])
        matrix = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
        there = 0.5 * (after.flat_low[-1] + after.flat_high[-1])
        here = matrix @ (0.5 * (flat_low[0] + flat_high[0]))
        flat_low, flat_high = (part @ matrix.T + there - here for part in (flat_low, flat_high))
    return Unrolled(low=low, high=high, outward=outward, flat_low=flat_low, flat_high=flat_high)


def _on_profile(hull: Hull, patch: Ruled) -> bool:
    middle = np.array([0.5 * (patch.start + patch.end)])
    on = hull.profile.at(middle)
    return bool(np.linalg.norm(patch.lower(middle)[0] - on) < 0.5)


def flat_pieces(hull: Hull, strake: Strake) -> list[FlatPiece]:
    """The strake's pieces unrolled, from forward aft, each laid upon the ruling shared with the one before.

    A clinker plank, which no sheet need lie as, is laid along its own middle line.
    """
    pieces: list[FlatPiece] = []
    for number, patch in enumerate(strake.patches[::-1]):
        ends = number == 0, number == len(strake.patches) - 1
        on = ends[0] and not strake.stems[0], ends[1] and not strake.stems[1]
        p = _rulings(patch, on=on)
        before = pieces[-1].flat if pieces else None
        flat = _unrolled(patch, p, strake.inset, before, plank=strake.edges is not None)
        pieces.append(FlatPiece(patch=patch, p=p, flat=flat, on_profile=_on_profile(hull, patch)))
    return pieces


def upright(pieces: list[FlatPiece]) -> list[FlatPiece]:
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
        made.append(replace(piece, flat=turned))
    return made
