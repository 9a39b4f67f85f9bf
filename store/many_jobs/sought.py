"""What is looked for in the books of many jobs, as conditions on the tables of the shop's index."""

import re
from collections.abc import Callable, Iterable, Iterator

from msgspec import Struct

Given = dict[str, str]
Condition = tuple[str, Given]
_ID = "substr(c.key, instr(c.key, '.') + 1)"
_PHRASE = re.compile(r'"([^"]*)"|([^\s"]+)')


class Sought(Struct, frozen=True):
    """What must be so of a check; what is empty is not asked for.

    ``customer``, ``engine`` and ``job`` are parts of a text, in any letters' case; ``job`` is the
    whole number where a job has it. ``check`` is a key ("B1.covered"), a check's id ("covered"),
    or words of what is asked and where. ``gauge`` is a gauge's id or engraved number, or words of
    what it is: all that rests on it is found. ``verdict`` is where the check stands. ``words``
    must all begin a word of the check's texts; those in double quotes follow each other.
    """

    customer: str = ""
    engine: str = ""
    job: str = ""
    check: str = ""
    gauge: str = ""
    verdict: str = ""
    words: str = ""

    @property
    def is_of_checks(self) -> bool:
        """Whether anything is asked of checks, and not of books alone."""
        return bool(self.check or self.gauge or self.verdict or self.words)

    def of_books(self) -> Condition:
        """Return the condition on a book ``b``."""
        return _all(self._of_books())

    def of_checks(self, there_is: Callable[[str, Given], bool]) -> Condition:
        """Return the condition on a check ``c`` of a book ``b``.

        ``there_is`` says whether any check meets a condition.
        """
        return _all([*self._of_their_books(), *self._of_checks(there_is)])

    def of_readings(self, there_is: Callable[[str, Given], bool]) -> Condition:
        """Return the condition on a reading ``r`` of a book ``b``.

        Those of the checks that are found; ``verdict`` and ``gauge`` are the reading's own.
        """
        own = list(self._of_their_books())
        if self.check or self.words:
            inner, given = _all(self._named(there_is))
            keys = f"SELECT c.key FROM checks c WHERE c.book = b.id AND {inner}"  # noqa: S608 - ours
            own.append((f"r.key IN ({keys})", given))
        if self.verdict:
            own.append(("r.verdict = :verdict", {"verdict": self.verdict}))
        if self.gauge:
            own.append((_rests("r"), {"gauge": self.gauge}))
        return _all(own)

    def _of_books(self) -> Iterator[Condition]:
        if self.customer:
            yield _has("b.customer", "customer"), {"customer": self.customer}
        if self.engine:
            either = f"({_has('b.engine', 'engine')} OR {_has('b.engine_number', 'engine')})"
            yield either, {"engine": self.engine}
        if self.job:
            # J-1 is not meant to find J-12 where there is a J-1.
            whole = "(SELECT 1 FROM books o WHERE folded(o.job) = folded(:job))"
            part = _has("b.job", "job")
            yield (
                f"(folded(b.job) = folded(:job) OR (NOT EXISTS {whole} AND {part}))",
                {"job": self.job},
            )

    def _of_their_books(self) -> Iterator[Condition]:
        """Yield the same of the books that rows belong to: looked up once, not for each row."""
        if self.customer or self.engine or self.job:
            where, given = self.of_books()
            yield f"b.id IN (SELECT b.id FROM books b WHERE {where})", given  # noqa: S608 - ours

    def _of_checks(self, there_is: Callable[[str, Given], bool]) -> Iterator[Condition]:
        yield from self._named(there_is)
        if self.verdict:
            yield "c.state = :verdict", {"verdict": self.verdict}
        if self.gauge:
            yield _rests("c"), {"gauge": self.gauge}

    def _named(self, there_is: Callable[[str, Given], bool]) -> Iterator[Condition]:
        if self.check:
            given = {"check": self.check}
            # Once for each key there is, not for each check: only MATERIALIZED keeps SQLite to it.
            keys = "WITH c AS MATERIALIZED (SELECT DISTINCT key FROM checks)"
            is_it = f"folded(:check) IN (folded(c.key), folded({_ID}))"
            is_one = f"c.key IN ({keys} SELECT c.key FROM c WHERE {is_it})"  # noqa: S608 - ours
            in_words = f"({_has('c.[check]', 'check')} OR {_has('c.location', 'check')})"
            yield is_one if there_is(is_one, given) else in_words, given
        if self.words:
            found = "SELECT rowid FROM words WHERE words MATCH :words"
            yield f"c.id IN ({found})", {"words": _phrases(self.words)}


def has_words(text: str) -> bool:
    """Return whether there is anything in a text that words can be looked for by."""
    return bool(_phrases(text))


def folded(text: str | None) -> str:
    """Return a text as it is compared: in any letters' case, without blanks at its ends."""
    return (text or "").strip().casefold()


def _all(conditions: Iterable[Condition]) -> Condition:
    """Return the condition that all of some hold."""
    texts, given = ["1"], {}
    for text, its_own in conditions:
        texts.append(text)
        given.update(its_own)
    return " AND ".join(texts), given


def _has(column: str, name: str) -> str:
    """Return the condition that a column has a text in it. LIKE would take % and _ for more."""
    return f"instr(folded({column}), folded(:{name}))"


def _rests(short: str) -> str:
    """Return the condition that a value rests on a gauge: read with it, or worked out from such."""
    is_it = f"(folded(:gauge) IN (folded(g.id), folded(g.marked)) OR {_has('g.kind', 'gauge')})"
    gauges = f"SELECT g.book, g.id FROM gauges g WHERE {is_it}"  # noqa: S608 - names of ours
    its = f"t.entry = {short}.entry AND t.book = {short}.book"
    return f"EXISTS (SELECT 1 FROM touched t WHERE {its} AND (t.book, t.gauge) IN ({gauges}))"  # noqa: S608 - ours


def _phrases(text: str) -> str:
    """Return words as FTS5 asks for them: each quoted, for 1-3/8 and NOT are words here."""
    found = (one or other for one, other in _PHRASE.findall(text))
    return " ".join(f'"{each}"*' for each in found if re.search(r"\w", each))
