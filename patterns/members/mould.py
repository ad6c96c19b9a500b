"""The mould: a temporary ring without bevels that the boat is planked over.

Its edge is square to its faces and is the lesser of its two sections, so that no corner of it stands outside of
what lies on it.  It is out of the boat before deck and knees go in, so it is measured against no other piece.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import partial
from typing import Any

import numpy as np
import shapely
from shapely.geometry import Polygon

from patterns.boat import Boat
from patterns.design.bounds import BoatSize, Bound, most_siding
from patterns.design.kind import Table
from patterns.design.mould_models import MouldSpec
from patterns.drawing.of_piece import pattern_of
from patterns.errors import PatternsError
from patterns.flat import overlays
from patterns.flat.polylines import normals_left
from patterns.flat.shapes import area_of, largest
from patterns.hull.planes import FloatArray, station_plane
from patterns.hull.sections import Section, cut_hull
from patterns.joinery.flat_pieces import xy
from patterns.joinery.lining import lined_off, outside_girth
from patterns.joinery.passages import notches_in, passages_of
from patterns.joinery.plank_lines import plank_lines
from patterns.joinery.rings import CRUMB
from patterns.joinery.set_up import set_up_at, set_up_facts, set_up_scribed
from patterns.joinery.strip_runs import strip_run
from patterns.joinery.wood import Wanted, corner_notes, levels_scribed, looking
from patterns.member_kind import MemberKind
from patterns.members.lapped_plank import LAND_WORDS, mould_facts
from patterns.members.mould_legs import LEG_WORDS, MouldLegs, outermost
from patterns.pattern import Pattern
from patterns.text.wood_facts import Lengths, Template
from patterns.wood.facts import Fact
from patterns.wood.features import Distance, Note
from patterns.wood.labels import Free
from patterns.wood.piece import Face, Hand, Papers, Piece, Role, Stock
from patterns.wood.placement import OnFace
from patterns.wood.region import Region
from patterns.wood.section import to_the_centreline
from patterns.wood.work_stage import WorkStage

__all__ = ["KIND", "WORDS", "mould_edge", "mould_piece", "pieces"]

SAME = 1e-6  # mm; nearer points are one
SPOKEN = 0.5  # mm; lesser departures of the two sections are not worth a word


def pieces(boat: Boat) -> Iterator[Wanted]:
    """Every mould in the design."""
    for spec in boat.design.all(MouldSpec):
        yield f'mould "{spec.name}"', partial(_mould, boat, spec)


def mould_edge(section: Section, head: float) -> FloatArray:
    """The inside of planking from the centreline up past the sheer to a level, (n, 2).

    Args:
        head: the level's v, mm; the edge is carried on straight where the planking ends below it.
    Raises:
        PatternsError: the planking falls where it should rise.
    """
    names = list(section.traces)
    last = section.long_traces[names[-1]]
    first = section.traces[names[-1]]
    side = np.vstack([first.uv[:1], last.uv[last.r > first.r[0] + 1e-9]])
    edge = np.vstack([*(section.traces[name].uv for name in names[:-1]), side])
    edge = edge[
        np.append(True, np.hypot(*np.diff(edge, axis=0).T) > SAME)
    ]  # strakes share their chine's point
    over = np.nonzero(edge[:, 1] >= head)[0]
    over = over[over > int(edge[:, 1].argmin())]
    stop = int(over[0]) if len(over) else len(edge)
    low, high = (edge[stop - 1], edge[stop]) if stop < len(edge) else (edge[-2], edge[-1])
    if not high[1] > low[1] + 1e-9:
        raise PatternsError("the planking does not rise to its head; look at the lines there")
    share = (head - low[1]) / (high[1] - low[1])
    return np.vstack([edge[:stop], low + share * (high - low)])


def _sheer_place(section: Section) -> FloatArray:
    """Where the sheer itself lies abreast of the edge, (2,)."""
    trace = section.long_traces[list(section.traces)[-1]]
    return np.array([np.interp(1.0, trace.r, trace.uv[:, k]) for k in (0, 1)])


def _mould(boat: Boat, spec: MouldSpec) -> tuple[Pattern, ...]:
    return (pattern_of(boat, mould_piece(boat, spec), WORDS),)


def mould_piece(boat: Boat, spec: MouldSpec) -> Piece:
    """One mould.

    Raises:
        PatternsError: it does not reach its heads or the set-up line, or its notches cut it in pieces.
    """
    x = boat.distance(spec.at)
    sense = 1.0 if x < boat.hull.widest else -1.0
    if spec.siding_runs is not None:
        sense = 1.0 if spec.siding_runs == "aft" else -1.0
    plane = station_plane(x)
    less = spec.ribbands + spec.bent_frames
    sections = tuple(cut_hull(boat.hull, at, deeper=less) for at in (plane, plane.moved(sense * spec.sided)))
    section = sections[0]
    sheer = _sheer_place(section)
    head = float(sheer[1]) + spec.head
    edges = [mould_edge(each, head) for each in sections]
    halves = [area_of(np.vstack([edge, [0.0, head]])) for edge in edges]
    half = largest(overlays.intersection(*halves))
    top = set_up_at(boat, plane) if spec.legs is not None else None
    ring, legs = _wood(spec, half, edges, head, top)
    wood = _cut(boat, spec, ring, sections)
    strips = _strip_marks(boat, spec, section)
    low, high = float(section.apex[1]), float(wood.area.bounds[3])
    moulded = Face(
        region=wood,
        sources={},
        notes=(
            _tick(edges[0], sheer, Fact("sheer-line")),
            *corner_notes(section)[:-1],
            *_plank_notes(boat, spec, section),
            *strips[0],
        ),
        scribed=(
            *(() if legs is None else legs.lines()),
            *levels_scribed(boat, wood.area, plane),
            *set_up_scribed(boat, wood.area, plane),
        ),
    )
    face, _, _ = looking(sense)
    return Piece(
        name=f"mould {spec.name}",
        member="mould",
        stock=Stock(wood=spec.stock, thickness=spec.sided),
        hand=Hand.CENTRE,
        placement=OnFace(plane, sense),
        faces=(moulded, Face(region=wood, sources={})),
        centreline=(low, high),
        flips=(low, head),
        distances=tuple(
            Distance(fact=Fact("flip-point-to-sheer", {"which": which}), start=(0.0, v), end=xy(sheer))
            for which, v in (("lower", low), ("upper", head))
        ),
        facts=(
            Fact("square-edges", {"stock": spec.stock, "sided": spec.sided}),
            Fact("mould-face", {"face": face, "aft": x}),
            *_less_facts(spec),
            *_trimmed_facts(halves),
            Fact("sheer-to-sheer", {"breadth": 2.0 * sheer[0]}),
            *_lining_facts(boat, spec, section),
            *strips[1],
            *mould_facts(boat, spec.name),
            *(() if legs is None else (legs.fact(spec.stock, spec.sided),)),
            *set_up_facts(boat, section),
        ),
        papers=Papers.OUTLINE,
        role=Role.AWAY,
    )


def _cut(boat: Boat, spec: MouldSpec, ring: Any, sections: Sequence[Section]) -> Region:
    """The ring with the notches that it has on either face, cut square through both."""
    keels = {timber.name for timber in boat.design.timbers if timber.kind == "keel"}
    let_in = {"stem", *spec.lets_in, *keels}
    found = (notches_in(boat, section) for section in sections)
    passing = passages_of(
        boat,
        f"mould {spec.name}",
        [tuple(notch for notch in notches if notch.timber in let_in) for notches in found],
    )
    wood = Region.of(ring, Free())
    for face in range(len(sections)):
        wood = passing.cut(wood, face)
    parts = wood.parts(least=CRUMB)
    if len(parts) != 1:
        raise PatternsError("the notches cut it in pieces; give it a greater depth")
    return to_the_centreline(parts[0])


def _inside(edges: Sequence[FloatArray], moulded: float) -> Any:
    """What lies farther than the moulding inside of both faces' edges, the edges run on far above the heads.

    The whole section is moved in at once, so that at a chine the inner edge is one clean corner.
    """
    wholes = []
    for edge in edges:
        high = edge[-1] + [0.0, 10.0 * moulded]
        half = np.vstack([edge, high])
        wholes.append(area_of(np.vstack([half, half[::-1] * [-1.0, 1.0]])))
    return shapely.buffer(overlays.intersection(*wholes), -moulded, join_style="mitre")


def _wood(
    spec: MouldSpec, half: Polygon, edges: Sequence[FloatArray], head: float, top: float | None
) -> tuple[Any, MouldLegs | None]:
    """Half of the ring with its piece across, and with its leg where that is drawn; else its legs.

    Args:
        half: all that lies inside of both faces' edges, up to the heads.
        edges: those edges, each from the centreline out and up to the heads.
        top: the set-up line's v where legs reach up to it.
    Raises:
        PatternsError: the set-up line does not lie above the heads, or the sections do not reach them.
    """
    wood: Any = overlays.difference(half, _inside(edges, spec.moulded))
    end = head
    side = float(overlays.intersection(half, shapely.box(-1.0, head - 0.01, 1e5, head)).bounds[2])
    if not np.isfinite(side):
        raise PatternsError("the sections have no breadth at its head; look at the lines there")
    if spec.legs is not None:
        if top is None:
            raise PatternsError(
                "its legs reach up to no set-up line; give [set_up] with line, or take legs out"
            )
        if top <= head:
            raise PatternsError(
                f"its heads are {head - top:.0f} mm above the set-up line, which legs are to reach; "
                "set the line higher or take legs out"
            )
        foot = head - spec.moulded
        out = side if spec.legs_drawn else outermost(half, foot, head)
        lap = shapely.box(out - spec.legs, foot, out, head)
        wood = overlays.union(wood, overlays.intersection(lap, half))
        if not spec.legs_drawn:
            legs = MouldLegs(side=out, wide=spec.legs, foot=foot, head=head, top=top, across=spec.cross_piece)
            return wood, legs
        wood = overlays.union(wood, shapely.box(side - spec.legs, head, side, top))
        end = top
    if spec.cross_piece is not None:
        across = shapely.box(0.0, end - spec.cross_piece, side, end)
        wood = overlays.union(wood, across if spec.legs is not None else overlays.intersection(across, half))
    return wood, None


def _tick(edge: FloatArray, at: FloatArray, fact: Fact) -> Note:
    """A short line out from the edge at a place on it."""
    out = -normals_left(edge)
    return Note(fact=fact, at=xy(at), towards=xy(out[int(np.hypot(*(edge - at).T).argmin())]))


def _plank_girths(boat: Boat, spec: MouldSpec) -> dict[int, float]:
    """From the rabbet to the upper edge of each plank that crosses it, mm, by the plank's number."""
    lines = plank_lines(boat)
    if lines is None:
        return dict(enumerate(spec.plank_girths, start=1))
    return lines.girths(boat.distance(spec.at))[1]


