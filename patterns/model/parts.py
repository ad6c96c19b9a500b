"""The boat's own parts as pieces of a model: outlines of frames and so on, planks laid flat, timbers as strips."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import lru_cache
from typing import Any

import numpy as np

from patterns.boat import Boat, hull_of
from patterns.design.strake_models import StrakePatternSpec
from patterns.errors import PatternsError
from patterns.flat.overlays import union
from patterns.hull.bending import most_twist
from patterns.hull.hull import Strake
from patterns.hull.planes import FloatArray
from patterns.hull.sheet_doubts import MOST_TWIST
from patterns.joinery.strake_flat import lay_strake_flat
from patterns.model.piece import ModelPiece, outlines_of
from patterns.pattern import Kind, Pattern
from patterns.subject import BoatSubject
from patterns.wood.piece import Role

__all__ = ["Strip", "part_pieces", "strips_of", "unlaid_planks"]

SPARE = 10.0  # mm of paper that a strip is cut longer
CENTRED = 1e-3  # mm from the centreline; a half's line that ends there is mirrored into a whole

Strip = tuple[str, str, str]
"""A timber's name, how many, and its size at the model's scale in words."""


def part_pieces(subject: BoatSubject, factor: float) -> tuple[ModelPiece, ...]:
    """Every piece of wood as its saw line, and every plank that lies flat; no tools and no papers to mark by.

    Args:
        factor: mm of the model for a mm of the boat.
    """
    own = [
        pattern
        for pattern in subject.patterns()
        if not pattern.template and pattern.role is Role.PIECE and pattern.member != "strake"
    ]
    return (*(_piece(pattern, factor) for pattern in own), *_planks(subject.boat, factor)[0])


def unlaid_planks(boat: Boat) -> tuple[str, ...]:
    """The strakes that do not lie flat, so that no plank can be cut for them."""
    return _planks(boat, 1.0)[1]


def _planks(boat: Boat, factor: float) -> tuple[tuple[ModelPiece, ...], tuple[str, ...]]:
    found, unlaid = [], []
    for strake in boat.hull.strakes:
        area = _flat(boat, strake)
        if area is None and (sheet := _of_sheet(boat)) is not None:
            area = _flat(sheet, next(one for one in sheet.hull.strakes if one.name == strake.name))
        if area is None:
            unlaid.append(strake.name)
            continue
        stock = f"{factor * strake.planking:.1f} mm"
        found.append(
            ModelPiece(name=f"{strake.name} strake", count=2, stock=stock, outlines=outlines_of(area))
        )
    return tuple(found), tuple(unlaid)


def _flat(boat: Boat, strake: Strake) -> Any:
    """A strake of sheet laid flat, both of its faces, as an area; None where no sheet lies so."""
    if boat.lines.girth is not None or most_twist(strake).much > MOST_TWIST:
        return None
    spec = StrakePatternSpec.model_validate({"strake": strake.name, "stock": "plank", "trim": "0 mm"})
    try:
        inside, outside = lay_strake_flat(boat, spec, strake).faces
    except PatternsError:
        return None
    return union(inside.area, outside.area)


@lru_cache(maxsize=1)
def _of_sheet(boat: Boat) -> Boat | None:
    """The boat with all strakes as a sheet bends, between the same lines; None where there are no such sheets."""
    strakes = [strake.model_copy(update={"sections": "developable"}) for strake in boat.design.strakes]
    try:
        design = boat.design.model_copy(update={"strakes": tuple(strakes)})
        return replace(boat, design=design, hull=hull_of(design, boat.lines))
    except PatternsError:
        return None


def _piece(pattern: Pattern, factor: float) -> ModelPiece:
    thick = factor * pattern.thickness
    return ModelPiece(
        name=pattern.name,
        count=pattern.made,
        stock=f"{thick:.1f} mm",
        outlines=tuple(_outlines(pattern)),
        thin=tuple(line.points for line in pattern.of_kind(Kind.JOINT) if not line.closed),
    )


def _outlines(pattern: Pattern) -> Iterator[FloatArray]:
    """Its saw lines, closed; of a half, flipped about the centreline into a whole."""
    for line in pattern.of_kind(Kind.SAW):
        points = line.points
        if line.closed or np.abs(points[[0, -1], 0]).max() > CENTRED:
            yield points
        else:
            yield np.vstack([points, points[-2:0:-1] * (-1.0, 1.0)])


def strips_of(boat: Boat, factor: float) -> tuple[Strip, ...]:
    """The long timbers as straight strips to be bent on: their number, breadth, thickness and length."""
    return tuple(
        (
            run.name,
            "2" if run.mirrored else "1",
            f"{factor * run.across:.1f} x {factor * run.deep:.1f} mm, {factor * run.length + SPARE:.0f} mm long",
        )
        for run in boat.runs
    )
