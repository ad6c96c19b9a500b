"""The boat in space: her lines and every member in its place, to be turned by hand; without script a fixed drawing.

What the script draws is data beside it (`data_of`); the drawing for a page without script is made of the same.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence

import numpy as np
import shapely

from patterns.boat import Boat
from patterns.fairing.cells import FairedCell
from patterns.flat import overlays
from patterns.hull.planes import FloatArray
from patterns.pattern import Pattern
from patterns.picture.lines import Marked, spot_in_space
from patterns.picture.markup import Markup, shown, tag
from patterns.picture.sections import PagePart, part_of
from patterns.picture.solids import Shape, SolidPiece, solid_pieces, thinned_in_space, whole_mm
from patterns.shop.in_space import HullLine, space_lines
from patterns.wood.region import Area

__all__ = ["data_of", "looking", "space_part"]

AHEAD, ABOVE = np.radians(-52.0), np.radians(24.0)  # the first look: from ahead to port, from above
SIDES = (np.array([1.0, 1.0, 1.0]), np.array([1.0, -1.0, 1.0]))  # starboard and port
WIDE = 360.0  # units of the fixed drawing
RIM = 6.0
LEAST = 0.4  # units2; a lesser spot is left out
SAID = "Her pieces where they lie. Drag to turn her; choose a piece to see its name, its pages and its card."


def space_part(boat: Boat, patterns: Sequence[Pattern]) -> PagePart:
    """The part: the view, and a list of everything in it."""
    pieces, lines = solid_pieces(boat, patterns), space_lines(boat)
    data = json.dumps(data_of(boat, pieces, lines), separators=(",", ":"), ensure_ascii=False)
    inside = Markup(data.replace("<", "\\u003c").replace("\u2028", " ").replace("\u2029", " "))
    view = tag("div", _fixed(pieces, lines), class_="space", id="boat-view")
    listed = [tag("li", _chosen(number, piece, patterns)) for number, piece in enumerate(pieces)]
    return part_of(
        "boat",
        "Boat",
        tag("h2", "The boat"),
        tag("p", SAID) if pieces else tag("p", "The lines as faired. Drag to turn them."),
        tag("div", view, tag("ul", *listed, class_="members", aria_label="Pieces"), class_="in-space"),
        tag("script", inside, type="application/json", id="boat-data"),
    )


def _chosen(number: int, piece: SolidPiece, patterns: Sequence[Pattern]) -> Markup:
    """A piece in the list: a way to its pattern where it has one."""
    if piece.pattern < 0:
        return tag("a", piece.name, href="#boat-view", data_n=number)
    pattern = patterns[piece.pattern]
    words = f"{piece.name}, quantity {pattern.quantity}"
    return tag("a", piece.name, href=f"#p{piece.pattern + 1}a", data_n=number, aria_label=words)


def data_of(boat: Boat, pieces: Sequence[SolidPiece], lines: Sequence[HullLine]) -> Mapping[str, object]:
    """What the script draws, in whole mm: lines, pieces, and the suspect offsets with where each is wanted."""
    return {
        "first": [round(float(AHEAD), 4), round(float(ABOVE), 4)],
        "lines": [
            {"name": shown(line.name), "what": line.what, "at": whole_mm(thinned_in_space(line.points))}
            for line in lines
        ],
        "pieces": [
            {
                "name": shown(piece.name),
                "key": f"p{piece.pattern + 1}" if piece.pattern >= 0 else "",
                "group": piece.group,
                "skin": int(piece.skin),
                "shapes": piece.shapes,
            }
            for piece in pieces
        ],
        "suspects": list(_suspects(boat)),
    }


def _suspects(boat: Boat) -> Iterator[Mapping[str, object]]:
    seen = Marked.of(boat)
    cells: dict[tuple[str, str, str], FairedCell] = {
        (row.line, row.view, row.label): row for row in boat.lines.rows
    }
    for number, suspect in enumerate(boat.lines.suspects, start=1):
        row = cells.get((suspect.line, suspect.view, suspect.label))
        if row is None:
            continue
        typed, wanted = (spot_in_space(seen, cells, row, at) for at in (suspect.offset, suspect.wanted))
        if typed is not None and wanted is not None:
            yield {
                "number": number,
                "typed": whole_mm(typed),
                "wanted": whole_mm(wanted),
                "words": shown(str(suspect)),
            }


def looking(ahead: float, above: float) -> FloatArray:
    """The way one looks at the boat, (3, 3): right, up, and towards the eye, as rows.

    Args:
        ahead: how far round the eye is, radians: 0 from right ahead, less than 0 to port of that.
        above: how high it is, radians.
    """
    eye = np.array([-np.cos(ahead) * np.cos(above), np.sin(ahead) * np.cos(above), np.sin(above)])
    right = np.array([-np.sin(ahead), -np.cos(ahead), 0.0])
    return np.stack([right, np.cross(eye, right), eye])


# ------------------------------------------------------------------ without script


def _fixed(pieces: Sequence[SolidPiece], lines: Sequence[HullLine]) -> Markup:
    """The first look as a drawing: the hull's lines, and over them the pieces, the farthest first."""
    way = looking(float(AHEAD), float(ABOVE))
    runs = [(side * line.points) @ way.T for line in lines for side in SIDES]
    spots = sorted(
        (spot for n, piece in enumerate(pieces) if not piece.skin for spot in _spots(n, piece, way)),
        key=lambda spot: spot[0],
    )
    low, high = (fit(np.vstack(runs)[:, :2], axis=0) for fit in (np.min, np.max))
    for _, _, area in spots:
        low, high = np.minimum(low, area.bounds[:2]), np.maximum(high, area.bounds[2:])
    scale = (WIDE - 2.0 * RIM) / float(high[0] - low[0])
    tall = float(high[1] - low[1]) * scale + 2.0 * RIM

    def data(points: FloatArray) -> str:
        on = np.column_stack([points[:, 0] - low[0], high[1] - points[:, 1]]) * scale + RIM
        return "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in on.tolist())

    hull = "".join(
        data(np.asarray(shapely.LineString(run[:, :2]).simplify(0.3 / scale).coords)) for run in runs
    )
    drawn = []
    for _, number, area in spots:
        parts = [part for part in shapely.get_parts(area) if part.area * scale**2 > LEAST]
        rings = [ring for part in parts for ring in (part.exterior, *part.interiors)]
        d = "".join(data(np.asarray(ring.simplify(0.2 / scale).coords)) + "Z" for ring in rings)
        if d:
            drawn.append(tag("path", tag("title", pieces[number].name), d=d, class_="wood"))
    return tag(
        "svg",
        tag("path", d=hull, class_="hull"),
        *drawn,
        viewBox=f"0 0 {WIDE:g} {tall:.4g}",
        role="img",
        aria_label="The boat from ahead to port",
    )