def _plank_notes(boat: Boat, spec: MouldSpec, section: Section) -> Iterator[Note]:
    """The lining off as ticks."""
    girths = _plank_girths(boat, spec)
    if not girths:
        return
    places = lined_off(boat, section, list(girths.values()))
    edge = np.vstack([trace.uv for trace in section.traces.values()])
    for number, at in zip(girths, places, strict=True):
        yield _tick(edge, at, Fact("plank-edge", {"plank": number}))


def _strip_marks(boat: Boat, spec: MouldSpec, section: Section) -> tuple[tuple[Note, ...], tuple[Fact, ...]]:
    """Where the first strip's lower edge crosses it, and how many strips it takes."""
    strips = strip_run(boat, boat.distance(spec.at))
    if strips is None:
        return (), ()
    counts = {"girth": strips.girth, "up": strips.up, "below": strips.below, "above": strips.above}
    facts = (Fact("strips-here", counts),)
    if strips.up is None or strips.up <= 0.0:
        return (), facts
    [at] = lined_off(boat, section, [strips.up])
    edge = np.vstack([trace.uv for trace in section.traces.values()])
    return (_tick(edge, at, Fact("first-strip")),), facts


def _lining_facts(boat: Boat, spec: MouldSpec, section: Section) -> Iterator[Fact]:
    if _plank_girths(boat, spec):
        lines = plank_lines(boat)
        widths = None if lines is None else lines.widths(boat.distance(spec.at))
        yield Fact("lining-off", {"girth": float(outside_girth(boat, section)[0][-1]), "widths": widths})


