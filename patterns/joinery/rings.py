"""Rings of wood inside the planking: a frame, or the framing of a transom, on both of its faces."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import shapely
from shapely.geometry import Polygon

from patterns.errors import SizeError
from patterns.flat import overlays
from patterns.flat.shapes import (
    ON_CENTRE,
    area_of,
    band,
    both_halves,
    largest,
    parts_of,
)
from patterns.hull.planes import FloatArray
from patterns.hull.sections import Section
from patterns.joinery.passages import Passages
from patterns.wood.labels import Free, Rounded
from patterns.wood.region import Region, labelled
from patterns.wood.section import section_region, to_the_centreline

__all__ = [
    "CRUMB",
    "TOP",
    "Ring",
    "build_ring",
    "ring_wood",
    "straight_band",
]

FAR_UP = 5000.0  # mm; above every deck
CRUMB = 25.0  # mm2; a smaller piece is a chip of the saw, no part of the ring
CHIP = 2e-4  # of the wood; so much is a chip of a larger boat
PAST_CENTRE = 400.0  # mm by which the inside of a canted frame's ring is carried on past the centreline
TOP = "top"  # the name of a piece across under the deck


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ring:
    """The starboard half of a ring of wood.

    Attributes:
        sections: the moulded face's cut and the other face's.
        passing: the timbers that pass through it.
        void: what lies inside of the ring, the same on both faces (its edge is square), run past the deck.
        wood: the wood on each face.
        saw: the outer of the two faces, point by point: what must be sawn to.
        bands: the strips that the mouldings take up, by strake and `TOP`; empty where it is no ring of mouldings.
        sharp: the void before its corners were rounded.
    """

    sections: tuple[Section, Section]
    passing: Passages
    void: Polygon
    wood: tuple[Region, Region]
    saw: Polygon
    bands: Mapping[str, Any] = field(default_factory=dict)
    sharp: Polygon = field(default_factory=Polygon)

    @property
    def faces(self) -> tuple[Any, Any]:
        """The areas of wood on the two faces."""
        return self.wood[0].area, self.wood[1].area

    @property
    def inside(self) -> Region:
        """The void with its edges labelled."""
        return labelled(self.void, [Region.of(self.sharp, Free())], otherwise=Rounded())

    def depth_left(self) -> dict[str, float]:
        """Least depth of wood between each notch and the ring's inner edge, on either face, mm."""
        depths: dict[str, float] = {}
        for section, notches in zip(self.sections, self.passing.notches, strict=True):
            area = section_area(section)
            void = overlays.intersection(self.void, area)
            for notch in notches:
                cut = overlays.intersection(area_of(notch.corners), area)
                if cut.area <= CRUMB:  # it touches this face at most, and takes nothing from it
                    continue
                depth = float(shapely.distance(cut, void))
                depths[notch.timber] = min(depth, depths.get(notch.timber, np.inf))
        return depths


def section_area(section: Section) -> Polygon:
    """Half of the section as an area.

    Raises:
        PatternsError: it crosses itself, as where a line stands on the wrong side of another.
    """
    area: Polygon = section_region(section).area
    return area


def _open_area(section: Section, *, above: float) -> Polygon:
    """Half of the inside of planking, its side carried on up past the deck by ``above`` mm."""
    last = list(section.traces)[-1]
    tail = section.long_traces[last].uv
    past = tail[tail[:, 1] > section.traces[last].uv[-1, 1]]
    top = float(max(section.deck.uv[:, 1].max(), past[:, 1].max() if len(past) else -np.inf)) + above
    edge = np.vstack([section.edge, past]) if len(past) else section.edge
    centre = section.plane.centre
    if section.plane.cant:
        # The two faces of a canted frame meet the centreline at two places; the inner edge runs on past both.
        ahead = (edge[0] - edge[1]) / np.hypot(*(edge[0] - edge[1]))
        edge = np.vstack([edge[0] + PAST_CENTRE * ahead, edge])
        centre = float(edge[0, 0])
    return area_of(np.vstack([edge, [[edge[-1, 0], top], [centre, top]]]))


def straight_band(edges: Sequence[FloatArray], breadth: float) -> Any:
    """One strip with a straight inner edge, at least ``breadth`` mm inside of every one of the edges.

    It runs along the mean of their chords.
    """
    chords = [(edge[-1] - edge[0]) / np.hypot(*(edge[-1] - edge[0])) for edge in edges]
    along = np.mean(chords, axis=0)
    along = along / np.hypot(*along)
    left = np.array([-along[1], along[0]])
    points = np.vstack(edges)
    base = points[0]
    inward, run = (points - base) @ left, (points - base) @ along
    line = base + np.array([[run.min()], [run.max()]]) * along
    return band(line, breadth + float(inward.max()), outward=200.0 - float(inward.min()))


