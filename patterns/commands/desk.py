"""The verbs of the desk: a new design, what its keys mean, the table put right, the lines faired."""

from __future__ import annotations

import shlex
from pathlib import Path

import click

from patterns.commands.options import FOLDER, Progress, folder_options
from patterns.errors import PatternsError, WishError

__all__ = ["check", "fair", "keys", "start"]


@click.command()
@click.argument("folder", type=FOLDER)
@click.option(
    "--sort",
    type=click.Choice(["hard chine", "several chines", "round bilge", "broken frame"]),
    default="hard chine",
    show_default=True,
    help="Of boat: which lines and members the files are made ready for; broken frame is a repair.",
)
def start(folder: Path, sort: str) -> None:
    """Make a new design folder with a commented design file and empty tables to fill in.

    It asks nothing: what only the plan tells is left empty, and check names it until it is filled in.

    \b
    Examples:
      scrieve start my_boat
      scrieve start my_boat --sort "round bilge"
      scrieve start my_repair --sort "broken frame"
    """
    from patterns.start import start_folder

    for path in start_folder(folder, sort=sort):
        click.echo(f"wrote {path}")
    click.echo(f"Fill in the tables, then: scrieve check {shlex.quote(str(folder))}")


@click.command()
@click.argument("table", required=False)
def keys(table: str | None) -> None:
    """Tell every table and key of the design file: what it means, and what holds when it is left out.

    \b
    Examples:
      scrieve keys
      scrieve keys frame
    """
    from patterns.design.keys import key_words, unknown_table

    wrong = None if table is None else unknown_table(table)
    if wrong:
        raise WishError(wrong)
    for line in key_words(table):
        click.echo(line)


@click.command()
@click.argument("folder", type=FOLDER)
@click.option(
    "--assembly", is_flag=True, help="Place every piece in the boat and measure piece against piece."
)
@click.option(
    "--picture",
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="FILE",
    help='Show lines, suspects and pieces as a page for a screen, as "picture.html".',
)
def check(folder: Path, assembly: bool, picture: Path | None) -> None:
    """Check the table, the design and every piece: errors, suspects, fairness.  Writes nothing but a picture.

    \b
    Examples:
      scrieve check demo_design
      scrieve check demo_design --picture picture.html
    """
    from patterns.shop.report import counted
    from patterns.subject import load_subject

    subject = load_subject(folder)
    for line in subject.report():
        click.echo(line)
    try:
        if picture is None:
            patterns = subject.patterns()
        else:
            from patterns.picture.desk import pictured

            patterns = pictured(subject, picture, say=click.echo)
    except PatternsError:
        if any("suspect" in line for line in subject.closing()):
            click.echo("Put the suspect offsets right first: what follows may come of them.", err=True)
        raise
    click.echo(f"{counted(len(patterns), 'pattern')} can be made.")
    if assembly:
        for line in subject.assembly(patterns, progress=Progress("Placing the pieces")):
            click.echo(line)


@click.command()
@click.argument("folder", type=FOLDER)
@folder_options
def fair(folder: Path, into: Path | None, replace: bool) -> None:
    """Fair the lines and write the as-faired table, with every move and every duck's load.

    \b
    Example:
      scrieve fair demo_design
    """
    from patterns.make import make_faired

    for line in make_faired(folder, into=into, replace=replace).words:
        click.echo(line)
