"""The stem's wood in the profile: its outline with its joint to the keel, its scarfs, and the true slabs of it.

All lines are (x, z) in the centreline plane, from the stem's head down and aft; inboard lies to the left of them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
import shapely
from shapely.geometry import Polygon

from patterns.design.stem_models import StemEnd
from patterns.errors import PatternsError
from patterns.flat import overlays
from patterns.flat.polylines import lengths, meet, parallel
from patterns.flat.shapes import area_of
from patterns.hull.planes import FloatArray
from patterns.joinery.knee_shapes import unit
from patterns.wood.ends import EndError, HullEnd
from patterns.wood.facts import Fact
from patterns.wood.labels import Against, Free, Label, Land, OnProfile, Trim
from patterns.wood.region import ON, Region, largest_of

__all__ = ["Foot", "Scarf", "abaft", "foot_of", "parts_at", "scarf_at", "strip", "with_head"]

CARRIED_ON = 5_000.0  # mm by which a line is carried on straight to find where it meets another
SHARP = np.radians(8.0)  # turned from one point of the line to the next: a knuckle
FAR = 50_000.0  # mm; outside of every boat
PROFILE, ON_KEEL = OnProfile(), Against("keel")
HEAD, FOOT = Trim("head"), Trim("foot")
PAST = 1.0  # mm by which a cut runs past the wood's edges


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Foot:
    """How the stem's foot meets the keel.

    Attributes:
        wood: the whole stem in the profile.
        after: the stem's real after face from the head (spare included) down.
        facts: for the bench.
    """

    wood: Region
    after: FloatArray
    facts: tuple[Fact, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Scarf:
    """A scarf across the stem.

    Attributes:
        line: (2, 2), from the forward face down to the after face.
        length: of the slope, mm.
        place: how far down the rabbet line its middle lies, and its ends, mm.
    """

    line: FloatArray
    length: float
    place: tuple[float, float, float]


def with_head(rabbet: FloatArray, spare: float) -> FloatArray:
    """The rabbet line carried on straight above the sheer."""
    if spare <= 0.0:
        return rabbet
    return np.vstack([rabbet[0] + spare * unit(rabbet[0] - rabbet[1]), rabbet])


def strip(face: FloatArray, forward: float, aft: float, *, on_face: Label = PROFILE) -> Region:
    """The wood between two parallels of the rabbet line.

    Args:
        on_face: what an edge on that line itself lies on.
    """
    return Region.around(
        (parallel(face, -forward), Free() if forward else on_face, FOOT),
        (parallel(face, aft)[::-1], Free() if aft else on_face, HEAD),
    )


def foot_of(spec: StemEnd, rabbet: FloatArray, top: FloatArray | None) -> Foot:
    """The stem's outline with its joint to the keel.

    Args:
        rabbet: the rabbet line from the sheer to the stem's foot.
        top: the keel's top from forward aft, (n, 2); a butt does not ask for it.
    Raises:
        PatternsError: the two do not meet as asked.
    """
    face = with_head(rabbet, spec.head)
    forward = spec.outside if spec.construction == "rabbeted" else 0.0
    after = parallel(face, spec.moulded)
    if top is None:
        return Foot(wood=strip(face, forward, spec.moulded), after=after)
    square = unit(rabbet[-1] - rabbet[-2]) @ np.array([[0.0, 1.0], [-1.0, 0.0]])
    on_top = meet(np.array([rabbet[-1], rabbet[-1] + spec.moulded * square]), top, near=rabbet[-1])
    if on_top is None:
        raise EndError(
            HullEnd.STEM,
            "square to its foot the keel's top does not lie within the {end}'s depth; set foot farther "
            "{end.inward}, or make the {end} deeper",
        )
    corner = _at(top, on_top[1])
    if spec.joint == "heel on the keel":
        return _heel(spec, face, forward, after, top, corner)
    return _scarfed(spec, face, forward, after, rabbet, corner)


def _heel(
    spec: StemEnd, face: FloatArray, forward: float, after: FloatArray, top: FloatArray, corner: FloatArray
) -> Foot:
    """The heel runs on along the keel's top until the after face, carried on straight, meets it."""
    on = np.vstack([after, after[-1] + CARRIED_ON * unit(after[-1] - after[-2])])
    place = meet(on, top, near=after[-1])
    if place is None:
        raise EndError(HullEnd.STEM, "its {end.inside}, carried on straight, does not meet the keel's top")
    meets = _at(on, place[0])
    along = top[(top[:, 0] > corner[0]) & (top[:, 0] < meets[0])]
    if meets[0] <= corner[0]:
        raise EndError(
            HullEnd.STEM,
            "its {end.inside} meets the keel's top before the foot; set foot farther {end.outward}",
        )
    real = np.vstack([on[: int(place[0]) + 1], meets])
    heel = np.vstack([corner, along, meets])
    wood = Region.around(
        (*_outside(face, forward), FOOT),
        (face[-1:], FOOT, FOOT),
        (heel, ON_KEEL, Free()),
        (real[::-1][1:], Free(), HEAD),
    )
    fact = Fact("heel-on-keel", {"length": float(lengths(heel)[-1])})
    return Foot(wood=wood, after=real, facts=(fact,))


def _outside(face: FloatArray, forward: float) -> tuple[FloatArray, Label]:
    """The forward edge, and what it lies on."""
    return (parallel(face, -forward), Free()) if forward else (face, PROFILE)


