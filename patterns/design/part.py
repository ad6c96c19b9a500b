"""What every table of the design file has in common."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict

__all__ = ["Part"]


class Part(BaseModel):
    """One table of the file: frozen, and no key that is not known."""

    model_config = ConfigDict(frozen=True, extra="forbid")
