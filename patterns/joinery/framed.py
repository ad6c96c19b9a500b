"""A frame as wood before it becomes pieces: its ring, its limber holes, its parts and its gussets."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from patterns.boat import Boat
from patterns.design.file import FrameSpec
from patterns.flat import overlays
from patterns.flat.shapes import largest
from patterns.hull.planes import FloatArray, Plane
from patterns.hull.sections import Section, cut_hull
from patterns.joinery.built import Built, built_of
from patterns.joinery.gussets import Gusset, gussets_of
from patterns.joinery.limbers import Limber, limbers_beside, without_limbers
from patterns.joinery.passages import passages
from patterns.joinery.rings import Ring, build_ring

__all__ = ["Framed", "frame_sections", "framed"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Framed:
    """One frame.

    Attributes:
        ring: the frame put together, its limber holes cut.
        sense: 1 where the wood runs aft from the moulded face, -1 where forward.
        built: its parts; None where it is one ring.
        gussets: on its joints.
    """

    ring: Ring
    sense: float
    limbers: tuple[Limber, ...]
    built: Built | None
    gussets: tuple[Gusset, ...]


@lru_cache(maxsize=64)
def frame_sections(boat: Boat, spec: FrameSpec) -> tuple[Section, Section]:
    """The hull cut by a frame's two faces, the moulded one first."""
    moulded, other, _ = boat.frame_faces(spec)
    return cut_hull(boat.hull, moulded), cut_hull(boat.hull, other)


@lru_cache(maxsize=64)
def framed(boat: Boat, spec: FrameSpec) -> Framed:
    """The wood of a frame.

    Raises:
        PatternsError: no wood is left between its mouldings and notches, or a joint or gusset cannot be made.
    """
    sections, sense = frame_sections(boat, spec), boat.frame_faces(spec)[2]
    passing = passages(boat, f"frame {spec.name}", sections)
    depth = dict.fromkeys((strake.name for strake in boat.hull.strakes), spec.moulded_side)
    if len(boat.hull.strakes) > 1:
        depth[boat.hull.strakes[0].name] = spec.moulded_bottom
    ring = build_ring(
        sections,
        passing,
        depth,
        top=spec.top_piece,
        straight=spec.inner_edge == "straight",
        radius=spec.inner_radius,
        inner=_inner_line(spec, sections[0].plane),
    )
    limbers: tuple[Limber, ...] = ()
    if spec.limber_holes is not None:
        limbers = limbers_beside(sections, passing.notches, spec.limber_at, spec.limber_holes)
        wood = without_limbers(ring.wood[0], limbers), without_limbers(ring.wood[1], limbers)
        ring = replace(ring, wood=wood, saw=largest(overlays.union(wood[0].area, wood[1].area)))
    if spec.pieces == "one ring":
        return Framed(ring=ring, sense=sense, limbers=limbers, built=None, gussets=())
    built = built_of(boat, spec, ring, sense=sense, limbers=limbers)
    return Framed(ring=ring, sense=sense, limbers=limbers, built=built, gussets=gussets_of(boat, built))


def _inner_line(spec: FrameSpec, plane: Plane) -> FloatArray | None:
    """The inner edge that the design gives by points, in the frame's plane, (n, 2); None where it gives none."""
    if not spec.inner_line:
        return None
    return np.array([[y, plane.up_at_height(z)] for y, z in spec.inner_line])