def _scarfed(
    spec: StemEnd,
    face: FloatArray,
    forward: float,
    after: FloatArray,
    rabbet: FloatArray,
    corner: FloatArray,
) -> Foot:
    """A slope from the keel's top at the foot forward and down to the rabbet line."""
    assert spec.scarf_ratio is not None
    depth = float(np.hypot(*(corner - rabbet[-1])))
    length = depth * float(np.hypot(1.0, spec.scarf_ratio))
    away = np.hypot(*(rabbet - corner).T)
    far = np.nonzero(away >= length)[0]
    if len(far) == 0:
        raise EndError(
            HullEnd.STEM,
            "its scarf to the keel would be {long:.0f} mm long, more than the {end}",
            long=length,
        )
    i = int(far[-1])
    headings = np.unwrap(np.arctan2(*np.diff(rabbet[i:], axis=0).T[::-1]))
    if len(headings) > 1 and np.abs(np.diff(headings)).max() > SHARP:
        raise EndError(
            HullEnd.STEM,
            "the rabbet line turns sharply within its scarf to the keel; set foot farther {end.inward}",
        )
    part = (away[i] - length) / (away[i] - away[i + 1])
    low = rabbet[i] + part * (rabbet[i + 1] - rabbet[i])
    kept = np.vstack([rabbet[: i + 1], low])
    outer = with_head(kept, spec.head)
    wood = Region.around(
        (*_outside(outer, forward), FOOT),
        (np.vstack([low, corner]), ON_KEEL, FOOT),
        (after[::-1], Free(), HEAD),
    )
    values = {"length": length, "depth": depth, "ratio": spec.scarf_ratio, "end": HullEnd.STEM}
    fact = Fact("scarf-to-keel", values)
    return Foot(wood=wood, after=after, facts=(fact,))


def _at(line: FloatArray, place: float) -> FloatArray:
    i = min(int(place), len(line) - 2)
    point: FloatArray = line[i] + (place - i) * (line[i + 1] - line[i])
    return point


def scarf_at(face: FloatArray, forward: float, aft: float, *, place: float, ratio: float, name: str) -> Scarf:
    """A scarf across the wood between two parallels of the rabbet line.

    It falls from the forward face to the after face; its middle lies at ``place``.  Its slope is the depth
    times the square root of 1 + ratio^2 long, so that on a straight piece it rises 1 in ``ratio``.

    Args:
        face: the rabbet line with its head.
        place: how far down that line, mm.
        name: what to call it when it does not fit.
    Raises:
        PatternsError: it runs past an end of the stem.
    """
    run = lengths(face)
    fore, after = parallel(face, -forward) if forward else face, parallel(face, aft)
    length = (forward + aft) * float(np.hypot(1.0, ratio))

    def ends(half: float) -> FloatArray:
        return np.array([
            [np.interp(place - half, run, fore[:, k]) for k in (0, 1)],
            [np.interp(place + half, run, after[:, k]) for k in (0, 1)],
        ])  # fmt: skip

    low, high = 0.0, min(place, float(run[-1]) - place)
    line = ends(high)
    if np.hypot(*(line[1] - line[0])) < length:
        raise EndError(
            HullEnd.STEM,
            "{name} would be {long:.0f} mm long and runs past the {end}'s end",
            name=name,
            long=length,
        )
    for _ in range(60):
        middle = 0.5 * (low + high)
        line = ends(middle)
        low, high = (middle, high) if np.hypot(*(line[1] - line[0])) < length else (low, middle)
    return Scarf(line=line, length=length, place=(place - low, place, place + low))


def parts_at(wood: Region, face: FloatArray, scarfs: Sequence[Scarf], names: Sequence[str]) -> list[Region]:
    """The pieces into which scarfs part the wood, from the head down; at a scarf each lies against the next.

    Args:
        names: of the pieces.
    Raises:
        PatternsError: two scarfs run into each other, or one does not part the wood in two.
    """
    for one, two in pairwise(scarfs):
        if one.place[2] >= two.place[0]:
            raise PatternsError("two of its scarfs run into each other; set them farther apart")
    along = shapely.LineString(face)
    found, rest = [], wood
    for scarf, upper, lower in zip(scarfs, names[:-1], names[1:], strict=True):
        out = PAST * unit(scarf.line[1] - scarf.line[0])
        cut = shapely.LineString([scarf.line[0] - out, scarf.line[1] + out])
        pieces = sorted(
            (part for part in _split(rest.area, cut) if part.area > 1.0),
            key=lambda part: along.project(part.centroid),
        )
        if len(pieces) != 2:
            raise EndError(
                HullEnd.STEM, "a scarf does not part the {end} in two; set it farther from its ends"
            )
        found.append(rest.changed(pieces[0], within=ON, otherwise=Against(lower)))
        rest = rest.changed(pieces[1], within=ON, otherwise=Against(upper))
    return [*found, rest]


def _split(area: Any, cut: shapely.LineString) -> list[Polygon]:
    edges = overlays.union(*[area.exterior, cut])
    pieces = shapely.get_parts(shapely.polygonize([edges]))
    return [piece for piece in pieces if area.contains(piece.representative_point())]


def abaft(wood: Region, line: FloatArray) -> Region:
    """The wood inside of a line that runs from aft forward and up, as the bearding line does."""
    up = line[-1] + CARRIED_ON * unit(line[-1] - line[-2])
    outside = np.vstack([line, up, [-FAR, up[1]], [-FAR, -FAR], [line[0, 0], -FAR]])
    return largest_of(wood.minus(Region.of(area_of(outside), Land())))
