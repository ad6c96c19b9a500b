"""Pictures for tests: the demo boat's page with an inch typed wrongly, and one whose every name means harm."""

from __future__ import annotations

import re
import shutil
from dataclasses import replace
from pathlib import Path
from typing import Any

from patterns.boat import Boat
from patterns.drawing.of_pattern import draw
from patterns.errors import Problem
from patterns.pattern import Pattern
from patterns.picture.page import Printed, picture_page
from patterns.subject import BoatSubject
from tests.demo import DEMO, demo_boat, demo_patterns
from tiling.paper import Page, parse_paper
from tiling.planning.plan import Piece, plan_pieces

CHOSEN = ("frame 3 bottom", "frame 3 side", "transom panel", "breasthook", "keel, ends")

# Ways out of an element, an attribute, a comment, a script, a style, and lines that end where none should.
HOSTILE = (
    "<script>window.ran = 1</script>",
    '"><img src=x onerror="window.ran = 2">',
    "</title></svg></script><script>window.ran = 3</script>",
    "' autofocus onfocus='window.ran = 4",
    "]]><svg onload=window.ran=5>",
    "--><b>",
    "\u2028window.ran = 6\u2029//",
    "</style><style>body{display:none}</style>",
    "&lt;script&gt;&#60;script>window.ran=7</script>",
    "javascript:window.ran=8",
    "one\u202etwo\x00\x1b[31m\ud800",
)


def doubtful_design(folder: Path) -> Path:
    """The demo with one inch too much in the sheer's height at station 3, and one in its breadth at station 6."""
    design = folder / "doubtful"
    shutil.copytree(DEMO, design)
    table = design / "offsets.csv"
    text = table.read_text(encoding="utf-8")
    for right, wrong in (("2-5-4+", "2-6-4+"), ("2-8-0-", "2-9-0-")):
        assert text.count(right) == 1
        text = text.replace(right, wrong)
    table.write_text(text, encoding="utf-8")
    return design


def demo() -> tuple[Boat, tuple[Pattern, ...]]:
    """The demo and a few of its patterns, of different kinds."""
    patterns = {pattern.name: pattern for pattern in demo_patterns()}
    return demo_boat(), tuple(patterns[name] for name in CHOSEN)


def printed_of(patterns: tuple[Pattern, ...], *, boat: str, file: str = "patterns.pdf") -> Printed:
    """The patterns laid on A4 pages, the first of them page 5."""
    page = Page(paper=parse_paper("a4"), landscape=False, margin=10.0, overlap=12.0)
    pieces = [
        Piece(made_from="formula", name=pattern.name, drawing=draw(pattern, boat=boat))
        for pattern in patterns
    ]
    plans = plan_pieces(pieces, page)
    total = 4 + sum(len(plan.layout.tiles) for plan in plans)
    return Printed(file=file, mark="K7QXM", plans=plans, first=5, total=total, paper="A4")


def page_of(boat: Boat, patterns: tuple[Pattern, ...], printed: Printed | None = None) -> str:
    """The whole page."""
    subject = BoatSubject(boat)
    return picture_page(
        subject.title,
        parts=subject.seen(),
        patterns=patterns,
        printed=printed or printed_of(patterns, boat=subject.title),
        cautions=("Mind the saw.",),
    )


def hostile_page() -> str:
    """A page with every word of a design turned against it; the shapes are the demo's."""
    boat, patterns = demo()
    bad = "".join(HOSTILE)
    spec = replace_deep(boat.design, "boat", name=bad)
    rows = tuple(replace(row, line=f"{row.line}{bad}", label=f"{row.label}") for row in boat.lines.rows)
    lines = replace(boat.lines, rows=rows)
    boat = replace(boat, design=spec, lines=lines, warnings=(Problem(bad, bad, bad, code="same-name"),))
    spoiled = tuple(
        replace(
            pattern,
            name=f"{pattern.name}{bad}",
            stock=bad,
            quantity=bad,
            face=bad,
            sides=(bad, bad, bad),
            facts=(bad, bad),
            readings=tuple(replace(r, edge=f"edge{bad}", where=bad) for r in pattern.readings),
            marks=tuple(replace(m, name=bad) for m in pattern.marks),
            holes=tuple(replace(h, purpose=bad) for h in pattern.holes),
            lines=tuple(replace(line, name=bad if line.name else "") for line in pattern.lines),
            spans=tuple(replace(s, name=bad) for s in pattern.spans),
            depth_left={bad: 1.0},
        )
        for pattern in patterns
    )
    # No paper has room for such words: the pages are those of the harmless names, renamed afterwards.
    printed = printed_of(patterns, boat="harmless")
    plans = [
        replace(
            plan,
            label=pattern.name,
            piece=replace(plan.piece, name=pattern.name),
            checks=tuple(replace(check, name=bad) for check in plan.checks),
        )
        for plan, pattern in zip(printed.plans, spoiled, strict=True)
    ]
    return page_of(boat, spoiled, replace(printed, plans=plans, mark=bad, paper=bad, file=bad))


def replace_deep(design: Any, part: str, **values: Any) -> Any:
    """A design with values of one of its parts changed, unchecked."""
    return design.model_copy(update={part: getattr(design, part).model_copy(update=values)})


def paths_of(page: str, key: str) -> list[str]:
    """The data of the strokes of one plate, heaviest last."""
    found = re.search(rf'<g id="{key}s" [^>]*>(.*?)</g>', page)
    assert found, key
    return re.findall(r' d="([^"]*)"', found[1])
