"""The whole page: one file that needs no other, asks nothing of the network, and runs no words of the design.

The page's own script and looks are named to the browser by their digests; anything else that would run, load or
be sent is refused by it (Content Security Policy level 3, W3C).
"""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from importlib import resources

from patterns.pattern import Pattern
from patterns.picture.maps import taped
from patterns.picture.markup import Markup, tag
from patterns.picture.sections import PagePart, pages_part, patterns_part
from patterns.shop.report import counted
from tiling.planning.plan import Plan

__all__ = ["MADE_BY", "PagePart", "Printed", "Rewritten", "picture_page"]

MADE_BY = "<!DOCTYPE html>\n<!-- A picture made by scrieve; made anew by every run. -->\n"


@dataclass(frozen=True, slots=True, kw_only=True)
class Printed:
    """What was printed beside the page.

    Attributes:
        file: the file's name.
        mark: of its first pages; every pattern has one of its own.
        plans: every taped pattern in the order of its pages.
        first: number of the first page of the first of them.
        total: pages in the file.
        paper: its name.
    """

    file: str
    mark: str
    plans: Sequence[Plan]
    first: int
    total: int
    paper: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Rewritten:
    """A page that is written again and again; it loads itself anew when a later version is there.

    A page from a drive may read no other file, but it may show a picture from beside it, and see how wide that is.

    Attributes:
        stamp: the name of that picture, in the same folder.
        version: how wide it is when this page is written.
    """

    stamp: str
    version: int


def picture_page(
    title: str,
    *,
    parts: Sequence[PagePart] = (),
    patterns: Sequence[Pattern] = (),
    printed: Printed | None = None,
    cautions: Sequence[str] = (),
    rewritten: Rewritten | None = None,
) -> str:
    """The page as text, UTF-8 when it is written.

    Args:
        title: the boat's name.
        parts: what is shown before the patterns.
        patterns: in the order of their pages.
        printed: the pages of the patterns; None where none were made.
        rewritten: the page loads itself anew; None where it is written once.
    """
    every = () if printed is None else taped(printed.plans, first=printed.first)
    shown = list(parts)
    if patterns:
        shown.append(patterns_part(patterns, {name: on for on in every for name in on.names}))
    if printed is not None:
        shown.append(pages_part(every, patterns, total=printed.total))
    style, scripts = _own("picture.css"), [Markup(_own("picture.js") + _own("space.js"))]
    if rewritten is not None:
        scripts.append(_own("rewritten.js"))
    full_size = f" Full size is {printed.file}." if printed is not None else ""
    body = tag(
        "body",
        tag("header", tag("h1", title), tag("p", _lead(patterns, printed))),
        tag("p", f"Not full size.{full_size} Take no measure from a print of this page.", class_="notsize"),
        tag("nav", *(tag("a", part.name, href=f"#{part.key}") for part in shown), aria_label="Parts"),
        tag("main", *(part.markup for part in shown)),
        tag("footer", *(tag("p", words) for words in cautions)),
        *(tag("script", script) for script in scripts),
        data_stamp=rewritten.stamp if rewritten is not None else None,
        data_version=str(rewritten.version) if rewritten is not None else None,
    )
    policy = _policy(style, *scripts)
    if rewritten is not None:
        policy += "; img-src 'self' file:"
    return MADE_BY + tag("html", _head(title, style, policy), "\n", body, lang="en") + "\n"


def _head(title: str, style: Markup, policy: str) -> Markup:
    return tag(
        "head",
        tag("meta", charset="utf-8"),
        tag("meta", http_equiv="Content-Security-Policy", content=policy),
        tag("meta", name="viewport", content="width=device-width, initial-scale=1"),
        tag("title", f"{title}: pictures"),
        tag("style", style),
    )


def _own(name: str) -> Markup:
    """One of the page's own files; no words of a design are in it."""
    return Markup((resources.files("patterns.picture") / name).read_text(encoding="utf-8"))


def _policy(style: str, *scripts: str) -> str:
    """Nothing is loaded, sent or run but these."""

    def digest(text: str) -> str:
        return "sha256-" + base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()

    run = " ".join(f"'{digest(script)}'" for script in scripts)
    return (
        f"default-src 'none'; style-src '{digest(style)}'; script-src {run}; "
        "base-uri 'none'; form-action 'none'"
    )


def _lead(patterns: Sequence[Pattern], printed: Printed | None) -> str:
    if printed is None:
        return f"{counted(len(patterns), 'pattern')}." if patterns else "The lines as faired."
    return (
        f"{counted(len(patterns), 'pattern')} on {printed.total} {printed.paper} pages, "
        f"first pages' mark {printed.mark}, in {printed.file}."
    )
