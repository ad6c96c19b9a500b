"""One check of a design folder in words, and the same again whenever a file of it is saved."""

from __future__ import annotations

import shlex
import time
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

import click

from patterns.commands.options import Progress
from patterns.commands.problems import list_problems, show
from patterns.errors import DesignError, PatternsError, RequestError
from patterns.files.stamps import changes, stamps_of
from patterns.findings import Findings
from patterns.numeric_errors import no_numeric_errors
from patterns.run.check import check, not_loaded
from patterns.shop.report import assembly_report, draft_report, unready, verdict
from patterns.subject import Subject, load
from tiling.errors import TilingError

if TYPE_CHECKING:
    from patterns.picture.desk import PictureFile

__all__ = ["Checking", "watched"]


@dataclass(frozen=True, kw_only=True)
class Checking:
    """What is checked, and what is shown of it.

    Attributes:
        folder: the design folder.
        assembly: place every piece in the boat and measure piece against piece.
        picture: the page to write; None for none.
        watched: the same is checked again and again.
        verbose: list every detail.
    """

    folder: Path
    assembly: bool = False
    picture: Path | None = None
    watched: bool = False
    verbose: bool = False

    @cached_property
    def page(self) -> PictureFile | None:
        """The file of the page."""
        if self.picture is None:
            return None
        from patterns.picture.desk import PictureFile  # slow to start, and not wanted by every check

        return PictureFile(path=self.picture, watched=self.watched)

    def run(self) -> int:
        """Check once and list what is found; the exit status of that.

        Raises:
            DesignError: pieces cannot be made.
            PatternsError: the picture cannot be written.
        """
        try:
            subject = load(self.folder)
        except DesignError as error:
            self._not_ready(not_loaded(self.folder, error))
            return 1
        try:
            return self._judged(subject)
        except RequestError:
            raise
        except PatternsError:
            if subject.doubtful():
                first = " and ".join(subject.doubtful())
                show(f"First look at {first} above: the errors below may come from there.", err=True)
            raise

    def _judged(self, subject: Subject) -> int:
        found: Findings | None = None
        try:
            found = check(subject, assembly=self.assembly, progress=Progress("Placing the pieces"))
        finally:  # what is known of the table is listed even where a piece fails
            for line in subject.report(found.of_pieces if found else (), verbose=self.verbose):
                show(line)
        if self.page is not None:
            parts = subject.seen(found.patterns)
            click.echo(self.page.write(found.title, parts, found.patterns, problems=found.errors))
        if found.errors:
            raise DesignError(found.errors)
        if found.assembly is not None:
            for line in assembly_report(found.assembly):
                show(line)
        then = f"scrieve patterns {shlex.quote(str(self.folder))}"
        show(verdict(len(found.patterns), subject.doubtful(found.of_pieces), then=then))
        return found.status

    def _not_ready(self, found: Findings) -> None:
        """List what keeps patterns from being made; of a boat judge and draw the lines that are known so far."""
        list_problems(found.errors)
        draft = found.draft
        if draft is None:
            return
        for line in draft_report(draft):
            show(line)
        if self.page is not None:
            from patterns.picture.draft import draft_parts

            click.echo(self.page.write(found.title, draft_parts(draft), problems=found.errors))
        missing = sum(problem.missing for problem in found.errors)
        click.echo(unready(len(found.errors) - missing, missing))


def watched(checking: Checking) -> int:
    """Check, and again whenever a table or the design file is saved, until it is interrupted; the last status.

    Raises:
        RequestError: what was asked for cannot be met.
    """
    read, status = stamps_of(checking.folder), 1
    try:
        status = _once(checking)
        show("Waiting for a change; Ctrl-C ends it.")
        for names in changes(checking.folder, read):
            show(f"\n{time.strftime('%H:%M:%S')} {', '.join(names)}")
            status = _once(checking)
    except KeyboardInterrupt:
        return status
    finally:
        if checking.page is not None:
            checking.page.close()
    return status


def _once(checking: Checking) -> int:
    """One check of many: what fails is listed, and the next one may be better."""
    try:
        with no_numeric_errors():
            return checking.run()
    except RequestError:
        raise
    except DesignError as error:
        list_problems(error.problems)
    except (PatternsError, TilingError) as error:
        show(str(error), err=True)
    return 1
