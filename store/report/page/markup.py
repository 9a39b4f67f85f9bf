"""Texts -> markup. Whatever is not made here is a person's text, and is escaped."""

from collections.abc import Iterable
from html import escape

_VOID = {"img", "br", "meta", "hr"}


class Html(str):
    """Finished markup; only this module makes some of plain text."""

    __slots__ = ()


Child = str | Html | None
Value = str | int | float | bool | None


def tag(name: str, /, *children: Child, **attributes: Value) -> Html:
    """Return one element with its children in it; a child that is no Html is escaped.

    ``class_`` becomes class and ``aria_label`` aria-label; an attribute of None or False is left
    out, one of True stands without a value.
    """
    opened = f"<{name}{''.join(_attribute(*pair) for pair in attributes.items())}>"
    if name in _VOID:
        return Html(opened)
    return Html(f"{opened}{joined(children)}</{name}>")


def joined(children: Iterable[Child], between: str = "") -> Html:
    """Return children one after the other, ``between`` them a text."""
    shown = [markup(child) for child in children if child]
    return Html(escape(between).join(shown))


def markup(text: Child) -> Html:
    """Return a text escaped, finished markup as it is."""
    if isinstance(text, Html):
        return text
    return Html(escape(text or "", quote=True))


def _attribute(name: str, value: Value) -> str:
    if value is None or value is False:
        return ""
    name = name.rstrip("_").replace("_", "-")
    if value is True:
        return f" {name}"
    said = f"{value:.4f}".rstrip("0").rstrip(".") if isinstance(value, float) else str(value)
    return f' {name}="{escape(said, quote=True)}"'
