"""One piece of the layer on the transom's inside: a rail, a stile, the centre post, the doubler."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from shapely.geometry import Polygon

from patterns.boat import Boat
from patterns.flat import overlays
from patterns.flat.shapes import ON_CENTRE, area_of, outline_of
from patterns.hull.planes import Plane
from patterns.hull.sections import Section
from patterns.joinery.flat_pieces import xy
from patterns.joinery.passages import Passages
from patterns.joinery.ringed import notch_notes
from patterns.joinery.set_up import set_up_scribed
from patterns.joinery.transom_layout import FORWARD
from patterns.joinery.transom_pieces import ASKED, TransomPart
from patterns.joinery.wood import corner_notes, levels_scribed
from patterns.timbers.notches import Notch
from patterns.wood.ends import EndText, HullEnd, Way
from patterns.wood.facts import Fact
from patterns.wood.features import XY, Distance, Hole, Note, Scribed
from patterns.wood.labels import Against
from patterns.wood.meeting import Joinery, Meeting
from patterns.wood.piece import Face, Hand, Piece, Step, Stock
from patterns.wood.placement import OnFace
from patterns.wood.region import Region, largest_of
from patterns.wood.section import hairless, sources_of

__all__ = ["Layer", "joint_notes", "on_panel", "part_piece"]

NEAR = 0.02  # mm; of several pieces of one name that is met which is nearer than this
BESIDE = 30.0  # mm; a corner of the hull that lies nearer to a piece is marked on its pattern
SHORT = 5.0  # mm; two pieces that touch along less are no joint


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Layer:
    """What the pieces of one layer have in common.

    Attributes:
        sections: of its after face, which is the moulded one, and its fore face.
        passing: the timbers that pass through both.
        depth_left: least depth of wood over the notches, by timber.
    """

    sections: tuple[Section, Section]
    passing: Passages
    depth_left: dict[str, float]
    stock: Stock
    facts: tuple[Fact, ...]

    @property
    def plane(self) -> Plane:
        """The moulded face."""
        return self.sections[0].plane


def part_piece(
    boat: Boat, layer: Layer, part: TransomPart, others: Sequence[TransomPart], *, dowel: float | None
) -> Piece:
    """One piece.

    Args:
        others: the pieces that it may meet.
        dowel: the diameter of its dowels, mm.
    """
    saw = largest_of(part.wood[0].joined(part.wood[1])).area
    here = [[notch for notch in notches if _crosses(notch, saw)] for notches in layer.passing.notches]
    shoulders = tuple(_shoulders(part, layer.stock.thickness))
    joints = tuple(joint_notes(part, others))
    moulded, other = (
        Face(
            region=wood,
            sources=sources_of(section),
            notes=(
                *(note for note in corner_notes(section) if saw.distance(shapely.Point(note.at)) < BESIDE),
                *notch_notes(notches),
                *joints,
            ),
            scribed=(
                *shoulders,
                *levels_scribed(boat, saw, section.plane),
                *set_up_scribed(boat, saw, section.plane),
            ),
        )
        for wood, section, notches in zip(part.wood, layer.sections, here, strict=True)
    )
    ends = _on_centre(saw) if part.whole else None
    return Piece(
        name=part.title,
        part_of=EndText(HullEnd.TRANSOM),
        member="transom",
        stock=layer.stock,
        hand=Hand.CENTRE if part.whole else Hand.PAIR,
        placement=OnFace(layer.plane, FORWARD),
        faces=(moulded, other),
        steps=_steps(layer, part),
        centreline=ends,
        flips=ends or (),
        holes=tuple(Hole(at=xy(at), diameter=dowel or 0.0, purpose="dowel") for at in part.dowels),
        meetings=tuple(_meetings(layer, part, others)),
        distances=tuple(_distances(part)),
        facts=(*layer.facts, *(() if part.whole else (Fact("turn-over"),))),
        grain=_grain(part),
    )


def _steps(layer: Layer, part: TransomPart) -> tuple[Step, ...]:
    """The middle of a lapped piece's thickness, where the laps of the one face end and those of the other begin."""
    if not part.laps or part.halfway is None:
        return ()
    before, after = (
        largest_of(
            hairless(
                part.halfway.minus(
                    *(Region.of(area, Against(other)) for other, area, on in part.halvings if on == face)
                )
            )
        )
        for face in (0, 1)
    )
    return (Step(depth=0.5 * layer.stock.thickness, before=before, after=after),)


