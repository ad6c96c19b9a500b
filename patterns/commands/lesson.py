"""The verbs of the teacher: patterns for a class, and models."""

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
    with_go_on,
    with_page_request,
)

if TYPE_CHECKING:
    from patterns.model.make import ModelType
    from patterns.run.page_request import PageRequest

__all__ = ["class_", "model"]

FILE = click.Path(path_type=Path, dir_okay=False)


@click.command("class")
@click.argument("folder", type=FOLDER)
@click.option("--list", "names", type=FILE, help="CSV file of names; by default class.csv in FOLDER.")
@only_option
@click.option(
    "--order",
    type=click.Choice(["by set", "by page"]),
    default="by set",
    show_default=True,
    help="Each set together, to be handed out; or each page of all sets together, to be trimmed in one go.",
)
@click.option("--apart", is_flag=True, help="Write one file for each set.")
@click.option(
    "--for", "owners", multiple=True, metavar="NAME", help="Make only this name's set again; repeatable."
)
@click.option(
    "--loft", multiple=True, metavar="LINE", help="A line to loft by hand; by default the sheer; repeatable."
)
@click.option("--metric", is_flag=True, help="Worksheets in millimetres only.")
@click.option("--price", default="", metavar="MONEY", help='The price of one sheet, e.g. "0.04 EUR".')
@click.option(
    "--paper-mass", default="", metavar="GRAMS", help='Mass of a square metre of paper, e.g. "80 g/m2".'
)
@pattern_options
@with_page_request
@folder_options
@with_go_on
@quiet_option
def class_(
    folder: Path,
    names: Path | None,
    only: tuple[str, ...],
    order: str,
    apart: bool,
    owners: tuple[str, ...],
    loft: tuple[str, ...],
    metric: bool,
    price: str,
    paper_mass: str,
    quick: bool,
    share: bool,
    whole: bool,
    page_request: PageRequest,
    into: Path | None,
    replace: bool,
    go_on: Callable[[str], bool],
) -> None:
    """Make a set of patterns for each pupil.

    Each name of a list gets a set; worksheets to loft by hand, and their answers, come with them. Every page
    shows whose it is and which set it belongs to. The list is a CSV file with the columns "name" and, optional,
    "worksheets": how many worksheets go with that set.

    \b
    Examples:
      scrieve class demo_design/class --price "0.04 EUR" --paper-mass "80 g/m2"
      scrieve class demo_design --list demo_design/class/class.csv --only "transom knee"
      scrieve class demo_design/class --scale 1:4 --order "by page"
      scrieve class demo_design/class --for "Table Bevel"
    """
    from patterns.lesson.make import ClassRequest, make_class

    request = ClassRequest(
        names=names, only=only, loft=loft, metric=metric, order="by page" if order == "by page" else "by set",
        apart=apart, owners=owners, whole=whole, quick=quick, share=share, price=price, mass=paper_mass,
    )  # fmt: skip
    made = make_class(
        folder,
        request=request,
        page_request=page_request,
        into=into,
        replace_files=replace,
        go_on=go_on,
        progress=Progress("Writing pages"),
    )
    made.tell(click.echo, quiet=quiet())


@click.command()
@click.argument("folder", type=FOLDER)
@click.option(
    "--type",
    "kind",
    type=click.Choice(["parts", "lifts", "slots"]),
    default="parts",
    show_default=True,
    help="The boat's own parts; boards of a half model; or a slotted model.",
)
@click.option(
    "--board",
    default="3 mm",
    show_default=True,
    metavar="LENGTH",
    help="Thickness of the model's own boards.",
)
@with_page_request
@folder_options
@quiet_option
def model(
    folder: Path,
    kind: ModelType,
    board: str,
    page_request: PageRequest,
    into: Path | None,
    replace: bool,
) -> None:
    """Make pages for a model of the boat.

    Its pieces carry numbers, and one key says what each is. Without --scale it is as large as fits a page.

    \b
    Examples:
      scrieve model demo_design/class
      scrieve model demo_design/class --type lifts --board "12 mm" --scale 1:8
      scrieve model demo_design/class --type slots --board "3 mm"
    """
    from patterns.model.make import ModelRequest, make_model

    made = make_model(
        folder,
        request=ModelRequest(type=kind, board=board),
        page_request=page_request,
        into=into,
        replace_files=replace,
    )
    made.tell(click.echo, quiet=quiet())
