"""The outside of planking as facets, from stem or bow transom to stern, with the transoms that close it."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from patterns.hull.clinker import lap_share
from patterns.hull.curved import Curved, hollow
from patterns.hull.cuts import run_past
from patterns.hull.facets import below, facets_of_grid
from patterns.hull.girth import Girth
from patterns.hull.hull import STERN, TURNED, Hull, Strake
from patterns.hull.planes import FloatArray, Plane
from patterns.hull.sheets import SheetPatch
from patterns.hull.surfaces import Curve, Patch, Surface, moved

__all__ = ["Skin", "deck_skin", "skin_of", "strake_skin"]

ALONG = 240  # cells from end to end of a piece of a strake
AROUND = 64  # cells from keel to sheer of a round bilge
ACROSS = 12  # cells across a strake whose rulings are straight
BESIDE = 16  # cells from the centreline to the side of a curved transom
NEAR_KEEL = 60.0  # mm beyond the half siding; farther out no place can lie beyond the rabbet

Skin = tuple[FloatArray, FloatArray]
"""Facets (n, 3, 3) of the starboard side from keel to sheer, and those of the transoms."""

BEYOND = 3  # the column that says how far beyond the rabbet a corner lies


def skin_of(hull: Hull, *, fine: float = 1.0) -> Skin:
    """The starboard side's outside of planking, ended at transoms and rabbet, and the transoms' halves.

    Where the lines lie on the inside of planking, each strake is moved out by its own thickness and the open wedge
    at a chine is closed straight from edge to edge.  From the rabbet a strip runs level to the centreline: the wood
    of keel and stem between the rabbets.

    Args:
        fine: how many times as many facets each way; 0.5 is coarser.
    """
    seen = (_strake_facets(hull, strake, fine, seen=True) for strake in hull.strakes)
    parts, edges = zip(*seen, strict=True)
    wedges = [_wedge(hull, lower, upper, fine) for lower, upper in pairwise(hull.strakes)]
    planked, rabbet = _ended(np.concatenate([*parts, *wedges]))
    strip, _ = _ended(_to_centreline(np.concatenate(edges)))
    planking = np.concatenate([planked, strip, _to_centreline(rabbet)])[:, :, :3]
    ends = []
    for face, turn in ((hull.transom, 1.0), (hull.bow_face, TURNED)):
        if face is None or (face is hull.transom and hull.stems[1]):
            continue
        planking, cut = below(planking, face.height_over(planking * turn))
        ends.append(turn * _transom(face, cut * turn, fine))
    return planking, np.concatenate(ends) if ends else np.empty((0, 3, 3))


def strake_skin(hull: Hull, strake: Strake) -> FloatArray:
    """The outside of one strake on the starboard side, ended at transoms and rabbet: facets (n, 3, 3)."""
    planked, _ = _ended(_strake_facets(hull, strake, 1.0)[0])
    return _within_ends(hull, planked[:, :, :3])


def deck_skin(hull: Hull) -> FloatArray:
    """The starboard half of the deck's surface from the centreline to the sheer, ended at transoms: (n, 3, 3)."""
    outs = 0.0 if hull.stems[0] else STERN, 0.0 if hull.stems[1] else STERN
    p, r = _places(hull.deck, outs, 1.0), np.linspace(0.0, 1.0, ACROSS + 1)
    return _within_ends(hull, facets_of_grid(hull.deck.shape(p[:, None], r[None, :])[0]))


def _within_ends(hull: Hull, facets: FloatArray) -> FloatArray:
    """What of the facets lies between the transoms, where there are any."""
    for face, turn in ((hull.transom, 1.0), (hull.bow_face, TURNED)):
        if face is not None and not (face is hull.transom and hull.stems[1]):
            facets, _ = below(facets, face.height_over(facets * turn))
    return facets


def _cells(number: int, fine: float) -> int:
    return max(round(number * fine), 2)


def _places(surface: Surface, outs: tuple[float, float], fine: float) -> FloatArray:
    """Places along a surface, (n,), run past its ends, closer together towards both: a bow may be blunt."""
    first, last = run_past(surface, outs)
    turn = np.linspace(0.0, np.pi, _cells(ALONG, fine) + 1)
    return first + (last - first) * 0.5 * (1.0 - np.cos(turn))


def _ended(facets: FloatArray) -> tuple[FloatArray, FloatArray]:
    """What of the facets (n, 3, 4) is not beyond the rabbet, and the edges (e, 2, 4) there, running aft."""
    kept, edges = below(facets, facets[:, :, BEYOND])
    return kept, edges[:, ::-1]


def _to_centreline(edges: FloatArray) -> FloatArray:
    """The strip from edges (e, 2, k), which run aft, level to the centreline: facets (2 e, 3, k)."""
    middle = edges.copy()
    middle[:, :, 1] = 0.0
    fore, aft, fore_in, aft_in = edges[:, 0], edges[:, 1], middle[:, 0], middle[:, 1]
    return np.stack([fore, aft, fore_in, aft, aft_in, fore_in], axis=1).reshape(-1, 3, edges.shape[2])


