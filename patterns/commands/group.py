"""The group that the verbs hang on: errors become one clear message and an exit status."""

from __future__ import annotations

import io
import os
import sys
import warnings
from collections.abc import Callable
from typing import Any

import click

from patterns.commands.problems import counted_things, list_lines, list_problems
from patterns.errors import DesignError, PatternsError, WishError
from tiling.errors import TilingError

__all__ = ["Scrieve"]


# numpy's linear algebra takes as many threads as the machine has cores, unless it is told before its import.
# Systems as small as ours it solves no faster with them, and with their number it changes last digits.
ONE_THREAD = "OPENBLAS_NUM_THREADS"

IN_DOUBT = (
    "Some figures did not come out: look at every shape before you cut, and tell the makers of this program."
)


def _without_chatter(call: Callable[[click.Context], Any], ctx: click.Context) -> Any:
    """Run a verb; what a library has to say of figures without an answer is put in words of our own.

    A wild shape that ends in an error has been told as one: then it is left unsaid.
    """
    with warnings.catch_warnings(record=True) as caught:
        done = call(ctx)
    if any(issubclass(each.category, RuntimeWarning) for each in caught):
        click.echo(IN_DOUBT, err=True)
    return done


class Scrieve(click.Group):
    """The group that turns errors into one clear message.

    Exit status 1: the design is at fault.  2: what was asked for is.
    """

    def invoke(self, ctx: click.Context) -> Any:
        os.environ[ONE_THREAD] = "1"
        for stream in (sys.stdout, sys.stderr):  # a boat's name may have letters that a terminal has not
            if isinstance(stream, io.TextIOWrapper):
                stream.reconfigure(errors="replace")
        try:
            return _without_chatter(super().invoke, ctx)
        except WishError as error:
            raise click.UsageError(str(error)) from error
        except DesignError as error:
            list_problems(error.problems)
            ctx.exit(1)
        except (PatternsError, TilingError) as error:
            lines = str(error).splitlines()
            list_lines(f"{counted_things(len(lines))} to put right", lines)
            ctx.exit(1)
