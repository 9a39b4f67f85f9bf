"""Clauses into sentences, and as many of them as there is room for."""

from collections.abc import Callable

Clause = str | tuple[str, ...]  # a sentence, or several ways to say it, the longest first
_MORE = "\u2026"


def capital(text: str) -> str:
    """Return a text with a capital first letter."""
    return text[:1].upper() + text[1:]


def ended(clause: str) -> str:
    """Return a clause with a full stop."""
    return clause if clause.endswith((".", "!", "?")) else f"{clause}."


def whole(clause: Clause) -> str:
    """Return a sentence as it is said where there is room."""
    return clause if isinstance(clause, str) else clause[0]


def fitting(clauses: tuple[Clause, ...], room: float, measure: Callable[[str], float]) -> str:
    """Return as many sentences as there is room for, shortened ones where that says more.

    A first one that is too long by itself ends in an ellipsis.
    """
    shortest = tuple(each if isinstance(each, str) else each[-1] for each in clauses)
    for count in range(len(clauses), 0, -1):
        for said in (tuple(map(whole, clauses)), shortest):
            text = " ".join(said[:count])
            if measure(text) <= room:
                return text
    return _cut(shortest[0], room, measure) if clauses else ""


def _cut(text: str, room: float, measure: Callable[[str], float]) -> str:
    while text and measure(text + _MORE) > room:
        text = text[:-1]
    return text + _MORE if text else ""
