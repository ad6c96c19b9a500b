"""Members that a builder would look for and the design does not have: things to consider, never errors.

Each kind of member looks for its own, where the rest of the design lets one expect it.  What is left out on
purpose is named in the design, e.g. ``without = ["stem knee"]`` under ``[boat]``, and is not listed.
"""

from __future__ import annotations

from collections.abc import Iterator

from patterns.design.file import DESIGN_FILE, Design
from patterns.design.kinds import kinds
from patterns.design.missing import Missing
from patterns.measure.nearest import nearest

__all__ = ["Missing", "missing", "unknown_names"]


def missing(design: Design) -> tuple[Missing, ...]:
    """What is not there and was not left out on purpose, in the order in which a boat is built."""
    left_out = {name.casefold() for name in design.boat.without}
    return tuple(found for found in _looked_for(design) if found.name.casefold() not in left_out)


def unknown_names(design: Design) -> Iterator[str]:
    """What ``without`` names that is not missing, each with what may have been meant."""
    names = [found.name for found in _looked_for(design)]
    known = {name.casefold() for name in names}
    for request in design.boat.without:
        if request.casefold() not in known:
            guess = nearest(request, names)
            yield (
                f'{DESIGN_FILE}, [boat], key without: "{request}" is not missed here'
                + (f"; {guess}" if guess else "")
            )


def _looked_for(design: Design) -> list[Missing]:
    found = [each for kind in kinds() for each in kind.misses(design)]
    return sorted(found, key=lambda each: each.stage)
