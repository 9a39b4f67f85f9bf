"""The merges of a book: lines for a person, and the JSON that programs read."""

from typing import Any

from capture.words.merged import fork_text, taken_text
from store.branches.merges import merges_of
from store.told.telling import Telling


def merge_lines(told: Telling) -> list[str]:
    """Return a line for each record of a merge, and one for each thing that two benches did."""
    lines = []
    for merge in merges_of(told):
        entry = merge.entry
        lines.append(
            f"merged: {taken_text(merge)} (by {entry.by}, {entry.at}, {entry.bench} {entry.seq})"
        )
        lines += [f"  CONFLICT: {clash.words}" for clash in merge.clashes]
        if merge.fork is not None:
            lines.append(f"  FORK: {fork_text(merge.fork)}")
    return lines


def conflict_lines(told: Telling, key: str) -> list[str]:
    """Return what two benches both did at one check, a line each."""
    clashes = (clash for merge in merges_of(told) for clash in merge.clashes)
    return [f"  CONFLICT: {clash.words}" for clash in clashes if clash.of == key]


def merge_answers(told: Telling) -> list[dict[str, Any]]:
    """Return the merges for a program."""
    return [
        {
            "entry": merge.entry.hash,
            "bench": merge.entry.bench,
            "by": merge.entry.by,
            "at": merge.entry.at,
            "taken": merge.taken,
            "elsewhere": merge.elsewhere,
            "conflicts": [
                {"kind": c.kind, "of": c.of, "words": c.words, "ours": c.ours, "theirs": c.theirs}
                for c in merge.clashes
            ],
            "fork": merge.fork and {"bench": merge.fork.bench, "entry": merge.fork.seq},
        }
        for merge in merges_of(told)
    ]
