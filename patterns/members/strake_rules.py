"""What the flat patterns of strakes must agree on with the strakes and with each other.

Apart from the strake's own file, which is about its flat shape; the keys are in
:mod:`patterns.design.strake_models`, because the joinery of strakes reads them too.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from patterns.design.clinker_models import ClinkerSpec
from patterns.design.entries import Parts
from patterns.design.models import StrakeSpec
from patterns.design.strake_models import StrakePatternSpec, lap_of
from patterns.errors import Problem
from patterns.measure.nearest import written

__all__ = ["strake_rules"]


def strake_rules(parts: Parts) -> Iterator[Problem]:
    """Flat patterns of unknown strakes, laps that are missing or disagree, scarfs without a slope."""
    known = {strake.name: strake for _, strake in parts.all(StrakeSpec)}
    names = parts.names.get("strake", [])
    given: set[str] = set()
    said: dict[frozenset[str], str] = {}
    clinker = parts.one(ClinkerSpec) is not None or "clinker" in parts.unread
    for place, spec in parts.all(StrakePatternSpec):
        if spec.strake not in names:
            continue
        if spec.strake in given:
            yield Problem(
                place,
                f'strake "{spec.strake}" has a pattern already',
                "keep one of them",
                code="pattern-given-twice",
            )
        given.add(spec.strake)
        if spec.strake in known and known[spec.strake].sections == "round":
            yield Problem(
                f"{place}, key strake",
                f'strake "{spec.strake}" is round: no sheet lies so',
                "take its flat pattern out, or plank it between chines",
                code="round-strake-flat",
            )
        if len(spec.sheets) > 1 and spec.scarf_ratio is None:
            yield Problem(
                f"{place}, key scarf_ratio",
                "is missing",
                'its sheets are scarfed together: write the slope, e.g. "8:1"',
                code="needed-key",
            )
        if len(known) == len(names):
            yield from _laps(place, spec, known, said, clinker=clinker)


def _laps(
    place: str,
    spec: StrakePatternSpec,
    known: dict[str, StrakeSpec],
    said: dict[frozenset[str], str],
    *,
    clinker: bool,
) -> Iterator[Problem]:
    """What is wrong with a strake's laps; of clinker planks each laps over the one below it, said or not."""
    order = _in_order(known)
    where = f"{place}, key laps"
    neighbours = {(set(pair) - {spec.strake}).pop() for pair in pairwise(order) if spec.strake in pair}
    met: set[str] = set()
    for words in spec.laps:
        pair = lap_of(words)
        if pair is None:
            yield Problem(where, f'"{words}" says no lap', 'write it as "side over bottom"', code="not-a-lap")
            continue
        other = next((name for name in pair if name != spec.strake), "")
        if spec.strake not in pair or other not in neighbours:
            want = f'write which of "{spec.strake}" and {written(sorted(neighbours))} covers the other'
            yield Problem(
                where, f'"{words}" is not a chine of strake "{spec.strake}"', want, code="lap-off-strake"
            )
            continue
        if other in met:
            yield Problem(
                where,
                f"its chine with {other} is given twice",
                "keep one of them",
                code="lap-given-twice",
            )
        met.add(other)
        if clinker and order.index(pair[0]) < order.index(pair[1]):
            yield Problem(
                where,
                f'"{words}" is set, and a clinker plank laps over the one below it',
                "remove laps: [clinker] gives them",
                code="laps-disagree",
            )
        key = frozenset(pair)
        if said.setdefault(key, f"{pair[0]} over {pair[1]}") != f"{pair[0]} over {pair[1]}":
            yield Problem(
                where,
                f'"{words}" is set here, and "{said[key]}" at the other strake',
                "keep one of the two",
                code="laps-disagree",
            )
    for other in () if clinker else sorted(neighbours - met):
        yield Problem(
            where,
            f"its chine with {other} is not there",
            f'write "{spec.strake} over {other}" or "{other} over {spec.strake}"',
            code="needed-lap",
        )


def _in_order(known: dict[str, StrakeSpec]) -> list[str]:
    """The strakes' names from the keel up, as far as one follows on the other."""
    by_lower = {strake.between[0]: strake for strake in known.values()}
    uppers = {strake.between[1] for strake in known.values()}
    found: list[str] = []
    line = next((lower for lower in by_lower if lower not in uppers), None)
    while line in by_lower and len(found) < len(known):
        strake = by_lower[line]
        found.append(strake.name)
        line = strake.between[1]
    return found
