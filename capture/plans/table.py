"""One table of a plan file: takes out keys by kind, and refuses what is left over."""

from collections.abc import Callable
from difflib import get_close_matches
from typing import Any, TypeVar

from capture.plans.lines import line_of
from store.errors import BadPlan

Word = TypeVar("Word", bound=str)
Made = TypeVar("Made")


class Misfit(Exception):
    """Something in the file does not fit; the text is the whole sentence."""


class Table:
    """A TOML table with its place in the file: "location 'C2', check 'covered'"."""

    def __init__(
        self,
        content: dict[str, Any],
        *,
        file: str,
        text: str,
        name: str = "",
        number: tuple[int, ...] = (),
        place: str = "",
    ) -> None:
        self._content, self._file, self._text = content, file, text
        self._name, self._number, self.place = name, number, place
        self._asked: list[str] = []  # in order, for the list of known keys

    def __contains__(self, key: str) -> bool:
        self._asked.append(key)
        return key in self._content

    def misfit(self, what: str, key: str = "") -> Misfit:
        """Return the refusal of this table (or one key of it), to be raised."""
        line = line_of(self._text, self._name, self._number, key) if self._name else None
        where = f"{self._file}, line {line}" if line else self._file
        told = f"{key}: {what}" if key and key not in what else what
        return Misfit(": ".join(part for part in (where, self.place, told) if part))

    def build(self, make: Callable[[], Made]) -> Made:
        """Return what ``make`` returns; a record's own refusal is told with this place."""
        try:
            return make()
        except BadPlan as error:
            raise self.misfit(str(error)) from error

    def finish(self) -> None:
        """Refuse every key that nobody asked for, naming the nearest that exists."""
        for key in self._content:
            if key not in self._asked:
                near = get_close_matches(key, self._asked, n=1, cutoff=0.5)
                hint = (
                    f"did you mean {near[0]!r}?"
                    if near
                    else f"known: {', '.join(dict.fromkeys(self._asked))}"
                )
                raise self.misfit(f"unknown key {key!r}; {hint}", key)

    def _take(self, key: str, kind: type | tuple[type, ...], what: str) -> Any:  # noqa: ANN401 - TOML
        self._asked.append(key)
        value = self._content.get(key)
        if value is not None and (
            not isinstance(value, kind) or (isinstance(value, bool) and kind is not bool)
        ):
            raise self.misfit(f"must be {what}", key)
        return value

    def words(self, key: str, fallback: str | None = None) -> str:
        """Return a text; without a fallback it must be there and say something."""
        value = self._take(key, str, 'a text in quotes, as "..."')
        if value is not None and (value.strip() or fallback is not None):
            return str(value)
        if fallback is not None:
            return fallback
        raise self.misfit(f"lacks {key!r}" if value is None else f"{key} says nothing")

    def whole(self, key: str) -> int:
        """Return a whole number that must be there."""
        value = self._take(key, int, "a whole number")
        if value is None:
            raise self.misfit(f"lacks '{key} = 1'")
        return int(value)

    def yes(self, key: str) -> bool:
        """Return true or false, false if it is not there."""
        return bool(self._take(key, bool, "true or false"))

    def choice(self, key: str, known: tuple[Word, ...], fallback: Word | None = None) -> Word:
        """Return one of the known words."""
        value = self._take(key, str, f"one of {', '.join(known)}")
        if value is None and fallback is not None:
            return fallback
        if value is None:
            raise self.misfit(f"lacks {key!r}: one of {', '.join(known)}")
        for word in known:
            if word == value:
                return word
        raise self.misfit(f"{value!r} is not one of {', '.join(known)}", key)

    def several(self, key: str) -> tuple[str, ...]:
        """Return a list of texts, empty if it is not there."""
        values = self._take(key, list, 'a list of texts, as ["...", "..."]') or []
        if not all(isinstance(value, str) for value in values):
            raise self.misfit('must be a list of texts, as ["...", "..."]', key)
        return tuple(values)

    def table(self, key: str) -> "Table":
        """Return a table that must be there."""
        value = self._take(key, dict, f"a table, as [{key}]")
        if value is None:
            raise self.misfit(f"lacks the table [{key}]")
        if self._name:  # written inline, {...}: its line is this table's
            return self._below(value, key, self._name, self._number, key)
        return self._below(value, key, key, (0,), key)

    def tables(self, key: str) -> list["Table"]:
        """Return a list of tables, empty if it is not there."""
        values = self._take(key, list, f"tables, as [[{key}]]") or []
        if not all(isinstance(value, dict) for value in values):
            raise self.misfit(f"must be tables, as [[{key}]]", key)
        name = f"{self._name}.{key}" if self._name else key
        word = key.replace("_", " ")
        return [
            self._below(v, key, name, (*self._number, n), f"{word} {v.get('id', n + 1)!r}")
            for n, v in enumerate(values)
        ]

    def _below(
        self, value: dict[str, Any], _key: str, name: str, number: tuple[int, ...], word: str
    ) -> "Table":
        place = f"{self.place}, {word}" if self.place else word
        return Table(value, file=self._file, text=self._text, name=name, number=number, place=place)
