"""The verbs of the desk: a new design, its keys, the table checked, the lines faired."""

from __future__ import annotations

import shlex
from pathlib import Path

import click

from patterns.commands.options import (
    FOLDER,
    Progress,
    folder_options,
    quiet,
    quiet_option,
    verbose_option,
    with_json,
)
from patterns.commands.problems import show
from patterns.errors import RequestError

__all__ = ["check", "fair", "keys", "start"]


@click.command()
@click.argument("folder", type=FOLDER)
@click.option(
    "--type",
    "sort",
    type=click.Choice(["hard chine", "several chines", "round bilge", "broken frame", "demo"]),
    default="hard chine",
    show_default=True,
    help="Type of boat; broken frame is a repair; demo is complete and can be printed at once.",
)
def start(folder: Path, sort: str) -> None:
    """Make a new design folder to fill in.

    It holds a commented design file and empty tables. It asks no questions: what only the plan shows is left
    empty, and scrieve check lists it until it is filled in. With --type demo, the folder holds six invented
    boats: of hard chine, round bilge, clinker planks, flat bottom; a repair, a class.

    \b
    Examples:
      scrieve start demo_design --type demo
      scrieve start my_boat
      scrieve start my_boat --type "round bilge"
      scrieve start my_repair --type "broken frame"
    """
    from patterns.run.starter import start_folder

    for path in start_folder(folder, sort=sort):
        click.echo(f"wrote {path}")
    named = shlex.quote(str(folder))
    if sort == "demo":
        click.echo(f"Next: scrieve patterns {named}")
    else:
        click.echo(f"Fill in the tables; then: scrieve check {named}")


@click.command()
@click.argument("table", required=False)
@click.option("--repair", is_flag=True, help="List the tables of a repair alone.")
def keys(table: str | None, repair: bool) -> None:
    """List the keys of the design file.

    Each table and key is listed with its meaning and its default.

    \b
    Examples:
      scrieve keys
      scrieve keys frame
      scrieve keys --repair
    """
    from patterns.design.keys import key_words, unknown_table

    wrong = None if table is None else unknown_table(table)
    if wrong:
        raise RequestError(wrong)
    for line in key_words(table, repair=repair):
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
    help='Write lines, suspects and pieces as a page for a browser, e.g. "picture.html".',
)
@click.option("--watch", is_flag=True, help="Check again whenever a file changes; Ctrl-C ends it.")
@verbose_option
@with_json
def check(
    folder: Path, assembly: bool, picture: Path | None, watch: bool, verbose: bool, as_json: bool
) -> None:
    """Check the table, the design and every piece.

    It lists errors, suspect offsets, doubts and hints. With -v it also lists how far each line was faired, how each
    sheet and timber bends, and the hydrostatics. It writes nothing but a picture.

    With --watch it checks again whenever the table or the design is saved. The picture is rewritten each time,
    and a browser that shows it loads it by itself.

    \b
    Examples:
      scrieve check demo_design
      scrieve check demo_design -v
      scrieve check demo_design --picture picture.html
      scrieve check my_boat --watch --picture picture.html

    \b
    Exit status:
      0  nothing is wrong or in doubt; there may be hints
      1  errors, or something is still missing
      2  an option is wrong
      3  doubts, or offsets or points that are suspected
    """
    if as_json:
        if watch:
            raise RequestError("--json prints the values of one check; leave out --watch")
        _print_values(folder, assembly=assembly)
        return
    from patterns.commands.checking import Checking, watched

    checking = Checking(folder=folder, assembly=assembly, picture=picture, watched=watch, verbose=verbose)
    click.get_current_context().exit(watched(checking) if watch else checking.run())


def _print_values(folder: Path, *, assembly: bool) -> None:
    """One check as values for other programs; it ends with the check's status."""
    from patterns import check as find
    from patterns.run.as_data import findings_data, json_text

    found = find(folder, assembly=assembly, progress=Progress("Placing the pieces"))
    click.echo(json_text(findings_data(found)))
    click.get_current_context().exit(found.status)


@click.command()
@click.argument("folder", type=FOLDER)
@folder_options
@quiet_option
def fair(folder: Path, into: Path | None, replace: bool) -> None:
    """Fair the lines and write the faired table.

    It also writes every move, every duck's load, and the lines as a page for a browser.

    \b
    Example:
      scrieve fair demo_design
    """
    from patterns.run.make import make_faired

    make_faired(folder, into=into, replace=replace).tell(show, quiet=quiet())
