"""What a round-bilge strake and the rows it is faired from must agree on."""

from __future__ import annotations

from collections.abc import Iterator

from patterns.design.models import StrakeSpec, TransomEnd
from patterns.design.parts import DESIGN_FILE, Parts
from patterns.design.round_models import ButtockSpec, DiagonalSpec, WaterlineSpec
from patterns.design.stem_models import StemEnd
from patterns.errors import Problem

__all__ = ["LEVELS", "round_rules"]

LEVELS = ("waterline", "buttock", "diagonal")


def round_rules(parts: Parts) -> Iterator[Problem]:
    """A round bilge lies between keel and sheer alone, and has rows between them; no other strake has."""
    round_ones = [place for place, strake in parts.all(StrakeSpec) if strake.sections == "round"]
    lines = parts.names.get("line", [])
    asked = [name for name in LEVELS if parts.names.get(name)]
    for place in round_ones:
        if len(lines) > 2:
            yield Problem(
                f"{place}, key sections",
                f"a round bilge runs from the keel to the sheer, and the design has {len(lines)} lines",
                "name keel and sheer alone, or draw the strake straight",
                code="round-between-lines",
            )
        if not asked:
            yield Problem(
                f"{place}, key sections",
                "nothing says how round she is between keel and sheer",
                "name the table's other rows, each in a [[waterline]], [[buttock]] or [[diagonal]]",
                code="round-without-rows",
            )
    if asked and not round_ones and parts.all(StrakeSpec):
        yield Problem(
            DESIGN_FILE,
            f"there is a [[{asked[0]}]], and no strake is round",
            'write sections = "round" in the [[strake]] from keel to sheer, or take the rows out',
            code="rows-without-round",
        )
    known: dict[str, str] = dict.fromkeys(lines, "line")
    for table in LEVELS:
        names = parts.names.get(table, [])
        for name in sorted({name for name in names if names.count(name) > 1 or name in known}):
            yield Problem(
                f'{DESIGN_FILE}, {table} "{name}"',
                f"this name is used in a [[{known[name]}]] too"
                if name in known
                else "this name is used twice",
                "give each row of the table a name of its own",
                code="same-name",
            )
        known.update(dict.fromkeys(names, table))
    yield from _levels(parts)
    yield from _sheets(parts)


def _levels(parts: Parts) -> Iterator[Problem]:
    """Two waterlines at one height, two buttocks at one half-breadth; a diagonal that is level."""
    for model, key in ((WaterlineSpec, "height"), (ButtockSpec, "half_breadth")):
        seen: dict[float, str] = {}
        for place, level in parts.all(model):
            at = float(getattr(level, key))
            if at in seen:
                yield Problem(
                    f"{place}, key {key}",
                    f'"{seen[at]}" lies there already',
                    "correct one of them",
                    code="same-level",
                )
            seen.setdefault(at, str(getattr(level, "name", "")))
    for place, diagonal in parts.all(DiagonalSpec):
        if diagonal.through.height == diagonal.height:
            yield Problem(
                f"{place}, key through",
                "a diagonal that runs level is a waterline",
                "correct one of its heights",
                code="level-diagonal",
            )


def _sheets(parts: Parts) -> Iterator[Problem]:
    """Round bilges, that cannot be run out to a boat's other ends."""
    other = [end for _, end in parts.all(TransomEnd) if end.at == "bow"]
    if not other and all(stem.at == "bow" for _, stem in parts.all(StemEnd)):
        return
    for place, strake in parts.all(StrakeSpec):
        if strake.sections == "round":
            yield Problem(
                f"{place}, key sections",
                f"a {strake.sections} strake runs from a stem at the bow to a transom at the stern, and this "
                "boat's ends are others",
                'write "straight"',
                code="round-with-other-ends",
            )
