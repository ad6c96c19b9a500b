"""What the keys of clinker planking must agree on with the table, the ends and the strakes."""

from __future__ import annotations

from collections.abc import Iterator

from patterns.design.clinker_models import ClinkerSpec
from patterns.design.entries import Parts
from patterns.design.models import StemEnd, StrakeSpec, TableSpec, TransomEnd
from patterns.errors import Problem

__all__ = ["clinker_rules"]


def clinker_rules(parts: Parts) -> Iterator[Problem]:
    """Clinker planks of sheet or round sections, lines to the inside, gains without an end or an end without."""
    strakes = parts.all(StrakeSpec)
    for place, clinker in parts.all(ClinkerSpec):
        for where, strake in strakes:
            if strake.sections != "straight":
                yield Problem(
                    f"{where}, key sections",
                    f'clinker planks are straight at every station, and "{strake.sections}" is set',
                    'write sections = "straight"',
                    code="clinker-sections",
                )
        table = parts.one(TableSpec)
        if table is not None and table.lines_to != "outside of planking":
            yield Problem(
                f"{place}, key land_to",
                "the lines of clinker planks are edges of their outsides, and lines_to is set to the inside",
                'write lines_to = "outside of planking" under [table]',
                code="conflicting-keys",
            )
        yield from _gains(parts, place, clinker)


def _gains(parts: Parts, place: str, clinker: ClinkerSpec) -> Iterator[Problem]:
    stems, transoms = parts.all(StemEnd), parts.all(TransomEnd)
    if stems and clinker.gain is None:
        yield Problem(
            f"{place}, key gain",
            "is missing",
            'the planks\' hood ends must lie flush at the stem: write over which length, e.g. "300 mm"',
            code="needed-key",
        )
    if transoms and not stems and clinker.gain is not None:
        yield Problem(
            f"{place}, key gain", "no stem is there", "write gain_at_transom", code="conflicting-keys"
        )
    if stems and not transoms and clinker.gain_at_transom is not None:
        yield Problem(
            f"{place}, key gain_at_transom", "no transom is there", "remove it", code="conflicting-keys"
        )
