"""What several verbs share: their options, the printer that is named, a bar for long work."""

from __future__ import annotations

import functools
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from patterns.errors import DesignError, DoubtsError, RequestError
from patterns.findings import DOUBTFUL
from tiling.errors import TilingError

if TYPE_CHECKING:
    from patterns.text.bevels import BevelFigure
    from tiling.paper.printers import Correction

__all__ = [
    "FOLDER",
    "Progress",
    "correction",
    "folder_options",
    "only_option",
    "page_options",
    "pattern_options",
    "printers_file",
    "quiet",
    "quiet_option",
    "say",
    "verbose_option",
    "with_go_on",
    "with_json",
    "with_page_request",
]

FOLDER = click.Path(path_type=Path, file_okay=False)


Command = Callable[..., None]

QUIET = "scrieve.quiet"  # where a verb's context keeps the option


def _with(*options: Callable[[Command], Command]) -> Callable[[Command], Command]:
    """One decorator for several options, listed by ``--help`` in the order given."""

    def decorate(command: Command) -> Command:
        for option in reversed(options):
            command = option(command)
        return command

    return decorate


page_options = _with(
    click.option(
        "--paper",
        default=None,
        help='a4, letter, "a4 or letter", "330 x 480 mm", "24 in roll"; by default your locale\'s.',
    ),
    click.option("--landscape", is_flag=True, help="Turn the pages."),
    click.option("--margin", default="10 mm", show_default=True, help="Clear edge of each page."),
    click.option("--overlap", default="12 mm", show_default=True, help="How far pages overlap."),
)

_drawn_options = _with(
    page_options,
    click.option(
        "--joint",
        type=click.Choice(["overlap", "butt"]),
        default="overlap",
        show_default=True,
        help="Pages overlap, or are trimmed on every joint and meet edge to edge.",
    ),
    click.option(
        "--scale",
        default="1:1",
        show_default=True,
        help='For models and lessons, e.g. 1:4, 1/4 or "3 in to the foot".',
    ),
    click.option(
        "--bevels",
        type=click.Choice(["through the wood", "from square"]),
        default="through the wood",
        show_default=True,
        help='How bevels are given: "78° under" is "12° under" from square.',
    ),
    click.option("--printer", metavar="NAME", help="Correct for this printer, measured with scrieve ruler."),
)

only_option = click.option(
    "--only",
    multiple=True,
    metavar="NAME",
    help='One pattern, or all of one frame, e.g. "frame 3"; or "body plan": the scrieve board. Repeatable.',
)

pattern_options = _with(
    click.option(
        "--quick", is_flag=True, help="No search for fewer pages: every pattern on pages of its own."
    ),
    click.option("--share", is_flag=True, help="Save paper: lay small patterns among one another."),
    click.option("--whole", is_flag=True, help="Print symmetrical patterns whole, not as a half to flip."),
)

folder_options = _with(
    click.option(
        "-o",
        "--output",
        "into",
        type=FOLDER,
        metavar="FOLDER",
        help="Output folder; by default one named after the boat.",
    ),
    click.option(
        "-f",
        "--force",
        "replace",
        is_flag=True,
        help="Overwrite files that were changed since they were written.",
    ),
)

_yes_option = click.option(
    "-y", "--yes", is_flag=True, help="Do not ask, even where it takes thousands of pages."
)


def _keep_quiet(ctx: click.Context, _: click.Parameter, value: bool) -> None:
    ctx.meta[QUIET] = value


quiet_option = click.option(
    "-q",
    "--quiet",
    is_flag=True,
    expose_value=False,
    callback=_keep_quiet,
    help="Print errors and doubts only.",
)


verbose_option = click.option("-v", "--verbose", is_flag=True, help="List every detail.")

_json_option = click.option(
    "--json", "as_json", is_flag=True, help="Print values for other programs instead of words."
)


def with_json(command: Command) -> Command:
    """Take ``--json`` and hand it on as ``as_json``; errors of a design are data then as well."""

    @functools.wraps(command)
    def printing(*, as_json: bool, **rest: Any) -> None:
        try:
            command(as_json=as_json, **rest)
        except (DesignError, DoubtsError) as error:
            if not as_json:
                raise
            from patterns.run.as_data import json_text, problems_data

            status = 1 if isinstance(error, DesignError) else DOUBTFUL
            click.echo(json_text({"status": status, "errors": problems_data(error.problems)}))
            click.get_current_context().exit(status)

    return _json_option(printing)


def quiet() -> bool:
    """Whether the verb that runs was given ``--quiet``."""
    return bool(click.get_current_context().meta.get(QUIET))


def say(words: str) -> None:
    """Print a line, unless the verb is quiet."""
    if not quiet():
        click.echo(words)


def with_page_request(command: Command) -> Command:
    """Take the options of paper, joint, scale, bevels and printer, and hand them on as one ``page_request``."""

    @functools.wraps(command)
    def requesting(
        *, paper: str | None, landscape: bool, margin: str, overlap: str, joint: str, scale: str,
        bevels: BevelFigure, printer: str | None, **rest: Any,
    ) -> None:  # fmt: skip
        from patterns.run.page_request import PageRequest

        request = PageRequest(
            paper=paper, landscape=landscape, margin=margin, overlap=overlap, joint=joint, scale=scale,
            correction=correction(printer), bevels=bevels,
        )  # fmt: skip
        command(page_request=request, **rest)

    return _drawn_options(requesting)


def with_go_on(command: Command) -> Command:
    """Take ``--yes``, and hand on what asks before thousands of pages as ``go_on``."""

    @functools.wraps(command)
    def asking(*, yes: bool, **rest: Any) -> None:
        command(go_on=(lambda _: True) if yes else _asked, **rest)

    return _yes_option(asking)


def _on_terminal() -> bool:
    """Whether a person can answer."""
    return sys.stdin.isatty() and sys.stderr.isatty()


def _asked(words: str) -> bool:
    """Ask on a terminal; in a pipe the answer is no.

    Raises:
        click.Abort: the answer is no.
    """
    if not _on_terminal():
        return False
    return click.confirm(f"{words}. Go on?", abort=True, err=True)


def printers_file() -> Path:
    """The file that keeps what printers measured; it belongs to the user, not to a design."""
    return Path(click.get_app_dir("scrieve")) / "printers.json"


def correction(printer: str | None) -> Correction | None:
    """What was measured of a printer, by its name.

    Raises:
        RequestError: nothing is known of it.
    """
    if printer is None:
        return None
    from tiling.paper.printers import printer_named

    try:
        return printer_named(printers_file(), printer)
    except TilingError as error:
        raise RequestError(f"--printer: {error}") from error


class Progress:
    """A bar on a terminal, nothing in a pipe or with ``--quiet``; called with what is done and of how much."""

    def __init__(self, what: str) -> None:
        self._what = what
        self._shown = sys.stderr.isatty() and not quiet()
        self._bar: Any = None

    def __call__(self, done: int, total: int) -> None:
        if not self._shown:
            return
        if self._bar is None:
            self._bar = click.progressbar(length=total, label=self._what, file=sys.stderr)
            self._bar.__enter__()
        self._bar.update(done - self._bar.pos)
        if done >= total:
            self._bar.__exit__(None, None, None)
