"""Where the two faces of a strake end along its edges: at stem and keel, at the strakes beside it, at the deck."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from patterns.boat import Boat
from patterns.design.stem_models import StemEnd
from patterns.design.strake_models import StrakePatternSpec, lap_of
from patterns.errors import PatternsError
from patterns.hull.hull import Strake
from patterns.hull.planes import FloatArray, cross
from patterns.hull.plank_edges import edge_at_profile, edge_at_surface
from patterns.hull.surfaces import moved
from patterns.joinery.strake_pieces import FlatPiece, breadth, few_rulings
from patterns.wood.labels import Against, Deck, Free, Label, OnProfile

__all__ = ["at_inside_of", "edge_labels", "faces_of", "lower_end", "upper_end"]

FARTHEST = 6.0  # thicknesses of the plank; the deck's underside is not looked for farther off
FEATHER = 3.0  # thicknesses; a lap whose faces meet farther off than that would be a feather edge
LEAST_HELD = 0.25  # part of the line between two strakes on which a lap must hold
NARROW = 4.0  # thicknesses; where the rulings are shorter, near the point, no edge is looked for
RUN_OUT = 150.0  # mm aft of the stem's foot in which an edge flush with its face becomes a square one
STEM_LAP = 8.0  # thicknesses; the stem's face is not looked for farther off


def faces_of(strake: Strake) -> dict[str, float]:
    """How far inward from the strake's surface each of its faces lies, mm."""
    return {"inside": strake.inset, "outside": strake.inset - strake.planking}


def edge_labels(boat: Boat, strake: Strake, piece: FlatPiece) -> tuple[Label, Label]:
    """What a piece's lower and its upper edge lie on."""
    below = next((other for other in boat.hull.strakes if other.upper == strake.lower), None)
    above = next((other for other in boat.hull.strakes if other.lower == strake.upper), None)
    lower = OnProfile() if piece.on_profile or below is None else Against(f"{below.name} strake")
    if above is not None:
        return lower, Against(f"{above.name} strake")
    return lower, Free() if boat.design.deck is None else Deck()


def lower_end(
    boat: Boat,
    spec: StrakePatternSpec,
    strake: Strake,
    piece: FlatPiece,
    bare: dict[str, tuple[float, float]],
) -> dict[str, FloatArray]:
    """By face, where a piece's lower edge ends, across, (n,); nan: nowhere.

    Args:
        bare: filled in, see `FlatStrake.bare`.
    """
    if not piece.on_profile and strake.edges is not None:
        return {face: np.zeros_like(piece.p) for face in faces_of(strake)}
    if not piece.on_profile:
        other = next(other for other in boat.hull.strakes if other.upper == strake.lower)
        return _at_strake(boat, spec, strake, other, piece, bare)
    return {face: _at_profile(boat, strake, piece, inset) for face, inset in faces_of(strake).items()}


def upper_end(
    boat: Boat,
    spec: StrakePatternSpec,
    strake: Strake,
    piece: FlatPiece,
    bare: dict[str, tuple[float, float]],
) -> dict[str, FloatArray]:
    """The same of its upper edge."""
    other = next((other for other in boat.hull.strakes if other.lower == strake.upper), None)
    if other is not None and strake.edges is not None:
        return {face: np.ones_like(piece.p) for face in faces_of(strake)}
    if other is not None:
        return _at_strake(boat, spec, strake, other, piece, bare)
    return {face: _at_deck(boat, strake, piece, inset) for face, inset in faces_of(strake).items()}


def _at_profile(boat: Boat, strake: Strake, piece: FlatPiece, inset: float) -> FloatArray:
    """Square through the plank; on an inner stem flush with its face, to which the outer stem is added."""
    x = boat.hull.profile.at(piece.p)[:, 0]
    share = np.zeros_like(piece.p)
    for end, aft in ((boat.design.fore_end, -1.0), (boat.design.after_end, 1.0)):
        if isinstance(end, StemEnd) and end.construction != "rabbeted":
            share = np.maximum(share, np.clip(aft * (x - end.foot) / RUN_OUT + 1.0, 0.0, 1.0))
    if not share.any():
        return share
    r = edge_at_profile(piece.patch, piece.p, inset=inset, profile=boat.hull.profile)
    broad = breadth(piece, 0.0)
    near = (np.abs(r) * broad < STEM_LAP * strake.planking) & (r <= 0.0)
    return np.where(broad < NARROW * strake.planking, np.nan, np.where(near, share * r, 0.0))


def _at_deck(boat: Boat, strake: Strake, piece: FlatPiece, inset: float) -> FloatArray:
    """The deck's underside, where there is a deck; else square through the plank."""
    square = np.ones_like(piece.p)
    if boat.design.deck is None:
        return square
    few = few_rulings(piece)
    r, found = edge_at_surface(
        piece.patch,
        piece.p[few],
        inset=inset,
        edge=1.0,
        others=(boat.hull.deck,),
        other_inset=boat.hull.deck_inset,
        other_edge=1.0,
    )
    found &= np.abs(r - 1.0) * breadth(piece, 1.0)[few] <= FARTHEST * strake.planking
    return _between(strake, piece, few[found], r[found], 1.0)


