"""The paper as it was asked for, and the page that is meant."""

from __future__ import annotations

import dataclasses
import locale
import os
from collections.abc import Callable
from dataclasses import dataclass
from functools import wraps
from typing import ParamSpec, TypeVar

from patterns.errors import RequestError
from patterns.text.bevels import BevelFigure, bevel_figures
from tiling.errors import TilingError
from tiling.paper import Page, parse_paper
from tiling.paper.lengths import parse_length as parse_paper_length
from tiling.paper.printers import Correction
from tiling.paper.scale import Scale, parse_scale

__all__ = ["PageRequest", "paper_of_locale", "with_its_bevels"]

# Where letter paper is the common one (common practice, no source); elsewhere A4.
LETTER_COUNTRIES = {"US", "CA", "MX", "PH", "CL", "CO", "CR", "GT", "PA", "PR", "SV", "VE", "DO", "NI"}

_Given = ParamSpec("_Given")
_Made = TypeVar("_Made")


@dataclass(frozen=True, slots=True, kw_only=True)
class PageRequest:
    """The paper as it was asked for.

    Attributes:
        paper: e.g. ``a4``, ``330 x 480 mm`` or ``24 in roll``; None: what the locale prints on.
        landscape: pages lie on their long side.
        margin, overlap: lengths, as they are typed.
        joint: ``overlap`` or ``butt``.
        scale: e.g. ``1:4``.
        correction: what was measured of the printer.
        bevels: the figure by which bevels are given.
    """

    paper: str | None = None
    landscape: bool = False
    margin: str = "10 mm"
    overlap: str = "12 mm"
    joint: str = "overlap"
    scale: str = "1:1"
    correction: Correction | None = None
    bevels: BevelFigure = "through the wood"

    def page(self, *, rolls: bool = False) -> Page:
        """The page that is meant.

        Args:
            rolls: it may be of a roll.
        Raises:
            RequestError: no such paper, or lengths that will not do.
        """
        lengths = {}
        for option, text in (("--margin", self.margin), ("--overlap", self.overlap)):
            try:
                lengths[option] = parse_paper_length(text)
            except TilingError as error:
                raise RequestError(f"{option}: {error}") from error
        try:
            paper = parse_paper(self.paper or paper_of_locale())
            if paper.roll and not rolls:
                raise TilingError("a roll is for scrieve patterns alone; name a paper here")
            return Page(
                paper=paper,
                landscape=self.landscape,
                margin=lengths["--margin"],
                overlap=lengths["--overlap"],
                scale=self._scale(),
                butt=self.joint == "butt",
            )
        except TilingError as error:
            raise RequestError(str(error)) from error

    def first_page(self, page: Page) -> Page:
        """The page of what is said before the patterns: theirs, or that of the locale where they are on a roll."""
        return dataclasses.replace(page, paper=parse_paper(paper_of_locale())) if page.paper.roll else page

    def _scale(self) -> Scale:
        try:
            return parse_scale(self.scale)
        except TilingError as error:
            raise RequestError(f"--scale: {error}") from error


def with_its_bevels(make: Callable[_Given, _Made]) -> Callable[_Given, _Made]:
    """Let a job that is given a `PageRequest` by name write every bevel by the figure that is chosen there."""

    @wraps(make)
    def making(*args: _Given.args, **named: _Given.kwargs) -> _Made:
        request = next((each for each in named.values() if isinstance(each, PageRequest)), PageRequest())
        with bevel_figures(request.bevels):
            return make(*args, **named)

    return making


def paper_of_locale() -> str:
    """``letter`` where the locale's country prints on it, else ``a4``."""
    said = next((os.environ[name] for name in ("LC_ALL", "LC_PAPER", "LANG") if os.environ.get(name)), None)
    if said is None:  # Windows has no such variables; elsewhere no locale is set, though Python may name one
        said = (locale.getlocale()[0] or "") if os.name == "nt" else ""
    country = said.split(".")[0].partition("_")[2].upper()
    return "letter" if country in LETTER_COUNTRIES else "a4"
