"""Which entries rest on a gauge that may have been wrong.

A reading rests on its gauge, on the gauge that one was set on, and on the reading it was zeroed
to; a computed value on all that it cites. Nothing else is touched: a coverage is measured on a
photo, with lengths of its own.
"""

from datetime import date, datetime
from typing import NamedTuple

from store.codec import Entry
from store.errors import BadAct
from store.evidence import Derived, GaugeSuspected, Read
from store.plan import Plan
from store.told.telling import Telling


class Doubted(NamedTuple):
    """A suspicion that stands: the entry that raised it, since when, and why."""

    entry: Entry
    gauge: str
    since: str
    reason: str

    @property
    def words(self) -> str:
        """The suspicion as a clause."""
        return f"{self.gauge} is suspect since {self.since}: {self.reason}"


class Suspicion:
    """The suspicions that stood at one moment, and what they touch."""

    def __init__(self, told: Telling, upto: int) -> None:
        self._told, self._upto = told, upto
        self.raised = _raised(told, upto)  # by gauge, the latest first
        self._known: dict[str, str] = {}

    def of(self, digest: str) -> str:
        """Return the suspicion that an entry rests on, as a clause, empty if on none."""
        if not self.raised or digest not in self._told.by_hash:
            return ""
        if digest not in self._known:
            self._known[digest] = self._of(self._told.by_hash[digest][1])
        return self._known[digest]

    def _of(self, entry: Entry) -> str:
        match entry.evidence:
            case Derived(from_entries=cited):
                return next(filter(None, map(self.of, cited)), "")
            case Read() as read:
                for gauge in gauges_under(self._told, entry):
                    for doubted in self.raised.get(gauge, ()):
                        if _is_since(read.read_at, entry.at, doubted.since):
                            return doubted.words
                return self.of(read.zero.entry) if read.zero else ""
        return ""


def touched_by(told: Telling, gauge: str, since: str = "") -> tuple[Entry, ...]:
    """Return every standing entry that rests on a gauge, read since a date, in order of arrival.

    Readings taken with it, with a gauge set on it, or against a size it gave, and the values
    worked out from those. Without ``since`` all of them.
    """
    touched: dict[str, Entry] = {}
    for _, entry in told.by_hash.values():
        if not told.struck_by(entry.hash, told.now) and _touches(
            told, entry, gauge, since, touched
        ):
            touched[entry.hash] = entry
    return tuple(touched.values())


def _touches(
    told: Telling, entry: Entry, gauge: str, since: str, touched: dict[str, Entry]
) -> bool:
    match entry.evidence:
        case Derived(from_entries=cited):
            return any(each in touched for each in cited)
        case Read() as read:
            used = gauge in gauges_under(told, entry)
            if used and (not since or _is_since(read.read_at, entry.at, since)):
                return True
            return read.zero is not None and read.zero.entry in touched
    return False


def gauges_under(told: Telling, entry: Entry) -> tuple[str, ...]:
    """Return every gauge that a reading rests on, by what each was set on then or is now.

    The register may be put right later, and may be wrong now: either way is the safe one.
    """
    read = entry.evidence
    if not isinstance(read, Read) or not read.gauge:
        return ()
    plans = (told.plan_at(told.by_hash[entry.hash][0]), told.plan)
    return tuple(dict.fromkeys(each for plan in plans for each in chain_of(plan, read.gauge)))


def chain_of(plan: Plan, gauge: str) -> tuple[str, ...]:
    """Return a gauge's id, that of the gauge it was set on, and so on; empty for none."""
    known = {each.id: each.set_on for each in plan.gauges}
    found: list[str] = []
    while gauge and gauge not in found:
        found.append(gauge)
        gauge = known.get(gauge, "")
    return tuple(found)


def checked_since(text: str) -> str:
    """Return a date or a time in ISO 8601 unchanged; raises BadAct for anything else."""
    if _day(text) is None and _time(text) is None:
        raise BadAct(
            f"{text!r} is no date: write it as 2026-11-03, or with the time as 2026-11-03T14:30."
        )
    return text


def earliest(raised: tuple[Doubted, ...]) -> str:
    """Return the earliest day or time that one of several suspicions goes back to."""
    return min((doubted.since for doubted in raised), key=lambda since: (since[:10], since))


def _raised(told: Telling, upto: int) -> dict[str, tuple[Doubted, ...]]:
    """Return by gauge the suspicions that stand since it was last cleared, the latest first.

    A second one does not take back the first: only clearing does.
    """
    found: dict[str, tuple[Doubted, ...]] = {}
    for gauge, said in told.suspicions.items():
        for entry in told.standing_of(said, upto):
            if isinstance(record := entry.evidence, GaugeSuspected):
                doubted = Doubted(entry, gauge, record.since, record.reason)
                found[gauge] = (doubted, *found.get(gauge, ()))
            else:
                found.pop(gauge, None)
    return found


def _is_since(read_at: str, entered_at: str, since: str) -> bool:
    """Return whether something may have been read on or after a moment.

    A time of reading that is no date in ISO 8601 ("before lunch") says nothing: the time of entry
    counts, which is later and so on the safe side. Of a day without a time it is the day's end.
    """
    for moment in (read_at, entered_at):
        when = _time(moment)
        if when is not None:
            return _is_later(when, since, whole_day=_day(moment) is not None)
    return True


def _is_later(when: datetime, since: str, *, whole_day: bool) -> bool:
    start = _time(since)
    if start is None:
        return True
    if whole_day or _day(since) is not None:
        return when.date() >= start.date()
    if start.tzinfo is None or when.tzinfo is None:
        return when.replace(tzinfo=None) >= start.replace(tzinfo=None)
    return when >= start


def _day(text: str) -> date | None:
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None


def _time(text: str) -> datetime | None:
    try:
        return datetime.fromisoformat(text)
    except ValueError:
        return None
