"""What the writer of each entry knew: the entries in the order in which they reached its bench.

In a book of one bench that is the order of arrival. What a merge took in was written at another
bench, where other lines had arrived, and in another order: a hold point was closed there before a
reading taken here was known. Each such entry is judged by the order of its own bench, which the
record of the merge tells and whose hashes it holds.
"""

from collections.abc import Iterator, Sequence

from msgspec import Struct

from store.branches.chains import where
from store.codec import Entry
from store.evidence import Head, Merged, Run
from store.finding import Finding, Found

Placed = list[tuple[int, Entry]]
_DEEPEST = 40
_MOST_ENTRIES = 50_000_000  # of all views together: a stranger's lines must not stop the check


class View(Struct, frozen=True):
    """Entries in the order of one bench's book; those at ``own`` are to be judged by it.

    ``is_last`` is whether it is this book's own order, with everything that is here.
    """

    placed: Placed
    own: frozenset[int]
    is_last: bool = True

    def of_own(self, found: Found) -> Found:
        """Return those of some findings that are on the view's own entries."""
        return (each for each in found if each[0] in self.own)


def views(placed: Placed) -> tuple[list[View], list[tuple[int, Finding]]]:
    """Return the views that together judge every entry once, this book's own last.

    Beside them come findings on records of merges that can't be true.
    """
    work = _Viewing()
    work.look(placed, frozenset(place for place, _ in placed), 0)
    return work.views, work.found


def record_of(
    shared: Sequence[Entry],
    taken: int = 0,
    fork: Head | None = None,
    branch: Sequence[Entry] = (),
) -> Merged:
    """Return the record of lines known from another copy, in the order they had there.

    ``branch`` is what was set aside of it, from the line that is ``fork`` on.
    """
    return Merged(_runs_of(shared), _heads_of(shared), taken, fork, _heads_of(branch))


def _heads_of(entries: Sequence[Entry]) -> tuple[Head, ...]:
    """Return the last line of each chain."""
    return tuple({e.bench: Head(e.bench, e.seq, e.hash) for e in entries}.values())


def _runs_of(entries: Sequence[Entry]) -> tuple[Run, ...]:
    """Return an order of entries as runs of consecutive numbers of one bench."""
    runs: list[Run] = []
    for entry in entries:
        if runs and (runs[-1].bench, runs[-1].last + 1) == (entry.bench, entry.seq):
            runs[-1] = Run(entry.bench, runs[-1].first, entry.seq)
        else:
            runs.append(Run(entry.bench, entry.seq, entry.seq))
    return tuple(runs)


class _Viewing:
    def __init__(self) -> None:
        self.views: list[View] = []
        self.found: list[tuple[int, Finding]] = []
        self._entries = 0

    def look(self, placed: Placed, wanted: frozenset[int], depth: int) -> None:
        """Add the views for the entries at ``wanted`` places of a sequence."""
        elsewhere: set[int] = set()
        self._entries += len(placed)
        for begin, end in _batches(placed):
            batch = frozenset(place for place, _ in placed[begin:end]) & wanted
            if not batch:
                continue
            order, wrong = _order(placed, begin, end)
            if depth >= _DEEPEST or self._entries > _MOST_ENTRIES:
                order, wrong = [], "it is one of too many merges in one another"
            if wrong:
                place, merge = placed[end]
                self.found.append((place, _strange(merge, wrong)))
                continue
            elsewhere |= batch
            self.look(order, batch, depth + 1)
        self.views.append(View(placed, wanted - elsewhere, is_last=not depth))


def _batches(placed: Placed) -> Iterator[tuple[int, int]]:
    """Yield where the lines that each merge took in begin and end, the last merge first.

    A merge among the lines that a later one took in belongs to that one's view.
    """
    index = len(placed) - 1
    while index > 0:
        record = placed[index][1].evidence
        if isinstance(record, Merged) and record.taken:
            begin = max(1, index - record.taken)
            yield begin, index
            index = begin
        index -= 1


def _order(placed: Placed, begin: int, end: int) -> tuple[Placed, str]:
    """Return the entries in the order that a merge tells of, or why that can't be."""
    merge = placed[end][1].evidence
    there = {(entry.bench, entry.seq): (place, entry) for place, entry in placed[:end]}
    if not isinstance(merge, Merged) or end - begin != merge.taken:
        return [], "it counts more lines than there are"
    if sum(run.last - run.first + 1 for run in merge.order) > end:
        return [], "it tells of more lines than there are"
    order: Placed = []
    last: dict[str, int] = {}
    for run in merge.order:
        if run.first != last.get(run.bench, 0) + 1 or run.last < run.first:
            return [], f"its order leaves out or repeats a line of {run.bench}"
        last[run.bench] = run.last
        found = [there.get((run.bench, seq)) for seq in range(run.first, run.last + 1)]
        if not all(found):
            return [], f"it tells of a line of {run.bench} that is not here"
        order += [each for each in found if each]
    return _held_against(order, placed, begin, end, merge)


def _held_against(
    order: Placed, placed: Placed, begin: int, end: int, merge: Merged
) -> tuple[Placed, str]:
    heads = {entry.bench: (entry.seq, entry.hash) for _, entry in order}
    if heads != {head.bench: (head.seq, head.hash) for head in merge.heads}:
        return [], "the last lines it names are not those of its order"
    known = {place for place, _ in placed[:begin]}
    if [place for place, _ in order if place not in known] != [p for p, _ in placed[begin:end]]:
        return [], "the lines before it are not those that it took in, in their order"
    if order[0][0] != placed[0][0]:
        return [], "its order does not begin with the plan"
    return order, ""


def _strange(merge: Entry, why: str) -> Finding:
    return Finding("altered", "merge-strange", where(merge), f"this record of a merge: {why}")
