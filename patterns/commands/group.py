"""The group that the verbs hang on: errors become one clear message and an exit status."""

from __future__ import annotations

import io
import os
import sys
import warnings
from collections.abc import Callable
from typing import Any

import click

from patterns.commands.problems import counted_errors, list_lines, list_problems
from patterns.errors import DesignError, DoubtsError, InternalError, PatternsError, RequestError
from patterns.findings import DOUBTFUL
from patterns.numeric_errors import PiecesOmitted, no_numeric_errors
from tiling.errors import TilingError

__all__ = ["Scrieve"]


# numpy's linear algebra takes as many threads as the machine has cores, unless that is set before its import.
# Systems as small as ours it solves no faster with them, and with their number it changes last digits.
ONE_THREAD = "OPENBLAS_NUM_THREADS"


def _without_chatter(call: Callable[[click.Context], Any], ctx: click.Context) -> Any:
    """Run a verb; pieces that it had to leave out are named at its end, with exit status 1.

    Raises:
        InternalError: figures without an answer came out elsewhere than in a single piece.
    """
    done, status = None, 0
    with warnings.catch_warnings(record=True) as caught:
        warnings.simplefilter("always", PiecesOmitted)
        with no_numeric_errors():
            try:
                done = call(ctx)
            except click.exceptions.Exit as finished:
                status = finished.exit_code
    omitted = [str(each.message) for each in caught if issubclass(each.category, PiecesOmitted)]
    for words in dict.fromkeys(omitted):
        click.echo(words, err=True)
    if omitted or status:
        ctx.exit(1 if omitted else status)
    return done


class Scrieve(click.Group):
    """The group that turns errors into one clear message.

    Exit status 1: the design is at fault, or the program itself.  2: what was asked for is.  3: there are doubts,
    of `check`, or of `patterns` where none was to be left open.
    """

    def invoke(self, ctx: click.Context) -> Any:
        os.environ[ONE_THREAD] = "1"
        for stream in (sys.stdout, sys.stderr):  # a boat's name may have letters that a terminal has not
            if isinstance(stream, io.TextIOWrapper):
                stream.reconfigure(errors="replace")
        try:
            return _without_chatter(super().invoke, ctx)
        except RequestError as error:
            raise click.UsageError(str(error)) from error
        except InternalError as error:
            click.echo(str(error), err=True)
            ctx.exit(1)
        except DesignError as error:
            list_problems(error.problems)
            if error.doubts:
                click.echo(
                    f"Check first what scrieve check doubts ({' and '.join(error.doubts)}): it may be the cause.",
                    err=True,
                )
            ctx.exit(1)
        except DoubtsError as error:
            from patterns.design.confirmed import doubt_lines  # what reads designs is slow to start

            for line in doubt_lines(error.problems):
                click.echo(line, err=True)
            click.echo("No patterns were made: correct or confirm these, or leave out --strict.", err=True)
            ctx.exit(DOUBTFUL)
        except (PatternsError, TilingError) as error:
            lines = str(error).splitlines()
            list_lines(counted_errors(len(lines)), lines)
            ctx.exit(1)