def _at_strake(
    boat: Boat,
    spec: StrakePatternSpec,
    strake: Strake,
    other: Strake,
    piece: FlatPiece,
    bare: dict[str, tuple[float, float]],
) -> dict[str, FloatArray]:
    """By face, where a piece's edge ends at the strake beside it."""
    below = other.upper == strake.lower
    edge = 0.0 if below else 1.0
    covers = any(lap_of(words) == (spec.strake, other.name) for words in spec.laps)
    fore, aft = (
        _laps_between(boat, spec, other, strake) if below else _laps_between(boat, spec, strake, other)
    )
    at = (piece.flat.low if edge == 0.0 else piece.flat.high)[:, 0]
    if fore > at.min() or aft < at.max():
        bare[other.name] = fore, aft
    found = {}
    for face, inset in faces_of(strake).items():
        r = _beside(strake, other, piece, inset, edge=edge, covers=covers)
        x = moved(piece.patch, piece.p, np.nan_to_num(r), inset)[0][:, 0]
        lapped = (x >= fore) & (x <= aft)
        found[face] = np.where((at < fore) | (at > aft), edge, np.where(lapped, r, np.nan))
    return found


def _laps_between(boat: Boat, spec: StrakePatternSpec, lower: Strake, upper: Strake) -> tuple[float, float]:
    """From where aft to where, mm, the laps of two strakes hold; past that they are butted at the line.

    At an angle A between the two sheets a face meets the other's within t / sin A of the line; where that is
    several thicknesses the edge would be a feather, and neither can cover the other's.

    Raises:
        PatternsError: that is so on most of the line: a lap that was asked for is not left out unsaid.
    """
    found = []
    for patches, r in ((lower.patches, 1.0), ((upper.patches[upper.main],), 0.0)):
        points, normals = [], []
        for patch in patches:
            p = np.linspace(patch.start, patch.end, 241)[1:-1]
            points.append(patch.shape(p, np.full_like(p, r))[0][:, 0])
            normals.append(moved(patch, p, np.full_like(p, r), 0.0)[1])
        x = np.concatenate(points)
        order = np.argsort(x)
        found.append((x[order], np.concatenate(normals)[order]))
    (x, normals_below), (x_above, normals_above) = found
    beside = np.stack([np.interp(x, x_above, normals_above[:, k]) for k in range(3)], axis=-1)
    sine = np.linalg.norm(cross(normals_below, beside), axis=1)
    flat = x[(sine < 1.0 / FEATHER) & (x >= x_above[0]) & (x <= x_above[-1])]
    # At a stern with a stem it flattens aft as well.
    middle = 0.5 * (x_above[0] + x_above[-1]) if boat.hull.stems[1] else np.inf
    fore, aft = flat[flat < middle], flat[flat >= middle]
    first = float(fore.max()) if len(fore) else -np.inf
    last = float(aft.min()) if len(aft) else np.inf
    start, end = float(x_above[0]), float(x_above[-1])
    if spec.laps_from is not None:
        start = max(start, boat.distance(spec.laps_from))
        first = max(first, start)
    held = max(min(last, end) - max(first, start), 0.0)
    if held < LEAST_HELD * (end - start):
        raise PatternsError(
            f"{lower.name} and {upper.name} meet at less than {np.degrees(np.arcsin(1.0 / FEATHER)):.0f}° on "
            f"{100.0 * (1.0 - held / (end - start)):.0f} % of the line between them: a lap cut along their faces "
            "would be a feather edge there; remove it from laps, and the two are butted at the line"
        )
    return first, last


def at_inside_of(strake: Strake, other: Strake, piece: FlatPiece, edge: float) -> FloatArray:
    """Where the inside face meets the inside face of the strake beside it, across, (n,); nan: nowhere."""
    return _beside(strake, other, piece, strake.inset, edge=edge, covers=False)


def _beside(
    strake: Strake, other: Strake, piece: FlatPiece, inset: float, *, edge: float, covers: bool
) -> FloatArray:
    """Where a face ends at the strake beside it, across, (n,).

    Args:
        covers: this strake covers the other's edge, and runs on to its outside; else it ends at its inside.
    """
    few = few_rulings(piece)
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


def _between(
    strake: Strake, piece: FlatPiece, few: NDArray[np.intp], r: FloatArray, edge: float
) -> FloatArray:
    """Places across (n,) from those of a few rulings; nan near the point where the strake is too narrow.

    Distances from the edge change evenly along it, parts of the rulings do not.
    """
    broad = breadth(piece, edge)
    good = broad[few] >= NARROW * strake.planking
    few, r = few[good], r[good]
    if len(few) == 0:
        return np.full_like(piece.p, edge)
    far = np.interp(np.arange(len(piece.p)), few, (r - edge) * broad[few])
    whole = edge + far / np.maximum(broad, 1e-9)
    whole[: few[0]] = np.where(broad[: few[0]] < NARROW * strake.planking, np.nan, whole[: few[0]])
    return np.asarray(whole)
