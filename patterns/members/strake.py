"""A strake of sheet planking as a flat pattern of its inside face."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

import numpy as np
import shapely
from shapely.geometry import Polygon

from patterns.boat import Boat
from patterns.design.file import FrameSpec
from patterns.design.kind import Table
from patterns.design.strake_models import StrakePatternSpec, lap_of
from patterns.errors import PatternsError
from patterns.flat.shapes import inside_points, largest, outline_of
from patterns.hull.bending import least_radius, most_twist
from patterns.hull.hull import Strake
from patterns.hull.planes import FloatArray, station_plane
from patterns.hull.sheet_doubts import MOST_TWIST, UNBENT
from patterns.joinery.strake_flat import FlatStrake, lay_strake_flat
from patterns.joinery.wood import Piece, lamination_words
from patterns.member_kind import MemberKind
from patterns.members.strake_rules import strake_rules
from patterns.pattern import XY, Kind, Line, Mark, Pattern, Span

__all__ = ["KIND", "pieces"]

SIDES = ("AFT", "FORWARD", "UP")
TOLD = 0.5  # mm; an edge that is longer or shorter on the flat than in the boat by more is told of


def pieces(boat: Boat) -> Iterator[Piece]:
    """Every strake whose flat pattern is asked for."""
    for spec in boat.design.all(StrakePatternSpec):
        yield f'strake_pattern "{spec.strake}"', partial(_strake, boat, spec)


def _strake(boat: Boat, spec: StrakePatternSpec) -> tuple[Pattern, ...]:
    strake = next(strake for strake in boat.hull.strakes if strake.name == spec.strake)
    twist = most_twist(strake)
    given = next(given for given in boat.design.strakes if given.name == spec.strake)
    if given.sections == "straight" and twist.much > MOST_TWIST:
        raise PatternsError(
            f"its straight sections twist by {np.degrees(twist.much):.1f}° from edge to edge {twist.at[0]:.0f} mm "
            "aft; a sheet bends one way only and would not lie so, whatever its outline: write "
            'sections = "developable" for the strake'
        )
    flat = lay_strake_flat(boat, spec, strake)
    net = largest(shapely.make_valid(flat.faces[0].union(flat.faces[1])))
    saw = largest(net.buffer(spec.trim, join_style="mitre", mitre_limit=2.0)) if spec.trim else net
    bend = least_radius(strake)
    bent, (x, y) = bend.much < UNBENT, flat.at(bend.at)
    place = float(x), float(y)
    return (
        Pattern(
            name=f"{strake.name} strake",
            member="strake",
            stock=spec.stock,
            thickness=strake.planking,
            laminations=1,
            quantity="1 port + 1 starboard",
            face="inside face of the starboard strake, laid flat",
            sides=SIDES,
            half=False,
            lines=(
                Line(kind=Kind.SAW, points=outline_of(saw), closed=True),
                Line(kind=Kind.FACE, points=outline_of(flat.faces[0]), closed=True),
                Line(kind=Kind.OTHER, points=outline_of(flat.faces[1]), closed=True),
                *(
                    Line(kind=Kind.REFERENCE, points=line, name=f"inside of {name}")
                    for name, line in flat.landings.items()
                    if f"{spec.strake} over {name}"
                    in {" over ".join(lap_of(words) or ()) for words in spec.laps}
                ),
                *_stations(boat, flat, saw),
                *_frames(boat, flat, net),
                *_scarfs(spec, strake, saw),
            ),
            marks=(Mark(name=f"bends most here: radius {bend.much:.0f} mm", at=place),) if bent else (),
            spans=_spans(net),
            facts=(
                lamination_words(spec.stock, strake.planking, 1),
                "Trace on the inside face; for the port strake turn the pattern over",
                f"Bends to a radius of {bend.much:.0f} mm, {bend.at[0]:.0f} mm aft: first try a piece of the "
                "same plywood round it"
                if bent
                else "It is not bent",
                *_lap_words(boat, spec, flat),
                f"The saw line leaves {spec.trim:g} mm all round, to be trimmed on the boat"
                if spec.trim
                else "The saw line leaves nothing to trim",
                *_sheet_words(spec, strake, saw),
                *_truth_words(strake, flat),
                "Offer it up in hardboard or card before the good sheet is cut",
            ),
            siding=1.0,
            grain=(1.0, 0.0),
        ),
    )


def _truth_words(strake: Strake, flat: FlatStrake) -> Iterator[str]:
    twist = most_twist(strake)
    if twist.much > MOST_TWIST:
        yield (
            f"No sheet lies quite true here: it twists by {np.degrees(twist.much):.1f}° from edge to edge "
            f"{twist.at[0]:.0f} mm aft"
        )
    for name, (true, laid) in zip((strake.lower, strake.upper), flat.edges, strict=True):
        if abs(true - laid) > TOLD:
            yield f"Its edge at the {name} is {laid - true:+.1f} mm longer on the flat than in the boat"


def _lap_words(boat: Boat, spec: StrakePatternSpec, flat: FlatStrake) -> Iterator[str]:
    for words in spec.laps:
        over, under = lap_of(words) or ("", "")
        other = under if over == spec.strake else over
        fore, aft = flat.bare.get(other, (-np.inf, np.inf))
        where = [f"forward of {fore:.0f} mm aft"] * bool(np.isfinite(fore))
        where += [f"aft of {aft:.0f} mm"] * bool(np.isfinite(aft))
        butt = f"; {' and '.join(where)} both are butted at the line" if where else ""
        yield f"{over} covers the edge of {under}{butt}"


def _named(line: FloatArray, area: Polygon, name: str) -> list[Line]:
    pieces = inside_points(area, [line]) if len(line) > 1 else []
    longest = max((len(piece) for piece in pieces), default=0)
    return [
        Line(kind=Kind.REFERENCE, points=piece, name=name if len(piece) == longest else "")
        for piece in pieces
    ]


def _stations(boat: Boat, flat: FlatStrake, area: Polygon) -> Iterator[Line]:
    """The table's stations, and which frame's moulded face stands on them."""
    offsets = boat.offsets
    stand = {_place(boat, spec): spec.name for spec in boat.design.frames if not spec.rake and not spec.cant}
    for name, x in zip(offsets.stations, offsets.station_x, strict=True):
        words = f"station {name}"
        if round(float(x), 3) in stand:
            words += f": frame {stand[round(float(x), 3)]}, moulded face"
        yield from _named(flat.line_where(station_plane(float(x)).height_over), area, words)


def _place(boat: Boat, spec: FrameSpec) -> float:
    return round(boat.distance(spec.at), 3)


def _frames(boat: Boat, flat: FlatStrake, area: Polygon) -> Iterator[Line]:
    """Where the frames' two faces land, but for a face on a station line, which is there already."""
    at = set(np.round(boat.offsets.station_x, 3))
    for spec in boat.design.frames:
        there = _place(boat, spec) in at and not spec.rake and not spec.cant
        moulded, other, _ = boat.frame_faces(spec)
        faces = [("other face", other)] if there else [("moulded face", moulded), ("other face", other)]
        for words, plane in faces:
            yield from _named(flat.line_where(plane.height_over), area, f"frame {spec.name}, {words}")