def _spots(number: int, piece: SolidPiece, way: FloatArray) -> Iterator[tuple[float, int, Area]]:
    """What each of a piece's shapes covers as it is seen, on either side, with how near it is."""
    for shape in piece.shapes:
        for side in SIDES[: 1 + bool(shape["pair"])]:
            turn = (side[:, None] * way.T)[:, :2]
            areas = [_area([ring @ turn for ring in face]) for face in _faces(shape)]
            middle = np.mean([face[0].mean(axis=0) for face in _faces(shape)], axis=0)
            yield float((side * middle) @ way[2]), number, overlays.union(*areas)


def _area(rings: Sequence[FloatArray]) -> Area:
    """A face as it is seen, without its openings."""
    whole, *openings = sorted((shapely.make_valid(shapely.Polygon(r)) for r in rings), key=lambda a: -a.area)
    return overlays.difference(whole, *openings) if openings else whole


def _faces(shape: Shape) -> Iterator[list[FloatArray]]:
    """The polygons around a shape: of each its outline and its openings, (n, 3)."""
    if "rings" in shape:
        pairs = list(_pairs(shape["rings"]))
        yield from ([pair[side] for pair in pairs] for side in (0, 1))
        for one, other in pairs:
            after = np.roll(one, -1, axis=0), np.roll(other, -1, axis=0)
            yield from ([quad] for quad in np.stack([one, after[0], after[1], other], axis=1))
        return
    key = "bar" if "bar" in shape else "skin"
    grid = np.array(shape[key], dtype=float).reshape(-1, int(str(shape["round"])), 3)
    around = np.roll(grid, -1, axis=1) if key == "bar" else grid[:, 1:]
    grid = grid if key == "bar" else grid[:, :-1]
    quads = np.stack([grid[:-1], around[:-1], around[1:], grid[1:]], axis=2)
    yield from ([quad] for quad in quads.reshape(-1, 4, 3))


def _pairs(rings: object) -> Iterator[tuple[FloatArray, FloatArray]]:
    assert isinstance(rings, list)
    for one, other in rings:
        yield np.array(one, dtype=float).reshape(-1, 3), np.array(other, dtype=float).reshape(-1, 3)
