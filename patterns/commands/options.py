"""What several verbs share: their options, the printer that is named, a bar for long work."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

from patterns.errors import WishError
from tiling.errors import TilingError

__all__ = ["FOLDER", "Progress", "correction", "page_options", "printers_file", "scale_options"]


FOLDER = click.Path(path_type=Path, file_okay=False)


def page_options(command: Callable[..., None]) -> Callable[..., None]:
    """The options of the paper, the same wherever pages are made."""
    options = [
        click.option(
            "--paper",
            default=None,
            help='a4, letter, "a4 or letter", "330 x 480 mm", "24 in roll"; by default what your locale prints on.',
        ),
        click.option("--landscape", is_flag=True, help="Pages lie on their long side."),
        click.option("--margin", default="10 mm", show_default=True, help="Clear edge of every page."),
        click.option("--overlap", default="12 mm", show_default=True, help="How far pages overlap."),
    ]
    for option in reversed(options):
        command = option(command)
    return command


def scale_options(command: Callable[..., None]) -> Callable[..., None]:
    """The options of what is drawn on the pages, wherever patterns are printed."""
    options = [
        click.option(
            "--joint",
            type=click.Choice(["overlap", "butt"]),
            default="overlap",
            show_default=True,
            help="Pages lie over one another, or are trimmed on every joint and meet edge to edge.",
        ),
        click.option(
            "--scale",
            default="1:1",
            show_default=True,
            help='For models and lessons: 1:4, 1/4, "3 in to the foot". Every page says that it is not full size.',
        ),
    ]
    for option in reversed(options):
        command = option(command)
    return command


def printers_file() -> Path:
    """The file that keeps what printers measured; it belongs to the user, not to a design."""
    return Path(click.get_app_dir("scrieve")) / "printers.json"


def correction(printer: str | None) -> Any:
    if printer is None:
        return None
    from tiling.printers import printer_named

    try:
        return printer_named(printers_file(), printer)
    except TilingError as error:
        raise WishError(f"--printer: {error}") from error


class Progress:
    """A bar on a terminal, nothing in a pipe; called with the pages done and the pages in all."""

    def __init__(self, what: str) -> None:
        self._what = what
        self._shown = sys.stderr.isatty()
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
