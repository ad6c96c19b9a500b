"""What `check` says of the long timbers: how sharply each bends, and what is planed or fitted where it lies."""

from __future__ import annotations

from collections.abc import Iterator

from patterns.assembly.planing import planings_of
from patterns.boat import Boat
from patterns.errors import PatternsError
from patterns.text.wood_facts import unfayed_words
from patterns.timbers.measured import Bend, measured
from patterns.timbers.run import Run

__all__ = ["lie_of_timbers", "tightest_bend"]

STRAIGHT = 100_000.0  # mm; a greater radius is none
PLANED = 0.5  # mm; less is within the faying of any timber


def lie_of_timbers(boat: Boat) -> Iterator[str]:
    """For each timber a line on its bends, on the planing of its back and on an edge that does not fay."""
    try:
        runs = boat.runs
    except PatternsError:  # one cannot be laid, which is reported with the pieces that meet it
        return
    bends = [words for run in runs for words in _bends(run)]
    yield from bends
    if bends:
        yield "  How far a wood bends is not known here: first bend a trial piece round each tightest radius."
    for planing in planings_of(boat):
        if planing.depth > PLANED:
            yield (
                f"  {planing.run.name}: plane it to the {planing.strake}, up to {planing.depth:.1f} mm, "
                f"{planing.at:.0f} mm aft"
            )
    for run in runs:
        stretch = measured(run).unfayed
        if stretch is not None:
            yield f"  {run.name}: {unfayed_words(run.lies_on[3], stretch)}"


def tightest_bend(boat: Boat) -> str:
    """The bend that is sharpest for the thickness it bends, in words; empty where no timber bends."""
    try:
        runs = boat.runs
    except PatternsError:
        return ""
    found = [
        (bend.radius / size, run.name, way, bend, what)
        for run in runs
        for way, bend, size, what in _ways(run)
    ]
    if not found:
        return ""
    times, name, way, bend, what = min(found, key=lambda each: each[0])
    return f"{name}, {way} to a radius of {bend.radius / 1000.0:.2g} m, {times:.0f} times {what}"


def _ways(run: Run) -> Iterator[tuple[str, Bend, float, str]]:
    """Both ways in which a timber bends: the way, the bend, the size that is bent, mm, and what that is."""
    sizes = measured(run)
    layer = "a lamination" if run.laminations > 1 else "its thickness"
    for way, bend, size, what in (
        ("on the flat", sizes.bend(edgewise=False), run.deep / run.laminations, layer),
        ("on edge", sizes.bend(edgewise=True), run.across, "its breadth"),
    ):
        if bend.radius <= STRAIGHT:
            yield way, bend, size, what


def _bends(run: Run) -> Iterator[str]:
    """Its tightest bends both ways beside its thickness; nothing where it is straight."""
    ways = [
        f"{way} {bend.radius / 1000.0:.2g} m, {bend.at:.0f} mm from its after end, "
        f"{bend.radius / size:.0f} times {what} of {size:g} mm"
        for way, bend, size, what in _ways(run)
    ]
    if ways:
        yield f"  {run.name}: tightest radius {'; '.join(ways)}"
