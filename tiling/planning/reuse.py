"""Marks and pages kept from an earlier run, for pieces that have not changed since; the record for the next run.

Pages that were printed then belong to those that are printed now: the windows are the same to the last figure, and
strokes have moved by less than anybody can see.  Where the design has changed, all that is drawn and said must
agree; where it has not, the outlines alone, as other words and asides come from another version of a program.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import asdict, replace
from typing import Any

import numpy as np

from tiling.drawing import XY, Distance
from tiling.drawing.affine import Affine
from tiling.drawing.comparison import agrees, reference
from tiling.drawing.point_codec import packed, unpacked
from tiling.errors import TilingError
from tiling.layout.grid import PageLayout, Seam, Tile
from tiling.layout.shared_pages import Shared
from tiling.paper import Box, Page
from tiling.planning.piece_plan import Aids, Plan, plan_on, together
from tiling.planning.previous_runs import former_text
from tiling.planning.request import Job, Piece, unlike_labels

__all__ = ["kept_plans", "next_record"]

UNREADABLE = (ValueError, TypeError, KeyError, IndexError, AttributeError)


def kept_plans(job: Job) -> dict[tuple[int, ...], Plan]:
    """Plans of those pieces that agree with an entry of the job's record, by the pieces' places in the job."""
    labels = unlike_labels(job.pieces)
    places = {label: index for index, label in enumerate(labels)}
    found: dict[tuple[int, ...], Plan] = {}
    taken: set[int] = set()
    names: set[str] = set()
    for entry in job.former.laid:
        try:
            members = _members(entry, job, places)
            if members is None or taken.intersection(members) or entry["label"] in names:
                continue
            plan = _kept(entry, job, [job.pieces[index] for index in members], [labels[i] for i in members])
        except (*UNREADABLE, TilingError):  # what cannot be read, or has no room for its words, is laid anew
            continue
        if plan is not None:
            found[members] = plan
            taken.update(members)
            names.add(plan.label)
    return found


def next_record(job: Job, plans: Sequence[Plan]) -> str:
    """The record of the job's plans, each of which has its mark, for later runs."""
    labels = {id(piece): label for piece, label in zip(job.pieces, unlike_labels(job.pieces), strict=True)}
    return former_text((_entry(job, plan, labels) for plan in plans), job.former)


def _settings(job: Job) -> str:
    """What is asked of the pages beside the pieces."""
    printer = "" if job.correction is None else job.correction.words()
    return repr((job.title, job.roll or job.page, printer, job.share, job.search))


def _made_from(piece: Piece) -> str:
    return hashlib.sha256(piece.made_from.encode()).hexdigest()[:32]


def _entry(job: Job, plan: Plan, labels: Mapping[int, str]) -> Mapping[str, Any]:
    if plan.kept is not None:
        return plan.kept
    layout, shared = plan.layout, plan.shared
    parts = plan.piece.parts or (plan.piece,)
    return {
        "label": plan.label,
        "mark": plan.mark,
        "settings": _settings(job),
        "made_from": _made_from(plan.piece),
        "parts": [
            {
                "label": labels[id(part)],
                "place": None if shared is None else _numbers(shared.places[number]),
                "room": packed(shared.rooms[number]) if shared is not None and shared.rooms else None,
                "fence": list(shared.fences[number]) if shared is not None and shared.fences else None,
                "drawn": reference(part.drawing, job.asides),
            }
            for number, part in enumerate(parts)
        ],
        "layout": _layout_data(layout),
        "saved": plan.saved,
        "distances": [[each.name, *each.start, *each.end] for each in plan.aids.distances],
        "lines": [[piece.ravel().tolist() for piece in line] for line in plan.aids.lines],
    }


def _members(entry: Mapping[str, Any], job: Job, places: Mapping[str, int]) -> tuple[int, ...] | None:
    """The places in the job of an entry's pieces; None where it is of other pieces or other settings."""
    if entry["settings"] != _settings(job) or not isinstance(entry["mark"], str):
        return None
    found = [places.get(str(part["label"])) for part in entry["parts"]]
    members = tuple(index for index in found if index is not None)
    return members if found and len(members) == len(found) == len(set(members)) else None


