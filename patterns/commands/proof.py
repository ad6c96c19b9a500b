"""The verbs that prove the scale: a test page for the printer, a finished file measured."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path

import click

from patterns.commands.options import correction, page_options, printers_file, quiet_option, say, with_json
from patterns.errors import PatternsError

__all__ = ["prove", "ruler"]

LISTED = 40  # findings that are printed


@click.command()
@page_options
@click.option(
    "-o", "--output", "into", type=click.Path(path_type=Path, dir_okay=False), default="ruler.pdf",
    show_default=True, metavar="FILE", help="Output file.",
)  # fmt: skip
@click.option("-f", "--force", "replace", is_flag=True, help="Overwrite the file.")
@click.option(
    "--printer", metavar="NAME", help="Draw for this printer; with both readings, keep them under its name."
)
@click.option("--short-side", metavar="LENGTH", help="Reading of the ruler along the paper's short side.")
@click.option("--long-side", metavar="LENGTH", help="Reading of the ruler along the paper's long side.")
@click.option("--tray", default="", help="The tray that the paper was in; kept with the readings.")
@click.option("--feed", default="", help="The edge of the paper that went in first; kept with the readings.")
@click.option("-y", "--yes", "sure", is_flag=True, help="Keep readings even if they look like fitted pages.")
def ruler(
    paper: str | None, landscape: bool, margin: str, overlap: str, into: Path, replace: bool,
    printer: str | None, short_side: str | None, long_side: str | None, tray: str, feed: str, sure: bool,
) -> None:  # fmt: skip
    """Make a test page with long rulers.

    Print it at 100 % and measure its two rulers from disc to disc. With --printer, --short-side and --long-side
    the readings are kept under the printer's name, and correct the pages that are drawn for it.

    \b
    Examples:
      scrieve ruler --paper a4
      scrieve ruler --paper a4 --printer "hall laser" --short-side "159.6 mm" --long-side "249.5 mm"
    """
    from patterns.run.page_request import PageRequest
    from patterns.run.ruler import make_ruler, measure_printer

    measured = short_side is not None or long_side is not None
    if measured and (short_side is None or long_side is None or printer is None):
        raise click.UsageError("to keep readings, give --printer, --short-side and --long-side together")
    request = PageRequest(
        paper=paper, landscape=landscape, margin=margin, overlap=overlap,
        correction=None if measured else correction(printer),
    )  # fmt: skip
    if measured:
        said = measure_printer(
            request, printers_file(), printer=printer or "", short=short_side or "", long=long_side or "",
            tray=tray, feed=feed, sure=sure,
        )  # fmt: skip
    else:
        said = make_ruler(request, into, replace=replace)
    for line in said:
        click.echo(line)


@click.command()
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False))
@click.option(
    "--pictures/--no-pictures", default=None,
    help="Compare a drawing of each page by pypdfium2 too; default: where it is installed.",
)  # fmt: skip
@quiet_option
@with_json
def prove(file: Path, pictures: bool | None, as_json: bool) -> None:
    """Check a finished PDF by its own record.

    It measures the scale, the places and all that is printed by the record that the file carries. With pip install
    "scrieve[raster]" a second program draws each page, and the picture is compared with the record. It proves the
    file, not the print: measure the rulers on paper too.

    \b
    Example:
      scrieve prove "Half Past Seven patterns/patterns.pdf"

    \b
    Exit status:
      0  the file is as it should be
      1  it differs from its record, or has none
      2  an option is wrong
    """
    from patterns.files.batch import put_back
    from patterns.run.summary import UNDONE
    from patterns.shop.report import counted
    from tiling.proof import prove as measured
    from tiling.proof.raster_witness import installed

    if pictures and not installed():
        raise click.UsageError('--pictures needs pypdfium2; install it by: pip install "scrieve[raster]"')
    undone = put_back(file.parent)
    proof = measured(file, pictures=installed() if pictures is None else pictures)
    if as_json:
        from patterns.run.as_data import json_text

        click.echo(json_text({name.replace("_", " "): value for name, value in asdict(proof).items()}))
        click.get_current_context().exit(1 if proof.findings else 0)
    if undone:
        say(UNDONE)
    say(f"{proof.title}, mark {proof.mark}: {counted(proof.pages, 'page')} of {proof.total}.")
    if proof.drawn_at != "1:1":
        say(f"  drawn at scale {proof.drawn_at}: not full size; the figures below are mm on paper")
    if proof.stretch != (1.0, 1.0):
        across, up = proof.stretch
        say(f"  drawn for a printer: {across:.4f} across, {up:.4f} up; the figures below leave that out")
    for what, count, worst in (
        ("vertices of strokes", proof.vertices, proof.stroke_off),
        ("match marks across seams", proof.seams, proof.seam_off),
        ("lines of words", proof.words, proof.words_off),
        ("rulers", proof.rulers, proof.ruler_off),
    ):
        say(f"  {count} {what}: the worst is {worst:.4f} mm off")
    say(f"  scale: {proof.scale:.6f} at worst")
    if proof.pictures:
        say(
            f"  {proof.pictures} pictures of pages: the longest stray ink is {proof.seen.stray:.1f} mm, "
            f"the longest missing ink {proof.seen.missing:.1f} mm"
        )
    if proof.findings:
        more = len(proof.findings) - LISTED
        said = [*proof.findings[:LISTED], *([f"{more} more findings"] if more > 0 else [])]
        raise PatternsError("\n".join(said))
    say("All as it should be. Now measure the rulers on paper.")
