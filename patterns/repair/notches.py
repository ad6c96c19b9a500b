"""Notches in the frame's edge for the timbers that pass it, as they were measured on the old frame.

A notch follows the planking: on each face it goes in square to that face's own edge.  In a corner it runs on to the
planking of the next stretch, so that no wedge of wood is left beside the timber.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely.geometry import Polygon

from patterns.design.repair_work_models import CENTRELINE, NotchSpec
from patterns.errors import PatternsError
from patterns.flat import overlays
from patterns.flat.shapes import area_of
from patterns.hull.planes import FloatArray
from patterns.measure import Notation
from patterns.repair.fairing import FairSide
from patterns.repair.outline import Edge, EdgeStretch
from patterns.repair.places import SIDES, Side
from patterns.repair.repair import Repair
from patterns.wood.facts import Fact
from patterns.wood.features import Note
from patterns.wood.labels import Against, Free
from patterns.wood.meeting import Joinery, Loss, Meeting, NotMade, without
from patterns.wood.piece import least_left
from patterns.wood.region import Area, Region

__all__ = ["MeasuredNotch", "notched", "notches_of", "own_notches", "stretch_within", "timber_meetings"]

OUT = 60.0  # mm by which a notch is run out through the planking
PAST_END = 150.0  # mm by which it is run on past the heel or the head
PAST_CORNER = 1.6  # depths by which it is run on past a corner, at most
DOWN = 240.0  # mm by which one on the centreline is run out downward
CRUMB = 25.0  # mm2; smaller pieces of wood are none


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MeasuredNotch:
    """One notch on one face.

    Attributes:
        area: its space, run out through the planking, mm.
        inner: the middle of its inner side, (2,).
        notation: of the rule that it was measured with.
    """

    spec: NotchSpec
    area: Polygon
    inner: FloatArray
    notation: Notation

    def note(self) -> Note:
        """Its name and size, at its inner side."""
        size = {"along": self.spec.along, "off": self.spec.off, "notation": self.notation}
        return Note(
            fact=Fact("measured-notch", {"timber": self.spec.name, **size}),
            at=(float(self.inner[0]), float(self.inner[1])),
            bare=True,
        )


def notches_of(repair: Repair, edge: Edge, side: Side | None) -> Iterator[MeasuredNotch]:
    """The notches on one face of a piece.

    Args:
        edge: the face's whole edge, in its side's own coordinates; or (y, z) where it goes across.
        side: on which it lies; None where it goes across both, or is a half.
    """
    for notch in repair.notches:
        if notch.at == CENTRELINE:
            yield _on_centreline(notch, edge, side, repair.spec.notation)
            continue
        for name in SIDES if side is None else (side,):
            if notch.side not in (name, "both"):
                continue
            k, turned = _stretch_in(repair, edge, notch, name, side)
            if k is not None:
                yield _beside(repair, notch, edge, k, name, turned=turned)


def _stretch_in(
    repair: Repair, edge: Edge, notch: NotchSpec, name: Side, side: Side | None
) -> tuple[int | None, bool]:
    """Which stretch of a piece's edge a notch of one side is in, and whether it runs the other way there."""
    own = [stretch.name for stretch in repair.edges_of[name].stretches] if name in repair.edges_of else []
    if notch.against not in own:
        return None, False
    return stretch_within(edge, len(own), own.index(notch.against), name, side)


def stretch_within(edge: Edge, count: int, k: int, name: Side, side: Side | None) -> tuple[int | None, bool]:
    """Which stretch of a piece's edge the k-th of a side's is, of so many, and whether it runs the other way there.

    Args:
        side: that of the piece; None where it goes across both, or is a half.
    """
    if side is not None:
        return k, False
    # Across both the port side comes first, from its head down; a half has the starboard side alone.
    whole = len(edge.stretches) > count + 1
    if name == "port":
        return (count - 1 - k, True) if whole else (None, False)
    return len(edge.stretches) - count + k, False


def _on_centreline(notch: NotchSpec, edge: Edge, side: Side | None, notation: Notation) -> MeasuredNotch:
    """The space of a timber that lies on the keel's line, up from the heels."""
    at = edge.points
    heel = float(at[0, 1] if side is not None else np.interp(0.0, *_near_centre(at).T))
    half = 0.5 * notch.along
    area = shapely.box(-half, heel - DOWN, half, heel + notch.off)
    inner = np.array([0.0 if side is None else half, heel + notch.off])
    return MeasuredNotch(spec=notch, area=area, inner=inner, notation=notation)


def _near_centre(at: FloatArray) -> FloatArray:
    """The two points of an edge on either side of the centreline, or the one on it, in rising order."""
    order = np.argsort(np.abs(at[:, 0]))[:2]
    return at[order][np.argsort(at[order, 0])]


def _beside(
    repair: Repair, notch: NotchSpec, edge: Edge, k: int, side: Side, *, turned: bool
) -> MeasuredNotch:
    stretch = edge.stretches[k]
    whole = float(stretch.run[-1])
    own = repair.measured(side)
    i = own.named(notch.at, notch.against)
    assert i is not None
    lower, upper = _ends_of(own, notch)
    share = _share_on(own, i, lower, upper)
    if notch.distance is None:
        low, high = (0.0, notch.along) if i == lower else (whole - notch.along, whole)
        open_low, open_high = i == lower, i == upper
    else:
        middle = share * whole + notch.distance
        low, high = middle - 0.5 * notch.along, middle + 0.5 * notch.along
        open_low, open_high = low <= 0.0, high >= whole
    if turned:
        low, high, open_low, open_high = whole - high, whole - low, open_high, open_low
    return _cut_in(
        notch,
        stretch,
        low - (_room(edge, k, notch.off, tail=False) if open_low else 0.0),
        high + (_room(edge, k, notch.off, tail=True) if open_high else 0.0),
        middle=0.5 * (max(low, 0.0) + min(high, whole)),
        notation=repair.spec.notation,
    )


