"""The verb that makes the pages."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from patterns.commands.options import FOLDER, Progress, correction, page_options, scale_options

__all__ = ["asked", "on_terminal", "patterns"]


def on_terminal() -> bool:
    """Whether somebody is there who can answer."""
    return sys.stdin.isatty() and sys.stderr.isatty()


def asked(words: str) -> bool:
    """Ask on a terminal; in a pipe nobody says yes.

    Raises:
        click.Abort: the answer is no.
    """
    if not on_terminal():
        return False
    return click.confirm(f"{words}. Go on?", abort=True, err=True)


@click.command()
@click.argument("folder", type=FOLDER)
@click.option(
    "--only",
    multiple=True,
    metavar="NAME",
    help='A pattern, or all of one frame, as "frame 3"; may be repeated.',
)
@click.option("--pages", metavar="LIST", help='Only these pages, as "7,12-14": spoiled ones to print again.')
@click.option("--quick", is_flag=True, help="No search for fewer pages: every pattern on pages of its own.")
@click.option("--whole", is_flag=True, help="Symmetrical patterns whole, not as a half to flip.")
@click.option("--other-face", is_flag=True, help="The other face too, mirrored, on the same register holes.")
@page_options
@scale_options
@click.option("--printer", metavar="NAME", help="Draw for that printer, measured before with scrieve ruler.")
@click.option("--into", type=FOLDER, help="Folder to write to; by default one named after the boat.")
@click.option("--replace", is_flag=True, help="Write over files that were changed since they were written.")
@click.option("--sure", is_flag=True, help="Go on though it takes thousands of pages.")
def patterns(
    folder: Path,
    only: tuple[str, ...],
    pages: str | None,
    whole: bool,
    other_face: bool,
    quick: bool,
    printer: str | None,
    paper: str | None,
    landscape: bool,
    margin: str,
    overlap: str,
    joint: str,
    scale: str,
    into: Path | None,
    replace: bool,
    sure: bool,
) -> None:
    """Make the full-size patterns: a PDF to print, tables for the shop, shapes as data.

    \b
    Examples:
      scrieve patterns demo_design
      scrieve patterns demo_design --only "frame 3" --paper letter
      scrieve patterns demo_design --pages 7,12-14
      scrieve patterns demo_design --scale 1:4
    """
    from patterns.make import make_patterns
    from patterns.page_wish import PageWish

    wish = PageWish(
        paper=paper,
        landscape=landscape,
        margin=margin,
        overlap=overlap,
        joint=joint,
        scale=scale,
        correction=correction(printer),
    )
    made = make_patterns(
        folder,
        wish=wish,
        only=only,
        pages=pages,
        whole=whole,
        other_face=other_face,
        quick=quick,
        into=into,
        replace=replace,
        go_on=(lambda _: True) if sure else asked,
        progress=Progress("Drawing pages"),
    )
    for line in made.words:
        click.echo(line)
