"""How the transom is made up: panel, framing in one or in pieces, doubler, cut-outs, dowels.

All areas are the starboard half.  The framing's are drawn on the framing's own moulded face, which lies against the
panel; of a curved transom that face's breadths are less than the panel's by the ratio of the two radii.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import shapely
from shapely.geometry import Polygon

from patterns.boat import Boat
from patterns.design.models import TransomEnd
from patterns.design.transom_models import CutOutSpec, DoublerSpec
from patterns.errors import PatternsError
from patterns.flat import overlays
from patterns.flat.shapes import ON_CENTRE, area_of, largest
from patterns.hull.curved import own_face, stretch_of
from patterns.hull.planes import FloatArray
from patterns.hull.sections import Section, cut_hull
from patterns.joinery.passages import NONE, Passages, passages
from patterns.joinery.rings import CRUMB, Ring, build_ring, ring_wood
from patterns.joinery.transom_pieces import ARC, FAR, TransomPart, dowelled, jointed, lapped
from patterns.wood.ends import EndText, HullEnd
from patterns.wood.labels import Against, Free, Opening
from patterns.wood.region import Region, largest_of
from patterns.wood.section import section_region, to_the_centreline

__all__ = ["FORWARD", "FRAMING", "Layout", "layout_of"]

FRAMING = EndText(HullEnd.TRANSOM, after=" framing")
FORWARD = -1.0  # a transom's table points lie on its after face; the wood runs forward from there


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Layout:
    """The whole transom.

    Attributes:
        panel: the panel as a ring without an inside.
        framing: the framing as one ring, cut-outs and doubler taken out; None where the design has none.
        parts: the framing's pieces; one where it is one ring.
        doubler: its sections, the timbers that pass through it, and its wood; None where there is none.
        widen: the panel's breadths over the framing's: 1 where the transom is flat.
    """

    panel: Ring
    framing: Ring | None
    parts: tuple[TransomPart, ...]
    doubler: tuple[tuple[Section, Section], Passages, TransomPart] | None
    widen: float

    def on_panel(self, points: FloatArray) -> FloatArray:
        """Points (..., 2) of the framing's face on the panel's after face, square through the wood."""
        wide: FloatArray = points * np.array([self.widen, 1.0])
        return wide

    @property
    def dowels(self) -> tuple[FloatArray, ...]:
        """Every dowel's place on the framing's moulded face."""
        return tuple(at for part in self.parts for at in part.dowels)


def layout_of(boat: Boat) -> Layout:
    """The transom of a boat.

    Raises:
        PatternsError: the framing has no inside, a piece of it vanishes, or dowels find no room.
    """
    spec, after = boat.design.stern, boat.hull.transom
    back = after.moved(FORWARD * spec.panel)
    inside = own_face(back)
    widen = 1.0 / stretch_of(back)
    panel_sections = cut_hull(boat.hull, after), cut_hull(boat.hull, back)
    inner = panel_sections[1] if inside is back else cut_hull(boat.hull, inside)
    top = float(panel_sections[0].deck.uv[0, 1])
    cuts = _cut_outs(boat.design.all(CutOutSpec), top)
    panel = _panel(panel_sections, [Region.of(cuts, Opening("cut-out"))])
    narrow = shapely.transform(cuts, lambda points: points / [widen, 1.0])
    whole = None if spec.framing is None else _framing(boat, spec, inner)
    doubler = next(iter(boat.design.all(DoublerSpec)), None)
    openings = Region.of(narrow, Opening("cut-out"))
    taken = [openings]
    doubled = None
    if doubler is not None:
        pad = shapely.box(-doubler.breadth / 2, top - doubler.depth, doubler.breadth / 2, top + FAR)
        fore = whole.sections[1] if whole is not None and doubler.thickness == spec.framing else None
        doubled = _doubler(boat, doubler, (inner, fore), pad, openings)
        taken = [Region.of(pad, Against("doubler")), openings]
    if whole is None:
        return Layout(panel=panel, framing=None, parts=(), doubler=doubled, widen=widen)
    ring, parts = _fitted(boat, spec, whole, taken)
    if spec.dowel is not None:
        # A ring in one has its dowels where those of its rails, stiles and post would be.
        holders = parts if spec.framing_joints else jointed(spec, whole, taken, "butt")
        held = shapely.transform(overlays.intersection(*panel.faces), lambda points: points / [widen, 1.0])
        holders = tuple(dowelled(spec, part, held) for part in holders)
        places = tuple(at for part in holders for at in part.dowels)
        parts = holders if spec.framing_joints else (replace(parts[0], dowels=places),)
    return Layout(panel=panel, framing=ring, parts=parts, doubler=doubled, widen=widen)


def _fitted(
    boat: Boat, spec: TransomEnd, whole: Ring, taken: Sequence[Region]
) -> tuple[Ring, tuple[TransomPart, ...]]:
    """The framing without what doubler and cut-outs take, and its pieces."""
    if spec.framing_joints is None:
        first, second = (_less(face, taken, "framing; give it framing_joints") for face in whole.wood)
        ring = replace(whole, wood=(first, second), saw=largest(overlays.union(first.area, second.area)))
        return ring, (
            TransomPart(name="framing", zone="framing", wood=ring.wood, whole=True, middle=np.zeros((0, 2))),
        )
    parts = jointed(spec, whole, taken, spec.framing_joints)
    if spec.framing_joints == "half lap":
        middle = cut_hull(boat.hull, whole.sections[0].plane.moved(0.5 * FORWARD * (spec.framing or 0.0)))
        wood = ring_wood(middle, whole.inside, passages(boat, FRAMING, [middle]))
        parts = lapped(parts, wood, middle.plane)
    return whole, parts


def _cut_outs(specs: Sequence[CutOutSpec], top: float) -> Any:
    """All cut-outs as one area, both halves, on the panel's after face."""
    areas = []
    for spec in specs:
        r, half = spec.corner_radius, 0.5 * spec.breadth
        high = top - spec.below if spec.below else top + FAR
        low = top - spec.below - spec.depth
        corners = shapely.multipoints([
            (x, y) for x in (r - half, half - r) for y in (low + r, high - r)
        ])  # fmt: skip
        areas.append(
            shapely.buffer(shapely.convex_hull(corners), r, quad_segs=ARC)
            if r
            else shapely.box(-half, low, half, high)
        )
    return overlays.union(*areas)