def _less_facts(spec: MouldSpec) -> Iterator[Fact]:
    off = {"ribbands": spec.ribbands, "bent frames": spec.bent_frames}
    if any(value > 0.0 for value in off.values()):
        yield Fact("taken-off", {"off": off})


def _trimmed_facts(halves: list[Polygon]) -> Iterator[Fact]:
    """How much the moulded face gives up where the other face is the lesser one."""
    lost = float(
        shapely.hausdorff_distance(
            shapely.boundary(halves[0]), shapely.boundary(overlays.intersection(*halves))
        )
    )
    if lost >= SPOKEN:
        yield Fact("lesser-face", {"lost": lost})


def _lining(v: Mapping[str, Any], lengths: Lengths) -> str:
    words = f"Lining off: girth over the planking, rabbet to sheer, {lengths(v['girth'])}"
    if v["widths"] is not None:
        first = min(v["widths"])
        widths = ", ".join(f"{width:.0f}" for width in v["widths"].values())
        words += f"; planks {first} to {max(v['widths'])} are {widths} mm wide"
    return f"{words}; each tick is a plank's upper edge"


def _strip_words(v: Mapping[str, Any], lengths: Lengths) -> str:
    words = f"Strips: girth over the planking, rabbet to sheer, {lengths(v['girth'])}"
    if v["up"] is None:
        return f"{words}; {v['above']} strips; the first one passes below this mould's rabbet"
    first = f"the first strip's lower edge {lengths(v['up'])} up from the rabbet"
    return f"{words}; {first}; {v['below']} strips below it, {v['above']} from it to the sheer"


