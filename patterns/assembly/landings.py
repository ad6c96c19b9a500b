"""Landing marks: on each piece, where its neighbours lie on it, derived from the meetings of all pieces.

What lies on a face is drawn by its outline, or, where it covers all of the face, by its name alone.  What lies on
an edge is named by that edge's own label where it has one, and else by a tick at either end of the place.  A
pattern shows what lies on either of its faces, as its paper is the only one that many builders print.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import shapely

from patterns.assembly.bolt_places import bolt_marks
from patterns.assembly.face_wood import FaceWood, face_wood, seat_areas, seat_places
from patterns.assembly.intended import known_meetings
from patterns.boat import Boat
from patterns.flat import overlays
from patterns.hull.planes import FloatArray
from patterns.joinery.make_pieces import named
from patterns.pattern import Kind, Line, Mark, Pattern
from patterns.text.wood_facts import said
from patterns.wood.facts import Fact
from patterns.wood.labels import Against, Centre, Deck, Label, Landing, Nose, Planking, Trim
from patterns.wood.meeting import CRUMB, Joinery, Mate, Meeting, NotMade, OneOf
from patterns.wood.piece import Hand, Role

__all__ = ["landed_in", "with_landings"]

SAME = 0.5  # mm; a landing's edge that lies nearer to a line that is there already is not drawn again
SHORT = 2.0  # mm; a shorter piece of line is none
REACH = 3.0  # mm; a place nearer to an edge of the drawing lies on it; seats give places at most 5 mm apart
TICK = 12.0  # mm, the length of a tick into the wood
READ_AS = {Trim: "end", Centre: "heel", Nose: "nose"}  # what the reading of such an edge is called
DRAWN = (Role.PIECE, Role.ASSEMBLED, Role.PART)
BOTH_CUT = (Joinery.MITRE, Joinery.HALF_LAP, Joinery.SCARF, Joinery.NOTCH, Joinery.HOUSING)
ONE_SIDED = (Hand.PORT, Hand.STARBOARD)

DECK = "deck"  # what lies all over a face on which the deck lies


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Found:
    """What is to be drawn of one neighbour.

    Attributes:
        piece: its name.
        faces: on which faces it lies; empty where it lies on an edge.
        runs: lines (n, 2).
        at: where its name goes if there is no line.
        mirror: it is the same piece on the other side.
    """

    piece: str
    faces: tuple[int, ...]
    runs: tuple[FloatArray, ...]
    at: tuple[float, float]
    mirror: bool = False


def landed_in(boat: Boat, patterns: Sequence[Pattern], *, shown: Collection[str] = ()) -> tuple[Pattern, ...]:
    """A boat's patterns, each with where its neighbours lie on it; see `with_landings`."""
    return with_landings(patterns, known_meetings(boat, patterns), shown=shown)


def with_landings(
    patterns: Sequence[Pattern], meetings: Iterable[Meeting], *, shown: Collection[str] = ()
) -> tuple[Pattern, ...]:
    """The patterns, each with where its neighbours lie on it.

    Args:
        patterns: all of the boat's.
        meetings: all that is meant between them; see `meetings_of`.
        shown: the names by which some are asked for: the others are left as they are; empty: all are wanted.
    """
    known = {pattern.name: pattern for pattern in patterns}
    every = tuple(meetings)
    wanted = {each.name for name in shown for each in named(patterns, name)} if shown else set(known)
    return tuple(
        _landed(pattern, every, known) if pattern.name in wanted else pattern for pattern in patterns
    )


def _landed(pattern: Pattern, meetings: Sequence[Meeting], known: dict[str, Pattern]) -> Pattern:
    wood = face_wood(pattern)
    if wood is None or pattern.template:
        return pattern
    if pattern.role is Role.LAYOUT:
        found = list(_on_layout(pattern, wood, meetings, known))
    elif pattern.role in DRAWN:
        found = list(_on_piece(pattern, wood, meetings, known))
    else:
        return pattern
    bolts = tuple(
        mark
        for each in found
        if each.piece in known
        for face in each.faces
        for mark in (
            *bolt_marks(known[each.piece], wood, face),
            *_through(each.piece, wood, face, meetings, known),
        )
    )
    lines = [_lines(each, shown=0) for each in found]
    behind = [_lines(each, shown=1) for each in found]
    return replace(
        pattern,
        lines=(*pattern.lines, *(line for each in lines for line in each)),
        marks=(*pattern.marks, *(_mark(each, shown=0) for each in found if not each.runs), *bolts),
        behind_landings=tuple(line for each in behind for line in each) if pattern.behind else (),
        behind_marks=(
            *pattern.behind_marks,
            *(_mark(each, shown=1) for each in found if not each.runs and pattern.behind),
            *(bolts if pattern.behind else ()),
        ),
    )


