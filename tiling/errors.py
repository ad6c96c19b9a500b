"""The one base of every error that ``tiling`` raises on purpose."""

__all__ = ["TilingError"]


class TilingError(ValueError):
    """A drawing or a paper that cannot be printed as asked; the message says what would be right."""
