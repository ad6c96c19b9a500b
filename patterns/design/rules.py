"""What the tables of the design file must agree on between themselves."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import pairwise

from patterns.design.deck_rules import deck_rules
from patterns.design.floor_rules import floor_problems
from patterns.design.frame_rules import frame_problems
from patterns.design.models import (
    BreasthookSpec,
    DeckSpec,
    KeelSpec,
    KneeSpec,
    LaidSpec,
    LineSpec,
    StemEnd,
    StrakeSpec,
    TableSpec,
    TransomEnd,
)
from patterns.design.parts import DESIGN_FILE, Parts
from patterns.design.plane_rules import plane_problems
from patterns.design.rack_rules import rack_rules
from patterns.design.round_rules import mould_rules, round_rules
from patterns.design.stem_rules import stem_rules
from patterns.design.strake_rules import strake_problems
from patterns.design.table_rules import table_rules
from patterns.design.timber_rules import timber_problems
from patterns.design.transom_rules import transom_problems
from patterns.errors import Problem
from patterns.words import nearest, written

__all__ = ["rules"]

NAMED = (
    "line",
    "strake",
    "timber",
    "frame",
    "mould",
    "floor",
    "knee",
    "beam",
    "carling",
    "king_plank",
    "support",
)


def rules(parts: Parts) -> list[Problem]:
    """Every disagreement between the tables that could be read."""
    return [
        *_names(parts),
        *rack_rules(parts),
        *_lines(parts),
        *_ends(parts),
        *transom_problems(parts),
        *stem_rules(parts),
        *_strakes(parts),
        *_timbers(parts),
        *timber_problems(parts),
        *_deck(parts),
        *_knees(parts),
        *plane_problems(parts),
        *deck_rules(parts),
        *frame_problems(parts),
        *round_rules(parts),
        *table_rules(parts),
        *strake_problems(parts),
        *mould_rules(parts),
        *floor_problems(parts),
    ]


def _names(parts: Parts) -> Iterator[Problem]:
    for table in NAMED:
        names = [str(getattr(entry, "name", "")) for _, entry in parts.entries.get(table, [])]
        for name in sorted({name for name in names if names.count(name) > 1}):
            yield Problem(
                f'{DESIGN_FILE}, {table} "{name}"',
                f"this name stands {names.count(name)} times",
                f"give each {table} a name of its own",
                code="same-name",
            )


def _lines(parts: Parts) -> Iterator[Problem]:
    lines = parts.all(LineSpec)
    if len(parts.names.get("line", [])) == 1:
        want = "name at least the keel and the sheer"
        yield Problem(DESIGN_FILE, "only one line is named", want, code="missing-table")
    for place, line in lines:
        if line.straight and line.knuckles:
            yield Problem(
                place, "a straight line has knuckles", "take one of the two out", code="conflicting-keys"
            )
        for knuckle in line.knuckles:
            if not re.fullmatch(r"station .+", knuckle):
                yield Problem(
                    f"{place}, key knuckles",
                    f'"{knuckle}" is no station',
                    'write it as "station 3"',
                    code="not-a-station",
                )


def _ends(parts: Parts) -> Iterator[Problem]:
    given = parts.names.get("end", [])
    for at in ("bow", "stern"):
        count = given.count(at)
        if given and count == 0:
            want = f'write an [[end]] with at = "{at}"'
            yield Problem(DESIGN_FILE, f"the {at} is not given", want, code="missing-table")
        if count > 1:
            yield Problem(
                f'{DESIGN_FILE}, end "{at}"',
                f"the {at} is given {count} times",
                "keep one of them",
                code="end-given-twice",
            )
    table, stems = parts.one(TableSpec), parts.all(StemEnd)
    for place, stem in stems:
        if table is not None and stem.profile is not None and table.file == stem.profile:
            yield Problem(
                f"{place}, key profile",
                f'"{stem.profile}" is the table of offsets itself',
                "give the stem's points a file of their own",
                code="same-file",
            )
    if len(stems) > 1 and stems[0][1].profile == stems[1][1].profile is not None:
        yield Problem(
            f"{stems[1][0]}, key profile",
            f'"{stems[1][1].profile}" holds the points of the other stem',
            "give each stem a file of its own",
            code="same-file",
        )
    for place, stern in parts.all(TransomEnd):
        framing = {
            "framing": stern.framing,
            "framing_moulded": stern.framing_moulded,
            "framing_stock": stern.framing_stock or None,
        }
        asked = stern.centre_post is not None or any(value is not None for value in framing.values())
        for key, value in framing.items():
            if asked and value is None:
                yield Problem(
                    f"{place}, key {key}",
                    "is missing",
                    f"the framing needs {', '.join(framing)}; a transom without framing has none of them",
                    code="needed-key",
                )


def _strakes(parts: Parts) -> Iterator[Problem]:
    names = parts.names.get("line", [])
    pairs = list(pairwise(names))
    covered: dict[tuple[str, str], str] = {}
    whole = True
    for place, strake in parts.all(StrakeSpec):
        where = f"{place}, key between"
        unknown = [name for name in strake.between if name not in names]
        for name in unknown:
            yield Problem(
                where,
                f'there is no line "{name}"',
                nearest(name, names) or f"lines: {written(names)}",
                code="unknown-name",
            )
        whole = whole and not unknown
        if unknown:
            continue
        low, high = strake.between
        if (low, high) in covered:
            yield Problem(
                where,
                f'strake "{covered[low, high]}" lies between these lines already',
                "keep one of them",
                code="strake-given-twice",
            )
        elif (low, high) in pairs:
            covered[low, high] = strake.name
        elif (high, low) in pairs:
            covered[high, low] = strake.name
            yield Problem(
                where, "the upper line stands first", f'write ["{high}", "{low}"]', code="upper-line-first"
            )
        else:
            whole = False
            yield Problem(
                where,
                f'"{low}" and "{high}" are not neighbours',
                f"the lines from the centreline up are {', '.join(names)}",
                code="lines-not-neighbours",
            )
    given = len(parts.names.get("strake", []))
    if not whole or given != len(parts.all(StrakeSpec)) or given == 0:
        return
    for low, high in pairs:
        if (low, high) not in covered:
            yield Problem(
                DESIGN_FILE,
                f'no strake lies between "{low}" and "{high}"',
                "every two neighbours need one",
                code="no-strake-between",
            )


def _timbers(parts: Parts) -> Iterator[Problem]:
    keels = parts.all(KeelSpec)
    if len(keels) > 1:
        yield Problem(keels[1][0], "there is a keel already", "keep one of them", code="keel-given-twice")
    lines, strakes = parts.names.get("line", []), parts.names.get("strake", [])
    known = {strake.name: strake for _, strake in parts.all(StrakeSpec)}
    for place, timber in parts.all(LaidSpec):
        follows, against = timber.follows, timber.against
        if follows not in lines:
            yield Problem(
                f"{place}, key follows",
                f'there is no line "{follows}"',
                nearest(follows, lines) or f"lines: {written(lines)}",
                code="unknown-name",
            )
        elif timber.kind == "clamp" and follows != lines[-1]:
            yield Problem(
                f"{place}, key follows",
                "a clamp lies inside the sheer",
                f'write "{lines[-1]}"',
                code="clamp-off-sheer",
            )
        elif timber.kind == "chine log" and follows in (lines[0], lines[-1]):
            yield Problem(
                f"{place}, key follows",
                f'"{follows}" is no chine',
                f"write {written(lines[1:-1])}" if lines[1:-1] else "this boat has no chine",
                code="not-a-chine",
            )
        if against not in strakes:
            yield Problem(
                f"{place}, key against",
                f'there is no strake "{against}"',
                nearest(against, strakes) or f"strakes: {written(strakes)}",
                code="unknown-name",
            )
        elif against in known and follows in lines and follows not in known[against].between:
            beside = [name for name, strake in known.items() if follows in strake.between]
            yield Problem(
                f"{place}, key against",
                f'strake "{against}" does not meet the line "{follows}"',
                f"write {written(beside)}" if beside else "",
                code="strake-off-line",
            )


def _deck(parts: Parts) -> Iterator[Problem]:
    for place, deck in parts.all(DeckSpec):
        given = {"thickness": deck.thickness, "crown": deck.crown, "rise": deck.rise_ratio}
        if deck.kind == "none":
            for key, value in given.items():
                if value is not None:
                    yield Problem(
                        f"{place}, key {key}",
                        "there is no deck to have it",
                        'take out kind = "none" or it',
                        code="no-deck",
                    )
            table = parts.one(TableSpec)
            if table is not None and "deck" in table.sheer_to:
                yield Problem(
                    f"{DESIGN_FILE}, [table], key sheer_to",
                    f'"{table.sheer_to}" stands there, and the design has no deck',
                    'write "top of planking", or give the deck',
                    code="no-deck",
                )
            continue
        if deck.thickness is None:
            yield Problem(
                f"{place}, key thickness",
                "is missing",
                'give it, or say kind = "none" where there is no deck',
                code="needed-key",
            )
        if (deck.crown is None) == (deck.rise_ratio is None):
            both = deck.crown is not None
            yield Problem(
                f"{place}, key crown",
                "crown and rise both stand there" if both else "is missing",
                "keep one of them"
                if both
                else 'give crown or rise, as crown = "2 in" or rise = "1/2 in per 1 ft"',
                code="conflicting-keys" if both else "needed-key",
            )


def _knees(parts: Parts) -> Iterator[Problem]:
    for place, knee in parts.all(KneeSpec):
        if knee.throat >= min(knee.along_keel, knee.up_transom):
            yield Problem(
                f"{place}, key throat",
                "is deeper than an arm is long",
                "make it less than both arms",
                code="throat-too-deep",
            )
    for place, hook in parts.all(BreasthookSpec):
        if hook.throat >= hook.length:
            yield Problem(
                f"{place}, key throat",
                "is deeper than the breasthook is long",
                "make it less than length",
                code="throat-too-deep",
            )
