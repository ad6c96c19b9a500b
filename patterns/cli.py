"""The command line.  Commands are thin: options in, one call, what was written out; imports come late."""

from __future__ import annotations

import io
import shlex
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

from patterns.errors import PatternsError, WishError
from tiling.errors import TilingError

__all__ = ["main"]

FOLDER = click.Path(path_type=Path, file_okay=False)


class Scrieve(click.Group):
    """The group that turns errors into one clear message.

    Exit status 1: the design is at fault.  2: what was asked for is.
    """

    def invoke(self, ctx: click.Context) -> Any:
        for stream in (sys.stdout, sys.stderr):  # a boat's name may have letters that a terminal has not
            if isinstance(stream, io.TextIOWrapper):
                stream.reconfigure(errors="replace")
        try:
            return super().invoke(ctx)
        except WishError as error:
            raise click.UsageError(str(error)) from error
        except (PatternsError, TilingError) as error:
            lines = str(error).splitlines()
            count = f"{len(lines)} things to put right" if len(lines) > 1 else "One thing to put right"
            click.echo(f"{count}:", err=True)
            for line in lines:
                click.echo(f"  {line}", err=True)
            ctx.exit(1)


@click.group(cls=Scrieve, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(package_name="scrieve", message="%(prog)s %(version)s")
def main() -> None:
    """From a boat's table of offsets to full-size paper patterns, printed at home.

    \b
    Try it on the invented boat that comes with the project:
      scrieve patterns demo_design
    Begin a design of your own:
      scrieve start my_boat

    Patterns are geometry, not engineering: scantlings and fastenings are for the plans, the local rules and a
    qualified designer or surveyor.
    """


@main.command()
@click.argument("folder", type=FOLDER)
def start(folder: Path) -> None:
    """Make a new design folder with a commented design file and empty tables to fill in.

    \b
    Example:
      scrieve start my_boat
    """
    from patterns.start import start_folder

    for path in start_folder(folder):
        click.echo(f"wrote {path}")
    click.echo(f"Fill in the tables, then: scrieve check {shlex.quote(str(folder))}")


@main.command()
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


@main.command()
@click.argument("folder", type=FOLDER)
@click.option(
    "--assembly", is_flag=True, help="Place every piece in the boat and measure piece against piece."
)
def check(folder: Path, assembly: bool) -> None:
    """Check the table, the design and every piece: errors, suspects, fairness.  Writes nothing.

    \b
    Example:
      scrieve check demo_design
    """
    from patterns.boat import load_boat
    from patterns.members import all_patterns
    from patterns.shop.report import counted, report

    boat = load_boat(folder)
    for line in report(boat):
        click.echo(line)
    patterns = all_patterns(boat)
    click.echo(f"{counted(len(patterns), 'pattern')} can be made.")
    if assembly:
        from patterns.assembly.proof import assembled
        from patterns.shop.report import assembly_report

        for line in assembly_report(assembled(boat, patterns, progress=_Progress("Placing the pieces"))):
            click.echo(line)


@main.command()
@click.argument("folder", type=FOLDER)
@click.option("--into", type=FOLDER, help="Folder to write to; by default one named after the boat.")
@click.option("--replace", is_flag=True, help="Write over files that were changed since they were written.")
def fair(folder: Path, into: Path | None, replace: bool) -> None:
    """Fair the lines and write the as-faired table, with every move and every duck's load.

    \b
    Example:
      scrieve fair demo_design
    """
    from patterns.make import make_faired

    for line in make_faired(folder, into=into, replace=replace).words:
        click.echo(line)


def _page_options(command: Callable[..., None]) -> Callable[..., None]:
    """The options of the paper, the same wherever pages are made."""
    options = [
        click.option("--paper", default=None, help="a4, letter, ...; by default what your locale prints on."),
        click.option("--landscape", is_flag=True, help="Pages lie on their long side."),
        click.option("--margin", default="10 mm", show_default=True, help="Clear edge of every page."),
        click.option("--overlap", default="12 mm", show_default=True, help="How far pages overlap."),
    ]
    for option in reversed(options):
        command = option(command)
    return command


@main.command()
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
@_page_options
@click.option("--printer", metavar="NAME", help="Draw for that printer, measured before with scrieve ruler.")
@click.option("--into", type=FOLDER, help="Folder to write to; by default one named after the boat.")
@click.option("--replace", is_flag=True, help="Write over files that were changed since they were written.")
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
    into: Path | None,
    replace: bool,
) -> None:
    """Make the full-size patterns: a PDF to print, tables for the shop, shapes as data.

    \b
    Examples:
      scrieve patterns demo_design
      scrieve patterns demo_design --only "frame 3" --paper letter
      scrieve patterns demo_design --pages 7,12-14
    """
    from patterns.make import PageWish, make_patterns

    wish = PageWish(
        paper=paper, landscape=landscape, margin=margin, overlap=overlap, correction=_correction(printer)
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
        progress=_Progress("Drawing pages"),
    )
    for line in made.words:
        click.echo(line)


