"""What can be told of an entry for certain although lines around it stayed at the bench.

A finding about such a pack may only mean that a line is not there: a value that no entry says, a
closing with something unproven. Then it is a note. But a value that is not that of the very entries
it cites, all of which are there, is wrong whatever else was left out.
"""

from collections.abc import Iterable

from store.branches.chains import where
from store.codec import Entry
from store.finding import Finding
from store.proving.citations import cited

# Found in an entry alone, or in the file that it names.
_ALONE = frozenset({
    "coverage-differs", "marks-moved", "photo-altered", "photo-pixels", "photo-size",
    "photo-suffix", "photo-missing", "paper-altered", "paper-size", "paper-suffix", "paper-missing",
})  # fmt: skip
# Found in an entry, those it cites, and the plan, which always stays.
_BY_WHAT_IT_CITES = frozenset({
    "reading-differs", "derived-differs", "verdict-differs", "limit-differs",
})  # fmt: skip


class LeftOut:
    """A pack with lines left out: which findings about it hold all the same."""

    def __init__(self, entries: Iterable[Entry]) -> None:
        self._whole: dict[str, bool] = {}
        self._names: set[str] = set()
        for entry in entries:
            # What is cited comes before, so whether it is whole is known.
            is_whole = all(self._whole.get(each, False) for each in cited(entry))
            self._whole[entry.hash] = is_whole
            if is_whole:
                self._names.add(where(entry))

    def holds(self, finding: Finding) -> bool:
        """Return whether a finding can't be the work of a line that is not there."""
        if finding.severity in {"note", "unread"} or finding.code in _ALONE:
            return True
        return finding.code in _BY_WHAT_IT_CITES and finding.where in self._names
