"""Check a book: re-hash, re-chain, re-measure, and say everything that is wrong."""

from collections.abc import Callable
from pathlib import Path
from typing import Literal

from msgspec import Struct

Severity = Literal["altered", "damaged", "differs", "note"]


class Finding(Struct, frozen=True):
    """One thing that verify found.

    ``severity``: **altered** (something was changed after it was written), **damaged** (something
    is missing or can't be read), **differs** (a number came out otherwise under another version
    of this program), **note** (nothing is lost: a photo that no entry names, say). ``code`` is a
    fixed word for programs, ``where`` the entry or file, ``detail`` one plain sentence.
    """

    severity: Severity
    code: str
    where: str
    detail: str


def verify(root: Path, *, progress: Callable[[int, int], None] | None = None) -> list[Finding]:
    """Return every finding, oldest first; empty if the book is sound."""
    raise NotImplementedError
