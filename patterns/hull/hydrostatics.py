"""What the hull displaces, upright and level at a waterline: volume, centres, areas and coefficients.

The hull is the outside of planking between rabbet and transoms, and the wood between the rabbets. What lies
beyond the rabbet (outer stem, keel's underside, skeg, rudder) is an appendage and is not counted.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from patterns.errors import PatternsError
from patterns.hull.facets import areas, below, moments, volume_beside
from patterns.hull.hull import Hull
from patterns.hull.planes import FloatArray
from patterns.hull.skin import skin_of

__all__ = ["Hydrostatics", "float_hull"]

MM2, MM3 = 1e-6, 1e-9  # m2 in a mm2, m3 in a mm3
SEARCHED = 25  # sections at which the greatest is looked for, then as many about it


@dataclass(frozen=True, slots=True, kw_only=True)
class Hydrostatics:
    """The figures at one level waterline; both sides of the boat are counted.

    Attributes:
        waterline: its height above base, mm.
        density: of the water, kg/m3.
        volume: displaced, m3.
        centre_aft, centre_up: the centre of buoyancy, mm aft of the table's origin and mm above base.
        waterplane: its area, m2.
        waterplane_aft: the centre of that area, mm aft of the table's origin.
        fore, after: where the waterline begins and ends, mm aft of the table's origin.
        breadth: the waterline's greatest breadth, mm.
        draught: from the waterline down to the lowest place of the hull, mm.
        section: the area of the greatest section athwartships, m2.
        section_aft: where it lies, mm aft of the table's origin.
        wetted: the wetted surface of planking, keel and stem, m2; without the transoms.
        transoms: the wetted surface of the transoms, m2; 0 where they are clear of the water.
        gap: how far the volumes found from the sides and from the bottom differ, as a part of the volume; a hull
            whose surfaces close has nearly 0.
    """

    waterline: float
    density: float
    volume: float
    centre_aft: float
    centre_up: float
    waterplane: float
    waterplane_aft: float
    fore: float
    after: float
    breadth: float
    draught: float
    section: float
    section_aft: float
    wetted: float
    transoms: float
    gap: float

    @property
    def mass(self) -> float:
        """The displacement, kg: what the boat with everything in her weighs when she floats at this waterline."""
        return self.volume * self.density

    @property
    def length(self) -> float:
        """The waterline's length, mm."""
        return self.after - self.fore

    @property
    def centre_share(self) -> float:
        """The centre of buoyancy as a part of the waterline's length, from its fore end."""
        return (self.centre_aft - self.fore) / self.length

    @property
    def prismatic(self) -> float:
        """Volume / (greatest section x waterline's length)."""
        return self.volume / (self.section * self.length * 1e-3)

    @property
    def block(self) -> float:
        """Volume / (waterline's length x its breadth x draught of the hull)."""
        return self.volume / (self.length * self.breadth * self.draught * MM3)

    @property
    def immersion(self) -> float:
        """The mass that sinks her by 1 mm, kg/mm: density x waterplane."""
        return self.density * self.waterplane * 1e-3


def float_hull(hull: Hull, waterline: float, *, density: float, fine: float = 1.0) -> Hydrostatics:
    """The figures of a hull at a level waterline.

    Args:
        waterline: mm above base; between the hull's lowest place and the sheer's.
        density: of the water, kg/m3.
        fine: how many times as many facets each way.
    Raises:
        PatternsError: the waterline does not cut the hull, or the hull's surfaces are not whole.
    Source: volumes by the divergence theorem over flat facets; coefficients as every handbook of naval architecture
        has them (from memory).
    """
    sides, ends = skin_of(hull, fine=fine)
    whole = np.concatenate([sides, ends])
    if not np.isfinite(whole).all():
        raise PatternsError("the planking's surface has places that cannot be worked out")
    wet, edge = below(whole, whole[:, :, 2] - waterline)
    if not len(wet) or not len(edge):
        raise PatternsError(f"the waterline at height {waterline:.0f} mm does not cut the hull")
    volume = 2.0 * volume_beside(wet, 1)
    if volume <= 0.0:
        raise PatternsError(f"the hull has no volume below height {waterline:.0f} mm")
    centre = 2.0 * moments(wet) / volume
    plane, plane_aft = _level_area(edge)
    section, section_aft = _greatest(wet, float(edge[:, :, 0].min()), float(edge[:, :, 0].max()))
    from_below = 2.0 * volume_beside(wet, 2, waterline)
    wet_ends, wet_sides = (below(part, part[:, :, 2] - waterline)[0] for part in (ends, sides))
    return Hydrostatics(
        waterline=waterline,
        density=density,
        volume=volume * MM3,
        centre_aft=float(centre[0]),
        centre_up=float(centre[2]),
        waterplane=plane * MM2,
        waterplane_aft=plane_aft,
        fore=float(edge[:, :, 0].min()),
        after=float(edge[:, :, 0].max()),
        breadth=2.0 * float(edge[:, :, 1].max()),
        draught=waterline - float(wet[:, :, 2].min()),
        section=section * MM2,
        section_aft=section_aft,
        wetted=2.0 * _surface(wet_sides) * MM2,
        transoms=2.0 * _surface(wet_ends) * MM2,
        gap=abs(from_below - volume) / volume,
    )


def _surface(facets: FloatArray) -> float:
    return float(np.linalg.norm(areas(facets), axis=1).sum())


def _level_area(edge: FloatArray) -> tuple[float, float]:
    """The waterplane, mm2, and its centre, mm aft, from the edges (e, 2, 3) along which the water cuts the hull."""
    (xa, ya, _), (xb, yb, _) = edge[:, 0].T, edge[:, 1].T
    area = float(((ya + yb) * (xb - xa)).sum())
    moment = float(((xb - xa) * (xa * (2.0 * ya + yb) + xb * (ya + 2.0 * yb))).sum()) / 3.0
    return area, moment / area


def _section(wet: FloatArray, first: FloatArray, last: FloatArray, x: float) -> float:
    """The area of the section at a distance aft, both sides, mm2; each facet runs from ``first`` to ``last``."""
    cut = (first <= x) & (last > x)
    edge = below(wet[cut], wet[cut][:, :, 0] - x)[1]
    return -float(((edge[:, 0, 1] + edge[:, 1, 1]) * (edge[:, 1, 2] - edge[:, 0, 2])).sum())


def _greatest(wet: FloatArray, fore: float, after: float) -> tuple[float, float]:
    """The greatest section, mm2, and where it lies, mm aft."""
    step = 1e-6 * (after - fore)  # at a flat end itself the section is cut along facets
    low, high = fore + step, after - step
    best = (0.0, low)
    first, last = wet[:, :, 0].min(axis=1), wet[:, :, 0].max(axis=1)
    for _ in range(2):
        places = np.linspace(low, high, SEARCHED)
        found = [_section(wet, first, last, float(x)) for x in places]
        top = int(np.argmax(found))
        best = max(best, (found[top], float(places[top])))
        low, high = places[max(top - 1, 0)], places[min(top + 1, SEARCHED - 1)]
    return best
