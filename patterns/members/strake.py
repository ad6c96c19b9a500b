"""A strake of sheet planking as a flat pattern of its inside face."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from functools import partial
from typing import Any

import numpy as np

from patterns.boat import Boat
from patterns.design.file import FrameSpec
from patterns.design.kind import Table
from patterns.design.strake_models import StrakePatternSpec, lap_of
from patterns.drawing.of_piece import pattern_of
from patterns.errors import PatternsError
from patterns.flat.shapes import inside_points, largest, outline_of
from patterns.hull.bending import least_radius, most_twist
from patterns.hull.hull import Strake
from patterns.hull.planes import FloatArray, station_plane
from patterns.hull.sheet_doubts import MOST_TWIST, UNBENT
from patterns.joinery.knee_shapes import xy
from patterns.joinery.strake_flat import FlatStrake, lay_strake_flat
from patterns.joinery.wood import Wanted, wood_fact
from patterns.member_kind import MemberKind
from patterns.members.lapped_plank import PLANK_WORDS, plank_facts, plank_lines, plank_notes
from patterns.members.strake_rules import strake_rules
from patterns.pattern import Pattern
from patterns.text.angles import angle_words
from patterns.text.wood_facts import Lengths, Template
from patterns.wood.facts import Fact
from patterns.wood.features import XY, Distance, Note, Scribed
from patterns.wood.piece import Face, Hand, Papers, Piece, Stock, View
from patterns.wood.region import Area
from patterns.wood.work_stage import WorkStage

__all__ = ["KIND", "WORDS", "pieces", "strake_piece"]

TOLD = 0.5  # mm; an edge that is longer or shorter on the flat than in the boat by more is told of


def pieces(boat: Boat) -> Iterator[Wanted]:
    """Every strake whose flat pattern is asked for."""
    for spec in boat.design.all(StrakePatternSpec):
        yield f'strake_pattern "{spec.strake}"', partial(_strake, boat, spec)


def _strake(boat: Boat, spec: StrakePatternSpec) -> tuple[Pattern, ...]:
    return (pattern_of(boat, strake_piece(boat, spec), WORDS),)


def strake_piece(boat: Boat, spec: StrakePatternSpec) -> Piece:
    """One strake laid flat.

    Raises:
        PatternsError: no sheet lies so, or the sheets that it is scarfed of do not fit.
    """
    strake = next(strake for strake in boat.hull.strakes if strake.name == spec.strake)
    twist = most_twist(strake)
    clinker = strake.edges is not None
    straight = {given.name for given in boat.design.strakes if given.sections == "straight"}
    if not clinker and strake.name in straight and twist.much > MOST_TWIST:
        raise PatternsError(
            f"its straight sections twist by {np.degrees(twist.much):.1f}° from edge to edge {twist.at[0]:.0f} mm "
            "aft; a sheet bends one way only and would not lie so, whatever its outline: write "
            'sections = "developable" for the strake'
        )
    flat = lay_strake_flat(boat, spec, strake)
    stock = Stock(wood=spec.stock, thickness=strake.planking)
    bare = Piece(
        name=f"{strake.name} strake",
        member="strake",
        stock=stock,
        hand=Hand.PAIR,
        view=View.LAID_FLAT,
        papers=Papers.ONE,
        placement=flat.placement,
        faces=(Face(region=flat.faces[0], sources={}), Face(region=flat.faces[1], sources={})),
        spare=spec.trim,
        by_ordinates=spec.print == "by ordinates",
        grain=(1.0, 0.0),
    )
    net, saw = bare.net().area, bare.saw().area
    bend = least_radius(strake)
    radius = bend.much if bend.much < UNBENT else None
    joints = _joints(spec, strake, saw)
    bends_most = Note(fact=Fact("bends-most", {"radius": radius}), at=xy(flat.at(bend.at)))
    face = replace(
        bare.faces[0],
        notes=(
            *((bends_most,) if radius is not None else ()),
            *(plank_notes(boat, strake, flat) if clinker else ()),
        ),
        scribed=(
            *(plank_lines(boat, strake, flat) if clinker else _landings(spec, flat)),
            *_stations(boat, flat, saw),
            *_frames(boat, flat, net),
        ),
        joints=tuple(_scarfs(joints, saw)),
    )
    return replace(
        bare,
        faces=(face, bare.faces[1]),
        distances=_distances(net),
        facts=(
            wood_fact(stock),
            Fact("inside-is-traced"),
            Fact("bend", {"radius": radius, "aft": float(bend.at[0])}),
            *(plank_facts(boat, strake, flat) if clinker else _lap_facts(spec, flat)),
            Fact("trim", {"left": spec.trim}),
            *_sheet_facts(spec, saw, joints),
            *(() if clinker else _truth_facts(strake, flat)),
            Fact("offer-up"),
        ),
    )


def _truth_facts(strake: Strake, flat: FlatStrake) -> Iterator[Fact]:
    twist = most_twist(strake)
    if twist.much > MOST_TWIST:
        yield Fact("twist", {"angle": twist.much, "aft": float(twist.at[0])})
    for name, (true, laid) in zip((strake.lower, strake.upper), flat.edges, strict=True):
        if abs(true - laid) > TOLD:
            yield Fact("edge-longer", {"line": name, "by": laid - true})


def _lap_facts(spec: StrakePatternSpec, flat: FlatStrake) -> Iterator[Fact]:
    for words in spec.laps:
        over, under = lap_of(words) or ("", "")
        other = under if over == spec.strake else over
        fore, aft = flat.bare.get(other, (-np.inf, np.inf))
        yield Fact("covers", {"over": over, "under": under, "from": fore, "to": aft})


def _landings(spec: StrakePatternSpec, flat: FlatStrake) -> Iterator[Scribed]:
    """The insides of the strakes whose edges it covers."""
    covered = {
        under for over, under in (lap_of(words) or ("", "") for words in spec.laps) if over == spec.strake
    }
    for name, line in flat.landings.items():
        if name in covered:
            yield Scribed(fact=Fact("inside-of", {"strake": name}), points=line)


def _scribed(line: FloatArray, area: Area, fact: Fact) -> list[Scribed]:
    """What of a line lies in an area; its longest part is named."""
    pieces = inside_points(area, [line]) if len(line) > 1 else []
    longest = max((len(piece) for piece in pieces), default=0)
    return [Scribed(fact=fact, points=piece, named=len(piece) == longest) for piece in pieces]


def _stations(boat: Boat, flat: FlatStrake, area: Area) -> Iterator[Scribed]:
    """The table's stations, and which frame's moulded face stands on them."""
    offsets = boat.offsets
    stand = {_place(boat, spec): spec.name for spec in boat.design.frames if not spec.rake and not spec.cant}
    for name, x in zip(offsets.stations, offsets.station_x, strict=True):
        fact = Fact("station", {"station": name, "frame": stand.get(round(float(x), 3))})
        yield from _scribed(flat.line_where(station_plane(float(x)).height_over), area, fact)


def _place(boat: Boat, spec: FrameSpec) -> float:
    return round(boat.distance(spec.at), 3)


def _frames(boat: Boat, flat: FlatStrake, area: Area) -> Iterator[Scribed]:
    """Where the frames' two faces land, but for a face on a station line, which is there already."""
    at = set(np.round(boat.offsets.station_x, 3))
    for spec in boat.design.frames:
        there = _place(boat, spec) in at and not spec.rake and not spec.cant
        moulded, other, _ = boat.frame_faces(spec)
        faces = [("other face", other)] if there else [("moulded face", moulded), ("other face", other)]
        for words, plane in faces:
            fact = Fact("frame-lands", {"frame": spec.name, "face": words})
            yield from _scribed(flat.line_where(plane.height_over), area, fact)


