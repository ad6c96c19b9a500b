"""What every table of the design file has in common."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict

__all__ = ["Part"]


class Part(BaseModel):
    """One table of the file: frozen, and no key that is not known."""

    # Few designs have every table: what reads one is built when the first of its kind is read.
    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)
