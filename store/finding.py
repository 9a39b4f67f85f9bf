"""One thing that a check of a book found."""

from collections.abc import Iterator
from typing import Literal

from msgspec import Struct

Severity = Literal["altered", "damaged", "differs", "note"]


class Finding(Struct, frozen=True):
    """One thing that verify found.

    ``severity``: **altered** (something was changed after it was written, or never followed from
    what it cites), **damaged** (something is missing or can't be read), **differs** (a number
    comes out otherwise, and was made by another version of this program), **note** (nothing is
    lost: a photo that no entry names, say). ``code`` is a fixed word for programs, ``where`` the
    entry ("bench 12") or the file, ``detail`` one plain sentence.
    """

    severity: Severity
    code: str
    where: str
    detail: str


Found = Iterator[tuple[int, Finding]]
"""Findings with their place in the order of arrival: how many entries came before."""