def _meetings(layer: Layer, part: TransomPart, others: Sequence[TransomPart]) -> Iterator[Meeting]:
    """Where it meets timbers, the panel and the layer's other pieces."""
    yield from layer.passing.of_piece(part.title, left=layer.depth_left)
    yield on_panel(part.title)
    yield from part.laps
    for other in others:
        if other.name != part.name and any(_edges_on(part, other)):
            yield Meeting(
                kind=Joinery.BUTT,
                lands=part.title,
                on=other.title,
                keys=(ASKED + ", key framing_joints",),
                edges=(Against(other.zone),),
            )


def on_panel(name: str) -> Meeting:
    """How a piece of the layer lies on the panel."""
    panel = EndText(HullEnd.TRANSOM, after=" panel")
    return Meeting(kind=Joinery.FACE, lands=name, on=panel, keys=(ASKED,), faces=(0,))


def _crosses(notch: Notch, saw: Polygon) -> bool:
    return bool(saw.distance(area_of(notch.corners)) < 1.0)


def _on_centre(saw: Polygon) -> tuple[float, float]:
    """The lowest and the highest place of a piece's wood on the centreline."""
    points = np.asarray(saw.exterior.coords)
    on = points[np.abs(points[:, 0]) < ON_CENTRE, 1]
    return float(on.min()), float(on.max())


def _shoulders(part: TransomPart, thickness: float) -> Iterator[Scribed]:
    """The lines at which half laps begin; only the longest at each is named."""
    within = overlays.union(*part.faces).buffer(-0.05)
    for other, area, face in part.halvings:
        values = {"other": other, "depth": 0.5 * thickness, "face": Way.FORWARD if face == 1 else Way.AFT}
        runs = shapely.get_parts(shapely.line_merge(overlays.intersection(area.boundary, within)))
        for i, run in enumerate(sorted(runs, key=lambda run: -float(run.length))):
            yield Scribed(
                fact=Fact("shoulder" if i else "lap-shoulder", values), points=shapely.get_coordinates(run)
            )


def joint_notes(part: TransomPart, others: Sequence[TransomPart]) -> Iterator[Note]:
    """The names of the pieces that butt against this one, where they do."""
    for other in others:
        runs = [*_edges_on(part, other), *_edges_on(other, part)]
        if other.name != part.name and runs:
            at = max(runs, key=lambda run: float(run.length)).interpolate(0.5, normalized=True)
            fact = Fact("butts-on", {"part": other.name})
            yield Note(fact=fact, at=(float(at.x), float(at.y)), bare=True)


def _edges_on(part: TransomPart, other: TransomPart) -> Iterator[Any]:
    """The stretches of a piece's edge that were cut to another's, those which this one of its name touches."""
    for stretch in part.wood[0].stretches(Against(other.zone)):
        run = shapely.linestrings(stretch.points)
        if run.length > SHORT and run.interpolate(0.5, normalized=True).distance(other.faces[0]) < NEAR:
            yield run


def _distances(part: TransomPart) -> Iterator[Distance]:
    """Long distances over the piece, between corners of its outline on the moulded face."""
    points = outline_of(part.faces[0])
    if part.whole:
        low, high = _on_centre(part.faces[0])
        far = points[int(np.hypot(points[:, 0], points[:, 1] - low).argmax())]
        yield Distance(fact=Fact("flip-point-to-farthest-corner"), start=(0.0, low), end=xy(far))
        yield Distance(fact=Fact("flip-point-to-flip-point"), start=(0.0, low), end=(0.0, high))
        return
    apart = np.hypot(*(points[:, None] - points[None]).transpose(2, 0, 1))
    i, j = np.unravel_index(int(apart.argmax()), apart.shape)
    yield Distance(fact=Fact("farthest-corners"), start=xy(points[i]), end=xy(points[j]))


def _grain(part: TransomPart) -> XY:
    """Along the piece: athwartships in rails, and up stiles and post."""
    if part.whole and np.ptp(part.middle[:, 0]) < 1.0:
        return (0.0, 1.0)
    if part.whole:
        return (1.0, 0.0)
    along = part.middle[-1] - part.middle[0]
    return xy(along / np.hypot(*along))
