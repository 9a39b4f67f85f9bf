"""The merges of a book as rows: what came from whom, and below each what two benches both did."""

from capture.desk.look.row import Row
from capture.words.merged import fork_text, taken_text
from capture.words.quantities import count_text
from store.branches.merges import MergeTold
from store.report.figures import date_said
from store.round import Round

_WHAT = {
    "read twice": "both read it",
    "hold point twice": "both handled it",
    "plan": "the plan differs",
    "part twice": "both fitted it",
    "behind closed": "read behind a closed cover",
    "closed unproven": "closed, and unproven now",
    "struck twice": "both struck it",
}


def merge_rows(merges: tuple[MergeTold, ...]) -> list[Row]:
    """Return the merges, the newest first; a key is the entry's hash and what stands below it."""
    rows: list[Row] = []
    for merge in reversed(merges):
        entry = merge.entry
        by = f"by {entry.by} {date_said(entry.at)}, {entry.bench} {entry.seq}"
        rows.append(Row(entry.hash, taken_text(merge), by, _count(merge), bold=True))
        rows += [
            Row(f"{entry.hash} {n}", f"Conflict: {_WHAT[clash.kind]}", clash.words, clash.of[:32],
                level=1)
            for n, clash in enumerate(merge.clashes)
        ]  # fmt: skip
        if merge.fork is not None:
            rows.append(
                Row(f"{entry.hash} fork", "Fork: two histories of one bench",
                    fork_text(merge.fork), merge.fork.bench, level=1)
            )  # fmt: skip
    return rows


def merge_detail(merges: tuple[MergeTold, ...], key: str) -> str:
    """Return a row in full, and for a conflict what counts now; empty where there is none."""
    row = next((row for row in merge_rows(merges) if row.key == key), None)
    if row is None or not row.level:
        return ""
    if key.endswith(" fork"):
        return (
            f"{row.below}. It is kept beside the book. Work on in one of the two copies only, and "
            "enter there what is missing."
        )
    return f"{row.below}. What arrived last counts; read it again where that is not what is so."


def goes_to(known: Round, merges: tuple[MergeTold, ...], key: str) -> str:
    """Return the check or hold point that a conflict is of, empty where it is of neither."""
    entry, _, number = key.partition(" ")
    merge = next((each for each in merges if each.entry.hash == entry), None)
    if merge is None or not number.isdecimal():
        return ""
    of = merge.clashes[int(number)].of
    holds = {hold.hold_point.id for hold in known.holds}
    return of if of in holds or of in {check.key for check in known.checks} else ""


def _count(merge: MergeTold) -> str:
    """Return how many conflicts a merge found; nothing where it took no line in."""
    if not merge.taken:
        return ""
    return count_text(len(merge.clashes), "conflict") if merge.clashes else "no conflict"
