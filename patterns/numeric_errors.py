"""Figures without an answer never reach paper: what a library warns of is an internal error, not a remark."""

from __future__ import annotations

import warnings
from collections.abc import Iterator
from contextlib import contextmanager

from patterns.errors import InternalError

__all__ = ["PiecesOmitted", "no_numeric_errors"]


class PiecesOmitted(UserWarning):
    """Patterns that were left out because their figures have no answer.

    Attributes:
        names: of the patterns, as they would stand on pages.
    """

    def __init__(self, names: tuple[str, ...]) -> None:
        self.names = names
        count = "1 pattern" if len(names) == 1 else f"{len(names)} patterns"
        super().__init__(f"internal error: {count} omitted ({', '.join(names)}); please report this")


@contextmanager
def no_numeric_errors() -> Iterator[None]:
    """Run what is within; where a library warned of figures without an answer, raise at the end.

    An error raised within comes first: a wild shape that ends in a message of its own needs no second one.

    Raises:
        InternalError: a RuntimeWarning was issued within.
    """
    with warnings.catch_warnings(record=True) as caught:
        warnings.simplefilter("always", RuntimeWarning)
        yield
    for each in caught:
        if not issubclass(each.category, RuntimeWarning):
            warnings.warn_explicit(each.message, each.category, each.filename, each.lineno)
    wrong = next((each for each in caught if issubclass(each.category, RuntimeWarning)), None)
    if wrong is not None:
        raise InternalError(
            f"internal error: {wrong.message}; nothing is to be cut by this; please report it"
        )
