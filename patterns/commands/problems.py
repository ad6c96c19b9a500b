"""Problems as they are listed: errors first, then what is missing; on a terminal broken between words."""

from __future__ import annotations

import shutil
import sys
from collections.abc import Sequence
from textwrap import TextWrapper

import click

from patterns.errors import Problem, first_lines

__all__ = ["counted_errors", "list_lines", "list_problems", "show"]

INDENT = 4  # columns, of a line that goes on
NARROW, WIDE = 40, 100  # columns; a terminal that is wider gets no longer lines


def list_problems(problems: Sequence[Problem]) -> None:
    """List problems on the error stream."""
    wrong = [str(problem) for problem in problems if not problem.missing]
    missing = [str(problem) for problem in problems if problem.missing]
    if wrong:
        list_lines(counted_errors(len(wrong)), wrong)
    if missing:
        list_lines(f"{len(missing):,} missing {'entry' if len(missing) == 1 else 'entries'}", missing)


def list_lines(heading: str, lines: Sequence[str]) -> None:
    """One list with its heading on the error stream."""
    show(f"{heading}:", err=True)
    for line in first_lines(lines):
        show(f"  {line}", err=True)


def show(line: str, *, err: bool = False) -> None:
    """Print a line: whole in a pipe, where other programs read it, on a terminal broken between words.

    Args:
        err: on the error stream.
    """
    if (sys.stderr if err else sys.stdout).isatty():
        columns = min(max(shutil.get_terminal_size().columns, NARROW), WIDE)
        indent = " " * (len(line) - len(line.lstrip()) + INDENT)
        # A path or a code is copied: it is never broken.
        wrapper = TextWrapper(
            columns, subsequent_indent=indent, break_long_words=False, break_on_hyphens=False,
            replace_whitespace=False, drop_whitespace=True,
        )  # fmt: skip
        line = "\n".join(wrapper.wrap(line)) or line
    click.echo(line, err=err)


def counted_errors(count: int) -> str:
    """``1 error``, ``2 errors``."""
    return f"{count:,} errors" if count > 1 else "1 error"
