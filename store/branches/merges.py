"""What the records of merges tell: who took in what, when, and what two benches had both done.

That follows from the entries alone, so it can be said long after the merge, in the round and in the
report. Nothing here settles anything: what arrived last counts.
"""

from msgspec import Struct

from store.branches.clashes import Clash, both_did
from store.codec import Entry
from store.evidence import Head, Merged
from store.told.telling import Telling


class MergeTold(Struct, frozen=True):
    """One record of a merge: its ``entry``, and how many lines it took in by bench.

    Without lines and without a fork a bench began there to work from a copy. ``clashes`` are told
    of merges in this book; those that another bench had made before (``elsewhere``) have none.
    """

    entry: Entry
    taken: dict[str, int]
    fork: Head | None = None
    clashes: tuple[Clash, ...] = ()
    elsewhere: bool = False


def merges_of(told: Telling) -> tuple[MergeTold, ...]:
    """Return every record of a merge, the first first."""
    found = []
    begin = len(told.entries)  # of the lines that the merge looked at last took in
    for at in reversed(range(len(told.entries))):
        entry = told.entries[at]
        record = entry.evidence
        if not isinstance(record, Merged):
            continue
        elsewhere = at >= begin
        batch = told.entries[max(1, at - record.taken) : at]
        taken: dict[str, int] = {}
        for each in batch if not elsewhere else ():
            taken[each.bench] = taken.get(each.bench, 0) + 1
        clashes: tuple[Clash, ...] = ()
        if not elsewhere:
            begin = at - len(batch)
            clashes = _clashes(told, record, begin, batch) if batch else ()
        found.append(MergeTold(entry, taken, record.fork, clashes, elsewhere))
    return tuple(reversed(found))


def _clashes(told: Telling, record: Merged, begin: int, batch: list[Entry]) -> tuple[Clash, ...]:
    """Return what both sides did while neither knew of the other."""
    known: dict[str, int] = {}  # of each bench, the last line that was known there
    first = batch[0]
    for run in record.order:
        if run.bench == first.bench and run.first <= first.seq <= run.last:
            known[run.bench] = first.seq - 1
            break
        known[run.bench] = run.last
    ours = [
        entry
        for entry in told.entries[:begin]
        if entry.seq > known.get(entry.bench, 0) and not isinstance(entry.evidence, Merged)
    ]
    return both_did(ours, batch, told.plan_at(begin))
