"""The verbs that show papers of the package: the guides to taped paper, and what is new."""

from __future__ import annotations

import sys
from importlib import resources

import click

__all__ = ["GUIDES", "guide", "news"]

GUIDES = ("builder", "repairer", "teacher", "paper")  # in the order in which they are listed


@click.command()
@click.argument("name", type=click.Choice(GUIDES), required=False)
def guide(name: str | None) -> None:
    """Show the way to taped patterns in steps.

    There is a guide for the builder, the repairer and the teacher, and one about paper and printers. Without a
    name they are listed. On a terminal a guide is shown page by page; to keep one, redirect it to a file.

    \b
    Examples:
      scrieve guide
      scrieve guide builder
      scrieve guide repairer > repairer.txt
    """
    if name is None:
        for each in GUIDES:
            click.echo(f"  scrieve guide {each:10}{_title(each)}")
    else:
        _show(name)


@click.command()
def news() -> None:
    """Show what changed in each version.

    \b
    Example:
      scrieve news
    """
    _show("news")


def _show(name: str) -> None:
    if sys.stdout.isatty():
        click.echo_via_pager(_text(name))
    else:
        click.echo(_text(name), nl=False)


def _text(name: str) -> str:
    return (resources.files("patterns") / "guides" / f"{name}.md").read_text(encoding="ascii")


def _title(name: str) -> str:
    """The first line's heading after the guide's own name."""
    heading = _text(name).partition("\n")[0].partition(": ")[2]
    return heading[:1].upper() + heading[1:]
