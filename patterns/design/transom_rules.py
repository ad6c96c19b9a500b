"""What the transom's framing, doubler and cut-outs must agree on."""

from __future__ import annotations

from collections.abc import Iterator

from patterns.design.models import StrakeSpec, TransomEnd
from patterns.design.parts import Parts
from patterns.design.stem_models import StemEnd
from patterns.design.transom_models import CutOutSpec, DoublerSpec
from patterns.errors import Problem

__all__ = ["transom_problems"]


def transom_problems(parts: Parts) -> Iterator[Problem]:
    """Joints without framing or without a chine, dowels half given, corners rounder than their cut-out."""
    for place, stern in parts.all(TransomEnd):
        if stern.framing_joints is not None and stern.framing is None:
            yield Problem(
                f"{place}, key framing_joints",
                "there is no framing to be jointed",
                "give framing, framing_moulded and framing_stock, or take it out",
                code="no-framing",
            )
        elif stern.framing_joints is not None and len(parts.all(StrakeSpec)) == 1:
            yield Problem(
                f"{place}, key framing_joints",
                "with one strake there is no chine at which rail and stile meet",
                "take it out: the framing is then one ring",
                code="no-chine",
            )
        dowels = {
            "dowel": stern.dowel,
            "dowel_spacing": stern.dowel_spacing,
            "dowel_edge": stern.dowel_edge,
        }
        if any(value is not None for value in dowels.values()):
            for key, value in dowels.items():
                if value is None:
                    yield Problem(
                        f"{place}, key {key}",
                        "is missing",
                        f"dowels need {', '.join(dowels)}, or none of them",
                        code="needed-key",
                    )
            if stern.framing is None:
                yield Problem(
                    f"{place}, key dowel",
                    "there is no framing for it to hold",
                    "give the framing, or take it out",
                    code="no-framing",
                )
    if any(end.at == "stern" for _, end in parts.all(StemEnd)):
        for place, _ in (*parts.all(DoublerSpec), *parts.all(CutOutSpec)):
            yield Problem(
                place, "there is no transom at the stern to have it", "take it out", code="no-transom"
            )
    seen: set[str] = set()
    for place, cut in parts.all(CutOutSpec):
        if cut.name in seen:
            yield Problem(
                place, "this name stands twice", "give each cut_out a name of its own", code="same-name"
            )
        seen.add(cut.name)
        if cut.corner_radius > min(0.5 * cut.breadth, (0.5 if cut.below else 1.0) * cut.depth) + 1e-9:
            yield Problem(
                f"{place}, key corner_radius",
                f"{cut.corner_radius:g} mm is more than the cut-out has room for",
                "make it at most half the breadth, and no more than its depth allows",
                code="corner-radius-too-great",
            )
