"""What the tables of the design file must agree on between themselves."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from patterns.design.clinker_rules import clinker_rules
from patterns.design.cross_plank_rules import cross_plank_rules
from patterns.design.kinds import kinds, member_tables
from patterns.design.lining_rules import lining_rules
from patterns.design.models import DeckSpec, LineSpec, StemEnd, StrakeSpec, TableSpec
from patterns.design.parts import DESIGN_FILE, Parts
from patterns.design.rack_rules import rack_rules
from patterns.design.ref_cycles import cycle_problems
from patterns.design.refs import ref_problems
from patterns.design.round_rules import round_rules
from patterns.design.set_up_rules import set_up_rules
from patterns.design.table_rules import table_rules
from patterns.errors import Problem
from patterns.measure.along import station_named
from patterns.measure.nearest import nearest, written

__all__ = ["rules"]

NAMED = ("line", "strake")  # tables of the boat herself whose entries have names


def rules(parts: Parts) -> list[Problem]:
    """Every disagreement between the tables that could be read."""
    return [
        *_names(parts),
        *_groups(parts),
        *ref_problems(parts),
        *cycle_problems(parts),
        *rack_rules(parts),
        *_lines(parts),
        *_ends(parts),
        *_strakes(parts),
        *_deck(parts),
        *round_rules(parts),
        *clinker_rules(parts),
        *lining_rules(parts),
        *cross_plank_rules(parts),
        *table_rules(parts),
        *set_up_rules(parts),
        *(problem for kind in kinds() for rule in kind.rules for problem in rule(parts)),
    ]


def _names(parts: Parts) -> Iterator[Problem]:
    for table in dict.fromkeys([*NAMED, *(table.name for table in member_tables() if table.named)]):
        names = [str(getattr(entry, "name", "")) for _, entry in parts.entries.get(table, [])]
        for name in sorted({name for name in names if names.count(name) > 1}):
            yield Problem(
                f'{DESIGN_FILE}, {table} "{name}"',
                f"this name is used {names.count(name)} times",
                f"give each {table} a name of its own",
                code="same-name",
            )


def _groups(parts: Parts) -> Iterator[Problem]:
    """Entries of tables that share their names, e.g. those that are lapped into each other by name."""
    seen: dict[tuple[str, str], str] = {}
    for table in member_tables():
        for place, piece in parts.entries.get(table.name, []) if table.group else ():
            key = table.group, str(getattr(piece, "name", ""))
            if seen.setdefault(key, table.name) != table.name:
                other = seen[key].replace("_", " ")
                yield Problem(place, f'a {other} is called "{key[1]}" too', "rename one", code="same-name")


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
            if station_named(knuckle) is None:
                yield Problem(
                    f"{place}, key knuckles",
                    f'"{knuckle}" is not a station',
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
                where, "the upper line comes first", f'write ["{high}", "{low}"]', code="upper-line-first"
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


def _deck(parts: Parts) -> Iterator[Problem]:
    for place, deck in parts.all(DeckSpec):
        given = {"thickness": deck.thickness, "crown": deck.crown, "rise": deck.rise_ratio}
        if deck.kind == "none":
            for key, value in given.items():
                if value is not None:
                    yield Problem(
                        f"{place}, key {key}",
                        "this boat has no deck for it",
                        'remove kind = "none", or this key',
                        code="no-deck",
                    )
            table = parts.one(TableSpec)
            if table is not None and table.sheer_to != "top of planking":
                yield Problem(
                    f"{DESIGN_FILE}, [table], key sheer_to",
                    f'"{table.sheer_to}" is given, and the design has no deck',
                    'write "top of planking", or give the deck',
                    code="no-deck",
                )
            continue
        if deck.thickness is None:
            yield Problem(
                f"{place}, key thickness",
                "is missing",
                'give it, or write kind = "none" where there is no deck',
                code="needed-key",
            )
        if (deck.crown is None) == (deck.rise_ratio is None):
            both = deck.crown is not None
            yield Problem(
                f"{place}, key crown",
                "crown and rise are both given" if both else "is missing",
                "keep one of them"
                if both
                else 'give crown or rise, as crown = "2 in" or rise = "1/2 in per 1 ft"',
                code="conflicting-keys" if both else "needed-key",
            )
