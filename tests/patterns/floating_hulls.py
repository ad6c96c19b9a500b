"""Hulls to float whose volumes are known: exact surfaces, bodies of planes, sections summed up one by one."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import shapely
from scipy.spatial import ConvexHull, HalfspaceIntersection

from patterns.hull.hull import Hull, Strake
from patterns.hull.planes import FloatArray, cross, station_plane
from patterns.hull.surfaces import DeckSurface, unit
from tests.patterns import plane_boat
from tests.patterns.analytic_boats import AnalyticBoat
from tests.patterns.exact_hulls import ExactLine

Shape = Callable[[FloatArray, FloatArray], tuple[FloatArray, FloatArray]]
"""Half-breadth and height over distance aft and a share from keel to sheer."""


@dataclass(frozen=True)
class Exact:
    """A surface given as a function; derivatives by a complex step (exact to rounding)."""

    of: Shape
    start: float
    end: float

    def shape(self, p: FloatArray, r: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        p, r = np.broadcast_arrays(np.asarray(p, dtype=float), np.asarray(r, dtype=float))
        step, none, one = 1e-30, np.zeros_like(p), np.ones_like(p)
        yz = np.stack([v + 0.0 * p for v in self.of(p, r)], axis=-1)
        by_p = np.imag(np.stack([v + 0j * p for v in self.of(p + 1j * step, r)], axis=-1)) / step
        by_r = np.imag(np.stack([v + 0j * p for v in self.of(p, r + 1j * step)], axis=-1)) / step
        return (
            np.concatenate([p[..., None], yz], axis=-1),
            np.concatenate([one[..., None], by_p], axis=-1),
            np.concatenate([none[..., None], by_r], axis=-1),
        )

    def lower(self, p: FloatArray) -> tuple[FloatArray, FloatArray]:
        return self.shape(p, np.zeros_like(p))[:2]

    def upper(self, p: FloatArray) -> tuple[FloatArray, FloatArray]:
        return self.shape(p, np.ones_like(p))[:2]

    def outward(self, by_p: FloatArray, by_r: FloatArray) -> FloatArray:
        return unit(cross(by_r, by_p))


def exact_hull(of: Shape, start: float, end: float) -> Hull:
    """A hull of one exact surface that ends plumb on the centreline or is cut off square at both ends."""

    def line(share: float) -> ExactLine:
        r = np.array(share)
        return ExactLine(lambda x: x, lambda x: of(x, r)[0], lambda x: of(x, r)[1], start, end)

    surface = Exact(of, start, end)
    return Hull(
        profile=line(0.0),
        lines={"sheer": line(1.0)},
        keel="keel",
        strakes=(
            Strake(
                name="shell", lower="keel", upper="sheer", planking=6.0, inset=6.0, patches=(surface,),
                stems=(True, True),
            ),
        ),
        deck=DeckSurface(sheer=line(1.0), start=start, end=end),
        deck_inset=0.0,
        transom=station_plane(end),
        widest=0.5 * (start + end),
        stems=(True, True),
    )  # fmt: skip


def body_of_planes(waterline: float, *, out: tuple[float, float] = (0.0, 0.0)) -> tuple[float, FloatArray]:
    """The plane boat's volume below a waterline, mm3, and its centre, by a library's convex bodies.

    Args:
        out: how far bottom and side are moved outwards, mm.
    """

    def half_space(normal: FloatArray, at: FloatArray) -> FloatArray:
        return np.append(normal, -float(normal @ at))

    bottom, side = plane_boat.BOTTOM_NORMAL, plane_boat.SIDE_NORMAL
    keel = np.array([-0.010, 0.0, -1.0])
    stem = np.array([-0.22, 0.0, -0.16])
    low = np.array([0.0, 0.0, 40.0])
    rake = plane_boat.RAKE
    # What closes it between the rabbets: the edges of the moved planes, which move square to them.
    halves = np.array([
        half_space(bottom, np.array([0.0, 20.0, 40.0]) + out[0] * bottom),
        half_space(side, np.array([250.0, 20.0, 300.0]) + out[1] * side),
        half_space(keel, low + out[0] * bottom),
        half_space(stem, np.array([250.0, 0.0, 300.0]) + out[1] * side),
        half_space(np.array([0.0, -1.0, 0.0]), np.zeros(3)),
        half_space(np.array([0.0, 0.0, 1.0]), np.array([0.0, 0.0, waterline])),
        half_space(
            np.array([np.cos(rake), 0.0, -np.sin(rake)]), np.array([plane_boat.TRANSOM_X0, 0.0, 0.0])
        ),
    ])  # fmt: skip
    inner = np.array([3000.0, 100.0, waterline - 20.0])
    points = HalfspaceIntersection(halves, inner).intersections
    hull = ConvexHull(points)
    corners = hull.points[hull.simplices] - inner
    sizes = np.abs(np.linalg.det(corners)) / 6.0
    middle = inner + (corners.sum(axis=1) / 4.0 * sizes[:, None]).sum(axis=0) / sizes.sum()
    return 2.0 * float(hull.volume), middle


def summed_sections(
    section: Callable[[float], list[tuple[float, float]]], x: FloatArray, waterline: float
) -> tuple[FloatArray, float, float]:
    """Areas of sections below a waterline, the volume by the trapezoidal rule, and its centre aft.

    Args:
        section: the half section's corners (half-breadth, height) from the keel up to the sheer.
    """
    water = shapely.box(-1.0, -2000.0, 4000.0, waterline)
    areas = np.zeros_like(x)
    for i, place in enumerate(x):
        corners = section(float(place))
        if len(corners) > 1:
            ring = [(0.0, corners[0][1]), *corners, (0.0, corners[-1][1])]
            areas[i] = 2.0 * shapely.Polygon(ring).intersection(water).area
    volume = float(np.trapezoid(areas, x))
    return areas, volume, float(np.trapezoid(areas * x, x)) / volume


def analytic_section(
    boat: AnalyticBoat, *, cut: bool = False
) -> Callable[[float], list[tuple[float, float]]]:
    """The corners of an analytic boat's straight sections.

    Args:
        cut: abaft the foot of her transom by the transom; else they are carried on past it.
    """
    tan = np.tan(boat.rake)
    root = boat.aft_x["keel"] - tan * boat.keel_z(boat.aft_x["keel"])

    def corners(x: float) -> list[tuple[float, float]]:
        if x <= boat.fore_x["sheer"]:
            return []
        found = [(boat.half, boat.keel_z(x))]
        for name in ("chine", "sheer"):
            if x > boat.fore_x[name]:
                y, z = (float(getattr(boat, f"{name}_{k}")(np.array(x))) for k in "yz")
                found.append((y, z))
        least = (x - root) / tan if tan > 1e-9 else (-np.inf if x <= root else np.inf)
        if not cut or found[0][1] >= least:
            return found
        return _above(found, least) if least < found[-1][1] else []

    return corners


def _above(corners: list[tuple[float, float]], least: float) -> list[tuple[float, float]]:
    """The part of a rising half section above a height."""
    y, z = np.array(corners).T
    first = (float(np.interp(least, z, y)), least)
    return [first, *(corner for corner in corners if corner[1] > least)]
