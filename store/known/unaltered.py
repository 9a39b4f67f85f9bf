"""Does a book still say, byte for byte, what was read of it? Then its fingerprint stands for that.

What is worked out from entries in memory may be kept under a fingerprint only if the bytes that
were hashed are the bytes that the entries were read from: both are looked at in one transaction.
"""

from collections.abc import Sequence
from pathlib import Path

from store.codec import Entry
from store.evidence import PaperKept, PhotoTaken
from store.known.fingerprint import fingerprint
from store.ledger import Ledger
from store.photos import PhotoVault


def fingerprint_of(root: Path, entries: Sequence[Entry]) -> str:
    """Return the fingerprint of a book that holds exactly these entries, empty if it does not.

    Empty as well where a photo or a paper that they name is missing, which must be said each time.
    Raises what opening a ledger does.
    """
    ledger = Ledger(root, read_only=True)
    try:
        with ledger.reading():
            there = ledger.hashed_lines()
            found = fingerprint(root, ledger.file())
    finally:
        ledger.close()
    same = len(there) == len(entries) and all(
        digest == entry.hash and line == entry.line
        for (_, digest, line), entry in zip(there, entries, strict=True)
    )
    return found if same and _has_files(root, entries) else ""


def _has_files(root: Path, entries: Sequence[Entry]) -> bool:
    photos, papers = (
        {file.photo for file in PhotoVault(root, folder).files()} for folder in ("photos", "papers")
    )
    return all(
        each.evidence.photo in photos
        if isinstance(each.evidence, PhotoTaken)
        else each.evidence.paper in papers
        for each in entries
        if isinstance(each.evidence, PhotoTaken | PaperKept)
    )