def _bands(
    sections: tuple[Section, Section], moulded: Mapping[str, float], *, top: float | None, straight: bool
) -> dict[str, Any]:
    """The strip that each member's moulding takes up, both faces' together: by strake, and under the deck."""
    bands = {}
    for name, breadth in moulded.items():
        here = [section for section in sections if name in section.long_traces]
        if not here:
            continue
        if straight:
            bands[name] = straight_band([section.traces[name].uv for section in here], breadth)
        else:
            bands[name] = overlays.union(*[
                band(section.long_traces[name].uv, breadth) for section in here
            ])  # fmt: skip
    if top is not None:
        # The deck runs outboard, so the wood under it lies to the right.
        decks = [section.deck.uv[::-1] for section in sections]
        bands[TOP] = (
            straight_band(decks, top)
            if straight
            else overlays.union(*[band(deck, top, outward=400.0) for deck in decks])
        )
    return bands


def _void(section: Section, bands: Mapping[str, Any], *, post: float | None, above: float) -> Any:
    area: Any = _open_area(section, above=above)
    for strip in bands.values():
        area = overlays.difference(area, strip)
    if post is not None:
        low, high = float(section.edge[:, 1].min()) - 100.0, float(section.deck.uv[:, 1].max()) + 500.0
        area = overlays.difference(area, shapely.box(-1.0, low, 0.5 * post, high))
    return area


def _within_line(inner: FloatArray, *, above: float) -> Polygon:
    """What lies inside of a given inner edge: level to the centreline, plumb from its last point on."""
    top = float(inner[-1, 1]) + above + FAR_UP
    first, last = inner[0], inner[-1]
    return area_of(np.vstack([[0.0, first[1]], inner, [last[0], top], [0.0, top]]))


def _rounded(void: Polygon, radius: float) -> Polygon:
    """A void with its corners rounded, the one on the centreline too."""
    if radius <= 0.0:
        return void
    whole = both_halves(void) if void.bounds[0] > -ON_CENTRE else void
    eased = largest(whole.buffer(-radius, quad_segs=32).buffer(radius, quad_segs=32))
    return largest(overlays.intersection(eased, void))


def build_ring(
    sections: tuple[Section, Section],
    passing: Passages,
    moulded: Mapping[str, float],
    *,
    top: float | None = None,
    post: float | None = None,
    straight: bool = False,
    radius: float = 0.0,
    inner: FloatArray | None = None,
) -> Ring:
    """A ring whose moulding is the least depth on both faces.

    Args:
        sections: the moulded face and the other face.
        passing: the timbers that pass through those faces.
        moulded: by strake, the least depth inward from the inside of planking, mm.
        top: depth of a piece under the deck, mm; None leaves the ring open at the top.
        post: breadth of a centre post, mm; None makes none.
        straight: the inner edges run straight, not parallel to the planking.
        radius: to which the inner corners are rounded, mm.
        inner: the inner edge by points, shape (n, 2), from the centreline out and up, instead of the mouldings.
    Raises:
        SizeError: the mouldings leave no inside, or a notch cuts the ring in two.
    """
    bands = _bands(sections, moulded, top=top, straight=straight)
    above = 100.0 + 2.0 * radius
    if inner is None:
        void = overlays.intersection(*(_void(section, bands, post=post, above=above) for section in sections))
    else:
        opens = [_open_area(section, above=above) for section in sections]
        void = overlays.intersection(*[_within_line(inner, above=above), *opens])
    if not parts_of(void, least=CRUMB):
        raise SizeError("its mouldings leave no opening", larger=False)
    sharp = largest(void)
    void = _rounded(sharp, radius)
    inside = labelled(void, [Region.of(sharp, Free())], otherwise=Rounded())
    faces = []
    for number, section in enumerate(sections):
        wood = ring_wood(section, inside, passing, number)
        parts = wood.parts(least=max(CRUMB, CHIP * float(wood.area.area)))
        # A canted frame's halves are pieces of their own: they may heel against the side of keel or stem.
        stands = section.plane.cant or (parts and parts[0].area.bounds[0] <= 1e-3)
        if len(parts) != 1 or not stands:
            ring = overlays.difference(section_area(section), void)
            raise SizeError(_cut_through(ring, void, passing, number), larger=True)
        faces.append(parts[0] if section.plane.cant else to_the_centreline(parts[0]))
    return Ring(
        sections=sections,
        passing=passing,
        void=void,
        wood=(faces[0], faces[1]),
        saw=largest(overlays.union(*[face.area for face in faces])),
        bands=bands,
        sharp=sharp,
    )


def ring_wood(section: Section, inside: Region, passing: Passages, face: int = 0) -> Region:
    """Half of a section's ring with the timbers' spaces on one face taken out."""
    return passing.cut(section_region(section).minus(inside), face)


def _cut_through(ring: Any, void: Polygon, passing: Passages, face: int) -> str:
    """Which notches leave no wood of a ring."""
    through = [
        notch.timber
        for notch in passing.notches[face]
        if shapely.distance(overlays.intersection(area_of(notch.corners), ring), void) < 1e-6
    ]
    names = " and ".join(through) or "timbers"
    return f"the notch for the {names} cuts it in two"