@main.command()
@_page_options
@click.option(
    "--into", type=click.Path(path_type=Path, dir_okay=False), default="ruler.pdf", show_default=True,
    help="The file to write.",
)  # fmt: skip
@click.option("--replace", is_flag=True, help="Write over a file that is there already.")
@click.option(
    "--printer", metavar="NAME", help="Draw for that printer; with both readings: keep them under its name."
)
@click.option("--short-side", metavar="LENGTH", help="What the ruler along the paper's short side measured.")
@click.option("--long-side", metavar="LENGTH", help="What the ruler along the paper's long side measured.")
@click.option("--tray", default="", help="Which tray the paper lay in, to be remembered.")
@click.option("--feed", default="", help="Which edge of the paper went in first, to be remembered.")
@click.option("--sure", is_flag=True, help="Keep readings that look like fitted pages.")
def ruler(
    paper: str | None, landscape: bool, margin: str, overlap: str, into: Path, replace: bool,
    printer: str | None, short_side: str | None, long_side: str | None, tray: str, feed: str, sure: bool,
) -> None:  # fmt: skip
    """Make one test page with long rulers, to prove that this printer prints at 100 %.

    Measured from disc to disc, its two rulers tell what this printer makes of a length. Kept under the printer's
    name, the readings correct the pages that are drawn for it.

    \b
    Examples:
      scrieve ruler --paper a4
      scrieve ruler --paper a4 --printer "hall laser" --short-side "159.6 mm" --long-side "249.5 mm"
    """
    from patterns.make import PageWish
    from patterns.ruler import make_ruler, measure_printer

    measured = short_side is not None or long_side is not None
    if measured and (short_side is None or long_side is None or printer is None):
        raise click.UsageError("a printer is kept by --printer, --short-side and --long-side together")
    wish = PageWish(
        paper=paper, landscape=landscape, margin=margin, overlap=overlap,
        correction=None if measured else _correction(printer),
    )  # fmt: skip
    if measured:
        said = measure_printer(
            wish, _printers(), printer=printer or "", short=short_side or "", long=long_side or "",
            tray=tray, feed=feed, sure=sure,
        )  # fmt: skip
    else:
        said = make_ruler(wish, into, replace=replace)
    for line in said:
        click.echo(line)


def _printers() -> Path:
    """The file that keeps what printers measured; it belongs to the user, not to a design."""
    return Path(click.get_app_dir("scrieve")) / "printers.json"


def _correction(printer: str | None) -> Any:
    if printer is None:
        return None
    from tiling.printers import printer_named

    try:
        return printer_named(_printers(), printer)
    except TilingError as error:
        raise WishError(f"--printer: {error}") from error


class _Progress:
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


@main.command()
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False))
def prove(file: Path) -> None:
    """Measure a finished PDF against the record that it carries: scale, strokes, marks, words, rulers.

    It proves the file, not the print: measure the rulers on paper too.

    \b
    Example:
      scrieve prove "Half Past Seven patterns/patterns.pdf"
    """
    from patterns.shop.report import counted
    from tiling.proof import prove as measured

    proof = measured(file)
    click.echo(f"{proof.title}, mark {proof.mark}: {counted(proof.pages, 'page')} of {proof.total}.")
    if proof.stretch != (1.0, 1.0):
        across, up = proof.stretch
        click.echo(
            f"  drawn for a printer: {across:.4f} across, {up:.4f} up; all that follows is told without it"
        )
    for what, count, worst in (
        ("vertices of strokes", proof.vertices, proof.stroke_off),
        ("match marks across seams", proof.seams, proof.seam_off),
        ("lines of words", proof.words, proof.words_off),
        ("rulers", proof.rulers, proof.ruler_off),
    ):
        click.echo(f"  {count} {what}: the worst is {worst:.4f} mm off")
    click.echo(f"  scale: {proof.scale:.6f} at worst")
    if proof.findings:
        raise PatternsError("\n".join(proof.findings))
    click.echo("All as it should be. Now measure the rulers on paper.")
