"""The entries of one job, sorted by what they speak of, and what counted at any moment.

``upto`` is a moment: how many entries had arrived. A waiver stands only as long as what it was
given for, and a hold point closed rightly or not at that moment, so moments are looked at again.
"""

from collections import defaultdict
from functools import lru_cache

from annotate.quantity import Quantity
from annotate.result import Known
from store.codec import Entry
from store.errors import Damaged
from store.evidence import (
    Closed,
    CloseRefused,
    Derived,
    Evidence,
    JobStarted,
    Judged,
    Marked,
    PhotoTaken,
    Read,
    Struck,
    Waiver,
)
from store.judge import limit_for, subject_of
from store.plan import Characteristic, Role

Told = tuple[int, Entry]  # how many entries came before it, and the entry


class Telling:
    """What the entries say, by subject. Raises Damaged unless the first is the plan."""

    def __init__(self, entries: tuple[Entry, ...]) -> None:
        if not entries or not isinstance(entries[0].evidence, JobStarted):
            raise Damaged("the book does not begin with its plan; run verify")
        self.entries = entries
        self.now = len(entries)
        self.start = entries[0].evidence
        self.attempts: defaultdict[str, list[Told]] = defaultdict(list)  # by key
        self.filings: defaultdict[str, list[Told]] = defaultdict(list)  # by location
        self.waivers: defaultdict[str, list[Told]] = defaultdict(list)  # by key
        self.tries: defaultdict[str, list[Told]] = defaultdict(list)  # by hold point
        self.strikes: dict[str, Told] = {}  # by the entry struck; the first strike is the one
        self.verdicts: dict[str, Entry] = {}  # by the entry judged; the last verdict is the one
        for position, entry in enumerate(entries):
            self._sort(position, entry, entry.evidence)
        self.counting = lru_cache(maxsize=None)(self._counting)

    def _sort(self, position: int, entry: Entry, evidence: Evidence) -> None:
        match evidence:
            case Read() | Marked() | Derived():
                self.attempts[evidence.key].append((position, entry))
            case PhotoTaken():
                self.filings[evidence.location].append((position, entry))
            case Judged():
                self.verdicts[evidence.subject] = entry
            case Struck():
                self.strikes.setdefault(evidence.entry, (position, entry))
            case Waiver():
                self.waivers[evidence.key].append((position, entry))
            case CloseRefused() | Closed():
                self.tries[evidence.hold_point].append((position, entry))
            case JobStarted():
                pass

    def struck_by(self, entry: str, upto: int) -> Entry | None:
        """Return the entry that had struck this one by then, if any."""
        position, strike = self.strikes.get(entry, (upto, None))
        return strike if position < upto else None

    def _counting(self, key: str, upto: int) -> Entry | None:
        """Return the attempt at a check that counted then: the last neither struck nor void.

        Called as ``counting``, which remembers.
        """
        for position, entry in reversed(self.attempts[key]):
            if (
                position < upto
                and not self.struck_by(entry.hash, upto)
                and not self.void(entry, upto)
            ):
                return entry
        return None

    def counts_same(self, key: str, then: int, now: int) -> bool:
        """Return whether the same attempt (or none) counted at two moments."""
        before, after = self.counting(key, then), self.counting(key, now)
        return (before.hash if before else "") == (after.hash if after else "")

    def void(self, entry: Entry, upto: int) -> str:
        """Return why an attempt counted no longer although it was not struck, or nothing."""
        match entry.evidence:
            case Derived(key=key, from_entries=from_entries):
                return self._void_derived(key, from_entries, upto)
            case Marked(key=key, photo=photo):
                location = key.partition(".")[0]
                if all(filed.photo != photo for filed in self.photos_at(location, upto)):
                    return "the filing of its photo was struck"
        return ""

    def _void_derived(self, key: str, from_entries: tuple[str, str], upto: int) -> str:
        of = self._known().get(key)
        for other, cited in zip((of.of if of else None) or ("", ""), from_entries, strict=True):
            # A plan may ask in a circle; what is worked out from itself never counts.
            if key in self._roots(other):
                return f"{other} is worked out from it"
            counts = self.counting(other, upto)
            if counts is None or counts.hash != cited:
                struck = self.struck_by(cited, upto)
                return f"{other} was {'struck' if struck else 'replaced by a later one'}"
        return ""

    def _roots(self, key: str) -> set[str]:
        """Return every check that a check is worked out from, itself included."""
        known, roots, waiting = self._known(), set[str](), [key]
        while waiting:
            here = waiting.pop()
            if here not in roots and here in known:
                roots.add(here)
                waiting += known[here].of or ()
        return roots

    def _known(self) -> dict[str, Characteristic]:
        return {key: characteristic for key, _, characteristic in self.start.plan.walk()}

    def photos_at(self, location: str, upto: int) -> list[PhotoTaken]:
        """Return the photos filed at a location by then and not struck."""
        return [
            entry.evidence
            for position, entry in self.filings[location]
            if position < upto
            and isinstance(entry.evidence, PhotoTaken)
            and not self.struck_by(entry.hash, upto)
        ]

    def missing(self, location: str, roles: tuple[Role, ...], upto: int) -> set[Role]:
        """Return the roles of which there was no photo at a location then that can be shown."""
        there = self.photos_at(location, upto)
        return set(roles) - {photo.role for photo in there if photo.can_be_shown}

    def closed(self, hold_id: str) -> Entry | None:
        """Return the entry that closed a hold point, the last that was not struck."""
        closings = [
            entry
            for _, entry in self.tries[hold_id]
            if isinstance(entry.evidence, Closed) and not self.struck_by(entry.hash, self.now)
        ]
        return closings[-1] if closings else None


def value_of(
    record: Read | Marked | Derived, characteristic: Characteristic
) -> tuple[Quantity | None, str]:
    """Return the quantity of an attempt that its limit speaks of, or None and why there is none."""
    if not isinstance(record, Marked):
        return record.quantity, ""
    limit = limit_for(characteristic)
    result = subject_of(record.result, limit.of if limit else "covered")
    if isinstance(result, Known):
        return result.quantity, ""
    return None, result.reason
