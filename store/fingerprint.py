"""What a book's answers rest on, as one hash: every byte of the ledger, and which photos there are.

Two equal fingerprints are two equal books, as far as opening one looks: whatever is worked out
from the one holds of the other. Nothing is read of what the bytes say.
"""

import hashlib
from pathlib import Path

_LEDGER, _PHOTOS = "ledger.db", "photos"


def fingerprint(root: Path) -> str:
    """Return the SHA-256 of a book, empty where it can't be told.

    That is while somebody writes to it, after a write that was cut off, and for what is no book.
    A ledger that changes while it is read gives the fingerprint of no book at all.
    """
    try:
        if (root / f"{_LEDGER}-journal").exists():
            return ""
        found = hashlib.sha256((root / _LEDGER).read_bytes())
        names = (path.relative_to(root).as_posix() for path in (root / _PHOTOS).rglob("*"))
        found.update("\n".join(sorted(names)).encode("utf-8", "surrogateescape"))
    except OSError:
        return ""
    return found.hexdigest()