def _joints(spec: StrakePatternSpec, strake: Strake, saw: Area) -> list[tuple[float, float]]:
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


def _scarfs(joints: Sequence[tuple[float, float]], saw: Area) -> Iterator[Scribed]:
    _, y0, _, y1 = saw.bounds
    for number, ends in enumerate(joints, start=1):
        for x, which in zip(ends, ("begins", "ends"), strict=True):
            fact = Fact("sheets-scarf", {"number": number, "which": which})
            yield from _scribed(np.array([[x, y0 - 1.0], [x, y1 + 1.0]]), saw, fact)


def _sheet_facts(spec: StrakePatternSpec, saw: Area, joints: Sequence[tuple[float, float]]) -> Iterator[Fact]:
    x0, y0, x1, y1 = saw.bounds
    yield Fact("as-sawn", {"long": x1 - x0, "broad": y1 - y0})
    if joints:
        start, end = joints[0]
        yield Fact("sheets", {"sheets": spec.sheets, "ratio": spec.scarf_ratio, "scarf": end - start})


def _distances(net: Area) -> tuple[Distance, ...]:
    """Long distances: along the strake both ways, and across it."""
    points = outline_of(largest(net))

    def far(way: XY) -> XY:
        return xy(points[int((points @ np.asarray(way)).argmax())])

    fore, low, high = far((-1.0, 0.0)), far((1.0, -1.0)), far((1.0, 1.0))
    return (
        Distance(fact=Fact("fore-end-to-corner", {"which": "lower"}), start=fore, end=low),
        Distance(fact=Fact("fore-end-to-corner", {"which": "upper"}), start=fore, end=high),
        Distance(fact=Fact("after-edge"), start=low, end=high),
    )


