"""Check the ledger's lines: form, chain per bench, and the heads kept beside the database."""

import re
from collections import defaultdict
from collections.abc import Iterable, Mapping

from msgspec import Struct

from store.codec import FIRST_PREV, Entry, decode, encode, hash_of
from store.errors import BadRecord
from store.finding import Finding, Found

_HEAD = re.compile(r"([a-z0-9-]{1,32}) ([1-9][0-9]{0,17}) ([0-9a-f]{64})")


def where(entry: Entry) -> str:
    """Return how a finding names an entry: bench and number."""
    return f"{entry.bench} {entry.seq}"


class Line(Struct, frozen=True):
    """A row of the ledger: what its columns say, its line, and the line read (or why not)."""

    bench: str
    seq: int
    digest: str
    line: bytes
    entry: Entry | None
    refused: str = ""

    @property
    def hash(self) -> str:
        """The hash that the line has, whatever the row says."""
        return self.entry.hash if self.entry else hash_of(self.line)

    @property
    def prev(self) -> str:
        """The hash that the line cites as the one before it, whether it can be read or not."""
        found = re.search(rb'"prev":"([0-9a-f]{64})"', self.line)
        return self.entry.prev if self.entry else found[1].decode() if found else ""


def read_line(bench: str, seq: int, digest: str, line: bytes) -> Line:
    """Return a row with its line read."""
    try:
        return Line(bench, seq, digest, line, decode(line))
    except BadRecord as error:
        return Line(bench, seq, digest, line, None, str(error))


def check_lines(lines: list[Line]) -> Found:
    """Find lines that are not records, not in canonical form, or not what their row says."""
    for place, line in enumerate(lines):
        name = f"{line.bench} {line.seq}"
        if line.digest != line.hash:
            yield (
                place,
                Finding(
                    "altered", "line-changed", name, "the entry is not the one that was hashed"
                ),
            )
        refused = line.refused if line.entry is None else _not_canonical(line.entry)
        if line.entry is None:
            yield place, Finding("altered", "line-unreadable", name, f"not a record: {refused}")
        elif refused:
            yield place, Finding("altered", "line-not-canonical", name, refused)
        if line.entry and (line.entry.bench, line.entry.seq) != (line.bench, line.seq):
            yield (
                place,
                Finding(
                    "altered", "row-differs", name, f"the row holds the entry {where(line.entry)}"
                ),
            )


def _not_canonical(entry: Entry) -> str:
    """Return why an entry's line is not the one that this program would write for it."""
    try:
        normal = encode(
            entry.evidence,
            seq=entry.seq, prev=entry.prev, salt=entry.salt, at=entry.at, bench=entry.bench,
            by=entry.by,
        )  # fmt: skip
    except BadRecord as error:
        return str(error)
    return "" if normal.line == entry.line else "the line is not in its canonical form"


def check_chain(lines: list[Line]) -> Found:
    """Find lines that do not follow one that came before: changed, dropped, moved or forked."""
    seqs: dict[tuple[str, str], int] = {}
    followed: dict[tuple[str, str], str] = {}
    for place, line in enumerate(lines):
        bench, seq, prev = line.bench, line.seq, line.prev
        name = f"{bench} {seq}"
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
        seqs[bench, line.hash] = seq


def check_heads(lines: list[Line], heads: str | None) -> Found:
    """Find entries that are not those which heads.txt has noted, or are there no more.

    A ledger that is ahead of heads.txt is normal: the head is noted after the entry is kept.
    """
    # Empty: the first head could not be written, or all were taken out. With one entry only it is
    # the former, or nothing that could not be had by cutting the list to its first line as well.
    if not heads:
        if len(lines) == 1:
            detail = "no head was noted yet; the next opening for writing notes the first entry's"
            yield -1, Finding("note", "heads-missing", "heads.txt", detail)
        elif lines:
            yield -1, Finding("damaged", "heads-missing", "heads.txt", "the list of heads is gone")
        return
    known: defaultdict[tuple[str, int], dict[str, int]] = defaultdict(dict)
    for place, line in enumerate(lines):
        known[line.bench, line.seq][line.hash] = place
    for number, text in enumerate(heads.removesuffix("\n").split("\n"), start=1):
        head = _HEAD.fullmatch(text)
        if head is None:
            yield len(lines), _no_head(f"heads.txt line {number}", text, known)
            continue
        bench, seq, digest = head[1], int(head[2]), head[3]
        if (bench, seq) not in known:
            yield len(lines), Finding(
                "altered", "entry-gone", f"{bench} {seq}",
                "heads.txt has noted this entry, and the ledger has it no more",
            )  # fmt: skip
        elif digest not in known[bench, seq]:
            yield min(known[bench, seq].values()), Finding(
                "altered", "head-differs", f"{bench} {seq}",
                "the entry is not the one that heads.txt has noted: the chain was written anew",
            )  # fmt: skip


def _no_head(name: str, text: str, known: Mapping[tuple[str, int], Iterable[str]]) -> Finding:
    """Return what a line is that is no head: a head torn off by a power cut, or a changed one."""
    # Where a disk kept the length of what was written and not its bytes, they are NULs.
    torn = text.rstrip("\0")
    is_torn = any(
        f"{bench} {seq} {digest}".startswith(torn)
        for (bench, seq), digests in known.items()
        for digest in digests
    )
    if text and is_torn:
        detail = "the power went while it was written: only a part of it is there, nothing is lost"
        return Finding("note", "heads-line", name, detail)
    return Finding("altered", "heads-changed", name, "the line is no head as it was noted")