def _less(wood: Region, taken: Sequence[Region], what: str) -> Region:
    """A half without what is taken out of it.

    Raises:
        PatternsError: it falls in two, or nothing of it is left.
    """
    left = wood.minus(*taken).parts(least=CRUMB)
    if len(left) != 1 or left[0].area.bounds[0] > ON_CENTRE:
        raise PatternsError(f"what is cut out of it parts the {what}")
    return to_the_centreline(left[0])


def _panel(sections: tuple[Section, Section], cuts: Sequence[Region]) -> Ring:
    # The panel closes every notch, so it is one area on each face, without an inside.
    faces = tuple(_less(section_region(section), cuts, "panel") for section in sections)
    return Ring(
        sections=sections,
        passing=NONE,
        void=Polygon(),
        wood=(faces[0], faces[1]),
        saw=area_of(np.asarray(overlays.union(faces[0].area, faces[1].area).exterior.coords)),
    )


def _framing(boat: Boat, spec: TransomEnd, inner: Section) -> Ring:
    assert spec.framing is not None
    assert spec.framing_moulded is not None
    sections = inner, cut_hull(boat.hull, inner.plane.moved(FORWARD * spec.framing))
    return build_ring(
        sections,
        passages(boat, FRAMING, sections),
        dict.fromkeys((strake.name for strake in boat.hull.strakes), spec.framing_moulded),
        top=spec.framing_moulded,
        post=spec.centre_post,
    )


def _doubler(
    boat: Boat, spec: DoublerSpec, known: tuple[Section, Section | None], pad: Polygon, cuts: Region
) -> tuple[tuple[Section, Section], Passages, TransomPart]:
    inner, fore = known
    sections = inner, fore or cut_hull(boat.hull, inner.plane.moved(FORWARD * spec.thickness))
    passing = passages(boat, EndText(HullEnd.TRANSOM, after=" doubler"), sections)
    first, second = (
        largest_of(passing.cut(section_region(section).both(Region.of(pad, Free())).minus(cuts), face))
        for face, section in enumerate(sections)
    )
    part = TransomPart(
        name="doubler",
        zone="doubler",
        wood=(first, second),
        whole=first.area.bounds[0] < ON_CENTRE,
        middle=np.array([[-FAR, 0.0], [FAR, 0.0]]),
    )
    return sections, passing, part
