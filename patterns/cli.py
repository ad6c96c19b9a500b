"""The command line: the group and its verbs.  Verbs are thin: options in, one call, what was written out."""

from __future__ import annotations

import click

from patterns.commands import desk, guide, lesson, open_desk, pages, proof
from patterns.commands.group import Scrieve

__all__ = ["main"]


@click.group(cls=Scrieve, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(package_name="scrieve", message="%(prog)s %(version)s")
def main() -> None:
    """From a boat's table of offsets to full-size paper patterns, printed at home.

    \b
    Read the guide for you:
      scrieve guide builder
    Try the invented boat that comes with scrieve:
      scrieve start demo_design --type demo
      scrieve patterns demo_design
    Start a design of your own:
      scrieve start my_boat

    Patterns are geometry, not engineering: scantlings and fastenings are for the plans, the local rules and a
    qualified designer or surveyor.
    """


for verb in (
    guide.guide,
    guide.news,
    desk.start,
    desk.keys,
    open_desk.desk,
    desk.check,
    desk.fair,
    pages.patterns,
    lesson.class_,
    lesson.model,
    proof.ruler,
    proof.prove,
):
    main.add_command(verb)
