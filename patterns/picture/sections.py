"""The page's parts: the lines, the suspects, the patterns, the pages; each a section with a name to go to."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from patterns.boat import Boat
from patterns.design.confirmed import with_remedy
from patterns.drawing.strokes import STROKES
from patterns.errors import Problem
from patterns.fairing.suspects import Suspect
from patterns.pattern import Kind, Pattern, Span
from patterns.picture.lines import curvature_plates, line_plates, suspect_key
from patterns.picture.maps import Taped, map_plate, measures
from patterns.picture.markup import Markup, joined, tag
from patterns.picture.plates import PicturePlate, drawn, sample, small
from patterns.picture.shapes import kinds_of, pattern_plate
from patterns.shop.report import counted
from patterns.text.bevels import bevel_rule

__all__ = [
    "PagePart",
    "lines_part",
    "pages_part",
    "part_of",
    "patterns_part",
    "problems_part",
    "suspects_part",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class PagePart:
    """One of the page's parts.

    Attributes:
        key: its name to go to.
        name: on its button.
        markup: the whole of it.
    """

    key: str
    name: str
    markup: Markup


def part_of(key: str, name: str, *inside: str) -> PagePart:
    """A part from what stands in it."""
    return PagePart(key=key, name=name, markup=tag("section", *inside, id=key))


def lines_part(boat: Boat) -> PagePart:
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
    return part_of("lines", "Lines", tag("h2", "Lines"), tag("p", words), *views, *bends)


def suspects_part(suspects: Sequence[Suspect], warnings: Sequence[Problem] = ()) -> PagePart:
    """The offsets that the batten doubts, and the warnings."""
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
        parts.append(
            tag("ul", *(tag("li", *_told(with_remedy(problem))) for problem in warnings), class_="told")
        )
    name = f"Suspects {len(suspects)}" if suspects else "Suspects"
    return part_of("suspects", name, *parts)


def problems_part(problems: Sequence[Problem]) -> PagePart:
    """What must be put right, and what is to be typed yet, before every piece can be made."""
    lists = []
    for title, missing in (("To put right", False), ("Missing", True)):
        rows = [tag("li", *_told(problem)) for problem in problems if problem.missing == missing]
        if rows:
            lists.append(joined(tag("h2", title), tag("ul", *rows, class_="told")))
    return part_of("problems", f"To put right {len(problems)}", *lists)


def _told(problem: Problem) -> tuple[Markup, ...]:
    want = (tag("span", problem.want),) if problem.want else ()
    return tag("b", problem.place), tag("span", problem.what), *want


def patterns_part(patterns: Sequence[Pattern], where: Mapping[str, Taped]) -> PagePart:
    """Every pattern, and before them all a list to choose from.

    Args:
        where: the pages of each by its name; empty where nothing was printed.
    """
    plates = [pattern_plate(pattern, f"p{n}") for n, pattern in enumerate(patterns, start=1)]
    cards, articles = [], []
    for pattern, plate, after in zip(patterns, plates, [*plates[1:], None], strict=True):
        on = where.get(pattern.name)
        cards.append(_card(plate, pattern.name, on.words if on else ""))
        articles.append(_pattern(pattern, plate, on, after))
    return part_of(
        "patterns", "Patterns", tag("h2", "Patterns"), tag("ul", *cards, class_="cards"), *articles
    )


def _card(plate: PicturePlate, name: str, words: str) -> Markup:
    """A way to an article: what it shows, small, and its name."""
    inside = (small(plate), tag("b", name), tag("span", words))
    return tag("li", tag("a", *inside, href=f"#{plate.key}a"))


def _article(plate: PicturePlate, title: str, *aside: Markup) -> Markup:
    """A drawing with what is said beside it."""
    return tag(
        "article", tag("h3", title), drawn(plate), tag("div", *aside, class_="aside"), id=f"{plate.key}a"
    )


def _go(words: str, key: str) -> Markup:
    """A way to another article."""
    return tag("a", words, class_="go", href=f"#{key}a")


def _pattern(pattern: Pattern, plate: PicturePlate, on: Taped | None, after: PicturePlate | None) -> Markup:
    """One pattern; ``on`` are its pages, ``after`` is the next one's drawing."""
    half = ("A half: flip about the centreline at the two pricked points",) if pattern.half else ()
    facts = (f"Quantity: {pattern.quantity}", f"Shows the {pattern.face}", *half, *pattern.facts)
    distances = [f"{span.name}: {_length(span):.1f} mm" for span in pattern.spans if span.name]
    left = [f"{name}: {depth:.1f} mm of wood left at its notch" for name, depth in pattern.depth_left.items()]
    return _article(
        plate,
        pattern.name,
        _go(f"On {on.words}: see their map", on.key) if on else joined(),
        _key(kinds_of(pattern)),
        _bevels(plate),
        _list("For the bench", facts, class_="bench"),
        _list("Distances", distances),
        _list("Depth left", left),
        _go(f"Next: {after.title}", after.key) if after else joined(),
    )


def _length(span: Span) -> float:
    return float(np.hypot(span.end[0] - span.start[0], span.end[1] - span.start[1]))


def _bevels(plate: PicturePlate) -> Markup:
    """The bevels once more in words, each a way to its place."""
    rows = [
        tag("li", tag("a", point.words, href=f"#{plate.point_key(number)}"))
        for number, point in enumerate(plate.points)
        if point.sign == "bevel"
    ]
    if not rows:
        return joined()
    rule = bevel_rule()
    words = f"{rule[0].upper()}{rule[1:]}, stock on the face that is shown, read square to the edge."
    return joined(tag("h4", "Bevels"), tag("p", words), tag("ol", *rows, class_="places"))


def _key(kinds: Sequence[Kind]) -> Markup:
    """What each kind of line is."""
    return tag("ul", *(tag("li", sample(STROKES[kind]), kind.value) for kind in kinds), class_="key")


def _list(title: str, rows: Sequence[str], class_: str | None = None) -> Markup:
    if not rows:
        return joined()
    return joined(tag("h4", title), tag("ul", *(tag("li", row) for row in rows), class_=class_))


def pages_part(every: Sequence[Taped], patterns: Sequence[Pattern], *, total: int) -> PagePart:
    """The map of every taped pattern's pages, out of ``total`` in the file."""
    keys = {pattern.name: f"p{n}" for n, pattern in enumerate(patterns, start=1)}
    cards, articles = [], []
    for pattern in every:
        plate = map_plate(pattern, total=total)
        names = "; ".join(pattern.names)
        links = [_go(name, keys[name]) for name in pattern.names if name in keys]
        measured = _list("Measure over the taped pages", measures(pattern.plan))
        marked = (
            tag("p", f"Each of these pages carries the mark {pattern.plan.mark}.")
            if pattern.plan.mark
            else joined()
        )
        cards.append(_card(plate, names, pattern.words))
        articles.append(_article(plate, f"{pattern.words.capitalize()}: {names}", *links, marked, measured))
    return part_of("pages", "Pages", tag("h2", "Pages"), tag("ul", *cards, class_="cards"), *articles)
