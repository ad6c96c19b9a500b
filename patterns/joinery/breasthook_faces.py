"""Where the breasthook lies: its plane under the deck, and its faces between the stem and its toes."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from patterns.boat import Boat
from patterns.design.deck_models import BreasthookSpec
from patterns.errors import PatternsError
from patterns.flat.polylines import conic
from patterns.hull.cuts import Trace
from patterns.hull.deck_heights import deck_over
from patterns.hull.planes import FloatArray, Plane, plane_through, station_plane
from patterns.hull.sections import sheer_corner
from patterns.joinery.clamp_faces import clamp_of, clamp_trace
from patterns.joinery.stem_lands import after_face
from patterns.wood.ends import EndError, HullEnd
from patterns.wood.labels import Against, Centre, Free, Label, Landing, Nose, Planking, Trim
from patterns.wood.region import Region

__all__ = ["Hook", "HookFace", "breasthook_plane", "hook_face", "hook_inner", "hook_of"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Hook:
    """The breasthook where it lies.

    Attributes:
        planes: of its top, between each two laminations, and of its under face; v runs aft from the stem.
        siding: the direction from its top into the wood, (3,).
        low, high: the least and the most by which the deck's underside was over the plane that it lies about, mm.
    """

    spec: BreasthookSpec
    planes: tuple[Plane, ...]
    siding: FloatArray
    low: float
    high: float


@lru_cache(maxsize=16)
def hook_of(boat: Boat, spec: BreasthookSpec) -> Hook:
    """The breasthook of a boat.

    Raises:
        PatternsError: the sides do not reach its plane, or its throat and toes leave no wood.
    """
    clamp = clamp_of(boat)
    off = clamp.deep if clamp is not None else 0.0
    through, _ = breasthook_plane(boat, spec.length, off)
    siding = through.normal if through.normal[2] < 0.0 else -through.normal
    # Flat, it is lowered until no wood stands in the deck; crowned, raised until all that is planed away is there.
    top = through
    for _ in range(2):
        low, high = _deck_range(boat, top, spec, siding)
        top = top.moved(float(siding @ top.normal) * -(high if spec.top == "crowned" else low))
    nose, _ = _nose(boat, top)
    top = Plane(origin=top.origin + nose * top.v, u=top.u, v=top.v)  # its length counts from the stem there
    each = spec.sided / spec.laminations
    planes = [top.moved(float(siding @ top.normal) * k * each) for k in range(spec.laminations + 1)]
    return Hook(spec=spec, planes=tuple(planes), siding=siding, low=low, high=high)


def breasthook_plane(boat: Boat, length: float, off: float) -> tuple[Plane, FloatArray]:
    """The plane through the deck's underside at the stem and at the toes, square to the centreline plane.

    Args:
        length: from the stem's after face to the toes, along the plane, mm.
        off: from the inside of planking to the faces that it fits (the clamps' thickness), mm.
    Returns:
        The plane, its origin on the stem's after face and v running aft; and the toe's place (3,).
    """
    after = after_face(boat.hull, boat.design.bow.foot, boat.design.bow.moulded)
    height = float(boat.hull.profile.at(np.array(boat.hull.profile.start))[2])
    for _ in range(12):  # the deck's underside and the stem's after face, each by the other, to a hair
        x = float(np.interp(height, after[::-1, 1], after[::-1, 0]))
        deck = boat.hull.deck_underside(station_plane(x))
        if deck is None:
            raise EndError(HullEnd.STEM, "the deck does not reach the {end}'s {end.inside}")
        height = float(deck.uv[0, 1])
    fore = np.array([x, 0.0, height])
    reach = length
    for _ in range(4):  # the plane's slope changes its reach along x by very little
        toe = sheer_corner(boat.hull, station_plane(x + reach), deeper=off)
        reach *= length / float(np.hypot(toe[0] - fore[0], toe[2] - fore[2]))
    return plane_through(fore, toe), toe


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HookFace:
    """One face of the breasthook, its starboard half.

    Attributes:
        edge: the faying edge from the stem to the toe.
        nose: where the stem's after face crosses the centreline, v, mm.
        into: the nose's unit normal, into the stem, (3,).
        start: the outline from the centreline along the stem to the faying edge, (n, 2).
        lies_on: what the faying edge lies on.
        beside: what the edge from the nose's end to the faying edge lies on.
    """

    edge: Trace
    nose: float
    into: FloatArray
    start: FloatArray
    lies_on: Label
    beside: Label

    def region(self, inner: FloatArray) -> Region:
        """Its wood, ended by an inner edge from the toe to the throat.

        Raises:
            PatternsError: the inner edge crosses the others.
        """
        nose: Label = Nose(HullEnd.STEM)
        starts = [nose] if len(self.start) == 1 else [nose, self.beside]
        edge = [*starts, *[self.lies_on] * (len(self.edge) - 1), Trim("after"), *[Free()] * (len(inner) - 1)]
        outline = np.vstack([self.start, self.edge.uv, inner])
        apart = np.hypot(*(np.roll(outline, -1, axis=0) - outline).T) > 0.0
        labels = [label for label, kept in zip([*edge, Centre()], apart, strict=True) if kept]
        try:
            return Region.within(outline[apart], labels)
        except ValueError as error:
            raise PatternsError(
                "its inner edge crosses its sides; make its throat or its toe less"
            ) from error

    def sources(self) -> dict[Label, Trace]:
        """What its bevelled edges are cut of: the faying edge, and the nose, straight across."""
        across = np.array([[0.0, self.nose], [float(np.vstack([self.start, self.edge.uv])[1, 0]), self.nose]])
        nose = Trace(uv=across, normal=np.array([self.into, self.into]), r=np.array([0.0, 1.0]))
        return {self.lies_on: self.edge, Nose(HullEnd.STEM): nose}


def hook_face(boat: Boat, spec: BreasthookSpec, plane: Plane) -> HookFace:
    nose, into = _nose(boat, plane)
    trace = _beside(boat, plane)
    order = np.argsort(trace.uv[:, 1])
    run = Trace(uv=trace.uv[order], normal=trace.normal[order], r=trace.r[order])
    v, index = run.uv[:, 1], np.arange(len(run))
    if v[0] > nose or v[-1] < spec.length:
        words = "the side beside it does not reach from the {end} to the toes; make it shorter"
        raise EndError(HullEnd.STEM, words)
    first = float(np.interp(nose, v, index))
    start = np.array([[0.0, nose]])
    half = 0.5 * boat.design.bow.sided
    if run.place(first)[0][0] < half:
        # The clamps end on the planes of the stem's sides: abaft the stem it fills the room between their ends.
        first = float(np.interp(half, run.uv[:, 0], index))
        start = np.array([[0.0, nose], [half, nose]])
    if spec.stem == "notched":
        ahead = run.between(0.0, first)
        if len(start) > 1 or ahead.uv[:, 0].min() >= half:
            raise EndError(
                HullEnd.STEM,
                f"the {{end}}, sided {2.0 * half:g} mm, fills the room between the sides at its {{end.inside}}: "
                'there is nothing to notch it round; write stem = "butted"',
            )
        first = float(np.interp(half, run.uv[: int(first) + 2, 0], index[: int(first) + 2]))
        start = np.array([[0.0, nose], [half, nose]])
    return HookFace(
        edge=run.between(first, float(np.interp(spec.length, v, index))),
        nose=nose,
        into=into,
        start=start,
        lies_on=_lies_on(boat),
        beside=Landing(HullEnd.STEM) if spec.stem == "notched" else Against("clamp"),
    )


def _lies_on(boat: Boat) -> Label:
    """What its arms lie against."""
    return Landing("clamp") if clamp_of(boat) is not None else Planking(boat.hull.strakes[-1].name)


def _beside(boat: Boat, plane: Plane) -> Trace:
    """What its arms lie against: the clamp's inner face, or the inside of planking where there is no clamp."""
    if clamp_of(boat) is not None:
        return clamp_trace(boat, plane)
    side = boat.hull.strakes[-1]
    trace = side.along(plane, inset=side.inset, r_range=(-0.5, 1.5))
    if trace is None:
        raise PatternsError("the breasthook's plane does not meet the planking")
    return trace


def _deck_range(boat: Boat, plane: Plane, spec: BreasthookSpec, siding: FloatArray) -> tuple[float, float]:
    """How far the deck's underside stands over the plane, square to it, over its wood: the least and the most, mm.

    Less than 0 where the deck dips below the plane.
    """
    face = hook_face(boat, spec, plane)
    under = hook_face(boat, spec, plane.moved(float(siding @ plane.normal) * spec.sided))
    narrow = min((face, under), key=lambda one: float(one.edge.uv[-1, 0]))
    inner = hook_inner(narrow.edge.uv, spec.throat, spec.toe)
    ring = np.vstack([face.start, face.edge.uv, inner])
    middle = np.stack([np.zeros(9), np.linspace(face.nose, spec.throat, 9)], axis=-1)
    over = deck_over(boat.hull, plane, np.vstack([ring, middle])) * abs(float(siding[2]))
    return float(over.min()), float(over.max())


def _nose(boat: Boat, plane: Plane) -> tuple[float, FloatArray]:
    """Where the stem's after face crosses the plane (v, mm), and the nose's unit normal (3,), into the stem."""
    after = after_face(boat.hull, boat.design.bow.foot, boat.design.bow.moulded)
    points = np.stack([after[:, 0], np.zeros(len(after)), after[:, 1]], axis=-1)
    over = plane.height_over(points)
    crossing = np.nonzero((over[:-1] <= 0.0) != (over[1:] <= 0.0))[0]
    if len(crossing) == 0:
        words = "its plane does not meet the {end}'s {end.inside}; is the {end} moulded too deep?"
        raise EndError(HullEnd.STEM, words)
    i = int(crossing[0])
    part = over[i] / (over[i] - over[i + 1])
    run = points[i + 1] - points[i]
    into = np.array([run[2], 0.0, -run[0]])
    into = into if into[0] < 0.0 else -into
    return float(plane.flat(points[i] + part * run)[1]), into / np.linalg.norm(into)


def hook_inner(edge: FloatArray, throat: float, toe: float) -> FloatArray:
    """The inner edge from the toe's inner corner to the throat on the centreline; no arm is narrower than its toe.

    It leaves the toe parallel to the faying edge and crosses the centreline squarely.
    """
    end = edge[-1] - np.array([toe, 0.0])
    if end[0] <= 0.0:
        raise PatternsError(
            f"its toes are {toe:g} mm wide and take up its whole breadth, {edge[-1, 0]:.0f} mm to each side; "
            "make the toe narrower or the piece longer"
        )
    along = edge[-1] - edge[0]
    reach = float(end[0] - (end[1] - throat) * along[0] / along[1])
    least = float(end[1] - end[0] * along[1] / along[0])
    if throat >= edge[-1, 1] or reach <= 0.0:
        raise PatternsError(
            f"its throat is {throat:g} mm, but its arms leave room only from {max(least, 0.0):.0f} to "
            f"{edge[-1, 1]:.0f} mm; give it one between"
        )
    return conic(end, np.array([reach, throat]), np.array([0.0, throat]))
