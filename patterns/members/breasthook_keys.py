"""The keys of a breasthook, what they must agree on, and where one is missed.

Apart from the breasthook's own file, which is about its wood and long enough.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from patterns.design.agreement import throat_problems
from patterns.design.bounds import knee_bounds
from patterns.design.deck_models import BreasthookSpec
from patterns.design.entries import Parts
from patterns.design.kind import EntryKind, Table
from patterns.design.missing import Missing, Stage
from patterns.design.models import Design, StemEnd
from patterns.design.toml_file import DESIGN_FILE
from patterns.errors import Problem

__all__ = ["BREASTHOOK"]


def _rules(parts: Parts) -> Iterator[Problem]:
    """Its throat lies within its length."""
    for place, hook in parts.all(BreasthookSpec):
        yield from throat_problems(
            place, hook.throat, (hook.length,), long="the breasthook is", want="length"
        )


def _misses(design: Design) -> Iterator[Missing]:
    """One at a stem at the bow, where there is a clamp."""
    if isinstance(design.fore_end, StemEnd) and design.laid("clamp") and not design.all(BreasthookSpec):
        yield Missing(
            stage=Stage.DECK,
            name="breasthook",
            place=f"{DESIGN_FILE}, [breasthook]",
            what="no breasthook ties the clamps together at the stem",
        )


_STARTER: Mapping[str, str] = {
    "": """\
[breasthook]
length = "350 mm"
throat = "150 mm"
toe = "50 mm"
sided = "36 mm"
stock = "18 mm plywood"
laminations = 2""",
    "round bilge": """\
[breasthook]
length = "230 mm"
throat = "90 mm"
toe = "35 mm"
sided = "36 mm"
stock = "18 mm plywood"
laminations = 2""",
}

BREASTHOOK = EntryKind(
    name="breasthook",
    order=80,
    tables=(
        Table(
            name="breasthook", model=BreasthookSpec, many=False, named=False, sawn="sided", bounds=knee_bounds
        ),
    ),
    rules=(_rules,),
    misses=_misses,
    starter=_STARTER,
)
