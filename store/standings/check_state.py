"""The word a check stood at when so many entries had arrived, and why: "not measured", "within"."""

from store.attempt import Standing
from store.characteristic import ANSWERED_IN_WORDS, Characteristic
from store.codec import Entry
from store.errors import Damaged
from store.evidence import Derived, Judged, Marked, Read, Struck
from store.judge import limit_for
from store.told.by_subject import Told
from store.told.telling import Telling
from store.told.values import value_of


def state_of(
    told: Telling, key: str, characteristic: Characteristic, upto: int
) -> tuple[Standing, str]:
    """Return the word a check stood at when so many entries had arrived, and its clause."""
    entry = told.counting(key, upto)
    if entry is None:
        return "not measured", _why_nothing_counts(told, key, characteristic, upto)
    if characteristic.kind in ANSWERED_IN_WORDS:
        return _answered(entry, characteristic)
    value, why = value_of(record_of(entry), characteristic)
    if value is None:
        return "not measured", why
    if limit_for(characteristic) is None:
        return "no limit", ""
    return _judged(told.verdict_on(entry.hash, upto), characteristic)


def _judged(judging: Told | None, characteristic: Characteristic) -> tuple[Standing, str]:
    judged = judging[1].evidence if judging else None
    if not isinstance(judged, Judged):
        return "not measured", "there is a value, but it was not judged"
    if judged.verdict.limit != limit_for(characteristic):
        return "not measured", "it was not judged by the limit that holds now"
    return judged.verdict.state, judged.verdict.reason


def _answered(entry: Entry, characteristic: Characteristic) -> tuple[Standing, str]:
    if characteristic.kind == "note":
        return "no limit", ""
    answer = entry.evidence.answer if isinstance(entry.evidence, Read) else None
    if answer is None:
        return "not measured", "there is no answer"
    return ("within", "") if answer else ("outside", "answered no")


def _why_nothing_counts(told: Telling, key: str, characteristic: Characteristic, upto: int) -> str:
    if characteristic.is_grid and (some := _some_of_the_grid(told, key, characteristic, upto)):
        return some
    earlier = [entry for position, entry in told.attempts(key) if position < upto]
    if earlier:
        strike = told.struck_by(earlier[-1].hash, upto)
        if strike is not None and isinstance(strike.evidence, Struck):
            return f"struck: {strike.evidence.reason}"
        return told.void(earlier[-1], upto)
    if characteristic.is_grid or not characteristic.is_worked_out:
        return ""
    waiting = told.waits_for(key, upto)
    return f"waits for {' and '.join(waiting)}" if waiting else "could not be worked out"


def _some_of_the_grid(told: Telling, key: str, characteristic: Characteristic, upto: int) -> str:
    spots, cells = characteristic.spots, told.cells(key, upto)
    there = sum(spot in cells for spot in spots)
    return f"{there} of {len(spots)} readings" if 0 < there < len(spots) else ""


def record_of(entry: Entry) -> Read | Marked | Derived:
    """Return the record of an entry that carries a value; raises Damaged for any other."""
    if isinstance(entry.evidence, Read | Marked | Derived):
        return entry.evidence
    raise Damaged(f"entry {entry.seq} of {entry.bench} carries no value")  # never sorted there
