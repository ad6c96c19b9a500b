"""What the keys of a stem must agree on, and its usual sizes.

Apart from the stem's own file, which is about its wood; the keys are in :mod:`patterns.design.stem_models`, because
the fairing and the hull read them too.
"""

from __future__ import annotations

from collections.abc import Iterator

from patterns.design.bounds import FAR, BoatSize, Bound
from patterns.design.entries import Parts
from patterns.design.stem_models import StemEnd
from patterns.errors import Problem

__all__ = ["stem_bounds", "stem_rules"]

WHOLE = 0.02  # of a strip; a depth that is so near to a whole number of strips is meant to be one


def stem_rules(parts: Parts) -> Iterator[Problem]:
    """Keys that need each other, or that do not go together."""
    for place, stem in parts.all(StemEnd):
        yield from _scarfs(place, stem)
        yield from _strips(place, stem)


def _scarfs(place: str, stem: StemEnd) -> Iterator[Problem]:
    wanting = [
        words
        for words, asked in (
            ('joint = "scarf"', stem.joint == "scarf"),
            ("scarfs", bool(stem.scarfs)),
            ("outer_scarfs", bool(stem.outer_scarfs)),
        )
        if asked
    ]
    if wanting and stem.scarf_ratio is None:
        yield Problem(
            f"{place}, key scarf_ratio",
            "is missing",
            f'{wanting[0]} needs it: the length of a scarf against its depth, e.g. "8:1"',
            code="needed-key",
        )
    if stem.scarf_ratio is not None and not wanting:
        yield Problem(
            f"{place}, key scarf_ratio",
            "is given, and the stem has no scarf",
            'take it out, or give scarfs or joint = "scarf"',
            code="needless-key",
        )
    if stem.stagger is not None and (stem.laminations == 1 or not stem.scarfs):
        yield Problem(
            f"{place}, key stagger",
            "is given, and there are no two laminations with scarfs",
            "take it out, or give scarfs and laminations",
            code="needless-key",
        )


def _strips(place: str, stem: StemEnd) -> Iterator[Problem]:
    if stem.construction == "rabbeted":
        for key in ("outer_scarfs", "outer_strips"):
            if getattr(stem, key):
                yield Problem(
                    f"{place}, key {key}",
                    "is given, and a rabbeted stem has no outer stem",
                    "take it out",
                    code="needless-key",
                )
    if stem.strips is not None and stem.laminations > 1:
        yield Problem(
            f"{place}, key laminations",
            f"is {stem.laminations}, and a stem of strips is one strip wide",
            "take one of strips and laminations out",
            code="conflicting-keys",
        )
    for strips, scarfs, depth, head in (
        (stem.strips, stem.scarfs, stem.depth, ""),
        (stem.outer_strips, stem.outer_scarfs, stem.outside, "outer_"),
    ):
        if strips is None:
            continue
        if scarfs:
            yield Problem(
                f"{place}, key {head}scarfs",
                f"{head}strips and {head}scarfs are both given",
                "a laminated stem is whole: keep one of them",
                code="conflicting-keys",
            )
        count = max(round(depth / strips), 1)
        if abs(depth / strips - count) > WHOLE:
            yield Problem(
                f"{place}, key {head}strips",
                f"strips of {strips:g} mm do not make up the depth of {depth:g} mm",
                f"{count} strips of {depth / count:.4g} mm do",
                code="strips-off-depth",
            )


def stem_bounds(stem: StemEnd, scale: BoatSize) -> Iterator[Bound]:
    """The usual sizes of a stem."""
    yield Bound("moulded", stem.moulded, 0.4 * stem.sided, 8.0 * stem.sided, "the stem's siding")
    yield Bound("outside", stem.outside, 0.15 * stem.sided, 8.0 * stem.sided, "the stem's siding")
    for key, strip in (("strips", stem.strips), ("outer_strips", stem.outer_strips)):
        yield Bound(key, strip, 0.02 * stem.depth, FAR, "the stem's depth")
