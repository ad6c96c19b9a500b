"""The page's parts: the lines, the suspects, the patterns, the pages; each a section with a name to go to."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from patterns.boat import Boat
from patterns.draughting import STROKES
from patterns.errors import Problem
from patterns.pattern import Kind, Pattern
from patterns.picture.lines import curvature_plates, line_plates, suspect_key
from patterns.picture.maps import map_plate, measures
from patterns.picture.markup import Markup, joined, tag
from patterns.picture.plates import MM, THINNEST, Plate, drawn, small
from patterns.picture.shapes import kinds_of, pattern_plate
from patterns.shop.report import counted
from tiling.plan import Plan

__all__ = ["Part", "lines_part", "pages_part", "patterns_part", "problems_part", "suspects_part"]

Numbers = Mapping[str, tuple[int, int]]
"""By a pattern's name: its first and its last page."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One of the page's parts.

    Attributes:
        key: its name to go to.
        name: on its button.
        markup: the whole of it.
    """

    key: str
    name: str
    markup: Markup


def _part(key: str, name: str, *inside: str) -> Part:
    return Part(key=key, name=name, markup=tag("section", *inside, id=key))


def lines_part(boat: Boat) -> Part:
    """Profile, plan, body plan, and the curvature of every line."""
    views = [joined(tag("h3", plate.title), drawn(plate)) for plate in line_plates(boat)]
    bends = [joined(tag("h4", words), drawn(plate)) for words, plate in curvature_plates(boat)]
    if bends:
        words = (
            "Sight along these as along a batten: the curve should swell and fall away without bumps. "
            "Full: as faired. Dashed: as typed. Tap a dot to read how far its offset was moved."
        )
        bends = [tag("h3", "Curvature"), tag("p", words), tag("div", *bends, class_="quiet")]
    words = (
        f"Dots are the offsets as typed. A ring with a number is a suspect; a cross is where the batten wants it. "
        f"Lines are given to the {boat.design.table.lines_to}."
    )
    return _part("lines", "Lines", tag("h2", "Lines"), tag("p", words), *views, *bends)


def suspects_part(boat: Boat) -> Part:
    """The offsets that the batten doubts, and the warnings."""
    suspects, warnings = boat.lines.suspects, boat.warnings
    parts = [tag("h2", "Suspects")]
    if suspects:
        parts.append(
            tag(
                "p",
                "Offsets that the batten doubts; they are faired as typed. Tap one to see it in the lines.",
            )
        )
        parts.append(
            tag(
                "ol",
                *(
                    tag("li", tag("a", *_told(suspect.problem()), href=f"#{suspect_key(number)}"))
                    for number, suspect in enumerate(suspects, start=1)
                ),
                class_="told",
            )
        )
    else:
        parts.append(tag("p", "No suspect offset was found."))
    if warnings:
        parts.append(tag("h3", counted(len(warnings), "warning").capitalize()))
        parts.append(tag("ul", *(tag("li", *_told(problem)) for problem in warnings), class_="told"))
    name = f"Suspects {len(suspects)}" if suspects else "Suspects"
    return _part("suspects", name, *parts)


def problems_part(problems: Sequence[Problem]) -> Part:
    """What must be put right before every piece can be made."""
    rows = [tag("li", *_told(problem)) for problem in problems]
    words = f"To put right {len(problems)}"
    return _part("problems", words, tag("h2", "To put right"), tag("ul", *rows, class_="told"))


def _told(problem: Problem) -> tuple[Markup, ...]:
    want = (tag("span", problem.want),) if problem.want else ()
    return tag("b", problem.place), tag("span", problem.what), *want


def patterns_part(patterns: Sequence[Pattern], pages: Numbers, maps: Mapping[str, str]) -> Part:
    """Every pattern, and before them all a list to choose from.

    Args:
        pages: where each is printed; empty where nothing was.
        maps: the name in this page of each pattern's map, by the pattern's name.
    """
    plates = [pattern_plate(pattern, f"p{n}") for n, pattern in enumerate(patterns, start=1)]
    cards = [
        tag(
            "li",
            tag(
                "a",
                small(plate),
                tag("b", pattern.name),
                tag("span", _page_words(pages.get(pattern.name))),
                href=f"#{plate.key}a",
            ),
        )
        for pattern, plate in zip(patterns, plates, strict=True)
    ]
    articles = [
        _pattern(pattern, plate, pages.get(pattern.name), maps.get(pattern.name, ""), after)
        for pattern, plate, after in zip(patterns, plates, [*plates[1:], None], strict=True)
    ]
    return _part("patterns", "Patterns", tag("h2", "Patterns"), tag("ul", *cards, class_="cards"), *articles)


def _page_words(pages: tuple[int, int] | None) -> str:
    if pages is None:
        return ""
    first, last = pages
    return f"page {first}" if first == last else f"pages {first} to {last}"


def _pattern(
    pattern: Pattern, plate: Plate, pages: tuple[int, int] | None, its_map: str, after: Plate | None
) -> Markup:
    """One pattern; ``after`` is the next one's."""
    facts = (f"Quantity: {pattern.quantity}", *pattern.facts[:1], f"Shows the {pattern.face}")
    if pattern.half:
        facts = (*facts, "A half: flip about the centreline at the two pricked points")
    where = [tag("a", f"On {_page_words(pages)}: see their map", class_="go", href=f"#{its_map}")]
    distances = [
        f"{span.name}: {float(_length(span.start, span.end)):.1f} mm" if span.name else ""
        for span in pattern.spans
    ]
    left = [f"{name}: {depth:.1f} mm of wood left at its notch" for name, depth in pattern.depth_left.items()]
    return tag(
        "article",
        tag("h3", pattern.name),
        drawn(plate),
        tag(
            "div",
            *(where if pages and its_map else ()),
            _key(kinds_of(pattern)),
            _bevels(plate),
            _list("For the bench", [*facts, *pattern.facts[1:]]),
            _list("Distances", [words for words in distances if words]),
            _list("Depth left", left),
            *([tag("a", f"Next: {after.title}", class_="go", href=f"#{after.key}a")] if after else []),
            class_="aside",
        ),
        id=f"{plate.key}a",
    )


