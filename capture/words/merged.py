"""What was merged into a book, in words: what came from whom, and what two benches both did."""

from typing import TYPE_CHECKING

from capture.words.quantities import count_text
from store.branches.merges import MergeTold
from store.evidence import Head, Merged

if TYPE_CHECKING:
    from store.copies.merge import Merge


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


def done_text(done: "Merge") -> str:
    """Return what came of a merge in one sentence, whatever is to be looked at named."""
    if done.is_nothing:
        return "nothing new: everything in that copy is here already"
    parts = [f"{count_text(n, 'entry', 'entries')} of {b} taken in" for b, n in done.taken.items()]
    parts += [
        f"{count_text(many, noun)} copied"
        for many, noun in ((done.photos, "photo"), (done.papers, "paper"))
        if many
    ]
    if changed := [each.key for each in done.handed if each.was.current is not None]:
        parts.append(f"another value counts now at {', '.join(changed)}")
    if done.clashes:
        parts.append(f"{count_text(len(done.clashes), 'conflict')}: look at each")
    if done.fork is not None:
        parts.append(f"a fork: {fork_text(done.fork.there)}")
    if done.signed_with:
        parts.append(
            f"the pack is signed with {done.signed_with}: compare it with the one told otherwise"
        )
    return "; ".join(parts)


def conflicts_text(merges: tuple[MergeTold, ...]) -> str:
    """Return how many conflicts and forks there are to be looked at, empty where there is none."""
    clashes = sum(len(merge.clashes) for merge in merges)
    forks = sum(merge.fork is not None for merge in merges)
    parts = [count_text(clashes, "conflict")] if clashes else []
    parts += [count_text(forks, "fork")] if forks else []
    return f"{' and '.join(parts)} of merging" if parts else ""
