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
from patterns.errors import DesignError, InternalError, PatternsError, RequestError
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
    with warnings.catch_warnings(record=True) as caught:
        warnings.simplefilter("always", PiecesOmitted)
        with no_numeric_errors():
            done = call(ctx)
    omitted = [str(each.message) for each in caught if issubclass(each.category, PiecesOmitted)]
    for words in dict.fromkeys(omitted):
        click.echo(words, err=True)
    if omitted:
        ctx.exit(1)
    return done


class Scrieve(click.Group):
    """The group that turns errors into one clear message.

    Exit status 1: the design is at fault, or the program itself.  2: what was asked for is.
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
        except (PatternsError, TilingError) as error:
            lines = str(error).splitlines()
            list_lines(counted_errors(len(lines)), lines)
            ctx.exit(1)
