"""Check the ledger's lines: form, chain per bench, and the heads kept beside the database."""

import re
from collections import defaultdict
from collections.abc import Iterator

from store.codec import FIRST_PREV, Entry, decode, encode, hash_of
from store.errors import BadRecord
from store.finding import Finding, Found

Row = tuple[str, int, str, bytes]
_HEAD = re.compile(r"([a-z0-9-]{1,32}) ([1-9][0-9]{0,17}) ([0-9a-f]{64})")


def where(entry: Entry) -> str:
    """Return how a finding names an entry: bench and number."""
    return f"{entry.bench} {entry.seq}"


def readable(rows: list[Row]) -> Iterator[tuple[int, Entry]]:
    """Return (place in order of arrival, entry) of every line that can be read."""
    for place, (_, _, _, line) in enumerate(rows):
        try:
            yield place, decode(line)
        except BadRecord:
            continue


def check_lines(rows: list[Row]) -> Found:
    """Find lines that are not records, not in canonical form, or not what their row says."""
    for place, (bench, seq, digest, line) in enumerate(rows):
        name = f"{bench} {seq}"
        if digest != hash_of(line):
            yield (
                place,
                Finding(
                    "altered", "line-changed", name, "the entry is not the one that was hashed"
                ),
            )
        try:
            entry = decode(line)
            normal = encode(
                entry.evidence,
                seq=entry.seq, prev=entry.prev, salt=entry.salt, at=entry.at, bench=entry.bench,
                by=entry.by,
            )  # fmt: skip
        except BadRecord as error:
            yield place, Finding("altered", "line-unreadable", name, f"not a record: {error}")
            continue
        if normal.line != line:
            yield (
                place,
                Finding(
                    "altered", "line-not-canonical", name, "the line is not in its canonical form"
                ),
            )
        if (entry.bench, entry.seq) != (bench, seq):
            yield (
                place,
                Finding("altered", "row-differs", name, f"the row holds the entry {where(entry)}"),
            )


def check_chain(rows: list[Row]) -> Found:
    """Find lines that do not follow one that came before: changed, dropped, moved or forked."""
    seqs: dict[tuple[str, str], int] = {}
    followed: dict[tuple[str, str], str] = {}
    for place, (bench, seq, _, line) in enumerate(rows):
        name, prev = f"{bench} {seq}", _prev(line)
        before = 0 if prev == FIRST_PREV else seqs.get((bench, prev))
        if before is None:
            yield place, Finding(
                "altered", "chain-broken", name,
                "the entry it follows is not there as it was: changed, dropped or moved",
            )  # fmt: skip
        elif seq != before + 1:
            yield (
                place,
                Finding(
                    "altered",
                    "chain-number",
                    name,
                    f"it follows entry {before}, so it is {before + 1}",
                ),
            )
        if (bench, prev) in followed:
            yield place, Finding(
                "altered", "chain-fork", name,
                f"{followed[bench, prev]} follows the same entry: two histories of one bench",
            )  # fmt: skip
        followed.setdefault((bench, prev), name)
        seqs[bench, hash_of(line)] = seq


def check_heads(rows: list[Row], heads: str | None) -> Found:
    """Find entries that are not those which heads.txt has noted, or are there no more.

    A ledger that is ahead of heads.txt is normal: the head is noted after the entry is kept.
    """
    if heads is None:
        if rows:
            yield -1, Finding("damaged", "heads-missing", "heads.txt", "the list of heads is gone")
        return
    known: defaultdict[tuple[str, int], dict[str, int]] = defaultdict(dict)
    for place, (bench, seq, _, line) in enumerate(rows):
        known[bench, seq][hash_of(line)] = place
    for number, text in enumerate(heads.splitlines(), start=1):
        head = _HEAD.fullmatch(text)
        if head is None:
            yield len(rows), Finding(
                "note", "heads-line", f"heads.txt line {number}",
                "the line is no head; one that was being written when the power went looks so",
            )  # fmt: skip
            continue
        bench, seq, digest = head[1], int(head[2]), head[3]
        if (bench, seq) not in known:
            yield len(rows), Finding(
                "altered", "entry-gone", f"{bench} {seq}",
                "heads.txt has noted this entry, and the ledger has it no more",
            )  # fmt: skip
        elif digest not in known[bench, seq]:
            yield min(known[bench, seq].values()), Finding(
                "altered", "head-differs", f"{bench} {seq}",
                "the entry is not the one that heads.txt has noted: the chain was written anew",
            )  # fmt: skip


def _prev(line: bytes) -> str:
    """Return the hash that a line cites as the one before it, whether it can be read or not."""
    try:
        return decode(line).prev
    except BadRecord:
        found = re.search(rb'"prev":"([0-9a-f]{64})"', line)
        return found[1].decode() if found else ""
