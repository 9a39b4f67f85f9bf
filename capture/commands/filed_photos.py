"""Which photo of a book is meant: by the start of its SHA-256, or by the file it came from."""

import hashlib
import re
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from capture.errors import WrongUse
from store.evidence import PhotoTaken

if TYPE_CHECKING:
    from capture.journey import Journey
    from store.plan import Role

_HASH = re.compile("[0-9a-f]{6,64}")
_CHUNK = 1 << 20


def filed_photos(
    journey: "Journey", *, location: str = "", role: "Role | None" = None
) -> Iterator[PhotoTaken]:
    """Yield a book's standing filings, each photo once; only those of a location or a role."""
    told, seen = journey.book.told, set()
    for where in [location] if location else list(told.filings):
        for taken in told.photos_at(where, told.now):
            if taken.photo not in seen and role in {None, taken.role}:
                seen.add(taken.photo)
                yield taken


def photo_meant(
    journey: "Journey", text: str, *, location: str = "", role: "Role | None" = None
) -> str:
    """Return the SHA-256 of the filed photo that a hash's start, a file or a name means.

    Only photos at ``location`` and in ``role`` are looked at, where these are given. Raises
    WrongUse for none and for several.
    """
    there = list(filed_photos(journey, location=location, role=role))
    digest = _digest(Path(text))
    found = {taken.photo for taken in there if _is_meant(taken, text, digest)}
    if len(found) == 1:
        return found.pop()
    narrowed = (f" at {location}" if location else "") + (f" as {role}" if role else "")
    if found:
        raise WrongUse(f"several photos{narrowed} answer to {text!r}: give more of the hash")
    names = ", ".join(f"{taken.file_name} ({taken.photo[:8]})" for taken in there) or "none"
    raise WrongUse(f"no photo {text!r} is filed{narrowed}: file it first; there are {names}")


def _is_meant(taken: PhotoTaken, text: str, digest: str) -> bool:
    if digest:
        return taken.photo == digest
    lower = text.strip().lower()
    by_hash = bool(_HASH.fullmatch(lower)) and taken.photo.startswith(lower)
    return by_hash or taken.file_name == Path(text).name


def _digest(path: Path) -> str:
    """Return the SHA-256 of a file, empty if there is no such file."""
    if not path.is_file():
        return ""
    whole = hashlib.sha256()
    with path.open("rb") as file:
        while chunk := file.read(_CHUNK):
            whole.update(chunk)
    return whole.hexdigest()