def _joints(spec: StrakePatternSpec, strake: Strake, saw: Polygon) -> list[tuple[float, float]]:
    """The scarfs along the paper: where each begins and ends.

    Raises:
        PatternsError: the sheets are too short together.
    """
    x0, _, x1, _ = saw.bounds
    if not spec.sheets:
        return []
    long = strake.planking * (spec.scarf_ratio or 0.0)
    reach, found = x0, []
    for number, sheet in enumerate(spec.sheets):
        if number:
            found.append((reach - long, reach))
            reach -= long
        reach += sheet
    if reach < x1:
        raise PatternsError(
            f"its sheets, less their scarfs, reach {reach - x0:.0f} mm, and the strake with its trim is "
            f"{x1 - x0:.0f} mm long"
        )
    if any(end >= x1 for _, end in found):
        raise PatternsError("its last sheet is not needed: the ones before it reach to its end")
    return found


def _scarfs(spec: StrakePatternSpec, strake: Strake, saw: Polygon) -> Iterator[Line]:
    _, y0, _, y1 = saw.bounds
    for number, (start, end) in enumerate(_joints(spec, strake, saw), start=1):
        for x, words in ((start, f"scarf {number} begins"), (end, f"scarf {number} ends")):
            yield from _named(np.array([[x, y0 - 1.0], [x, y1 + 1.0]]), saw, words)


def _sheet_words(spec: StrakePatternSpec, strake: Strake, saw: Polygon) -> Iterator[str]:
    x0, y0, x1, y1 = saw.bounds
    yield f"As sawn it is {x1 - x0:.0f} mm long, along its grain, and {y1 - y0:.0f} mm broad"
    joints = _joints(spec, strake, saw)
    if joints:
        start, end = joints[0]
        sheets = ", ".join(f"{sheet:g}" for sheet in spec.sheets)
        yield (
            f"Scarfed of sheets {sheets} mm long, from forward aft; scarfs {spec.scarf_ratio:g}:1, "
            f"{end - start:.0f} mm long"
        )


def _spans(net: Polygon) -> tuple[Span, ...]:
    """Long distances: along the strake both ways, and across it."""
    points = outline_of(net)

    def far(way: XY) -> XY:
        best = points[int((points @ np.asarray(way)).argmax())]
        return float(best[0]), float(best[1])

    fore, low, high = far((-1.0, 0.0)), far((1.0, -1.0)), far((1.0, 1.0))
    return (
        Span(name="fore end to lower after corner", start=fore, end=low),
        Span(name="fore end to upper after corner", start=fore, end=high),
        Span(name="after edge, corner to corner", start=low, end=high),
    )


KIND = MemberKind(
    name="strake",
    order=150,
    pieces=pieces,
    tables=(Table(name="strake_pattern", model=StrakePatternSpec, named=False),),
    rules=(strake_rules,),
)
