"""The one base of every error that ``tiling`` raises on purpose."""

__all__ = ["PagesError", "TilingError"]


class TilingError(ValueError):
    """A drawing or a paper that cannot be printed as asked; the message says what would be right."""


class PagesError(TilingError):
    """Pages were asked for that there are not."""
