"""An id made of a name while it is typed; one that was typed by hand is left alone."""

import re
import unicodedata
from collections.abc import Callable, Collection

from capture.desk.look.field import Field

_LONGEST = 24
_SMALL = {"a", "an", "and", "at", "by", "for", "in", "is", "it", "of", "on", "or", "the", "to"}


def made_id(name: str, taken: Collection[str] = ()) -> str:
    """Return an id of a name's words that nothing else has: "plug-behind-drive"; "" for no name."""
    bare = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    words = re.findall("[a-z0-9]+", bare)
    telling = [word for word in words if word not in _SMALL] or words
    made = ""
    for word in telling:
        longer = f"{made}-{word}" if made else word[:_LONGEST]
        if len(longer) > _LONGEST:
            break
        made = longer
    number, free = 2, made
    while free and free in taken:
        free, number = f"{made}-{number}", number + 1
    return free


def follow(name: Field, made: Field, taken: Callable[[], Collection[str]]) -> None:
    """Have a field hold the id of what is typed into another, until something else is typed."""
    last = ""

    def make() -> None:
        nonlocal last
        if made.text() in {"", last}:
            last = made_id(name.text(), taken())
            made.set_text(last)
            made.set_error("")

    name.edited.connect(make)