def _strake_facets(
    hull: Hull, strake: Strake, fine: float, *, seen: bool = False
) -> tuple[FloatArray, FloatArray]:
    """One strake, (n, 3, 4), and its edges on the profile line, (e, 2, 4), running aft.

    Args:
        seen: without what the next clinker plank laps over.
    The last column is above 0 where a place lies beyond the rabbet.
    """
    found, edges = [], [np.empty((0, 2, 4))]
    for i, patch in enumerate(strake.patches):
        p = _places(patch, strake.outs(i, 0.0, hull.transom), fine)
        around = ACROSS if isinstance(patch, Patch | SheetPatch) else AROUND
        r = np.linspace(0.0, 1.0, _cells(around, fine) + 1)
        across = r[None, :] * (_top(strake, patch, p)[:, None] if seen else 1.0)
        points, _ = moved(patch, p[:, None], across, strake.inset - strake.planking)
        beyond = np.full((*points.shape[:2], 1), -1.0)
        if isinstance(patch, Girth):
            beyond[..., 0] = _beyond_rabbet(hull.profile, patch.shape(p[:, None], r[None, :])[0])
        grid = np.concatenate([points, beyond], axis=-1)
        found.append(facets_of_grid(grid))
        if strake.lower == hull.keel or i != strake.main:
            edges.append(np.stack([grid[:-1, 0], grid[1:, 0]], axis=1))
    return np.concatenate(found), np.concatenate(edges)


def _beyond_rabbet(profile: Curve, points: FloatArray) -> FloatArray:
    """How much nearer to the centreline than the rabbet points (..., 3) lie, mm; -1 for those far from it."""
    line = profile.at(np.linspace(profile.start, profile.end, 801))
    beyond = np.full(points.shape[:-1], -1.0)
    near = points[..., 1] < line[:, 1].max() + NEAR_KEEL
    x, z = points[near][:, 0], points[near][:, 2]
    foot = ((x[:, None] - line[:, 0]) ** 2 + (z[:, None] - line[:, 2]) ** 2).argmin(axis=1)
    beyond[near] = line[foot, 1] - points[near][:, 1]
    return beyond


def _wedge(hull: Hull, lower: Strake, upper: Strake, fine: float) -> FloatArray:
    """What closes the gap at the line between two strakes that were moved outwards, (n, 3, 4); mostly none."""
    one, two = (strake.inset - strake.planking for strake in (lower, upper))
    if one == 0.0 and two == 0.0 and lower.laps is None:
        return np.empty((0, 3, 4))
    edges = []
    for strake, i, r, inset in ((lower, lower.main, 1.0, one), (upper, upper.main, 0.0, two)):
        patch = strake.patches[i]
        p = _places(patch, strake.outs(i, 0.0, hull.transom), fine)
        at = _top(strake, patch, p) if r else np.zeros_like(p)
        on_line = patch.shape(p, at)[0]
        edges.append((on_line[:, 0], moved(patch, p, at, inset)[0]))
    # The two have different places along the line: they are brought abreast by the line's own distance aft.
    x = np.linspace(max(e[0][0] for e in edges), min(e[0][-1] for e in edges), _cells(ALONG, fine) + 1)
    sides = [np.stack([np.interp(x, at, side[:, k]) for k in range(3)], axis=-1) for at, side in edges]
    grid = np.stack(sides, axis=1)
    return facets_of_grid(np.concatenate([grid, np.full((*grid.shape[:2], 1), -1.0)], axis=-1))


def _top(strake: Strake, patch: Surface, p: FloatArray) -> FloatArray:
    """Where across a strake, (n,), what is seen of it ends: at its upper edge, or at the next clinker plank."""
    if strake.laps is None or not isinstance(patch, Patch):
        return np.ones_like(p)
    return np.clip(lap_share(patch, p, strake.laps.width), 0.0, 1.0)


def _transom(face: Plane, edges: FloatArray, fine: float) -> FloatArray:
    """The half of a transom inside of the edges (e, 2, 3) in which it cuts the planking: (n, 3, 3)."""
    share = np.linspace(0.0, 1.0, (_cells(BESIDE, fine) if isinstance(face, Curved) else 1) + 1)
    y = edges[:, :, None, 1] * share
    z = np.broadcast_to(edges[:, :, None, 2], y.shape)
    grid = np.stack([_aft_on(face, y, z), y, z], axis=-1)
    near, out, far, both = grid[:, 0, :-1], grid[:, 0, 1:], grid[:, 1, :-1], grid[:, 1, 1:]
    return np.stack([near, far, out, out, far, both], axis=2).reshape(-1, 3, 3)


def _aft_on(face: Plane, y: FloatArray, z: FloatArray) -> FloatArray:
    """How far aft a face athwartships lies at half-breadths and heights, mm."""
    fallen = hollow(y, face.radius if isinstance(face, Curved) else None)
    n, at = face.normal, face.origin
    away: FloatArray = at[0] - (n[2] * (z - at[2]) + fallen) / n[0]
    return away
