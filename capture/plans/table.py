"""One table of a plan: takes out keys as they are described, and refuses what is not."""

from collections.abc import Callable
from difflib import get_close_matches
from typing import Any, TypeVar

from capture.plans.keys import TABLES, Key
from store.errors import BadPlan

Word = TypeVar("Word", bound=str)
Made = TypeVar("Made")
# (table's name in the file, which one, key) -> "bench.toml, line 41", None if it can't be told
Where = Callable[[str, tuple[int, ...], str], str | None]

_TEXT = 'a text in quotes, as "..."'
_TEXTS = 'a list of texts, as ["...", "..."]'


class Misfit(Exception):
    """Something in the file does not fit; the text is the whole sentence.

    ``key`` is the key of the table it is about, empty where it is about the whole table, and
    ``what`` the sentence without its place.
    """

    def __init__(self, sentence: str, key: str = "", what: str = "") -> None:
        super().__init__(sentence)
        self.key, self.what = key, what or sentence


class Table:
    """A table with its place in the file: "location 'C2', check 'covered'".

    ``kind`` is its name in TABLES, ``name`` and ``number`` where ``where`` finds it in the file.
    Raises Misfit for a key that is not described.
    """

    def __init__(
        self,
        content: dict[str, Any],
        *,
        kind: str,
        file: str,
        where: Where,
        name: str = "",
        number: tuple[int, ...] = (),
        place: str = "",
        above: "tuple[Table, str] | None" = None,
    ) -> None:
        self._content, self._file, self._where = content, file, where
        self._name, self._number, self._place, self._above = name, number, place, above
        self._keys = {key.name: key for key in TABLES[kind]}
        for key in content:
            if key not in self._keys:
                raise self.misfit(f"unknown key {key!r}; {self._nearest(key)}", key)

    def __contains__(self, key: str) -> bool:
        return self._keys[key].name in self._content

    def misfit(self, what: str, key: str = "") -> Misfit:
        """Return the refusal of this table (or one key of it), to be raised."""
        names_it = what.startswith(key) or repr(key) in what
        return self._told(self._found(key), what if names_it else f"{key}: {what}", key)

    def _told(self, where: str | None, what: str, key: str) -> Misfit:
        sentence = ": ".join(part for part in (where or self._file, self._place, what) if part)
        return Misfit(sentence, key, what)

    def _found(self, key: str) -> str | None:
        """Return where a key stands; for a table written inline, where that one does."""
        found = self._where(self._name, self._number, key)
        if found is None and self._above:
            above, own_key = self._above
            return above._found(own_key)  # noqa: SLF001 - another Table
        return found

    def _nearest(self, key: str) -> str:
        near = get_close_matches(key, self._keys, n=1, cutoff=0.5)
        return f"did you mean {near[0]!r}?" if near else f"known: {', '.join(self._keys)}"

    def build(self, make: Callable[[], Made]) -> Made:
        """Return what ``make`` returns; a record's own refusal is told with this place."""
        try:
            return make()
        except BadPlan as error:
            raise self.misfit(str(error)) from error

    def _take(self, key: str, kind: type | tuple[type, ...], what: str) -> Any:  # noqa: ANN401 - TOML
        value = self._content.get(key)
        if value is None and self._keys[key].needed:
            raise self.misfit(f"lacks {key!r}{_example(self._keys[key])}", key)
        if value is not None and (
            not isinstance(value, kind) or (isinstance(value, bool) and kind is not bool)
        ):
            raise self.misfit(f"must be {what}", key)
        return value

    def words(self, key: str) -> str:
        """Return a text, empty if it may be left out and is; one that is needed says something."""
        value = self._take(key, str, _TEXT)
        if self._keys[key].needed and not value.strip():
            raise self.misfit(f"{key} says nothing", key)
        return str(value or "")

    def present(self, *keys: str) -> dict[str, str]:
        """Return the texts of those of the keys that are there: the record has the default."""
        return {key: self.words(key) for key in keys if self.words(key)}

    def whole(self, key: str, fallback: int = 0) -> int:
        """Return a whole number."""
        value = self._take(key, int, "a whole number")
        return fallback if value is None else int(value)

    def number(self, key: str) -> float | None:
        """Return a number, None if it is not there."""
        value = self._take(key, (int, float), "a number")
        return None if value is None else float(value)

    def yes(self, key: str) -> bool:
        """Return true or false, false if it is not there."""
        return bool(self._take(key, bool, "true or false"))

    def choice(self, key: str, fallback: Word | None = None) -> Word:
        """Return one of the key's words."""
        known = self._keys[key].choices
        value = self._take(key, str, f"one of {', '.join(known)}")
        if value is None and fallback is not None:
            return fallback
        if value not in known:
            raise self.misfit(f"{value!r} is not one of {', '.join(known)}", key)
        word: Word = value
        return word

    def several(self, key: str) -> tuple[str, ...]:
        """Return a list of texts, empty if it is not there."""
        values = self._take(key, list, _TEXTS) or []
        if not all(isinstance(value, str) for value in values):
            raise self.misfit(f"must be {_TEXTS}", key)
        known = self._keys[key].choices
        for value in values:
            if known and value not in known:
                raise self.misfit(f"{value!r} is not one of {', '.join(known)}", key)
        return tuple(values)

    def lists(self, key: str) -> dict[str, tuple[str, ...]]:
        """Return a table of lists of texts, empty if it is not there."""
        found = self._take(key, dict, f"a table of lists, as [{key}]") or {}
        for name, values in found.items():
            if not isinstance(values, list) or not all(isinstance(v, str) for v in values):
                raise self._told(
                    self._where(key, (0,), name) or self._found(key),
                    f"{key}: {name} must be {_TEXTS}",
                    key,
                )
        return {name: tuple(values) for name, values in found.items()}

    def table(self, key: str) -> "Table | None":
        """Return the table below a key, None if it is not there."""
        value = self._take(key, dict, f"a table, as [{key}]")
        name = f"{self._name}.{key}" if self._name else key
        word = key.replace("_", " ")
        # number: one such table for each of this
        return None if value is None else self._below(value, key, name, (*self._number, 0), word)

    def tables(self, key: str) -> list["Table"]:
        """Return a list of tables, empty if it is not there."""
        values = self._take(key, list, f"tables, as [[{key}]]") or []
        if not all(isinstance(value, dict) for value in values):
            raise self.misfit(f"must be tables, as [[{key}]]", key)
        return [
            below
            for number, value in enumerate(values)
            for below in self._one_of(key, number, value)
        ]

    def _one_of(self, key: str, number: int, value: dict[str, Any]) -> list["Table"]:
        name = f"{self._name}.{key}" if self._name else key
        word = f"{self._keys[key].table.replace('_', ' ')} {value.get('id', number + 1)!r}"
        return [self._below(value, key, name, (*self._number, number), word)]

    def _below(
        self, value: dict[str, Any], key: str, name: str, number: tuple[int, ...], word: str
    ) -> "Table":
        return Table(
            value,
            kind=self._keys[key].table,
            file=self._file,
            where=self._where,
            name=name,
            number=number,
            place=f"{self._place}, {word}" if self._place else word,
            above=(self, key),
        )


def _example(key: Key) -> str:
    if key.choices:
        return f": one of {', '.join(key.choices)}"
    return f": write it as {key.name} = 1" if key.form == "whole" else ""
