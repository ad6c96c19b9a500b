"""The points of a repair on the page for a screen: what was found, those that do not fit, the warnings."""

from __future__ import annotations

from patterns.design.confirmed import with_remedy
from patterns.errors import Problem
from patterns.picture.markup import Markup, tag
from patterns.picture.sections import PagePart
from patterns.repair.repair import Repair
from patterns.repair.report import findings
from patterns.shop.report import counted

__all__ = ["points_part"]


def points_part(repair: Repair) -> PagePart:
    """Every finding, doubt and warning of a repair."""
    parts = [tag("h2", "Points"), tag("ul", *(tag("li", line.strip()) for line in findings(repair)))]
    for heading, problems in (("reading", repair.doubts), ("warning", repair.warnings)):
        if problems:
            said = counted(len(problems), heading) + (" in doubt" if heading == "reading" else "")
            parts.append(tag("h3", said))
            parts.append(
                tag("ul", *(tag("li", *_told(with_remedy(problem))) for problem in problems), class_="told")
            )
    name = f"Points {len(repair.doubts)}" if repair.doubts else "Points"
    return PagePart(key="points", name=name, markup=tag("section", *parts, id="points"))


def _told(problem: Problem) -> tuple[Markup, ...]:
    want = (tag("span", problem.want),) if problem.want else ()
    return tag("b", problem.place), tag("span", problem.what), *want
