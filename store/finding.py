"""One thing that a check of a book found."""

from collections.abc import Iterable, Iterator
from typing import Literal

from msgspec import Struct

from store.files.passing import why_passing

Severity = Literal["altered", "damaged", "unread", "differs", "note"]


class Finding(Struct, frozen=True):
    """One thing that verify found.

    ``severity``: **altered** (something was changed after it was written, or never followed from
    what it cites), **damaged** (something is missing, or is no more what it should be),
    **unread** (it could not be read now, which says nothing of it: try again), **differs** (it
    comes out otherwise, and was made by another version of this program: neither shown to be
    altered nor shown to be right), **note** (nothing is lost: a photo that no entry names, say).
    ``code`` is a fixed word for programs, ``where`` the entry ("bench 12") or the file,
    ``detail`` one plain sentence.

    Only what has notes alone, or nothing, is sound.
    """

    severity: Severity
    code: str
    where: str
    detail: str


def against(found: Iterable[Finding]) -> list[Finding]:
    """Return the findings that say that something is not as it was written."""
    return [each for each in found if each.severity in {"altered", "damaged"}]


def unread(found: Iterable[Finding]) -> list[Finding]:
    """Return the findings that something could not be read now."""
    return [each for each in found if each.severity == "unread"]


def not_read(error: BaseException, where: str) -> Finding:
    """Return the finding that something could not be read now, which accuses nobody."""
    detail = (
        f"could not be read now: {why_passing(error)}; nothing is said of what is in it: close "
        "other programs, check the disk, and try again"
    )
    return Finding("unread", "not-read-now", where, detail)


Found = Iterator[tuple[int, Finding]]
"""Findings with their place in the order of arrival: how many entries came before."""
