"""What the keys of a transom, its doubler and its cut-outs must agree on, usual sizes, and what it may lack.

Apart from the transom's own file, which is about its wood; the keys are in the design's room, because the hull and
the joinery read them too.
"""

from __future__ import annotations

from collections.abc import Iterator

from patterns.design.bounds import BoatSize, Bound
from patterns.design.entries import Parts
from patterns.design.missing import Missing, Stage
from patterns.design.models import Design, StrakeSpec, TransomEnd
from patterns.design.stem_models import StemEnd
from patterns.design.toml_file import DESIGN_FILE
from patterns.design.transom_models import CutOutSpec, DoublerSpec
from patterns.errors import Problem

__all__ = ["fitted_rules", "transom_bounds", "transom_misses", "transom_rules"]


def transom_rules(parts: Parts) -> Iterator[Problem]:
    """Framing and dowels given by halves, joints without framing or without a chine."""
    for place, stern in parts.all(TransomEnd):
        yield from _framing(place, stern)
        yield from _joints(place, stern, strakes=len(parts.all(StrakeSpec)))
        yield from _dovetail(place, stern)
        yield from _dowels(place, stern)


def _framing(place: str, stern: TransomEnd) -> Iterator[Problem]:
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


def _joints(place: str, stern: TransomEnd, *, strakes: int) -> Iterator[Problem]:
    if stern.framing_joints is not None and stern.framing is None:
        yield Problem(
            f"{place}, key framing_joints",
            "there is no framing to be jointed",
            "give framing, framing_moulded and framing_stock, or take it out",
            code="no-framing",
        )
    elif stern.framing_joints is not None and strakes == 1:
        yield Problem(
            f"{place}, key framing_joints",
            "with one strake there is no chine at which rail and stile meet",
            "take it out: the framing is then one ring",
            code="no-chine",
        )


def _dovetail(place: str, stern: TransomEnd) -> Iterator[Problem]:
    """Dovetails without half laps or a post, or so deep that little of the post is left between them."""
    if stern.post_dovetail is None:
        return
    if stern.centre_post is None or stern.framing_joints != "half lap":
        yield Problem(
            f"{place}, key post_dovetail",
            "there is no half-lapped centre post to be dovetailed",
            'give centre_post and framing_joints = "half lap", or remove it',
            code="needless-key",
        )
    elif stern.post_dovetail >= 0.25 * stern.centre_post:
        yield Problem(
            f"{place}, key post_dovetail",
            "leaves less than half of the post at its shoulders",
            f"make it less than {0.25 * stern.centre_post:g} mm",
            code="too-great",
        )


def _dowels(place: str, stern: TransomEnd) -> Iterator[Problem]:
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


def fitted_rules(parts: Parts) -> Iterator[Problem]:
    """A doubler or cut-outs without a transom, corners rounder than their cut-out."""
    if any(end.at == "stern" for _, end in parts.all(StemEnd)):
        for place, _ in (*parts.all(DoublerSpec), *parts.all(CutOutSpec)):
            yield Problem(
                place, "there is no transom at the stern to have it", "take it out", code="no-transom"
            )
    for place, cut in parts.all(CutOutSpec):
        if cut.corner_radius > min(0.5 * cut.breadth, (0.5 if cut.below else 1.0) * cut.depth) + 1e-9:
            yield Problem(
                f"{place}, key corner_radius",
                f"{cut.corner_radius:g} mm is more than the cut-out has room for",
                "make it at most half the breadth, and no more than its depth allows",
                code="too-great",
            )


def transom_bounds(end: TransomEnd, scale: BoatSize) -> Iterator[Bound]:
    """The usual sizes of a transom."""
    most = max(scale.length / 60.0, 3.0 * scale.thick)
    yield Bound("panel", end.panel, 0.5 * scale.thick, most, "planking and boat")
    yield Bound("framing", end.framing, 0.5 * scale.thick, most, "planking and boat")
    framing = end.framing or 0.0
    yield Bound("framing_moulded", end.framing_moulded, 0.6 * framing, 0.5 * scale.breadth, "the framing")
    yield Bound("centre_post", end.centre_post, 0.6 * framing, 0.5 * scale.breadth, "the framing")


def transom_misses(design: Design) -> Iterator[Missing]:
    """Framing for what ends at a transom."""
    for end in (design.fore_end, design.after_end):
        if isinstance(end, TransomEnd) and end.framing is None and design.laid("chine log"):
            yield Missing(
                stage=Stage.TRANSOM,
                name=f"transom framing{'' if end.at == 'stern' else ' at the bow'}",
                place=f'{DESIGN_FILE}, end "{end.at}"',
                what="the transom has no framing inside of its panel for planking and chine logs to land on",
            )
