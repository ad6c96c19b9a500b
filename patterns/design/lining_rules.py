"""What the keys of lining off must agree on with the strakes, the ends and each other."""

from __future__ import annotations

from collections.abc import Iterator

from patterns.design.clinker_models import ClinkerSpec
from patterns.design.entries import Parts
from patterns.design.lining_models import LiningSpec
from patterns.design.models import StemEnd
from patterns.design.mould_models import MouldSpec
from patterns.design.strip_models import StripsSpec
from patterns.errors import Problem

__all__ = ["lining_rules"]


def lining_rules(parts: Parts) -> Iterator[Problem]:
    """Lines over chines, beside other lines for planks, without a place at the stem, or to a sternpost."""
    for place, _ in (*parts.all(LiningSpec), *parts.all(StripsSpec)):
        if len(parts.names.get("strake", [])) > 1:
            yield Problem(
                place,
                "there are lines between keel and sheer, and planks are lined off over one strake alone",
                "remove this table; the lines of the table of offsets part the planks",
                code="lining-over-lines",
            )
    for place, lining in parts.all(LiningSpec):
        if parts.all(ClinkerSpec):
            yield Problem(place, "[clinker] gives the planks' lines", "remove one", code="conflicting-keys")
        for where, mould in parts.all(MouldSpec):
            if mould.plank_girths:
                yield Problem(
                    f"{where}, key plank_girths",
                    "[lining] gives the planks' edges on every mould",
                    "remove plank_girths, or [lining]",
                    code="conflicting-keys",
                )
        ends = {end.at for _, end in parts.all(StemEnd)}
        if "stern" in ends:
            yield Problem(
                place,
                "planks that end on a sternpost are not lined off yet",
                "remove [lining], and give plank_girths on the moulds",
                code="lining-to-sternpost",
            )
        if "bow" in ends and lining.garboard_hood is None:
            yield Problem(
                f"{place}, key garboard_hood",
                "is missing",
                'write where aft the garboard\'s upper edge meets the rabbet, e.g. "600 mm"',
                code="needed-key",
            )
        if lining.widths and len(lining.widths) != lining.planks - 1:
            yield Problem(
                f"{place}, key widths",
                f"{len(lining.widths)} widths are given for {lining.planks} planks",
                f"give {lining.planks - 1}: the uppermost plank takes the rest",
                code="conflicting-keys",
            )
