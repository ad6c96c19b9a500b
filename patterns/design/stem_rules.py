"""What the keys of a stem must agree on between themselves."""

from __future__ import annotations

from collections.abc import Iterator

from patterns.design.models import KneeSpec, StrakeSpec, TransomEnd
from patterns.design.parts import Parts
from patterns.design.stem_models import StemEnd, StemKneeSpec
from patterns.errors import Problem

__all__ = ["stem_rules"]

WHOLE = 0.02  # of a strip; a depth that is so near to a whole number of strips is meant to be one


def stem_rules(parts: Parts) -> Iterator[Problem]:
    """Keys that need each other, or that do not go together."""
    for place, stem in parts.all(StemEnd):
        yield from _scarfs(place, stem)
        yield from _strips(place, stem)
    yield from _sheets(parts)
    yield from _knees_at(parts)
    for place, knee in parts.all(StemKneeSpec):
        if knee.throat >= min(knee.along_keel, knee.up_stem):
            yield Problem(
                f"{place}, key throat",
                "is deeper than an arm is long",
                "make it less than both arms",
                code="throat-too-deep",
            )


def _knees_at(parts: Parts) -> Iterator[Problem]:
    """Knees at an end where something else stands."""
    stems = {stem.at for _, stem in parts.all(StemEnd)}
    transoms = {end.at for _, end in parts.all(TransomEnd)}
    for place, at, there in (
        *((place, knee.at, stems) for place, knee in parts.all(KneeSpec)),
        *((place, knee.at, transoms) for place, knee in parts.all(StemKneeSpec)),
    ):
        if at in there:
            what, own = ("stem", "transom") if there is stems else ("transom", "stem")
            yield Problem(
                f"{place}, key at",
                f"a {own} knee is to stand at the {at}, and there is a {what}",
                f"write the end where the {own} is, or take the knee out",
                code="knee-at-other-end",
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
            f'{wanting[0]} needs it: the length of a scarf against its depth, as "8:1"',
            code="needed-key",
        )
    if stem.scarf_ratio is not None and not wanting:
        yield Problem(
            f"{place}, key scarf_ratio",
            "stands there, and the stem has no scarf",
            'take it out, or give scarfs or joint = "scarf"',
            code="needless-key",
        )
    if stem.stagger is not None and (stem.laminations == 1 or not stem.scarfs):
        yield Problem(
            f"{place}, key stagger",
            "stands there, and there are no two laminations with scarfs",
            "take it out, or give scarfs and laminations",
            code="needless-key",
        )


def _strips(place: str, stem: StemEnd) -> Iterator[Problem]:
    if stem.construction == "rabbeted":
        for key in ("outer_scarfs", "outer_strips"):
            if getattr(stem, key):
                yield Problem(
                    f"{place}, key {key}",
                    "stands there, and a rabbeted stem has no outer stem",
                    "take it out",
                    code="needless-key",
                )
    if stem.strips is not None and stem.laminations > 1:
        yield Problem(
            f"{place}, key laminations",
            f"is {stem.laminations}, and a stem of strips is one strip broad",
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
                f"{head}strips and {head}scarfs both stand there",
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
