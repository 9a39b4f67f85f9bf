"""What was merged into a book, in words: what came from whom, and what two benches both did."""

from capture.words.quantities import count_text
from store.evidence import Head, Merged
from store.merges import MergeTold


def taken_text(merge: MergeTold) -> str:
    """Return what a merge took in, or what else its record tells."""
    record = merge.entry.evidence
    if isinstance(record, Merged) and not record.taken and record.fork is None:
        return f"{merge.entry.bench} began to work from a copy"
    if merge.elsewhere:
        return f"{merge.entry.bench} had taken another copy in before"
    if merge.taken:
        counts = (f"{count_text(n, 'entry', 'entries')} of {b}" for b, n in merge.taken.items())
        return f"{', '.join(counts)} taken in"
    return "another copy, of which nothing could be taken in"


def fork_text(fork: Head) -> str:
    """Return where a bench went on otherwise, and that it counts for nothing."""
    return f"{fork.bench} went on otherwise from entry {fork.seq}; that branch counts for nothing"


def conflicts_text(merges: tuple[MergeTold, ...]) -> str:
    """Return how many conflicts and forks there are to be looked at, empty where there is none."""
    clashes = sum(len(merge.clashes) for merge in merges)
    forks = sum(merge.fork is not None for merge in merges)
    parts = [count_text(clashes, "conflict")] if clashes else []
    parts += [count_text(forks, "fork")] if forks else []
    return f"{' and '.join(parts)} of merging" if parts else ""
