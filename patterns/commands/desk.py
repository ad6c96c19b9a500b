"""The verbs of the desk: a new design, its keys, the table checked, the lines faired."""

from __future__ import annotations

import shlex
import sys
from pathlib import Path
from typing import TYPE_CHECKING

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
from patterns.commands.problems import list_problems, show
from patterns.errors import DesignError, PatternsError, RequestError

if TYPE_CHECKING:
    from patterns.findings import Findings

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
    empty, and scrieve check lists it until it is filled in. With --type demo, the folder holds five invented
    boats: of hard chine, of round bilge, of clinker planks, a repair and a class.

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
@verbose_option
@with_json
def check(folder: Path, assembly: bool, picture: Path | None, verbose: bool, as_json: bool) -> None:
    """Check the table, the design and every piece.

    It lists errors, suspect offsets, doubts and hints. With -v it also lists how far each line was faired, how each
    sheet and timber bends, and the hydrostatics. It writes nothing but a picture.

    \b
    Examples:
      scrieve check demo_design
      scrieve check demo_design -v
      scrieve check demo_design --picture picture.html

    \b
    Exit status:
      0  nothing is wrong or in doubt; there may be hints
      1  errors, or something is still missing
      2  an option is wrong
      3  doubts, or offsets or points that are suspected
    """
    from patterns import check as find
    from patterns import load
    from patterns.run.check import not_loaded
    from patterns.shop.report import assembly_report, verdict

    found: Findings | None = None
    if as_json:
        from patterns.run.as_data import findings_data, json_text

        found = find(folder, assembly=assembly, progress=Progress("Placing the pieces"))
        click.echo(json_text(findings_data(found)))
        sys.exit(found.status)
    try:
        subject = load(folder)
    except DesignError as error:
        _not_ready(not_loaded(folder, error), picture)
        sys.exit(1)
    try:
        try:
            found = find(subject, assembly=assembly, progress=Progress("Placing the pieces"))
        finally:  # what is known of the table is listed even where a piece fails
            for line in subject.report(found.of_pieces if found else (), verbose=verbose):
                show(line)
        if picture is not None:
            from patterns.picture.desk import write_picture

            click.echo(
                write_picture(
                    picture, found.title, subject.seen(found.patterns), found.patterns, problems=found.errors
                )
            )
        if found.errors:
            raise DesignError(found.errors)
    except RequestError:
        raise
    except PatternsError:
        if subject.doubtful():
            first = " and ".join(subject.doubtful())
            show(f"First look at {first} above: the errors below may come from there.", err=True)
        raise
    if found.assembly is not None:
        for line in assembly_report(found.assembly):
            show(line)
    then = f"scrieve patterns {shlex.quote(str(folder))}"
    show(verdict(len(found.patterns), subject.doubtful(found.of_pieces), then=then))
    click.get_current_context().exit(found.status)


def _not_ready(found: Findings, picture: Path | None) -> None:
    """List what keeps patterns from being made; of a boat judge and draw the lines that are known so far."""
    from patterns.shop.report import draft_report, unready

    list_problems(found.errors)
    draft = found.draft
    if draft is None:
        return
    for line in draft_report(draft):
        show(line)
    if picture is not None:
        from patterns.picture.desk import write_picture
        from patterns.picture.draft import draft_parts

        click.echo(write_picture(picture, found.title, draft_parts(draft), problems=found.errors))
    missing = sum(problem.missing for problem in found.errors)
    click.echo(unready(len(found.errors) - missing, missing))


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
