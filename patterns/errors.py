"""What is wrong with a design, said so that the builder can put it right."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field

__all__ = [
    "DesignError",
    "DoubtsError",
    "InternalError",
    "KeyedError",
    "PatternsError",
    "Problem",
    "RequestError",
    "SizeError",
    "TimberError",
    "first_lines",
    "keyed",
]

MOST_LINES = 40  # of one list; who puts these right sees the rest in the next run
LONGEST_LINE = 600  # characters; a longer line repeats a name or a cell that is far too long


class PatternsError(ValueError):
    """The one base of every error that ``patterns`` raises on purpose."""


class RequestError(PatternsError):
    """What was asked for on the command line cannot be met: the design is not at fault."""


class InternalError(PatternsError):
    """The program is at fault: figures came out that are no answer.  Nothing may be cut by what it made of them."""


class TimberError(PatternsError):
    """A long timber cannot be laid, so that no piece that meets it can be made."""

    def __init__(self, timber: str, why: str) -> None:
        self.timber, self.why = timber, why
        super().__init__(f"the {timber}: {why}")


class KeyedError(PatternsError):
    """A piece cannot be made because of a key in another table than its own.

    Attributes:
        place: that table and key, e.g. ``gusset number 1, key arm``.
    """

    def __init__(self, place: str, why: str) -> None:
        self.place, self.why = place, why
        super().__init__(why)


class SizeError(PatternsError):
    """A piece cannot be made of its own size; its kind of member knows which key gives that.

    Attributes:
        why: what is wrong.
        larger: it must be larger; else less.
    """

    def __init__(self, why: str, *, larger: bool) -> None:
        self.why, self.larger = why, larger
        super().__init__(f"{why}; {'increase' if larger else 'reduce'} its size")


@contextmanager
def keyed(place: str, piece: str) -> Iterator[None]:
    """What goes wrong with a piece within is the fault of the key at a place."""
    try:
        yield
    except InternalError:
        raise
    except PatternsError as error:
        raise KeyedError(place, f"{piece}: {error}") from error


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing that is wrong (or, as a warning, doubtful) in the user's files.

    Attributes:
        place: the file and the row, column or key, as ``offsets.csv, row 7, column F (station 4)``.
        what: what stands there and why it will not do.
        want: what would be right; may be empty where ``what`` says it all.
        code: which finding it is, e.g. ``keel-band``; what programs and tests ask for instead of the words,
            and what the user names to confirm a doubt.  One of :data:`patterns.codes.CODES`.  What is only not
            typed yet has a code that begins with ``missing-``.
        pieces: the patterns that it is about, by their names or by what several of them are part of.
    """

    place: str
    what: str
    want: str = ""
    code: str = field(kw_only=True)
    pieces: tuple[str, ...] = field(default=(), kw_only=True)

    @property
    def missing(self) -> bool:
        """Whether nothing is typed there yet; else what is typed there is wrong."""
        return self.code.startswith("missing-")

    def __str__(self) -> str:
        tail = f"; {self.want}" if self.want else ""
        return f"{self.place}: {self.what}{tail}"


class DesignError(PatternsError):
    """All the problems that were found, not the first only.

    Attributes:
        doubts: what the table is doubted for, counted, where the problems may come of that.
    """

    def __init__(self, problems: Iterable[Problem], doubts: Iterable[str] = ()) -> None:
        self.problems, self.doubts = tuple(problems), tuple(doubts)
        super().__init__("\n".join(str(problem) for problem in self.problems))


class DoubtsError(PatternsError):
    """Nothing was made, as there are doubts and none was to be left open.

    Attributes:
        problems: the doubts.
    """

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__("\n".join(str(problem) for problem in self.problems))


def first_lines(lines: Sequence[str]) -> Iterator[str]:
    """The lines of a list as they are printed: the first ones, how many more there are, no line without end."""
    for line in lines[:MOST_LINES]:
        plain = "".join(sign if sign.isprintable() else "\ufffd" for sign in line)
        yield plain if len(plain) <= LONGEST_LINE else f"{plain[:LONGEST_LINE]}..."
    if len(lines) > MOST_LINES:
        yield f"and {len(lines) - MOST_LINES:,} more"
