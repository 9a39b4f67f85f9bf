"""Clauses into sentences, and as many of them as there is room for."""

from collections.abc import Callable

# A sentence, or several ways to say it, the longest first; an empty last one may be left out.
Clause = str | tuple[str, ...]
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

    The first ones are shortened first: they tell what a sign beside them tells too. Then the last
    ones go, and what was shortened is longer again if that made room; a clause of several
    wordings goes only if its last wording is empty. What is too long even so ends in an ellipsis.
    """
    said = [[each] if isinstance(each, str) else list(each) for each in clauses]
    while measure(_joined(said)) > room:
        longer = next((each for each in said if len(each) > 1 and each[1]), None)
        if longer is not None:
            del longer[0]
            continue
        going = [each for each in said if _may_go(each, clauses[said.index(each)])]
        if not going or len(said) == 1:
            return _cut(_joined(said), room, measure)
        at = len(said) - 1 - said[::-1].index(going[-1])
        del said[at]
        clauses = (*clauses[:at], *clauses[at + 1 :])
    _lengthen(said, clauses, lambda: measure(_joined(said)) <= room)
    return _joined(said)


def _lengthen(said: list[list[str]], clauses: tuple[Clause, ...], fits: Callable[[], bool]) -> None:
    """Say each clause at the greatest length there is room for, now that others have gone.

    The last first: the first ones tell what a sign beside them tells too.
    """
    for each, clause in zip(reversed(said), reversed(clauses), strict=True):
        shorter = each[:]
        for start in range(0 if isinstance(clause, str) else len(clause)):
            each[:] = clause[start:]
            if len(each) <= len(shorter) or fits():
                break


def _joined(said: list[list[str]]) -> str:
    return " ".join(each[0] for each in said)


def _may_go(left: list[str], clause: Clause) -> bool:
    return isinstance(clause, str) or left[-1] == ""


def _cut(text: str, room: float, measure: Callable[[str], float]) -> str:
    while text and measure(text + _MORE) > room:
        text = text[:-1]
    return text + _MORE if text else ""
