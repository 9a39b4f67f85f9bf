"""The entries behind a round: where each stands, and what began a new attempt at a check."""

from collections import defaultdict
from itertools import pairwise

from msgspec import Struct

from store.attempt import numbered
from store.branches.merges import merges_of
from store.codec import Entry
from store.evidence import Fitted, Read, Reworked, Struck
from store.report.figures import NBSP, moment
from store.round import Attempt, Check, Round
from store.told.telling import Telling
from store.told.working import Working


class Began(Struct, frozen=True, order=True):
    """What began a new attempt: after how many entries, and why, as a finished sentence."""

    position: int
    said: str


class Trail:
    """Looks up entries and what became of them; built once for a report.

    ``working`` works out again what a value rests on; ``merges`` are the records of merges.
    """

    def __init__(self, told: Telling, known: Round) -> None:
        entries = told.entries
        self._known, self.told, self.working = known, told, Working(told)
        self.merges = merges_of(told)
        self._entries = {entry.hash: entry for entry in entries}
        self._at = {entry.hash: number for number, entry in enumerate(entries)}
        self._struck = {e.evidence.entry for e in entries if isinstance(e.evidence, Struck)}
        self._attempts = {
            attempt.stamp.entry: (check, attempt)
            for check in known.checks
            for attempt in (*check.attempts, *check.readings, *(s.attempt for s in check.seconds))
        }
        self._reworks: defaultdict[str, list[Entry]] = defaultdict(list)
        for entry in entries:
            if isinstance(entry.evidence, Reworked) and entry.hash not in self._struck:
                for scope in entry.evidence.scope:
                    self._reworks[scope].append(entry)

    @property
    def home(self) -> str:
        """The bench that began the book."""
        return self._known.home

    def position(self, digest: str) -> int:
        """Return how many entries came before one; of one that is not there, of all."""
        return self._at.get(digest, len(self._at))

    def entry(self, digest: str) -> Entry | None:
        """Return an entry by its hash, None if it is not there."""
        return self._entries.get(digest)

    def attempt(self, digest: str) -> tuple[Check, Attempt] | None:
        """Return the attempt or the reading that an entry became, with its check."""
        return self._attempts.get(digest)

    def began(self, check: Check) -> list[Began]:
        """Return every rework and every replaced part that began a new attempt, in order."""
        found = [
            Began(
                self.position(entry.hash),
                f"Reworked: {_ended(entry.evidence.what)} {self._who(entry)}",
            )
            for scope in (check.key, check.location.id)
            for entry in self._reworks[scope]
            if isinstance(entry.evidence, Reworked)
        ]
        return sorted(set(found) | set(self._replaced(check.characteristic.part)))

    def _who(self, entry: Entry) -> str:
        number = numbered(entry, self.home).replace(" ", NBSP)
        return f"{entry.by}, {moment(entry.at)}, entry{NBSP}{number}."

    def _replaced(self, part_id: str) -> list[Began]:
        state = next((s for s in self._known.parts if part_id and s.part.id == part_id), None)
        if state is None:
            return []
        told = [*state.earlier, *([state.fitted] if state.fitted else [])]
        pieces = [
            entry
            for each in told
            if each.struck is None and (entry := self.entry(each.stamp.entry)) is not None
        ]
        pieces.sort(key=lambda entry: self.position(entry.hash))
        return [
            Began(
                self.position(new.hash),
                f"Another piece was fitted as {state.part.name}: {_identity(new)} instead of "
                f"{_identity(old)}. {self._who(new)}",
            )
            for old, new in pairwise(pieces)
            if _identity(old) != _identity(new)
        ]


def uses_of(known: Round) -> dict[str, list[tuple[Check, Attempt]]]:
    """Return for each gauge the readings not struck that name it; those that name none under ""."""
    found: defaultdict[str, list[tuple[Check, Attempt]]] = defaultdict(list)
    for check in known.checks:
        for attempt in check.readings or check.attempts:
            record = attempt.record
            counted = isinstance(record, Read) and record.quantity is not None
            if isinstance(record, Read) and counted and attempt.struck is None:
                found[record.gauge].append((check, attempt))
    return found


def _identity(entry: Entry) -> str:
    return entry.evidence.identity if isinstance(entry.evidence, Fitted) else ""


def _ended(text: str) -> str:
    return text if text.rstrip().endswith((".", "!", "?")) else f"{text}."
