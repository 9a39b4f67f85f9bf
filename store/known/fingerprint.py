"""What a book's answers rest on, as one hash: every byte of the ledger, which photos and papers.

Two equal fingerprints are two equal books, as far as opening one looks: whatever is worked out
from the one holds of the other. Nothing is read of what the bytes say.
"""

import hashlib
from io import BufferedReader
from pathlib import Path

from store.files.locked_file import read_aside

_LEDGER, _BESIDE = "ledger.db", ("photos", "papers")


def fingerprint(root: Path, ledger: BufferedReader | None = None) -> str:
    """Return the SHA-256 of a book, empty where it can't be told.

    That is while somebody writes to it, after a write that was cut off, and for what is no book.
    A ledger that changes while it is read gives the fingerprint of no book at all.

    ``ledger`` is its file where a ``Ledger`` holds its lock: ``Ledger.file``.
    """
    try:
        # A pipe of that name would hold whoever opens it for ever.
        if (root / f"{_LEDGER}-journal").exists() or not (root / _LEDGER).is_file():
            return ""
        found = _digest(root) if ledger is None else hashlib.file_digest(ledger, hashlib.sha256)
        names = (
            path.relative_to(root).as_posix()
            for folder in _BESIDE
            for path in (root / folder).rglob("*")
        )
        found.update("\n".join(sorted(names)).encode("utf-8", "surrogateescape"))
    except OSError:
        return ""
    return found.hexdigest()


def _digest(root: Path) -> "hashlib._Hash":
    with read_aside(root / _LEDGER) as file:
        return hashlib.file_digest(file, hashlib.sha256)
