"""Problems as they are listed on a terminal: what is wrong first, then what is still missing."""

from __future__ import annotations

from collections.abc import Sequence

import click

from patterns.errors import Problem, first_lines

__all__ = ["counted_things", "list_lines", "list_problems"]


def list_problems(problems: Sequence[Problem]) -> None:
    """List problems on the error stream."""
    wrong = [str(problem) for problem in problems if not problem.missing]
    missing = [str(problem) for problem in problems if problem.missing]
    if wrong:
        list_lines(f"{counted_things(len(wrong))} to put right", wrong)
    if missing:
        list_lines(f"{counted_things(len(missing))} still missing", missing)


def list_lines(heading: str, lines: Sequence[str]) -> None:
    """One list with its heading on the error stream."""
    click.echo(f"{heading}:", err=True)
    for line in first_lines(lines):
        click.echo(f"  {line}", err=True)


def counted_things(count: int) -> str:
    """``One thing``, ``2 things``."""
    return f"{count:,} things" if count > 1 else "One thing"
