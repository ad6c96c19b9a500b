"""Markup that cannot be broken into: whatever is not markup already is escaped where it is put in."""

from __future__ import annotations

from html import escape

__all__ = ["Markup", "joined", "shown", "tag"]

VOID = frozenset({"meta", "br", "hr"})


class Markup(str):
    """Text that is markup already.  Only `tag` and `joined` make it of other people's words."""

    __slots__ = ()


def shown(text: str) -> str:
    """Words as they may stand on a screen: what is not to be seen, or turns the order of what follows, is a space.

    Line feeds, control characters, separators and marks of direction go, so that ``78°`` can never read ``87°``.
    """
    if not text.isprintable():
        text = "".join(c if c.isprintable() else " " for c in text)
    return " ".join(text.split())


def _inside(part: str) -> str:
    return part if isinstance(part, Markup) else escape(shown(part))


def joined(*parts: str) -> Markup:
    """Parts one after the other; those that are no markup are escaped."""
    return Markup("".join(_inside(part) for part in parts))


def tag(name: str, /, *parts: str, **attributes: str | float | bool | None) -> Markup:
    """An element with its contents.

    Args:
        parts: markup as it is, other text escaped.
        attributes: ``class_`` is written ``class``, ``text_anchor`` is written ``text-anchor``; None and False
            are left out, True stands without a value, numbers are written short.
    """
    written = []
    for key, value in attributes.items():
        word = key.rstrip("_").replace("_", "-")
        if value is None or value is False:
            continue
        if value is True:
            written.append(f" {word}")
            continue
        text = value if isinstance(value, str) else f"{value:.6g}"
        written.append(f' {word}="{text if isinstance(text, Markup) else escape(shown(text))}"')
    start = f"<{name}{''.join(written)}>"
    return Markup(start if name in VOID else f"{start}{''.join(_inside(part) for part in parts)}</{name}>")