def _through(
    piece: str, wood: FaceWood, face: int, meetings: Sequence[Meeting], known: dict[str, Pattern]
) -> Iterator[Mark]:
    """The bolts that go on through a piece that lies on a face: a knee's through the post to the panel."""
    between, own = known[piece], face_wood(known[piece])
    if own is None:
        return
    beyond = {_name(meeting.other(mate)) for meeting in meetings for mate in meeting.pair if mate == piece}
    for name in sorted(beyond & set(known)):
        yield from bolt_marks(known[name], wood, face, through=own, past=between.thickness)


def _fact(found: _Found, *, shown: int) -> Fact:
    """What is written at it on the paper of one of the two faces."""
    kind = "lands"
    if found.mirror:
        kind = "meets-its-mirror"
    elif len(found.faces) > 1:
        kind = "lands-on-both"
    elif found.faces and shown not in found.faces:
        kind = "lands-behind"
    elif found.piece == DECK and found.faces and not found.runs:
        kind = "lands-all-over"
    return Fact(kind, {"piece": found.piece})


def _lines(found: _Found, *, shown: int) -> list[Line]:
    """Its lines; the longest has the name."""
    words = said(_fact(found, shown=shown), str)
    long = sorted(found.runs, key=lambda run: -float(np.hypot(*np.diff(run, axis=0).T).sum()))
    return [
        Line(kind=Kind.LANDING, points=run, name="" if i else words, piece=found.piece)
        for i, run in enumerate(long)
    ]


def _mark(found: _Found, *, shown: int) -> Mark:
    fact = _fact(found, shown=shown)
    return Mark(name=said(fact, str), at=found.at, word=True, fact=fact)


def _name(mate: Mate) -> str:
    """What a neighbour is called; empty for planking and deck, which the edges' bevels name."""
    if isinstance(mate, Planking | Deck):
        return ""
    if isinstance(mate, NotMade):
        return mate.what
    return mate.whole if isinstance(mate, OneOf) else mate


def _is(pattern: Pattern, mate: Mate) -> bool:
    if isinstance(mate, OneOf):
        return mate.whole in (pattern.name, pattern.part_of)
    return mate == pattern.name


def _on_piece(
    pattern: Pattern, wood: FaceWood, meetings: Sequence[Meeting], known: dict[str, Pattern]
) -> Iterator[_Found]:
    """What lies on a piece of wood, what covers most of it last: its edges are mostly drawn by then."""
    met: dict[str, list[Meeting]] = {}
    for meeting in meetings:
        for mate in (meeting.lands, meeting.on):
            name = _name(meeting.other(mate))
            if name and _is(pattern, mate):
                met.setdefault(name, []).append(meeting)
                break
    there = [
        (DECK, _whole(wood, meeting.faces))
        for meeting in meetings
        if meeting.on == Deck() and meeting.faces and meeting.lands == pattern.name
    ]
    drawn = [wood.edges, *(shapely.linestrings(line.points) for line in pattern.lines if line.piece)]
    for name, own in met.items():
        both = _both_sides(pattern, known.get(name))
        areas = wood.areas([area for face in (0, 1) for area in [seat_areas(own, wood, face, both=both)]])
        if any(area.area > CRUMB for area in areas):
            there.append((name, areas))
        elif not _shown(pattern, name, own):
            places = seat_places(own, wood, both=both)
            if len(places):
                on_edge = _on_edge(name, wood, places, own=bool(_own_edges(pattern, own)))
                yield replace(on_edge, mirror=name == pattern.name)
    for name, areas in sorted(there, key=lambda each: max(area.area for area in each[1])):
        for faces, area in _by_face(areas):
            runs = tuple(_runs(overlays.difference(area.boundary, _beside(drawn, area))))
            at = area.representative_point()
            yield _Found(piece=name, faces=faces, runs=runs, at=(float(at.x), float(at.y)))
            drawn += [shapely.linestrings(run) for run in runs]


def _beside(drawn: Sequence[Any], area: Any) -> Any:
    """Where lines that are drawn already lie so near that an area's edge is not drawn again; about the area."""
    x0, y0, x1, y1 = area.bounds
    reach = 2.0 * SAME
    near = shapely.clip_by_rect(np.array(drawn), x0 - reach, y0 - reach, x1 + reach, y1 + reach)
    return shapely.buffer(shapely.geometrycollections(near), SAME)


def _whole(wood: FaceWood, faces: Collection[int]) -> tuple[Any, Any]:
    """All of the wood of some faces."""
    first, second = (wood.faces[face] if face in faces else shapely.Polygon() for face in (0, 1))
    return first, second


