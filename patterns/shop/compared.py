"""This run's shapes against the last run's, from the results that it left: what changed, and what to print again.

Nothing is kept for it besides ``shapes.json``.  Fairing one offset moves a whole line by a little, so most patterns
differ in their last figures: how far is told, and under a tenth of a millimetre a pattern counts as the same wood,
though not as the same paper.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

import numpy as np
import shapely

__all__ = ["SAME", "Change", "changes", "compared_words", "last_run", "since_last_run"]

SAME = 0.1  # mm; no saw and no pencil line shows less
TURNED = 0.5  # degrees; as fine as a bevel gauge is set by eye (common practice, no source)
EDGES = ("outlines", "this face", "other face")
NEAR = 40.0  # mm; readings of a bevel farther apart are not the same place


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """What became of one pattern.

    Attributes:
        kind: ``little`` is less than anybody can saw, yet its pages do not mix with the former ones.
        moved: the farthest that its outline moved, on either face, mm.
        turned: the most that a bevel of it changed, degrees.
        more: what else is another, in words.
        pages: first and last in the new file; None where it is gone.
    """

    name: str
    kind: Literal["new", "gone", "changed", "little", "anew", "same"]
    moved: float = 0.0
    turned: float = 0.0
    more: tuple[str, ...] = ()
    pages: tuple[int, int] | None = None


def since_last_run(file: Path, shapes: Sequence[Mapping[str, Any]], *, first_pages: int) -> tuple[str, ...]:
    """What changed against the results in a file, in words; nothing where it holds none.

    Args:
        shapes: each as ``pattern_data`` gives it, with ``printed`` besides.
        first_pages: how many stand before the patterns: lists and cards.
    """
    before = last_run(file)
    found = None if before is None else changes(before, shapes)
    return () if found is None else tuple(compared_words(found, first_pages=first_pages))


def last_run(file: Path) -> Mapping[str, Any] | None:
    """The results of the last run, by pattern; None where there are none that can be read."""
    try:
        data = json.loads(file.read_text(encoding="utf-8"))
        return {str(pattern["name"]): pattern for pattern in data["patterns"]}
    except (OSError, ValueError, TypeError, KeyError, AttributeError, RecursionError):
        return None


def changes(before: Mapping[str, Any], now: Sequence[Mapping[str, Any]]) -> tuple[Change, ...] | None:
    """What became of every pattern, in the order of the new ones, those that are gone last.

    Args:
        before: of the last run, by name, as :func:`last_run` gives it.
        now: each as ``pattern_data`` gives it, with ``printed`` besides.
    Returns:
        None where the last run's results are of another make.
    """
    try:
        found = [_change(before.get(pattern["name"]), pattern) for pattern in now]
    except (ValueError, TypeError, KeyError, IndexError, AttributeError):
        return None
    here = {pattern["name"] for pattern in now}
    return (*found, *(Change(name=name, kind="gone") for name in before if name not in here))


def _change(old: Mapping[str, Any] | None, new: Mapping[str, Any]) -> Change:
    name, printed = new["name"], new["printed"]
    pages = (int(printed["pages"][0]), int(printed["pages"][1]))
    if old is None:
        return Change(name=name, kind="new", pages=pages)
    same_mark = old["printed"]["mark"] == printed["mark"]
    if _drawn(old) == _drawn(new):
        return Change(name=name, kind="same" if same_mark else "anew", pages=pages)
    moved, turned = _moved(old, new), _turned(old, new)
    more = tuple(_more(old, new, outline=moved >= SAME))
    kind: Literal["changed", "little", "same"] = "same" if same_mark else "little"
    if moved >= SAME or turned >= TURNED or more:
        kind = "changed"
    return Change(name=name, kind=kind, moved=moved, turned=turned, more=more, pages=pages)


def _drawn(pattern: Mapping[str, Any]) -> Any:
    return {key: value for key, value in pattern.items() if key != "printed"}


def _moved(old: Mapping[str, Any], new: Mapping[str, Any], kinds: Iterable[str] = EDGES) -> float:
    """The farthest that a line of those kinds moved, mm: from each vertex, old or new, to the other line."""
    farthest = 0.0
    for kind in kinds:
        before = old["outlines"] if kind == "outlines" else old["lines"].get(kind, [])
        after = new["outlines"] if kind == "outlines" else new["lines"].get(kind, [])
        if len(before) == len(after):
            pairs = [([a], [b]) for a, b in zip(before, after, strict=True)]
        else:
            pairs = [(before, after)]
        for one, other in pairs:
            a, b = _lines(one), _lines(other)
            if not a.is_empty and not b.is_empty:
                farthest = max(farthest, float(shapely.hausdorff_distance(a, b)))
    return farthest


def _lines(lines: Sequence[Mapping[str, Any]]) -> shapely.MultiLineString:
    runs = []
    for line in lines:
        points = np.array(line["points"], dtype=float).reshape(-1, 2)
        if line["closed"] and len(points):
            points = np.vstack([points, points[:1]])
        if len(points) > 1:
            runs.append(points)
    return shapely.MultiLineString(runs)


def _turned(old: Mapping[str, Any], new: Mapping[str, Any]) -> float:
    """The most that a bevel changed, degrees: each reading against the nearest one on the same edge."""
    most = 0.0
    for reading in new["bevels"]:
        near = [
            (float(np.hypot(*np.subtract(reading["at"], former["at"]))), float(former["bevel_deg"]))
            for former in old["bevels"]
            if former["edge"] == reading["edge"]
        ]
        if near and min(near)[0] <= NEAR:
            most = max(most, abs(min(near)[1] - float(reading["bevel_deg"])))
    return most


def _more(old: Mapping[str, Any], new: Mapping[str, Any], *, outline: bool) -> Iterator[str]:
    """What is another besides outline and bevels; lines within it follow an ``outline`` that moved."""
    for key, words in (
        ("stock", "stock"),
        ("thickness_mm", "thickness"),
        ("laminations", "laminations"),
        ("quantity", "quantity"),
        ("face", "face"),
    ):
        if old[key] != new[key]:
            yield f"another {words}"
    if len(old["outlines"]) != len(new["outlines"]):
        yield "other outlines"
    counts = [{kind: len(lines) for kind, lines in pattern["lines"].items()} for pattern in (old, new)]
    if counts[0] != counts[1]:
        yield "other lines"
    inside = _moved(old, new, [kind for kind in new["lines"] if kind not in EDGES])
    if counts[0] == counts[1] and inside >= SAME and not outline:
        yield f"lines inside of its outline by {inside:.1f} mm"
    yield from _holes(old["holes"], new["holes"])
    # Figures follow the lines, so what is said is compared by its kinds and names.
    if [mark["about"] for mark in old["marks"]] != [mark["about"] for mark in new["marks"]]:
        yield "other places marked"
    if old["known"] != new["known"]:
        yield "other things said of it"


def _holes(old: Sequence[Mapping[str, Any]], new: Sequence[Mapping[str, Any]]) -> Iterator[str]:
    kinds = [[(hole["purpose"], hole["diameter_mm"]) for hole in holes] for holes in (old, new)]
    if kinds[0] != kinds[1]:
        yield "other holes"
    elif new:
        at = [np.array([hole["at"] for hole in holes], dtype=float) for holes in (old, new)]
        off = float(np.hypot(*(at[0] - at[1]).T).max())
        if off >= SAME:
            yield f"holes by {off:.1f} mm"


def compared_words(found: Sequence[Change], *, first_pages: int) -> Iterator[str]:
    """What changed since the last run, a line each, and which pages to print again.

    Args:
        first_pages: how many stand before the patterns: lists and cards.
    """
    by_kind = {
        kind: [change for change in found if change.kind == kind]
        for kind in ("new", "gone", "changed", "little", "anew", "same")
    }
    if len(by_kind["same"]) == len(found):
        yield "As the last run: no pattern has changed, and no page need be printed again."
        return
    yield "Compared with the last run:"
    for change in by_kind["changed"]:
        yield f"  changed: {change.name}, {_how(change)}: {_pages(change)}"
    for change in by_kind["new"]:
        yield f"  new: {change.name}: {_pages(change)}"
    if by_kind["gone"]:
        yield f"  gone: {_names(by_kind['gone'])}"
    if by_kind["little"]:
        worst = max(change.moved for change in by_kind["little"])
        yield (
            f"  off by less than {SAME:g} mm and {TURNED:g}° (at most {worst:.2f} mm): {_names(by_kind['little'])}"
        )
        yield "    what is printed of these will do, if all of it is of one print: their marks are new"
    if by_kind["anew"]:
        yield f"  the same shape, laid or lettered anew on its pages under a new mark: {_names(by_kind['anew'])}"
    if by_kind["same"]:
        yield f"  the same, and under the same marks: {_names(by_kind['same'])}"
    again = _numbers([change.pages for change in (*by_kind["changed"], *by_kind["new"]) if change.pages])
    if again:
        yield (
            f"Print again: pages {again} (--pages {again.replace(' ', '')}); the list and the cards with the new "
            f"distances are pages 1 to {first_pages}."
        )
    else:
        yield "No page need be printed again."


def _how(change: Change) -> str:
    said = []
    if change.moved >= SAME:
        said.append(f"its outline by {change.moved:.1f} mm at most")
    if change.turned >= TURNED:
        said.append(f"bevels by {change.turned:.1f}°")
    return ", ".join([*said, *change.more])


def _pages(change: Change) -> str:
    first, last = change.pages or (0, 0)
    return f"page {first}" if first == last else f"pages {first} to {last}"


def _names(found: Sequence[Change]) -> str:
    return "; ".join(change.name for change in found)


def _numbers(pages: Sequence[tuple[int, int]]) -> str:
    """Page numbers as one types them: ``7, 12-14``."""
    numbers = sorted({number for first, last in pages for number in range(first, last + 1)})
    runs: list[list[int]] = []
    for number in numbers:
        if runs and runs[-1][-1] == number - 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return ", ".join(str(run[0]) if len(run) == 1 else f"{run[0]}-{run[-1]}" for run in runs)
