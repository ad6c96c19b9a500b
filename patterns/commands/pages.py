"""The verb that makes the pages."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import click

from patterns.commands.options import (
    FOLDER,
    Progress,
    folder_options,
    only_option,
    pattern_options,
    quiet,
    quiet_option,
    verbose_option,
    with_go_on,
    with_json,
    with_page_request,
)
from patterns.commands.problems import show

if TYPE_CHECKING:
    from patterns.run.page_request import PageRequest

__all__ = ["patterns"]


@click.command()
@click.argument("folder", type=FOLDER)
@only_option
@click.option("--pages", metavar="LIST", help='Only these pages, e.g. "7,12-14" or "frame 3 B2".')
@pattern_options
@click.option("--list", "listed", is_flag=True, help="List the names of the patterns, and make nothing.")
@click.option("--strict", is_flag=True, help="Make nothing while there is a doubt.")
@click.option(
    "--other-face", is_flag=True, help="Print the other face too, mirrored, on the same register holes."
)
@click.option("--dxf", is_flag=True, help='Write each pattern as DXF too; needs "scrieve[dxf]".')
@with_page_request
@folder_options
@with_go_on
@quiet_option
@verbose_option
@with_json
def patterns(
    folder: Path,
    only: tuple[str, ...],
    pages: str | None,
    listed: bool,
    quick: bool,
    strict: bool,
    share: bool,
    whole: bool,
    other_face: bool,
    dxf: bool,
    page_request: PageRequest,
    into: Path | None,
    replace: bool,
    go_on: Callable[[str], bool],
    verbose: bool,
    as_json: bool,
) -> None:
    """Make the full-size patterns, ready to print.

    They are a PDF to print, tables for the shop, and shapes as data. Doubts are listed first, and a piece in doubt
    is marked on its own pages.

    \b
    Examples:
      scrieve patterns demo_design
      scrieve patterns demo_design --only "frame 3" --paper letter
      scrieve patterns demo_design --pages 7,12-14
      scrieve patterns demo_design --scale 1:4
      scrieve patterns demo_design --dxf
      scrieve patterns demo_design --list

    \b
    Exit status:
      0  the patterns are made, in doubt or not
      1  the design has errors; earlier files are left as they were
      2  an option is wrong, or a request cannot be met
      3  there are doubts, and --strict is set
    """
    if listed:
        _list_names(folder, only, as_json)
        return
    from patterns import make

    made = make(
        folder,
        into,
        request=page_request,
        only=only,
        pages=pages,
        whole=whole,
        other_face=other_face,
        quick=quick,
        strict=strict,
        share=share,
        dxf=dxf,
        replace=replace,
        go_on=go_on,
        progress=Progress("Drawing pages"),
    )
    if as_json:
        from patterns.run.as_data import json_text, made_data

        made.tell(lambda _: None)
        click.echo(json_text(made_data(made)))
    else:
        made.tell(show, quiet=quiet(), verbose=verbose)


def _list_names(folder: Path, only: tuple[str, ...], as_json: bool) -> None:
    """The names of the patterns, in the order in which they are made."""
    from patterns import load
    from patterns.run.as_data import json_text
    from patterns.run.job import chosen
    from patterns.shop.order_of_work import in_order_of_work

    names = [pattern.name for pattern in in_order_of_work(chosen(load(folder).patterns(), only))]
    for line in [json_text({"patterns": names})] if as_json else names:
        show(line)
