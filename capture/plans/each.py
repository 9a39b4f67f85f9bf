"""One location written once for several: "M{main}" becomes M1 to M5."""

import re
from collections.abc import Mapping, Sequence
from typing import Any, TypeGuard

from msgspec import Struct

from capture.plans.table import Table

MULTIPLIED = ("location", "part")
_UNNAMED = "n"  # {n} where for_each is a list of its own
_NAMED = re.compile(r"\{([A-Za-z_][A-Za-z0-9_]*)\}")


class Multiplied(Struct, frozen=True):
    """A document without for_each, and of which table each of its tables was made."""

    document: dict[str, Any]
    origins: dict[str, list[int]]

    def origin(self, name: str, number: tuple[int, ...]) -> tuple[int, ...]:
        """Return the number that a table had in the file."""
        first = name.partition(".")[0]
        if first not in self.origins or not number:
            return number
        return (self.origins[first][number[0]], *number[1:])


def multiplied(document: dict[str, Any], each: Mapping[str, tuple[str, ...]]) -> Multiplied:
    """Return the document with every for_each carried out.

    ``each`` goes before the document's own [each]. A for_each that can't be carried out is left
    as it is, for the reader to refuse.
    """
    written = document.get("each")
    lists: dict[str, Any] = {**(written if isinstance(written, dict) else {}), **each}
    made, origins = dict(document), {}
    for name in MULTIPLIED:
        tables = document.get(name)
        if isinstance(tables, list):
            pairs = [(n, one) for n, table in enumerate(tables) for one in _copies(table, lists)]
            made[name] = [one for _, one in pairs]
            origins[name] = [n for n, _ in pairs]
    holds = document.get("hold_point")
    if isinstance(holds, list):
        made["hold_point"] = [_hold(hold, lists) for hold in holds]
    return Multiplied(made, origins)


def refuse_for_each(table: Table) -> None:
    """Refuse a for_each that is still there: it could not be carried out."""
    if "for_each" in table:
        raise table.misfit("must be a list of texts, or the name of one in [each]", "for_each")


def _copies(table: Any, lists: Mapping[str, Any]) -> list[Any]:  # noqa: ANN401 - TOML
    wanted = table.get("for_each") if isinstance(table, dict) else None
    name = wanted if isinstance(wanted, str) else _UNNAMED
    words = lists.get(name) if isinstance(wanted, str) else wanted
    if not _are_words(words):
        return [table]
    rest = {key: value for key, value in table.items() if key != "for_each"}
    return [_filled(rest, name, word) for word in words]


def _filled(value: Any, name: str, word: str) -> Any:  # noqa: ANN401 - TOML
    """Return the value with {name} replaced in every text of it."""
    if isinstance(value, str):
        return value.replace(f"{{{name}}}", word)
    if isinstance(value, list):
        return [_filled(one, name, word) for one in value]
    if isinstance(value, dict):
        return {key: _filled(one, name, word) for key, one in value.items()}
    return value


def _hold(hold: Any, lists: Mapping[str, Any]) -> Any:  # noqa: ANN401 - TOML
    """Return a hold point that hides M1 to M5 where "M{main}" is written."""
    if not (isinstance(hold, dict) and isinstance(hold.get("hides"), list)):
        return hold
    return {**hold, "hides": [one for hidden in hold["hides"] for one in _every(hidden, lists)]}


def _every(hidden: Any, lists: Mapping[str, Any]) -> list[Any]:  # noqa: ANN401 - TOML
    named = _NAMED.search(hidden) if isinstance(hidden, str) else None
    words = lists.get(named[1]) if named else None
    if named is None or not _are_words(words):
        return [hidden]
    return [_filled(hidden, named[1], word) for word in words]


def _are_words(words: Any) -> TypeGuard[Sequence[str]]:  # noqa: ANN401 - TOML
    return isinstance(words, list | tuple) and all(isinstance(word, str) for word in words)