def _kept(entry: Mapping[str, Any], job: Job, pieces: Sequence[Piece], labels: Sequence[str]) -> Plan | None:
    """The plan as it was laid; None where a piece has changed."""
    if len(pieces) > 1 and any(piece.alone for piece in pieces):
        return None
    shared = _shared(entry, pieces) if len(pieces) > 1 else None
    piece, label = pieces[0], labels[0]
    if shared is not None:
        piece = together(pieces, labels, shared.drawing([each.drawing for each in pieces]))
        label = piece.name
    if entry["label"] != label:
        return None
    unchanged = entry["made_from"] == _made_from(piece)
    for part, each in zip(entry["parts"], pieces, strict=True):
        if not agrees(part["drawn"], each.drawing, job.asides, outlines_alone=unchanged):
            return None
    layout = _layout(entry["layout"], job.roll or job.page)
    aids = Aids(
        distances=tuple(
            Distance(name=str(name), start=(float(x0), float(y0)), end=(float(x1), float(y1)))
            for name, x0, y0, x1, y1 in entry["distances"]
        ),
        lines=tuple(
            tuple(np.array(piece, dtype=float).reshape(2, 2) for piece in line) for line in entry["lines"]
        ),
    )
    plan = plan_on(piece, label, layout, aids)
    return replace(plan, saved=int(entry["saved"]), shared=shared, mark=str(entry["mark"]), kept=entry)


def _shared(entry: Mapping[str, Any], pieces: Sequence[Piece]) -> Shared:
    fenced = entry["parts"][0]["fence"] is not None
    return Shared(
        members=tuple(range(len(pieces))),
        places=tuple(_affine(part["place"]) for part in entry["parts"]),
        rooms=() if fenced else tuple(unpacked(part["room"]) for part in entry["parts"]),
        fences=tuple(_box(part["fence"]) for part in entry["parts"]) if fenced else (),
        choices=("",) * len(pieces),
    )


def _box(sides: Sequence[float]) -> Box:
    x0, y0, x1, y1 = map(float, sides)
    return x0, y0, x1, y1


def _numbers(place: Affine) -> list[float]:
    return list(asdict(place).values())


def _affine(numbers: Sequence[float]) -> Affine:
    a, b, c, d, tx, ty = map(float, numbers)
    return Affine(a=a, b=b, c=c, d=d, tx=tx, ty=ty)


def _layout_data(layout: PageLayout) -> dict[str, Any]:
    return {
        "length": layout.page.paper.height,
        "to_grid": _numbers(layout.to_grid),
        "size": [layout.rows, layout.columns, layout.plain],
        "choice": layout.choice,
        "tiles": [[tile.row, tile.column, *tile.window] for tile in layout.tiles],
        "seams": [
            [
                seam.over,
                seam.under,
                seam.side,
                *seam.gives,
                *(c for end in (*seam.line, *seam.marks) for c in end),
            ]
            for seam in layout.seams
        ],
    }


def _layout(data: Mapping[str, Any], page: Page) -> PageLayout:
    """The layout as it was.

    Args:
        page: as it is asked for; pages of a roll were as long as the entry says.
    """
    rows, columns, plain = map(int, data["size"])
    if page.paper.roll:
        page = replace(page, paper=replace(page.paper, height=float(data["length"])))
    return PageLayout(
        page=page,
        to_grid=_affine(data["to_grid"]),
        rows=rows,
        columns=columns,
        tiles=tuple(_tile(*row) for row in data["tiles"]),
        seams=tuple(_seam(*row) for row in data["seams"]),
        plain=plain,
        choice=str(data["choice"]),
    )


def _tile(row: int, column: int, *window: float) -> Tile:
    x0, y0, x1, y1 = map(float, window)
    return Tile(row=int(row), column=int(column), window=(x0, y0, x1, y1))


def _seam(over: int, under: int, side: str, low: int, high: int, *ends: float) -> Seam:
    first, second, third, fourth = _pairs(ends)
    return Seam(
        over=int(over),
        under=int(under),
        side="right" if side == "right" else "above",
        line=(first, second),
        marks=(third, fourth),
        gives=(int(low), int(high)),
    )


def _pairs(numbers: Sequence[float]) -> list[XY]:
    return [(float(x), float(y)) for x, y in zip(numbers[::2], numbers[1::2], strict=True)]
