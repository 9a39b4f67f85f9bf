"""How many there are of what a plan multiplies: typed as "5", "4-6" or "front, rear"."""

import re
from collections.abc import Mapping

from capture.errors import Unfit

_MOST = 99
_SPAN = re.compile(r"([0-9]{1,3}) ?- ?([0-9]{1,3})")


def list_text(words: tuple[str, ...]) -> str:
    """Return a list as it is shown to be changed: "5" for 1 to 5, else its words."""
    if words == tuple(str(number) for number in range(1, len(words) + 1)):
        return str(len(words))
    return ", ".join(words)


def list_of(text: str, planned: tuple[str, ...]) -> tuple[str, ...]:
    """Return the words of a typed list; ``planned`` are the plan's own.

    Where the plan counts from a number, a number alone says how many, from there on. Raises
    ValueError with a sentence.
    """
    text = text.strip()
    counts = all(word.isdecimal() for word in planned) and bool(planned)
    if counts and text.isdecimal():
        many, first = int(text), int(planned[0])
        _refuse_too_many(many)
        return tuple(str(number) for number in range(first, first + many))
    words = tuple(word for part in text.split(",") for word in _spread(part.strip()) if word)
    _refuse_too_many(len(words))
    if twice := next((word for word in words if words.count(word) > 1), ""):
        raise ValueError(f"{twice} is there twice: name each once")
    return words


def lists_of(
    texts: Mapping[str, str], planned: Mapping[str, tuple[str, ...]]
) -> dict[str, tuple[str, ...]]:
    """Return those lists that are other than planned; raises Unfit naming each wrong one."""
    made, wrong = {}, {}
    for name, words in planned.items():
        try:
            made[name] = list_of(texts.get(name, list_text(words)), words)
        except ValueError as refused:
            wrong[name] = str(refused)
    if wrong:
        raise Unfit(wrong)
    return {name: words for name, words in made.items() if words != planned[name]}


def _spread(part: str) -> list[str]:
    span = _SPAN.fullmatch(part)
    if span is None:
        return [part]
    first, last = int(span[1]), int(span[2])
    _refuse_too_many(last - first + 1)
    return [str(number) for number in range(first, last + 1)]


def _refuse_too_many(many: int) -> None:
    if many < 1:
        raise ValueError("at least one: what this engine does not have is left out below")
    if many > _MOST:
        raise ValueError(f"{many} are more than {_MOST}: look at the figure")