def _both_sides(pattern: Pattern, mate: Pattern | None) -> bool:
    """Whether a neighbour that is described on the starboard side lies on the piece's port side too."""
    if pattern.hand is Hand.STARBOARD or pattern.hand is Hand.PAIR:
        return False
    return mate is None or mate.hand not in ONE_SIDED


def _by_face(areas: tuple[Any, Any]) -> Iterator[tuple[tuple[int, ...], Any]]:
    """The areas with the faces that they lie on; one outline where they are the same on both."""
    first, second = areas
    if min(first.area, second.area) > CRUMB and _within(first, second) and _within(second, first):
        yield (0, 1), first
        return
    yield from (((face,), area) for face, area in enumerate(areas) if area.area > CRUMB)


def _within(area: Any, other: Any) -> bool:
    return bool(overlays.difference(area, shapely.buffer(other, SAME)).area < CRUMB)


def _runs(lines: Any) -> Iterator[FloatArray]:
    merged = shapely.line_merge(lines) if lines.geom_type == "MultiLineString" else lines
    for run in shapely.get_parts(merged):
        if run.geom_type in ("LineString", "LinearRing") and run.length > SHORT:
            yield shapely.get_coordinates(run)


def _shown(pattern: Pattern, name: str, meetings: Sequence[Meeting]) -> bool:
    """Whether an edge that lies on a neighbour, or was cut for it, is labelled with that already."""

    def it(value: object) -> bool:
        return value == name or (bool(pattern.part_of) and f"{pattern.part_of} {value}" == name)

    if any(_is_read(pattern, label) for label in _own_edges(pattern, meetings)):
        return True
    facts = [mark.fact for mark in pattern.marks if mark.fact is not None]
    said_of = [*(line.piece for line in pattern.lines), *(v for fact in facts for v in fact.values.values())]
    return any(it(value) for value in said_of)


def _own_edges(pattern: Pattern, meetings: Sequence[Meeting]) -> set[Label]:
    """The labels of meetings' edges at which the piece is cut for the neighbour."""
    cut = (each for each in meetings if each.kind in BOTH_CUT or each.lands == pattern.name)
    return {label for meeting in cut for label in meeting.edges}


def _is_read(pattern: Pattern, label: Label) -> bool:
    """Whether a bevel is read at an edge, and its label with it; a strake may have the name of a frame's piece."""
    if isinstance(label, Landing):
        return any(reading.edge == str(label.on) for reading in pattern.readings)
    name = label.piece if isinstance(label, Against) else READ_AS.get(type(label), "")
    return any(reading.edge == name and reading.where for reading in pattern.readings)


def _on_edge(name: str, wood: FaceWood, places: FloatArray, *, own: bool) -> _Found:
    """Its name where the edge is its own, cut for the neighbour; else ticks at both ends of the place."""
    spots = shapely.multipoints(places)
    runs = list(_runs(overlays.intersection(wood.outline, shapely.buffer(spots, REACH))))
    if own or not runs:
        along = [shapely.linestrings(run) for run in runs]
        middle = max(along, key=shapely.length).interpolate(0.5, normalized=True) if along else spots.centroid
        at = wood.foot(shapely.get_coordinates(middle)[0], shapely.get_coordinates(middle))
        return _Found(piece=name, faces=(), runs=(), at=(float(at[0]), float(at[1])))
    ends = np.vstack([run[[0, -1]] for run in runs])
    apart = np.hypot(*(ends[:, None] - ends[None]).transpose(2, 0, 1))
    first, last = (wood.foot(ends[i], places) for i in np.unravel_index(int(apart.argmax()), apart.shape))
    ticks = wood.tick(first, TICK), wood.tick(last, TICK)
    return _Found(piece=name, faces=(), runs=ticks, at=(float(first[0]), float(first[1])))


def _on_layout(
    pattern: Pattern, wood: FaceWood, meetings: Sequence[Meeting], known: dict[str, Pattern]
) -> Iterator[_Found]:
    """What lies on pieces that are put together, drawn whole: it is laid on all of them."""
    parts = {name for name, each in known.items() if each.part_of == pattern.part_of and each is not pattern}
    done: set[str] = set()
    for meeting in meetings:
        for mate in (meeting.lands, meeting.on):
            name = _name(meeting.other(mate))
            lying = known.get(name)
            if mate not in parts or lying is None or name in done:
                continue
            faces = [f for f in (0, 1) if seat_areas([meeting], wood, f, both=False).area > CRUMB]
            own = face_wood(lying)
            if faces and own is not None and not own.between(wood):
                done.add(name)
                yield _Found(
                    piece=name, faces=tuple(faces), runs=own.outlines_on(wood, faces[0]), at=(0.0, 0.0)
                )
