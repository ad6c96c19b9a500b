"""Limber holes: half rounds in the planking's edge beside a timber, so that water runs past a frame or a floor."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from shapely.geometry import MultiPoint, Point, Polygon

from patterns.errors import PatternsError
from patterns.flat import overlays
from patterns.flat.polylines import crossings
from patterns.flat.shapes import HAIR_WIDE, area_of, clearance, largest, parts_of, without_hairs
from patterns.hull.planes import FloatArray
from patterns.hull.sections import Section
from patterns.joinery.rings import CRUMB, section_area
from patterns.timbers.notches import Notch
from patterns.wood.facts import Fact
from patterns.wood.features import Note
from patterns.wood.labels import Free, Opening
from patterns.wood.region import Region

__all__ = ["Limber", "limbers_beside", "without_limbers"]

EASE = 0.01  # mm by which a hole reaches into the timber's space, so that no hair of wood is left between
MOVED = 4.0 * HAIR_WIDE  # mm by which an edge may move where hairs are taken off
FAR = 1e4  # mm; beyond every piece
OUT = 60.0  # mm by which a limber hole is run out through the planking


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Limber:
    """One limber hole, cut square through.

    Attributes:
        timber: beside which it lies.
        cutter: the area that is cut away, the same on both faces.
        depths: how deep it is cut from the planking's edge on the moulded and on the other face, mm.
        at: the middle of its bottom, (2,).
        inward: unit direction into the wood, (2,).
    """

    timber: str
    cutter: Any
    depths: tuple[float, float]
    at: FloatArray
    inward: FloatArray

    def note(self) -> Note:
        """What is written at it."""
        return Note(
            fact=Fact("limber-hole", {"depths": self.depths}),
            at=(float(self.at[0]), float(self.at[1])),
            towards=(float(self.inward[0]), float(self.inward[1])),
            length=4.0,
        )


def _beside(
    section: Section, notches: Sequence[Notch], timber: str
) -> tuple[FloatArray, FloatArray, FloatArray] | None:
    """The lowest place where a timber's space leaves the planking's edge.

    With it the way along the edge from it, and the way up the timber's side there, unit vectors (2,).
    """
    notch = next((notch for notch in notches if notch.timber == timber), None)
    if notch is None:
        return None
    area = area_of(notch.corners)
    edge = section.edge
    found = []
    ring = np.asarray(area.exterior.coords)
    for place, on_ring in crossings(edge, ring):
        if place < 1e-6:
            continue  # the half of a timber on the centreline has no side there
        i = min(int(place), len(edge) - 2)
        along = (edge[i + 1] - edge[i]) / np.hypot(*(edge[i + 1] - edge[i]))
        at = edge[i] + (place - i) * (edge[i + 1] - edge[i])
        away = -along if area.covers(Point(at + 0.5 * along)) else along
        k = min(int(on_ring), len(ring) - 2)
        up = (ring[k + 1] - ring[k]) / np.hypot(*(ring[k + 1] - ring[k]))
        found.append((at, away, up))
    return min(found, key=lambda place: float(place[0][1]), default=None)


def limbers_beside(
    sections: tuple[Section, Section],
    notches: Sequence[Sequence[Notch]],
    timbers: Sequence[str],
    diameter: float,
) -> tuple[Limber, ...]:
    """A half round beside each of the timbers, its middle on the moulded face's planking edge.

    Raises:
        PatternsError: a timber does not cross both faces, or a hole is closed by the planking at one of them.
    """
    radius, made = 0.5 * diameter, []
    for timber in timbers:
        here = [_beside(section, cut, timber) for section, cut in zip(sections, notches, strict=True)]
        if here[0] is None or here[1] is None:
            raise PatternsError(f"a limber hole is to lie beside the {timber}, which does not cross it")
        (start, away, up), (start_behind, _, up_behind) = here[0], here[1]
        inward = np.array([-away[1], away[0]])
        if float((sections[0].apex + np.array([0.0, 1e3]) - start) @ inward) < 0.0:
            inward = -inward
        spaces = [area_of(next(n for n in cut if n.timber == timber).corners) for cut in notches]
        # Where the timber runs at an angle its side lies elsewhere on the other face; the hole lies beside both.
        square = np.array([-up_behind[1], up_behind[0]])
        behind = float((start_behind - start) @ square / (away @ square))
        middle = start + (max(behind, 0.0) + radius) * away
        outer, rim = middle + radius * away, middle + radius * inward
        side = start + (max(behind, 0.0) - EASE) * away
        # Up the timber's side on the nearer face and on the other, by 1 mm square to the planking.
        wall, farther = (
            way / float(way @ inward) for way in ((up, up_behind) if behind <= 0.0 else (up_behind, up))
        )
        below = side - OUT * inward
        cutter = overlays.union(*[
            # Each is convex, so that none can cross itself however far the timber's side leans.
            MultiPoint([side, side + radius * wall, rim, middle]).convex_hull,
            MultiPoint([side, outer, outer - OUT * inward, below]).convex_hull,
            MultiPoint([side, below, side - OUT * wall]).convex_hull,
            Point(middle).buffer(radius, quad_segs=32),
            _tongue(spaces, (side, side - abs(behind) * away), (wall, farther), inward, radius),
        ])  # fmt: skip
        cutter = Polygon(largest(cutter).exterior)  # nothing stays inside of what is cut away
        depths = [clearance(section_area(section), rim) for section in sections]
        if min(depths) <= 0.0:
            needed = diameter - 2.0 * min(depths)
            raise PatternsError(
                f"a limber hole of {diameter:g} mm beside the {timber} is closed by the planking at one of the two "
                f"faces, where the bevel lifts the edge past it; make it more than {needed:.0f} mm"
            )
        made.append(
            Limber(timber=timber, cutter=cutter, depths=(depths[0], depths[1]), at=rim, inward=inward)
        )
    return tuple(made)


def _tongue(
    spaces: Sequence[Polygon],
    sides: tuple[FloatArray, FloatArray],
    walls: tuple[FloatArray, FloatArray],
    inward: FloatArray,
    radius: float,
) -> Any:
    """The wood left between a hole and the timber on the face where that lies farther off.

    It reaches no higher than the timber does, and out through the planking.

    Args:
        sides: where the timber's side on the nearer face and on the other meet the planking's edge, (2,).
        walls: up those sides, (2,), by 1 mm square to the planking.
        inward: unit direction into the wood, (2,).
    """
    timber, both = overlays.union(*spaces), overlays.intersection(*spaces)

    def band(high: float) -> Polygon:
        ends = [
            side + reach * wall for side, wall in zip(sides, walls, strict=True) for reach in (-OUT, high)
        ]
        # It reaches into the hole, so that the two are one cut however the sides lean.
        return MultiPoint(ends).convex_hull.buffer(2.0 * EASE, join_style="mitre")

    covered = shapely.get_coordinates(overlays.intersection(timber, band(radius)))
    high = float(((covered - sides[0]) @ inward).max(initial=0.0))
    along = np.array([inward[1], -inward[0]])
    below = [sides[0] + u * along + v * inward for u in (-FAR, FAR) for v in (-FAR, radius)]
    lower = overlays.intersection(band(high), MultiPoint(below).convex_hull)  # no higher than the hole itself
    left = parts_of(overlays.difference(lower, both), least=0.0)
    return overlays.union(*[part for part in left if part.distance(Point(sides[0])) < 2.0 * EASE])


def without_limbers(wood: Region, limbers: Sequence[Limber]) -> Region:
    """An area of wood with the limber holes cut.

    Raises:
        PatternsError: they cut it in two.
    """
    if not limbers:
        return wood
    cut = Region.of(overlays.union(*[limber.cutter for limber in limbers]), Opening("limber hole"))
    left = wood.minus(cut)
    parts = left.changed(without_hairs(left.area), within=MOVED, otherwise=Free()).parts(least=CRUMB)
    if len(parts) != 1:
        raise PatternsError("a limber hole cuts it in two; make it smaller")
    return parts[0]