def _covers_words(v: Mapping[str, Any], _: Lengths) -> str:
    where = [f"forward of {v['from']:.0f} mm aft"] * bool(np.isfinite(v["from"]))
    where += [f"aft of {v['to']:.0f} mm"] * bool(np.isfinite(v["to"]))
    butt = f"; {' and '.join(where)} both are butted at the line" if where else ""
    return f"{v['over']} covers the edge of {v['under']}{butt}"


def _bend_words(v: Mapping[str, Any], _: Lengths) -> str:
    if v["radius"] is None:
        return "It is not bent"
    return (
        f"Bends to a radius of {v['radius']:.0f} mm, {v['aft']:.0f} mm aft: first try a piece of the "
        "same plywood round it"
    )


def _trim_words(v: Mapping[str, Any], _: Lengths) -> str:
    if not v["left"]:
        return "The saw line leaves nothing to trim"
    return f"The saw line leaves {v['left']:g} mm all round, to be trimmed on the boat"


def _sheets_words(v: Mapping[str, Any], _: Lengths) -> str:
    sheets = ", ".join(f"{sheet:g}" for sheet in v["sheets"])
    return (
        f"Scarfed of sheets {sheets} mm long, from forward aft; scarfs {v['ratio']:g}:1, "
        f"{v['scarf']:.0f} mm long"
    )


def _station_words(v: Mapping[str, Any], _: Lengths) -> str:
    return f"station {v['station']}" + (
        f": frame {v['frame']}, moulded face" if v["frame"] is not None else ""
    )


WORDS: Mapping[str, Template] = {
    **PLANK_WORDS,
    "moulded face laid flat": lambda _, __: "inside face of the starboard strake, laid flat",
    "inside-is-traced": lambda _, __: "Trace on the inside face; for the port strake turn the pattern over",
    "bend": _bend_words,
    "bends-most": lambda v, _: f"bends most here: radius {v['radius']:.0f} mm",
    "covers": _covers_words,
    "trim": _trim_words,
    "as-sawn": lambda v, _: (
        f"As sawn it is {v['long']:.0f} mm long, along its grain, and {v['broad']:.0f} mm wide"
    ),
    "sheets": _sheets_words,
    "twist": lambda v, _: (
        f"No sheet lies quite true here: it twists by {angle_words(v['angle'])} from edge to edge "
        f"{v['aft']:.0f} mm aft"
    ),
    "edge-longer": lambda v, _: (
        f"Its edge at the {v['line']} is {v['by']:+.1f} mm longer on the flat than in the boat"
    ),
    "offer-up": lambda _, __: "Offer it up in hardboard or card before the good sheet is cut",
    # lines
    "inside-of": lambda v, _: f"inside of {v['strake']}",
    "station": _station_words,
    "frame-lands": lambda v, _: f"frame {v['frame']}, {v['face']}",
    "sheets-scarf": lambda v, _: f"scarf {v['number']} {v['which']}",
    # distances
    "fore-end-to-corner": lambda v, _: f"fore end to {v['which']} after corner",
    "after-edge": lambda _, __: "after edge, corner to corner",
}


KIND = MemberKind(
    name="strake",
    order=150,
    pieces=pieces,
    stage=WorkStage.PLANKING,
    tables=(Table(name="strake_pattern", model=StrakePatternSpec, named=False),),
    rules=(strake_rules,),
)
