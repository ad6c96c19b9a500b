"""Problems as they are listed on a terminal: errors first, then what is missing."""

from __future__ import annotations

from collections.abc import Sequence

import click

from patterns.errors import Problem, first_lines

__all__ = ["counted_errors", "list_lines", "list_problems"]


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
    click.echo(f"{heading}:", err=True)
    for line in first_lines(lines):
        click.echo(f"  {line}", err=True)


def counted_errors(count: int) -> str:
    """``1 error``, ``2 errors``."""
    return f"{count:,} errors" if count > 1 else "1 error"