def _length(start: tuple[float, float], end: tuple[float, float]) -> float:
    return float(((end[0] - start[0]) ** 2 + (end[1] - start[1]) ** 2) ** 0.5)


def _bevels(plate: Plate) -> Markup:
    """The bevels once more in words, each a way to its place."""
    rows = [
        tag("li", tag("a", point.words, href=f"#{plate.point_key(number)}"))
        for number, point in enumerate(plate.points)
        if point.sign == "bevel"
    ]
    if not rows:
        return joined()
    words = "The angle through the wood, stock on the face that is shown, read square to the edge."
    return joined(tag("h4", "Bevels"), tag("p", words), tag("ol", *rows, class_="places"))


def _key(kinds: Sequence[Kind]) -> Markup:
    """What each kind of line is."""
    return tag(
        "ul",
        *(
            tag(
                "li",
                tag(
                    "svg",
                    tag(
                        "path",
                        d="M0 5H46",
                        stroke_width=max(MM * STROKES[kind].width, THINNEST),
                        stroke_dasharray=" ".join(f"{MM * part:.3g}" for part in STROKES[kind].dash) or None,
                    ),
                    viewBox="0 0 46 10",
                    aria_hidden="true",
                ),
                kind.value,
            )
            for kind in kinds
        ),
        class_="key",
    )


def _list(title: str, rows: Sequence[str]) -> Markup:
    if not rows:
        return joined()
    return joined(tag("h4", title), tag("ul", *(tag("li", row) for row in rows)))


def pages_part(plans: Sequence[Plan], patterns: Sequence[Pattern], *, first: int, total: int) -> Part:
    """The map of every taped pattern's pages.

    Args:
        first: number of the first page of the first of them.
        total: pages in the file.
    """
    keys = {pattern.name: f"p{n}a" for n, pattern in enumerate(patterns, start=1)}
    cards, articles, at = [], [], first
    for number, plan in enumerate(plans, start=1):
        plate = map_plate(plan, f"m{number}", first=at, total=total)
        last = at + len(plan.layout.tiles) - 1
        names = [piece.name for piece in plan.piece.parts or (plan.piece,)]
        cards.append(
            tag(
                "li",
                tag(
                    "a",
                    small(plate),
                    tag("b", "; ".join(names)),
                    tag("span", _page_words((at, last))),
                    href=f"#{plate.key}a",
                ),
            )
        )
        links = [tag("a", name, class_="go", href=f"#{keys[name]}") for name in names if name in keys]
        articles.append(
            tag(
                "article",
                tag("h3", f"{_page_words((at, last)).capitalize()}: {'; '.join(names)}"),
                drawn(plate),
                tag("div", *links, _list("Measure over the taped pages", measures(plan)), class_="aside"),
                id=f"{plate.key}a",
            )
        )
        at = last + 1
    return _part("pages", "Pages", tag("h2", "Pages"), tag("ul", *cards, class_="cards"), *articles)