def _taken_off(v: Mapping[str, Any], _: Lengths) -> str:
    parts = [f"{value:g} mm for {what}" for what, value in v["off"].items() if value > 0.0]
    return f"Besides the planking {' and '.join(parts)} are taken off, square to it"


WORDS: Mapping[str, Template] = {
    **LEG_WORDS,
    **LAND_WORDS,
    "square-edges": lambda v, _: f"{v['stock']}, sided {v['sided']:g} mm; edges square, no bevel",
    "mould-face": lambda v, lengths: (
        f"Moulded face: the {v['face']} one, {lengths(v['aft'])} aft, at the station"
    ),
    "taken-off": _taken_off,
    "lesser-face": lambda v, _: (
        f"Its edge lies up to {v['lost']:.1f} mm inside of the station's section, so that the other face's "
        "corner is never outside; fair the ribbands past it"
    ),
    "sheer-to-sheer": lambda v, lengths: f"Across both halves, sheer to sheer: {lengths(v['breadth'])}",
    "lining-off": _lining,
    "strips-here": _strip_words,
    "first-strip": lambda _, __: "first strip, lower edge",
    "sheer-line": lambda _, __: "sheer",
    "plank-edge": lambda v, _: f"plank {v['plank']}",
    "flip-point-to-sheer": lambda v, _: f"{v['which']} flip point to sheer",
}


def _bounds(mould: MouldSpec, scale: BoatSize) -> Iterator[Bound]:
    yield Bound("sided", mould.sided, 3.0, most_siding(scale), "the boat")
    least, most = 1.5 * mould.sided, 0.5 * scale.breadth
    yield Bound("moulded", mould.moulded, least, most, "its siding and the boat")


_STARTER: Mapping[str, str] = {
    "round bilge": """\
# One such table for every mould. A mould is taken out again: it has no bevels and comes to the inside of planking.
[[mould]]
name = "5"
at = "station 5"                   # or a distance aft, e.g. "4-0-0"
sided = "18 mm"
moulded = "90 mm"                  # depth of the ring in from its edge
legs = "80 mm"                     # breadth of its legs up to the set-up line
cross_piece = "80 mm"              # depth of the piece across their heads
stock = "18 mm chipboard"
""",
}


KIND = MemberKind(
    name="mould",
    order=10,
    pieces=pieces,
    stage=WorkStage.SET_UP,
    tables=(Table(name="mould", model=MouldSpec, sawn="sided", bounds=_bounds),),
    starter=_STARTER,
)