def _ends_of(side: FairSide, notch: NotchSpec) -> tuple[int, int]:
    """The points at the ends of the stretch that a notch is on."""
    k = next(k for k, stretch in enumerate(side.edge.stretches) if stretch.name == notch.against)
    return side.corners[k], side.corners[k + 1]


def _share_on(side: FairSide, i: int, lower: int, upper: int) -> float:
    if i in (lower, upper):
        return 0.0 if i == lower else 1.0
    return side.share(i)[1]


def _room(edge: Edge, k: int, off: float, *, tail: bool) -> float:
    """How far past the end of a stretch a notch runs on: to the planking of the next one."""
    n = k + 1 if tail else k - 1
    if not 0 <= n < len(edge.stretches):
        return PAST_END
    here, there = edge.stretches[k].out[-1 if tail else 0], edge.stretches[n].out[0 if tail else -1]
    # The turn of the edge there, towards the wood more than 0.
    turn = float(here[0] * there[1] - here[1] * there[0]) * (1.0 if tail else -1.0)
    flat = float(here @ there)
    if turn <= 0.0 or (flat > 0.0 and off * flat / turn > PAST_CORNER * off):
        return 0.0
    return PAST_CORNER * off


def _cut_in(
    notch: NotchSpec, stretch: EdgeStretch, low: float, high: float, *, middle: float, notation: Notation
) -> MeasuredNotch:
    """The space from one place of a stretch's length to another; past its ends it is carried on straight."""
    at, out = _along(stretch, np.array([low, *stretch.run[(stretch.run > low) & (stretch.run < high)], high]))
    area = area_of(np.vstack([at + OUT * out, (at - notch.off * out)[::-1]]))
    here, way = _along(stretch, np.array([middle]))
    return MeasuredNotch(spec=notch, area=area, inner=here[0] - notch.off * way[0], notation=notation)


def _along(stretch: EdgeStretch, runs: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Places (n, 2) and normals (n, 2) at lengths along a stretch, carried on straight."""
    inside = np.clip(runs, 0.0, stretch.run[-1])
    at = np.stack([np.interp(inside, stretch.run, stretch.points[:, c]) for c in (0, 1)], axis=-1)
    out = np.stack([np.interp(inside, stretch.run, stretch.out[:, c]) for c in (0, 1)], axis=-1)
    out = out / np.linalg.norm(out, axis=-1, keepdims=True)
    way = np.stack([-out[:, 1], out[:, 0]], axis=-1)
    return at + (runs - inside)[:, None] * way, out


def own_notches(face: Region, notches: Sequence[MeasuredNotch]) -> tuple[MeasuredNotch, ...]:
    """Those that take wood away from a face."""
    return tuple(
        notch for notch in notches if float(overlays.intersection(face.area, notch.area).area) > CRUMB
    )


def notched(wood: Region, piece: str, face: int, timbers: Sequence[Meeting]) -> Region:
    """What is left of a face's wood by the timbers that pass the piece.

    Raises:
        PatternsError: one cuts it in two.
    """
    for timber in timbers:
        parts = without(wood, piece, face, [timber]).parts(least=CRUMB)
        if len(parts) != 1:
            what = f"into {len(parts)} parts" if parts else "away"
            raise PatternsError(
                f"the notch for the {timber.cuts[0].against} cuts it {what}; look at its off and along, or at the "
                "moulding"
            )
        wood = parts[0]
    return wood


def timber_meetings(
    piece: str, notches: Sequence[Sequence[MeasuredNotch]], whole: Sequence[Region] | None = None
) -> tuple[Meeting, ...]:
    """The timbers that pass a piece, which cut it: the wood left over a notch is that to the inner edge.

    Args:
        piece: its name.
        notches: on each of its faces.
        whole: the wood, uncut, of what it is a part of, which may have less over the same notch.
    """
    names = dict.fromkeys(notch.spec.name for face in notches for notch in face)
    cuts = [
        Loss(piece=piece, against=name, areas=tuple(_space(name, face) for face in notches), left_to=(Free,))
        for name in names
    ]
    found = tuple(
        Meeting(
            kind=Joinery.NOTCH,
            lands=NotMade(cut.against),
            on=piece,
            keys=(f'notch "{cut.against}"',),
            edges=(Against(cut.against),),
            cuts=(cut,),
        )
        for cut in cuts
    )
    if whole is None:
        return found
    left = least_left([without(wood, piece, face, found) for face, wood in enumerate(whole)], cuts)
    return tuple(
        replace(each, cuts=(replace(cut, at_most=left.get(cut.against, np.inf)),))
        for each, cut in zip(found, cuts, strict=True)
    )


def _space(name: str, notches: Sequence[MeasuredNotch]) -> Area:
    """What a timber takes of one face."""
    areas = [notch.area for notch in notches if notch.spec.name == name]
    space: Area = overlays.union(*areas) if len(areas) > 1 else (areas or [Polygon()])[0]
    return space
